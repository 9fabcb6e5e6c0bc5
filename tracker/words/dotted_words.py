"""Sentences about diamonds, seams that end at dots, and what is set into the corners between them."""

from __future__ import annotations

from tracker.words.thing_words import plural
from tracker.words.unit_words import UnitNames
from tracker.work.dotted_seams import PressAside, SewToDots
from tracker.work.steps import CutApart, Mark, Step
from tracker.work.things import DIAMOND, DIAMOND_PAIR, HALF_STAR, Kind


def dotted_title(names: UnitNames, step: Step) -> str | None:
    """The step as a short order; None where it has nothing to do with dots or diamonds."""
    made, taken = names.checklist.made(step), names.checklist.taken(step) if step.takes else None
    match step.action:
        case Mark() if _are_dots(names, step) and taken:
            return f"Mark dots on {names.thing(taken, 2)}"
        case CutApart() if made.thing.of == DIAMOND and taken:
            return f"Cut strips into {names.thing(made, 2)}"
        case SewToDots(pieces=pieces) if any(piece.is_set_in for piece in pieces):
            return f"Set {_set_in(names, step.action)} into stars, {names.cloths(made.fabrics)}"
        case SewToDots() if made.thing.of in (DIAMOND_PAIR, HALF_STAR):
            return f"Sew {names.thing(made, 2)}"
        case SewToDots():
            return f"Sew halves to stars, {names.cloths(made.fabrics)}"
        case PressAside() if made.thing.of in (DIAMOND_PAIR, HALF_STAR):
            return f"Press {names.thing(made, 2)}"
        case PressAside():
            sewn = _sewn(names, step)
            what = _set_in(names, sewn) if sewn.pieces[0].is_set_in else "middles"
            return f"Press {what} of stars, {names.cloths(made.fabrics)}"
    return None


def dotted_text(names: UnitNames, step: Step) -> str | None:
    """What to do, in one to five sentences; None where it has nothing to do with dots or diamonds."""
    match step.action:
        case Mark() if _are_dots(names, step):
            return _mark_text(names, step)
        case CutApart() if names.checklist.made(step).thing.of == DIAMOND:
            return _cut_text(names, step, step.action)
        case SewToDots(pieces=pieces) if pieces[0].is_set_in:
            return _set_in_text(names, step.action)
        case SewToDots():
            return _sew_text(names, step)
        case PressAside(cloths=cloths):
            if _sewn(names, step).pieces[0].is_set_in:
                toward = " or ".join(names.fabric(key) for key in dict.fromkeys(cloths))
                return (
                    f"Set the seams, then press each toward the darker of its two cloths, {toward}, from the dot "
                    "outward: beyond the dots nothing holds them."
                )
            text = (
                "Set the seam. Turn the piece over, wrong side up, the middle of the star toward you, and press the "
                "seam to the left."
            )
            if names.checklist.made(step).thing.kind is not Kind.BEGUN:
                return text
            return (
                "Set the seam. Turn the star over, wrong side up. Open the two or three stitches that cross the "
                "allowance in the middle; then press both halves of the seam, each as it runs away from you, to the "
                "left: all eight fan round the middle, and it lies flat."
            )
    return None


def dotted_check(names: UnitNames, step: Step) -> str | None:
    """What to check before going on; None where it has nothing to do with dots or diamonds."""
    match step.action:
        case Mark() if _are_dots(names, step):
            return f"Every dot is {names.seam()} from both edges beside it."
        case CutApart() if names.checklist.made(step).thing.of == DIAMOND:
            return "Its four sides are equal: folded point to point, its edges lie on each other."
        case SewToDots(pieces=pieces) if pieces[0].is_set_in:
            return "From the right side every inner corner is sharp: no hole at the dot, and no pleat."
        case SewToDots():
            left = _on_the_left(names, step.action)
            if left:
                return f"No stitch lies beyond the dot. Opened, the star's middle toward you, {left} lies on the left."
            return "The stitches end at the dot: not one lies beyond it. Beside it both allowances are loose."
        case PressAside():
            if step.size is not None:
                size = names.length(step.size[0])
                return f"Cool and flat, no hill in the middle: {size} both ways before trimming."
            return "Cool and flat, not stretched: half of their edges are on the bias."
    return None


