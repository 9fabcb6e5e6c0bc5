"""Measuring one sewn block: three widths, three heights, by tapping a ruler or typing; and what they say."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from flask import Response, request

from tracker.exact.measure import LengthFault, read_length, write_length
from tracker.fitting.block_measures import DIAGONALS, NAMES, WAYS, BlockMeasures
from tracker.fitting.block_shape import BlockShape
from tracker.fitting.one_block import PRESS, REMAKE, SEW_AGAIN, STRIPS, lean_read, seam_errors, seam_or_units
from tracker.progress.changes import MADE_AGAIN, MEASURED, PRESSED_AGAIN, SEWN_AGAIN, STRIPS_ON, BlockTold
from tracker.web.asked import block_numbered
from tracker.web.block_makers import called, holder, makers_of, whose
from tracker.web.live import facts_of
from tracker.web.measured_blocks import BlockNow, KindNow, block_now, has_frames_on, kind_now, marks_to_tap
from tracker.web.measuring import KEYBOARDS
from tracker.web.opened import Opened
from tracker.web.pages import go_to, parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.words.size_words import ENOUGH, SINCE, SizeWords

screen = Screen("measured_block", "/quilts/<quilt_id>/measure")

LABELS = ("Near the top", "Middle", "Near the bottom", "Left", "Middle", "Right", "One way", "The other")
"""Where each figure is taken, in the order of the form."""

DONE_BY_ADVICE = {PRESS: PRESSED_AGAIN, SEW_AGAIN: SEWN_AGAIN, STRIPS: STRIPS_ON, REMAKE: MADE_AGAIN}
"""What she tells when she has done what was advised."""

BUTTONS = {
    PRESSED_AGAIN: "Pressed again",
    SEWN_AGAIN: "Sewn again",
    STRIPS_ON: "Strips are on",
    MADE_AGAIN: "Make it anew",
}


@screen.get("")
def first(quilt_id: str) -> Response:
    """The first block that waits to be measured."""
    with parts().desk.quilt(quilt_id) as opened:
        numbers = [n for n in opened.counts.block_keys if not block_now(opened, n, has_frames_on(opened, n)).measures]
    return go_to(f"/quilts/{quilt_id}/measure/{numbers[0] if numbers else 1}")


@screen.get("/<number>")
def measure(quilt_id: str, number: str) -> Response:
    """The form for one block, and what was measured."""
    with parts().desk.quilt(quilt_id) as opened:
        block = block_numbered(opened, number)
        framed = _framed(opened, block)
        facts = facts_of(opened, f"measured_block:{block}:{int(framed)}")
        now = block_now(opened, block, framed)
        shape = kind_now(opened, opened.counts.block_keys[block], framed).shape
        facts |= {"form": _form(opened, now, shape), "parted": _parted(opened, shape, block)}
        return quilt_page("measured_block", "Blocks", opened, **facts)


def _framed(opened: Opened, number: int) -> bool:
    """Whether the block is measured with its frames on: as the address says, or as it was counted."""
    if not opened.compiled.plan.blocks[opened.counts.block_keys[number]].frames:
        return False
    asked = request.args.get("framed", "")
    return asked == "1" if asked in ("0", "1") else has_frames_on(opened, number)


@screen.live
def _measure(opened: Opened, rest: str) -> Facts:
    text, _, framed = rest.partition(":")
    return {"says": block_says(opened, block_numbered(opened, text), framed == "1")}


def block_says(opened: Opened, number: int, framed: bool) -> Facts:
    """What one block's measures say."""
    key = opened.counts.block_keys[number]
    kind, now = kind_now(opened, key, framed), block_now(opened, number, framed)
    words = SizeWords(kind.shape)
    sentence = more = advice = ""
    figures: tuple[tuple[str, str, str], ...] = ()
    done: tuple[tuple[str, str], ...] = ()
    if now.measures is not None and kind.sizes is not None:
        sentence, *rest = words.block_says(now.measures, kind.sizes)
        more = " ".join(rest)
        figures = tuple(_figures(words, now.measures, kind.shape))
        advice, done = _advice(words, kind, now.measures)
    later = [each for each in kind.unmeasured if each > number] or [each for each in kind.unmeasured if each != number]
    return {
        "number": number,
        "name": opened.compiled.plan.blocks[key].name,
        "planned": words.size(kind.shape.planned[0]),
        "sentence": sentence,
        "more": more,
        "advice": advice,
        "figures": figures,
        "tap_id": _taken_back_by(opened, now.told if now.measures else None),
        "since": SINCE[now.since.what] if now.since else "",
        "since_tap": _taken_back_by(opened, now.since),
        "done": done,
        "next": later[0] if later else None,
        "measured": kind.measured,
        "total": kind.measured + len(kind.unmeasured),
        "framed": framed,
        "begun": opened.counts.stage(number).done > 0,
    }


