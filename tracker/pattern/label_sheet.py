"""The label for a quilt's back: how large it is, and how its lines are broken and set so that all of them fit.

Lengths are in tenths of a millimetre.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

MARGIN = 50
"""Clear of the seam on each side."""
LARGEST_TITLE, SMALLEST = 130, 24
"""Of letters: larger none is wanted, smaller none can be read or traced."""
NARROW, BROAD = frozenset("iljtfrI.,:;'’()|! "), frozenset("mwMW@%—")


@dataclass(frozen=True)
class LabelSize:
    """A label, finished, in tenths of a millimetre; `all`: it has room for every line."""

    across: int
    down: int
    all: bool

    def words(self, unit: str) -> str:
        """Its finished size, to the half inch or the millimetre."""
        if unit == "in":
            halves = [(side * 2 + 127) // 254 for side in (self.across, self.down)]
            return " × ".join(f"{half // 2}{'½' if half % 2 else ''}" for half in halves) + " in"
        return " × ".join(f"{side // 100}.{side % 100 // 10}" for side in (self.across, self.down)) + " cm"


LABELS = {
    "small": LabelSize(762, 508, False),
    "medium": LabelSize(1270, 762, True),
    "large": LabelSize(1651, 1143, True),
}


@dataclass(frozen=True)
class LabelLine:
    """A line as it is set: its words, where its foot stands from the top, how high its letters are."""

    words: str
    foot: int
    letters: int


def breadth(words: str, letters: int) -> int:
    """About how broad words are, on the safe side."""
    parts = sum(4 if sign in NARROW else 10 if sign in BROAD else 8 if sign.isupper() else 6 for sign in words)
    return parts * letters // 10


def lines_on(size: LabelSize, said: Sequence[str]) -> list[LabelLine]:
    """Words set on a label, the first of them larger, in the largest letters with which all fit; where even the
    smallest do not, the last lines are left off."""
    room, high = size.across - 2 * MARGIN, size.down - 2 * MARGIN
    for letters in range(LARGEST_TITLE, SMALLEST - 1, -2):
        small = max(letters * 6 // 10, SMALLEST)
        set_lines = [(words, letters) for words in _broken(said[:1], letters, room)]
        set_lines += [(words, small) for words in _broken(said[1:], small, room)]
        if sum(_height(each) for _, each in set_lines) <= high and all(breadth(w, n) <= room for w, n in set_lines):
            break
    while sum(_height(each) for _, each in set_lines) > high:
        set_lines.pop()
    foot = MARGIN + (high - sum(_height(each) for _, each in set_lines)) // 2
    found = []
    for words, letters in set_lines:
        foot += _height(letters)
        found.append(LabelLine(words, foot - letters // 3, letters))
    return found


def _height(letters: int) -> int:
    return letters * 13 // 10


def _broken(said: Sequence[str], letters: int, room: int) -> Iterator[str]:
    """Texts broken into lines at their blanks, not at those that hold; a word too long for a line at any letter."""
    for words in said:
        line = ""
        for word in words.split(" "):
            longer = f"{line} {word}".strip()
            if breadth(longer, letters) <= room:
                line = longer
                continue
            if line:
                yield line
            *parts, word = _pieces(word, letters, room) if letters == SMALLEST else [word]
            yield from parts
            line = word
        if line:
            yield line


def _pieces(word: str, letters: int, room: int) -> list[str]:
    """A word that no line holds in pieces that one does."""
    pieces, left = [""], room
    for sign in word:
        each = breadth(sign, letters) + 1
        if each > left and pieces[-1]:
            pieces.append("")
            left = room
        pieces[-1] += sign
        left -= each
    return pieces