def dotted_line(names: UnitNames, step: Step) -> str | None:
    """The same in few words, for paper."""
    match step.action:
        case Mark() if _are_dots(names, step):
            return f"A dot where the seam lines cross, {names.seam()} from both edges: {_where(names, step)}."
        case CutApart(parts=parts) if names.checklist.made(step).thing.of == DIAMOND:
            each = sum(part.pile is not None for part in parts)
            return f"At 45°, every {_apart(names, step)}: {each} from a strip."
        case SewToDots(pieces=pieces) if pieces[0].is_set_in:
            return "Each from the dot outward, twice; no stitch beyond the dot."
        case SewToDots():
            return "From the middle to the dot; from dot to dot where there are two."
        case PressAside():
            if _sewn(names, step).pieces[0].is_set_in:
                return "Each toward the darker of its cloths."
            return "Seen from the back, the middle toward you: to the left."
    return None


def sewn_verb(action: SewToDots) -> str:
    """What is done, before what comes of it."""
    return "Set pieces into" if action.pieces[0].is_set_in else "Sew"


def _are_dots(names: UnitNames, step: Step) -> bool:
    """Whether seams are to end at what is marked."""
    return any(isinstance(taker.action, SewToDots) for taker in names.takers_of.get(step.gives[0].pile, ()))


def _on_the_left(names: UnitNames, action: SewToDots) -> str:
    """The cloths of the piece that comes to lie on the left, seen from the middle: each is sewn on clockwise. Nothing
    where both pieces are alike, so that it is all one."""
    base, other = (names.checklist.piles[pile] for pile in (action.base, action.pieces[0].pile))
    apart = base.thing.of in (DIAMOND, DIAMOND_PAIR) and base.fabrics != other.fabrics
    return names.cloths(base.fabrics) if apart else ""


def _sewn(names: UnitNames, step: Step) -> SewToDots:
    action = names.maker_of[step.takes[0].pile].action
    assert isinstance(action, SewToDots)
    return action


def _set_in(names: UnitNames, action: SewToDots) -> str:
    """What is set in: `triangles`, `squares`."""
    thing = names.checklist.piles[action.pieces[0].pile].thing
    return plural("square" if thing.kind is Kind.SQUARE else "triangle", 2)


def _where(names: UnitNames, step: Step) -> str:
    thing = names.checklist.taken(step).thing
    if thing.of == DIAMOND:
        return "at both wide corners, none at the points"
    return "in one corner" if thing.kind is Kind.SQUARE else "at the right angle"


def _mark_text(names: UnitNames, step: Step) -> str:
    return (
        f"On the back of each {names.thing(names.checklist.taken(step))}, draw two short lines {names.seam()} from the "
        f"edges, {_where(names, step)}: where they cross is the dot at which the seams end."
    )


def _apart(names: UnitNames, step: Step) -> str:
    """How far apart the slanting cuts are: as far as the strip is wide."""
    size = names.checklist.taken(step).size
    assert size is not None
    return names.length(min(size), about=False)


def _cut_text(names: UnitNames, step: Step, cut: CutApart) -> str:
    each = sum(part.pile is not None for part in cut.parts)
    return (
        "Lay the ruler's 45° line along the strip's long edge and cut its end off on the slant. Then cut parallel to "
        f"that every {_apart(names, step)}, as far apart as the strip is wide: {each} from each strip. Check the 45° "
        "line after every two cuts."
    )


def _sew_text(names: UnitNames, step: Step) -> str:
    thing = names.checklist.made(step).thing
    drawn = ", as drawn" if isinstance(step.action, SewToDots) and _on_the_left(names, step.action) else ""
    begin = f"Lay one on the other{drawn}, right sides together, edges level, and put a pin through the dots of both."
    if thing.of == DIAMOND_PAIR:
        return (
            f"{begin} Sew {names.seam()} from the edge, from the sharp point at the middle to the dot; stop there with "
            "the needle down, and go back two stitches."
        )
    if thing.of == HALF_STAR:
        return (
            f"{begin} Put another through the points that meet in the middle. Sew {names.seam()}, from the edge at the "
            "middle to the dot; stop there, and go back two stitches."
        )
    return (
        f"{begin} Pin the middle, where the seams lie against each other, allowances opposite ways. Sew "
        f"{names.seam()}, from dot to dot, back two stitches at both."
    )


def _set_in_text(names: UnitNames, action: SewToDots) -> str:
    what = _set_in(names, action)[:-1]
    return (
        f"Each {what}, as drawn: lay it on one diamond, right sides together, edges level, its dot on the end of the "
        f"seam between the diamonds. Sew {names.seam()} from the dot outward, the first two stitches twice. Fold the "
        "star out of the way, lay the other edge on the other diamond, and sew that from the dot outward too."
    )
