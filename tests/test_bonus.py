"""Bonus half-squares of flipped corners: sewn, cut off, kept as spares, and as large as is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from tests.quilting import plan_from
from tracker.cloth.folding import press_open
from tracker.cloth.pieces import Stack
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.units.recipes.corners import bonus_trimmed
from tracker.words.step_words import Words
from tracker.work.steps import Checklist, CutApart, Mark, Sew
from tracker.work.things import BONUS

CLOTHS = "".join(f'[fabrics.{key}]\nname = "{key}"\ntone = {tone}\n' for key, tone in (("S", 2), ("R", 6), ("K", 9)))
GOOSE = r"S/R R\S"
SKIES = r"S/R R\K"
SNOWBALL = "S/R R R\\K\nR R R\nK\\R R R/S"


def plan(picture: str, cell: str = "2", head: str = "bonus = true") -> Plan:
    return plan_from(
        f"title = 'Bonus'\n{head}\n{CLOTHS}[blocks.b]\ncell = '{cell}'\ncombine = true\npicture = '''\n{picture}\n'''\n"
        "[quilt]\nblock = 'b'\nacross = 3\ndown = 1\n"
    )


def bonus_piles(checklist: Checklist) -> dict[str, int]:
    return {pile: count for pile, count in checklist.spares.items() if checklist.piles[pile].thing.of == BONUS}


@pytest.mark.parametrize(
    ("picture", "each"), [(GOOSE, 2), (SKIES, 2), (SNOWBALL, 4)], ids=["goose", "skies", "snowball"]
)
@pytest.mark.parametrize(
    ("head", "cell"),
    [("", "2"), ("", "1 1/2"), ("seam = '3/8'", "3"), ("unit = 'cm'", "5")],
    ids=["2 in", "1 1/2 in", "wide seam", "cm"],
)
def test_every_flipped_corner_gives_a_spare_as_large_as_is_said(picture: str, each: int, head: str, cell: str) -> None:
    """Pressed open as cloth, the trimmed square is cloth all over, and one mark more of the ruler would not be."""
    made = plan(picture, cell, f"{head}\nbonus = true")
    checklist = compile_plan(made)
    verdict = prove(made, checklist)
    assert verdict.holds, verdict.first
    spares = bonus_piles(checklist)
    assert sum(spares.values()) == 3 * each
    for pile in spares:
        stack = verdict.trace.lying[pile]
        assert isinstance(stack, Stack)
        opened = press_open(stack, "base", 0, made.seam)
        side = made.blocks["b"].columns[0] + 2 * made.seam
        whole = side - 2 * made.seam * ROOT2
        assert opened.size == (whole, whole)
        assert opened.area == whole * whole
        trimmed = bonus_trimmed(made, side)
        assert trimmed is not None
        assert trimmed <= whole < trimmed + made.ruler


def test_a_two_inch_corner_gives_one_and_a_quarter_finished() -> None:
    """By hand: cut 2 1/2; the cut takes 0.354, its own seam as much: 1.793 open, 1 3/4 trimmed, 1 1/4 finished."""
    made = plan(GOOSE)
    checklist = compile_plan(made)
    words = Words(made, checklist)
    texts = [words.text(step) for step in checklist.steps if isinstance(step.action, CutApart)]
    assert all("midway between the two seams, \u00bc in from each" in text for text in texts)
    assert all("trimmed to 1\u00be in, which finishes 1\u00bc in" in text for text in texts)
    (mark,) = (step for step in checklist.steps if isinstance(step.action, Mark))
    assert "a second line \u00bd in beside it" in words.text(mark)


def test_corners_too_small_for_it_are_cut_off_as_ever() -> None:
    made = plan(GOOSE, "1/2")
    assert bonus_trimmed(made, Measure(1)) is None
    assert bonus_piles(compile_plan(made)) == {}


def test_a_bonus_changes_no_size_and_no_other_count() -> None:
    with_bonus, without = compile_plan(plan(SNOWBALL)), compile_plan(plan(SNOWBALL, head=""))
    assert with_bonus.pieces == without.pieces
    assert with_bonus.units == without.units
    assert [step.operation for step in with_bonus.steps] == [step.operation for step in without.steps]


def elsewhere(action: Sew) -> Sew:
    """The last seam, which is a second one, a sixteenth nearer the corner."""
    *others, ((x1, y1), (x2, y2)) = action.lines
    off = Measure(Fraction(1, 16))
    return replace(action, lines=(*others, ((x1, y1 - off), (x2, y2 - off))))


@pytest.mark.parametrize(
    ("kind", "change", "found"),
    [
        (Sew, elsewhere, "seam line"),
        (Sew, lambda action: replace(action, lines=action.lines[:1]), "count"),
        (CutApart, lambda action: replace(action, parts=action.parts[:1]), "wrong gives"),
    ],
    ids=["second seam off", "not sewn twice", "not kept"],
)
def test_what_is_not_as_it_is_said_is_found(kind: type, change: Callable[[Any], Any], found: str) -> None:
    made = plan(GOOSE)
    checklist = compile_plan(made)
    place = next(n for n, step in enumerate(checklist.steps) if isinstance(step.action, kind))
    step = checklist.steps[place]
    wrong = replace(step, action=change(step.action))
    steps = (*checklist.steps[:place], wrong, *checklist.steps[place + 1 :])
    verdict = prove(made, replace(checklist, steps=steps))
    assert found in {fault.kind for fault in verdict.faults}, [fault.sentence() for fault in verdict.faults]
