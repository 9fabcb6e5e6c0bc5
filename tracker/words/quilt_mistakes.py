"""What goes wrong with the whole quilt: its rows, borders, layers and binding; and what a mistake is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tracker.plan.model import Plan
from tracker.work.steps import AddStrips, Step
from tracker.work.things import Kind, Thing
from tracker.work.whole_blocks import (
    AddBorder,
    Bind,
    ClipEars,
    CutLengths,
    JoinEnds,
    JoinParts,
    JoinUnits,
    Layer,
    MitreCorners,
    QuiltLayers,
)

KEEP, PRESS, UNPICK, REMAKE = "Keep it", "Press again", "Unpick it", "Make it anew"
"""What is done about a mistake."""


@dataclass(frozen=True)
class Mistake:
    """One thing that goes wrong, what is done about it (one of four), and how."""

    what: str
    do: str
    how: str


_TOO_SHORT = Mistake(
    "Cut too short",
    REMAKE,
    "Count it as spoiled and cut another. Joined to what is left over, a strip serves too: "
    "its join does not show in a border.",
)

WRONG_SEAM = Mistake(
    "The seam is too wide or too narrow", UNPICK, "Sew it again only if the piece measures wrong, pressed and cool."
)

NOT_MET = Mistake(
    "Seams do not meet",
    UNPICK,
    "Off by more than a thread's width that you can see: open the seam a hand's breadth round"
    " that place, pin it, and sew it again. That needs no counting.",
)

_OF_THE_QUILT: dict[type, tuple[Mistake, ...]] = {
    JoinUnits: (
        Mistake(
            "A unit is turned, or two swapped",
            UNPICK,
            "Unpick only the seams on both sides of it, lay it as drawn, and sew them again.",
        ),
        WRONG_SEAM,
    ),
    ClipEars: (
        Mistake(
            "Points were left standing",
            KEEP,
            "Lay the ruler on the edges of the blocks, and cut again; there is nothing to count.",
        ),
        Mistake(
            "Cut into a block",
            KEEP,
            "A thread or two: sew the next seam so much narrower there. More: unpick that block from its row, and "
            "make it anew.",
        ),
    ),
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
            "Unpick that corner and draw its line anew with the ruler's 45° line. Cut nothing before.",
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
        "Both are as long as the top measures on average: cut the longer, or make the shorter anew.",
    ),
)

_MARKED_STRIPS = (
    Mistake(
        "The marks do not lie alike",
        KEEP,
        "Rub them out and measure anew from the middle of each strip: half of the average to each side.",
    ),
    replace(_TOO_SHORT, what="A strip is too short"),
)

_MITRED = (
    Mistake(
        "The seam runs past a corner of the top, or stops before it",
        UNPICK,
        "Past it: unpick back to a seam's width from the corner and fasten the stitches there. Before it: sew on to "
        "that point.",
    ),
    Mistake(
        "The marks do not come to the corners",
        UNPICK,
        "Unpick that strip and mark it anew from its middle; its ends are not cut, the mitres need them.",
    ),
    Mistake(
        "The edge waves",
        UNPICK,
        "The marks lie farther apart than the top measures: unpick the strip, mark on it what the top measures on "
        "average, and ease the edge to it.",
    ),
)
"""At a border whose corners are mitred: its strips are marked, not cut."""

_PIECED = (
    Mistake(
        "The wrong edge of a strip lies outward",
        UNPICK,
        "Unpick it and turn it half round: its upper edge, as it was laid, lies outward.",
    ),
    Mistake(
        "A strip is longer or shorter than the edge",
        UNPICK,
        "Never cut it, nor pull it. A little: ease the top to it. More: unpick it, and take in or let out several of "
        "its seams by a thread each.",
    ),
    Mistake(
        "Its points are cut off, or its seams do not meet those of the top",
        UNPICK,
        "Unpick a hand's breadth round that place, pin it, and sew it again with the strip above.",
    ),
)
"""At a border that is sewn of pieces: none of its strips is cut to measure."""

_SQUARED = (
    Mistake(
        "Trimmed too small",
        KEEP,
        "Cut no more. What goes round it is cut to what it measures, so that a little does no harm; where points are "
        "cut off, take the next seam narrower there.",
    ),
    Mistake("Too large, or not square", KEEP, "Square it again, from a long seam; there is nothing to count."),
)


def quilt_mistakes(plan: Plan, step: Step, made: Thing) -> list[Mistake]:
    """What goes wrong only with the whole quilt and its strips; nothing for steps that blocks have too."""
    if isinstance(step.action, AddBorder):
        return list(_MITRED)
    if isinstance(step.action, AddStrips):
        return list(_PIECED if step.action.outward else _borders())
    if type(step.action) is JoinParts:
        return list(_rows(made.kind, step.action.direction))
    if step.operation == "square":
        return list(_SQUARED)
    own = _OF_THE_QUILT.get(type(step.action))
    if own is None and step.operation == "trim":
        own = _MARKED_STRIPS if plan.quilt.borders[made.number - 1].mitred else _TRIMMED_STRIPS
    return list(own or ())


def _rows(made: Kind, direction: str) -> Iterator[Mistake]:
    """What goes wrong where the parts of a row, rows, or the panels of a backing are joined."""
    if made is Kind.BACKING:
        yield Mistake(
            "A panel's wrong side lies up", UNPICK, "Unpick that seam; right sides lie together, selvages are cut off."
        )
    elif direction == "across" and made is not Kind.CORNERED_STRIP:
        yield Mistake(
            "Two blocks swapped, or one turned",
            UNPICK,
            "Unpick only the seams on both sides, lay them as in the layout, and sew them again.",
        )
    else:
        yield Mistake(
            "The wrong edge sewn, or two parts swapped",
            UNPICK,
            "Unpick that seam, from the wrong side, every third stitch; do not pull.",
        )
    if made is not Kind.BACKING:
        yield NOT_MET
    yield WRONG_SEAM


def _borders() -> Iterator[Mistake]:
    yield Mistake(
        "The two strips are unequal",
        UNPICK,
        "Unpick the longer, cut it to the other's length, pin ends and middle, and ease the top to it.",
    )
    yield Mistake(
        "A strip is too short", REMAKE, "Unpick it, count it as spoiled, and cut another; never pull it to fit."
    )
    yield Mistake(
        "The edge waves",
        UNPICK,
        "The strip is longer than the middle of the top: unpick it, cut both to what the top measures on average, and "
        "ease the edge to them.",
    )
