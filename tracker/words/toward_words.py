"""What the seam of a unit is pressed toward, as one sees it."""

from __future__ import annotations

from tracker.words.names import Names
from tracker.words.seam_words import EITHER
from tracker.words.thing_words import spoken
from tracker.work.steps import Pair, Pile, Press
from tracker.work.things import PART_ON_POINT, Kind, Stage


def upper_cloth(names: Names, press: Press, pair: Pair) -> str:
    """What a seam goes toward, as one sees it: its cloth; where that is pieced, which half, and by which mark where
    both halves are of the same cloths."""
    cloths = names.cloths(press.cloths)
    if len(pair.laid) > 1:
        on_triangles = press.toward == "laid" and names.checklist.piles[pair.laid[0].pile].thing.kind is Kind.TRIANGLE
        return f"the {' and '.join(map(names.fabric, press.cloths))} triangles" if on_triangles else cloths
    laid, base = names.checklist.piles[pair.laid[0].pile], names.checklist.piles[pair.base]
    toward = laid if press.toward == "laid" else base
    if len(press.cloths) == 1 and not (toward.thing.of == PART_ON_POINT and laid.fabrics != base.fabrics):
        return _side_of_cloth(names, press, laid, base)
    if PART_ON_POINT in (laid.thing.of, base.thing.of):
        return "the part that lay below" if press.toward == "base" else "the part that was laid on it"
    if set(laid.fabrics) != set(base.fabrics):
        return f"the half of {cloths}"
    if laid.stage is not Stage.MARKED:
        return EITHER
    return f"the half of {cloths} {'without' if press.toward == 'base' else 'with'} the pencil line"


def _side_of_cloth(names: Names, press: Press, laid: Pile, base: Pile) -> str:
    """The cloth that a seam goes toward; where both pieces have it, which of them."""
    cloth = names.cloths(press.cloths)
    if not all(set(press.cloths) <= set(piece.fabrics) for piece in (laid, base)):
        return cloth
    toward = laid if press.toward == "laid" else base
    if len(toward.fabrics) > 1 and set(laid.fabrics) != set(base.fabrics):
        return f"the {spoken(toward.thing)}, {names.cloths(toward.fabrics)}"
    if len(toward.fabrics) > 1:
        return f"the piece that is {cloth} along the seam"
    # Of squares that were sewn along a line and cut there triangles are left.
    marked = Stage.MARKED in (laid.stage, base.stage)
    return f"the {cloth} {'triangle' if marked and toward.thing.is_patch else spoken(toward.thing)}"
