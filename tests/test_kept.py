"""What is kept of a block is what would be reckoned afresh, and a change elsewhere reckons no other block again."""

from __future__ import annotations

import gc
from dataclasses import fields, replace
from threading import Thread
from typing import Any

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_strategies import plans
from recipe_plans import RECIPE_PLANS, recipe_plan

from tracker.cloth.doing import do
from tracker.cloth.pieces import Content, Facet, Group, HalfSewn, Piece, Seam, Stack
from tracker.cloth.sewing import sew
from tracker.exact.collecting import SELDOM, collecting_seldom
from tracker.exact.kept import Kept
from tracker.plan.model import Block, Plan
from tracker.plan.plan_reader import read_plan
from tracker.pressing import quilt_pressing
from tracker.progress.counts import Counts, for_steps
from tracker.quilt.borders import CannotCut
from tracker.route import compiler as checklist
from tracker.route.compiler import CannotSew, compile_plan
from tracker.units import block_units
from tracker.units import choice as ways
from tracker.work.steps import Checklist

TEXT = """
title = "Trial"
fabrics.S = { name = "sand", tone = 2 }
fabrics.R = { name = "brick", tone = 7 }
[blocks.a]
cell = "2"
combine = true
picture = '''
S/R  R\\S  S
S    S    R
R    S    S
'''
[blocks.b]
cell = "2"
picture = '''
S  R  S
R  R  S
S  S/R S
'''
[quilt]
blocks = [["a", "b"], ["b", "a"]]
"""


def forget() -> None:
    """Nothing is kept from here on."""
    for kept in (checklist.APART, checklist.COMBINED, checklist.JOINED, checklist.ROUTES, block_units.MAKINGS):
        kept.forget()
    quilt_pressing.SEAMS.forget()
    ways.WEIGHED.forget()


def outcome(plan: Plan) -> Checklist | str:
    """The checklist, or what stands against it."""
    try:
        return compile_plan(plan)
    except (CannotSew, CannotCut) as fault:
        return f"{type(fault).__name__}: {fault}"


def edited(plan: Plan, block: Block, place: int, key: str) -> Plan:
    """The plan with one cell of one block in one cloth."""
    cell = replace(block.cells[place], quarters=(key,) * 4)
    changed = replace(block, cells=(*block.cells[:place], cell, *block.cells[place + 1 :]))
    return replace(plan, blocks={**plan.blocks, block.key: changed})


@settings(max_examples=tries(40))
@given(plans(most=4, combine=True), st.data())
def test_an_edited_plan_compiles_to_the_same_as_afresh(plan: Plan, data: st.DataObject) -> None:
    """With everything kept of the plan before, and of others before that."""
    outcome(plan)
    block = plan.blocks[data.draw(st.sampled_from(sorted(plan.blocks)))]
    place = data.draw(st.integers(0, len(block.cells) - 1))
    after = edited(plan, block, place, data.draw(st.sampled_from(sorted(plan.fabrics))))
    settings_ = data.draw(st.sampled_from(({}, {"trimming": "exact"}, {"geese": "four"}, {"half_square": "four"})))
    after = replace(after, **settings_)
    warm = outcome(after)
    forget()
    assert outcome(after) == warm


def test_a_change_of_one_block_looks_for_larger_units_in_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = read_plan(TEXT).plan
    assert plan is not None
    looked: list[str] = []
    combined = checklist.combined

    def counted(block: Block, *rest: Any) -> Any:
        looked.append(block.key)
        return combined(block, *rest)

    monkeypatch.setattr(checklist, "combined", counted)
    forget()
    compile_plan(plan)
    assert set(looked) == {"a", "b"}
    looked.clear()
    compile_plan(edited(plan, plan.blocks["b"], 0, "R"))
    assert set(looked) == {"b"}
    looked.clear()
    other = {**plan.fabrics, "S": replace(plan.fabrics["S"], tone=9)}
    compile_plan(replace(plan, fabrics=other))
    assert set(looked) == {"a", "b"}, "what its units hang on has changed"


