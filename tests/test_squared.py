"""Plans whose blocks are all brought to one size: everything follows from it, and what is sewn is kept."""

from __future__ import annotations

from dataclasses import replace

import pytest
from recipe_plans import RECIPE_PLANS, Drawn, drawn_plan, drawn_text
from sizing import lantern_text, planned

from tracker.exact.measure import Measure, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.squared_plan import with_squared, with_wide_frames
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress
from tracker.progress.tap_kinds import read_tap
from tracker.proof.proof import prove
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.work.steps import About
from tracker.work.things import Kind

ROUND = """
[quilt.sash]
fabric = "R"
cut = "2"
[[quilt.border]]
fabric = "R"
cut = "3"
[quilt.binding]
fabric = "R"
[quilt.backing]
fabric = "S"
[quilt.batting]
"""
ON_POINT = 'down = 4\nsetting = "on point"\nsetting_fabric = "S"'


def squared_to(text: str, size: str | None = None, framed: str | None = None) -> str:
    """A plan whose blocks are all cut to a size, before frames or after them."""
    lines = [f'squared = "{size}"'] if size else []
    lines += [f'squared_framed = "{framed}"'] if framed else []
    return text.replace('cell = "2"\n', "\n".join(['cell = "2"', *lines, ""]))


def with_plain_block(plan: Plan, size: str) -> Plan:
    """The same quilt of plain squares of a size, unfinished: what lies round its blocks knows only their size."""
    block = plan.blocks["lantern"]
    side = read_length(size, "in") - 2 * plan.seam
    whole = replace(block.cells[0], row=0, column=0, quarters=("S", "S", "S", "S"))
    plain = replace(block, columns=(side,), rows=(side,), cells=(whole,), squared=None, frames=())
    return replace(plan, blocks={"lantern": plain})


@pytest.mark.parametrize("quilt", ["down = 4", ON_POINT], ids=["straight", "on point"])
def test_all_that_lies_round_the_blocks_follows_from_the_size(quilt: str) -> None:
    text = lantern_text(frame=False, more=ROUND).replace("down = 4", quilt)
    plan, _ = planned(squared_to(text, "10 3/8"))
    assert set_quilt(plan) == set_quilt(with_plain_block(plan, "10 3/8"))
    assert set_quilt(plan) != set_quilt(with_plain_block(plan, "10 1/2"))


PROVED = [
    ("a little", False, "10 3/8", None, "10 3/8", "10 3/8"),
    ("into the corners", False, "9", None, "9", "9"),
    ("through whole patches", False, "6", None, "6", "6"),
    ("before frames", True, "10 3/8", None, "10 3/8", "12 3/8"),
    ("with frames", True, None, "12", "10 1/2", "12"),
    ("both", True, "10 1/4", "11 1/2", "10 1/4", "11 1/2"),
]


@pytest.mark.parametrize(("name", "frame", "size", "framed", "inner", "outer"), PROVED, ids=[row[0] for row in PROVED])
def test_the_proof_sews_the_quilt_at_the_size(
    name: str, frame: bool, size: str | None, framed: str | None, inner: str, outer: str
) -> None:
    plan, checklist = planned(squared_to(lantern_text(frame, more=ROUND), size, framed))
    assert prove(plan, checklist).first is None
    (row,) = checklist.blocks
    assert (row.inner[0], row.unfinished[1]) == (read_length(inner, "in"), read_length(outer, "in"))


@pytest.mark.parametrize(("size", "framed"), [("10 3/8", None), (None, "12")])
def test_the_proof_finds_blocks_that_are_squared_to_another_size(size: str | None, framed: str | None) -> None:
    text = lantern_text(frame=framed is not None, more=ROUND)
    plan, _ = planned(text)
    _, otherwise = planned(squared_to(text, size, framed))
    assert prove(plan, otherwise).first is not None
    assert prove(planned(squared_to(text, size, framed))[0], planned(text)[1]).first is not None


