"""How cloth is cut along slanting lines, by ticks, and how long edges of what is sewn of it are cut straight."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.exact.geometry import Segment
from tracker.exact.measure import Measure, nearest
from tracker.words.names import FINEST_MARK, Names
from tracker.work.steps import CutApart, Pile
from tracker.work.things import PIECED_STRIP


def finely(names: Names, length: Measure) -> str:
    """A short length to the finest mark of a ruler: `¼ in`, `about 1⁄16 in`, `a thread`."""
    near = nearest(length, FINEST_MARK[names.plan.unit])
    about = "" if near == length else "about "
    return f"{about}{names.length(near)}" if near else "a thread"


def slanting_cut(names: Names, line: Segment) -> str:
    """How a rectangle is cut in two along a line that begins and ends beside its corners."""
    (x, beside), _ = line
    first, second = ("right", "left") if x else ("left", "right")
    lay = "Lay each right side up, not folded, its longer side across."
    if not beside:
        return f"{lay} Cut from the upper {first} corner to the lower {second} one."
    by = finely(names, beside)
    return (
        f"{lay} Tick its short edges {by} below the upper {first} corner and {by} above the lower {second} one; cut "
        "from tick to tick."
    )


def cut_to_a_point(names: Names, rectangle: Pile, lines: Sequence[Segment]) -> str:
    """How a tall triangle is cut from a rectangle, to the middle of one edge."""
    size = rectangle.size
    assert size is not None
    (start, tip), _ = lines
    across = tip[0] == size[0]
    low = start[1] if across else start[0]
    edges = "right edge" if across else "upper edge", "left" if across else "lower"
    way = "its longer side across" if size[0] != size[1] else "the threads upright"
    to = f"both {edges[1]} corners" if not low else f"{finely(names, low)} beside both {edges[1]} corners"
    return (
        f"Lay each right side up, {way}. Tick the middle of its {edges[0]}; cut from there to {to}. The corners cut "
        "off are scraps."
    )


def straightened(made: Pile, cut: CutApart) -> str:
    """What is done there, to begin a title with."""
    if made.thing.of == PIECED_STRIP:
        return "Cut both long edges straight on"
    return "Cut the strip to size on" if len(cut.lines) > 1 else "Cut the long edge straight on"


def straight_text(names: Names, made: Pile, cut: CutApart) -> str:
    """Where the ruler lies. What is cut off may be but a thread."""
    beyond = f"{names.seam()} beyond the points where seams meet it"
    if made.thing.of == PIECED_STRIP:
        return f"Lay the ruler along each long edge, {beyond}, and cut off what stands out, be it but a thread."
    if len(cut.lines) == 1:
        return f"Lay the ruler along the long edge, {beyond}, and cut off what stands out, be it but a thread."
    assert made.size is not None
    return (
        "Cut the strip's ends off, level with the two short edges. Then lay the ruler along the long edge, "
        f"{names.length(made.size[0])} from the square corner along each short edge, and cut it straight."
    )
