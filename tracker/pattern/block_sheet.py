"""The pattern sheet of one kind of block: its picture and sizes, its cloth, what is cut, and every pass as a card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tracker.cloth.sewing import Trace
from tracker.drawing import block_drawing, step_drawing
from tracker.drawing.printed_size import in_print, sides
from tracker.drawing.tile_layout import Layout
from tracker.pattern.sheet_room import Content, Density, best_density, fits_two_sheets
from tracker.pattern.some_blocks import SomeBlocks, cloth_for, has_strip_sets, some_blocks_of
from tracker.plan.model import Plan
from tracker.plan.problems import counted
from tracker.quilt.buying import ClothNeed
from tracker.route.passes import Pass, passes
from tracker.route.working_order import BLOCKS, CUTTING, UNITS
from tracker.words.quilt_summary import cloth_length
from tracker.words.sheet_words import amounts_for, sheet_line, sheet_size, sheet_title
from tracker.words.step_words import Words
from tracker.words.thing_words import words_of_use
from tracker.work.operations import OPERATIONS
from tracker.work.steps import Checklist, CutPiece, PressSeams, Step
from tracker.work.whole_blocks import MeasureBlock


@dataclass(frozen=True)
class SewnPlan:
    """A plan with its checklist, sewn: what sheets are made from. `draws` makes a step's drawing (of a step that was
    sewn)."""

    plan: Plan
    checklist: Checklist
    words: Words
    trace: Trace
    layout: Layout

    def drawing(self, step: Step) -> str:
        """The step as it lies on the table; nothing where the sewing does not reach it."""
        if step.id not in self.trace.done:
            return ""
        return step_drawing(self.plan, self.checklist, self.trace, step, self.layout)


ClothLines = dict[str, Any]
"""What is cut from one cloth: its `key`, `name`, `colour`, the `length` of it that all of the sheet's blocks take (with
what is lost), and `lines`, each a size to cut: `size`, `use`, how many for as many blocks as the cards are for (`one`),
and for all of the sheet's blocks (`every`)."""


@dataclass(frozen=True)
class PassCard:
    """One pass of the work: its `drawing` shows the step `drawn`."""

    number: int
    station: str
    title: str
    size: str
    amounts: str
    line: str
    drawing: str
    drawn: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class BlockSheet:
    """Everything on the sheet of one kind of block, for `count` blocks of it. `one` is how many its cards are for: one,
    or all of them where strip sets are as long as all of them need. `fits` is what the block measures that its frames
    are cut to fit; nothing where none are."""

    key: str
    name: str
    one: int
    count: int
    drawing: str
    finished: str
    unfinished: str
    fits: str
    cloths: tuple[ClothLines, ...]
    cards: tuple[PassCard, ...]
    density: Density

    @property
    def picture(self) -> str:
        """The block as it is printed."""
        return in_print(self.drawing, PICTURE, PICTURE)

    @property
    def many_cloths(self) -> bool:
        """Whether the cutting list needs the whole breadth of the sheet."""
        return _lines(self.cloths) > MOST_BESIDE


MOST_BESIDE = 30
"""So many lines of the cutting list find room beside the picture."""

PICTURE = 58
"""The side of the block's picture, in millimetres."""


def block_sheet(sewn: SewnPlan, key: str, count: int = 0) -> BlockSheet:
    """The sheet of a kind of block, for `count` of them (0: as many as the quilt has)."""
    row = next(row for row in sewn.checklist.blocks if row.key == key)
    every = some_blocks_of(sewn.checklist, key, count or row.count)
    one = every if has_strip_sets(sewn.checklist, every) else some_blocks_of(sewn.checklist, key, 1)
    cards = cards_of(sewn, one)
    cloths = tuple(cut_lines(sewn, one, every))
    block, fits = sewn.plan.blocks[key], _fits(sewn, key)
    return BlockSheet(
        key,
        block.name,
        one.count,
        every.count,
        block_drawing(sewn.plan, block),
        sewn.words.size(row.finished),
        sewn.words.size(row.unfinished),
        fits,
        cloths,
        tuple(cards),
        density_of(_top(cloths, fits), cards),
    )


