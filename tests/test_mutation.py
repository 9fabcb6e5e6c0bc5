"""One printed value changed, nothing recomputed, all of them tried: the proof must fail.

What passes all the same sews the same picture with true sizes; it is listed below with the reason, and each reason is
checked on the cloth that lies there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from itertools import islice
from random import SystemRandom
from typing import Any

import pytest
from effort import THOROUGH
from mutants import Mutant, mutants
from recipe_plans import RECIPE_PLANS, recipe_plan
from test_whole_quilt import BORDER, CLOTHS, CORNERED, LAYERS, MITRED, ON_POINT, STONES, nines

import tracker.cloth.sewing
import tracker.proof.numbers
import tracker.proof.proof
import tracker.proof.version_faults
import tracker.proof.whole_quilt
from tracker.cloth.alike import difference_between, open_alike
from tracker.cloth.doing import ActionResult, do
from tracker.cloth.folding import folds_of
from tracker.cloth.pieces import Content, Stack, spans_on
from tracker.cloth.sewing import StepDone, Trace, sew
from tracker.cloth.sewing_faults import SewingFault
from tracker.exact.geometry import common
from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.proof.proof import prove
from tracker.proof.seam_faults import press_faults
from tracker.route.compiler import compile_plan
from tracker.work.steps import About, Checklist, Press, Step


def by_identity(function: Callable[..., Any]) -> Callable[..., Any]:
    """The function, asked only once for the same objects and equal measures, numbers and words. The objects are kept,
    so that their ids stay their own.
    """
    known: dict[tuple[Any, ...], tuple[tuple[Any, ...], Any]] = {}

    def remembered(*arguments: Any) -> Any:
        key = tuple(each if isinstance(each, (Measure, int, str)) else (id(each),) for each in arguments)
        if key not in known:
            known[key] = arguments, function(*arguments)
        return known[key][1]

    return remembered


@pytest.fixture
def remembering(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a change does not reach is worked out once for all mutants: the same action on the same cloth."""
    # Steps are kept with what came of them: of one that is gone another could have the id.
    known: dict[object, tuple[Step, Mapping[str, Content], ActionResult]] = {}

    def remembered(step: Step, before: Mapping[str, Content], seam: Measure) -> ActionResult:
        cloth = tuple((pile, id(content)) for pile, content in before.items())
        key = (id(step.action), step.takes, step.gives, cloth)
        if key not in known:
            known[key] = step, before, do(step, before, seam)
        return known[key][2]

    monkeypatch.setattr(tracker.cloth.sewing, "do", remembered)
    pressed: dict[object, tuple[Step, StepDone, list[SewingFault]]] = {}

    def looked(plan: Plan, step: Step, action: Press, done: StepDone, outward: bool) -> list[SewingFault]:
        key = (step.id, id(action), outward, *(id(content) for content in done.before.values()))
        if key not in pressed:
            pressed[key] = step, done, list(press_faults(plan, step, action, done, outward))
        return pressed[key][2]

    monkeypatch.setattr(tracker.proof.proof, "press_faults", looked)
    for module, name in (
        (tracker.cloth.sewing, "difference_between"),
        (tracker.cloth.sewing, "either_hand"),
        (tracker.cloth.sewing, "mirrored"),
        (tracker.cloth.sewing, "open_alike"),
        (tracker.proof.proof, "difference_from_picture"),
        (tracker.proof.version_faults, "difference_from_picture"),
        (tracker.proof.version_faults, "_turns"),
        (tracker.proof.version_faults, "turned_piece"),
        (tracker.proof.version_faults, "meetings"),
        (tracker.proof.whole_quilt, "_within"),
        (tracker.proof.numbers, "difference_from_unit"),
        (tracker.proof.numbers, "cloths_round"),
        (tracker.proof.proof, "cloths_in"),
    ):
        monkeypatch.setattr(module, name, by_identity(getattr(module, name)))


TURNED = "turned, it lies the same"
SPARE = "a spare that no block uses"
TWO_CLOTHS = "the seam has the same two cloths along both sides, so neither side is the darker"
ROOM = "a setting triangle lies a little aside, within what is trimmed off it"

PASS_ALL_THE_SAME: dict[str, dict[str, int]] = {
    "plain patches": {TURNED: 6},
    "rows": {TURNED: 14},
    "seam begun": {TURNED: 23},
    "seam begun, the other way": {TURNED: 7},
    "cut up": {TURNED: 21},
    "two versions": {TURNED: 12},
    "frame": {TURNED: 9},
    "squared down": {TURNED: 4},
    "squared down, framed": {TURNED: 1},
    "half-square two": {TURNED: 4},
    "half-square four": {TURNED: 6},
    "half-square eight": {TURNED: 6},
    "half-rectangle, both hands": {},
    "half-rectangle, upright": {},
    "triangle in a square": {},
    "triangle in a rectangle, dark sides": {},
    "quarter-square": {TURNED: 5, SPARE: 3},
    "quarter-square, two cloths": {TURNED: 9, TWO_CLOTHS: 1},
    "split": {TURNED: 4, SPARE: 3},
    "split, the quarter like the half": {TURNED: 4},
    "quarter-square of triangles": {TURNED: 3},
    "quarter-square of triangles, two cloths": {TURNED: 6, TWO_CLOTHS: 1},
    "split of triangles": {TURNED: 3},
    "split of triangles, the other hand too": {},
    "goose flip": {TURNED: 2},
    "geese four": {TURNED: 3},
    "square in a square": {TURNED: 15},
    "snowball": {TURNED: 17},
    "strip set": {TURNED: 3},
    "pieced half, in rows": {TURNED: 1},
    "pieced half, in columns": {TURNED: 1},
    "pieced half, strips of triangles": {},
    "pieced half, plain strips": {TURNED: 2},
    "nested square": {TURNED: 19, TWO_CLOTHS: 1},
    "four-patch on point": {TURNED: 16, TWO_CLOTHS: 1},
    "diagonal band": {TURNED: 2},
    "diagonal band, one end covered": {TURNED: 3},
    "star of diamonds": {TURNED: 27},
    "on point": {TURNED: 3},
}
"""How many mutants of each plan pass, by reason."""

