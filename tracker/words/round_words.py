"""Sentences about a seam that is begun, left open and closed at the end, and what is sewn round a middle meanwhile."""

from __future__ import annotations

from tracker.exact.measure import Measure
from tracker.words.names import Names
from tracker.words.seam_words import pinned_where
from tracker.work.partial_seams import EDGES_ROUND, BeginSeam, PartialSeams, SewArm
from tracker.work.steps import Step
from tracker.work.things import Thing

ONTO = {"top": "upper", "right": "right", "bottom": "lower", "left": "left"}


def begun_before(names: Names, step: Step) -> BeginSeam:
    """The step that began the seam which a step leaves open, or closes, or presses."""
    made = step
    while not isinstance(made.action, BeginSeam):
        made = names.maker_of[made.action.base if isinstance(made.action, SewArm) else made.takes[0].pile]
    return made.action


def first_arm(names: Names, step: Step) -> str:
    """What the seam was begun with, as people say it."""
    return names.part(step.per, _thing(names, begun_before(names, step).arm))


def _thing(names: Names, pile: str) -> Thing:
    return names.checklist.piles[pile].thing


def round_title(names: Names, step: Step, block: str = "") -> str:
    """`Begin the first seam of Hope`, `Sew the brick rectangle at the upper right to Hope`; on the block's own sheet it
    is not named."""
    of, to = (f" of {block}", f" to {block}") if block else ("", "")
    match step.action:
        case BeginSeam():
            return f"Begin the first seam{of}"
        case SewArm(arm=arm):
            return f"Sew {'' if block else 'on '}{names.part(step.per, _thing(names, arm))}{to}"
    return f"Close the first seam{of}"


def round_press_title(names: Names, step: Step, block: str = "") -> str:
    """What is pressed after one of them, by which seam it is."""
    of = f" of {block}" if block else ""
    match names.maker_of[step.takes[0].pile].action:
        case BeginSeam():
            return f"Press the begun seam{of}"
        case SewArm(arm=arm):
            return f"Press the seam of {names.part(step.per, _thing(names, arm))}{of}"
    return f"Press the closed seam{of}"


def round_text(names: Names, step: Step, action: PartialSeams) -> str:
    """What to do, in two to four sentences."""
    match action:
        case BeginSeam(arm=arm, level=level, sewn=sewn):
            other = "left" if level == "right" else "right"
            met = pinned_where(names, action.nests, "down")
            return (
                f"Lay {names.part(step.per, _thing(names, arm))} on the upper edge of the middle, right sides "
                f"together, {level} ends level; its {other} end stands out.{met} From the level end sew "
                f"{names.length(sewn)}, then back two stitches. Leave the rest open."
            )
        case SewArm(arm=arm, edge=edge):
            way = "down" if edge == "bottom" else "across"
            last = edge == EDGES_ROUND[begun_before(names, step).level][3]
            kept = f" Fold {first_arm(names, step)} well out of the way." if last else ""
            return (
                f"Lay {names.part(step.per, _thing(names, arm))} on the {ONTO[edge]} edge of what is sewn, right sides "
                f"together, edges level.{kept}{pinned_where(names, action.nests, way)} Sew from end to end, "
                f"{names.seam()}."
            )
    return (
        f"Fold {first_arm(names, step)} over the edge that is still open, right sides together, edges level."
        f"{pinned_where(names, action.nests, 'down')} Begin three stitches before the old ones end, on the same line, "
        f"and sew to the outer edge, {names.seam()}."
    )


def round_check(names: Names, step: Step, action: PartialSeams) -> str:
    """What to check before going on."""
    match action:
        case BeginSeam(level=level, sewn=sewn):
            return f"The stitches end {names.length(sewn)} from the {level} edge; all the rest is open."
        case SewArm():
            return f"Edges level, the seam {names.seam()} from end to end. The open part is not caught in it."
    return "From the right side: where old and new stitches meet there is no gap and no step."


def round_press_check(names: Names, step: Step) -> str:
    """What one pressed seam more must measure, while the first is open; nothing when all are sewn."""
    maker, size = names.maker_of[step.takes[0].pile].action, names.checklist.made(step).size
    if size is None or not isinstance(maker, BeginSeam | SewArm):
        return ""
    if isinstance(maker, BeginSeam):
        return _measured(names, "from the upper edge to the middle's lower edge", size[1])
    order = EDGES_ROUND[begun_before(names, step).level]
    place = order.index(maker.edge)
    where = ("", "along the upper edge", f"down the {order[1]} edge", "along the lower edge")[place]
    return _measured(names, where, size[1] if place == 2 else size[0])


def _measured(names: Names, where: str, length: Measure) -> str:
    return f"Cool and flat: {names.length(length)} {where}. If it is not, unpick now rather than at the end."


def round_line(names: Names, step: Step, action: PartialSeams) -> str:
    """The same in a few words, for paper."""
    match action:
        case BeginSeam(level=level, sewn=sewn):
            return f"From the {level} end sew {names.length(sewn)}, then back two stitches. The rest stays open."
        case SewArm():
            return "The open part is not caught."
    return "From before the old stitches' end to the outer edge."
