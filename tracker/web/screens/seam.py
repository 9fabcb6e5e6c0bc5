"""The seam test: three strips, what the middle one measures, and what that says."""

from __future__ import annotations

from typing import Any

from flask import Response, request

from tracker.exact.measure import Measure, nearest, on_mark, write_length
from tracker.fitting.seam_test import Advice, SeamTest, Unlikely, advise, seam_test, seams_of, sentence
from tracker.web.block_makers import BlockMaker, called, holder, makers_of
from tracker.web.clock import here, stamp, when
from tracker.web.opened import Opened
from tracker.web.pages import go_to, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.thing_words import plural

screen = Screen("seam", "/quilts/<quilt_id>/seam")

MARKS = {"in": Measure(1) / 64, "cm": Measure(1) / 100}
"""To what a small length is said: no ruler shows less."""


@screen.get("")
def test_page(quilt_id: str) -> Response:
    """The test, and its result where there is one; of one maker, where there are several."""
    with parts().desk.quilt(quilt_id) as opened:
        return _page(opened, _maker(opened, request.args.get("maker")))


@screen.post("")
def measured(quilt_id: str) -> Response:
    """Keep what the middle strip measures with the quilt."""
    text = request.form.get("middle", "")
    with parts().desk.quilt(quilt_id) as opened:
        test, maker = seam_test(opened.compiled.plan), _maker(opened, request.form.get("maker"))
        try:
            advise(test, text)
        except Unlikely as fault:
            return _page(opened, maker, text[:60], sentence(fault, test))
        kept = {"middle": text.strip(), "at": stamp()}
        with opened.stored.turn():
            if maker is None:
                opened.stored.set_about(seam_test=kept)
            else:
                opened.stored.set_about(seam_tests=opened.stored.about.get("seam_tests", {}) | {maker.key: kept})
    return go_to(f"/quilts/{quilt_id}/seam{f'?maker={maker.key}' if maker else ''}")


def _maker(opened: Opened, key: str | None) -> BlockMaker | None:
    """Whose seam is meant: as the address says, or else of who holds this device, where she is one of the makers."""
    makers = makers_of(opened)
    if key is None:
        return next((maker for maker in makers if maker.name == called(opened, holder())), None)
    return next((maker for maker in makers if maker.key == key), None)


def _page(opened: Opened, maker: BlockMaker | None, typed: str = "", doubt: str = "") -> Response:
    test = seam_test(opened.compiled.plan)
    facts: dict[str, Any] = {"typed": typed, "doubt": doubt, "result": result_of(opened, maker), "unit": test.unit}
    facts |= {"makers": makers_of(opened), "maker": maker}
    facts |= {name: _length(value, test) for name, value in _lengths(test).items()}
    return quilt_page("seam", "", opened, status=422 if doubt else 200, **facts)


def _lengths(test: SeamTest) -> dict[str, Measure]:
    return {"strip": test.strip, "seam": test.seam, "middle": test.middle, "whole": test.whole}


def _length(length: Measure, test: SeamTest) -> str:
    if on_mark(length, MARKS[test.unit]):
        return f"{write_length(length, test.unit)} {test.unit}"
    return f"about {write_length(nearest(length, MARKS[test.unit]), test.unit)} {test.unit}"


def result_of(opened: Opened, maker: BlockMaker | None = None) -> Facts | None:
    """What the kept measurement (a maker's own, where one is named) says under the plan as it is now; None where there
    is none that fits it."""
    kept = opened.about.get("seam_tests", {}).get(maker.key) if maker else opened.about.get("seam_test")
    if not kept:
        return None
    try:
        advice = advise(seam_test(opened.compiled.plan), str(kept["middle"]))
    except Unlikely:
        return None
    found = f"Each seam takes {_length(advice.seam, advice.test)}"
    if advice.verdict != "right":
        found += f": {_length(abs(advice.error), advice.test)} too {advice.verdict}"
    return {
        "verdict": advice.verdict,
        "middle": _length(advice.middle, advice.test),
        "found": f"{found}.",
        "move": move_words(advice),
        "costs": [] if advice.verdict == "right" else _costs(opened, advice),
        "when": when(kept.get("at"), here()),
    }


def move_words(advice: Advice) -> str:
    """What to move, by how much and which way, with the guide on the right of the needle as it usually is."""
    if advice.verdict == "right":
        return "The seam is right: leave needle and guide where they are."
    by = _length(abs(advice.error), advice.test)
    if advice.verdict == "wide":
        return f"Move the needle {by} to the right, or the guide {by} to the left: closer together. Then test again."
    return f"Move the needle {by} to the left, or the guide {by} to the right: further apart. Then test again."


def _costs(opened: Opened, advice: Advice) -> list[Facts]:
    found = []
    for key, block in opened.compiled.plan.blocks.items():
        across, down = seams_of(opened.compiled.checklist, key)
        seams = max(across, down)
        if seams:
            way = "across" if across >= down else "from top to bottom"
            size = "small" if advice.error > 0 else "large"
            by = _length(abs(advice.cost(seams)), advice.test)
            found.append({"block": block.name, "words": f"{seams} {plural('seam', seams)} {way}: {by} too {size}"})
    return found
