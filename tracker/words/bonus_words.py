"""What is said of corners that are sewn a second time before they are cut off: each gives a small half-square."""

from __future__ import annotations

from tracker.exact.geometry import Segment
from tracker.units.recipes.corners import bonus_trimmed
from tracker.words.names import Names
from tracker.words.thing_words import listed
from tracker.work.steps import CutApart, Mark, Pair, Sew, Step
from tracker.work.things import BONUS

ON_THE_SECOND = " Then sew on each second line."


def mark_check(step: Step) -> str:
    """What to check of pencil lines."""
    return f"{'The first' if _is_beside(step) else 'Each'} line runs exactly into the corners."


def _is_beside(step: Step) -> bool:
    """Whether a step marks a second line beside the diagonal, not across it."""
    lines = step.action.lines if isinstance(step.action, Mark) else ()
    return len(lines) == 2 and lines[1][0][1] < lines[1][1][1]


def flip_check(corners: int, marked: Step) -> str:
    """What to check of squares laid on corners; `marked` is the step that drew their lines."""
    first, second = (" first", ", the second nearer the corner") if _is_beside(marked) else ("", "")
    which, its = ("each", "its") if corners > 1 else ("the", "the")
    return f"Right sides together, edges level, {which}{first} line across {its} corner, not into it{second}."


def second_line(names: Names, lines: tuple[Segment, ...]) -> str:
    """What is said of two pencil lines after the first: crossing it, or beside it."""
    if len(lines) < 2:
        return ""
    (_, above), (_, below) = lines[1]
    if above > below:
        return ", both ways"
    beside = names.length(2 * names.plan.seam)
    return f", and a second line {beside} beside it, on the side of the corner that will be cut off"


def sewn_twice(pair: Pair | None, sew: Sew) -> bool:
    """Whether flipped corners are sewn a second time."""
    return pair is not None and len(sew.lines) == 2 * len(pair.laid)


def is_bonus(names: Names, cut: CutApart) -> bool:
    """Whether what is cut off is kept as half-squares."""
    return any(part.pile and names.checklist.piles[part.pile].thing.of == BONUS for part in cut.parts)


def bonus_text(names: Names, pair: Pair | None) -> str:
    """How the corners are cut off, and what their half-squares come to."""
    sizes = [names.checklist.piles[laid.pile].size for laid in pair.laid] if pair is not None else []
    sides = {size[0]: trimmed for size in sizes if size and (trimmed := bonus_trimmed(names.plan, size[0]))}
    said = [
        f"pressed it can be trimmed to {names.length(trimmed)}, which finishes "
        f"{names.length(trimmed - 2 * names.plan.seam)}"
        for trimmed in sides.values()
    ]
    corners = f"the {len(sizes)} corners" if len(sizes) > 1 else "the corner"
    each = "Each piece" if len(sizes) > 1 else "The piece"
    return (
        f"Cut off {corners} midway between the two seams, {names.seam()} from each. {each} cut off is a bonus "
        f"half-square, a spare that nothing here needs: {listed(said)}."
    )
