"""Pieces larger than their cloth: refused with their places, all at once, wherever a plan comes in."""

from __future__ import annotations

from pathlib import Path

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from test_web_plans import typed
from visitors import Quilt, Visitor, add_quilt, words_of

from tracker.cli import main
from tracker.looks.preview import PlanFault, compile_whole, hold_to_use, read_whole
from tracker.plan.plan_reader import read_plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.route.narrow_cloth import larger_than_cloth
from tracker.store.quilts import Store

PLAN = """\
title = "Wide"
[fabrics.S]
name = "pale sand"
tone = 2
usable = "20"
{more}
[fabrics.R]
name = "lamp red"
tone = 7
[blocks.b]
{block}
[quilt]
block = "b"
across = {across}
down = 1
"""


def plan(picture: str, sizes: str, more: str = "", frame: str = "", across: int = 1) -> str:
    return PLAN.format(more=more, block=f"{sizes}\npicture = '''\n{picture}\n'''\n{frame}", across=across)


def found(text: str) -> list[tuple[object, ...]]:
    """Kind, line, block, row, cell, what was read and what would be right, of all problems with cloth."""
    made = read_whole(text)
    try:
        hold_to_use(text, made, compile_whole(made))
    except PlanFault as fault:
        return [(p.kind, p.line, p.block, p.row, p.cell, p.read, p.right) for p in fault.problems]
    return []


LARGE, WIDE = "larger than cloth", "wider than directed cloth"
CUT = "20 1/2 by 20 1/2 in from S"
LYING = 'columns = ["30"]\nrows = ["3"]'
FRAME = '[[blocks.b.frame]]\nfabric = "S"\ncut = "21"'
CASES = {
    "as wide as the cloth": (plan("S R", 'cell = "19 1/2"'), []),
    "one patch": (plan("R R\nR S", 'cell = "20"'), [(LARGE, 14, "b", 2, 2, CUT, "20 in")]),
    "in two blocks": (plan("R R\nR S", 'cell = "20"', across=2), [(LARGE, 14, "b", 2, 2, CUT, "20 in")]),
    "several": (plan("S R\nR S", 'cell = "20"'), [(LARGE, 13, "b", 1, 1, f"{CUT}, and 1 more like it", "20 in")]),
    "a square cut apart": (plan("R S/R", 'cell = "19 1/2"'), [(LARGE, 13, "b", 1, 2, CUT, "20 in")]),
    "a long patch": (plan("S", LYING), []),
    "a long patch on a cloth with a direction": (
        plan("S", LYING, "directional = true"),
        [(WIDE, 14, "b", 1, 1, "30 1/2 by 3 1/2 in from S", "20 in")],
    ),
    "upright on such a cloth": (plan("S", 'columns = ["3"]\nrows = ["30"]', "directional = true"), []),
    "a frame": (plan("R", 'cell = "30"', frame=FRAME), [(LARGE, 15, "b", None, None, "31 1/2 by 21 in from S", "20 in"),
                                                      (LARGE, 15, "b", None, None, "72 1/2 by 21 in from S", "20 in")]),
    "several sizes at once": (
        plan("S R\nR S", 'columns = ["20", "22"]\nrows = ["20", "22"]'),
        [(LARGE, 14, "b", 1, 1, CUT, "20 in"), (LARGE, 15, "b", 2, 2, "22 1/2 by 22 1/2 in from S", "20 in")],
    ),
}  # fmt: skip


def kinds_of_cloth() -> set[str]:
    """The kinds of problem that the cases here have."""
    return {str(problem[0]) for _, problems in CASES.values() for problem in problems}


@pytest.mark.parametrize("name", CASES)
def test_each_is_told_with_its_place(name: str) -> None:
    text, problems = CASES[name]
    assert found(text) == problems


@settings(max_examples=tries(60))
@given(
    st.lists(st.sampled_from(["S", "R", "S/R", "S:R:R:R"]), min_size=2, max_size=4),
    st.integers(30, 44),
    st.sampled_from(["", "combine = true", "strips = true"]),
)
def test_they_are_those_that_the_proof_finds(cells: list[str], halves: int, how: str) -> None:
    made = read_plan(plan(" ".join(cells), f'cell = "{halves}/2"\n{how}')).plan
    assert made is not None
    checklist = compile_plan(made)
    proved = [fault for fault in prove(made, checklist).faults if "cloth" in str(fault.facts)]
    assert bool(proved) == bool(larger_than_cloth(made, checklist))


TOO_LARGE = CASES["one patch"][0]


def test_check_preview_and_saving_refuse_it_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], phone: Visitor, store: Store, sewing: Quilt
) -> None:
    file = tmp_path / "wide.toml"
    file.write_text(TOO_LARGE, encoding="utf-8")
    for command in ("check", "prove"):
        assert main([command, str(file)]) == 2
        assert "wide.toml, line 14, block b, row 2, cell 2:" in capsys.readouterr().err
    page = {"plan": TOO_LARGE, "before": sewing.compiled.mark}
    answers = [
        typed(phone, TOO_LARGE),
        phone.post("/new", {"plan": TOO_LARGE, "do": "make"}),
        phone.post(f"{sewing.at}/plan", page | {"do": "look"}),
    ]
    for answer in answers:
        assert "1 thing to put right: Line 14 R S Block b, row 2, cell 2:" in words_of(answer)
        assert CUT in words_of(answer)
    assert [answer.status_code for answer in answers] == [200, 422, 422]
    assert [quilt.id for quilt in store.quilts()] == [sewing.stored.id]


def test_a_quilt_that_is_sewn_already_opens_all_the_same(phone: Visitor, store: Store) -> None:
    quilt = Quilt(phone, add_quilt(store, TOO_LARGE))
    assert phone.get(quilt.at).status_code == 200
    assert quilt.tap("Cut the pale sand").status_code == 303
