"""The proof: true checklists hold, and what is not as the plan wants it or as printed is named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from effort import tries
from hypothesis import given, settings
from plan_strategies import plans
from recipe_plans import RECIPE_PLANS, recipe_plan

from tracker.cloth.sewing_faults import PROOF_KINDS, SewingFault
from tracker.exact.measure import Measure
from tracker.plan.model import Frame, Plan
from tracker.proof.block_picture import CENTRE_MARK, cloths_round, difference_from_picture
from tracker.proof.proof import prove
from tracker.route.compiler import CannotSew, compile_plan
from tracker.work.steps import Checklist, Cut, Pin, Press, PressSeams, Step
from tracker.work.whole_blocks import Nest

EIGHTH = Measure(Fraction(1, 8))


@pytest.mark.parametrize("trimming", ["roomy", "exact"])
@pytest.mark.parametrize("name", RECIPE_PLANS)
def test_every_recipe_is_proved(name: str, trimming: str) -> None:
    plan = recipe_plan(name, trimming)
    verdict = prove(plan, compile_plan(plan))
    assert verdict.holds, [fault.sentence() for fault in verdict.faults]
    assert verdict.first is None


def proved_or_refused(plan: Plan) -> None:
    try:
        checklist = compile_plan(plan)
    except CannotSew:
        return
    verdict = prove(plan, checklist)
    assert verdict.holds, [fault.sentence(plan.unit) for fault in verdict.faults]


@settings(max_examples=tries(60), deadline=None)
@given(plans(most=4, most_blocks=3, combine=True))
def test_random_plans_are_proved(plan: Plan) -> None:
    proved_or_refused(plan)


@settings(max_examples=tries(30), deadline=None)
@given(plans(most=8, most_blocks=3, spans="any"))
def test_large_random_plans_are_proved_or_refused(plan: Plan) -> None:
    proved_or_refused(plan)


# A checklist for another picture


def repainted(plan: Plan, place: int, quarters: tuple[str, str, str, str]) -> Plan:
    """The plan with one cell drawn otherwise."""
    block = plan.blocks["b"]
    cells = list(block.cells)
    cells[place] = replace(cells[place], quarters=quarters)
    return replace(plan, blocks={"b": replace(block, cells=tuple(cells))})


@pytest.mark.parametrize(
    ("name", "place", "quarters", "facts"),
    [
        ("plain patches", 1, ("G", "G", "G", "G"), {"place": "r1c2", "wanted": "G", "found": "R"}),
        ("rows", 2, ("S", "S", "S", "S"), {"place": "r2c1", "wanted": "S", "found": "R"}),
        # The same half-square, its diagonal rising.
        ("half-square two", 1, ("R", "S", "S", "R"), {"place": "r1c2"}),
        # Turned half round.
        ("half-square two", 1, ("R", "R", "S", "S"), {"place": "r1c2", "wanted": "R", "found": "S"}),
        # The mirror image.
        ("quarter-square", 0, ("S", "K", "G", "R"), {"place": "r1c1", "wanted": "K", "found": "R"}),
        ("split", 0, ("S", "G", "R", "S"), {"place": "r1c1"}),
        # No square on its point any more: now the rounding of its centre does not pass.
        ("square in a square", 3, ("S", "S", "S", "S"), {"place": "r1c1"}),
        ("snowball", 4, ("S", "S", "S", "S"), {"place": "r2c2", "wanted": "S", "found": "R"}),
    ],
)
def test_the_first_cell_that_differs_is_named(
    name: str, place: int, quarters: tuple[str, str, str, str], facts: dict[str, str]
) -> None:
    plan = recipe_plan(name)
    checklist = compile_plan(plan)
    first = prove(repainted(plan, place, quarters), checklist).first
    assert first is not None
    assert first.kind == "picture"
    assert first.step in {step.id for step in checklist.steps}
    assert {key: dict(first.facts)[key] for key in facts} == facts
    assert dict(first.facts)["block"] == "b"


def test_a_frame_of_another_cloth_is_named() -> None:
    plan = recipe_plan("frame")
    checklist = compile_plan(plan)
    block = replace(plan.blocks["b"], frames=(Frame("G", plan.blocks["b"].frames[0].cut),))
    first = prove(replace(plan, blocks={"b": block}), checklist).first
    assert first is not None
    assert first.kind == "picture"
    assert (dict(first.facts)["place"], dict(first.facts)["wanted"], dict(first.facts)["found"]) == (
        "frame 1, top",
        "G",
        "S",
    )


def test_another_size_is_named() -> None:
    plan = recipe_plan("rows")
    checklist = compile_plan(plan)
    block = replace(plan.blocks["b"], columns=(Measure(2), Measure(3)))
    first = prove(replace(plan, blocks={"b": block}), checklist).first
    assert first is not None
    assert (first.kind, dict(first.facts)["place"]) == ("picture", "the whole block")


def test_a_centre_on_its_point_may_be_off_by_its_rounding_only() -> None:
    plan = recipe_plan("square in a square")
    block = plan.blocks["b"]
    piece = prove(plan, compile_plan(plan)).trace.lying
    (pile,) = [key for key in piece if key.startswith("trimmed:square in a square")]
    content = piece[pile]
    assert cloths_round(content) == ("R", "R", "R", "R")  # type: ignore[arg-type]
    assert difference_from_picture(content, block, "in", plan.seam) is None  # type: ignore[arg-type]
    # Where nobody asked for a unit on its point the diagonals must be exact.
    exact = replace(block, combine=False)
    assert difference_from_picture(content, exact, "in", plan.seam) is not None  # type: ignore[arg-type]
    assert CENTRE_MARK["in"] == Fraction(1, 16)
    assert CENTRE_MARK["cm"] == Fraction(1, 10)


# Numbers that do not agree


def step_changed(
    checklist: Checklist, wanted: Callable[[Step], bool], change: Callable[[Step], Step]
) -> tuple[Checklist, str]:
    """The checklist with the first such step changed, and the id of that step."""
    place = next(number for number, step in enumerate(checklist.steps) if wanted(step))
    steps = list(checklist.steps)
    steps[place] = change(steps[place])
    return replace(checklist, steps=tuple(steps)), steps[place].id


def is_a(operation: str) -> Callable[[Step], bool]:
    return lambda step: step.operation == operation


def longer(step: Step) -> Step:
    assert step.size is not None
    return replace(step, size=(step.size[0] + EIGHTH, step.size[1]))


def pressed_about(step: Step) -> Step:
    assert isinstance(step.action, Press)
    return replace(step, action=Press({"base": "laid", "laid": "base"}[step.action.toward], step.action.turn))


def nests_changed(nests: tuple[Nest, ...]) -> Callable[[Step], Step]:
    def change(step: Step) -> Step:
        assert isinstance(step.action, Pin)
        return replace(step, action=replace(step.action, nests=nests))

    return change


def action_changed(**values: object) -> Callable[[Step], Step]:
    return lambda step: replace(step, action=replace(step.action, **values))  # type: ignore[arg-type]


def seams_about(step: Step) -> Step:
    """The first seam pressed to its other side."""
    assert isinstance(step.action, PressSeams)
    (first, *others), *rest = step.action.seams
    about = next(part for part in first.between if part != first.toward)
    return replace(step, action=PressSeams(((replace(first, toward=about), *others), *rest)))


def is_a_row(step: Step) -> bool:
    return isinstance(step.action, PressSeams) and len(step.takes) == 2


def is_of_a_version(step: Step) -> bool:
    return step.blocks is not None


CHANGED: list[tuple[str, str, Callable[[Step], bool], Callable[[Step], Step], str]] = [
    ("a printed size", "half-square two", is_a("press"), longer, "size"),
    ("an operation's name", "half-square two", is_a("trim"), lambda s: replace(s, operation="cut"), "wrong operation"),
    ("a count", "rows", is_a("cut"), lambda s: replace(s, count=s.count - 1), "too few"),
    ("a count below nothing", "rows", is_a("pin"), lambda s: replace(s, count=-1), "below zero"),
    ("a unit pressed light", "half-square two", is_a("press"), pressed_about, "pressed light"),
    ("nests that do not", "rows", is_a("pin"), nests_changed((Nest(Measure(Fraction(9, 4)), False),)), "nests"),
    ("nests where no seam is", "rows", is_a("pin"), nests_changed((Nest(Measure(1), True),)), "nests"),
    ("a meeting left out", "rows", is_a("pin"), nests_changed(()), "nests"),
    ("the other edge", "rows", is_a("pin"), action_changed(direction="across"), "pinned the other way"),
    ("a seam begun too far", "seam begun", is_a("begin seam"), action_changed(sewn=Measure(3)), "begun"),
    ("another cloth named", "half-square two", is_a("press"), action_changed(cloths=("S",)), "cloths"),
    ("no cloth named", "half-square two", is_a("press"), action_changed(cloths=()), "cloths"),
    ("a unit pressed open", "quarter-square", is_a("press"), action_changed(toward="open"), "pressed light"),
    ("strips pressed light", "strip set", is_a("press"), seams_about, "pressed light"),
    ("a frame pressed to the block", "frame", is_a("press"), seams_about, "pressed light"),
    ("a version's row pressed about", "two versions", is_a_row, seams_about, "nests"),
    ("counted in the pool", "rows", is_a("pin"), lambda s: replace(s, per="quilt"), "wrong owner"),
    ("a block left out", "two versions", is_of_a_version, lambda s: replace(s, blocks=()), "not each block"),
]


@pytest.mark.parametrize(
    ("name", "wanted", "change", "kind"), [case[1:] for case in CHANGED], ids=[case[0] for case in CHANGED]
)
def test_a_step_not_as_printed_is_named(
    name: str, wanted: Callable[[Step], bool], change: Callable[[Step], Step], kind: str
) -> None:
    plan = recipe_plan(name)
    checklist, step = step_changed(compile_plan(plan), wanted, change)
    faults = prove(plan, checklist).faults
    assert kind in {fault.kind for fault in faults}
    if kind not in ("too few", "nests"):
        assert faults[0].step == step


def more(row: object) -> object:
    return replace(row, count=row.count + 1)  # type: ignore[attr-defined,type-var]


LISTS: list[tuple[str, Callable[[Checklist], Checklist], str, str]] = [
    ("a piece more", lambda c: replace(c, pieces=(more(c.pieces[0]), *c.pieces[1:])), "cutting list", "count"),  # type: ignore[arg-type]
    ("a piece left out", lambda c: replace(c, pieces=c.pieces[1:]), "cutting list", "count"),
    ("a block more", lambda c: replace(c, blocks=(more(c.blocks[0]),)), "block list", "count"),  # type: ignore[arg-type]
    ("no block", lambda c: replace(c, blocks=()), "block list", "count"),
    (
        "a block's size",
        lambda c: replace(c, blocks=(replace(c.blocks[0], inner=(EIGHTH, EIGHTH)),)),
        "block list",
        "size",
    ),
    (
        "a unit needed more",
        lambda c: replace(c, units=(replace(c.units[0], needed=c.units[0].needed + 1), *c.units[1:])),
        "unit list",
        "count",
    ),
    (
        "a unit's trimmed size",
        lambda c: replace(c, units=(replace(c.units[0], trimmed=(EIGHTH, EIGHTH)), *c.units[1:])),
        "unit list",
        "size",
    ),
    (
        "a unit's cloths",
        lambda c: replace(c, units=tuple(replace(row, fabrics=row.fabrics[::-1]) for row in c.units)),
        "unit list",
        "unit",
    ),
    ("a unit left out", lambda c: replace(c, units=c.units[1:]), "unit list", "count"),
    ("a spare that is none", lambda c: replace(c, spares={**c.spares, c.steps[0].gives[0].pile: 7}), "spares", "count"),
]


@pytest.mark.parametrize(("change", "where", "kind"), [case[1:] for case in LISTS], ids=[case[0] for case in LISTS])
def test_lists_must_agree_with_the_steps(change: Callable[[Checklist], Checklist], where: str, kind: str) -> None:
    plan = recipe_plan("quarter-square")
    faults = prove(plan, change(compile_plan(plan))).faults
    assert (where, kind) in {(fault.step, fault.kind) for fault in faults}


def test_more_blocks_than_are_made() -> None:
    plan = recipe_plan("rows")
    quilt = replace(plan.quilt, places=(("b", "b"), ("b", "b")))
    faults = prove(replace(plan, quilt=quilt), compile_plan(plan)).faults
    (blocks,) = [fault for fault in faults if fault.kind == "blocks"]
    assert (dict(blocks.facts)["found"], dict(blocks.facts)["needed"]) == (2, 4)


def test_steps_out_of_order_stop_the_proof_at_the_first() -> None:
    plan = recipe_plan("half-square two")
    checklist = compile_plan(plan)
    steps = [*checklist.steps[1:], checklist.steps[0]]
    verdict = prove(plan, replace(checklist, steps=tuple(steps)))
    assert verdict.first is not None
    assert verdict.first.kind in ("empty pile", "too few")
    assert verdict.first.step == next(
        step.id for step in steps if checklist.steps[0].gives[0].pile in {flow.pile for flow in step.takes}
    )


def test_a_piece_cut_of_the_wrong_cloth_is_found_where_it_shows() -> None:
    plan = recipe_plan("half-square two")

    def other_cloth(step: Step) -> Step:
        assert isinstance(step.action, Cut)
        return replace(step, action=replace(step.action, fabric="K"))

    checklist, _ = step_changed(compile_plan(plan), is_a("cut"), other_cloth)
    kinds = {fault.kind for fault in prove(plan, checklist).faults}
    assert {"picture", "count"} <= kinds


def test_every_kind_of_fault_reads_as_a_sentence() -> None:
    facts = {
        "pile": "p", "printed": (Measure(2), Measure(0, 1)), "found": "f", "side": "left", "along": EIGHTH,
        "block": "b", "place": "r1c1", "wanted": "S", "needed": 2, "given": 1, "taken": 2, "what": "w",
        "operation": "cut", "count": -1,
    }  # fmt: skip
    for kind in PROOF_KINDS:
        sentence = SewingFault("step", kind, tuple(facts.items())).sentence("in")
        assert sentence.startswith("step: ")
        assert "{" not in sentence
    shown = SewingFault("step", "size", tuple(facts.items())).sentence("in")
    assert "2 by about 1.4142" in shown
