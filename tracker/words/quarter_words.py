"""What is said where a nine-patch is cut in four, and where pieces are laid on each other for quarters."""

from __future__ import annotations

from tracker.words.names import Names
from tracker.words.thing_words import each_or_the
from tracker.work.steps import Pair, Size, Step
from tracker.work.things import INNER, NINE_PATCH, PATCHWORK, QUARTER, QUARTER_SQUARE


def is_quarter(names: Names, step: Step) -> bool:
    """Whether a step makes quarters of a nine-patch."""
    return names.checklist.made(step).thing.of == QUARTER


def rows_pinned(made: str, pieced: bool) -> str:
    """What is said where two pieces whose seams meet are laid on each other, to become a nine-patch, a four-patch or a
    quarter-square: `pieced` are both; nothing of what is `made` else."""
    meet = made == NINE_PATCH or (pieced and made in (PATCHWORK, QUARTER_SQUARE))
    return f"{', as drawn' * (made != NINE_PATCH)}; pin where their seams meet" if meet else ""


def pair_check(names: Names, pair: Pair) -> str:
    """What is looked at where two pieces are laid on each other: a square that is larger than the half-square on it
    stands out on two sides."""
    base, laid = names.checklist.piles[pair.base], pair.laid[0]
    apart = names.checklist.piles[laid.pile].thing.of == INNER != base.thing.of and laid.x != laid.y
    if apart:
        return "Right sides are together and two edges level; on the two others the square stands out."
    return "Right sides are together and the edges level."


def quarter_cut(names: Names, step: Step) -> str:
    """Where to cut, and which quarters go into which bag: they show the same."""
    bags = [str(names.checklist.piles[flow.pile].bag) for flow in step.gives]
    far = names.length(_size(names, step)[0])
    return (
        f"Cut {each_or_the(step)} nine-patch through the middle both ways, {far} from its edges, without moving it "
        f"between: 4 quarters. Those from the upper left and the lower right go into bag {bags[0]}, the two others "
        f"into bag {bags[1]}: they look alike, but their seams lie otherwise."
    )


def quarter_check(names: Names, step: Step) -> str:
    """What the quarters must measure."""
    size = names.size(_size(names, step))
    return f"Each is {size}, and the middle patch was cut in four alike."


def _size(names: Names, step: Step) -> Size:
    size = names.checklist.made(step).size
    assert size is not None
    return size