def unremembering(content: Content) -> Content:
    """The same cloth, of which nothing was worked out yet."""
    if isinstance(content, Group):
        return Group(tuple(map(unremembering_piece, content.pieces)))
    if isinstance(content, Stack):
        return Stack(unremembering_piece(content.base), tuple(map(unremembering_piece, content.laid)), content.stitches)
    if isinstance(content, HalfSewn):
        return replace(content, piece=unremembering_piece(content.piece))
    return unremembering_piece(content)


def unremembering_piece(piece: Piece) -> Piece:
    facets = tuple(Facet(facet.polygon, facet.fabric) for facet in piece.facets)
    seams = tuple(Seam(seam.line, seam.toward, seam.between) for seam in piece.seams)
    return Piece(facets, seams, piece.marks, piece.cells)


def as_it_lies(content: Content) -> tuple[object, ...]:
    """What there is of it, measured anew."""
    if isinstance(content, Stack):
        return *map(as_it_lies, content.pieces), content.stitches, unremembering(content).bounds, content.bounds
    if isinstance(content, Group):
        return tuple(map(as_it_lies, content.pieces))
    if isinstance(content, HalfSewn):
        return *as_it_lies(content.piece), content.open, content.hidden, content.between, content.level
    anew = unremembering_piece(content)
    assert (content.bounds, content.size, content.area) == (anew.bounds, anew.size, anew.area)
    return content, [facet.bounds for facet in content.facets], [facet.area for facet in content.facets]


@pytest.mark.parametrize("name", sorted(RECIPE_PLANS))
def test_cloth_that_remembers_is_sewn_as_cloth_that_does_not(name: str) -> None:
    """Every step of a plan done again with cloth of which nothing is known gives what it gave."""
    plan = recipe_plan(name)
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    for step in checklist.steps:
        done = trace.done[step.id]
        again = do(step, {pile: unremembering(content) for pile, content in done.before.items()}, plan.seam)
        assert {pile: as_it_lies(content) for pile, content in done.after.items()} == {
            pile: as_it_lies(contents[0]) for pile, contents in again.after.items()
        }, step.id


def test_no_key_of_a_plan_is_left_out_of_what_a_making_hangs_on() -> None:
    plan = recipe_plan("plain patches")
    keys = {each.name for each in fields(plan)}
    telling = {key for key in keys if replace(plan, **{key: {}}).settings != plan.settings}
    assert keys - telling == {"title", "blocks", "quilt"}


def test_what_is_kept_is_bounded_and_the_last_used_stays() -> None:
    kept: Kept[int] = Kept(2)
    asked: list[int] = []

    def reckon(number: int) -> int:
        return kept.get(number, lambda: asked.append(number) or number * 10)  # type: ignore[func-returns-value]

    assert [reckon(number) for number in (1, 2, 1, 3, 1, 2)] == [10, 20, 10, 30, 10, 20]
    assert asked == [1, 2, 3, 2]


def test_many_threads_get_what_one_would() -> None:
    kept: Kept[int] = Kept(3)
    wrong: list[int] = []

    def ask(start: int) -> None:
        for number in range(start, start + 400):
            if kept.get(number % 7, lambda number=number: number % 7 * 3) != number % 7 * 3:  # type: ignore[misc]
                wrong.append(number)

    threads = [Thread(target=ask, args=(start,)) for start in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong


def test_garbage_is_searched_for_as_before_when_the_last_of_several_is_done() -> None:
    before = gc.get_threshold()
    with collecting_seldom():
        with pytest.raises(ZeroDivisionError), collecting_seldom():
            1 / 0  # noqa: B018
        assert gc.get_threshold()[0] == SELDOM
    assert gc.get_threshold() == before


def test_what_is_reckoned_once_for_the_steps_hangs_on_all_that_it_was_given() -> None:
    """By name too."""
    plan = recipe_plan("rows")
    counts = Counts(plan, compile_plan(plan))

    @for_steps
    def doubled(counts: Counts, number: int) -> int:
        return 2 * number

    assert [doubled(counts, number) for number in (1, 2)] == [2, 4]
    assert [doubled(counts, number=number) for number in (1, 2)] == [2, 4]
