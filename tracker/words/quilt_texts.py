"""What to do at the whole quilt's own steps: blocks in their places, rows, triangles, borders, layers and binding.

As in `seam_words`, the ways of a pressing are said as they are seen from the back, joining from the front.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tracker.plan.model import Block, Plan
from tracker.quilt.lattice import BLOCK, CORNER, CORNERSTONE, SASH, SIDE, LatticeRow
from tracker.words.border_texts import (
    FOLD_BINDING,
    binding_text,
    border_text,
    corners_text,
    fits_pieced,
    for_pieced,
    layer_text,
    measured_text,
    mitred_text,
    pieced_text,
)
from tracker.words.names import Names
from tracker.words.seam_words import (
    AS_BEFORE,
    FROM_BEHIND,
    MOST_NUMBERS,
    blocks_named,
    in_pairs,
    meeting,
    pressed_by_hand,
)
from tracker.words.thing_words import TURNED, listed, plural, spoken, upper_edge_lies
from tracker.work.pressed import SeamPress
from tracker.work.steps import AddStrips, CutApart, PressSeams, Step, Trim
from tracker.work.things import Kind, Stage, Thing
from tracker.work.whole_blocks import (
    AddBorder,
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    JoinUnits,
    Layer,
    MitreCorners,
    Nest,
    QuiltLayers,
    SetBlock,
)

MOST_MEETINGS = 6
"""How many meetings that do not nest are said one by one."""


def is_measured(names: Names, step: Step) -> bool:
    """Whether a step cuts border strips to the length that was measured through the middle."""
    return isinstance(step.action, Trim) and names.checklist.made(step).stage is Stage.MEASURED


def called(row: Thing) -> str:
    """A row in the order of joining: `row 2`, `sash row 1`, `the first corner triangle`."""
    if row.kind is Kind.CORNER_ROW:
        return f"the {'first' if row.number == 1 else 'last'} corner triangle"
    return spoken(row)


def quilt_text(names: Names, step: Step) -> str:
    """What to do, in one to four sentences."""
    match step.action:
        case SetBlock():
            return _set_text(names, step, step.action)
        case JoinUnits():
            return pieced_text(names, step, step.action)
        case JoinParts():
            return _join_text(names, step, step.action)
        case PressSeams():
            fold = f" {FOLD_BINDING}" if names.checklist.made(step).thing.kind is Kind.BINDING else ""
            return _press_text(names, step.action, names.is_pressed_as_before(step)) + fold
        case ClipEars(height=height):
            return (
                "Cut off the points that stand out above and below, level with the edges of the blocks, so that the "
                f"row is {names.length(height)} high. Leave both ends as they are."
            )
        case JoinEnds():
            return _ends_text(names, step, step.action)
        case CutLengths():
            return _lengths_text(names, step, step.action)
        case CutApart():
            return _triangles_text(names, step)
        case Trim():
            return _trim_text(names, step, step.action)
        case AddStrips():
            return border_text(names, names.checklist.made(step).thing, step.action)
        case AddBorder():
            return mitred_text(names, names.checklist.made(step).thing.number)
        case MitreCorners():
            return corners_text(names, names.checklist.made(step).thing.number)
        case Layer():
            return layer_text(names, step.action)
        case QuiltLayers():
            return (
                "Quilt through all layers as you like, from the middle outward, by hand or by machine, or have it "
                "quilted. How far apart the lines may lie, the batting's maker says."
            )
        case Bind():
            return binding_text(names, step)
    raise AssertionError(step.action)


def _set_text(names: Names, step: Step, action: SetBlock) -> str:
    blocks = step.blocks or ()
    one = step.count == 1
    which = blocks_named(blocks) if blocks else f"{step.count} blocks"
    text = f"Lay {which} in {'its place' if one else 'their places'} in row {action.row}, right side up"
    on_point = names.plan.quilt.setting == "on point"
    text += f", {'on point, ' if on_point else ''}{f'{TURNED[action.turn]}: ' if action.turn else ''}"
    text += f"{'its' if one else 'their'} upper edge{'' if one else 's'} {upper_edge_lies(action.turn, on_point)}."
    if action.turn and not names.plan.quilt.turns:
        text += " Where the picture looks the same both ways, the seams on the back do not."
    if on_point:
        text += " Rows run slantwise here, down to the right."
    return text


def _join_text(names: Names, step: Step, action: JoinParts) -> str:
    thing = names.checklist.made(step).thing
    if thing.kind is Kind.BACKING:
        way = "side by side" if action.direction == "across" else "one below the other"
        many = len(action.members)
        return (
            f"Cut off the selvages. Sew the {many} panels to each other {way}, right sides together, long edges level, "
            f"{names.seam()} seams."
        )
    if thing.kind is Kind.CORNERED_STRIP:
        alone = names.checklist.piles[action.members[1].pile].thing.kind is Kind.UNIT
        lay = "Lay the unit as drawn: the upper edge comes to lie outward. " if alone else ""
        ends = "it" if alone else "the strip"
        return f"{lay}Sew a cornerstone to each end of {ends}, right sides together, edges level, {names.seam()} seams."
    if action.direction == "down":
        return _rows_text(names, step, action)
    row = names.rows[thing]
    return " ".join([*_row_text(names, row), *_meetings(names, _row_meetings(row, action), "top", ("left", "right"))])


def _row_text(names: Names, row: LatticeRow) -> Iterator[str]:
    """What is sewn to what in a row."""
    blocks = [part.block for part in row.parts if part.block is not None]
    sashes = sum(part.kind == SASH for part in row.parts)
    stones = sum(part.kind == CORNERSTONE for part in row.parts)
    if not blocks:
        yield (
            f"Sew {sashes} sashes to each other from left to right, with {stones} {plural('cornerstone', stones)} "
            f"between them, {names.seam()} seams."
        )
        lengths = [part.size[0] for part in row.parts if part.kind == SASH]
        if len(set(lengths)) > 1:
            yield f"The longer sashes, {names.length(max(lengths))}, lie at both ends."
        return
    between = ", a sash between every two" if sashes else ""
    if len(blocks) == 1:
        yield f"Take block {blocks[0]}. Sew from left to right, right sides together, {names.seam()} seams."
    else:
        yield (
            f"Sew {blocks_in_order(blocks)} to each other from left to right, in this order{between}, right sides "
            f"together, {names.seam()} seams.{'' if sashes else in_pairs(len(blocks))}"
        )
    first, last = row.parts[0].kind, row.parts[-1].kind
    if first != BLOCK:
        again = f"end with a {last.value}" if first != last else "end with another"
        yield f"Begin with a {first.value}, {again}."
    if SIDE in (first, last):
        yield "Lay a side triangle's square corner level with the block's corner; its sharp point stands out."
    if CORNER in (first, last):
        yield "Centre a corner triangle on its block: its points stand out alike on both sides."


def blocks_in_order(blocks: Sequence[int]) -> str:
    """`blocks 4, 5 and 6`; of many `blocks 41 to 60`, or how many."""
    if len(blocks) > MOST_NUMBERS and all(after == before + 1 for before, after in pairwise(blocks)):
        return f"blocks {blocks[0]} to {blocks[-1]}"
    return f"the {len(blocks)} blocks" if len(blocks) > MOST_NUMBERS else blocks_named(blocks)


def _row_meetings(row: LatticeRow, action: JoinParts) -> list[tuple[str, Nest]]:
    """What meets in the seams of a row, each with the blocks it lies between."""
    found = []
    for (first, second), nests in zip(pairwise(row.parts), action.nests, strict=True):
        where = f"between blocks {first.block} and {second.block}, " if first.block and second.block else ""
        found += [(where, nest) for nest in nests]
    return found


def _rows_text(names: Names, step: Step, action: JoinParts) -> str:
    rows = names.rows_in(names.checklist.made(step).thing)
    above, row = rows[-2], rows[-1]
    before = "what is joined so far" if len(rows) > 2 else called(above.thing)
    lay = f"Lay {called(row.thing)} on the lower edge of {before}, right sides together"
    said = [f"{lay}, and sew {names.seam()} from the edge."]
    lonely = next((each for each in (row, above) if each.kind is Kind.CORNER_ROW), None)
    sashes = Kind.SASHES in (row.kind, above.kind)
    if lonely is not None:
        other = above if lonely is row else row
        block = next(part.block for part in other.parts if part.block is not None)
        said.append(f"Centre the triangle on block {block}: its points stand out alike on both sides.")
    nests = [("", nest) for nest in action.nests[0]]
    if not nests and sashes:
        said.append("Keep blocks in line across the sash: mark on it where the seams of the row above run.")
    if not nests and not action.level and lonely is None and not sashes:
        said.append("Match it at the seams, as drawn.")
    return " ".join([*said, *_meetings(names, nests, "left", ("upper", "lower"))])


def _meetings(names: Names, found: Sequence[tuple[str, Nest]], edge: str, sides: tuple[str, str]) -> Iterator[str]:
    """Where seams nest and where they do not, in few words; where a cloth meets itself it is not worth one."""
    found = [(where, nest) for where, nest in found if not nest.one_cloth]
    bad = [where + meeting(names, nest, sides) for where, nest in found if not nest.nests]
    if not found:
        return
    if not bad:
        yield "Wherever seams meet they nest: push them together and pin."
        return
    others = len(found) - len(bad)
    if others:
        yield f"At {others} {plural('place', others)} seams nest: push them together and pin."
    shown = "; ".join(bad[:MOST_MEETINGS])
    more = f"; and {len(bad) - MOST_MEETINGS} more" if len(bad) > MOST_MEETINGS else ""
    these = "One place does" if len(bad) == 1 else f"{len(bad)} places do"
    yield f"{these} not nest (from the {edge} edge): {shown}{more}. Pin just before and just after."


# Pressing


def _press_text(names: Names, action: PressSeams, again: bool) -> str:
    seams = action.seams[0]
    if not seams:
        return "Press every join open."
    if all(seam.toward is None for seam in seams):
        return f"Set {_seams(len(seams))}, then press {'it' if len(seams) == 1 else 'them'} open."
    if seams[0].between[1] in names.rows:
        return _rows_press_text(seams[0], again)
    pieces = seams[0].between[0].kind is Kind.STRIP_PIECE
    if pieces and len({seam.toward == seam.between[1] for seam in seams}) > 1:
        return pressed_by_hand("the longer piece", len(seams), again)
    toward = dict.fromkeys(TOWARD.get(seam.toward.kind, "") for seam in seams if seam.toward is not None)
    # A row's seams that all go one way go to a triangle only where it happens to lie that way.
    if "" in toward:
        return f"{AS_BEFORE if again else FROM_BEHIND}{row_ways(seams)}."
    return pressed_by_hand(f"the {' or '.join(toward)}", len(seams), again)


def _seams(count: int) -> str:
    return {1: "the seam", 2: "both seams"}.get(count, f"all {count} seams")


TOWARD = {
    Kind.SIDE_TRIANGLE: "triangle",
    Kind.CORNER_TRIANGLE: "triangle",
    Kind.SASH: "sash",
    Kind.BORDER_STRIP: "border strip",
}
"""What seams of the quilt are pressed toward; elsewhere toward a block."""


def row_ways(seams: Sequence[SeamPress]) -> str:
    """Where the seams of a row go, seen from the back, its last part on the left."""
    ways = ["to the left" if seam.toward == seam.between[1] else "to the right" for seam in reversed(seams)]
    if len(set(ways)) == 1:
        return ways[0] if len(ways) == 1 else f"all {ways[0]}"
    return "(seams from the left) " + ", ".join(f"{number} {way}" for number, way in enumerate(ways, 1))


def _rows_press_text(seam: SeamPress, again: bool) -> str:
    later = seam.toward == seam.between[1]
    return pressed_by_hand(called(seam.between[1]) if later else "what is joined so far", again=again)


# Cutting


def _ends_text(names: Names, step: Step, action: JoinEnds) -> str:
    strips = sum(flow.each for flow in step.takes)
    how = (
        "Lay two ends over each other at a right angle, right sides together. Sew across, from corner to corner, "
        f"and trim to {names.seam()} beyond the seam. (Joined straight is right too, and takes less of the strips.)"
    )
    return f"{how} So join all {strips} strips, {names.length(action.width)} wide, to one long strip."


LITTLE = {"in": "up to 1 in", "cm": "up to 2.5 cm"}
"""How much longer each border strip can be cut: a run of joined strips has that to spare."""


def _lengths_text(names: Names, step: Step, action: CutLengths) -> str:
    parts = []
    for part in action.lengths:
        rows = sashes_of(names, part.pile)
        where = f" (for sash {plural('row', len(rows))} {listed(rows)})" if rows and len(action.lengths) > 1 else ""
        parts.append(f"{part.count} of {names.length(part.length)}{where}")
    text = f"Square one end of the long strip and cut from it {listed(parts)}"
    if names.is_mitred(names.checklist.made(step)):
        text += ": what they are longer than the top is room for the corners, which are mitred"
    elif names.checklist.made(step).thing.of == "border":
        text += f", each {LITTLE[names.plan.unit]} longer where it reaches: what the top measures is cut from them next"
    return f"{text}."


def sashes_of(names: Names, pile: str) -> list[str]:
    """The numbers of the rows of sashes that strips of a pile become."""
    joins = [s for s in names.checklist.steps if isinstance(s.action, JoinParts) and s.action.direction == "down"]
    return [
        str(names.rows_in(names.checklist.made(step).thing)[-1].thing.number)
        for step in joins
        if isinstance(step.action, JoinParts) and step.action.members[-1].pile == pile
    ]


def _triangles_text(names: Names, step: Step) -> str:
    if names.checklist.made(step).thing.kind is SIDE:
        return (
            "Cut each square twice, from corner to corner both ways: 4 side triangles. Their long edge will lie on the "
            "quilt's edge, on the straight grain; both short edges are on the bias: do not stretch them."
        )
    return (
        "Cut each square once, from corner to corner: 2 corner triangles. Their short edges will lie at the quilt's "
        "corner, on the straight grain; the long edge is on the bias: do not stretch it."
    )


def _along_points(names: Names) -> str:
    """Where the edge of a quilt on point is cut."""
    floats = names.plan.quilt.floats
    why = f"{names.length(floats)}, by which they float, and {names.seam()} of seam allowance" if floats else ""
    why = why or "leave that seam allowance beyond every point"
    beyond = names.length(floats + names.plan.seam) if floats else names.seam()
    return f"Trim each side {beyond} beyond the points of the blocks: {why}. Right angles at the corners:"


def block_has_points(block: Block) -> bool:
    """Whether slanting seams of a block's picture run to its edges, where their points must not be cut off."""
    last, lowest = len(block.columns), len(block.rows)
    outer = (
        cell
        for cell in block.cells
        if not (cell.row and cell.column) or cell.row + cell.down == lowest or cell.column + cell.across == last
    )
    return block.on_point or any(not cell.is_plain for cell in outer)


