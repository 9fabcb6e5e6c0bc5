"""Blocks of the trade that are known by name: a plan file each in the folder `known`, to start from.

A file begins with remarks: `# also:` other names, parted by commas, and `# picture:` where its picture comes from. Its
first block is the one that it is named by.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path

from tracker.exact.measure import Measure
from tracker.plan.cutting_up import after_cutting
from tracker.plan.defaults import DEFAULTS, tone_of_colour
from tracker.plan.diamond_star import of_diamonds
from tracker.plan.model import Block, Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.plan_writer import write_plan

FOLDER = Path(__file__).with_name("known")
MOST_SUGGESTED = 3


@dataclass(frozen=True)
class KnownBlock:
    """A block by its name and other names; `source` is where its picture comes from, `text` its plan as it stands."""

    key: str
    also: tuple[str, ...]
    source: str
    text: str

    @cached_property
    def plan(self) -> Plan:
        """The plan of its text."""
        plan = read_plan(self.text, f"{self.key}.toml").plan
        assert plan is not None, self.key
        return plan

    @property
    def name(self) -> str:
        return self.plan.title

    @property
    def block(self) -> Block:
        """The block that it is named by."""
        return next(iter(self.plan.blocks.values()))

    @property
    def size(self) -> tuple[Measure, Measure]:
        """Finished, across and down."""
        return self.block.inner_finished


@cache
def known_blocks() -> tuple[KnownBlock, ...]:
    """All of them, by name."""
    found = [_read(path) for path in FOLDER.glob("*.toml")]
    return tuple(sorted(found, key=lambda each: each.name.lower()))


def _read(path: Path) -> KnownBlock:
    text = path.read_text(encoding="utf-8")
    remarks = dict(re.findall(r"^# (also|picture): (.+)$", text, re.MULTILINE))
    also = tuple(name.strip() for name in remarks.get("also", "").split(",") if name.strip())
    return KnownBlock(path.stem, also, remarks["picture"], text)


# Names


def plain_name(name: str) -> str:
    """A name without what people leave out or write otherwise: case, accents, apostrophes, hyphens, blanks."""
    spelt = unicodedata.normalize("NFKD", name).lower().replace("&", " and ")
    return re.sub(r"[^a-z0-9]", "", spelt)


@cache
def _by_name() -> Mapping[str, KnownBlock]:
    """Every name of every block; where two blocks share one, the block that is called so comes first."""
    found: dict[str, KnownBlock] = {}
    for each in known_blocks():
        found[plain_name(each.name)] = found[plain_name(each.key)] = each
    for each in known_blocks():
        for name in each.also:
            found.setdefault(plain_name(name), each)
    return found


def known_block(name: str) -> KnownBlock | None:
    """The block of that name, however it is written; None where there is none."""
    read = plain_name(name)
    names = _by_name()
    # "the log cabin block", "churn dashes": what is said round a name does no harm.
    for spelt in (read, read.removeprefix("the"), re.sub(r"(quilt)?block$", "", read), read.removesuffix("s")):
        if spelt in names:
            return names[spelt]
    return None


def suggested(name: str) -> tuple[str, ...]:
    """Names that may have been meant, the nearest first."""
    read, names = plain_name(name)[:60], _by_name()
    near = [spelt for spelt in names if read and read in spelt] if len(read) > 2 else []
    near += difflib.get_close_matches(read, names, MOST_SUGGESTED)
    return tuple(dict.fromkeys(names[spelt].name for spelt in near))[:MOST_SUGGESTED]


# A plan to start from


def begun(
    known: KnownBlock, width: Measure, cloths: Mapping[str, tuple[str, str]], across: int, down: int, unit: str = "in"
) -> Plan:
    """A quilt of a known block: `width` its finished width in `unit`, `cloths` name and colour of each cloth by key.

    Where the block stands beside others or in turns, their pattern goes on over the quilt.
    """
    plan, usual = known.plan, DEFAULTS[unit]
    plan = replace(
        plan,
        unit=unit,
        seam=usual.seam,
        ruler=usual.ruler,
        fabrics={key: replace(fabric, usable=usual.usable) for key, fabric in plan.fabrics.items()},
    )
    times = width / known.size[0]
    blocks = {key: _sized(block, times, plan.seam) for key, block in plan.blocks.items()}
    fabrics = {
        key: replace(fabric, name=cloths[key][0], colour=cloths[key][1], tone=tone_of_colour(cloths[key][1]))
        if key in cloths
        else fabric
        for key, fabric in plan.fabrics.items()
    }
    # Two kinds at most take turns, as on a chessboard, however many places the known plan has.
    pattern = [row[:2] for row in plan.quilt.places[:2]]
    places = tuple(
        tuple(pattern[row % len(pattern)][column % len(pattern[0])] for column in range(across)) for row in range(down)
    )
    return replace(plan, fabrics=fabrics, blocks=blocks, quilt=replace(plan.quilt, places=places))


def _sized(block: Block, times: Measure, seam: Measure) -> Block:
    """A block that many times as large; of a nine-patch that is cut up, or a star of diamonds, what comes of it is."""
    columns, rows = (tuple(side * times for side in sides) for sides in (block.columns, block.rows))
    if block.before is None:
        return replace(block, columns=columns, rows=rows)
    if block.diamonds:
        drawn = block.as_drawn
        return of_diamonds(replace(drawn, columns=(drawn.columns[0] * times,) * 4, rows=(drawn.rows[0] * times,) * 4))
    sides = ((sum(columns, Measure()) + 2 * seam) / 3,) * 3
    return after_cutting(replace(block.as_drawn, columns=sides, rows=sides), seam)


def begun_text(known: KnownBlock, plan: Plan) -> str:
    """The plan as text, with where its picture comes from."""
    return f"# {known.name}: the picture is {known.source}.\n{write_plan(plan)}"
