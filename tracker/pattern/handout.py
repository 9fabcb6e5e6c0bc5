"""Pattern sheets of a plan to hand out: what stands over them, what is proved, and all of it as one HTML file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from tracker import assets
from tracker.pattern.block_sheet import BlockSheet, SewnPlan, block_sheet
from tracker.pattern.quilt_sheet import QuiltSheet, quilt_sheet
from tracker.pattern.some_blocks import sewn_kinds
from tracker.quilt.cloth_cutting import ClothCutting
from tracker.words.step_words import MANUALS, begin_words
from tracker.work.operations import BLADE, IRON, NEEDLE, PINS


@dataclass(frozen=True)
class Heading:
    """What she types to stand over the sheets: a title (empty: the plan's), a date, a name; each may be empty."""

    title: str = ""
    date: str = ""
    name: str = ""


@dataclass(frozen=True)
class Handout:
    """The sheets of a plan. `proved` says whether the proof held, `notes` what goes for all of the work."""

    heading: Heading
    unit: str
    proved: bool
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    blocks: tuple[BlockSheet, ...]
    quilt: QuiltSheet | None

    @property
    def proof(self) -> str:
        """What stands beside the mark."""
        return PROVED if self.proved else NOT_PROVED


PROVED = "Proved: sewn in numbers from this cutting list, it came to the picture."
NOT_PROVED = "Not proved: do not cut cloth by it."


def handout(
    sewn: SewnPlan, heading: Heading, proved: bool, count: int = 0, cuttings: Sequence[ClothCutting] | None = None
) -> Handout:
    """The sheets of every kind of block and of the quilt; for `count` blocks of each kind (0: as in the plan), and then
    without the quilt. `cuttings` are those of the quilt, if they are known."""
    sheets = tuple(block_sheet(sewn, key, count) for key in sewn_kinds(sewn.checklist))
    return Handout(
        Heading(heading.title or sewn.plan.title, heading.date, heading.name),
        sewn.plan.unit,
        proved,
        _notes(sewn),
        (BLADE, NEEDLE, PINS, IRON, MANUALS),
        sheets,
        None if count else quilt_sheet(sewn, cuttings),
    )


def _notes(sewn: SewnPlan) -> tuple[str, ...]:
    words, plan = sewn.words, sewn.plan
    more = ", a little large where they are trimmed" if plan.trimming == "roomy" else ""
    return (
        begin_words(words),
        f"Cut sizes hold the seam allowance{more}. Sew {words.seam()} seams, right sides together; of a pair the "
        "marked piece lies on top. A letter stands for a cloth; check the size beside a title, pressed and cool.",
        "To press toward a cloth, lay it on top, wrong side up, the seam away from you; set the seam, fold the upper "
        "cloth back over it and press along the fold. An arrow shows where the seam's allowance goes.",
    )


def one_file(given: Handout) -> str:
    """The sheets as one HTML file that opens anywhere: styles and drawings inside it, no links, no scripts."""
    style = (assets.folder("static") / "sheets.css").read_text("utf-8")
    return _pages().get_template("handout.html").render(sheets=given, style=style)


@cache
def _pages() -> Environment:
    return Environment(
        loader=FileSystemLoader(assets.folder("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