def has_points(plan: Plan, borders: int) -> bool:
    """Whether points lie along the edge of a top with so many borders on: a plain strip has none."""
    if borders:
        return bool(plan.quilt.borders[borders - 1].picture)
    return plan.quilt.setting == "on point" or any(
        block_has_points(block) and not block.frames for key, block in plan.blocks.items() if plan.count_of(key)
    )


def beyond_points(names: Names, step: Step, turned: int) -> str:
    """How much cloth lies beyond the points of a top that is squared; those of blocks on point (`turned` upright)
    may float. Where there are none, its corners are looked at."""
    if not has_points(names.plan, names.checklist.made(step).thing.number):
        return "corners square"
    floats = names.plan.quilt.floats if turned else None
    beyond = names.length(floats + names.plan.seam) if floats else names.seam()
    return f"{beyond} of cloth beyond every point"


def _trim_text(names: Names, step: Step, action: Trim) -> str:
    thing = names.checklist.made(step).thing
    size = names.both_ways((action.width, action.height))
    if is_measured(names, step):
        return measured_text(names, thing, action)
    if thing.kind is Kind.BACKING:
        return f"Square the backing to {size}: straight edges, right angles at the corners."
    if thing.kind is Kind.QUILT:
        return "Cut the layers level with the edge of the top: straight edges, right angles at the corners."
    if thing.kind is Kind.TOP and fits_pieced(names.plan, thing.number):
        return f"{for_pieced(names, thing.number)}: {size}."
    if action.turn:
        return f"Turn the top so that its blocks stand on their points. {_along_points(names)} {size}."
    kept = f", and leave {names.seam()} beyond every point" if has_points(names.plan, thing.number) else ""
    return f"Lay a long ruler along each edge and square the corners: {size}. Cut as little as you can{kept}."