def _fits(sewn: SewnPlan, key: str) -> str:
    """What a block measures when its frames are cut to fit; nothing where none are."""
    measures = (step for steps in sewn.words.to_fit.values() for step in steps if step.per == key)
    sizes = (step.action.size for step in measures if isinstance(step.action, MeasureBlock))
    return next(map(sewn.words.size, sizes), "")


def density_of(top: int, cards: Sequence[PassCard]) -> Density:
    """How close cards stand under what is `top` high, in tenths of a millimetre."""
    return best_density(top, _contents(cards))


def _contents(cards: Sequence[PassCard]) -> list[Content]:
    return [Content(card.title, card.size, f"{card.amounts} {card.line}", sides(card.drawing)) for card in cards]


HEAD, NOTES = 170, 430
"""Of a sheet, in tenths of a millimetre: what stands over it, and what goes for all of the work."""


def _top(cloths: Sequence[ClothLines], fits: str) -> int:
    """How much of the first sheet lies above its cards, in tenths of a millimetre."""
    lines = _lines(cloths) + 2 * bool(fits)
    if lines > MOST_BESIDE:
        return HEAD + NOTES + 10 * PICTURE + 40 + (lines + 8) // 3 * 46
    return HEAD + NOTES + max(10 * PICTURE + 30, 250 + (lines + 3) // 2 * 48)


def top_without_picture(cloths: Sequence[ClothLines]) -> int:
    """The same where no picture stands beside the cutting list."""
    return HEAD + NOTES + 120 + (_lines(cloths) + 3) // 2 * 48


def _lines(cloths: Sequence[ClothLines]) -> int:
    return sum(1 + len(cloth["lines"]) for cloth in cloths)


def cut_lines(sewn: SewnPlan, one: SomeBlocks, every: SomeBlocks) -> Iterator[ClothLines]:
    """The cutting list cloth by cloth, the largest pieces first."""
    single = {replace(piece, count=0): piece.count for piece in one.pieces}
    for wanted in cloth_for(sewn.plan, sewn.checklist, every):
        own = [piece for piece in every.pieces if piece.fabric == wanted.fabric]
        lines = [
            {
                "size": sewn.words.figures((piece.width, piece.height)),
                "use": ", ".join(filter(None, (_use(piece), sewn.words.print_in(piece)))),
                "one": single[replace(piece, count=0)],
                "every": piece.count,
            }
            for piece in sorted(own, key=lambda piece: (-piece.width, -piece.height))
        ]
        yield cloth_taken(sewn.plan, wanted) | {"lines": lines}


def _use(piece: CutPiece) -> str:
    return "" if piece.use == "unit" else words_of_use(piece.use)


def cloth_taken(plan: Plan, wanted: ClothNeed) -> ClothLines:
    """A cloth and how much of it is taken."""
    fabric = plan.fabrics[wanted.fabric]
    quarters = counted(wanted.fat_quarters, "fat quarter") if wanted.fat_quarters else ""
    length = " and ".join(each for each in (quarters, cloth_length(wanted.buy, plan) if wanted.buy else "") if each)
    return {"key": fabric.key, "name": fabric.name, "colour": fabric.colour, "length": length}


def cards_of(sewn: SewnPlan, one: SomeBlocks) -> list[PassCard]:
    """Every pass of one block's units and of the block, in the order of the work; pressings of several versions one by
    one. Where two sheets cannot hold them, what is pressed right after it was sewn shares its card; where that is not
    enough, what is cut apart too."""
    found, top = list(_steps_of_cards(sewn, one)), _top(tuple(cut_lines(sewn, one, one)), _fits(sewn, one.key))
    cards: list[PassCard] = []
    for shared in range(3):
        passes_of_cards = list(_joined(found, shared))
        cards = [_card(sewn, one, number, *each) for number, each in enumerate(passes_of_cards, 1)]
        if len(cards) <= MOST_CARDS and fits_two_sheets(top, _contents(cards)):
            break
    return cards


def cut_cards_of(sewn: SewnPlan, one: SomeBlocks) -> list[PassCard]:
    """The cutting of one block's pieces, cloth by cloth, numbered 0: on a sheet the cutting list stands for them."""
    found = []
    for done in passes(sewn.checklist):
        steps = tuple(step for step in done.steps if one.times.get(step.id))
        if done.section.part == CUTTING and steps:
            found.append(_card(sewn, one, 0, replace(done, steps=steps), ()))
    return found


MOST_CARDS = 20
"""So many cards two sheets hold for certain."""

_Together = tuple[Pass, tuple[Pass, ...]]
"""A pass as far as it is done for the block, and what is told on the same card after it."""


def _steps_of_cards(sewn: SewnPlan, one: SomeBlocks) -> Iterator[_Together]:
    for done in passes(sewn.checklist):
        if done.section.part == UNITS:
            steps = tuple(step for step in done.steps if one.times.get(step.id))
            if steps:
                yield replace(done, steps=steps), ()
        elif done.section.part == BLOCKS and done.steps[0].per == one.key:
            for version in _versions(done):
                yield replace(done, steps=version), ()


def _versions(done: Pass) -> Iterator[tuple[Step, ...]]:
    """The steps of each version of a pressing; of other work, which is the same in all, those of the first."""
    by_version: dict[str | None, list[Step]] = {}
    for step in done.steps:
        by_version.setdefault(step.version, []).append(step)
    common = by_version.pop(None, [])
    several = [[*common, *steps] for steps in by_version.values()] or [common]
    for steps in several if _presses_seams(done) else several[:1]:
        yield tuple(steps)


def _joined(found: list[_Together], shared: int) -> Iterator[_Together]:
    """The same, what is done of the operations that share a card by now joined to what was done right before it, with
    the same pieces."""
    waiting: list[Pass] = []
    for done, _ in found:
        if (
            waiting
            and 0 < OPERATIONS[done.steps[0].operation].shares_card <= shared
            and _goes_on_with(waiting[-1], done)
        ):
            waiting.append(done)
            continue
        if waiting:
            yield waiting[0], tuple(waiting[1:])
        waiting = [done]
    if waiting:
        yield waiting[0], tuple(waiting[1:])


def _presses_seams(done: Pass) -> bool:
    return all(isinstance(step.action, PressSeams) for step in done.steps)


def _goes_on_with(before: Pass, after: Pass) -> bool:
    """Whether a pass takes something that the one before gave; rows are pressed after whatever joined them."""
    if _presses_seams(after):
        return not _presses_seams(before)
    given = {flow.pile for step in before.steps for flow in step.gives}
    return any(flow.pile in given for step in after.steps for flow in step.takes)


def _card(sewn: SewnPlan, one: SomeBlocks, number: int, done: Pass, after: tuple[Pass, ...]) -> PassCard:
    words, steps, parts = sewn.words, done.steps, (done, *after)
    last = parts[-1].steps
    # How units are put together is seen while they are sewn; how rows are pressed, from the back.
    drawn = last[0] if all(map(_presses_seams, after)) else steps[0]
    lines = [sheet_line(words, steps), *(_then(words, each) for each in after)]
    return PassCard(
        number,
        done.station,
        sheet_title(words, done),
        next((size for each in reversed(parts) if (size := sheet_size(words, each.steps))), ""),
        amounts_for(words, steps, one.times),
        " ".join(line for line in lines if line),
        sewn.drawing(drawn),
        drawn.id,
        tuple(step for each in parts for step in each.steps),
    )


def _then(words: Words, done: Pass) -> str:
    line = sheet_line(words, done.steps)
    return f"Press {_lower(line)}" if done.station == "iron" else line


def _lower(words: str) -> str:
    """In a sentence; a cloth's key stays as it is."""
    return words[:1].lower() + words[1:] if words[1:2].islower() else words
