"""The blocks of a quilt: where each lies, how far it has come, and what is next for it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

from tracker.progress.ledger import BlockStage
from tracker.web.opened import Opened
from tracker.web.views import TakeBack, Wait, Way, lacking, take_back, waits, way
from tracker.work import operations
from tracker.work.steps import Step
from tracker.work.things import Stage
from tracker.work.whole_blocks import SetBlock


@dataclass(frozen=True)
class Reached:
    """How far blocks have come, coarsely: a short name for addresses, its mark, its words."""

    name: str
    mark: str
    words: str


WAITING = Reached("waiting", "·", "not begun")
TRIMMED = Reached("trimmed", "T", "pieces trimmed")
LAID_OUT = Reached(operations.LAID_OUT, "L", "laid out")
JOINED = Reached(operations.JOINED, "J", "joining")
SQUARED = Reached(operations.SQUARED, "S", "squared")
FRAMED = Reached("framed", "F", "framing")
FINISHED = Reached("finished", "✓", "finished")
PLACED = Reached("placed", "P", "in its place")
ALL_REACHED = (WAITING, TRIMMED, LAID_OUT, JOINED, SQUARED, FRAMED, FINISHED, PLACED)


@dataclass(frozen=True)
class Card:
    """One block on the board. `row` and `place` count from 1 in the quilt."""

    number: int
    name: str
    row: int
    place: int
    reached: Reached
    words: str
    done: int
    steps: int
    own_name: str
    pressed: str


@dataclass(frozen=True)
class BlockPlace:
    """One place of the quilt: the block's number, its pressing version's letter, whether it is turned half round."""

    number: int
    letter: str
    turned: bool


@dataclass(frozen=True)
class Filter:
    """A choice of blocks: its name (empty: all), its words, how many it shows, whether it is chosen."""

    name: str
    mark: str
    words: str
    count: int
    chosen: bool


def cards(opened: Opened) -> list[Card]:
    """Every block in reading order."""
    progress, plan = opened.progress, opened.compiled.plan
    can_begin: set[int] = set()
    for key in plan.blocks:
        steps = progress.block_steps(key)
        can_begin.update(progress.ready_blocks(steps[0]) if steps else ())
    places = [(row, place) for row, keys in enumerate(plan.quilt.places, 1) for place in range(1, len(keys) + 1)]
    ways = pressed(opened)
    return [
        _card(opened, number, places[number - 1], number in can_begin, ways[number - 1])
        for number in progress.block_keys
    ]


def placed(opened: Opened) -> list[list[BlockPlace]]:
    """The quilt row by row: which version lies where, and which way up."""
    pressing = opened.compiled.checklist.pressing
    letters = {block.block: [version.letter for version in block.versions] for block in pressing.blocks}
    numbers = itertools.count(1)
    return [
        [BlockPlace(next(numbers), letters[place.block][place.version], place.turn == 180) for place in row]
        for row in pressing.places
    ]


def pressed(opened: Opened) -> list[str]:
    """For each block in order, how it is pressed and lies; empty where all of the quilt are alike."""
    places = [place for row in placed(opened) for place in row]
    several, some_turned = len({place.letter for place in places}) > 1, any(place.turned for place in places)
    words = []
    for place in places:
        said = [f"version {place.letter}"] if several else []
        said += ["turned half round" if place.turned else "as drawn"] if some_turned else []
        words.append(", ".join(said))
    return words


def _card(opened: Opened, number: int, place: tuple[int, int], can_begin: bool, how: str) -> Card:
    stage = opened.progress.stage(number)
    reached = reached_by(opened, stage, can_begin)
    words = TRIMMED.words if reached is TRIMMED else opened.words.stage(stage)
    name = opened.compiled.plan.blocks[stage.key].name
    own_name = opened.progress.names.get(number, "")
    return Card(number, name, *place, reached, words, stage.done, stage.steps, own_name, how)


def _place(opened: Opened, number: int) -> tuple[int, int]:
    """Row and place of a block, from 1."""
    for row, keys in enumerate(opened.compiled.plan.quilt.places, 1):
        if number <= len(keys):
            return row, number
        number -= len(keys)
    raise AssertionError(number)


def reached_by(opened: Opened, stage: BlockStage, can_begin: bool) -> Reached:
    """How far a block has come. `can_begin`: all its pieces lie ready."""
    if stage.last is None:
        return TRIMMED if can_begin else WAITING
    steps = opened.progress.block_steps(stage.key, stage.number)
    if isinstance(stage.last.action, SetBlock):
        return PLACED
    before = steps[: steps.index(stage.last) + 1]
    if not [step for step in steps[len(before) :] if not isinstance(step.action, SetBlock)]:
        return FINISHED
    if any(step.operation == "add strip" for step in before):
        return FRAMED
    return next(each for each in ALL_REACHED if each.name == stage.last.kind.reaches)


def filters(found: list[Card], chosen: str) -> list[Filter]:
    """All, and every stage that some block is at (or that is chosen)."""
    rows = [Filter("", "", "All", len(found), chosen == "")]
    for reached in ALL_REACHED:
        count = sum(card.reached is reached for card in found)
        if count or reached.name == chosen:
            rows.append(Filter(reached.name, reached.mark, reached.words, count, reached.name == chosen))
    return rows


@dataclass(frozen=True)
class BlockStep:
    """A step of one block. `undo`: how it can be undone, "opened" (a join), "put back" (its last step) or nothing."""

    way: Way
    done: bool
    undo: str


@dataclass(frozen=True)
class RowState:
    """One row of a block, and how far it has come (None: not begun); done when it is joined."""

    name: str
    stage: Stage | None

    @property
    def state(self) -> str:
        """How far, in words; nothing where it is not begun."""
        return "" if self.stage is None else self.stage.value

    @property
    def done(self) -> bool:
        return self.stage not in (None, Stage.LAID_OUT)


@dataclass(frozen=True)
class BlockView:
    """One block: its card, its steps, what is next (and what that waits for), what can be taken back."""

    card: Card
    key: str
    steps: tuple[BlockStep, ...]
    next: Way | None
    waits: tuple[Wait, ...]
    take_back: TakeBack | None
    rows: tuple[RowState, ...]
    notes: tuple[str, ...]
    previous: int | None
    following: int | None


def block_view(opened: Opened, number: int) -> BlockView:
    """Everything about one block. Raises Refused for a number that the quilt does not have."""
    progress, compiled = opened.progress, opened.compiled
    stage = progress.stage(number)
    steps = progress.block_steps(stage.key, number)
    undone = next((step for step in steps if not progress.times_done(step, number)), None)
    missing = [] if undone is None else lacking(progress, undone, number)
    return BlockView(
        card=_card(opened, number, _place(opened, number), not stage.done and not missing, pressed(opened)[number - 1]),
        key=stage.key,
        steps=tuple(_block_step(opened, step, number, stage.last) for step in steps),
        next=way(compiled, undone),
        waits=tuple(waits(opened, missing)),
        take_back=_take_back(opened, stage.last, number),
        rows=tuple(_rows(opened, steps, number)),
        notes=tuple(text for block, text in progress.notes if block == number),
        previous=number - 1 if number > 1 else None,
        following=number + 1 if number < len(progress.block_keys) else None,
    )


def _block_step(opened: Opened, step: Step, number: int, last: Step | None) -> BlockStep:
    done = bool(opened.progress.times_done(step, number))
    undo = ""
    if done and step.operation == "join":
        undo = "opened"
    elif done and step == last and step.kind.unpicked:
        undo = "put back"
    return BlockStep(_way(opened, step), done, undo)


def _rows(opened: Opened, steps: list[Step], number: int) -> list[RowState]:
    """The rows that a block is joined from, each with its last state."""
    piles = opened.compiled.checklist.piles
    states: dict[str, Stage | None] = {}
    for step in steps:
        for pile in (piles[flow.pile] for flow in step.gives):
            if pile.thing.is_row_of_block:
                states.setdefault(pile.thing.name, None)
                if opened.progress.times_done(step, number):
                    states[pile.thing.name] = pile.stage
    return [RowState(name, stage) for name, stage in states.items()]


def _take_back(opened: Opened, last: Step | None, number: int) -> TakeBack | None:
    """The last tap for a block, named by its step: several steps of a block are pressed or trimmed."""
    back = None if last is None else take_back(opened, last, opened.last_tap(last, number))
    if last is None or back is None:
        return None
    more = "" if back.times == 1 else f": {back.words}"
    return replace(back, words=opened.compiled.titles[last.id] + more)


def _way(opened: Opened, step: Step) -> Way:
    return Way(opened.compiled.short[step.id], opened.compiled.titles[step.id])
