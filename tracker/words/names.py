"""Names of lengths, cloths, piles and pieces in plain words, for one plan."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from functools import cached_property

from tracker.exact.measure import Measure, nearest, on_mark, write_length
from tracker.plan.model import Plan
from tracker.quilt.lattice import LatticeRow, joined_count, places_of, rows_of
from tracker.route.working_order import cut_to_fit, sections
from tracker.words.apart_names import ApartNames, making_of
from tracker.words.log_words import Cabin, cabin_of
from tracker.words.part_words import part_names
from tracker.words.thing_words import TURNED, listed, part_name, plural, spoken, stage_words, things_named, words_of_use
from tracker.work.steps import Checklist, Cut, CutApart, Pile, Press, PressSeams, Size, Step, UnitRow
from tracker.work.things import STRIP_SET, Kind, Stage, Thing
from tracker.work.whole_blocks import MeasureBlock, SetBlock

FINEST_MARK = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
"""The finest marks that rulers for this work have (common practice)."""

_FOLDED = {Stage.CUT_APART: "cut apart, still folded", Stage.SEWN: "sewn, not cut apart"}
"""How far units have come that still lie folded."""
_CUT_OFF = {Stage.SEWN: "sewn, corners not trimmed", Stage.CUT_APART: "corners trimmed, still folded"}
"""The same of what is not cut apart: corners are cut off it."""

_NUMBERED = (Kind.ROW, Kind.ROWS, Kind.SASHES)
_ALONE = (Kind.TOP, Kind.BORDERED, Kind.MITRED, Kind.QUILT, Kind.BACKING, Kind.BINDING)
"""What there is one of in a quilt: by its number, or alone."""


def _is_pressed_aside(step: Step) -> bool:
    """Whether a step presses seams to one side, not open."""
    match step.action:
        case Press(toward=toward):
            return toward != "open"
        case PressSeams(seams=seams):
            return any(seam.toward is not None for own in seams for seam in own)
    return False


def _cuts_off(step: Step | None) -> bool:
    """Whether something of what a step takes is cut off and thrown away."""
    return step is not None and isinstance(step.action, CutApart) and any(not part.pile for part in step.action.parts)


class Names(ApartNames):
    """Words for the sizes and things of one plan and its checklist; `laid` are the blocks' numbers in the order of the
    quilt's places, where they are not numbered so."""

    def __init__(self, plan: Plan, checklist: Checklist, laid: Sequence[int] = ()) -> None:
        super().__init__(plan, checklist)
        self.laid = laid

    @cached_property
    def rows(self) -> Mapping[Thing, LatticeRow]:
        """The rows of the quilt's centre in the order of joining."""
        return {row.thing: row for row in rows_of(self.plan, self.laid)}

    @cached_property
    def rows_in_order(self) -> Sequence[LatticeRow]:
        """The same rows, to be counted through."""
        return tuple(self.rows.values())

    @cached_property
    def to_fit(self) -> Mapping[str, Sequence[Step]]:
        """The steps that measure the blocks which frame strips are cut to fit, by the ids of those that cut them."""
        return cut_to_fit(self.checklist.steps)

    @cached_property
    def fits_of(self) -> Mapping[tuple[str, frozenset[Measure]], tuple[Step, ...]]:
        """The same steps, by the cloth of such strips and their sides."""
        cuts = [step for step in self.checklist.steps if step.id in self.to_fit]
        return {
            (step.action.fabric, frozenset({step.action.width, step.action.height})): tuple(self.to_fit[step.id])
            for step in cuts
            if isinstance(step.action, Cut)
        }

    def fitted(self, step: Step) -> str:
        """What is measured before frame strips are cut that are as long as the block; nothing of all else."""
        actions = {each.per: each.action for each in self.to_fit.get(step.id, ())}
        said = [
            f"{self.plan.blocks[key].name} is sewn and measures {self.size(action.size)}"
            for key, action in actions.items()
            if isinstance(action, MeasureBlock)
        ]
        if not said:
            return ""
        fit, when = ("it", " when it is squared") if len(said) == 1 else ("them", " when they are squared")
        if any(self.plan.blocks[key].squared is not None for key in actions):
            fit += when
        return f"Not before the first {' or the first '.join(said)}: these are cut to fit {fit}. "

    @cached_property
    def cabins(self) -> Mapping[str, Cabin]:
        """The blocks that are log cabins, by their keys."""
        found = {key: cabin_of(self.checklist, key) for key in self.plan.blocks}
        return {key: cabin for key, cabin in found.items() if cabin is not None}

    def part(self, block: str, part: Thing) -> str:
        """A part of a block as people say it: `log 4, oat`, `what is sewn so far`, `row 2`."""
        cabin = self.cabins.get(block)
        if cabin is not None and part in cabin.logs:
            log = cabin.logs[part]
            return f"log {log.number}, {self.cloths(log.patches.fabrics)}"
        if cabin is not None and part in cabin.joined:
            return f"the centre with {cabin.joined[part]} {plural('log', cabin.joined[part])}"
        if part in self.parts[block]:
            return self.parts[block][part]
        return part_name(part)

    @cached_property
    def parts(self) -> Mapping[str, Mapping[Thing, str]]:
        """Parts of blocks that are neither rows nor logs, as they are seen, by the blocks' keys."""
        return {key: part_names(self.plan, self.checklist, key) for key in self.plan.blocks}

    @cached_property
    def _places(self) -> Mapping[Thing, int]:
        return places_of(self.rows_in_order)

    @cached_property
    def kinds(self) -> int:
        """How many kinds of block the quilt has."""
        return len(set(self.plan.quilt.blocks_in_order()))

    @cached_property
    def _laid(self) -> Mapping[str, Step]:
        """The step that lays blocks on each pile of blocks in their places."""
        return {s.gives[0].pile: s for s in self.checklist.steps if isinstance(s.action, SetBlock)}

    def _quilt_thing(self, pile: Pile, count: int) -> str:
        """`blocks of row 3, version B, turned half round`, `side triangles`."""
        step = self._laid.get(pile.id)
        if step is None or not isinstance(step.action, SetBlock):
            return things_named(pile.thing, count)
        name = self.plan.blocks[step.per].name if self.kinds > 1 else "block"
        said = f"{plural(name, count)} of row {step.action.row}" + (f", version {step.version}" if step.version else "")
        return said + (f", {TURNED[step.action.turn]}" if step.action.turn else "")

    def is_pressed_as_before(self, step: Step) -> bool:
        """Whether how a hand presses to one side was said in full earlier in the same part of the work."""
        return step.id in self._pressed_as_before

    @cached_property
    def _pressed_as_before(self) -> frozenset[str]:
        stands = sections(self.checklist)
        to_one_side = [step for step in self.checklist.steps if step.count and _is_pressed_aside(step)]
        first = {stands[step.id]: step.id for step in reversed(to_one_side)}
        return frozenset(step.id for step in to_one_side) - {*first.values()}

    def rows_in(self, thing: Thing) -> Sequence[LatticeRow]:
        """The rows that are joined in a thing, like `rows 1 to 3`; none in what is no joining of rows."""
        return self.rows_in_order[: self.joined_count(thing)]

    def joined_count(self, thing: Thing) -> int:
        """How many rows those are."""
        return joined_count(self.rows_in_order, self._places, thing)

    def is_near(self, *lengths: Measure) -> bool:
        """Whether one of them is off every mark of the ruler, so that it is shown to the nearest one only."""
        marks = self.plan.ruler, FINEST_MARK[self.plan.unit]
        return any(not any(on_mark(length, mark) for mark in marks) for length in lengths)

    def ruler(self, length: Measure, about: bool = True) -> str:
        """A length as the ruler shows it, without its unit: to the nearest mark, "about" where it is off every mark,
        unless that is said elsewhere.

        What lies on the finest mark of a ruler, though not on the plan's, is shown as it is.
        """
        if not self.is_near(length):
            return write_length(length, self.plan.unit)
        return ("about " if about else "") + write_length(nearest(length, self.plan.ruler), self.plan.unit)

    def length(self, length: Measure, about: bool = True) -> str:
        """A length with its unit: `2½ in`."""
        return f"{self.ruler(length, about)} {self.plan.unit}"

    def figures(self, size: Size, about: bool = True) -> str:
        """A size in figures only: `2½`, or `6½ × 2½` (across × down)."""
        across, down = (self.ruler(side, about=False) for side in size)
        figures = across if across == down and len({*map(self.is_near, size)}) == 1 else f"{across} × {down}"
        return ("about " if about and self.is_near(*size) else "") + figures

    def exact_size(self, size: Size) -> str:
        """A size as lists give it: exact, and where it is off the ruler's mark the nearest mark beside it; that alone
        where no figures say a side exactly."""
        if not all(side.is_rational for side in size):
            return f"{self.figures(size)} {self.plan.unit}"
        across, down = (write_length(side, self.plan.unit) for side in size)
        figures = f"{across} × {down} {self.plan.unit}"
        return f"{figures} ({self.figures(size)} on the ruler)" if self.is_near(*size) else figures

    def size(self, size: Size, about: bool = True) -> str:
        """A size in words: `2½ in square`, `6½ × 2½ in`."""
        return f"{self.figures(size, about)} {self.plan.unit}" + (" square" if size[0] == size[1] else "")

    def both_ways(self, size: Size) -> str:
        """A size that something is squared to: `8½ in both ways`, `6½ × 8½ in`."""
        return f"{self.figures(size)} {self.plan.unit}" + (" both ways" if size[0] == size[1] else "")

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
        side = self.checklist.piles[row.pile].thing.side if row.pile else ""
        kind = f"{row.kind} patch" if row.way is None and row.kind == "plain" else f"{side} {row.kind}".strip()
        things = f"{plural('slice', row.needed)} of a {kind}" if kind == STRIP_SET else plural(kind, row.needed)
        words = [f"{row.needed} {things}", self.cloths(row.fabrics)]
        words += [f"bag {row.bag}"] if row.bag else []
        words.append(f"{self.size(row.finished)} finished")
        words += [f"{row.way} at a time"] if row.way in ("two", "four", "eight") else []
        words += [f"{row.spare} spare"] if row.spare else []
        return ", ".join(words)

    def thing(self, pile: Pile, count: int = 1, use: bool = True) -> str:
        """What the pieces of a pile are: `pale sand squares, 3 in`, `half-square triangles, rust / pale sand`; of cloth
        that is not for units `use` says what for: `pale sand strips, 40 × 2½ in, for the binding`."""
        if pile.block is not None:
            name = self.plan.blocks[pile.block].name
            whole = pile.thing.kind is Kind.BLOCK
            thing = plural(name, count) if whole else f"{self.part(pile.block, pile.thing)} of {name}"
            return thing + (f", version {pile.version}" if pile.version else "")
        if pile.id in self._borders and pile.thing.kind in (Kind.LONG_STRIP, Kind.CUT_STRIP):
            long = "long " if pile.thing.kind is Kind.LONG_STRIP else ""
            return f"{long}{plural('strip', count)} {self.use_of(pile)}"
        if pile.thing.of_the_quilt:
            return self._quilt_thing(pile, count)
        bag = f", bag {pile.bag}" if pile.bag else ""
        things = plural(spoken(pile.thing), count)
        if pile.stage is Stage.CUT_ACROSS:
            things = f"{plural('slice', count)} of the {spoken(pile.thing)}"
        if pile.thing.is_patch:
            size = self.figures(pile.size) if pile.size else ""
            told = f", {self.use_of(pile)}" if use and pile.thing.of not in ("", "unit") else ""
            return f"{self.fabric(pile.fabrics[0])} {things}, {size} {self.plan.unit}{self.print_of(pile)}{told}{bag}"
        legs = ""
        if pile.thing.kind is Kind.TRIANGLE and pile.size:
            # Several sizes of a cloth lie about at once, in one unit too.
            legs = f", {self.ruler(pile.size[0])} {self.plan.unit} along the short edges"
        apart = self.patches_apart(pile) + self.apart(pile)
        return f"{things}, {self.cloths(pile.fabrics)}{legs}{apart}{bag}"

    def apart(self, pile: Pile) -> str:
        """What tells units apart that are called alike: round, size, how a print lies."""
        return self.round_apart(pile) + self.size_apart(pile) + self.print_apart(pile)

    def size_apart(self, pile: Pile) -> str:
        """Of units that are alike but for their size, what they finish to: `, 2 in finished`; else nothing."""
        size = self._sizes_apart.get(making_of(pile.id))
        return "" if size is None else f", {self.figures(size)} finished"

    @cached_property
    def _sizes_apart(self) -> Mapping[str, Size]:
        """The finished sizes of makings that share their kind and cloths with one of another size."""
        alike: dict[tuple[str, tuple[str, ...]], dict[Size, list[str]]] = {}
        for row in self.checklist.units:
            alike.setdefault((row.kind, row.fabrics), {}).setdefault(row.finished, []).append(making_of(row.pile))
        several = [sizes for sizes in alike.values() if len(sizes) > 1]
        return {making: size for sizes in several for size, makings in sizes.items() for making in makings}

    def is_mitred(self, pile: Pile) -> bool:
        """Whether border strips are for mitred borders alone."""
        numbers = self._borders.get(pile.id, ())
        return bool(numbers) and all(self.plan.quilt.borders[number - 1].mitred for number in numbers)

    def is_lengthwise(self, pile: Pile) -> bool:
        """Whether border strips are cut down the length of their cloth."""
        return any(self.plan.quilt.borders[number - 1].lengthwise for number in self._borders.get(pile.id, ()))

    def use_of(self, pile: Pile) -> str:
        """What cloth is for: `for the binding`; of border strips which border's."""
        return self._for_borders(self._served(pile)) or words_of_use(pile.thing.of)

    def uses_of(self, piles: Sequence[Pile]) -> list[str]:
        """What cloth of several piles is for, each use once, and each border once."""
        served = {frozenset(self._served(pile)) for pile in piles}
        numbers = set[int]().union(*served)
        if sum(map(len, served)) == len(numbers):
            return list(dict.fromkeys(map(self.use_of, piles)))
        return list(
            dict.fromkeys(self._for_borders(numbers) if self._served(pile) else self.use_of(pile) for pile in piles)
        )

    def _served(self, pile: Pile) -> set[int]:
        """The numbers of the borders that border strips are for."""
        return self._borders.get(pile.id, set()) if pile.thing.of == "border" else set()

    @staticmethod
    def _for_borders(numbers: Collection[int]) -> str:
        said = [str(number) for number in sorted(numbers)]
        return f"for {plural('border', len(said))} {listed(said)}" if said else ""

    @cached_property
    def _borders(self) -> Mapping[str, set[int]]:
        """The numbers of the borders that border strips are for, by their piles and those that lead there."""
        found: dict[str, set[int]] = {}
        for step in reversed(self.checklist.steps):
            served = set()
            for flow in step.gives:
                thing = self.checklist.piles[flow.pile].thing
                served |= {thing.number} if thing.kind is Kind.BORDER_STRIP else found.get(flow.pile, set())
            for flow in step.takes:
                thing = self.checklist.piles[flow.pile].thing
                if thing.of == "border":
                    found.setdefault(flow.pile, set()).update(served)
        return found

    def state(self, pile: Pile) -> str:
        """How far a pile has come: `marked`, `cut apart, still folded`; nothing for new cloth just cut."""
        if pile.thing.is_patch and pile.stage is Stage.CUT:
            return ""
        if pile.block is None and not pile.thing.of_the_quilt:
            if pile.stage is Stage.SEWN and pile.id not in self._cut_apart:
                return str(pile.stage.value)
            sewn = pile.stage is Stage.SEWN
            off = self._cut_apart[pile.id] if sewn else _cuts_off(self.maker_of.get(pile.id))
            said = _FOLDED | _CUT_OFF if off else _FOLDED
            return said.get(pile.stage, pile.stage.value)
        return stage_words(pile)

    @cached_property
    def _cut_apart(self) -> Mapping[str, bool]:
        """The piles whose pieces are cut apart next, and whether only something of them is cut off."""
        return {
            flow.pile: _cuts_off(step)
            for step in self.checklist.steps
            if isinstance(step.action, CutApart)
            for flow in step.takes
        }

    def pile(self, pile_id: str, count: int) -> str:
        """So many pieces of a pile and their state: `12 pale sand squares, 3 in, marked`."""
        pile = self.checklist.piles[pile_id]
        state = self.state(pile)
        if pile.block is not None and pile.thing.kind is not Kind.BLOCK:
            # There is one of each in a block, so that a number reads as part of its name.
            often = "" if count == 1 else f", for {count} blocks"
            return self.pile_alone(pile_id) + often
        if count == 1 and pile.thing.kind in (*_NUMBERED, *_ALONE):
            return self.pile_alone(pile_id)
        return f"{count} {self.thing(pile, count)}" + (f", {state}" if state else "")

    def pile_alone(self, pile_id: str) -> str:
        """One piece of a pile and its state, without a number: `sand square, 3 in, marked`, `row 2 of the quilt`."""
        pile = self.checklist.piles[pile_id]
        state = self.state(pile)
        thing = self.thing(pile)
        if pile.thing.kind in _NUMBERED:
            thing = spoken(pile.thing) + (" of the quilt" if pile.thing.kind is Kind.ROW else "")
        elif pile.thing.kind in _ALONE:
            thing = f"the {spoken(pile.thing)}"
        return thing + (f", {state}" if state else "")

    def needed(self, pile_id: str, count: int) -> str:
        """So many pieces more of a pile, the state before them where that reads well: `6 more trimmed snowballs`."""
        pile = self.checklist.piles[pile_id]
        if pile.block is not None:
            return self.pile(pile_id, count)
        state, things = self.state(pile), self.thing(pile, count)
        if not state or (pile.stage in _FOLDED and not pile.thing.of_the_quilt):
            return f"{count} more: {things}" + (f", {state}" if state else "")
        return f"{count} more {state}: {things}"
