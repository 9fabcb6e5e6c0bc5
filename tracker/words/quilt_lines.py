"""The work on a whole quilt in few words, for its pattern sheet: a pass in a line, with the size to check after it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.route.passes import Pass
from tracker.words.pass_words import pass_title
from tracker.words.quilt_texts import TOWARD, called, row_ways
from tracker.words.step_words import Words
from tracker.words.thing_words import listed
from tracker.work.steps import PressSeams, Step


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
                yield sewn, ""
                sewn = ""
            continue
        size = words.shown_size(last)
        said = f"; press {_quilt_ways(words, done.steps)}"
        yield (
            (f"{sewn}{said}" if sewn else f"{pass_title(words, done)}{said}"),
            "" if size is None else words.size(size),
        )
        sewn = ""
    if sewn:
        yield sewn, ""


def _quilt_ways(words: Words, steps: Sequence[Step]) -> str:
    """Which way the seams of some rows, or of one joining, go: `open`, `toward row 2`, `row 1 all to the left; row 2
    all to the right (seen from the back)`."""
    alike: dict[str, list[str]] = {}
    behind = ""
    for step in steps:
        assert isinstance(step.action, PressSeams)
        way = _to_what(words, step.action)
        if not way:
            way, behind = row_ways(step.action.seams[0]), " (seen from the back)"
        alike.setdefault(way, []).append(called(words.checklist.made(step).thing))
    if len(alike) == 1:
        return next(iter(alike)) + behind
    return "; ".join(f"{listed(own)} {way}" for way, own in alike.items()) + behind


def _to_what(words: Words, action: PressSeams) -> str:
    """`open`, or toward what seams of the quilt go; nothing where they go to a side."""
    seams = action.seams[0]
    if all(seam.toward is None for seam in seams):
        return "open"
    second = seams[0].between[1]
    if second in words.rows:
        return f"toward {called(second) if seams[0].toward == second else 'what was joined before'}"
    toward = dict.fromkeys(TOWARD.get(seam.toward.kind, "") for seam in seams if seam.toward is not None)
    return "" if "" in toward else f"toward the {' or '.join(toward)}"
