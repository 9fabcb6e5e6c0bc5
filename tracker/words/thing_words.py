"""Plurals and lists in plain words, and what the things of a quilt are called, whatever its plan."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from tracker.work.steps import Checklist, Pile, Step
from tracker.work.things import GOOSE, IN_SQUARE, INNER, INNER_SQUARE, NESTED, Kind, Thing

_MANY = (
    (r"\b(star|pair) of diamonds$", r"\1s of diamonds"),
    (r"\b(quarter|row) of a nine-patch$", r"\1s of nine-patches"),
    (r"(?<=quare) in a square$", "s in squares"),
    (r"(?<=triangle) in a (square|rectangle)$", r"s in \1s"),
    (r"(?<=triangle) for a quarter-square$", "s for quarter-squares"),
    (r"(?<=[Gg])oose$", "eese"),
    (r"(?<=patch) on point$", "es on point"),
    (r"(?<=lea|hal|loa|hel)f$", "ves"),
    (r"(?<=[^aeiou])y$", "ies"),
    (r"(?<=x|z)$|(?<=ch|sh|ss)$", "es"),
    (r"geese$|s$", r"\g<0>"),
)
"""Endings of names for many, where they differ from a plain s: blocks have names of any kind."""

ROUNDS = (IN_SQUARE, INNER_SQUARE, NESTED)
"""Units that are sewn round a middle, two triangles at a time."""

USES = {
    "unit": "for units",
    "setting": "for setting triangles",
    "binding": "for the binding",
    "backing": "for the backing",
}
"""What cloth is for, where that is no plain plural."""


def plural(name: str, count: int) -> str:
    """`name` for one or many."""
    if count == 1:
        return name
    ending, many = next(((ending, many) for ending, many in _MANY if re.search(ending, name)), ("$", "s"))
    return re.sub(ending, many, name)


TURNED = {
    0: "as drawn",
    90: "turned a quarter clockwise",
    180: "turned half round",
    270: "turned a quarter anticlockwise",
}
"""How a block lies, by its turn in degrees."""

_UPPER_EDGES = {
    False: {0: "at the top", 90: "to the right", 180: "below", 270: "to the left"},
    True: {0: "to the upper right", 90: "to the lower right", 180: "to the lower left", 270: "to the upper left"},
}


def upper_edge_lies(turn: int, on_point: bool) -> str:
    """Where the upper edge of a block lies that is turned so: `at the top`, `to the lower left`."""
    return _UPPER_EDGES[on_point][turn]


_UPPER_EDGE_SIGNS = {False: {90: "→", 180: "↓", 270: "←"}, True: {90: "↘", 180: "↙", 270: "↖"}}


def upper_edge_sign(turn: int, on_point: bool) -> str:
    """The arrow to where the upper edge of a turned block lies."""
    return _UPPER_EDGE_SIGNS[on_point][turn]


def words_of_use(use: str) -> str:
    """What pieces of one use are for."""
    return USES.get(use, f"for {plural(use, 2)}")


def one(words: str) -> str:
    """Words with their article: a square, an inner half-square triangle."""
    return f"{'an' if words[0].lower() in 'aeiou' else 'a'} {words}"


def each_or_the(step: Step) -> str:
    """The word before what a step is done to, one at a time."""
    return "the" if step.count == 1 else "each"


def listed(words: list[str]) -> str:
    """a, b and c."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


MOST_SAID = 5
"""So many of some steps are named; more are counted."""


def some_of(said: Sequence[str]) -> str:
    """The first of what is said, parted by semicolons, and how many more there are."""
    more = f"; and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
    return "; ".join(said[:MOST_SAID]) + more


def spoken(thing: Thing) -> str:
    """What one thing is called: `half-square triangle for a quarter-square`, `sash row 2`."""
    if thing.kind is Kind.UNIT and thing.of == INNER:
        return "half-square triangle for a quarter-square"
    if thing.kind is Kind.SASHES:
        return f"sash row {thing.number}"
    if thing.more is not None and thing.more[0] is Kind.SASHES:
        return f"{spoken(replace(thing, more=None))} with sash row {thing.more[1]}"
    if thing.kind is Kind.ROWS and thing.number == 2:
        corners = "" if thing.more is None else f" with {'both corners' if thing.more[1] == 2 else 'a corner'}"
        return f"rows 1 and 2{corners}"
    return thing.name


