"""What a photo of a layout says, in words: one sentence a piece, and what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from tracker.seeing.layout_check import LaidPiece, LayoutSeen, Otherwise
from tracker.words.thing_words import listed

_TURNED = {
    90: "lies a quarter turn too far to the right: turn it back to the left",
    180: "lies upside down: turn it half round",
    270: "lies a quarter turn too far to the left: turn it back to the right",
}

STRANGE = (
    "This photo does not look like the layout. Look whether the four rings sit on its corners, every piece lies and "
    "nothing lies on them, and try once more."
)

_UPRIGHT = {1: "from its right side", 2: "upside down", 3: "from its left side"}

MOST_UNTOLD = 6
"""Of so many places that cannot be told each is named."""


def named_places(pieces: Sequence[LaidPiece]) -> list[str]:
    """Where each piece lies, rows and places counted as they are seen: `Row 2, place 4`."""
    rows = sorted({piece.row for piece in pieces})
    found = []
    for piece in pieces:
        beside = sorted(each.column for each in pieces if each.row == piece.row)
        found.append(f"Row {rows.index(piece.row) + 1}, place {beside.index(piece.column) + 1}")
    return found


def otherwise_words(what: Otherwise, places: Sequence[str], cloth: Callable[[str], str]) -> str:
    """How a piece seems to lie otherwise, and what to do. `cloth` names a cloth by its key."""
    place = places[what.piece]
    if what.kind == "turned":
        return f"{place} {_TURNED[what.turn]}."
    if what.kind == "mirrored":
        return (
            f"{place} shows the mirror image of what belongs there: one of the other hand, or its cloths changed round."
        )
    if what.kind == "cloth":
        return f"{place} shows another cloth: {cloth(what.cloth)} seems to lie where {cloth(what.instead_of)} belongs."
    assert what.other is not None
    other = places[what.other].lower()
    if what.kind == "swapped":
        return f"{place} and {other} have changed places."
    return f"{place} shows what belongs in {other}."


def seen_words(
    seen: LayoutSeen, pieces: Sequence[LaidPiece], places: Sequence[str], cloths: Mapping[str, str]
) -> list[str]:
    """All that a photo says of a layout, most urgent first."""
    if seen.strange:
        return [STRANGE]
    found = [otherwise_words(what, places, lambda key: cloths.get(key, key)) for what in seen.otherwise]
    if not found and not seen.untold:
        found.append(f"All {len(pieces)} pieces seem to lie as they should.")
    elif not found:
        found.append("Nothing seems to lie wrongly.")
    if seen.untold:
        named = [places[number].lower() for number in seen.untold]
        which = listed(named) if len(named) <= MOST_UNTOLD else f"{len(named)} of the {len(pieces)} places"
        found.append(f"This photo cannot tell {which}: the cloths look too much alike in it. Look there yourself.")
    if seen.turned:
        found.append(f"The layout was photographed {_UPRIGHT[seen.turned]}; rows and places are those of the plan.")
    return found


SAFE = "Nothing was counted, and the photo stays on this device. Look once more yourself before you sew."
