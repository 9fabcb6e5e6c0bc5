"""Where seams meet and how they are pressed, held against the sewn cloth, against drawings, and against trying all."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from random import Random
from xml.etree import ElementTree

import pytest
from effort import THOROUGH, by_lot
from planning import joined_blocks, plan_of
from random_quilts import random_quilt

from tracker.cloth.joining import join_pieces
from tracker.cloth.moving import turned_piece
from tracker.cloth.pieces import Group, Piece
from tracker.cloth.sewing import Trace, sew
from tracker.drawing import step_drawing
from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.pressing.block_pressing import lines_of
from tracker.pressing.meetings import BlockSeams
from tracker.pressing.quilt_pressing import neighbours, press_quilt, unnested_between
from tracker.pressing.seam_reader import block_seams
from tracker.progress.ledger import Progress
from tracker.route.compiler import compile_plan
from tracker.words.step_words import Words
from tracker.work.steps import About, Checklist, Join, Pin, PressSeams, Step

PLANS = Path(__file__).parent / "plans"
FILES = [*sorted((PLANS / "valid").glob("*.toml")), *sorted((PLANS / "blocks").glob("*.toml"))]


def plan_in(path: Path) -> Plan:
    plan = read_plan(path.read_text("utf-8"), path.name).plan
    assert plan is not None
    return plan


def sewn(plan: Plan) -> tuple[Checklist, Trace]:
    checklist = compile_plan(plan)
    trace = sew(checklist.piles, checklist.steps, plan.seam)
    assert trace.fault is None, trace.fault.sentence()
    return checklist, trace


# The law: what is said to nest lies opposite ways on the cloth


def hold_to_the_cloth(plan: Plan) -> tuple[int, int]:
    """Every meeting of seams in the sewn blocks is in the pinning before it, and the other way round; how many, and
    how many of them nest."""
    checklist, trace = sewn(plan)
    pins = {step.gives[0].pile: step.action for step in checklist.steps if isinstance(step.action, Pin)}
    met = nested = 0
    for step in checklist.steps:
        if not isinstance(step.action, Join) or step.per == "quilt":
            continue
        for take, give in zip(step.takes, step.gives, strict=True):
            found = {(j.along, j.nests) for each in trace.done[step.id].junctions[give.pile] for j in each}
            pin = pins.get(take.pile)
            assert found == ({(n.along, n.nests) for n in pin.nests} if pin else set()), step.id
            met += len(found)
            nested += sum(nests for _, nests in found)
    return met, nested


@pytest.mark.parametrize("path", by_lot(FILES), ids=lambda path: path.stem)
def test_seams_said_to_nest_lie_opposite_ways_and_none_is_missed(path: Path) -> None:
    met, nested = hold_to_the_cloth(plan_in(path))
    assert met == nested


def test_so_it_is_for_blocks_drawn_by_lot() -> None:
    counts = [hold_to_the_cloth(random_quilt(Random(seed), 4, 3)) for seed in by_lot(range(60))]
    met, nested = (sum(count[i] for count in counts) for i in (0, 1))
    assert 0 < nested < met  # strip sets bring some that cannot nest


def finished_block(plan: Plan, checklist: Checklist, trace: Trace, number: int) -> Piece:
    progress = Progress(plan, checklist)
    steps = progress.counts.block_steps(progress.counts.block_keys[number], number)
    lying = trace.lying[[step for step in steps if step.topic.about is About.BLOCK][-1].gives[0].pile]
    if isinstance(lying, Group):
        (lying,) = lying.pieces  # of one unit
    assert isinstance(lying, Piece)
    return lying


def is_one_piece(checklist: Checklist, key: str) -> bool:
    """Whether a block is one patch, neither laid out nor squared."""
    return not any(step.per == key and step.topic.about is About.BLOCK for step in checklist.steps)


def test_what_is_said_to_nest_between_blocks_does_when_they_are_sewn_to_each_other() -> None:
    met = unnested = turned = 0
    for seed in by_lot(range(80)):
        plan = random_quilt(Random(seed), 4, 4)
        pressed = press_quilt(plan, joined_blocks(plan))
        checklist, trace = sewn(plan)
        lost = 0
        keys = list(plan.quilt.blocks_in_order())
        if any(is_one_piece(checklist, key) and len(plan.blocks[key].cells) > 1 for key in keys):
            continue  # cut whole from a strip set: nothing is sewn as a block
        for pair in neighbours(plan):
            frames = {plan.frame_of(keys[place]) for place in (pair.first, pair.second)}
            if len(frames) == 1 and None not in frames:
                continue  # the cloth of both frames meets itself
            if any(is_one_piece(checklist, keys[place]) for place in (pair.first, pair.second)):
                continue  # no seam of it comes to the edge
            pieces = [
                turned_piece(finished_block(plan, checklist, trace, place + 1), pressed.turn(place))
                for place in (pair.first, pair.second)
            ]
            across = pair.edges == ("right", "left")
            _, ((*junctions,),) = join_pieces(pieces, "across" if across else "down", plan.seam)
            met += len(junctions)
            lost += sum(not junction.nests for junction in junctions)
            turned += any(pressed.turn(place) for place in (pair.first, pair.second))
        assert lost == unnested_between(plan, pressed) == checklist.pressing.unnested
        unnested += lost
    assert met > 60 * THOROUGH
    if THOROUGH:
        assert unnested > 3
        assert turned > 5


# Where seams meet

MEET = {
    "a plain grid": ("S R S\nR S R", "", 2),
    "two rows that part elsewhere": ("S < R\nS R <", "", 0),
    "a seam that ends at a wide patch": ("S R\nS <\nS R", "", 0),
    "a seam past a wide patch": ("S R S\nS < R\nS R S", "", 2),
    "wide patches between": ("S R S\nK < <\nS R R", "", 0),
    "columns within a row": ("S R S\n^ K ^\nS R R", "", 2),
    "strips beside strips": ("S R S\nR S R", "strips = true", 2),
    "strips beside pieced rows": ("S R S\nS R\\S S\nS R S", "strips = true", 4),
    "one patch": ("S", "", 0),
}


@pytest.mark.parametrize("name", MEET)
def test_seams_meet_where_they_run_out_at_the_same_place(name: str) -> None:
    picture, block, wanted = MEET[name]
    plan = plan_of(picture, block=block)
    assert len(seams_of(plan).meetings) == wanted
    assert hold_to_the_cloth(plan)[0] == wanted


def seams_of(plan: Plan) -> BlockSeams:
    ((key, root),) = joined_blocks(plan).items()
    return block_seams(plan.blocks[key], root, plan)


def test_only_the_last_frame_s_side_strips_have_seams_that_run_out() -> None:
    frames = '[[blocks.b.frame]]\nfabric = "K"\ncut = "1 1/2"\n[[blocks.b.frame]]\nfabric = "S"\ncut = "2 1/2"'
    seams = seams_of(plan_of("S R\nR S", frames=frames))
    assert {edge: len(ends) for edge, ends in seams.edges.items()} == {"top": 2, "right": 0, "bottom": 2, "left": 0}
    assert sorted(seams.edges["top"]) == [2, 8]
    assert [seams.seams[seam].against[0] for seam in seams.edges["top"].values()] == [(0, 1), (1, 0)]


# Half turns

HALF_TURNS = {
    "the same upside down": ("S R\nR S", "", "", True),
    "a corner differs": ("S R\nR K", "", "", False),
    "halves that turn into each other": ("R\\S R\nR S\\R", "", "", True),
    "halves that do not": ("R\\S R\nR R/S", "", "", False),
    "wide patches in opposite places": ("S < R\nR S <", "", "", True),
    "wide patches one above the other": ("S < R\nS < R", "", "", False),
    "strips pressed to the middle": ("S R S", "strips = true", "", True),
    "strips pressed one way in the middle": ("S R R S\nK K K K\nS R R S", "strips = true", "", False),
    "a frame": ("S R\nR S", "", '[[blocks.b.frame]]\nfabric = "K"\ncut = "2"', True),
}


@pytest.mark.parametrize("name", HALF_TURNS)
def test_a_block_is_turned_only_where_picture_and_units_stay_the_same(name: str) -> None:
    picture, block, frames, wanted = HALF_TURNS[name]
    assert (seams_of(plan_of(picture, block=block, frames=frames)).turned is not None) == wanted


def test_directional_cloth_is_never_turned() -> None:
    text = '[fabrics.W]\nname = "waves"\ntone = 3\ndirectional = true'
    assert seams_of(plan_of("S W\nW S", top=text)).turned is None
    assert seams_of(plan_of("S R\nR S", top=text)).turned is not None
    framed = '[[blocks.b.frame]]\nfabric = "W"\ncut = "2"'
    assert seams_of(plan_of("S R\nR S", top=text, frames=framed)).turned is None


# The habits of the trade

OUTWARD = "outward, to the corners"
INWARD = "inward, to the middle"

PRESSED = {
    "long rows of a plain grid take turns": (
        "S R S R S\nR S R S R\nS R S R S",
        ["rows 1 and 3 all to the right; row 2 all to the left", "all up"],
    ),
    "a nine-patch toward its dark patches": (
        "R S R\nS R S\nR S R",
        [f"rows 1 and 3 {OUTWARD}; row 2 {INWARD}", "all up"],
    ),
    "an Ohio star flat: outward to plain corners, inward to the plain centre": (
        "S S:R:S:R S\nS:R:S:R R S:R:S:R\nS S:R:S:R S",
        [f"rows 1 and 3 {OUTWARD}; row 2 {INWARD}", "all up"],
    ),
    "a shoo fly toward the plain patches beside its corners": (
        "S/R R S\\R\nR S R\nS\\R R S/R",
        [f"rows 1 and 3 {INWARD}; row 2 outward, to the ends", "all up"],
    ),
    "a single seam goes toward the dark": ("S K", ["to the left"]),
    "a single seam goes toward the dark on the left": ("K S", ["to the right"]),
    "of two rows the darker takes the seam": ("S\nK", ["down"]),
    "equal tones: toward the plain patch": ("R:M:R:M R", ["to the left"]),
    "all row joins one way, though one lies toward the light": ("S\nK\nS", ["all up"]),
}


@pytest.mark.parametrize("name", PRESSED)
def test_joins_are_pressed_by_the_habits_of_the_trade(name: str) -> None:
    picture, wanted = PRESSED[name]
    plan = plan_of(picture)
    checklist = compile_plan(plan)
    words = Words(plan, checklist)
    texts = [words.text(step) for step in checklist.steps if isinstance(step.action, PressSeams)]
    assert [text.partition("as it lies: ")[2].removesuffix(".") for text in texts] == wanted


BETWEEN_STRIPS = {
    "away from the middle": ("S R S\nK K/R K\nS R S", ["to the left", "to the right"]),
    "toward the middle": ("R S R\nK K/R K\nR S R", ["to the right", "to the left"]),
    "one way and two ways": ("S K R S\nS S/R R S\nS K R S", ["to the left", "to the left", "to the right"]),
}
"""Rows of strips above and below leave no choice for the row between; what that comes to, seen from the back."""


@pytest.mark.parametrize("name", BETWEEN_STRIPS)
def test_what_cannot_go_one_way_is_listed_seam_by_seam_as_it_lies_face_down(name: str) -> None:
    picture, wanted = BETWEEN_STRIPS[name]
    plan = plan_of(picture, block="strips = true")
    checklist = compile_plan(plan)
    row = next(step for step in block_pressings(checklist) if checklist.made(step).thing.name == "row 2")
    listing = ", ".join(f"{number} {way}" for number, way in enumerate(wanted, 1))
    said = {"away from the middle": OUTWARD, "toward the middle": INWARD}.get(name, f"(seams from the left) {listing}")
    assert Words(plan, checklist).text(row).endswith(f": {said}.")


def block_pressings(checklist: Checklist) -> Iterator[Step]:
    """The pressings of joins inside a block."""
    return (step for step in checklist.steps if isinstance(step.action, PressSeams) and step.per != "quilt")


def test_a_seam_pressed_open_never_helps() -> None:
    """Tried out: no pressing with open seams has fewer meetings that do not nest."""
    tried = 0
    for seed in range(200):
        plan = random_quilt(Random(seed), 3, 1)
        for key, root in joined_blocks(plan).items():
            seams = block_seams(plan.blocks[key], root, plan)
            if not seams.meetings or len(seams.seams) > 8:
                continue
            ways = product(*((0, 1, OPEN) if seam.fixed is None else (seam.fixed,) for seam in seams.seams))
            lines = lines_of(seams)
            pressed = lines.sides([0] * len(lines.lines))
            assert unnested(seams, pressed) == min(unnested(seams, sides) for sides in ways)
            tried += 1
    assert tried > 50


OPEN = 2


def unnested(seams: BlockSeams, sides: tuple[int, ...]) -> int:
    """Meetings that do not nest, some seams perhaps pressed open."""
    pairs = [(sides[meeting.first], sides[meeting.second]) for meeting in seams.meetings]
    return sum(OPEN in pair or pair[0] == pair[1] for pair in pairs)


# Pinning in words

PINNED = {
    "every seam": ("S R S\nR S R", "These 2 nest (from the left edge): seam 1, 2¼ in; seam 2, 4¼ in."),
    "one of several": (
        "S R S\nR < S",
        "This nests (from the left edge): seam 2 of the upper with seam 1 of the lower, 4¼ in.",
    ),
    "none": ("S < R\nS R <", "Pin both ends and the middle."),
}


@pytest.mark.parametrize("name", PINNED)
def test_pinning_says_which_seam_nests_where(name: str) -> None:
    picture, wanted = PINNED[name]
    plan = plan_of(picture)
    checklist = compile_plan(plan)
    pin = next(step for step in checklist.steps if isinstance(step.action, Pin))
    assert wanted in Words(plan, checklist).text(pin)


def test_what_does_not_nest_is_said_and_pinned_before_and_after() -> None:
    """Two rows of strips alike: all their seams are pressed the same way before they meet."""
    plan = plan_of("S R S\nS R S", block="strips = true")
    checklist = compile_plan(plan)
    words = Words(plan, checklist)
    pin = next(step for step in checklist.steps if isinstance(step.action, Pin))
    assert "These 2 do not nest, for both allowances lie the same way: seam 1, 2¼ in; seam 2, 4¼ in." in words.text(pin)
    assert "Pin just before and just after." in words.text(pin)
    assert checklist.pressing.blocks[0].versions[0].unnested == 2
    assert [words.notice(notice) for notice in checklist.notices if notice.kind == "not nested"] == [
        "Block b: at 2 places seams meet that are pressed the same way before they are joined, and cannot nest; "
        "the pinning says where."
    ]


# Mirrored: the drawing from the back and the list say the same


def arrows_row_by_row(svg: str) -> list[list[str]]:
    """The arrows of a drawing from the back that point aside: for each height, from the top, from left to right."""
    found: dict[int, list[tuple[int, str]]] = {}
    for path in ElementTree.fromstring(svg).iter():
        if "arrow" in path.get("class", "").split():
            for shape in re.findall(r"M[^M]*", path.get("d", "")):
                outline = corners(shape)
                (tip, height), middle = outline[0], sum(x for x, _ in outline) // len(outline)
                found.setdefault(height, []).append((middle, "to the right" if tip > middle else "to the left"))
    return [[way for _, way in sorted(found[height])] for height in sorted(found)]


def corners(shape: str) -> list[tuple[int, int]]:
    """The corners of a shape drawn from point to point, straight on."""
    x = y = 0
    found = []
    for command, text in re.findall(r"([MLHVmlhv])([^A-Za-z]*)", shape):
        values = [int(value) for value in re.findall(r"-?\d+", text)]
        if command in "Hh":
            values = [each for value in values for each in (value, 0 if command == "h" else y)]
        elif command in "Vv":
            values = [each for value in values for each in (0 if command == "v" else x, value)]
        for dx, dy in zip(values[::2], values[1::2], strict=True):
            x, y = (x + dx, y + dy) if command.islower() else (dx, dy)
            found.append((x, y))
    return found


def ways_said(text: str, rows: dict[str, int]) -> list[list[str]]:
    """What a pressing's text says of each row, by its number of seams: seam by seam from the left."""
    said: dict[str, list[str]] = {}
    for part in text.partition("as it lies: ")[2].removesuffix(".").split("; "):
        names = re.findall(r"\d+", re.split(r"all |to the |\(", part)[0]) or list(rows)
        for name in names:
            ways = re.findall(r"to the (?:left|right)", part)
            if "ward, to the " in part:
                said[name] = ["to the left", "to the right"] if "outward" in part else ["to the right", "to the left"]
            else:
                said[name] = ways if "(seams" in part else ways * rows[name]
    return [said[name] for name in rows]


MIRRORED = {
    **{name: (picture, "strips = true") for name, (picture, _) in BETWEEN_STRIPS.items()},
    "rows by turns": ("S R S K\nR S R K\nS R S K", ""),
    "unequal rows": ("S < R K\nR S < K\nS R S <", ""),
    "two rows": ("S R\nK S", ""),
}


@pytest.mark.parametrize("name", MIRRORED)
def test_the_drawing_from_the_back_shows_what_the_list_says(name: str) -> None:
    picture, block = MIRRORED[name]
    plan = plan_of(picture, block=block)
    checklist, trace = sewn(plan)
    words = Words(plan, checklist)
    compared = 0
    for step in block_pressings(checklist):
        assert isinstance(step.action, PressSeams)
        things = [checklist.piles[flow.pile].thing for flow in step.takes]
        if all(thing.is_row_of_block for thing in things):
            counts = {
                str(thing.lines[0][1]): len(seams) for thing, seams in zip(things, step.action.seams, strict=True)
            }
            svg = step_drawing(plan, checklist, trace, step)
            assert arrows_row_by_row(svg) == ways_said(words.text(step), counts)
            compared += 1
    assert compared == 1
