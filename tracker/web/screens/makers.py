"""The makers of a quilt: the list of their names, who holds this device, and how far each has come."""

from __future__ import annotations

from flask import Response, request

from tracker.progress.block_taps import LONGEST_MAKER, one_line
from tracker.web.block_makers import (
    HOLDER,
    BlockMaker,
    blocks_of,
    by_key,
    called,
    holder,
    makers_of,
    with_name,
    without,
)
from tracker.web.facts import block_list
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.measured_blocks import block_now, has_frames_on, kind_now
from tracker.web.opened import Opened
from tracker.web.pages import YEAR, Link, go_to, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.screens.seam import result_of
from tracker.words.size_words import SizeWords

screen = Screen("makers", "/quilts/<quilt_id>/makers")


@screen.get("")
def makers(quilt_id: str) -> Response:
    """All makers of a quilt."""
    with parts().desk.quilt(quilt_id) as opened:
        held = called(opened, holder())
        return quilt_page("makers", "", opened, held=held, longest=LONGEST_MAKER, **facts_of(opened, "makers"))


@screen.live
def _makers(opened: Opened, rest: str) -> Facts:
    found = [maker_standing(opened, maker) for maker in makers_of(opened)]
    given = sum(each["blocks"] for each in found)
    return {"standings": found, "free": len(opened.counts.block_keys) - given}


def maker_standing(opened: Opened, maker: BlockMaker) -> Facts:
    """How far one maker has come, and what her seam test and her measured blocks say (empty: nothing yet)."""
    counts, numbers = opened.counts, blocks_of(opened, maker)
    stages = [counts.stage(number) for number in numbers]
    done, steps = sum(stage.done for stage in stages), sum(stage.steps for stage in stages)
    result = result_of(opened, maker)
    return {
        "maker": maker,
        "words": block_list(numbers) if numbers else "",
        "blocks": len(numbers),
        "finished": sum(map(counts.is_finished, numbers)),
        "percent": 100 * done // steps if steps else 0,
        "seam": f"{result['found']} {result['move']}" if result else "",
        "sizes": tuple(_sizes(opened, maker)),
    }


def _sizes(opened: Opened, maker: BlockMaker) -> list[str]:
    """What the measured blocks of a maker say, kind by kind."""
    said = []
    for key in opened.compiled.plan.blocks:
        numbers = [number for number, each in opened.counts.block_keys.items() if each == key]
        for framed in sorted({has_frames_on(opened, number) for number in numbers}):
            kind = kind_now(opened, key, framed)
            own = [n for n in numbers if (now := block_now(opened, n, framed)).measures and now.maker == maker.name]
            if kind.sizes is not None and maker.name in kind.sizes.makers:
                errors = kind.sizes.makers[maker.name]
                said.append(SizeWords(kind.shape).maker("", errors, len(own)))
    return said


@screen.post("")
def add(quilt_id: str) -> Response:
    """One more name on the list."""
    return _changed(quilt_id, None)


@screen.post("/<key>/name")
def rename(quilt_id: str, key: str) -> Response:
    """Another name for a maker: her blocks, tests and measures stay hers."""
    return _changed(quilt_id, key)


def _changed(quilt_id: str, key: str | None) -> Response:
    with parts().desk.quilt(quilt_id) as opened:
        maker = None if key is None else maker_of_key(opened, key)
        with opened.stored.turn():
            try:
                listed = with_name(opened.stored.about, request.form.get("name", ""), maker)
            except ValueError as fault:
                raise PageFault(400, str(fault), makers_link(quilt_id)) from fault
            opened.stored.set_about(makers=listed)
    return _back(quilt_id)


@screen.post("/<key>/remove")
def remove(quilt_id: str, key: str) -> Response:
    """Take a name off the list, where no block is hers: it is taken back by typing it again."""
    with parts().desk.quilt(quilt_id) as opened:
        maker = maker_of_key(opened, key)
        if numbers := blocks_of(opened, maker):
            words = f"{block_list(numbers).capitalize()} still {'is' if len(numbers) == 1 else 'are'} {maker.name}'s"
            raise PageFault(409, f"{words}: give them to somebody else first.", makers_link(quilt_id))
        with opened.stored.turn():
            opened.stored.set_about(makers=without(opened.stored.about, maker))
    return _back(quilt_id)


@screen.post("/holder")
def hold(quilt_id: str) -> Response:
    """Say who holds this device: from now on its taps are hers."""
    response, name = _back(quilt_id), one_line(request.form.get("name", ""))
    if name:
        response.set_cookie(HOLDER, name, max_age=YEAR, samesite="Lax", httponly=True)
    else:
        response.delete_cookie(HOLDER, samesite="Lax", httponly=True)
    return response


def maker_of_key(opened: Opened, key: str) -> BlockMaker:
    """The maker with this key. Raises PageFault."""
    found = by_key(opened, key)
    if found is None:
        raise PageFault(404, "There is no such maker in this quilt; choose one from the list.", makers_link(opened.id))
    return found


def makers_link(quilt_id: str) -> Link:
    """The way to the makers of a quilt."""
    return Link(f"/quilts/{quilt_id}/makers", "To the makers")


def _back(quilt_id: str) -> Response:
    return go_to(makers_link(quilt_id).href)
