"""Words against cloth: what a pressing or a pairing names is what lies there when the steps are sewn."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

import pytest
from effort import by_lot
from recipe_plans import RECIPE_PLANS, Drawn, drawn_plan

from tracker.cloth.pieces import Piece, Seam, Stack
from tracker.cloth.sewing import StepDone, Trace, sew
from tracker.exact.geometry import XY, locate
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.words.thing_words import plural, spoken
from tracker.work.steps import Checklist, Pair, Press, Step
from tracker.work.things import QUARTER_SQUARE, SPLIT

# Tones: S sand 2, G moss 5, R brick 7, K ink 9.
VARIED = {
    **RECIPE_PLANS,
    "snowball, dark corners of two cloths": Drawn("K/S S S\\R\nS S S\nR\\S S S/K", combine=True),
    "snowball, three cloths, light and dark": Drawn("S/G G G\\K\nG G G\nK\\G G G/S", combine=True),
    "snowball, four cloths": Drawn("S/G G G\\K\nG G G\nR\\G G G/S", combine=True),
    "snowball, two corners below": Drawn("G G G\nK\\G G G/R", combine=True),
    "goose, two light skies": Drawn("S/K K\\G", combine=True),
    "goose, two dark skies": Drawn("R/S S\\K", combine=True),
    "goose, a light and a dark sky": Drawn("S/G G\\K", combine=True),
    "geese four, light": Drawn("R/S S\\R", geese="four", combine=True),
    "square in a square, light": Drawn("R/S S\\R\nR\\S S/R", combine=True),
    "quarter-square, three cloths": Drawn("S:R:S:K G"),
    "split, both quarters dark": Drawn("S:R:K:S G"),
    "split, light quarters": Drawn("K:S:G:K R"),
}

KINDS = {
    "snowball": "snowball",
    "g": "flying goose",
    "square in": "square in a square",
    "quarter": "quarter-square triangle",
    "split": "split quarter-square triangle",
}
"""By the start of a plan's name, the unit that it must be made of."""

SAMPLES = tuple(Fraction(number, 16) for number in range(1, 16, 2))
"""Where along a seam the cloth beside it is looked at."""


@pytest.fixture(params=by_lot(VARIED), scope="module")
def sewn(request: pytest.FixtureRequest) -> tuple[Plan, Checklist, Trace, Words]:
    plan = drawn_plan(request.param, VARIED[request.param])
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    assert trace.fault is None
    return plan, checklist, trace, Words(plan, checklist)


def test_the_cloth_named_lies_where_the_seam_is_pressed_to(sewn: tuple[Plan, Checklist, Trace, Words]) -> None:
    plan, checklist, trace, words = sewn
    for step in checklist.steps:
        if not isinstance(step.action, Press):
            continue
        beside = [cloths_beside(piece, seam) for piece, seam in new_seams(trace.done[step.id])]
        assert beside
        named = named_in(words.text(step), plan, step.action, {key for found in beside for key in found})
        # Near its ends, where seams cross, a seam may run into another cloth: the cloth is that along most of it.
        for found in beside:
            most = {key for key, times in found.items() if 2 * times >= found.total()}
            assert most
            assert most <= named, step.id
        assert named <= {key for found in beside for key in found}, step.id


def named_in(text: str, plan: Plan, press: Press, either: set[str]) -> set[str]:
    """The cloths named after "toward", as keys; that of the two halves which is marked is told by it. `either`: those
    of two halves that no line tells apart."""
    if re.match(r"Press to either side(?::|, as before:) the half it goes toward on top", text):
        return either
    found = re.match(
        r"Press toward (the half of )?([^.]+?)( with(?:out)? the pencil line)?(?:\. With|, as before:) that on top",
        text,
    )
    assert found, text
    assert found[3] in (None, {"base": " without", "laid": " with"}[press.toward] + " the pencil line")
    keys = {fabric.name: key for key, fabric in plan.fabrics.items()}
    if found[2] in ("the part that lay below", "the part that was laid on it"):
        return either
    whole = re.fullmatch(r"the [^,]+, (.+)", found[2])
    if whole:  # by the cloths of all of it
        assert set(press.cloths) <= {keys[name] for name in whole[1].split(" / ")}
        return set(press.cloths)
    one_piece = re.fullmatch(
        r"the (?:piece that is )?(.+?)(?: along the seam| triangles?| square| rectangle)", found[2]
    )
    names = re.split(" / | and ", one_piece[1]) if one_piece else found[2].split(" / ")
    assert len(names) > 1 or not found[1]
    assert len(set(names)) == len(names)
    return {keys[name] for name in names}


