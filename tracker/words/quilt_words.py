"""The whole quilt's own steps in words: their titles, what to take for them and what to check.

What to do is in `quilt_texts`.
"""

from __future__ import annotations

from tracker.words.border_texts import fits_pieced
from tracker.words.names import Names
from tracker.words.quilt_texts import beyond_points, blocks_in_order, called, is_measured, quilt_text
from tracker.words.seam_words import joined_check
from tracker.words.thing_words import TURNED, listed, plural, spoken, things_named
from tracker.work.steps import AddStrips, CutApart, Pile, PressSeams, Step, Trim
from tracker.work.things import ENDS, SIDES, Kind, Thing
from tracker.work.whole_blocks import (
    AddBorder,
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    Layer,
    MitreCorners,
    QuiltLayers,
    SetBlock,
)

__all__ = ["quilt_check", "quilt_takes", "quilt_text", "quilt_title"]


def quilt_title(names: Names, step: Step) -> str:
    """The step as a short order: `Join row 2`, `Cut side triangles`."""
    thing = names.checklist.made(step).thing
    match step.action:
        case SetBlock(row, turn):
            block = plural(names.plan.blocks[step.per].name, step.count)
            version = f", version {step.version}," if step.version else ""
            return f"Lay {block}{version} in row {row}{f', {TURNED[turn]}' if turn else ''}"
        case JoinParts():
            return _join_title(names, thing, step.action)
        case JoinEnds():
            return _ends_title(names, step)
        case CutLengths():
            return f"Cut {names.thing(names.checklist.made(step), 2)} to length"
        case CutApart():
            return f"Cut {things_named(thing, 2)}"
        case ClipEars():
            return f"Trim {_the(thing)} level"
        case Trim() if is_measured(names, step):
            return _measured_title(names, thing)
        case AddBorder():
            return f"Sew border {thing.number} to all four sides"
        case MitreCorners():
            return f"Mitre the corners of border {thing.number}"
        case AddStrips(edges=edges):
            return f"Sew border {thing.number} to the {edges}"
        case PressSeams():
            return _press_title(names, step)
        case Layer():
            return "Lay the layers"
        case QuiltLayers():
            return "Quilt the layers"
        case Bind():
            return "Bind the quilt"
    if thing.kind is Kind.TOP and fits_pieced(names.plan, thing.number):
        return f"Square the top to the length of border {thing.number + 1}"
    borders = " with its borders" if thing.kind is Kind.TOP and thing.number else ""
    return f"{step.operation.capitalize()} {_the(thing)}{borders}"


def _join_title(names: Names, thing: Thing, action: JoinParts) -> str:
    if action.direction == "down" and thing.kind is not Kind.BACKING:
        rows, count = names.rows_in_order, names.joined_count(thing)
        return f"Join {called(rows[count - 1].thing)} to {'the top' if count > 2 else called(rows[0].thing)}"
    if thing.kind is Kind.CORNERED_STRIP:
        return f"Join cornerstones to the strips of border {thing.number}"
    if thing.kind is Kind.PIECED_STRIP:
        return f"Join the {'side' if thing.side == SIDES else thing.side} strips of border {thing.number}"
    return f"Join {_the(thing)}"


def _ends_title(names: Names, step: Step) -> str:
    pile = names.checklist.made(step)
    if pile.thing.kind is Kind.BINDING:
        return "Join strips for the binding"
    return f"Join strips end to end {names.use_of(pile)}"


def _measured_title(names: Names, thing: Thing) -> str:
    strips = f"the {'side' if thing.side == SIDES else thing.side} strips of border {thing.number}"
    if names.plan.quilt.borders[thing.number - 1].mitred:
        return f"Mark {strips} for the measured length"
    return f"Cut {strips} to the measured length"


