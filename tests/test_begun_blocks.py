"""A quilt begun from a known block: its size, cloths and places, and its proof."""

from __future__ import annotations

from fractions import Fraction

import pytest
from effort import by_lot
from test_known import BY_KEY

from tests.quilting import inches
from tracker.exact.measure import Measure
from tracker.plan.known_blocks import (
    begun,
    begun_text,
)
from tracker.plan.plan_reader import read_plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan


@pytest.mark.parametrize("key", ["sawtooth-star", "churn-dash", "single-irish-chain", "rail-fence", "flying-geese"])
def test_a_quilt_is_begun_in_any_size_and_cloths(key: str) -> None:
    known = BY_KEY[key]
    plan = begun(known, inches("10 1/2"), {"D": ("forest", "#1f3d2b")}, 3, 2)
    assert plan.blocks[known.block.key].inner_finished[0] == Measure(Fraction(21, 2))
    assert (plan.fabrics["D"].name, plan.fabrics["D"].tone) == ("forest", 9 - 1)
    assert (len(plan.quilt.places), len(plan.quilt.places[0])) == (2, 3)
    assert len({*plan.quilt.blocks_in_order()}) == len(known.plan.blocks)
    text = begun_text(known, plan)
    assert read_plan(text).plan == plan
    assert known.source in text
    assert prove(plan, compile_plan(plan)).holds


@pytest.mark.parametrize("key", by_lot(BY_KEY, 16))
def test_whole_quilts_of_a_block_are_proved_in_sizes_that_no_ruler_shows_too(key: str) -> None:
    """Inches and centimetres, twelve blocks or more; in a usual run some blocks."""
    known = BY_KEY[key]
    for unit, width in (("in", known.size[0] * 13 / 12), ("cm", known.size[0] * 5 / 2)):
        plan = begun(known, width, {}, 4, 3, unit)
        verdict = prove(plan, compile_plan(plan))
        assert verdict.holds, verdict.first
        assert read_plan(begun_text(known, plan)).plan == plan
