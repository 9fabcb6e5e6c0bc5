"""Which lines of plain cells are cut from strip sets, and what is said where there are none."""

from __future__ import annotations

from random import Random

import pytest
from planning import plan_of
from turned_pictures import drawn_by_lot, lies_alike

from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words

NINE = "S R S M < <\nR S R ^ < <\nS R S ^ < <\nM < < S R S\n^ < < R S R\n^ < < S R S"


@pytest.mark.parametrize(
    ("picture", "blocks", "sets"),
    [
        ("S\nR\nK", 4, {"K R S": 4}),  # rails that lie level: the block is cut whole
        ("S R K", 4, {"K R S": 4}),
        ("S R\nR S", 1, {"R S": 2}),
        ("S R K\nR K S", 1, {"K R S": 1, "R K S": 1}),
        (NINE, 1, {"S R": 4, "R S": 2}),
        # four-patches in the corners, single cells or spanned ones beside them; rails round a middle
        ("S R S/K K/S\nR S K/S S/K\nS/K K/S S R\nK/S S/K R S", 1, {"R S": 4}),
        ("S/K < S R K/S <\n^ < S R ^ <\nS S M < S S\nR R ^ < R R\nK/S < S R S/K <\n^ < S R ^ <", 1, {"R S": 8}),
        ("S/R S M\nS M S/R\nM S/R S", 1, {"M S": 2}),
    ],
)
def test_lines_of_plain_cells_come_from_strip_sets(picture: str, blocks: int, sets: dict[str, int]) -> None:
    plan = plan_of(picture, block="strips = true", blocks=blocks)
    checklist = compile_plan(plan)
    assert prove(plan, checklist).first is None
    made = {" ".join(unit.fabrics): unit.needed for unit in checklist.units if unit.kind == "strip set"}
    assert made == sets
    assert not [notice for notice in checklist.notices if notice.kind == "no strip sets"]


@pytest.mark.parametrize(
    ("picture", "why"),
    [
        ("S/R R/S\nR/S S/R", "in a line"),
        ("S/R S\nR R/S", "in a line"),
        ("S R/S S\nR/S K R/S\nR M R/S", "needed but once"),
    ],
)
def test_where_there_are_no_strip_sets_it_is_said_why(picture: str, why: str) -> None:
    plan = plan_of(picture, block="strips = true")
    checklist = compile_plan(plan)
    (notice,) = [notice for notice in checklist.notices if notice.kind == "no strip sets"]
    assert why in Words(plan, checklist).notice(notice)


@pytest.mark.parametrize("seed", range(6))
def test_strip_sets_do_not_hang_on_how_the_picture_lies(seed: int) -> None:
    assert lies_alike(drawn_by_lot(Random(f"strips {seed}"), combine=seed % 2 == 1, strips=True))
