"""Names of lengths, cloths, piles and pieces in plain words, for one plan."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cached_property

from tracker.assembling import SetBlock
from tracker.lattice import Row, joined_rows, rows_of
from tracker.measure import Measure, nearest, on_mark, write_length
from tracker.plan import Plan
from tracker.work import Checklist, Pile, Size, Step, UnitRow

FINEST_MARK = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
"""The finest marks that rulers for this work have (common practice)."""

_PLURALS = {
    "patch": "patches",
    "plain patch": "plain patches",
    "larger patch": "larger patches",
    "square in a square": "squares in squares",
    "flying goose": "flying geese",
    "sash": "sashes",
}

_STATE_WORDS = {
    "cut apart": "cut apart, still folded",
    "sewn": "sewn, not cut apart",
}

_STAGES = (" once", " again", " level", " triangles")
"""Ends of state names that tell two passes of one making apart; people see the state alone."""

_ALONE = re.compile(r"(row|rows|sashes) \d|top|quilt|backing|binding")
"""Begins of things that there is one of in a quilt."""

_ROW = re.compile(r"row \d+")
"""A row of the quilt, which is not one of a block."""

_CELL = re.compile(r"r(\d+)c(\d+)")


def plural(thing: str, count: int) -> str:
    """`thing` for one or many."""
    return thing if count == 1 else _PLURALS.get(thing, thing + "s")


def one(thing: str) -> str:
    """`thing` with its article: a square, an inner half-square triangle."""
    return f"{'an' if thing[0].lower() in 'aeiou' else 'a'} {thing}"


def listed(words: list[str]) -> str:
    """a, b and c."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


def plain_state(state: str) -> str:
    """How far a pile has come, without the pass of its making: `pressed again` and `pressed 2` are `pressed`."""
    state = re.sub(r" \d+$", "", state)
    for end in _STAGES:
        state = state.removesuffix(end)
    return state


def part_name(name: str) -> str:
    """A part of a block as people say it: `r2c4` is `the unit in row 2, column 4`; `row 2` stays."""
    cell = _CELL.fullmatch(name)
    return f"the unit in row {cell[1]}, column {cell[2]}" if cell else name


def side_by_side(first: str, second: str) -> bool:
    """Whether two joined parts lie side by side (else one below the other), by their names."""
    for name in (second, first):
        if not _CELL.fullmatch(name):
            return name.split()[-2] == "column"
    cells = [_CELL.fullmatch(name) for name in (first, second)]
    rows = [cell[1] for cell in cells if cell]
    return rows[0] == rows[1]


def of_whole_quilt(pile: Pile) -> bool:
    """Whether a pile is made of whole blocks, or for them: it is named by what it is alone."""
    return ":quilt:" in pile.id or pile.id.startswith("set:")


def _quilt_things(thing: str, count: int) -> str:
    """`side triangles`, `border 1 strips, sides`."""
    kept = re.split(",| with ", thing)[0]
    return plural(kept, count) + thing[len(kept) :]


