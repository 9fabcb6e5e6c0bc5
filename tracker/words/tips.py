"""What a teacher adds while a step is done: one short sentence at most, said once in each part of the work."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tracker.plan.model import Block
from tracker.quilt.cloth_cutting import BLOCK_USES, LATER_USES
from tracker.route.working_order import sections
from tracker.words.thing_words import listed
from tracker.words.unit_words import UnitNames
from tracker.work.dotted_seams import SewToDots
from tracker.work.partial_seams import BeginSeam, CloseSeam
from tracker.work.steps import AddStrips, Cut, CutApart, Join, LayOut, Mark, Press, PressSeams, Sew, Step, Trim
from tracker.work.things import (
    DIAMOND,
    HALF_RECTANGLE,
    HALF_SQUARE,
    HALVES,
    IN_SQUARE,
    INNER_SQUARE,
    NESTED,
    ON_POINT,
    PIECED_STRIP,
    PIECED_TRIANGLE,
    POINTED_OBLONG,
    POINTED_SQUARE,
    QUARTER_SQUARE,
    SMALL_TRIANGLE,
    SPLIT,
    STOOD,
    Kind,
    Stage,
    Thing,
)
from tracker.work.whole_blocks import AddBorder, JoinParts


def tips_of(names: UnitNames) -> Mapping[str, str]:
    """The sentence for each step that has one, by the step's id: of several of a section in like case the first."""
    stands = sections(names.checklist)
    said: set[tuple[object, str]] = set()
    found: dict[str, str] = {}
    for step in names.checklist.steps:
        says = _SAID.get(type(step.action), "") if step.count else ""
        tip = says if isinstance(says, str) else says(names, step)
        if tip and (stands[step.id], tip) not in said:
            said.add((stands[step.id], tip))
            found[step.id] = tip
    return found


def _cut(names: UnitNames, step: Step) -> str:
    if not isinstance(step.action, Cut) or step.action.use not in BLOCK_USES:
        return ""
    later = later_uses(names, step.action.fabric)
    if later and step == _cuts_of(names, step.action.fabric)[0]:
        aside = f"lay aside, whole and uncut, what of it is {listed(later)}"
        return f"Before you cut, {aside}: the cutting list says how much."
    if step.count == 1:
        return "Before you cut, square the end of the cloth: where it is not square to the fold, strips come out bent."
    return "Square the end again after every few cuts: where it is not square to the fold, strips come out bent."


def _cuts_of(names: UnitNames, fabric: str) -> list[Step]:
    """The steps that cut a cloth, in order."""
    cuts = (step for step in names.checklist.steps if step.count and isinstance(step.action, Cut))
    return [step for step in cuts if isinstance(step.action, Cut) and step.action.fabric == fabric]


def later_uses(names: UnitNames, fabric: str) -> list[str]:
    """What is cut from a cloth only when the top lies there: `for border 1`, `for the binding`."""
    made = [names.checklist.made(step) for step in _cuts_of(names, fabric)]
    return names.uses_of([pile for pile in made if pile.thing.of in LATER_USES])


def _sew(names: UnitNames, step: Step) -> str:
    if names.is_on_the_marks(step):
        return "Begin and end on a scrap of cloth: the machine cannot draw the corner in."
    if names.is_marked(step):
        return "Begin on a scrap. Sew all of them down one side of the line, turn the chain round, and back the other."
    of = names.checklist.made(step).thing.of
    if of in (PIECED_STRIP, PIECED_TRIANGLE):
        return "Begin on a scrap, at the square corner: a thin point is easily drawn down into the machine."
    if of in (HALF_RECTANGLE, HALVES, POINTED_OBLONG, POINTED_SQUARE, QUARTER_SQUARE, SPLIT):
        return "These long edges are on the bias: pin the ends and the middle, let the machine feed them, do not pull."
    if of in (IN_SQUARE, NESTED, INNER_SQUARE, ON_POINT, STOOD):
        return "The triangle's long edge is on the bias: turn the piece over, so that it lies below, and do not pull."
    return "Begin on a scrap. Turn at each corner with the needle down."


def _cut_apart(names: UnitNames, step: Step) -> str:
    made = names.checklist.made(step)
    if made.thing.of == HALF_SQUARE and names.pair_before(step) is not None and not names.is_marked(step):
        return "Their outer edges are on the bias now: lift them, never pull."
    if made.thing.of == DIAMOND:
        return "Two edges of each diamond are on the bias now: lift them, never pull."
    if made.thing.of == SMALL_TRIANGLE:
        return "The short edges are on the bias now: lift them, never pull."
    if made.thing.kind is Kind.TRIANGLE:
        return "The long edges are on the bias now: lift them, never pull."
    return ""


