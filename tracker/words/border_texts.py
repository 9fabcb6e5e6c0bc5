"""What to do at borders, layers and binding: the steps round a finished centre."""

from __future__ import annotations

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.quilt.borders import MITRE_ROOM
from tracker.words.names import Names
from tracker.work.steps import AddStrips, Step, Trim
from tracker.work.things import SIDES, Kind, Stage, Thing
from tracker.work.whole_blocks import JoinUnits, Layer

LOOSE, SHORT = {"in": Measure(10), "cm": Measure(25)}, {"in": Measure(12), "cm": Measure(30)}
"""What is left loose of a binding where it begins, and how far before that its seam stops, to join the ends."""


FOLD_BINDING = "Then press the strip in half lengthwise, wrong sides together."
"""How a binding is made double; where its joins are pressed, at the same iron."""


def binding_text(names: Names, step: Step) -> str:
    """The binding sewn on, its ends joined, and folded to the back; pressed in half before, where it had no joins."""
    binding, unit = names.plan.quilt.binding, names.plan.unit
    assert binding is not None
    pressed = any(names.checklist.piles[flow.pile].stage is Stage.PRESSED for flow in step.takes[1:])
    fold = "" if pressed else "Press the binding in half lengthwise, wrong sides together. "
    return (
        f"{fold}Lay the binding's raw edges level with the edge of the front; begin in the middle of a side, leave "
        f"{names.length(LOOSE[unit])} loose, sew {names.seam()} from the edge. Stop {names.seam()} before each corner, "
        f"fold the strip up and down again, and go on. Stop {names.length(SHORT[unit])} before the beginning, cut the "
        f"ends so that they overlap by {names.length(binding.cut)}, join them on the diagonal and sew the rest. Fold "
        "it to the back and sew it down."
    )


def measured_text(names: Names, thing: Thing, action: Trim) -> str:
    """Border strips cut, or marked, to what the top measures."""
    sides = thing.side == SIDES
    ways = "from top to bottom" if sides else "from side to side"
    edges = "both sides" if sides else "the upper and lower edge"
    text = f"Measure the top {ways}: through the middle and near {edges}. "
    strip = names.plan.quilt.borders[thing.number - 1]
    if not sides and strip.corners is not None:
        text = (
            "Measure the top from side to side between the seams of the side strips, through the middle and near both "
            f"edges, and add twice {names.seam()}. "
        )
    length = action.height if action.width == strip.cut else action.width
    if strip.mitred:
        more = 2 * (strip.cut - 2 * names.plan.seam) + MITRE_ROOM[names.plan.unit]
        return text + (
            f"Mark the middle of each strip, and half of the average from it each way: there the top's corners come; "
            f"planned are {names.length(length - more)} between them. The strips are {names.length(length)} long: "
            "their ends stand out."
        )
    return text + f"Cut both strips to the average; planned is {names.length(length)}."


def pieced_text(names: Names, step: Step, action: JoinUnits) -> str:
    """The pieces of a strip of a pieced border, sewn to each other."""
    thing, many = names.checklist.made(step).thing, len(action.members)
    outer = names.plan.quilt.borders[thing.number - 1].outer_sash
    what = f"{-(-many // 2)} long and {many // 2} short pieces by turns" if outer else f"{many} units"
    return (
        f"Lay {what} from left to right, as drawn: the upper edge comes to lie outward. Sew them in pairs, then the "
        f"pairs, in one chain: {names.seam()} seams. Both strips are alike."
    )


def fits_pieced(plan: Plan, borders: int) -> bool:
    """Whether a pieced border comes next when so many borders are on."""
    return len(plan.quilt.borders) > borders and plan.quilt.borders[borders].is_pieced


