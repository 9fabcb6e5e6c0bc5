"""The whole quilt's own steps in words: their titles, what to take for them and what to check.

What to do is in `quilt_texts`.
"""

from __future__ import annotations

from tracker.assembling import Bind, ClipEars, CutLengths, JoinEnds, JoinParts, Layer, QuiltLayers, SetBlock
from tracker.naming import Names, listed, plural
from tracker.quilt_texts import blocks_in_order, border, called, is_measured, made, quilt_text
from tracker.work import AddStrips, CutApart, Pile, PressSeams, Step, Trim

__all__ = ["of_the_quilt", "quilt_check", "quilt_takes", "quilt_text", "quilt_title"]


def of_the_quilt(step: Step) -> bool:
    """Whether a step is one of the whole quilt's, told here."""
    return step.topic.startswith("quilt:")


def quilt_title(names: Names, step: Step) -> str:
    """The step as a short order: `Join row 2`, `Cut side triangles`."""
    thing = made(names, step).thing
    match step.action:
        case SetBlock(row, turn):
            block = plural(names.plan.blocks[step.per].name, step.count)
            version = f", version {step.version}," if step.version else ""
            return f"Lay {block}{version} in row {row}{', turned half round' if turn else ''}"
        case JoinParts(direction="down") if thing != "backing":
            *before, added = names.rows_in(thing)
            return f"Join {called(added.name)} to {'the top' if len(before) > 1 else called(before[0].name)}"
        case JoinParts() if "cornerstones" in thing:
            return f"Join cornerstones to the {_border_strips(thing, 'strips')}"
        case JoinParts():
            return f"Join {_the(thing)}"
        case JoinEnds():
            return "Join strips for the binding" if thing == "binding" else f"Join strips end to end for {thing}s"
        case CutLengths():
            return f"Cut {thing}s to length"
        case CutApart():
            return f"Cut {thing}s"
        case ClipEars():
            return f"Trim {_the(thing)} level"
        case Trim() if is_measured(names, step):
            return f"Cut the {_border_strips(thing)} to the measured length"
        case AddStrips(edges=edges):
            return f"Sew {border(thing)} to the {'sides' if edges == 'sides' else 'top and bottom'}"
        case PressSeams():
            return _press_title(names, step)
        case Layer():
            return "Lay the layers"
        case QuiltLayers():
            return "Quilt the layers"
        case Bind():
            return "Bind the quilt"
    return f"{step.operation.capitalize()} {_the(thing)}"


def _border_strips(thing: str, ends: str = "") -> str:
    """`side strips of border 1` of `border 1 strip, sides`."""
    where = ends or ("side strips" if thing.endswith("sides") else "top and bottom strips")
    return f"{where} of {border(thing)}"


def _press_title(names: Names, step: Step) -> str:
    thing = made(names, step).thing
    action = step.action
    assert isinstance(action, PressSeams)
    if not action.seams[0]:
        return f"Press the joins of {'the binding' if thing == 'binding' else f'the {thing}s'}"
    if "cornerstones" in thing:
        return f"Press the {_border_strips(thing, 'strips')}"
    if thing.startswith("top with"):
        sides = "sides" if "the sides" in thing else "top and bottom"
        return f"Press {border(thing)} at the {sides}"
    added = action.seams[0][0].between[1]
    if added in names.rows:
        return f"Press the seam of {called(added)}"
    return f"Press {_the(thing)}"


def _the(thing: str) -> str:
    """`row 2 of the quilt`, for blocks have rows too; `sashes 1`, `the top`."""
    if thing.startswith("row "):
        return f"{thing} of the quilt"
    return thing if thing.startswith("sashes ") else f"the {thing}"


def quilt_check(names: Names, step: Step) -> str:
    """What to check before going on."""
    size = "" if step.size is None else names.size(step.size)
    match step.action:
        case SetBlock():
            return "Stand back and compare it with the picture: each block in its place, the right way up."
        case JoinParts():
            return _join_check(names, step, size)
        case PressSeams() if not step.action.seams[0]:
            return "The strip is straight and flat, its joins open."
        case PressSeams():
            return f"Flat from the front, no folds beside the seams{': ' + size if size else ''}."
        case ClipEars(height=height):
            return f"It is {names.length(height)} high all along, and no block was cut."
        case JoinEnds():
            return "Opened out the strip runs straight on, all joins on one side."
        case CutLengths(lengths=lengths):
            return f"{listed([names.length(part.length) for part in lengths])}, ends square."
        case CutApart():
            return "The cut ran exactly into the corners."
        case Trim() if is_measured(names, step):
            return "Both strips are equally long, ends square."
        case Trim() if made(names, step).thing in ("quilt", "backing"):
            return f"Planned is {size}: opposite sides equally long, corners square."
        case Trim():
            return f"Planned is {size}: opposite sides equally long, {names.seam()} of cloth beyond every point."
        case AddStrips():
            return f"Opened out it is {size}, and lies flat without waves."
        case Layer():
            return "No folds underneath; what lies under the top shows beyond it all round."
        case QuiltLayers():
            return "No fold of the backing is caught in the stitches."
        case Bind():
            return "Every corner is sharp and the binding is filled to its edge."
    raise AssertionError(step.action)


def _join_check(names: Names, step: Step, size: str) -> str:
    action = step.action
    assert isinstance(action, JoinParts)
    if not size:
        return "The edges ran level, and triangles stand out as drawn."
    return f"Lay the ruler along it: {size}. If it is not, unpick now rather than at the end."


def quilt_takes(names: Names, step: Step) -> list[str]:
    """What to take for doing the step once: pieces of one name together, blocks by their numbers."""
    counts: dict[str, list[tuple[Pile, int]]] = {}
    for flow in step.takes:
        pile = names.checklist.piles[flow.pile]
        name = pile.thing if pile.id.startswith("set:") else pile.id
        counts.setdefault(name, []).append((pile, flow.each))
    said = []
    row = names.rows.get(made(names, step).thing)
    for piles in counts.values():
        pile, count = piles[0][0], sum(each for _, each in piles)
        blocks = [part.block for part in row.parts if part.block is not None] if row is not None else []
        if pile.id.startswith("set:") and blocks:
            said.append(f"{blocks_in_order(blocks)}, in place")
        else:
            said.append(names.pile(pile.id, count))
    return said