def part_name(part: Thing) -> str:
    """A part of a block as people say it: `the unit in row 2, column 4`; `row 2`; `rows 1 and 2`."""
    if part.cell is not None:
        return f"the unit in row {part.cell[0]}, column {part.cell[1]}"
    if part.first is not None and part.first[0] == "round":
        arms = part.first[1]
        return f"the middle with {'its first side' if arms == 1 else f'{arms} sides'}"
    if not part.lines and part.first is not None and part.first[1] == 2:
        return f"{'rows' if part.first[0] == 'down' else 'columns'} 1 and 2"
    return part.name


def whole_lines(things: Sequence[Thing]) -> str:
    """`row` or `column`, where some parts of a block are whole ones, one kind of them; else nothing."""
    kinds = {thing.line_of_block for thing in things}
    return kinds.pop() if len(kinds) == 1 else ""


def parts_of_rows(things: Sequence[Thing]) -> str:
    """Parts joined within rows of a block: `3 parts of row 3`, `4 parts of rows 1 and 2`; `2 joined parts` where they
    are not in rows."""
    if not all(thing.is_in_row_of_block for thing in things):
        return f"{len(things)} joined parts"
    rows = sorted({thing.lines[0][1] for thing in things})
    in_turn = len(rows) > 2 and rows[-1] - rows[0] == len(rows) - 1
    numbers = f"{rows[0]} to {rows[-1]}" if in_turn else listed([str(row) for row in rows])
    return f"{len(things)} parts of {plural('row', len(rows))} {numbers}"


def parts_numbered(things: Sequence[Thing]) -> str:
    """`part 2 of row 3`, `parts 1 and 4 of row 1`; nothing where they are not joined within one line of a block."""
    lines, numbers = set(), list[int]()
    for thing in things:
        (line, *within), first = thing.lines or (("round", 0),), thing.first
        ways = [way for way, _ in (line, *within)] + ([first[0]] if first else [])
        if len(ways) != 2 or "round" in ways:
            return ""
        lines.add(line)
        numbers += [within[0][1]] if within else range(1, first[1] + 1) if first else []
    if len(lines) != 1:
        return ""
    ((way, number),) = lines
    in_turn = len(numbers) > 2 and numbers == [*range(numbers[0], numbers[0] + len(numbers))]
    said = f"{numbers[0]} to {numbers[-1]}" if in_turn else listed([str(each) for each in numbers])
    return f"{plural('part', len(numbers))} {said} of {'row' if way == 'down' else 'column'} {number}"


def side_by_side(first: Thing, second: Thing) -> bool:
    """Whether two joined parts of a block, or it and a strip of its frame, lie side by side (else one below the
    other)."""
    for part in (second, first):
        if part.lines:
            return part.lines[-1][0] == "across"
        if part.kind is Kind.FRAME_STRIP:
            return part.side in ("left", "right")
    assert first.cell is not None
    assert second.cell is not None
    return first.cell[0] == second.cell[0]


def stage_words(pile: Pile) -> str:
    """How far a pile has come, with the frame that is being sewn to a block: `frame 2, sides pressed`."""
    thing = pile.thing
    if thing.kind is Kind.BLOCK and thing.side:
        return f"frame {thing.number}, {thing.side} {pile.stage.value}"
    return pile.stage.value + (" with its frame" if thing.kind is Kind.BLOCK and thing.number else "")


def has_no_sides(checklist: Checklist, step: Step) -> bool:
    """Whether what is pressed lies there with triangles folded out, so that nobody can lay a ruler to its sides."""
    if step.operation != "press" or len(step.gives) > 1 or step.size is None:
        return False
    thing, square = checklist.made(step).thing, step.size[0] == step.size[1]
    return thing.kind is Kind.BEGUN and (thing.of in ROUNDS or (thing.of == GOOSE and square))


def things_named(thing: Thing, count: int) -> str:
    """A thing of the quilt, one or many: `side triangles`, `border 1 strips, sides`."""
    if thing.kind is Kind.BORDERED:
        return f"{plural('top', count)} with {'the sides of ' if thing.side else ''}border {thing.number}"
    if thing.kind is Kind.MITRED:
        return f"{plural('top', count)} with border {thing.number}, mitred"
    if thing.kind is Kind.PIECED_STRIP:
        return f"pieced {plural('strip', count)} of border {thing.number}, {thing.side}"
    if thing.kind in (Kind.BORDER_STRIP, Kind.CORNERED_STRIP):
        strips = f"border {thing.number} {plural('strip', count)}"
        return f"{strips}, {thing.side}" if thing.kind is Kind.BORDER_STRIP else f"{strips} with cornerstones"
    return plural(spoken(thing), count)
