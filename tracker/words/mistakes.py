"""What may have gone wrong at a step, and whether to keep, press again, unpick or make anew what lies there."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.words.names import Names
from tracker.words.quilt_mistakes import KEEP, NOT_MET, PRESS, REMAKE, UNPICK, WRONG_SEAM, Mistake, quilt_mistakes
from tracker.work.dotted_seams import SewToDots
from tracker.work.steps import CutApart, Join, LayOut, Pair, Sew, Step
from tracker.work.things import Stage
from tracker.work.whole_blocks import SetBlock


def mistakes(names: Names, step: Step) -> list[Mistake]:
    """What goes wrong at a step, the most usual first. Common practice."""
    made, taken = names.checklist.made(step), names.checklist.taken(step) if step.takes else None
    if made.thing.of_the_quilt and (own := quilt_mistakes(names.plan, step, made.thing)):
        return own
    match step.operation:
        case "cut":
            return list(_cut())
        case "mark" if _ends_seams(names, step):
            how = "Rub it out and draw it anew, measured from both edges: a corner is set in true only where dots meet."
            return [Mistake("A dot out of place, or on the right side", KEEP, how)]
        case "mark":
            return list(_marked(taken is not None and not taken.thing.is_patch))
        case "pair" if isinstance(step.action, LayOut):
            return [Mistake("Strips in the wrong order", KEEP, "Lay them anew; nothing is sewn yet.")]
        case "pair":
            return list(_paired(_has_seams(names, step)))
        case "sew" if isinstance(step.action, Sew):
            return list(_sewn(len(step.action.lines)))
        case "cut apart" | "trim" if isinstance(step.action, CutApart):
            return list(_cut_apart(names, step, step.action))
        case "press":
            return list(_pressed(made.block is not None or made.thing.of_the_quilt))
        case "trim" if made.block is None and not made.thing.of_the_quilt:
            return list(_trimmed())
        case "lay out":
            return list(_laid_out(step))
        case "pin":
            return [Mistake("Seams do not meet at a pin", KEEP, "Take the pins out and pin anew; nothing is sewn yet.")]
        case "join" | "sew" | "bind":
            row = isinstance(step.action, Join) and taken is not None and taken.stage is Stage.LAID_OUT
            strips = taken is not None and taken.stage is Stage.SET_OUT
            return list(_joined("strip" if strips else "piece" if row else ""))
        case "begin seam" | "sew round" | "close seam":
            return list(_round(step.operation))
        case "sew to dots" | "set in":
            return list(_dotted(step.operation == "set in"))
        case "add strip":
            return list(_strips())
        case "measure":
            return list(_measured())
        case "trim" | "square":
            return list(_squared())
    return []


def _ends_seams(names: Names, step: Step) -> bool:
    """Whether what is marked are dots at which seams end."""
    made = step.gives[0].pile
    taking = (each for each in names.checklist.steps if isinstance(each.action, SewToDots))
    return any(flow.pile == made for each in taking for flow in each.takes)


def _has_seams(names: Names, step: Step) -> bool:
    """Whether all pieces that are laid on each other are pieced, so that seams of theirs meet."""
    assert isinstance(step.action, Pair)
    piles = (names.checklist.piles[pile] for pile in (step.action.base, *(laid.pile for laid in step.action.laid)))
    return all(not pile.thing.is_patch and len(pile.fabrics) > 1 for pile in piles)


def _cut() -> Iterator[Mistake]:
    yield Mistake(
        "The wrong number", KEEP, "Set the exact number. What is too much is a spare: the next block or loss takes it."
    )
    yield Mistake("Too large, or not square", KEEP, "Cut it down to size; there is nothing to count.")
    yield Mistake("Too small", REMAKE, "Keep it for a smaller piece, count it as spoiled, and cut another.")
    yield Mistake(
        "From the wrong cloth", REMAKE, "Lay it with that cloth's scraps, count it as spoiled, and cut another."
    )


def _marked(pieced: bool) -> Iterator[Mistake]:
    dark = "It serves as long as you see the line while you sew. If not, draw it on the other square of the pair."
    yield Mistake("Marked the dark side", KEEP, dark)
    yield Mistake(
        "Marked the right side",
        KEEP,
        "A line that is cut on stays in the seam. One that is sewn on may show: rub it out, and draw it on the back.",
    )
    how = "Draw it anew, across the seam." if pieced else "Draw it anew; of a square either diagonal will do."
    yield Mistake("The line is crooked, or runs the wrong way", KEEP, how)


def _paired(seams: bool) -> Iterator[Mistake]:
    yield Mistake(
        "Wrong cloths, or not right sides together", KEEP, "Part them and pair them anew; nothing is sewn yet."
    )
    if seams:
        yield Mistake("Seams lie the same way and do not lock", KEEP, "Turn one of the two half round.")


def _sewn(lines: int) -> Iterator[Mistake]:
    if lines > 1:
        yield Mistake(
            "Sewed one side only",
            KEEP,
            "Do not cut yet: feed the chain through again and sew the other side of the line.",
        )
    yield Mistake(
        "The seam is too wide, too narrow or beside its line",
        UNPICK,
        "Unpick it and sew it again; then test the seam before you go on.",
    )
    yield Mistake("Sewed the wrong two together", UNPICK, "Unpick them: squares that are not cut yet are whole.")


def _cut_apart(names: Names, step: Step, cut: CutApart) -> Iterator[Mistake]:
    """What goes wrong where patches are cut into triangles, strip sets across, corners off, or sewn pairs apart."""
    if names.checklist.taken(step).stage is Stage.CUT:
        yield Mistake(
            "The cut ran beside a corner",
            REMAKE,
            "A thread beside it will do where it is trimmed later. More: count its pieces as spoiled, and cut another.",
        )
    elif step.size is not None:
        yield Mistake(
            "A slice is too narrow, or not square to its seams",
            REMAKE,
            "Count it as spoiled. Square the end anew, a line of the ruler on a seam, and cut another from the rest.",
        )
        yield Mistake("A slice is too wide", KEEP, "Cut it down to size; there is nothing to count.")
    elif any(part.pile is None for part in cut.parts):
        yield Mistake(
            "Trimmed on the wrong side of the seam, or too close to it",
            REMAKE,
            "With most of the seam's allowance left it will do. With less it comes undone: count it as spoiled.",
        )
    else:
        yield from _pairs_cut(names, step)


def _pairs_cut(names: Names, step: Step) -> Iterator[Mistake]:
    yield Mistake(
        "Cut through the wrong line",
        REMAKE,
        "Where a seam is cut, the pair is lost: count its pieces as spoiled. Beside the line, "
        "with most of the seam's allowance left, it will do.",
    )
    sewn = names.maker_of.get(step.takes[0].pile)
    if sewn is not None and isinstance(sewn.action, Sew) and len(sewn.action.lines) > 1:
        yield Mistake(
            "Cut before the second side was sewn",
            KEEP,
            "Lay the two loose triangles right sides together and sew along their long edge: it comes to the same.",
        )


def _pressed(of_block: bool) -> Iterator[Mistake]:
    again = "Press the seam closed first, as it was sewn, then to the other side. Nothing is unpicked."
    if of_block:
        again += (
            " Sewn on already: press it over from the back, as far as the next seam lets you; where "
            "it cannot turn, let it lie, and pin that place well."
        )
    yield Mistake("Pressed the wrong way", PRESS, again)
    yield Mistake(
        "Stretched, or measured while warm",
        PRESS,
        "Press it again, lift and lower, let it cool flat, then measure. If it still is off: the "
        "seam, see “Measures wrong”.",
    )


def _trimmed() -> Iterator[Mistake]:
    yield Mistake(
        "The seam was off the ruler's diagonal",
        REMAKE,
        "Is it still as large as it should be, or larger? Lay the lines anew and trim it again. "
        "Smaller: count it as spoiled.",
    )
    yield Mistake(
        "Trimmed too small", REMAKE, "A small unit makes the whole block small: count it as spoiled, and make another."
    )
    yield Mistake("Trimmed too large", KEEP, "Trim it again; there is nothing to count.")


def _laid_out(step: Step) -> Iterator[Mistake]:
    """Blocks in their places, or the pieces of one: one alone, or several, in rows."""
    places = step.action.places if isinstance(step.action, LayOut) else ()
    what, alone = "block" if isinstance(step.action, SetBlock) else "piece", len(places) == 1
    yield Mistake(
        f"The {what} is turned" if alone else f"A {what} turned, or two swapped",
        KEEP,
        f"Turn it{'' if alone else ', or swap them'}: no seam holds {'it' if alone else 'them'} yet. Sewn already: "
        "unpick the seams beside it, at the step that sewed them.",
    )
    if len({place.row for place in places}) > 1:
        yield Mistake(
            "Two rows swapped",
            KEEP,
            "Lay them in order; sewn already: unpick the seam between them at the step that sewed it.",
        )


def _joined(what: str) -> Iterator[Mistake]:
    """`what` is sewn in a row to others of its kind: a `piece`, a `strip`; nothing where two parts are joined."""
    if what == "piece":
        yield Mistake(
            "A piece is turned", UNPICK, "Unpick only the seams on both sides of it, turn it, and sew them again."
        )
    yield Mistake(
        f"Two {what}s swapped" if what else "The wrong edge sewn, or two parts swapped",
        UNPICK,
        "Unpick that seam, from the wrong side, every third stitch; do not pull.",
    )
    if what != "strip":
        yield NOT_MET
    yield WRONG_SEAM


def _round(operation: str) -> Iterator[Mistake]:
    if operation == "begin seam":
        yield Mistake(
            "Sewn too far, or all the way", UNPICK,
            "Unpick from the far end to the mark: the last piece has to lie free of this seam.",
        )  # fmt: skip
        yield Mistake(
            "Sewn from the wrong end", UNPICK,
            "Unpick it. The end that is level is sewn, the one that stands out is open.",
        )  # fmt: skip
        return
    if operation == "sew round":
        yield Mistake(
            "The open piece is caught in the seam", UNPICK,
            "Unpick as far as it is caught, fold it well away and sew that part anew.",
        )  # fmt: skip
    else:
        yield Mistake(
            "A pucker or a hole where the stitches meet", UNPICK,
            "Unpick a thumb's width to both sides, lay the edges level and sew on the old line, over the old ends.",
        )  # fmt: skip
    yield from _joined("")


def _dotted(set_in: bool) -> Iterator[Mistake]:
    yield Mistake(
        "Stitches run past the dot",
        UNPICK,
        "Unpick back to the dot and fasten the last two stitches: else nothing turns the corner there.",
    )
    yield Mistake("They stop short of the dot", KEEP, "Begin three stitches before they end, and sew on to the dot.")
    if set_in:
        yield Mistake(
            "A pucker or a hole at the dot",
            UNPICK,
            "Unpick a thumb's width on both sides of the dot; sew each anew from the dot outward, all other allowances "
            "folded away.",
        )


def _strips() -> Iterator[Mistake]:
    yield Mistake(
        "The two strips are unequal",
        UNPICK,
        "Unpick the longer, cut it to the other's length, pin ends and middle, and ease it on.",
    )
    yield Mistake(
        "A strip is too short", REMAKE, "Unpick it, count it as spoiled, and cut another; never pull it to fit."
    )
    yield Mistake(
        "The edge waves",
        UNPICK,
        "The strip is longer than the middle of the block: unpick it, cut both to what the middle"
        " measures, ease the edge to the strip.",
    )


def _measured() -> Iterator[Mistake]:
    yield Mistake(
        "Measured while warm, pulled, or beside a fold",
        PRESS,
        "Press it, let it cool flat, smooth it without pulling, and measure all six places again.",
    )
    yield Mistake(
        "One row or column is short, the rest is right",
        UNPICK,
        "Measure its pieces one by one: the seam that is too wide is sewn again, a unit that is too small made anew.",
    )


def _squared() -> Iterator[Mistake]:
    yield Mistake(
        "Trimmed too small",
        KEEP,
        "Do not cut again. See “Measures wrong”: a block a little small can be eased, or all are squared to one size.",
    )
    yield Mistake("Too large, or not square", KEEP, "Square it again; there is nothing to count.")
    yield Mistake(
        "Cut off a point",
        REMAKE,
        "Up to 1/16 in (0.15 cm) is allowed. More: take the seam beside it narrower, or make that piece anew.",
    )