def _press_title(names: Names, step: Step) -> str:
    thing = names.checklist.made(step).thing
    action = step.action
    assert isinstance(action, PressSeams)
    if not action.seams[0]:
        long = names.thing(names.checklist.made(step), step.count)
        return f"Press the joins of the {thing.name if thing.kind is Kind.BINDING else long}"
    if thing.kind is Kind.CORNERED_STRIP:
        return f"Press the strips of border {thing.number}"
    if thing.kind is Kind.PIECED_STRIP:
        return f"Press the {'side' if thing.side == SIDES else thing.side} strips of border {thing.number}"
    if thing.kind is Kind.MITRED:
        return f"Press the corners of border {thing.number}"
    if thing.kind is Kind.BORDERED and not thing.side and names.plan.quilt.borders[thing.number - 1].mitred:
        return f"Press border {thing.number}"
    if thing.kind is Kind.BORDERED:
        return f"Press border {thing.number} at the {thing.side or ENDS}"
    added = action.seams[0][0].between[1]
    if added in names.rows:
        return f"Press the seam of {called(added)}"
    return f"Press {_the(thing)}"


def _the(thing: Thing) -> str:
    """`row 2 of the quilt`, for blocks have rows too; `sash row 1`, `the top`."""
    if thing.kind is Kind.ROW or (thing.kind is Kind.ROWS and thing.number == 1):
        return f"{spoken(thing)} of the quilt"
    return spoken(thing) if thing.kind is Kind.SASHES else f"the {spoken(thing)}"


def quilt_check(names: Names, step: Step) -> str:
    """What to check before going on."""
    size = "" if step.size is None else names.size(step.size)
    match step.action:
        case SetBlock():
            return "Stand back and compare it with the picture: each block in its place, the right way up."
        case JoinParts():
            then = f", every seam {names.seam()}" if size else ", and triangles stand out as drawn"
            return f"The edges ran level{then}."
        case PressSeams() if not step.action.seams[0]:
            return "The strip is straight and flat, its joins open."
        case PressSeams():
            return joined_check(names, step)
        case ClipEars(height=height):
            return f"It is {names.length(height)} high all along, and no block was cut."
        case JoinEnds():
            return "Opened out the strip runs straight on, all joins on one side."
        case CutLengths(lengths=lengths):
            least = "At least " if names.checklist.made(step).thing.of == "border" else ""
            return f"{least}{listed([names.length(part.length) for part in lengths])}, ends square."
        case CutApart():
            return "The cut ran exactly into the corners."
        case Trim() if (
            is_measured(names, step) and names.plan.quilt.borders[names.checklist.made(step).thing.number - 1].mitred
        ):
            return "Both strips are marked alike, as much beyond each mark."
        case Trim() if is_measured(names, step):
            return "Both strips are equally long, ends square."
        case Trim() if names.checklist.made(step).thing.kind in (Kind.QUILT, Kind.BACKING):
            return f"Planned is {size}: opposite sides equally long, corners square."
        case Trim(turn=turn):
            return f"Planned is {size}: opposite sides equally long, {beyond_points(names, step, turn)}."
        case AddBorder():
            return f"At each corner two seams end in one point, {names.seam()} from both edges; neither runs past it."
        case MitreCorners():
            return "From the right side the corner lies flat and square, without a fold or a hole at its inner point."
        case AddStrips(outward=pieced):
            return f"The border lies flat along the edge, {'no point cut off' if pieced else 'without waves'}."
        case Layer():
            return "No folds underneath; what lies under the top shows beyond it all round. Count the pins."
        case QuiltLayers():
            return "No fold of the backing is caught in the stitches."
        case Bind():
            return "Every corner is sharp and the binding is filled to its edge."
    raise AssertionError(step.action)


def quilt_takes(names: Names, step: Step) -> list[str]:
    """What to take for doing the step once: pieces of one name together, blocks by their numbers."""
    counts: dict[Thing | str, list[tuple[Pile, int]]] = {}
    for flow in step.takes:
        pile = names.checklist.piles[flow.pile]
        alike = pile.thing if pile.thing.kind is Kind.ROW_BLOCK else pile.id
        counts.setdefault(alike, []).append((pile, flow.each))
    said = []
    row = names.rows.get(names.checklist.made(step).thing)
    for piles in counts.values():
        pile, count = piles[0][0], sum(each for _, each in piles)
        blocks = [part.block for part in row.parts if part.block is not None] if row is not None else []
        if pile.thing.kind is Kind.ROW_BLOCK and blocks:
            said.append(f"{blocks_in_order(blocks)}, in place")
        else:
            said.append(names.pile(pile.id, count))
    return said
