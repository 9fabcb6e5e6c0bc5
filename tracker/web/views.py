"""What the screens say, put together from counts and words; knows nothing of requests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracker.naming import listed, plural
from tracker.progress import Progress, Tap
from tracker.web.opened import Compiled, Counted, Opened
from tracker.work import Cut, Pile, Step

STATION_NAMES = {"table": "Cutting table", "machine": "Machine", "iron": "Iron", "wall": "Layout wall"}
STATION_MARKS = {"table": "T", "machine": "M", "iron": "I", "wall": "W"}

DONE_WORDS = {
    "cut": "cut", "mark": "marked", "cut apart": "cut apart", "trim": "trimmed", "square": "squared",
    "pair": "paired", "pin": "pinned", "sew": "sewn", "join": "joined", "add strip": "sewn on", "bind": "bound",
    "press": "pressed", "lay out": "laid out",
}  # fmt: skip
"""What is true of a piece once an operation is done with it."""

CHAIN = 6
"""How many a chain is until she says otherwise."""


@dataclass(frozen=True)
class Way:
    """A link to a step: its short name and its title."""

    short: str
    title: str


@dataclass(frozen=True)
class Wait:
    """What a step lacks for one go, and the step that makes it."""

    words: str
    maker: Way | None


@dataclass(frozen=True)
class Question:
    """An unsettled tap, put as one question: the words, how many were tapped, and how many fit now."""

    tap_id: str
    words: str
    tapped: int
    fits: int


@dataclass(frozen=True)
class TakeBack:
    """The tap that a take-back would undo, how many it was, and what in words."""

    tap_id: str
    times: int
    words: str


@dataclass(frozen=True)
class Count:
    """Where one step stands: all that changes on its screen."""

    step: Step
    short: str
    done: int
    left: int
    ready: int
    blocks: tuple[int, ...]
    done_words: str
    waits: tuple[Wait, ...]
    take_back: TakeBack | None
    carry_on: Way | None
    previous: Way | None
    next: Way | None

    @property
    def in_blocks(self) -> bool:
        return self.step.per != "quilt"

    @property
    def blocks_in_turn(self) -> str:
        """The blocks that the next taps are counted for, as `block 3, then 4, 5 …`."""
        first, *others = map(str, self.blocks[:6])
        more = " …" if len(self.blocks) > 6 else ""
        return f"block {first}" + (f", then {', '.join(others)}{more}" if others else "")


def way(compiled: Compiled, step: Step | None) -> Way | None:
    """Where a step is found and what it is called; None for no step."""
    return None if step is None else Way(compiled.short[step.id], compiled.titles[step.id])


def block_list(numbers: tuple[int, ...] | list[int], most: int = 12) -> str:
    """`block 3`, `blocks 3, 4 and 7`; long lists cut short."""
    words = [str(number) for number in numbers[:most]]
    if len(numbers) > most:
        words[-1:] = [f"{len(numbers) - most + 1} more"]
    return f"{plural('block', len(numbers))} {listed(words)}"


def count_of(opened: Opened, step: Step) -> Count:
    """Where a step stands."""
    progress, compiled = opened.progress, opened.compiled
    ready_blocks = tuple(progress.ready_blocks(step)) if step.per != "quilt" else ()
    ready = len(ready_blocks) if step.per != "quilt" else progress.ready(step)
    done = progress.times_done(step)
    return Count(
        step=step,
        short=compiled.short[step.id],
        done=done,
        left=step.count - done,
        ready=ready,
        blocks=ready_blocks,
        done_words=DONE_WORDS[step.operation],
        waits=() if ready else tuple(waits(opened, progress.waits_for(step))),
        take_back=take_back(opened.last_counted(step)),
        carry_on=None if ready else way(compiled, progress.next_step(after=step.id)),
        previous=way(compiled, compiled.beside(step, -1)),
        next=way(compiled, compiled.beside(step, 1)),
    )


def waits(opened: Opened, lacking: list[tuple[str, int]]) -> Iterator[Wait]:
    """What is lacking, in words, with the steps that make it."""
    for pile, short in lacking:
        yield Wait(opened.words.pile(pile, short), way(opened.compiled, opened.compiled.maker.get(pile)))


def lacking(progress: Progress, step: Step, block: int) -> list[tuple[str, int]]:
    """What one block lacks for a step: piles, and how many pieces."""
    short = []
    for flow in step.takes:
        own = progress.checklist.piles[flow.pile].block is not None
        missing = flow.each - progress.on_pile(flow.pile, block if own else None)
        if missing > 0:
            short.append((flow.pile, missing))
    return short


def take_back(counted: Counted | None) -> TakeBack | None:
    """What the last tap counted, in words, so that it can be taken back; None where there is none."""
    if counted is None:
        return None
    done = DONE_WORDS[counted.step.operation]
    what = block_list(counted.blocks) if counted.blocks else str(counted.times)
    return TakeBack(counted.tap_id, counted.times, f"{what} {done}")


def question_of(opened: Opened) -> Question | None:
    """The one question to ask about taps that their piles could not pay for."""
    tap = opened.question()
    if tap is None:
        return None
    step = opened.progress.steps[tap["step"]]
    fits = _fitting(opened.progress, step, tap)
    blocks = tap.get("blocks", ())
    what = f"“{opened.compiled.titles[step.id]}”: "
    if blocks:
        words = (
            f"{what}{block_list(list(blocks))} {DONE_WORDS[step.operation]} was tapped, but that can be true of "
            f"{fits or 'none'} only: how many were really done?"
        )
    else:
        words = (
            f"{what}{tap['times']} {DONE_WORDS[step.operation]} was tapped, but only {fits} lay ready: "
            "how many were really done?"
        )
    return Question(tap["id"], words, len(blocks) or tap["times"], fits)


def _fitting(progress: Progress, step: Step, tap: Tap) -> int:
    """How many of an unsettled tap can be true now."""
    if step.per == "quilt":
        return min(int(tap["times"]), progress.ready(step))
    ready, fits = set(progress.ready_blocks(step)), 0
    for block in tap["blocks"]:
        if block not in ready:
            break
        fits += 1
    return fits


@dataclass(frozen=True)
class Row:
    """A step in the whole list."""

    short: str
    title: str
    station: str
    mark: str
    count: int
    done: int
    ready: int
    waits: str

    @property
    def left(self) -> int:
        return self.count - self.done

    @property
    def state(self) -> str:
        """done, ready or waits."""
        return "done" if not self.left else "ready" if self.ready else "waits"


@dataclass(frozen=True)
class Group:
    """Steps that belong together in the list, under one heading."""

    heading: str
    rows: tuple[Row, ...]


def groups(opened: Opened) -> list[Group]:
    """The whole list: cutting by cloth, each unit, each kind of block."""
    topics: dict[str, list[Step]] = {}
    for step in opened.compiled.steps:
        topics.setdefault(step.topic, []).append(step)
    return [Group(heading(opened.compiled, steps), tuple(_row(opened, step) for step in steps))
            for steps in topics.values()]  # fmt: skip


def _row(opened: Opened, step: Step) -> Row:
    progress = opened.progress
    ready = progress.ready(step)
    lacks = "" if ready else listed([opened.words.pile(pile, short) for pile, short in progress.waits_for(step)])
    return Row(
        opened.compiled.short[step.id],
        opened.compiled.titles[step.id],
        STATION_NAMES[step.station],
        STATION_MARKS[step.station],
        step.count,
        progress.times_done(step),
        ready,
        lacks,
    )


def heading(compiled: Compiled, steps: list[Step]) -> str:
    """What a group of steps is about."""
    made: Pile = compiled.checklist.piles[steps[-1].gives[0].pile]
    if made.block is not None:
        return f"Block: {compiled.plan.blocks[made.block].name}, {steps[-1].count} to make"
    if isinstance(steps[0].action, Cut):
        return f"Cutting: {compiled.words.fabric(steps[0].action.fabric)}"
    name = f"{plural(made.thing, 2)}, {compiled.words.cloths(made.fabrics)}"
    return name[0].upper() + name[1:]


@dataclass(frozen=True)
class CutRow:
    """One size to cut from a cloth: how many, for what, how many are cut; `short` names the step."""

    short: str
    size: str
    use: str
    count: int
    done: int


@dataclass(frozen=True)
class Cloth:
    """What to cut from one cloth."""

    key: str
    name: str
    rows: tuple[CutRow, ...]


def cutting(opened: Opened) -> list[Cloth]:
    """The cutting list, cloth by cloth, in the order of the list."""
    compiled = opened.compiled
    steps = [(step.action, step) for step in compiled.steps if isinstance(step.action, Cut)]
    rows: dict[str, list[CutRow]] = {}
    for piece in compiled.checklist.pieces:
        wanted = Cut(piece.fabric, piece.width, piece.height)
        found = next((entry for entry in steps if entry[0] == wanted), None)
        if found is None:
            continue  # needed by no block
        steps.remove(found)  # a size with two uses has two steps, in the same order
        step = found[1]
        size, done = compiled.words.size((piece.width, piece.height)), opened.progress.times_done(step)
        row = CutRow(compiled.short[step.id], size, piece.use, piece.count, done)
        rows.setdefault(piece.fabric, []).append(row)
    fabrics = compiled.plan.fabrics
    return [Cloth(key, fabrics[key].name, tuple(rows[key])) for key in fabrics if key in rows]


@dataclass(frozen=True)
class Standing:
    """How far a quilt has come, and what comes next (None: it is finished)."""

    done: int
    total: int
    blocks_finished: int
    blocks: int
    next: Way | None
    next_words: str

    @property
    def percent(self) -> int:
        """Whole per cents; 100 only when all is done."""
        return self.done * 100 // self.total if self.total else 100


def standing(opened: Opened) -> Standing:
    """How far a quilt has come."""
    progress = opened.progress
    done, total = progress.shares()
    following = progress.next_step()
    finished = sum(progress.times_done(steps[-1]) for key in opened.compiled.plan.blocks
                   if (steps := progress.block_steps(key)))  # fmt: skip
    words = "" if following is None else f"{progress.ready(following)} ready"
    return Standing(done, total, finished, len(progress.block_keys), way(opened.compiled, following), words)


@dataclass(frozen=True)
class StepView:
    """What a step's screen says whatever the counts are."""

    number: int
    total: int
    title: str
    station: str
    mark: str
    operation: str
    figures: str
    unit: str
    size_label: str
    takes: tuple[str, ...]
    makes: str
    text: str
    check: str
    caution: str

    @property
    def figures_width(self) -> int:
        """How wide the figures are, in half letters (2 to 26), so that they are set as large as fits."""
        tenths = sum(_TENTHS.get(sign, 11 if sign > "~" else 7) for sign in self.figures)
        return min(26, max(2, -(-tenths // 5)))


_TENTHS = {" ": 4, ".": 4, "/": 4, "×": 9}
"""Widths of figures in tenths of a letter's height; a digit has 7, a fraction in one sign 11."""

SIZE_LABELS = {
    "cut": "Cut", "trim": "Trim to", "square": "Square to", "press": "Measures",
    "join": "Now measures", "add strip": "Now measures",
}  # fmt: skip
UNIT_WORDS = {"in": "inches", "cm": "cm"}


def step_view(opened: Opened, step: Step) -> StepView:
    """What a step's screen says whatever the counts are."""
    words, compiled = opened.words, opened.compiled
    return StepView(
        number=compiled.number(step),
        total=len(compiled.steps),
        title=compiled.titles[step.id],
        station=STATION_NAMES[step.station],
        mark=STATION_MARKS[step.station],
        operation=step.operation,
        figures="" if step.size is None else words.figures(step.size),
        unit=UNIT_WORDS[compiled.plan.unit] + (" square" if step.size and step.size[0] == step.size[1] else ""),
        size_label=SIZE_LABELS.get(step.operation, "Size"),
        takes=tuple(words.takes(step)),
        makes=words.makes(step),
        text=words.text(step),
        check=words.check(step),
        caution=words.caution(step) or "",
    )