def _trim(names: UnitNames, step: Step) -> str:
    if step.operation != "trim" or step.of_the_quilt or names.checklist.made(step).block is not None:
        return ""
    return "Mark the size on the ruler with tape: after a dozen the eye slips to the next line."


def _lay_out(names: UnitNames, step: Step) -> str:
    places = step.action.places if isinstance(step.action, LayOut) else ()
    takers = (taker for flow in step.gives for taker in names.takers_of.get(flow.pile, ()))
    one_by_one = step.per in names.cabins or any(isinstance(taker.action, BeginSeam) for taker in takers)
    if step.per == "quilt" or one_by_one or not 1 < len({place.row for place in places}) < len(places):
        return ""
    joined = [names.checklist.piles[flow.pile].thing for flow in step.gives]
    in_columns = any(thing.line_of_block == "column" for thing in joined)
    line, end = ("column", "at the top") if in_columns else ("row", "left")
    return (
        f"Put a pin in the first piece of each {line}: it shows which end is {end} when a {line} comes back from the "
        "machine."
    )


def _join(names: UnitNames, step: Step) -> str:
    taken = names.checklist.taken(step)
    if taken.stage is Stage.SET_OUT:
        return "Take a shorter stitch, for the seams are cut across, and sew every other one from the opposite end."
    if taken.stage is Stage.PINNED:
        return "If one edge is a little longer, lay it below: the feed eases it in."
    maker = names.maker_of.get(taken.id)
    places = maker.action.places if maker is not None and isinstance(maker.action, LayOut) else ()
    units = {place.pile for place in places if place.group == taken.id}
    if units & {row.pile for row in names.checklist.units if row.kind == HALF_SQUARE and row.way == "four"}:
        return "Some of these edges are on the bias: pin them, and do not pull."
    return ""


def _press_seams(names: UnitNames, step: Step) -> str:
    whole = step.per != "quilt" and names.checklist.made(step).thing == Thing(Kind.BLOCK)
    if whole and eight_meet(names.plan.blocks[step.per]):
        return "Where eight points meet, open the stitches in the allowance and fan the seams round: it lies flat."
    return ""


def _add_strips(names: UnitNames, step: Step) -> str:
    if isinstance(step.action, AddStrips) and step.action.outward:
        return ""  # the strip lies above as it is, that its points are seen
    if step.of_the_quilt:
        return "If the top's edge is longer than the strip, lay it below: the feed eases it in."
    return "Press the strips before they go on: a creased strip measures short."


def _join_parts(names: UnitNames, step: Step) -> str:
    if names.checklist.made(step).thing.kind in (Kind.ROW, Kind.ROWS):
        return "If one edge is a little longer, lay it below: the feed eases it in."
    return ""


def _sew_to_dots(names: UnitNames, step: Step) -> str:
    if isinstance(step.action, SewToDots) and step.action.pieces[0].is_set_in:
        return "The machine's needle stands in the dot before the foot comes down: so no stitch lands beyond it."
    return "Shorter stitches hold better where a seam ends in the cloth."


_SAID: Mapping[type, str | Callable[[UnitNames, Step], str]] = {
    Cut: _cut,
    Mark: "A sheet of fine sandpaper under the cloth keeps it from creeping.",
    Sew: _sew,
    CutApart: _cut_apart,
    Press: "Leave each lying till it is cool, under a ruler or a book: then it stays flat.",
    Trim: _trim,
    LayOut: _lay_out,
    Join: _join,
    BeginSeam: "A pin set across the edge shows where to stop, before you sit down at the machine.",
    CloseSeam: "Open, the edges have hung free: if one has grown, lay it below and ease it in.",
    PressSeams: _press_seams,
    SewToDots: _sew_to_dots,
    AddStrips: _add_strips,
    JoinParts: _join_parts,
    AddBorder: "Fold loose ends out of the way while the next strip is sewn on.",
}
"""What is said of each kind of action, or what finds it; nothing where it is empty."""


def eight_meet(block: Block) -> bool:
    """Whether eight points of a block meet inside it: four cells round a corner, each with a diagonal to it."""
    runs: dict[tuple[int, int], set[bool]] = {}
    for cell in block.cells:
        top, right, bottom, left = cell.quarters
        if cell.down == cell.across == 1 and len({*cell.quarters}) > 1:
            rising, falling = top == left and right == bottom, top == right and bottom == left
            runs[cell.row, cell.column] = {rising} if rising or falling else {True, False}
    around = ((0, 0, False), (0, 1, True), (1, 0, True), (1, 1, False))
    return any(
        all(way in runs.get((row + down, column + across), ()) for down, across, way in around) for row, column in runs
    )