def test_the_last_seam_of_four_quarters_goes_to_the_half_that_was_not_marked_and_is_told_by_its_cloths(
    sewn: tuple[Plan, Checklist, Trace, Words],
) -> None:
    plan, checklist, _, words = sewn
    for step in checklist.steps:
        pair = words.pair_before(step) if isinstance(step.action, Press) else None
        if pair is None or checklist.made(step).thing.of not in (QUARTER_SQUARE, SPLIT):
            continue
        assert isinstance(step.action, Press)
        half, other = checklist.piles[pair.base], checklist.piles[pair.laid[0].pile]
        assert step.action.toward == "base"
        text = words.text(step)
        assert "underneath" not in text
        assert named_in(text, plan, step.action, set(half.fabrics)) == set(half.fabrics)
        told_apart = "pencil" in text or "either side" in text
        assert told_apart == (set(half.fabrics) == set(other.fabrics))


def new_seams(done: StepDone) -> Iterator[tuple[Piece, Seam]]:
    """The seams that a pressing opened, on the piece as it lies afterwards."""
    for before, after in zip(done.before.values(), done.after.values(), strict=True):
        assert isinstance(before, Stack)
        assert isinstance(after, Piece)
        old = sum(len(piece.seams) for piece in before.pieces)
        assert len(after.seams) <= old + len(before.laid)
        for seam in after.seams[-len(before.laid) :]:
            yield after, seam


def cloths_beside(piece: Piece, seam: Seam) -> Counter[str]:
    """The cloths a little way off a seam on the side that its allowance lies on, and at how many places each."""
    assert seam.toward is not None
    (x1, y1), (x2, y2) = seam.line
    found: Counter[str] = Counter()
    for share in SAMPLES:
        off = [Measure(Fraction(step, 64)) for step in seam.toward]
        point = x1 + (x2 - x1) * share + off[0], y1 + (y2 - y1) * share + off[1]
        found.update(cloth_at(piece, point))
    return found


def cloth_at(piece: Piece, point: XY) -> Iterator[str]:
    return (facet.fabric for facet in piece.facets if locate(facet.polygon, point) > 0)


def test_every_pile_laid_on_is_named_with_its_count(sewn: tuple[Plan, Checklist, Trace, Words]) -> None:
    plan, checklist, _, words = sewn
    for step in checklist.steps:
        if not isinstance(step.action, Pair):
            continue
        laid = laid_piles(step, step.action)
        text = words.text(step).partition("On it ")[2]
        for pile_id, count in laid.items():
            pile = checklist.piles[pile_id]
            cloths = " / ".join(plan.fabrics[key].name for key in pile.fabrics)
            number = "the" if sum(laid.values()) == 1 else str(count)
            ends = "" if count == 1 else "s"
            called = plural(spoken(pile.thing), count)
            named = (f"{number} {cloths} {pile.thing.name}{ends},", f"{number} {called}, {cloths}")
            assert any(name in text for name in named), (text, named)


def laid_piles(step: Step, pair: Pair) -> dict[str, int]:
    """How many pieces of each pile are laid on, by what the step takes."""
    taken = {flow.pile: flow.each - (flow.pile == pair.base) for flow in step.takes}
    return {pile: count for pile, count in taken.items() if count}


def test_the_plans_vary_enough() -> None:
    """Pressings toward one and toward several cloths, under and over; pairings with one and with several piles."""
    pressed: set[tuple[str, int]] = set()
    laid: set[int] = set()
    for name, drawn in VARIED.items():
        checklist = compile_plan(drawn_plan(name, drawn))
        kinds = {row.kind for row in checklist.units}
        assert kinds >= {kind for start, kind in KINDS.items() if name.startswith(start)}
        for step in checklist.steps:
            if isinstance(step.action, Press):
                pressed.add((step.action.toward, len(step.action.cloths)))
            elif isinstance(step.action, Pair):
                laid.add(len(laid_piles(step, step.action)))
    assert pressed >= {("base", 1), ("base", 2), ("laid", 1), ("laid", 2)}
    assert laid >= {1, 2}
