"""All blocks to one size: what the measured ones say, the size proposed and any other, and what follows from it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from fractions import Fraction

from flask import Response, request

from tracker.exact.measure import exact, write_length
from tracker.fitting.one_size import OneSize, Tried
from tracker.fitting.ways import FRAMES, KEEP, SMALLER, SORTED, STRIPS_ROUND, Brought, brought, rows_sorted
from tracker.plan.model import Plan
from tracker.web.facts import placed
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.measured_blocks import KindNow, block_now, has_frames_on, kind_now
from tracker.web.opened import Opened
from tracker.web.pages import Link, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.size_words import ENOUGH, WAY_NAMES, SizeWords

screen = Screen("sizes", "/quilts/<quilt_id>/sizes")

WIDE = 1000
"""How wide a block's line is drawn, in its own units."""

MOST_MARKS = 33
"""So many of a ruler's marks can be slid along at most: the largest ones."""

SortedRows = tuple[tuple[str, ...], ...]


@screen.get("")
def sizes(quilt_id: str) -> Response:
    """What all measured blocks of a kind say."""
    with parts().desk.quilt(quilt_id) as opened:
        plan = opened.compiled.plan
        key = request.args.get("kind", "") or next(iter(plan.quilt.blocks_in_order()))
        asked = request.args.get("framed", "")
        framed = asked == "1" if asked in ("0", "1") else _mostly_framed(opened, key)
        size = request.args.get("size", "")[:20]
        return quilt_page("sizes", "Blocks", opened, **facts_of(opened, f"sizes:{key}:{int(framed)}:{size}"))


def _mostly_framed(opened: Opened, key: str) -> bool:
    """Whether her last measures were taken with frames on; where there are none, whether a block has them."""
    told = [
        each for each in opened.counts.told.of_all() if opened.counts.block_keys[each.block] == key and each.lengths
    ]
    if told:
        return bool(told[-1].framed)
    numbers = [number for number, each in opened.counts.block_keys.items() if each == key]
    return bool(numbers) and has_frames_on(opened, numbers[0])


@screen.live
def _sizes(opened: Opened, rest: str) -> Facts:
    key, framed, size = (*rest.split(":"), "", "")[:3]
    plan = opened.compiled.plan
    if key not in set(plan.quilt.blocks_in_order()):
        back = Link(f"/quilts/{opened.id}/blocks", "To the blocks")
        raise PageFault(404, "The quilt has no such kind of block.", back)
    return {"sizes": sizes_view(opened, key, framed == "1" and bool(plan.blocks[key].frames), size)}


def sizes_view(opened: Opened, key: str, framed: bool, size: str = "") -> Facts:
    """Everything about the blocks of one kind; `size` is one of its marks, as plainly written (empty: proposed). Lists
    for the page have one entry for each of `marks`, the sizes there are to choose."""
    kind, plan = kind_now(opened, key, framed), opened.compiled.plan
    enough = kind.sizes is not None and kind.measured >= ENOUGH
    tried = _tried(kind.sizes) if enough and kind.sizes else []
    marks = [write_length(exact(each.size), plan.unit, plain=True) for each in tried]
    words = SizeWords(kind.shape)
    chosen = _chosen(kind.sizes, tried, marks, size) if kind.sizes else 0
    scale = _Scale(kind.sizes, kind.shape.planned[0])
    places = [scale.at(each.size) for each in tried]
    kinds = dict.fromkeys(plan.quilt.blocks_in_order())
    rows = _sorted_rows(opened, kind.sizes, framed) if enough and kind.sizes else ()
    laid = tuple(number for row in rows for number in row)
    return {
        **_said(words, kind, tried, chosen),
        "key": key,
        "name": plan.blocks[key].name,
        "others": tuple((each, plan.blocks[each].name) for each in kinds if each != key),
        "framed": framed,
        "has_frames": bool(plan.blocks[key].frames),
        "measured": kind.measured,
        "total": kind.measured + len(kind.unmeasured),
        "next": kind.unmeasured[0] if kind.unmeasured else None,
        "keeps_down": words.keeps_down(kind.sizes.keeps_it_down) if enough and kind.sizes else "",
        "makers": tuple(words.makers(kind.sizes)) if kind.sizes else (),
        "marks": tuple((words.size(each.size), mark) for each, mark in zip(tried, marks, strict=True)),
        "written": json.dumps(marks),
        "planned_mark": sum(each.size < kind.shape.planned[0] for each in tried),
        "chosen": chosen,
        "proposed": words.size(kind.sizes.proposed) if enough and kind.sizes else "",
        "lines": tuple(_lines(words, kind.sizes, tried, chosen, scale)) if kind.sizes else (),
        "planned_at": scale.at(kind.shape.planned[0]),
        "chosen_at": places[chosen] if places else 0,
        "places": json.dumps(places),
        "ways": tuple(_ways(opened, words, kind.sizes, framed, rows)) if enough and kind.sizes else (),
        "rows": rows,
        "laid": " ".join(laid),
        "laid_so": laid == tuple(map(str, opened.counts.places)),
        "by_number": opened.counts.places == opened.planned.places,
        "squared": _squared(plan, key, framed, words),
        "waiting": tuple(_waiting(opened, kind, framed)),
        "paper": tuple(str(n) for n, each in opened.counts.block_keys.items() if each == key),
        "unit": plan.unit,
    }


