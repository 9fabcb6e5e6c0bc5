"""How a picture lies changes nothing of what is cut for it."""

from __future__ import annotations

from random import Random

import pytest
from effort import by_lot
from planning import plan_of
from turned_pictures import drawn_by_lot, lies_alike

from tracker.route.compiler import compile_plan


@pytest.mark.parametrize("seed", by_lot(range(12)))
def test_turned_and_mirrored_pictures_are_cut_alike(seed: int) -> None:
    assert lies_alike(drawn_by_lot(Random(f"law {seed}")))


@pytest.mark.parametrize(
    ("picture", "kinds"),
    [
        # a post with a flipped corner beside another cloth, lying, upright, turned, in a mirror
        ("K/S S\nR R", {"snowball": 1, "plain": 1}),
        ("K/S R\nS R", {"snowball": 1, "plain": 1}),
        ("R R\nS S\\K", {"snowball": 1, "plain": 1}),
        ("R S\nR K\\S", {"snowball": 1, "plain": 1}),
        ("R S\\K\nR S", {"snowball": 1, "plain": 1}),
        # two corners on one edge
        ("K/S R\nS R\nK\\S R", {"snowball": 1, "plain": 1}),
    ],
)
def test_upright_pieces_one_cell_wide_are_made_whole_beside_another_cloth(picture: str, kinds: dict[str, int]) -> None:
    made = compile_plan(plan_of(picture, block="combine = true")).units
    assert {unit.kind: unit.needed for unit in made if unit.needed} == kinds
