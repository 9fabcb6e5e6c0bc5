"""What parts of a block are called where they are neither whole rows nor logs: by what one sees and where it lies."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import accumulate

from tracker.exact.measure import Measure
from tracker.plan.model import Block, Plan
from tracker.words.thing_words import parts_numbered
from tracker.work.steps import Checklist, LayOut, Pile, Place, Step
from tracker.work.things import Kind, Thing

_DOWN, _ACROSS = ("upper", "", "lower"), ("left", "", "right")
_ALONE = {"upper": "top", "lower": "bottom"}


@dataclass(frozen=True)
class PartBox:
    """Where a part lies in its block, finished: from its upper left corner to its lower right one; its units."""

    left: Measure
    top: Measure
    right: Measure
    bottom: Measure
    units: tuple[Pile, ...]


def part_names(plan: Plan, checklist: Checklist, key: str) -> Mapping[Thing, str]:
    """The names of a block's parts: `row 2` or `column 2` for what is as wide or high as the block, `the 3 pieces at
    the upper left`, `the brick square in the middle`, `the flying goose at the top`, with its cloths where there are
    several such; where that is not enough `part 2 of row 3`. No two are alike. Whole rows, and rows joined, have names
    of their own."""
    block, boxes = plan.blocks[key], _boxes(plan, checklist, key)
    lines = {**_whole_lines(block, boxes, "down"), **_whole_lines(block, boxes, "across")}
    parts = {
        thing: box
        for thing, box in boxes.items()
        if thing not in lines and thing.kind is Kind.PART and not thing.is_row_of_block and (thing.cell or thing.lines)
    }
    said = {
        thing: f"{_seen(box, plan if box.units[0].thing.is_patch else None)} {_place(block, box)}"
        for thing, box in parts.items()
    }
    told = {thing: f"{_seen(box, plan)} {_place(block, box)}" for thing, box in parts.items()}
    said |= {thing: told[thing] for thing in _alike(said)}
    numbered = {
        thing: parts_numbered([thing]) or said[thing] + _apart(block, boxes, thing, said) for thing in _alike(said)
    }
    return {**lines, **said, **numbered}


def _alike(said: Mapping[Thing, str]) -> list[Thing]:
    """Those that share their name with another."""
    often: dict[str, list[Thing]] = {}
    for thing, name in said.items():
        often.setdefault(name, []).append(thing)
    return [thing for things in often.values() if len(things) > 1 for thing in things]


def _apart(block: Block, boxes: Mapping[Thing, PartBox], thing: Thing, said: Mapping[Thing, str]) -> str:
    """What tells a part from others that are called alike: its columns or its rows where these do it alone, as they are
    counted in the picture, else both: ` (row 2, columns 1 to 3)`."""
    alike = [boxes[other] for other, name in said.items() if name == said[thing]]
    rows, columns = (
        [_lines("row", block.rows, box.top, box.bottom) for box in alike],
        [_lines("column", block.columns, box.left, box.right) for box in alike],
    )
    if len(alike) == 1:
        return ""
    mine = alike.index(boxes[thing])
    for lines in (columns, rows):
        if len(set(lines)) == len(lines):
            return f" ({lines[mine]})"
    return f" ({rows[mine]}, {columns[mine]})"


def _whole_lines(block: Block, boxes: Mapping[Thing, PartBox], direction: str) -> dict[Thing, str]:
    """`row 2` for each part that is as wide as the block, if `down`; `column 2` for each as high, if `across`; none
    where those that are joined are counted otherwise."""
    whole = {"down": _is_row, "across": _is_column}[direction]
    found = [thing for thing, box in boxes.items() if thing.first is None and whole(block, box)]
    found.sort(key=lambda thing: (boxes[thing].top, boxes[thing].left))
    if any(thing.lines and thing.lines != ((direction, number),) for number, thing in enumerate(found, 1)):
        return {}
    name = {"down": "row", "across": "column"}[direction]
    return {thing: f"{name} {number}" for number, thing in enumerate(found, 1)}


def _boxes(plan: Plan, checklist: Checklist, key: str) -> dict[Thing, PartBox]:
    """Where everything lies that is joined in a block."""
    block = plan.blocks[key]
    found: dict[str, PartBox] = {}
    for step in checklist.steps:
        if step.per != key:
            continue
        if isinstance(step.action, LayOut):
            for place in step.action.places:
                box = _unit_box(plan, checklist, block, place)
                found[place.group] = _together([found[place.group], box]) if place.group in found else box
        else:
            _follow(found, step)
    return {checklist.piles[pile].thing: box for pile, box in found.items()}


def _follow(found: dict[str, PartBox], step: Step) -> None:
    taken = [found[flow.pile] for flow in step.takes if flow.pile in found]
    if len(step.gives) == len(step.takes):
        for take, give in zip(step.takes, step.gives, strict=True):
            if take.pile in found:
                found[give.pile] = found[take.pile]
    elif taken and len(step.gives) == 1:
        found[step.gives[0].pile] = _together(taken)


def _together(boxes: list[PartBox]) -> PartBox:
    return PartBox(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
        tuple(unit for box in boxes for unit in box.units),
    )


def _unit_box(plan: Plan, checklist: Checklist, block: Block, place: Place) -> PartBox:
    pile = checklist.piles[place.pile]
    assert pile.size is not None
    width, height = (side - 2 * plan.seam for side in (pile.size[::-1] if place.turn % 180 else pile.size))
    left, top = sum(block.columns[: place.column], Measure()), sum(block.rows[: place.row], Measure())
    return PartBox(left, top, left + width, top + height, (pile,))


def _is_row(block: Block, box: PartBox) -> bool:
    width, height = block.inner_finished
    return box.right - box.left == width and box.bottom - box.top != height


def _is_column(block: Block, box: PartBox) -> bool:
    width, height = block.inner_finished
    return box.right - box.left != width and box.bottom - box.top == height


def _seen(box: PartBox, plan: Plan | None = None) -> str:
    """What one sees there; by a `plan` with its cloths, a patch always."""
    if len(box.units) > 1:
        return f"the {len(box.units)} pieces"
    (unit,) = box.units
    cloths = " / ".join(plan.fabrics[key].name for key in unit.fabrics) + " " if plan else ""
    return f"the {cloths}{unit.thing.name}"


def _place(block: Block, box: PartBox) -> str:
    """`at the upper left`, `at the top`, `in the middle`, by the third of the block that its middle lies in."""
    width, height = block.inner_finished
    across = _ACROSS[_third(box.left + box.right, 2 * width)]
    down = _DOWN[_third(box.top + box.bottom, 2 * height)]
    if across and down:
        return f"at the {down} {across}"
    return f"at the {across or _ALONE[down]}" if across or down else "in the middle"


def _third(at: Measure, whole: Measure) -> int:
    return (3 * at > whole) + (3 * at >= 2 * whole)


def _lines(name: str, sides: Iterable[Measure], start: Measure, end: Measure) -> str:
    ends = list(accumulate(sides))
    first, last = sum(each <= start for each in ends) + 1, sum(each < end for each in ends) + 1
    return f"{name} {first}" if first == last else f"{name}s {first} to {last}"