def _taken_back_by(opened: Opened, told: BlockTold | None) -> str:
    """The tap to take back what was told; none where an edited plan has carried it over."""
    return told.tap if told is not None and opened.progress.counts_still(told.tap) else ""


def _advice(words: SizeWords, kind: KindNow, measures: BlockMeasures) -> tuple[str, tuple[tuple[str, str], ...]]:
    """What to do with it at the size that is proposed, and what she can tell when she has done it."""
    assert kind.sizes is not None
    if kind.measured < ENOUGH:
        return "", ()
    size = kind.sizes.proposed
    place = [block.block for block in kind.sizes.blocks].index(measures.block)
    each = kind.sizes.at(size).treatments[place]
    told = [DONE_BY_ADVICE[each.do]] if each.do in DONE_BY_ADVICE else []
    if each.do == SEW_AGAIN:
        told.append(MADE_AGAIN)
    return words.treatment(each, size), tuple((what, BUTTONS[what]) for what in told)


def _figures(words: SizeWords, block: BlockMeasures, shape: BlockShape) -> list[tuple[str, str, str]]:
    """The figures behind the sentence: what, across, down."""
    errors = ["none" if error is None else words.signed(error, True) for error in seam_errors(block, shape)]
    rows = [
        ("Mean", *(words.length(block.mean(way)) for way in WAYS)),
        ("Last edge longer than the first", *(words.signed(block.taper(way)) for way in WAYS)),
        ("Middle longer than the edges", *(words.signed(block.bow(way)) for way in WAYS)),
        ("Each seam too wide", *errors),
    ]
    lean = lean_read(block, shape.limits)
    if lean is not None:
        rows.append(("Leans", words.length(lean.rational), ""))
    return [(what, across, down) for what, across, down in rows]


def _form(opened: Opened, now: BlockNow, shape: BlockShape) -> dict[str, Any]:
    """What the form shows: fields with what was typed, marks to tap, who sewed."""
    typed = list(now.told.lengths) if now.told else []
    typed += [""] * (len(LABELS) - len(typed))
    unit = shape.unit
    makers = [maker.name for maker in makers_of(opened)]
    last = next((each.maker for each in reversed(opened.counts.told.of_all()) if each.what == MEASURED), "")
    planned = shape.planned
    return {
        "fields": list(zip(LABELS, (*NAMES, *DIAGONALS), typed, strict=True)),
        "marks": [
            (write_length(mark, unit), write_length(mark, unit, plain=True), _tall(mark, unit), mark == planned[0])
            for mark in marks_to_tap(shape)
        ],
        "tapped": planned[0] == planned[1],
        "unit": unit,
        "keyboard": KEYBOARDS[unit],
        "example": write_length(planned[0], unit, plain=True),
        "makers": makers,
        "maker": now.maker or whose(opened, now.number) or holder() or called(opened, last),
        "frames": bool(opened.compiled.plan.blocks[shape.key].frames),
    }


def _tall(mark: Fraction, unit: str) -> int:
    """How long a mark's line is on the ruler: 3 for wholes, 2 for halves and quarters, 1 for the rest."""
    if mark.denominator == 1:
        return 3
    return 2 if (unit == "in" and mark.denominator <= 4) or (unit == "cm" and mark.denominator == 2) else 1


def _parted(opened: Opened, shape: BlockShape, number: int) -> dict[str, str]:
    """Seams or units: what two more figures say, where they were given."""
    plan = opened.compiled.plan
    block = plan.blocks[opened.counts.block_keys[number]]
    if len(set(block.columns)) > 1 or len(block.columns) < 3:
        return {}
    given = {name: request.args.get(name, "").strip()[:40] for name in ("inner", "end")}
    words, cell = SizeWords(shape), block.columns[0].rational
    facts = {"cell": words.length(cell), **given, "said": ""}
    if all(given.values()):
        try:
            inner, end = (read_length(given[name], plan.unit).rational for name in ("inner", "end"))
        except LengthFault:
            return facts | {"said": "A length is written as 2 1/4 or 2.25; nothing was changed."}
        facts["said"] = words.parted(seam_or_units(inner, end, cell, shape.seam))
    return facts
