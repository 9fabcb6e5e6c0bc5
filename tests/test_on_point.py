"""Blocks of patches on their points: found where a block asks for it, proved however they are drawn."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from effort import tries
from hypothesis import given, settings
from hypothesis import strategies as st
from planning import plan_of
from test_diagonal import turned_block

from tracker.exact.measure import Measure, read_length
from tracker.plan.known_blocks import begun, known_block
from tracker.plan.model import Plan
from tracker.progress.strip_ticks import strips_by_cloth
from tracker.proof.proof import prove
from tracker.quilt.cloth_cutting import cut_quilt
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import compile_plan
from tracker.words.names import Names
from tracker.words.plan_notices import notice_sentence
from tracker.words.quilt_summary import strip_orders, strip_title
from tracker.words.step_words import Words
from tracker.work.steps import Checklist, Cut
from tracker.work.things import ON_POINT

CLOTHS = "SRTK"
FIVE = "S/R R\\S S/T T\\S\nS\\R R/K K\\T T/S\nS/T T\\K K/R R\\S\nS\\T T/S S\\R R/S"
"""Five patches on point, and triangles at the edges."""


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    assert prove(plan, checklist).faults == ()
    return checklist


def kinds(checklist: Checklist) -> dict[str, int]:
    return {row.kind: row.needed for row in checklist.units}


def test_patches_on_point_are_one_unit_where_a_block_asks_for_it() -> None:
    assert kinds(proved(plan_of(FIVE, block="on_point = true"))) == {ON_POINT: 1}
    assert ON_POINT not in kinds(compile_plan(plan_of(FIVE)))


@pytest.mark.parametrize("picture", ["S R\nR S", "S/R R\\S\nS\\R R/S", "S/R R\\S S/T\nS\\R R/K K\\T\nS/T T\\K K/R"])
def test_what_shows_none_such_is_sewn_as_it_is_drawn(picture: str) -> None:
    plan = plan_of(picture, block="on_point = true")
    checklist = proved(plan)
    assert ON_POINT not in kinds(checklist)
    (said,) = (each for each in checklist.notices if each.kind == "none on point")
    assert "no patches stand on their points" in notice_sentence(Names(plan, checklist), said)


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_turned_pictures_are_made_of_the_same_pieces(turn: int) -> None:
    plan = plan_of(FIVE, block="on_point = true")
    turned = replace(plan, blocks={key: turned_block(block, turn) for key, block in plan.blocks.items()})
    ids = [{step.id for step in proved(each).steps if step.per == "quilt"} for each in (plan, turned)]
    assert ids[0] == ids[1]


def drawn(half: int, odd: int, cloths: list[str], pieced: list[int]) -> str:
    """A picture of patches on point, one cloth after another for each patch; some are two halves."""
    count, found = 2 * half, {}
    for place, (y, x) in enumerate((y, x) for y in range(count + 1) for x in range(count + 1) if (x + y) % 2 == odd):
        one, other = cloths[place % len(cloths)], cloths[(place * 7 + 3) % len(cloths)]
        inside = 1 < x < count - 1 and 1 < y < count - 1
        found[x, y] = {0: one * 4, 1: one * 2 + other * 2, 2: other + one * 2 + other}[
            pieced[place % len(pieced)] if inside else 0
        ]
    rows = []
    for y in range(count):
        row = []
        for x in range(count):
            if (x + y) % 2 == odd:
                first, second, line = found[x, y][1], found[x + 1, y + 1][3], "{0}/{1}"
            else:
                first, second, line = found[x + 1, y][2], found[x, y + 1][0], "{1}\\{0}"
            row.append(first if first == second else line.format(first, second))
        rows.append(" ".join(row))
    return "\n".join(rows)


@given(
    st.integers(2, 3),
    st.integers(0, 1),
    st.lists(st.sampled_from(CLOTHS), min_size=5, max_size=23),
    st.lists(st.sampled_from([0, 0, 0, 1, 2]), min_size=1, max_size=7),
    st.sampled_from(["roomy", "exact"]),
    st.sampled_from(["3/4", "1", "13/12", "2"]),
)
@settings(max_examples=tries(40, 8), deadline=None)
def test_any_patches_on_point_are_proved(
    half: int, odd: int, cloths: list[str], pieced: list[int], trimming: str, cell: str
) -> None:
    plan = plan_of(drawn(half, odd, cloths, pieced), cell=cell, block="on_point = true", blocks=2)
    proved(replace(plan, trimming=trimming))


# Reckoned by hand: 2 in patches in 8 1/2, so patches 8.5/(3√2) = 2.0035; edge triangles from squares of
# 8.5/3 + 1/2 + 1/√2 = 4.0404 cut twice, corners from 8.5/6 + 1/2 + √2/4 = 2.2702 cut once; each up to the next 1/8.
GRANNY = {("L", "4 1/8"): 2, ("L", "2 3/8"): 2}


def test_a_granny_square_is_cut_of_squares_and_of_triangles_without_bias_at_its_edge() -> None:
    known = known_block("granny square")
    assert known is not None
    plan = replace(begun(known, read_length("8 1/2", "in"), {}, 1, 1), trimming="exact")
    checklist = proved(plan)
    found: Counter[tuple[str, Measure]] = Counter()
    for piece in checklist.pieces:
        found[piece.fabric, piece.width] += piece.count
    patches = {cloth: count for (cloth, side), count in found.items() if not side.is_rational}
    assert patches == {"A": 1, "M": 4, "D": 8}
    assert {(cloth, side): n for (cloth, side), n in found.items() if side.is_rational} == {
        (cloth, read_length(side, "in")): count for (cloth, side), count in GRANNY.items()
    }


def test_strips_of_patches_on_point_say_the_size_that_the_step_says_and_a_tick_counts_it() -> None:
    """By hand: a patch is cut 8.5/(3√2) + 1/2 = 2.5035, about 2 1/2; at the next mark, 2 5/8, the block would come out
    half an inch too large. Cloth is reckoned to that mark: 40 / 2 5/8 = 15 from a strip."""
    known = known_block("granny square")
    assert known is not None
    plan = begun(known, read_length("8 1/2", "in"), {}, 3, 4)
    checklist = compile_plan(plan)
    words, cut = Words(plan, checklist), {s.id: s.action for s in checklist.steps if isinstance(s.action, Cut)}
    cuttings = cut_quilt(plan, checklist, set_quilt(plan))
    strips = [each for cloth in strips_by_cloth(plan, checklist, cuttings) for each in cloth.strips]
    for strip in strips:
        assert sum(times for _, times in strip.counts) == strip.pieces
        sizes = {words.figures((cut[step].width, cut[step].height)) for step, _ in strip.counts}
        assert sizes == {words.figures((part.width, part.height)) for part in strip.parts}
        orders = " ".join(strip_orders(words, strip))
        assert ("about 2½ × about 2½ in" in orders) == (strip.cloth != "L")
        assert "2⅝" not in strip_title(words, strip) + orders
    assert max(part.count for strip in strips if strip.cloth == "D" for part in strip.parts) == 15
    assert [strip.name for strip in strips if strip.cloth == "A"] == ["593fb734-1"]  # as before: its tick stands


def test_patches_that_no_ruler_shows_are_told_with_the_block_whose_patches_it_does() -> None:
    notices = {n.kind: dict(n.facts) for n in compile_plan(plan_of(FIVE, block="on_point = true")).notices}
    told = notices["patches on point"]
    assert (told["near"], told["fits"]) == (read_length("3 3/8", "in"), read_length("8 1/8", "in"))
    assert not {"off the mark", "trimmed off the mark"} & set(notices)
