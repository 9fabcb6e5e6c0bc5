"""Units: sizes at every stage, mirror images and spares, ways chosen, and a made-up unit by one entry."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TypeGuard

import pytest
from planning import plan_of, tapped
from recipe_plans import RECIPE_PLANS, recipe_plan

from tracker.exact.measure import ROOT2, Measure, nearest, read_length
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan, write_plan
from tracker.progress.ledger import Progress
from tracker.proof.proof import prove
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.route.compiler import CannotSew, compile_plan
from tracker.units.maker import Bench, Maker, OneIdForTwo
from tracker.units.recipes import RECIPES, Recipe
from tracker.units.recipes.corners import Corner, flip_corners
from tracker.units.recipes.half_square import fits_half_square
from tracker.units.recipes.recipe import always
from tracker.units.region import Region
from tracker.words.plan_notices import cannot_sew, notice_sentence
from tracker.words.step_words import Words
from tracker.work.steps import About, Checklist, Cut, Pile, Topic
from tracker.work.things import Kind, Stage, Thing

HALF = Fraction(1, 2)


def sizes_of(checklist: Checklist, operation: str) -> list[tuple[Measure, Measure]]:
    return [step.size for step in checklist.steps if step.operation == operation and step.count and step.size]


def proved(plan: Plan) -> Checklist:
    checklist = compile_plan(plan)
    assert prove(plan, checklist).faults == ()
    return checklist


# Mirror images and spares: (picture, blocks) -> rows of (kind, cloths, needed, made, spare, bag), plain patches apart.
HANDS = {
    "an even number of half-squares has no spare": (r"S/R S\R", 1, [("half-square", "R S", 2, 2, 0, None)]),
    "the odd one is kept": (r"S/R", 3, [("half-square", "R S", 3, 4, 1, None)]),
    "two quarter-squares alike from a pair": ("S:R:S:R", 3, [("quarter-square", "R S R S", 3, 4, 1, None)]),
    "three cloths, the same in a mirror": ("S:R:T:R", 2, [("quarter-square", "R S R T", 2, 2, 0, None)]),
    "four cloths come in two hands": (
        "S:R:T:K",
        2,
        [("quarter-square", "K S R T", 2, 2, 0, "A"), ("quarter-square", "K T R S", 0, 2, 2, "B")],
    ),
    "both hands wanted are both used": (
        "S:R:T:K K:T:R:S",
        3,
        [("quarter-square", "K S R T", 3, 3, 0, "A"), ("quarter-square", "K T R S", 3, 3, 0, "B")],
    ),
    "a hand wanted more often leaves the other over": (
        "S:S:R:T S:S:R:T S:S:T:R",
        1,
        [("split quarter-square", "R T S", 2, 2, 0, "A"), ("split quarter-square", "R S T", 1, 2, 1, "B")],
    ),
    "where the quarter repeats the whole half either hand serves": (
        "S:S:S:R",
        3,
        [("split quarter-square", "R S", 3, 4, 1, None)],
    ),
}


@pytest.mark.parametrize("name", HANDS)
def test_hands_and_spares(name: str) -> None:
    picture, blocks, expected = HANDS[name]
    checklist = proved(plan_of(picture, blocks=blocks))
    rows = [
        (row.kind.removesuffix(" triangle"), " ".join(row.fabrics), row.needed, row.made, row.spare, row.bag)
        for row in checklist.units
        if row.kind != "plain"
    ]
    assert sorted(rows) == sorted(expected)


LOOSE = {
    # (picture, blocks) -> squares cut: by cloth and side, how many. Common practice: f + 1 1/4 cut twice, f + 7/8 once.
    "four cloths": ("S:R:T:K", 3, {("S", "3 1/4"): 1, ("R", "3 1/4"): 1, ("T", "3 1/4"): 1, ("K", "3 1/4"): 1}),
    "two cloths share their triangles": ("S:R:S:R", 3, {("S", "3 1/4"): 2, ("R", "3 1/4"): 2}),
    "one hand alone": ("S:S:R:T", 4, {("S", "2 7/8"): 2, ("R", "3 1/4"): 1, ("T", "3 1/4"): 1}),
    "both hands": ("S:S:R:T S:S:T:R", 2, {("S", "2 7/8"): 2, ("R", "3 1/4"): 1, ("T", "3 1/4"): 1}),
}


@pytest.mark.parametrize("name", LOOSE)
def test_loose_triangles_are_sewn_as_drawn_and_leave_no_mirror_image(name: str) -> None:
    picture, blocks, cut = LOOSE[name]
    plan = replace(plan_of(picture, blocks=blocks), quarter_square="triangles", trimming="exact")
    checklist = proved(plan)
    found = {(step.action.fabric, step.action.width): step.count for step in checklist.steps if is_cut(step.action)}
    assert found == {(cloth, read_length(side, "in")): count for (cloth, side), count in cut.items()}
    assert all(row.made == row.needed and row.bag is None for row in checklist.units)
    assert {row.way for row in checklist.units} == {"triangles"}


def is_cut(action: object) -> TypeGuard[Cut]:
    return isinstance(action, Cut)


def test_sets_needed_for_handed_units() -> None:
    """Two of one hand and one of the other: two sets, so four units, one of them over."""
    checklist = compile_plan(plan_of("S:S:R:T S:S:R:T S:S:T:R"))
    (pairing,) = [step for step in checklist.steps if step.operation == "pair" and "split" in step.id]
    assert pairing.count == 2


# Sizes on the way, exact: picture, settings -> sizes after pressing and after trimming (finished 2 in, seam 1/4).
STAGES = {
    "two, roomy": (r"S\R", "", 3 - ROOT2 / 4, "2 1/2"),
    "two, exact": (r"S\R", 'trimming = "exact"', Measure(Fraction(23, 8)) - ROOT2 / 4, "2 1/2"),
    "eight, roomy": (r"S\R", 'half_square = "eight"', 3 - ROOT2 / 4, "2 1/2"),
    "four, roomy": (r"S\R", 'half_square = "four"', (Measure(Fraction(35, 8)) - HALF) / ROOT2, "2 1/2"),
    "quarter-square, roomy": ("S:R:S:R", "", Fraction(7, 2) - ROOT2 / 2, "2 1/2"),
}


@pytest.mark.parametrize("name", STAGES)
def test_sizes_at_every_stage(name: str) -> None:
    picture, settings, pressed, _ = STAGES[name]
    checklist = proved(plan_of(picture, top=settings))
    assert (pressed, pressed) in sizes_of(checklist, "press")
    assert (Fraction(5, 2), Fraction(5, 2)) in sizes_of(checklist, "trim")


# The whole square of a split unit, finished 2 in: trimming, how it is cut -> the pair of squares, the whole one, and
# the pressed unit's sides across its middle, to the nearest hundredth.
SPLIT = {
    "roomy, fitted": ("roomy", "fitted", "3 1/2", "3 1/8", [Fraction(278, 100)] * 2),
    "exact, fitted": ("exact", "fitted", "3 1/4", "2 7/8", [Fraction(253, 100)] * 2),
    "roomy, alike": ("roomy", "alike", "3 1/2", "3 1/2", [Fraction(279, 100), Fraction(315, 100)]),
    "exact, alike": ("exact", "alike", "3 1/4", "3 1/4", [Fraction(254, 100), Fraction(290, 100)]),
}


@pytest.mark.parametrize("name", SPLIT)
def test_the_whole_square_of_a_split_unit_is_fitted_to_the_pressed_one_or_cut_alike(name: str) -> None:
    trimming, way, pair, whole, pressed = SPLIT[name]
    checklist = proved(plan_of("S:S:R:T", top=f'trimming = "{trimming}"\nsplit_square = "{way}"'))
    cut = {key: read_length(text, "in") for key, text in (("R", pair), ("T", pair), ("S", whole))}
    assert {piece.fabric: piece.width for piece in checklist.pieces} == cut
    before = [step.size for step in checklist.steps if step.id.startswith("pressed:A:split")]
    assert [[nearest(side, Fraction(1, 100)) for side in sorted(size)] for size in before if size] == [pressed]


def test_half_squares_for_quarter_squares_are_never_pooled_with_plain_ones() -> None:
    checklist = proved(plan_of(r"S:R:S:R S/R", cell="2"))
    pressed = [step for step in checklist.steps if step.operation == "press" and "half-square" in step.id]
    assert len(pressed) == 2


def test_like_inner_half_squares_are_one_pool() -> None:
    """Both the quarter-square and the split one need brick and sand crossed: cut, marked and sewn in one pile."""
    checklist = proved(plan_of("S:R:T:R T:T:S:R"))
    inner = [step for step in checklist.steps if step.id.startswith("pressed:inner")]
    assert sorted(step.id.split(":")[2] for step in inner) == ["R+S", "T+R"]


def test_equal_tones_go_to_the_key_first_in_the_alphabet() -> None:
    plan = plan_of(r"R/M")
    checklist = proved(plan)
    words = Words(plan, checklist)
    pressed = next(step for step in checklist.steps if step.operation == "press")
    assert "toward moss" in words.text(pressed)


def test_the_best_way_is_one_that_the_cloth_is_wide_enough_for() -> None:
    # Eight at a time of 8 takes squares of 18; this cloth is 16 wide.
    plan = plan_of(r"S/R", blocks=8, cell="8", top='half_square = "best"')
    narrow = replace(plan, fabrics={key: replace(each, usable=Measure(16)) for key, each in plan.fabrics.items()})
    assert [row.way for row in compile_plan(plan).units] == ["eight"]
    assert [row.way for row in compile_plan(narrow).units] == ["two"]


@pytest.mark.parametrize(
    ("count", "way"),
    [(4, "two"), (8, "eight"), (9, "two"), (15, "eight"), (64, "eight")],
)
def test_the_best_way_of_half_squares_by_cloth_and_pieces(count: int, way: str) -> None:
    plan = plan_of(r"S/R", blocks=count, top='half_square = "best"')
    checklist = proved(plan)
    assert checklist.units[0].way == way
    (notice,) = [each for each in checklist.notices if each.kind == "way chosen"]
    assert way in Words(plan, checklist).notice(notice)


def test_geese_four_at_a_time_need_one_sky() -> None:
    plan = plan_of(r"S/R R\T", top='geese = "four"', block="combine = true")
    checklist = proved(plan)
    (goose,) = checklist.units
    assert (goose.kind, goose.way) == ("flying goose", "flip")
    assert "needs one cloth on both sides" in Words(plan, checklist).notice(checklist.notices[0])


# combine = true: picture -> kinds of unit and their number in a block.
COMBINED = {
    "a goose": (r"S/R R\S", {"flying goose": 1}),
    "a goose on its side": ("S/R\nS\\R", {"flying goose": 1}),
    "a square in a square": ("S/R R\\S\nS\\R R/S", {"square in a square": 1}),
    "a snowball": ("S/R R R\\S\nR R R\nS\\R R R/S", {"snowball": 1}),
    "a bow tie's corner": ("R R\nR R/S", {"snowball": 1}),
    "like neighbours": ("S S R\nS S R", {"plain": 2}),
    "a star": (
        "S S/R R\\S S\nS/R R R R\\S\nS\\R R R R/S\nS S\\R R/S S",
        {"plain": 5, "flying goose": 4},
    ),
    "nothing to combine": ("S R\nR S", {"plain": 4}),
    # Of four pairs round a middle three can be one patch each; with the fourth no straight seam would be left.
    "neighbours that would close a spiral": ("S S R\nT K R\nT M M", {"plain": 6}),
}


@pytest.mark.parametrize("name", COMBINED)
def test_combine(name: str) -> None:
    picture, expected = COMBINED[name]
    checklist = proved(plan_of(picture, block="combine = true"))
    found: dict[str, int] = {}
    for row in checklist.units:
        found[row.kind] = found.get(row.kind, 0) + row.needed
    assert found == expected


def test_without_combine_the_saving_is_advice() -> None:
    plan = plan_of(r"S/R R\S", blocks=4)
    checklist = compile_plan(plan)
    assert [row.kind for row in checklist.units] == ["half-square triangle"]
    (notice,) = checklist.notices
    assert dict(notice.facts) == {"block": "b", "saved": 1, "quilt": 4, "units": (("flying goose", 1),)}
    assert "sewn with 1 flying goose has 1 seam fewer, 4 in the whole quilt" in Words(plan, checklist).notice(notice)


# Pictures that can be joined neither by straight seams nor round a middle: picture -> cells named, from 1.
NOT_STRAIGHT = {
    "two middles": ("S < R <\nT K ^ ^\n^ ^ M S\n^ R < ^", ((1, 1), (1, 3), (2, 1), (2, 2), (3, 3), (3, 4), (4, 2))),
    "two middles in a corner": (
        "S < R < S\nT K ^ ^ ^\n^ ^ M S ^\n^ R < ^ ^",
        ((1, 1), (1, 3), (2, 1), (2, 2), (3, 3), (3, 4), (4, 2)),
    ),
}


@pytest.mark.parametrize("name", NOT_STRAIGHT)
def test_pictures_that_no_straight_seam_can_make(name: str) -> None:
    picture, cells = NOT_STRAIGHT[name]
    plan = plan_of(picture)
    with pytest.raises(CannotSew) as refused:
        compile_plan(plan)
    assert set(refused.value.cells) == set(cells)
    assert "no straight seam" in cannot_sew(refused.value, plan)


def test_patches_that_span_cells_are_joined_by_straight_seams() -> None:
    """A log-cabin like picture: no rows at the top, yet every seam is straight."""
    checklist = proved(plan_of("S T < <\n^ K < M\n^ ^ ^ ^\n^ R < <"))
    assert {row.fabrics[0]: row.finished for row in checklist.units} == {
        "S": (8, 2),
        "T": (6, 2),
        "K": (4, 4),
        "M": (4, 2),
        "R": (6, 2),
    }


# Blocks of nine patches -> length of the strips for rows of sand, brick, sand and those of brick, sand, brick, and the
# rows needed, made and spare. 39 1/2 in after squaring would give fifteen rows of 2 1/2 in from a set.
SETS = {
    "as long as needed, and an inch": (1, "", {"6", "3 1/2"}, {(2, 2, 0), (1, 1, 0)}),
    "sets alike": (12, "", {"31"}, {(24, 24, 0), (12, 12, 0)}),
    "a spare where it does not come out even": (11, "", {"28 1/2"}, {(22, 22, 0), (11, 11, 0)}),
    "the whole width": (15, "", {"38 1/2"}, {(30, 30, 0), (15, 15, 0)}),
    "one more": (8, "", {"21"}, {(16, 16, 0), (8, 8, 0)}),
    "in centimetres": (3, 'unit = "cm"', {"41.5", "22"}, {(6, 6, 0), (3, 3, 0)}),
}


@pytest.mark.parametrize("name", SETS)
def test_strip_sets_are_as_long_as_needed(name: str) -> None:
    blocks, top, lengths, rows = SETS[name]
    cell = "5" if "cm" in top else "2"
    plan = plan_of("S R S\nR S R\nS R S", blocks=blocks, block="strips = true", top=top, cell=cell)
    checklist = proved(plan)
    assert {piece.width for piece in checklist.pieces} == {read_length(length, plan.unit) for length in lengths}
    assert {(row.needed, row.made, row.spare) for row in checklist.units} == rows


def make_flipped_half(maker: Maker, region: Region) -> tuple[str, ...]:
    """One at a time: a square laid on a square, sewn corner to corner, the corner cut off, folded back."""
    top, _, _, left = region.quarters
    side = region.finished[0] + 2 * maker.seam
    corner = Corner(right=False, low=True, cloth=left, side=side)
    return (flip_corners(maker, maker.cut(top, side), top, (side, side), [corner]),)


def test_a_made_up_unit_needs_nothing_but_its_entry() -> None:
    """Recognition, sizes, steps, words, counts and proof follow from one recipe."""
    made_up = Recipe("flipped half", "flip", fits_half_square, make_flipped_half, always(2))
    plan = plan_of("S S/R\nR\\S S", blocks=3)
    checklist = compile_plan(plan, (RECIPES[0], made_up))
    assert prove(plan, checklist).faults == ()
    assert {(row.kind, row.needed, row.made, row.spare) for row in checklist.units} == {
        ("plain", 6, 6, 0),
        ("flipped half", 6, 6, 0),
    }
    words = Words(plan, checklist)
    assert "Press flipped halves, brick / pale sand" in [words.title(step) for step in checklist.steps]
    progress = Progress(plan, checklist)
    while not progress.counts.finished():
        step = next(step for step in progress.counts.steps.values() if progress.counts.ready(step))
        tapped(progress, {"id": str(progress.counts.shares()), "do": "done", "step": step.id, "times": 1})
    assert not checklist.spares


def test_two_different_piles_or_steps_of_one_id_are_an_error_at_once() -> None:
    bench = Bench(recipe_plan("plain patches"))
    pile, step = Pile("cut:S", Thing(Kind.SQUARE), Stage.CUT, ("S",)), ("cut:S", "cut", {}, {"cut:S": 1})
    topic = Topic(About.CUTTING, "S")
    for _ in range(2):
        assert bench.pile(pile) == pile.id
        bench.step(*step, Cut("S", Measure(2), Measure(2)), topic)
    with pytest.raises(OneIdForTwo):
        bench.pile(replace(pile, fabrics=("R",)))
    with pytest.raises(OneIdForTwo):
        bench.step(*step, Cut("S", Measure(3), Measure(2)), topic)
    assert len(bench.piles) == len(bench.steps) == 1


DIRECTED = {
    "half-square two": "upright or upside down in 1 half-square triangle, as of every two made together one is turned",
    "half-square four": "slanting in 1 half-square triangle",
    "half-square eight": "in all four directions in 1 half-square triangle",
    "quarter-square of triangles": "in all four directions in 1 quarter-square triangle",
    "square in a square": "slanting in 1 square in a square",
    "strip set": "turned to the right in 1 strip set, since its strips are cut across it",
    "goose flip": "",
    "frame": "",
    "plain patches": "",
}
"""What is said of the print of brick, R, where it has a direction: reckoned by hand from how each is made."""


@pytest.mark.parametrize("name", DIRECTED)
def test_what_a_making_turns_of_a_cloth_with_a_direction_is_said(name: str) -> None:
    plain = recipe_plan(name)
    assert not compile_plan(plain).prints
    plan = replace(plain, fabrics=plain.fabrics | {"R": replace(plain.fabrics["R"], directional=True)})
    checklist = compile_plan(plan)
    told = [notice_sentence(Words(plan, checklist), each) for each in checklist.notices if each.kind == "prints lie"]
    assert len(told) == bool(DIRECTED[name])
    assert all(f": brick lies {DIRECTED[name]}" in each for each in told)


@pytest.mark.parametrize("name", RECIPE_PLANS)
def test_prints_lie_as_is_said_and_stand_where_they_have_to(name: str) -> None:
    plan = recipe_plan(name)
    directed = {key: replace(fabric, directional=True) for key, fabric in plan.fabrics.items()}
    turned = replace(plan, fabrics=directed)
    checklist = compile_plan(turned)
    assert not prove(turned, checklist).faults
    told = [notice_sentence(Words(turned, checklist), each) for each in checklist.notices if each.kind == "prints lie"]
    text = write_plan(replace(plan, fabrics={key: replace(fabric, upright=True) for key, fabric in directed.items()}))
    standing = read_plan(text).plan
    if name in ("cut up", "on point", "star of diamonds"):
        assert standing is None
        assert told
        assert not any("upright = true" in each for each in told), "what is refused is not advised"
        return
    assert standing is not None
    assert all("upright = true" in each for each in told)
    checklist = compile_plan(standing)
    assert not prove(standing, checklist).faults
    assert {lie.ways for lie in checklist.prints} == {(0,)}
    first = next(step for step in checklist.steps if isinstance(step.action, Cut) and step.action.use in BLOCK_USES)
    assert isinstance(first.action, Cut)
    across = replace(first.action, prints=tuple((way + 90) % 360 for way in first.action.prints))
    steps = tuple(replace(step, action=across) if step is first else step for step in checklist.steps)
    assert "print" in {fault.kind for fault in prove(standing, replace(checklist, steps=steps)).faults}