def test_an_oblong_loses_as_much_of_its_height() -> None:
    text = lantern_text(frame=False).replace("R   S   R   S   R\n", "", 1).replace("across = 3", "across = 1")
    plan, checklist = planned(squared_to(text, "10 1/4"))
    assert checklist.blocks[0].unfinished == (read_length("10 1/4", "in"), read_length("8 1/4", "in"))
    assert prove(plan, checklist).first is None


def test_the_step_says_the_size_for_all_and_what_is_gone() -> None:
    plan, checklist = planned(squared_to(lantern_text(frame=False), "10 3/8"))
    words = Words(plan, checklist)
    (step,) = (step for step in checklist.steps if step.operation == "square" and step.version == "A")
    assert "Square every block to 10⅜ in both ways, one size for all" in words.text(step)
    assert "1⁄16 in less on each side" in words.text(step)
    assert "as much gone on every side" in words.check(step)


def test_what_is_gone_is_said_to_be_about_so_much_once() -> None:
    """By hand: two cells of 3.1 cm are 7.7 cm with their seams; at 6.6 cm 0.55 cm are gone on each side."""
    text = drawn_text("about", Drawn("S R\nR S", squared='squared = "6.6"')).replace('cell = "2"', 'cell = "3.1"')
    plan, checklist = planned(f'unit = "cm"\n{text}')
    step = next(step for step in checklist.steps if step.operation == "square" and step.per == "b")
    assert "middle: about 0.6 cm less on each side" in Words(plan, checklist).text(step)


def with_blocks_squared(plan: Plan) -> Progress:
    """All blocks squared, none of them in its place yet."""
    progress = Progress(plan, compile_plan(plan))
    for number, step in enumerate(progress.counts.steps.values()):
        if step.count and step.topic.about in (About.CUTTING, About.UNIT, About.BLOCK):
            tap = read_tap({"id": f"w-{number}", "do": "done", "step": step.id, "times": progress.counts.ready(step)})
            progress.record(tap.completed(progress.counts))
    return progress


def test_an_edit_to_the_size_keeps_all_that_is_sewn_and_loses_only_the_squaring() -> None:
    plan, _ = planned(lantern_text(frame=False))
    progress = with_blocks_squared(plan)
    joined = sum(progress.counts.times_done(s) for s in progress.counts.steps.values() if s.operation == "press")
    squared = [s for s in progress.counts.steps.values() if s.operation == "square" and s.per != "quilt"]
    assert sum(map(progress.counts.times_done, squared)) == 12
    smaller, checklist = planned(squared_to(lantern_text(frame=False), "10 3/8"))
    carried = carry_over(progress.counts, Counts(smaller, checklist))
    assert [each.step.operation for each in carried.lost if each.step.per != "quilt"] == ["square"] * len(squared)
    fresh = carried.counts
    assert sum(fresh.times_done(s) for s in fresh.steps.values() if s.operation == "press") == joined
    again = [s for s in fresh.steps.values() if s.operation == "square" and s.per != "quilt"]
    assert sum(map(fresh.times_done, again)) == 0
    assert sum(map(fresh.ready, again)) == 12


def test_a_size_that_is_taken_back_finds_the_squared_blocks_of_the_plan_again() -> None:
    """Blocks squared to another size are no longer what the plan squares them to: the ids say so."""
    plans = [planned(squared_to(lantern_text(frame=False), size))[1] for size in (None, "10 3/8", "10 1/4")]
    ids = [{s.id for s in each.steps if s.operation == "square" and s.per == "lantern"} for each in plans]
    assert not ids[0] & ids[1]
    assert not ids[1] & ids[2]
    others = [{s.id for s in each.steps if s.per == "lantern" and "squared:" not in s.id} for each in plans]
    assert others[0] == others[1] == others[2]


def test_a_plan_without_it_is_written_and_compiled_as_before() -> None:
    plan, checklist = planned(lantern_text())
    assert plan.blocks["lantern"].squared is None
    assert {pile.thing.kind for pile in checklist.piles.values()} >= {Kind.BLOCK}
    reading = read_plan(lantern_text())
    assert reading.plan == plan
    assert plan.blocks["lantern"].finished(plan.seam) == (Measure(12), Measure(12))


