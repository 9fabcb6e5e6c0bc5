"""What may have gone wrong at a step, and whether to keep, press again, unpick or make anew what lies there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracker.words.names import Names
from tracker.work.dotted_seams import SewToDots
from tracker.work.steps import Join, LayOut, Sew, Step
from tracker.work.things import Stage
from tracker.work.whole_blocks import Bind, CutLengths, JoinEnds, Layer, MitreCorners, QuiltLayers, SetBlock

KEEP, PRESS, UNPICK, REMAKE = "Keep it", "Press again", "Unpick it", "Make it anew"
"""What is done about a mistake."""


@dataclass(frozen=True)
class Mistake:
    """One thing that goes wrong, what is done about it (one of four), and how."""

    what: str
    do: str
    how: str


def mistakes(names: Names, step: Step) -> list[Mistake]:
    """What goes wrong at a step, the most usual first. Common practice."""
    made, taken = names.checklist.made(step), names.checklist.taken(step) if step.takes else None
    if made.thing.of_the_quilt and (own := _of_the_quilt(step)):
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
            return list(_paired())
        case "sew" if isinstance(step.action, Sew):
            return list(_sewn(len(step.action.lines)))
        case "cut apart":
            return list(_cut_apart())
        case "press":
            return list(_pressed(made.block is not None or made.thing.of_the_quilt))
        case "trim" if made.block is None and not made.thing.of_the_quilt:
            return list(_trimmed())
        case "lay out":
            return list(_laid_out(isinstance(step.action, SetBlock)))
        case "pin":
            return [Mistake("Seams do not meet at a pin", KEEP, "Take the pins out and pin anew; nothing is sewn yet.")]
        case "join" | "sew" | "bind":
            row = isinstance(step.action, Join) and taken is not None and taken.stage is Stage.LAID_OUT
            return list(_joined(row))
        case "begin seam" | "sew round" | "close seam":
            return list(_round(step.operation))
        case "sew to dots" | "set in":
            return list(_dotted(step.operation == "set in"))
        case "add strip":
            return list(_strips())
        case "trim" | "square" | "measure":
            return list(_squared())
    return []


def _ends_seams(names: Names, step: Step) -> bool:
    """Whether what is marked are dots at which seams end."""
    made = step.gives[0].pile
    taking = (each for each in names.checklist.steps if isinstance(each.action, SewToDots))
    return any(flow.pile == made for each in taking for flow in each.takes)


_TOO_SHORT = Mistake(
    "Cut too short",
    REMAKE,
    "Count it as spoiled and cut another. Joined to what is left over, a strip serves too: "
    "its join does not show in a border.",
)

_OF_THE_QUILT: dict[type, tuple[Mistake, ...]] = {
    CutLengths: (Mistake("Cut too long", KEEP, "Cut it again, to what the top measures."), _TOO_SHORT),
    JoinEnds: (
        Mistake(
            "Two strips joined with their wrong sides mixed up", UNPICK, "Unpick that join; right sides lie together."
        ),
        Mistake(
            "The strip has a step at a join",
            UNPICK,
            "Unpick that join and shift one end, until the edges run on in one line.",
        ),
    ),
    MitreCorners: (
        Mistake(
            "A pucker or a hole at the inner point",
            UNPICK,
            "Unpick the corner's last few stitches there, and those of a border's seam that run past the "
            "point: three seams end in it, none goes over it.",
        ),
        Mistake(
            "The corner stands up, or its edges are not square",
            UNPICK,
            "Unpick that corner and draw its line anew with the ruler's 45 degree line. Cut nothing before.",
        ),
    ),
    Layer: (
        Mistake(
            "The backing lies in folds, or askew",
            KEEP,
            "Take the pins out from the middle on, smooth it, and pin it anew.",
        ),
        Mistake(
            "The backing does not reach all round",
            KEEP,
            "Move the top. If it still falls short, sew a strip to the backing first.",
        ),
    ),
    QuiltLayers: (
        Mistake(
            "A fold sewn in on the back",
            UNPICK,
            "Unpick that line a hand's breadth on both sides of the fold, smooth it out, and sew it again.",
        ),
        Mistake(
            "Stitches skipped, or loops on the back",
            UNPICK,
            "Unpick that line; a new needle, thread the machine anew, try it on scraps.",
        ),
    ),
    Bind: (
        Mistake(
            "The ends do not meet",
            UNPICK,
            "Unpick a hand's breadth on both sides, and join the ends once more. Too short: join in a piece.",
        ),
        Mistake(
            "A corner is round",
            UNPICK,
            "Unpick it on both sides of the corner and fold it anew; stop the seam its own width before the edge.",
        ),
        Mistake(
            "It did not catch the edge on the back",
            UNPICK,
            "Unpick that place, draw the binding further round, and sew it again.",
        ),
    ),
}
"""What goes wrong only with the whole quilt and its strips, by the kind of action."""

_TRIMMED_STRIPS = (
    _TOO_SHORT,
    Mistake(
        "The two strips are unequal",
        KEEP,
        "Both are what the top measures through its middle: cut the longer, or make the shorter anew.",
    ),
)


def _of_the_quilt(step: Step) -> list[Mistake]:
    """What goes wrong only with the whole quilt and its strips; nothing for steps that blocks have too."""
    found = _TRIMMED_STRIPS if step.operation == "trim" else ()
    return list(_OF_THE_QUILT.get(type(step.action), found))


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


def _paired() -> Iterator[Mistake]:
    yield Mistake(
        "Wrong cloths, or not right sides together", KEEP, "Part them and pair them anew; nothing is sewn yet."
    )
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


def _cut_apart() -> Iterator[Mistake]:
    yield Mistake(
        "Cut through the wrong line",
        REMAKE,
        "Where a seam is cut, the pair is lost: count its pieces as spoiled. Beside the line, "
        "with most of the seam's allowance left, it will do.",
    )
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


def _laid_out(whole: bool) -> Iterator[Mistake]:
    what = "block" if whole else "piece"
    yield Mistake(
        f"A {what} turned, or two swapped",
        KEEP,
        "Turn it, or swap them: no seam holds them yet. Sewn already: unpick the seams beside it,"
        " at the step that sewed them.",
    )
    if not whole:
        yield Mistake(
            "Two rows swapped",
            KEEP,
            "Lay them in order; sewn already: unpick the seam between them at the step that sewed it.",
        )


def _joined(row: bool) -> Iterator[Mistake]:
    if row:
        yield Mistake(
            "A piece is turned", UNPICK, "Unpick only the seams on both sides of it, turn it, and sew them again."
        )
    yield Mistake(
        "Two rows swapped, or the wrong edge sewn" if not row else "Two pieces swapped",
        UNPICK,
        "Unpick that seam, from the wrong side, every third stitch; do not pull.",
    )
    yield Mistake(
        "Seams do not meet",
        UNPICK,
        "Off by more than a thread's width that you can see: open the seam a hand's breadth round"
        " that place, pin it, and sew it again. That needs no counting.",
    )
    yield Mistake(
        "The seam is too wide or too narrow", UNPICK, "Sew it again only if the piece measures wrong, pressed and cool."
    )


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
    yield from _joined(row=False)


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