QUILTS_PASS: dict[str, dict[str, int]] = {
    "cornerstones": {TURNED: 23},
    "layers": {TURNED: 9},
    "mitred": {TURNED: 8},
    "on point": {TURNED: 1, ROOM: 6},
    "turned": {TURNED: 1},
}
"""The same for whole quilts of small blocks."""

QUILTS = {
    "cornerstones": ("S R", nines(2, 2) + STONES + CORNERED),
    "mitred": ("S R", nines(2, 1) + MITRED),
    "layers": ("S R", nines(2, 1) + BORDER + LAYERS),
    "on point": ("S/R", nines(2, 1) + ON_POINT),
    "turned": ("S/R", nines(2, 1) + '\nturns = [["0", "90"]]'),
}
"""The picture of a block, and how it is set."""


def quilt_plan(name: str) -> Plan:
    picture, quilt = QUILTS[name]
    block = f'[blocks.nine]\ncell = "2"\npicture = "{picture}"\n'
    result = read_plan(f'title = "Quilt"\ntrimming = "exact"\n{CLOTHS}{block}{quilt}')
    assert result.plan is not None, result.problems
    return result.plan


@pytest.mark.usefixtures("remembering")
@pytest.mark.parametrize("name", RECIPE_PLANS)
def test_every_changed_value_makes_the_proof_fail(name: str) -> None:
    hold_to(recipe_plan(name), PASS_ALL_THE_SAME[name])


@pytest.mark.usefixtures("remembering")
@pytest.mark.parametrize("name", QUILTS)
def test_every_changed_value_of_a_quilt_makes_the_proof_fail(name: str) -> None:
    hold_to(quilt_plan(name), QUILTS_PASS[name])


def hold_to(plan: Plan, expected: dict[str, int]) -> None:
    """A usual run tries every twentieth mutant, others each time: no more pass than may. A thorough run tries all, and
    just so many pass."""
    passed = passing(plan, 1 if THOROUGH else 20)
    assert (passed == expected) if THOROUGH else (passed <= Counter(expected)), passed


def passing(plan: Plan, each: int) -> Counter[str]:
    """How many mutants of a plan pass, by reason, of every so many."""
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    tried = 0
    passed: Counter[str] = Counter()
    for mutant in islice(mutants(checklist), SystemRandom().randrange(each), None, each):
        tried += 1
        verdict = prove(plan, mutant.checklist)
        if verdict.holds:
            passed[reason(plan, checklist, trace, mutant, verdict.trace)] += 1
        else:
            assert verdict.first is not None
            assert verdict.first.sentence(plan.unit)
    assert tried >= 200 // each
    return passed


def reason(plan: Plan, checklist: Checklist, trace: Trace, mutant: Mutant, changed: Trace) -> str:
    """Why a mutant sews the same picture with true sizes; an error where there is no such reason."""
    step = next(step for step in checklist.steps if step.id == mutant.step)
    before, after = trace.done[step.id].after, changed.done[step.id].after
    if mutant.value == "Press.toward":
        assert mutant.how != "open"
        assert any(alike_on_both_sides(content, plan.seam) for content in trace.done[step.id].before.values()), mutant
        return TWO_CLOTHS
    if mutant.value == "JoinParts.members[].along":
        of_rows = (step for step in checklist.steps if step.topic.about is About.ROWS)
        squared = next(step for step in of_rows if step.operation == "square")
        tops = [sewn.done[squared.id].after[squared.gives[0].pile] for sewn in (trace, changed)]
        assert looks_alike(*tops, plan.seam)
        return ROOM
    assert mutant.value.endswith(".turn"), mutant
    differing = [pile for pile in before if not looks_alike(before[pile], after[pile], plan.seam)]
    if not differing:
        return TURNED
    assert not reaches_a_block(checklist, differing), mutant
    return SPARE


def looks_alike(first: Content, second: Content, seam: Measure) -> bool:
    """The same cloth where it lies, or when it is opened."""
    return difference_between(first, second, seam) in (None, "the seams") or open_alike(first, second, seam)


def alike_on_both_sides(content: Content, seam: Measure) -> bool:
    """Whether the same two cloths lie along both sides of the seam of a folded stack, each along half of it."""
    assert isinstance(content, Stack)
    (fold,) = folds_of(content, seam)
    (span,) = fold.spans
    sides = []
    for piece in content.pieces:
        lengths: dict[str, Measure] = {}
        for facet in piece.facets:
            for low, high in common(spans_on([facet.polygon], fold.line), [span]):
                lengths[facet.fabric] = lengths.get(facet.fabric, Measure()) + high - low
        sides.append(lengths)
    half = (span[1] - span[0]) / 2
    return sides[0] == sides[1] == dict.fromkeys(sides[0], half)


def reaches_a_block(checklist: Checklist, piles: list[str]) -> bool:
    """Whether anything on these piles goes into a block in the end."""
    reached = set(piles)
    for step in checklist.steps:
        if step.count and any(flow.pile in reached for flow in step.takes):
            reached.update(flow.pile for flow in step.gives)
    return any(checklist.piles[pile].block is not None for pile in reached)