def _said(words: SizeWords, kind: KindNow, tried: Sequence[Tried], chosen: int) -> dict[str, str]:
    """What is said at the size that is chosen, and as a list for the page at each of them."""
    brought_to = [_brought(kind.sizes, each) for each in tried if kind.sizes]
    sentences, behind = [words.all_blocks(each) for each in brought_to], [words.behind(each) for each in brought_to]
    follows = [words.follows(each.size) for each in tried]
    return {
        "sentence": sentences[chosen] if sentences else _begin_words(words, kind),
        "behind": behind[chosen] if behind else _begin_behind(words, kind),
        "follows_now": follows[chosen] if follows else "",
        "sentences": json.dumps(sentences, ensure_ascii=False),
        "behinds": json.dumps(behind, ensure_ascii=False),
        "follows": json.dumps(follows, ensure_ascii=False),
        "labels": json.dumps([words.size(each.size) for each in tried], ensure_ascii=False),
    }


def _tried(sizes: OneSize) -> list[Tried]:
    """All blocks at every size there is to choose: those proposed from, and larger ones, as many as can be slid."""
    larger = sizes.larger_sizes[: MOST_MARKS // 3]
    return [sizes.at(size) for size in (*sizes.sizes[len(larger) - MOST_MARKS :], *larger)]


def _chosen(sizes: OneSize, tried: Sequence[Tried], marks: Sequence[str], size: str) -> int:
    """Which mark is shown: the one asked for, or the size proposed."""
    if size in marks:
        return marks.index(size)
    return next((number for number, each in enumerate(tried) if each.size == sizes.proposed), 0)


def _brought(sizes: OneSize, tried: Tried) -> Brought:
    way = KEEP if tried.size == sizes.shape.planned[0] else SMALLER
    return Brought(sizes, tried, way, sizes.strips(tried.size), None)


def _begin_words(words: SizeWords, kind: KindNow) -> str:
    """What is said before three blocks are measured: the sample's figures decide before the rest is cut."""
    if kind.sizes is None:
        return "Measure a block, pressed and cool: the first one tells whether your seam is right, before more is cut."
    return words.sample(next(iter(kind.sizes.makers.values())))


def _begin_behind(words: SizeWords, kind: KindNow) -> str:
    if kind.sizes is None:
        return ""
    block, more = kind.sizes.blocks[0], ENOUGH - kind.measured
    return f"Block {block.block}: {words.block(block)} With {more} more measured it can be said what all should be."


class _Scale:
    """Lengths as places on a block's line."""

    def __init__(self, sizes: OneSize | None, planned: Fraction) -> None:
        least = min(sizes.smallest, planned) if sizes else planned
        most = max(sizes.largest, planned) if sizes else planned
        edge = max((most - least) / 10, planned / 200)
        self._least, self._span = least - edge, most - least + 2 * edge

    def at(self, length: Fraction) -> int:
        """A whole number from 0 to WIDE."""
        return int((length - self._least) / self._span * WIDE)


def _lines(words: SizeWords, sizes: OneSize, tried: Sequence[Tried], chosen: int, scale: _Scale) -> Iterator[Facts]:
    """Each block's smallest and largest measure on its line, and what to do with it at the chosen size and at each."""
    for place, block in enumerate(sizes.blocks):
        figures = (*block.across, *block.down)
        each = [words.treatment(at.treatments[place], at.size) for at in tried]
        yield {
            "number": block.block,
            "maker": block.maker,
            "left": scale.at(min(figures)),
            "right": max(scale.at(max(figures)), scale.at(min(figures)) + 6),
            "now": each[chosen] if each else "",
            "each": json.dumps(each, ensure_ascii=False),
        }


def _squared(plan: Plan, key: str, framed: bool, words: SizeWords) -> str:
    """To what the plan squares them already, other than as they are sewn; nothing where it does not."""
    block = plan.blocks[key]
    size = block.squared_framed if framed else block.squared
    return "" if size is None else words.size(size.rational)


def _sorted_rows(opened: Opened, sizes: OneSize, framed: bool) -> SortedRows:
    """The blocks' numbers in sorted rows, those that lie already where they lie; none where that is of no use."""
    return rows_sorted(opened.compiled.plan, sizes, framed, _alike(opened), opened.counts.places) or ()


def _alike(opened: Opened) -> list[str]:
    """How each block of the quilt is pressed, by its number; one that lies in its place is like no other."""
    letters = {place.number: place.letter for row in placed(opened) for place in row}
    return [f"{letters[n]} {n}" if opened.counts.lies(n) else letters[n] for n in sorted(letters)]


def _ways(opened: Opened, words: SizeWords, sizes: OneSize, framed: bool, rows: SortedRows) -> Iterator[Facts]:
    """Every other way there is, with what it comes to; and the width to cut `frames`, where the plan is edited for
    that."""
    plan, shape = opened.compiled.plan, sizes.shape
    if sizes.proposed != (planned := shape.planned[0]):
        yield {
            "name": f"{WAY_NAMES[KEEP]}, {words.size(planned)}",
            "words": words.behind(_brought(sizes, sizes.at(planned))),
            "frames": "",
        }
    if shape.framed_to is not None:
        done = brought(plan, sizes, shape.framed_to, framed)
        cut_as_planned = plan.blocks[shape.key].frames[-1].cut
        if done.strips is not None:
            enough = exact(done.strips.cut) <= cut_as_planned
            short = f"The planned {words.length(cut_as_planned.rational)} would not reach."
            reach = "The planned ones reach." if enough else short
            cut = "" if enough else write_length(exact(done.strips.cut), plan.unit, plain=True)
            yield {
                "name": WAY_NAMES[FRAMES],
                "words": f"{words.strips(done.strips, FRAMES).strip()} {reach}",
                "frames": cut,
            }
    else:
        least = sizes.largest + 2 * shape.limits.strip
        size = -(-least // shape.mark) * shape.mark
        strips = sizes.strips(size)
        if strips is not None:
            grown = f"All come to {words.size(size)}, and the quilt grows."
            said = f"{words.strips(strips, STRIPS_ROUND).strip()} {grown}"
            yield {"name": WAY_NAMES[STRIPS_ROUND], "words": said, "frames": ""}
    if rows:
        yield {"name": WAY_NAMES[SORTED], "words": words.sorted_into(rows, sizes), "frames": ""}


def _waiting(opened: Opened, kind: KindNow, framed: bool) -> Iterator[tuple[int, str]]:
    """Blocks that were measured, and worked on since."""
    for number in kind.unmeasured:
        now = block_now(opened, number, framed)
        if now.since is not None:
            yield number, now.since.what
