"""What the screens say, put together from counts and words; knows nothing of requests."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracker.progress.batches import carry_on, in_work, targets
from tracker.progress.changes import Recorded
from tracker.progress.ledger import Progress
from tracker.web.measuring import UNIT_WORDS, MeasuringForm, as_measured, measuring_of, notes_of
from tracker.web.opened import Compiled, Opened
from tracker.words.names import listed, plural
from tracker.work.steps import Step
from tracker.work.whole_blocks import SetBlock

STATION_NAMES = {"table": "Cutting table", "machine": "Machine", "iron": "Iron", "wall": "Layout wall"}
STATION_MARKS = {"table": "T", "machine": "M", "iron": "I", "wall": "W"}


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
class TakeBack:
    """The tap that a take-back would undo, how many it was, what in words, and for which blocks."""

    tap_id: str
    times: int
    words: str
    blocks: tuple[int, ...] = ()


@dataclass(frozen=True)
class Count:
    """Where one step stands: all that changes on its screen."""

    step: Step
    short: str
    count: int
    done: int
    left: int
    ready: int
    blocks: tuple[int, ...]
    done_words: str
    waits: tuple[Wait, ...]
    take_back: TakeBack | None
    carry_on: Way | None
    now: int
    batch: str
    seam_untested: bool
    previous: Way | None
    next: Way | None

    @property
    def in_blocks(self) -> bool:
        return self.step.per != "quilt"

    @property
    def lays_blocks(self) -> bool:
        """Whether blocks are laid in their places, which the layout counts too."""
        return isinstance(self.step.action, SetBlock)

    @property
    def in_chains(self) -> bool:
        """Whether the pieces run through the machine one behind the other."""
        return self.step.kind.chained

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
    progress, compiled, pace = opened.progress, opened.compiled, opened.pace
    asked = targets(progress, pace).get(step.id, 0) - progress.times_done(step)
    ready_blocks = tuple(progress.ready_blocks(step)) if step.per != "quilt" else ()
    ready = len(ready_blocks) if step.per != "quilt" else progress.ready(step)
    count, done = progress.count(step), progress.times_done(step)
    return Count(
        step=step,
        short=compiled.short[step.id],
        count=count,
        done=done,
        left=max(count - done, 0),
        ready=ready,
        blocks=ready_blocks,
        done_words=step.kind.done,
        waits=() if ready else tuple(waits(opened, progress.waits_for(step))),
        take_back=take_back(opened, step, opened.last_tap(step)),
        carry_on=None if ready and asked > 0 else way(compiled, _next(opened, step)),
        now=max(min(ready, asked), 0),
        batch=batch_words(opened) if 0 < asked < count - done else "",
        seam_untested=step.kind.seams and seam_untested(opened),
        previous=way(compiled, beside(opened, step, -1)),
        next=way(compiled, beside(opened, step, 1)),
    )


def _next(opened: Opened, step: Step) -> Step | None:
    """Where to carry on from a step that is done, or done for the blocks in work: none where it is that step again."""
    found = carry_on(opened.progress, opened.pace)
    return None if found == step else found


def batch_words(opened: Opened) -> str:
    """The blocks in work: `Sample first: block 1`, `Now blocks 2 to 5 of 12`; nothing when all is done."""
    blocks, count = in_work(opened.progress, opened.pace), len(opened.progress.block_keys)
    if not blocks:
        return "" if opened.progress.finished() else "The blocks are done: now the quilt"
    if opened.pace.sample_first and blocks == [1] and count > 1:
        return "Sample first: block 1"
    if len(blocks) == count:
        return f"All {count} blocks together" if count > 1 else "The one block"
    span = listed([str(number) for number in blocks]) if len(blocks) < 3 else f"{blocks[0]} to {blocks[-1]}"
    return f"Now {plural('block', len(blocks))} {span} of {count}"


def seam_untested(opened: Opened) -> bool:
    """Whether nothing was sewn yet, and the seam not tested."""
    progress = opened.progress
    if any(step.kind.seams and progress.times_done(step) for step in progress.steps.values()):
        return False
    return not opened.about.get("seam_test")


def beside(opened: Opened, step: Step, by: int) -> Step | None:
    """The step before (-1) or after (1) one in the list, where there is one."""
    steps = opened.steps
    number = steps.index(step) + by
    return steps[number] if 0 <= number < len(steps) else None


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


def take_back(opened: Opened, step: Step, last: Recorded | None) -> TakeBack | None:
    """What taking back the last tap of a step would undo."""
    if last is None:
        return None
    moves = [(block, often) for step_id, block, often in last.change.moves if step_id == step.id]
    blocks = tuple(block for block, _ in moves if block)
    times = sum(often for _, often in moves)
    return TakeBack(str(last.tap["id"]), times, what_was_done(opened, step, last), blocks)


def what_was_done(opened: Opened, step: Step, kept: Recorded) -> str:
    """What a tap did to a step, in a few words."""
    moves = [(block, times) for step_id, block, times in kept.change.moves if step_id == step.id]
    blocks = [block for block, _ in moves if block]
    what = block_list(blocks) if blocks else str(abs(sum(times for _, times in moves)))
    match kept.tap["do"]:
        case "done":
            return f"{what} {step.kind.done}"
        case "counted":
            return f"counted {kept.tap['times']} {step.kind.done}"
        case "stage":
            return f"block {kept.tap['block']} as far as “{opened.compiled.titles[kept.tap['step']]}”"
        case "opened":
            return f"block {kept.tap['block']} opened"
        case "strip":
            return f"{what} cut from a strip"
        case "measured":
            return f"measured {listed(list(kept.tap['lengths']))}"
    return f"{what} put back"


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
    notes: tuple[str, ...] = ()
    measuring: MeasuringForm | None = None

    @property
    def figures_width(self) -> int:
        """How wide the figures are, in half letters, so that they are set as large as fits."""
        return figures_width(self.figures)


def figures_width(figures: str) -> int:
    """How wide figures are, in half letters (2 to 26)."""
    tenths = sum(_TENTHS.get(sign, 11 if sign > "~" else 7) for sign in figures)
    return min(26, max(2, -(-tenths // 5)))


_TENTHS = {" ": 4, ".": 4, "/": 4, "×": 9}
"""Widths of figures in tenths of a letter's height; a digit has 7, a fraction in one sign 11."""


def step_view(opened: Opened, step: Step) -> StepView:
    """What a step's screen says whatever the counts are."""
    words, compiled, measuring = opened.words, opened.compiled, measuring_of(opened, step)
    planned, step = step, as_measured(opened, step)
    size = step.size if step.kind.shows else None
    about = ", about" if size and words.is_near(*size) else ""
    square = " square" if step.size and step.size[0] == step.size[1] else ""
    return StepView(
        number=opened.steps.index(planned) + 1,
        total=len(opened.steps),
        title=compiled.titles[step.id],
        station=STATION_NAMES[step.station],
        mark=STATION_MARKS[step.station],
        operation=step.operation,
        figures=measuring.figures if measuring else words.figures(size, about=False) if size else "",
        unit=measuring.beside if measuring else UNIT_WORDS[compiled.plan.unit] + square,
        size_label=measuring.label if measuring else step.kind.shows + about,
        takes=tuple(words.takes(step)),
        makes=words.makes(step),
        text=measuring.text if measuring else words.text(step),
        check=words.check(step),
        caution=words.caution(step) or "",
        notes=notes_of(opened, planned),
        measuring=measuring,
    )
