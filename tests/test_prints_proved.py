"""What a checklist says of how prints lie, changed in one place: the proof, which looks at the cloth, must fail."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.work.prints import PrintLie

TEXT = """
title = "Trees"
fabrics.S = { name = "sand", tone = 2, directional = true }
fabrics.R = { name = "brick", tone = 7, KIND = true }
fabrics.G = { name = "moss", tone = 5 }
[blocks.b]
cell = "2"
picture = '''
S  R/S  G
S  G/R  S:R:S:G
'''
[[blocks.b.frame]]
fabric = "R"
cut = "2"
[quilt]
block = "b"
across = 2
down = 1
"""
Change = Callable[[PrintLie], tuple[PrintLie, ...]]

CHANGES: dict[str, Change] = {
    "not said": lambda lie: (),
    "turned": lambda lie: (replace(lie, ways=tuple((way or 0) + 45 for way in lie.ways)),),
    "one way more": lambda lie: (replace(lie, ways=(*lie.ways, None)),),
    "one way less": lambda lie: (replace(lie, ways=lie.ways[1:]),),
    "of another cloth": lambda lie: (replace(lie, cloth="R" if lie.cloth == "S" else "S"),),
    "of a cloth that lies elsewhere": lambda lie: (lie, replace(lie, area=(0, 0, 1, 1), cloth="R")),
    "of a cloth that no frame is of": lambda lie: (lie, replace(lie, area=None, cloth="S")),
}


def plan_of(kind: str = "directional") -> Plan:
    plan = read_plan(TEXT.replace("KIND", kind)).plan
    assert plan is not None
    return plan


@pytest.mark.parametrize("name", CHANGES)
def test_what_is_said_wrongly_of_a_print_fails_the_proof(name: str) -> None:
    plan = plan_of()
    checklist = compile_plan(plan)
    assert prove(plan, checklist).holds
    assert {lie.area is None for lie in checklist.prints} == {True, False}
    for number, lie in enumerate(checklist.prints):
        said = (*checklist.prints[:number], *CHANGES[name](lie), *checklist.prints[number + 1 :])
        first = prove(plan, replace(checklist, prints=said)).first
        assert first is not None, lie
        assert first.kind == "print"


def test_a_print_that_has_to_stand_and_lies_turned_fails_the_proof_though_it_is_said_so() -> None:
    """The checklist of the plan in which it need not stand."""
    lying, standing = plan_of(), plan_of("upright")
    checklist = compile_plan(lying)
    assert any(set(lie.ways) != {0} for lie in checklist.prints if lie.cloth == "R")
    first = prove(standing, checklist).first
    assert first is not None
    assert first.kind == "print"
    checklist = compile_plan(standing)
    assert prove(standing, checklist).holds
    assert {lie.ways for lie in checklist.prints if lie.cloth == "R"} == {(0,)}


@pytest.mark.parametrize("cell", ["S/R", "R/S", "S\\R", "R\\S"])
def test_two_kinds_of_block_that_are_the_same_unit_are_both_told_how_their_print_lies(cell: str) -> None:
    """One of the four lies as it is made, and nobody lays it out."""
    half = f"cell = \"2\"\npicture = '''\n{cell}\n'''\n"
    block = TEXT[TEXT.index("[blocks.b]") : TEXT.index("[quilt]")]
    both = TEXT.replace(block, f"[blocks.b]\n{half}[blocks.c]\n{half}").replace("KIND", "directional")
    plan = read_plan(both.replace('block = "b"\nacross = 2\ndown = 1', 'blocks = [["b", "c"]]')).plan
    assert plan is not None
    checklist = compile_plan(plan)
    assert {lie.block for lie in checklist.prints} == {"b", "c"}
    assert prove(plan, checklist).first is None
