"""Blocks known by name: every one proved, symmetrical as it should be, held to published lists."""

from __future__ import annotations

import tomllib
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from functools import cache
from math import gcd, lcm
from pathlib import Path

import pytest
from effort import THOROUGH, by_lot

from tracker.cli import main
from tracker.exact.measure import Measure
from tracker.plan.known_blocks import FOLDER, KnownBlock, begun, known_block, known_blocks
from tracker.plan.model import Block, Plan, Quarters
from tracker.plan.plan_reader import read_plan
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan

HERE = Path(__file__).parent
TRADE: dict[str, dict[str, str]] = tomllib.loads((HERE / "traditional.toml").read_text("utf-8"))
BY_KEY = {each.key: each for each in known_blocks()}


def test_every_known_block_is_proved() -> None:
    assert len(BY_KEY) == len(list(FOLDER.glob("*.toml"))) >= 45
    for key, known in by_lot(BY_KEY.items()):
        verdict = prove(known.plan, compile_plan(known.plan))
        assert verdict.holds, (key, verdict.first)


def test_every_known_block_is_listed_and_compared(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Against a list whose one row is wrong; in a usual run some of those with sides that no figures say."""
    slanting = [key for key, units in UNITS.items() if {"on-point patchwork", "star of diamonds"} & units.keys()]
    for key in BY_KEY if THOROUGH else by_lot(slanting):
        plan, rows = tmp_path / f"{key}.toml", tmp_path / "rows.csv"
        plan.write_text(BY_KEY[key].text, "utf-8")
        rows.write_text(f"{next(iter(BY_KEY[key].plan.fabrics))},90,2 1/2\n", "utf-8")
        assert main(["cut", str(plan)]) == 0, key
        main(["compare", str(plan), str(rows)])
        assert "The plan needs" in capsys.readouterr().out, key


def test_the_eighty_nine_of_the_trade_are_made_or_named_with_what_they_need() -> None:
    made, needs = TRADE["made"], TRADE["needs"]
    assert len({*made, *needs}) == len(made) + len(needs) == 89
    assert set(made.values()) <= set(BY_KEY)
    for name, key in made.items():
        assert known_block(name) is BY_KEY[key], name
    assert all(known_block(name) is None for name in needs)


# What they look like

MIRRORED, TURNED_QUARTER, TURNED_HALF, CORNERWISE = "mirror", "quarter", "half", "diagonal"

SYMMETRY: dict[str, tuple[str, ...]] = {
    "four-patch": (TURNED_HALF, CORNERWISE),
    "nine-patch": (TURNED_QUARTER, MIRRORED),
    "sixteen-patch": (TURNED_HALF, CORNERWISE),
    "uneven-nine-patch": (TURNED_QUARTER, MIRRORED),
    "double-nine-patch": (TURNED_QUARTER, MIRRORED),
    "double-four-patch": (TURNED_HALF, CORNERWISE),
    "split-nine-patch": (CORNERWISE,),
    "rail-fence": (MIRRORED,),
    "basket-weave": (MIRRORED, TURNED_HALF),
    "single-irish-chain": (TURNED_QUARTER, MIRRORED),
    "double-irish-chain": (TURNED_QUARTER, MIRRORED),
    "trip-around-the-world": (TURNED_QUARTER, MIRRORED),
    "postage-stamp": (),
    "coins": (),
    "bright-hopes": (),
    "disappearing-nine-patch": (TURNED_HALF, CORNERWISE),
    "log-cabin": (CORNERWISE,),
    "half-log-cabin": (),
    "courthouse-steps": (TURNED_HALF, MIRRORED),
    "bears-paw": (TURNED_QUARTER, MIRRORED),
    "jacobs-ladder": (CORNERWISE,),
    "pinwheel": (TURNED_QUARTER,),
    "broken-dishes": (TURNED_HALF, MIRRORED),
    "hourglass": (TURNED_HALF, MIRRORED),
    "half-square": (CORNERWISE,),
    "yankee-puzzle": (TURNED_QUARTER,),
    "fifty-four-forty": (TURNED_HALF, CORNERWISE),
    "ohio-star": (TURNED_QUARTER, MIRRORED),
    "sawtooth-star": (TURNED_QUARTER, MIRRORED),
    "friendship-star": (TURNED_QUARTER,),
    "pinwheel-star": (TURNED_QUARTER,),
    "star-in-a-star": (TURNED_QUARTER, MIRRORED),
    "churn-dash": (TURNED_QUARTER, MIRRORED),
    "shoo-fly": (TURNED_QUARTER, MIRRORED),
    "dutchmans-puzzle": (TURNED_QUARTER,),
    "flying-geese": (MIRRORED,),
    "rolling-stone": (TURNED_QUARTER, MIRRORED),
    "sisters-choice": (TURNED_QUARTER, MIRRORED),
    "square-in-a-square": (TURNED_QUARTER, MIRRORED),
    "snowball": (TURNED_QUARTER, MIRRORED),
    "bow-tie": (TURNED_HALF, CORNERWISE),
    "card-trick": (),
    "double-pinwheel": (TURNED_QUARTER,),
    "spools": (TURNED_HALF, MIRRORED),
    "crown-of-thorns": (TURNED_QUARTER, MIRRORED),
    "goose-in-the-pond": (TURNED_QUARTER, MIRRORED),
    "lady-of-the-lake": (CORNERWISE,),
    "flock-of-geese": (CORNERWISE,),
    "contrary-wife": (CORNERWISE,),
    "arkansas-crossroads": (TURNED_HALF, CORNERWISE),
    "kansas-dugout": (TURNED_QUARTER, MIRRORED),
    "attic-windows": (),
    "framed-square": (TURNED_QUARTER, MIRRORED),
    "streak-of-lightning": (MIRRORED,),
    "birds-in-the-air": (CORNERWISE,),
    "corn-and-beans": (TURNED_HALF, CORNERWISE),
    "ocean-waves": (CORNERWISE,),
    "roman-stripe": (CORNERWISE,),
    "economy": (TURNED_QUARTER, MIRRORED),
    "snails-trail": (TURNED_HALF,),
    "indian-hatchet": (TURNED_HALF, CORNERWISE),
    "delectable-mountains": (MIRRORED,),
    "maple-leaf": (),
    "hunters-star": (CORNERWISE,),
    "eight-pointed-star": (TURNED_QUARTER,),
    "lemoyne-star": (TURNED_QUARTER,),
    "pine-tree": (CORNERWISE,),
    "storm-at-sea": (TURNED_QUARTER, MIRRORED),
    "granny-square": (TURNED_QUARTER, MIRRORED),
    "chimney-sweep": (TURNED_QUARTER, MIRRORED),
    "wild-goose-chase": (TURNED_QUARTER, MIRRORED),
    "carpenters-wheel": (TURNED_QUARTER,),
    "cake-stand": (CORNERWISE,),
    "grand-right-and-left": (),
}
"""Which symmetries the picture of each block has (from memory of the trade): all of them, and no other."""

Points = dict[tuple[Measure, Measure], Quarters]
"""A block as small squares of equal size, each by its middle, seen from the block's, with its quarters."""


@cache
def points_of(block: Block) -> Points:
    """The picture of a block, read off on a grid that fits every cell, whatever it spans, of all blocks of its size."""
    alike = [each.block for each in BY_KEY.values() if each.block.inner_finished == block.inner_finished]
    sides = [side.rational for each in alike for side in (*each.columns, *each.rows)]
    whole = lcm(*(side.denominator for side in sides))
    fine = Measure(Fraction(gcd(*(int(side * whole) for side in sides)), whole)) / 2
    width, height = block.inner_finished
    found: Points = {}
    for cell in block.cells:
        left, top = sum(block.columns[: cell.column], Measure()), sum(block.rows[: cell.row], Measure())
        across, down = block.cell_size(cell)
        for i in range(int(across.rational / fine.rational)):
            for j in range(int(down.rational / fine.rational)):
                # A small square's quarters are those of the quarter (or quarters) of the cell that it lies in.
                x, y = fine * i, fine * j
                corners = [(x, y, x + fine, y), (x + fine, y, x + fine, y + fine), (x, y + fine, x + fine, y + fine),
                           (x, y, x, y + fine)]  # fmt: skip
                middle = x + fine / 2, y + fine / 2
                quarters = tuple(
                    _cloth(cell.quarters, (a + c + middle[0]) / 3, (b + d + middle[1]) / 3, across, down)
                    for a, b, c, d in corners
                )
                spot = left + middle[0] - width / 2, top + middle[1] - height / 2
                found[spot] = quarters  # type: ignore[assignment]
    return found


def _cloth(quarters: Quarters, x: Measure, y: Measure, across: Measure, down: Measure) -> str:
    """The cloth at a point of a cell, by which of its quarters that lies in."""
    above_falling, above_rising = y / down < x / across, y / down < 1 - x / across
    return quarters[
        {(True, True): 0, (True, False): 1, (False, False): 2, (False, True): 3}[above_falling, above_rising]
    ]


def symmetries(block: Block) -> set[str]:
    points = points_of(block)
    moves = {
        MIRRORED: lambda x, y, q: ((-x, y), (q[0], q[3], q[2], q[1])),
        TURNED_QUARTER: lambda x, y, q: ((-y, x), (q[3], q[0], q[1], q[2])),
        TURNED_HALF: lambda x, y, q: ((-x, -y), (q[2], q[3], q[0], q[1])),
        CORNERWISE: lambda x, y, q: ((y, x), (q[3], q[2], q[1], q[0])),
    }
    return {
        name
        for name, move in moves.items()
        if all(points.get(spot) == quarters for spot, quarters in (move(*at, q) for at, q in points.items()))
    }


@pytest.mark.parametrize("key", BY_KEY)
def test_a_picture_has_the_symmetries_of_its_block_and_no_other(key: str) -> None:
    wanted = set(SYMMETRY[key])
    wanted |= {TURNED_HALF} if TURNED_QUARTER in wanted else set()
    wanted |= {CORNERWISE} if {TURNED_QUARTER, MIRRORED} <= wanted else set()
    block = BY_KEY[key].block
    assert symmetries(block.as_drawn if block.diamonds else block) == wanted


def test_no_two_blocks_show_the_same_but_one_that_is_set_otherwise() -> None:
    shown: dict[frozenset[object], list[str]] = {}
    for key, known in BY_KEY.items():
        shown.setdefault(frozenset(points_of(known.block).items()), []).append(key)
    assert [sorted(keys) for keys in shown.values() if len(keys) > 1] == [["nine-patch", "single-irish-chain"]]


UNITS: dict[str, dict[str, int]] = {
    "bears-paw": {"half-square triangle": 16, "plain": 13},
    "jacobs-ladder": {"half-square triangle": 4, "plain": 20},
    "pinwheel": {"half-square triangle": 4},
    "yankee-puzzle": {"quarter-square triangle": 4},
    "ohio-star": {"quarter-square triangle": 4, "plain": 5},
    "sawtooth-star": {"flying goose": 4, "plain": 5},
    "friendship-star": {"half-square triangle": 4, "plain": 5},
    "churn-dash": {"half-square triangle": 4, "plain": 9},
    "shoo-fly": {"half-square triangle": 4, "plain": 5},
    "dutchmans-puzzle": {"flying goose": 8},
    "flying-geese": {"flying goose": 4},
    "sisters-choice": {"half-square triangle": 8, "plain": 17},
    "square-in-a-square": {"square in a square": 1},
    "rolling-stone": {"square in a square": 4, "plain": 9},
    "snowball": {"snowball": 1},
    "crown-of-thorns": {"half-square triangle": 16, "plain": 9},
    "goose-in-the-pond": {"half-square triangle": 12, "plain": 53},
    "star-in-a-star": {"flying goose": 8, "plain": 9},
    "card-trick": {"half-square triangle": 4, "quarter-square triangle": 1, "split quarter-square triangle": 4},
    "double-pinwheel": {"split quarter-square triangle": 4},
    "bright-hopes": {"plain": 5},
    "disappearing-nine-patch": {"quarter of a nine-patch": 4},
    "log-cabin": {"plain": 13},
    "courthouse-steps": {"plain": 13},
    "double-nine-patch": {"plain": 49},
    "bow-tie": {"snowball": 2, "plain": 2},
    "lady-of-the-lake": {"half-square triangle": 17},
    "flock-of-geese": {"half-square triangle": 10},
    "arkansas-crossroads": {"half-square triangle": 4, "plain": 12},
    "birds-in-the-air": {"half-square triangle": 3, "pieced half-square": 1},
    "corn-and-beans": {"pieced half-square": 4},
    "ocean-waves": {"pieced half-square": 1},
    "roman-stripe": {"pieced half-square": 1},
    "economy": {"nested square": 1},
    "snails-trail": {"nested square": 1},
    "indian-hatchet": {"diagonal band": 4},
    "maple-leaf": {"half-square triangle": 4, "plain": 4, "diagonal band": 1},
    "carpenters-wheel": {"half-square triangle": 48, "plain": 16},
    "cake-stand": {"half-square triangle": 7, "plain": 4},
    "grand-right-and-left": {"pieced half-square": 1},
    "storm-at-sea": {"square in a square": 4, "triangle in a square": 8, "nested square": 1},
    "pine-tree": {"half-square triangle": 14, "plain": 2, "diagonal band": 1},
    "hunters-star": {"half-square triangle": 8, "plain": 8},
    "eight-pointed-star": {"half-square triangle": 12, "plain": 4},
    "lemoyne-star": {"star of diamonds": 1},
    "granny-square": {"on-point patchwork": 1},
    "chimney-sweep": {"on-point patchwork": 1},
    "wild-goose-chase": {"flying goose": 12, "on-point patchwork": 1},
}
"""How many units of each kind a block is made of (the counts that lists of the trade give, from memory of it)."""


def units_of(known: KnownBlock) -> Counter[str]:
    checklist = compile_plan(known.plan)
    places = known.plan.count_of(known.block.key)
    found: Counter[str] = Counter()
    for unit in checklist.units:
        found[unit.kind] += unit.needed // places
    return found


@pytest.mark.parametrize("key", UNITS)
def test_a_block_is_made_of_the_units_that_it_is_known_by(key: str) -> None:
    assert units_of(BY_KEY[key]) == UNITS[key]


# Published lists

PUBLISHED = {
    "churn-dash": ("churn-6a", "churn-12", "wrench-12"),
    "shoo-fly": ("shoofly-12a", "shoofly-12b", "shoofly-12c", "shoofly-12d"),
    "friendship-star": ("fstar-12a", "fstar-6b"),
    "ohio-star": ("ohio-10", "ohio-12a"),
    "sawtooth-star": ("saw-8a", "saw-6a", "saw-6b"),
    "bears-paw": ("bear-14",),
    "jacobs-ladder": ("jl-12a", "jl-9b", "jl-12b", "jl-12d"),
    "pinwheel": ("pin-8", "pin-12"),
    "rail-fence": ("rail-12",),
    "double-nine-patch": ("dnine-9",),
    "nine-patch": ("nine-6b",),
    "sisters-choice": ("sister-10", "sister-6"),
}
"""Which published lists (tests/published/blocks.toml, each with its page) are of which block. Pages colour a block each
in their own way, so pieces are counted by their sizes. A page's four rails as one block are four blocks here, turned.
What one page calls a pinwheel star (pinstar-12) has another star within it, and is not compared."""


def sizes_cut(plan: Plan) -> Counter[tuple[Measure, Measure]]:
    found: Counter[tuple[Measure, Measure]] = Counter()
    for piece in compile_plan(plan).pieces:
        found[piece.width, piece.height] += piece.count
    return found


@pytest.mark.parametrize(("key", "page"), [(key, page) for key, pages in PUBLISHED.items() for page in pages])
def test_a_block_is_cut_as_the_published_lists_say(key: str, page: str) -> None:
    """tests/test_published.py holds the plan of that page to its list, and says where they part."""
    listed = read_plan((HERE / f"plans/blocks/{page}.toml").read_bytes()).plan
    assert listed is not None
    known, size = BY_KEY[key], next(iter(listed.blocks.values())).inner_finished
    width = size[0] / len(known.plan.quilt.places[0])
    ours = begun(known, width, {}, len(known.plan.quilt.places[0]), len(known.plan.quilt.places))
    ways = ("seam", "trimming", "ruler", "half_square", "geese", "split_square")
    ours = replace(ours, **{way: getattr(listed, way) for way in ways})
    strips = {k: replace(b, strips=any(o.strips for o in listed.blocks.values())) for k, b in ours.blocks.items()}
    assert sizes_cut(replace(ours, blocks=strips)) == sizes_cut(listed)
