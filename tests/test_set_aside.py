"""A plan edited and edited back: all that was counted, ticked and measured comes back."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from plan_strategies import plans
from planning import replayed
from test_conservation import everything, played
from test_web_edits import LARGER, MORE, RED, use
from test_web_steps import make_units
from visitors import SMALL_PLAN, Quilt, Visitor, compiled_once

from tracker.plan.model import Plan
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress
from tracker.progress.set_aside import Aside
from tracker.progress.tap_kinds import read_tap, written
from tracker.route.compiler import compile_plan
from tracker.store.quilts import Store

FEWER = SMALL_PLAN.replace("across = 2", "across = 1")


def edited(former: Progress, plan: Plan, tap_id: str) -> Progress:
    """The counts under another plan, as they are opened again from the tap that carries them."""
    checklist = compile_plan(plan)
    carried = carry_over(former.counts, Progress(plan, checklist).counts, (), former.aside)
    return replayed(plan, checklist, [written(carried.tap(tap_id))])


@pytest.mark.parametrize("between", [[LARGER], [LARGER, MORE], [FEWER], [FEWER, LARGER]], ids=len)
def test_what_was_counted_and_ticked_comes_back(
    between: list[str], phone: Visitor, store: Store, sewing: Quilt
) -> None:
    make_units(sewing)
    sewing.tap("Lay out", 1, offered="1")
    cloths = compiled_once(SMALL_PLAN).whole.cloths
    for number, cloth in enumerate(cloths):
        form = {"tap": f"strip-{number:06}", "do": "strip", "cloth": cloth.cloth, "strip": cloth.strips[0].name}
        assert phone.post(f"{sewing.at}/taps", form).status_code == 303
    before = sewing.progress().counts
    for text in between:
        use(Quilt(phone, store.quilt(sewing.stored.id)), text)
    use(Quilt(phone, store.quilt(sewing.stored.id)), SMALL_PLAN)
    after = Quilt(phone, store.quilt(sewing.stored.id)).progress().counts
    assert {key: n for key, n in after.done.items() if n} == {key: n for key, n in before.done.items() if n}
    assert list(after.ticked) == list(before.ticked)
    assert len(after.ticked) == len(cloths) > 0


def test_pieces_for_more_blocks_than_an_edited_plan_has_are_spares(phone: Visitor, store: Store, sewing: Quilt) -> None:
    sewing.tap(RED, 4)
    use(sewing, FEWER)
    again = Quilt(phone, store.quilt(sewing.stored.id))
    assert again.count(RED) == "4 of 2 done"
    assert "They are spares." in phone.text(f"{again.step_path(RED)}/mend")


def test_the_last_taps_tell_what_an_edited_plan_began_with(phone: Visitor, store: Store, sewing: Quilt) -> None:
    assert "Nothing was tapped yet." in phone.text(f"{sewing.at}/latest")
    make_units(sewing)
    use(sewing, MORE)
    text = phone.text(f"{sewing.at}/latest")
    assert "The plan was edited today at" in text
    assert "they cannot be taken back one by one" in text
    assert "Nothing was tapped since." in text
    assert "Cut lamp red squares, 2½ in 4 cut" in text
    assert "set aside" not in text
    use(Quilt(phone, store.quilt(sewing.stored.id)), LARGER)
    assert "set aside: edit the plan back, and it counts again" in phone.text(f"{sewing.at}/latest")


def test_what_was_carried_before_anything_was_set_aside_reads_as_it_was() -> None:
    plan = compiled_once(SMALL_PLAN)
    stored = {"id": "carried", "do": "carried", "counts": [], "lost": [], "strips": []}
    assert written(read_tap(stored)) == stored
    assert replayed(plan.plan, plan.checklist, [stored]).aside == Aside()


@given(
    plans(most=2, most_blocks=3, combine=True),
    plans(most=2, most_blocks=3),
    st.integers(0, 2**32 - 1),
    st.integers(1, 60),
)
@settings(max_examples=tries(30), deadline=None)
def test_no_edit_loses_what_another_brings_back(plan: Plan, other: Plan, seed: int, most: int) -> None:
    """Under a plan of other cells and blocks nothing may fit; back under the first everything does."""
    progress, chance = Progress(plan, compile_plan(plan)), Random(seed)
    list(played(progress, chance, most))
    between = [other, replace(other, unit="cm" if plan.unit == "in" else "in"), other][: chance.randint(1, 3)]
    now = progress
    for number, each in enumerate(between):
        now = edited(now, each, f"edit {number}")
        assert min(everything(now)[0].values(), default=0) >= 0
    back = edited(now, plan, "back")
    assert {k: n for k, n in back.counts.done.items() if n} == {k: n for k, n in progress.counts.done.items() if n}
    assert everything(back) == everything(progress)