def for_pieced(names: Names, borders: int) -> str:
    """How a top is squared to the length of the pieced border that comes next."""
    if not borders:
        how = "if it is off, take its seams in or let them out rather than the border's"
    else:
        how = f"what it is larger comes off border {borders}, as much on both sides"
    return (
        f"Border {borders + 1} is pieced and cannot be cut to measure: the top must be as long as it is. Measure both "
        f"ways through the middle and near the edges; {how}. Square it to what the border fits"
    )


def border_text(names: Names, thing: Thing, action: AddStrips) -> str:
    """Two strips of a border pinned and sewn to their edges."""
    if action.outward:
        return _pieced_on(names, thing, action)
    sides = action.edges == SIDES
    where = "each side" if sides else "the upper and the lower edge"
    text = f"Mark the middle of each strip and of {where}. Right sides together, pin the middles and the ends, "
    if any(action.nests):
        text += "the cornerstones' seams on those of the side strips where they nest, "
    return text + (
        "then between them. Ease the top to the border, never the border to the edge. Sew "
        f"{names.seam()} from the edge."
    )


def _pieced_on(names: Names, thing: Thing, action: AddStrips) -> str:
    """Two strips of a pieced border sewn on."""
    where = "each side" if action.edges == SIDES else "the upper and the lower edge"
    met = [nest for nests in action.nests for nest in nests]
    alone = names.checklist.piles[action.strip].thing.kind not in (Kind.PIECED_STRIP, Kind.CORNERED_STRIP)
    what, how = ("one", "turned as drawn") if alone else ("a strip", "its upper edge (as it was laid) outward")
    text = f"Right sides together, pin {what} to {where}, {how}: ends and middle, "
    if met:
        good = sum(nest.nests for nest in met)
        text += "then where seams meet" + (", which nest, " if good == len(met) else f" ({good} of {len(met)} nest), ")
    seen = "points" if names.plan.quilt.borders[thing.number - 1].picture else "seams"
    return text + (
        f"then between. The strip keeps its length: ease the top to it. Sew {names.seam()} from the edge, the "
        f"strip above, so that its {seen} are seen."
    )


def _is_mitred(names: Names, number: int) -> bool:
    borders = names.plan.quilt.borders
    return 0 < number <= len(borders) and borders[number - 1].mitred


def mitred_text(names: Names, number: int) -> str:
    """All four strips of a border sewn on, their ends left loose for the corners; of several mitred borders this one
    alone."""
    seam = names.seam()
    alone = ""
    if _is_mitred(names, number + 1):
        alone = f" Border {number + 1} goes on when these corners are mitred."
    return (
        "Right sides together, pin each strip to its edge: middle on middle, its marks on the top's corners, then "
        f"between. Ease the top to the border. Sew {seam} from the edge; begin and stop {seam} from each corner, where "
        f"the next seam begins, with a few stitches backward. The ends stay loose.{alone}"
    )


def corners_text(names: Names, number: int) -> str:
    """The four corners of a border sewn on the diagonal; those of a mitred border inside it run on."""
    run_on = f" It runs on straight from the corner of border {number - 1}." if _is_mitred(names, number - 1) else ""
    return (
        "At each corner fold the top on the diagonal, right sides together, so that the two strips lie edge on edge. "
        f"With the ruler's 45° line draw a line from the end of the stitches to the outer edge.{run_on} Pin, and sew "
        "on it from the inner point outward, no stitch into the border's own seams. Unfold and look; then cut off "
        f"the ends {names.seam()} beyond the seam."
    )


def layer_text(names: Names, action: Layer) -> str:
    """Backing, batting and top laid on each other."""
    beyond = names.length(action.beyond)
    text = ""
    if action.backing is not None:
        text += "Lay the backing face down, smooth, and hold its edges without stretching. "
    if action.batting is not None:
        text += f"Lay the batting{' on it' if action.backing else ''}, cut {names.size(action.batting)}. "
    text += f"Lay the top in the middle, face up: what lies under it reaches {beyond} beyond it on every side. "
    says = ", as the batting's maker says" if action.batting is not None else ""
    return text + f"Smooth from the middle outward and pin or baste{says}."