class Names:
    """Words for the sizes and things of one plan and its checklist."""

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        self.plan = plan
        self.checklist = checklist

    @cached_property
    def rows(self) -> Mapping[str, Row]:
        """The rows of the quilt's centre in the order of joining, by name."""
        return {row.name: row for row in rows_of(self.plan)}

    @cached_property
    def _laid(self) -> Mapping[str, Step]:
        """The step that lays blocks on each pile of blocks in their places."""
        return {s.gives[0].pile: s for s in self.checklist.steps if isinstance(s.action, SetBlock)}

    def _quilt_thing(self, pile: Pile, count: int) -> str:
        """`blocks of row 3, version B, turned half round`, `side triangles`."""
        step = self._laid.get(pile.id)
        if step is None or not isinstance(step.action, SetBlock):
            return _quilt_things(pile.thing, count)
        name = self.plan.blocks[step.per].name if len(set(self.plan.quilt.blocks_in_order())) > 1 else "block"
        said = f"{plural(name, count)} of row {step.action.row}" + (f", version {step.version}" if step.version else "")
        return said + (", turned half round" if step.action.turn else "")

    def rows_in(self, thing: str) -> Sequence[Row]:
        """The rows that are joined in a thing, like `rows 1 to 3`; none in what is no joining of rows."""
        return joined_rows(list(self.rows.values()), thing)

    def ruler(self, length: Measure) -> str:
        """A length as the ruler shows it, without its unit: to the nearest mark, "about" where it is off every mark.

        What lies on the finest mark of a ruler, though not on the plan's, is shown as it is.
        """
        if on_mark(length, self.plan.ruler) or on_mark(length, FINEST_MARK[self.plan.unit]):
            return write_length(length, self.plan.unit)
        return "about " + write_length(nearest(length, self.plan.ruler), self.plan.unit)

    def length(self, length: Measure) -> str:
        """A length with its unit: `2½ in`."""
        return f"{self.ruler(length)} {self.plan.unit}"

    def figures(self, size: Size) -> str:
        """A size in figures only: `2½`, or `6½ × 2½` (across × down)."""
        across, down = self.ruler(size[0]), self.ruler(size[1])
        if across == down:
            return across
        about = "about " if "about" in across + down else ""
        return f"{about}{across.removeprefix('about ')} × {down.removeprefix('about ')}"

    def exact_figures(self, size: Size) -> str:
        """A size as lists give it: exact, and where it is off the ruler's mark the nearest mark beside it."""
        across, down = (write_length(side, self.plan.unit) for side in size)
        figures, marked = f"{across} × {down}", self.figures(size)
        return f"{figures} ({marked} on the ruler)" if "about" in marked else figures

    def size(self, size: Size) -> str:
        """A size in words: `2½ in square`, `6½ × 2½ in`."""
        return f"{self.figures(size)} {self.plan.unit}" + (" square" if size[0] == size[1] else "")

    def seam(self) -> str:
        """The seam as it is written, never rounded: `¼ in`."""
        return f"{write_length(self.plan.seam, self.plan.unit)} {self.plan.unit}"

    def fabric(self, key: str) -> str:
        """A cloth's name."""
        return self.plan.fabrics[key].name

    def cloths(self, keys: tuple[str, ...]) -> str:
        """Several cloths' names."""
        return " / ".join(self.fabric(key) for key in keys)

    def unit(self, row: UnitRow) -> str:
        """A row of the list of units: `96 half-square triangles, sand / teal, 2 in square finished, 1 spare`."""
        kind = f"{row.kind} patch" if row.way is None and row.kind == "plain" else row.kind
        words = [f"{row.needed} {plural(kind, row.needed)}", self.cloths(row.fabrics)]
        words += [f"bag {row.bag}"] if row.bag else []
        words.append(f"{self.size(row.finished)} finished")
        words += [f"{row.way} at a time"] if row.way in ("two", "four", "eight") else []
        words += [f"{row.spare} spare"] if row.spare else []
        return ", ".join(words)

    def thing(self, pile: Pile, count: int = 1) -> str:
        """What the pieces of a pile are: `pale sand squares, 3 in`, `half-square triangles, rust / pale sand`."""
        if pile.block is not None:
            name = self.plan.blocks[pile.block].name
            thing = plural(name, count) if pile.thing == "block" else f"{part_name(pile.thing)} of {name}"
            return thing + (f", version {pile.version}" if pile.version else "")
        if of_whole_quilt(pile):
            return self._quilt_thing(pile, count)
        bag = f", bag {pile.bag}" if pile.bag else ""
        if pile.state in ("cut", "marked") and len(pile.fabrics) == 1:
            size = self.figures(pile.size) if pile.size else ""
            return f"{self.fabric(pile.fabrics[0])} {plural(pile.thing, count)}, {size} {self.plan.unit}{bag}"
        return f"{plural(pile.thing, count)}, {self.cloths(pile.fabrics)}{bag}"

    def state(self, pile: Pile) -> str:
        """How far a pile has come: `marked`, `cut apart, still folded`; nothing for new cloth just cut."""
        state = plain_state(pile.state)
        if of_whole_quilt(pile):
            return "cut" if state == "cut apart" else state
        if state == "cut apart" and pile.size is not None:
            return "cut across"
        if state == "cut apart" and pile.state.endswith((" triangles", " level")):
            return "cut"
        return "" if state == "cut" else _STATE_WORDS.get(state, state)

    def pile(self, pile_id: str, count: int) -> str:
        """So many pieces of a pile and their state: `12 pale sand squares, 3 in, marked`."""
        pile = self.checklist.piles[pile_id]
        state = self.state(pile)
        if pile.block is not None and pile.thing != "block":
            # There is one of each in a block, so that a number reads as part of its name.
            often = "" if count == 1 else f", for {count} blocks"
            return self.thing(pile) + (f", {state}" if state else "") + often
        if count == 1 and of_whole_quilt(pile) and (alone := _ALONE.match(pile.thing)):
            row = " of the quilt" if _ROW.fullmatch(pile.thing) else ""
            article = "" if alone[1] else "the "
            return f"{article}{pile.thing}{row}" + (f", {state}" if state else "")
        return f"{count} {self.thing(pile, count)}" + (f", {state}" if state else "")
