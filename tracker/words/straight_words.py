"""What is said where the long edges of pieced triangles and strips are cut straight."""

from __future__ import annotations

from tracker.words.names import Names
from tracker.work.steps import CutApart, Pile
from tracker.work.things import PIECED_STRIP


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
