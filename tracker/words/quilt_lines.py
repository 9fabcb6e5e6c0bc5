"""The work on a whole quilt in few words, for its pattern sheet: a pass in a line, with the size to check after it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.route.passes import Pass
from tracker.words.pass_words import pass_title
from tracker.words.quilt_texts import TOWARD, called, is_measured, row_ways
from tracker.words.step_words import Words
from tracker.words.thing_words import listed
from tracker.work.steps import PressSeams, Step, Trim
from tracker.work.things import Kind, Thing


def lines_of_quilt(words: Words, every: Sequence[Pass]) -> Iterator[tuple[str, str]]:
    """The passes that handle the whole quilt, each with the size to check after it; what is pressed right after it was
    sewn is told with that: `Join row 2 to row 1; press toward row 2`."""
    sewn = ""
    for done in every:
        last = done.steps[-1]
        if not all(isinstance(step.action, PressSeams) for step in done.steps):
            if sewn:
                yield sewn, ""
            sewn = pass_title(words, done)
            if done.station != "machine":
                yield sewn, _squared(words, last)
                sewn = ""
            continue
        said = f"; press {_quilt_ways(words, done.steps)}"
        yield (
            (f"{sewn}{said}" if sewn else f"{pass_title(words, done)}{said}"),
            _sizes(words, done.steps),
        )
        sewn = ""
    if sewn:
        yield sewn, ""


def _squared(words: Words, step: Step) -> str:
    """To what the top or the quilt is squared; of strips that are cut by measure nothing is said."""
    squares = isinstance(step.action, Trim) and not is_measured(words, step)
    return words.size(step.size) if squares and step.size is not None else ""


def _sizes(words: Words, steps: Sequence[Step]) -> str:
    """What is pressed measures: `36½ × 12½ in`; rows of sashes by themselves where they are pressed with the others,
    which have no size on point."""
    sizes: dict[str, dict[str, None]] = {}
    for step in steps:
        own = sizes.setdefault("sash rows" if words.checklist.made(step).thing.kind is Kind.SASHES else "rows", {})
        if (size := words.shown_size(step)) is not None:
            own[words.size(size)] = None
    said = {rows: listed(list(own)) for rows, own in sorted(sizes.items()) if own}
    return ", ".join(f"{rows} {own}" for rows, own in said.items()) if len(sizes) > 1 else "".join(said.values())


def _quilt_ways(words: Words, steps: Sequence[Step]) -> str:
    """Which way the seams of some rows, or of one joining, go: `open`, `toward row 2`, `rows 1 and 3 all to the left;
    row 2 all to the right (seen from the back)`."""
    alike: dict[str, list[Thing]] = {}
    behind = ""
    for step in steps:
        assert isinstance(step.action, PressSeams)
        way = _to_what(words, step.action)
        if not way:
            way, behind = row_ways(step.action.seams[0]), " (seen from the back)"
        alike.setdefault(way, []).append(words.checklist.made(step).thing)
    if len(alike) == 1:
        return next(iter(alike)) + behind
    return "; ".join(f"{_all_called(own)} {way}" for way, own in alike.items()) + behind


def _all_called(things: Sequence[Thing]) -> str:
    """`rows 1 and 3`, `row 2`; rows of another kind each by its name."""
    if len(things) > 1 and all(thing.kind is Kind.ROW for thing in things):
        return f"rows {listed([str(thing.number) for thing in things])}"
    return listed([called(thing) for thing in things])


def _to_what(words: Words, action: PressSeams) -> str:
    """`open`, or toward what seams of the quilt go; nothing where they go to a side."""
    seams = action.seams[0]
    if all(seam.toward is None for seam in seams):
        return "open"
    second = seams[0].between[1]
    if second in words.rows:
        return f"toward {called(second) if seams[0].toward == second else 'what was joined before'}"
    if seams[0].between[0].kind is Kind.STRIP_PIECE and len({seam.toward == seam.between[1] for seam in seams}) > 1:
        return "toward the longer piece"
    toward = dict.fromkeys(TOWARD.get(seam.toward.kind, "") for seam in seams if seam.toward is not None)
    return "" if "" in toward else f"toward the {' or '.join(toward)}"