def test_a_size_is_set_changed_and_taken_out_in_her_own_text() -> None:
    text = lantern_text(frame=False)
    plan = planned(text)[0]
    size = read_length("10 3/8", "in")
    once = with_squared(text, plan, "lantern", size, framed=False)
    assert [line for line in once.splitlines() if line not in text.splitlines()] == ['squared = "10 3/8"']
    smaller = with_squared(once, planned(once)[0], "lantern", read_length("10 1/4", "in"), framed=False)
    assert 'squared = "10 1/4"' in smaller
    assert "10 3/8" not in smaller
    assert with_squared(smaller, planned(smaller)[0], "lantern", read_length("10 1/2", "in"), framed=False) == text


def test_plain_blocks_between_follow_to_the_same_size() -> None:
    alone, mixed = 'block = "lantern"\nacross = 3\ndown = 4', 'blocks = [["lantern", "plain"]]'
    plain = "[blocks.plain]\ncell = \"10\"\npicture = '''\nR\n'''\n\n[quilt]"
    text = lantern_text(frame=False).replace(alone, mixed).replace("[quilt]", plain)
    smaller = with_squared(text, planned(text)[0], "lantern", read_length("10 3/8", "in"), framed=False)
    plan, checklist = planned(smaller)
    assert {block.squared for block in plan.blocks.values()} == {read_length("10 3/8", "in")}
    assert prove(plan, checklist).first is None


def test_frames_cut_wide_bring_every_block_to_what_was_planned() -> None:
    text = lantern_text()
    wide = with_wide_frames(text, planned(text)[0], "lantern", Measure(2))
    plan, checklist = planned(wide)
    assert plan.blocks["lantern"].frames[0].cut == 2
    assert checklist.blocks[0].unfinished == (read_length("12 1/2", "in"),) * 2
    assert prove(plan, checklist).first is None


@pytest.mark.parametrize(("name", "size"), [("snowball", "3 1/2"), ("four-patch on point", "4"), ("seam begun", "5")])
def test_a_cloth_that_is_cut_off_whole_is_in_no_block_any_more(name: str, size: str) -> None:
    drawn = RECIPE_PLANS[name]
    plan = drawn_plan(name, replace(drawn, squared=f'squared = "{size}"'))
    checklist = compile_plan(plan)
    assert prove(plan, checklist).first is None
    squared = [step for step in checklist.steps if step.operation == "square" and step.per == "b"]
    assert squared
    assert all({*checklist.made(step).fabrics} < {*checklist.taken(step).fabrics} for step in squared)


@pytest.mark.parametrize("frame", ["", '{ fabric = "R", cut = "1 1/2" }'])
@pytest.mark.parametrize("size", ["4 3/4", "4 1/2", "4 1/4"])
def test_what_is_left_of_a_cloth_in_the_seam_allowance_alone_is_said_of_no_block(size: str, frame: str) -> None:
    """By hand, a corner triangle of 2 in: from 4 1/2 in on it lies in the allowance alone, and is sewn over unseen."""
    drawn = Drawn("G/S S S\nS R S\nS S S", squared=f'squared = "{size}"', frame=frame)
    border = '[[quilt.border]]\nfabric = "R"\ncut = "2"\ncorners = "S"\n'
    reading = read_plan(drawn_text("cut off", drawn) + border)
    assert reading.plan is not None
    checklist = compile_plan(reading.plan)
    assert prove(reading.plan, checklist).first is None
    squared = [step for step in checklist.steps if step.operation == "square"]
    assert ["G" in checklist.made(step).fabrics for step in squared] == [size == "4 3/4"] * len(squared)


def test_a_frame_may_be_of_the_cloth_that_was_cut_off() -> None:
    drawn = Drawn("G/S S S\nS R S\nS S S", squared='squared = "4 1/2"', frame='{ fabric = "G", cut = "1 1/2" }')
    plan = drawn_plan("cut off", drawn)
    assert prove(plan, compile_plan(plan)).first is None
