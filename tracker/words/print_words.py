"""How a cloth with a direction is cut, and how its pieces are laid, so that its print stands as it should."""

from __future__ import annotations

from tracker.quilt.cloth_cutting import BLOCK_USES, standing_of
from tracker.words.apart_names import PRINT_POINTS
from tracker.words.names import Names
from tracker.work.steps import Cut, Step


def cut_by_print(names: Names, step: Step, cut: Cut) -> str:
    """How the print of a cloth with a direction lies in what is cut, behind the words `of this size`: nothing where the
    cloth has no direction, or a square may be laid as it comes."""
    if not names.plan.fabrics[cut.fabric].directional:
        return ""
    if cut.width == cut.height:
        way = names.print_way(cut)
        return way and f", and lay them with the print pointing {PRINT_POINTS[cut.prints[0]]}, as drawn"
    if cut.use not in BLOCK_USES:
        return ", the cloth's upper end above as drawn"
    along = standing_of(names.checklist, step)
    if 0 < along < step.count:
        return f": {along} with the print along their longer side, {step.count - along} with it across"
    return f", the print {'along the longer side' if along else 'across, from one long side to the other'}, as drawn"
