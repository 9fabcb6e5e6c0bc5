"""What the steps are called that make units."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.words.slanting_words import straightened
from tracker.words.thing_words import ROUNDS, listed
from tracker.words.unit_words import POINTED, UnitNames
from tracker.work.steps import CutApart, LayOut, Mark, Step
from tracker.work.things import Stage


def verbs(steps: Sequence[Step]) -> str:
    """What is done in some steps: `Pair and sew`."""
    first, *others = dict.fromkeys(step.operation for step in steps)
    return listed([first.capitalize(), *others])


def unit_title(names: UnitNames, step: Step, after: Sequence[Step] = ()) -> str:
    """`Trim half-square triangles, rust / pale sand`, `Trim the inner square, rust / pale sand` where there is one;
    with what is done right `after`, `Pair and sew ...`."""
    made = names.checklist.made(step)
    taken = names.checklist.taken(step) if step.takes else made
    match step.action:
        case Mark():
            return f"Mark {names.worked_on(step, taken)}"
        case LayOut():
            return f"Set out strips for {names.worked_on(step, made)}"
        case CutApart() if step.size:
            return f"Cut across {names.worked_on(step, taken)}"
        case CutApart(lines=lines) if taken.stage is Stage.CUT:
            return f"Cut {names.worked_on(step, taken)}, {'once' if len(lines) == 1 else 'twice'}"
        case CutApart():
            return f"{cut_verb(names, step, step.action)} {names.worked_on(step, taken)}"
    return f"{verbs([step, *after])} {names.worked_on(step, made)}"


def cut_verb(names: UnitNames, step: Step, cut: CutApart) -> str:
    """What is done where something sewn is cut: `Cut apart`, `Trim corners off`, `Cut the long edge straight on`."""
    made, off = names.checklist.made(step), sum(part.pile is None for part in cut.parts)
    if made.stage is Stage.LEVEL:
        return straightened(made, cut)
    if not off:
        return "Cut apart"
    if made.thing.of in POINTED:
        return "Trim the ear off"
    if made.thing.of in ROUNDS:
        return "Trim ears off"
    return f"Trim {'the corner' if off == names.pieces_of(step, made) == 1 else 'corners'} off"
