"""How much room things take on a printed sheet: a block has two sheets at most, and no sheet holds a line alone.

Lengths are in tenths of a millimetre, on the safe side of what browsers print.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tracker.drawing.printed_size import in_print

HIGH = 2550
"""What a sheet of Letter holds between its margins; one of A4 is higher."""
BROAD = 1860
"""What a sheet of A4 holds between its margins; one of Letter is broader."""
LINE, TITLE_LINE, SIZE_LINE = 43, 45, 54
"""The height of a line that is read, of a line of a card's title, and of one that a size stands in."""
LETTER, BOLD, FIGURE = 17, 19, 27
"""About how broad a letter is: of what is read, of a title, of a size to check."""


@dataclass(frozen=True)
class Density:
    """How large the cards of a sheet are: so many beside each other, each drawing within so many millimetres."""

    columns: int
    width: int
    height: int

    def printed(self, drawing: str) -> str:
        """A card's drawing as it is printed."""
        return in_print(drawing, self.width, self.height)


DENSITIES = (
    *(Density(3, 57, height) for height in range(46, 29, -4)),
    *(Density(4, 42, height) for height in range(34, 19, -2)),
)
"""From the largest cards to the smallest."""
PLAIN = 9
"""So many of them are large enough for a sheet that holds all of a block."""


@dataclass(frozen=True)
class Content:
    """What is on a card, as far as it takes room: its words, and its drawing's sides in drawing units (0: none)."""

    title: str
    size: str
    words: str
    drawing: tuple[int, int]


def lines_of(words: str, width: int, letter: int = LETTER) -> int:
    """How many lines words take in a width."""
    each = max(width // letter, 1)
    lines, left = 1, each
    for word in words.split():
        if len(word) > left and left < each:
            lines, left = lines + 1, each
        left -= len(word) + 1
    return lines if words else 0


def card_height(card: Content, density: Density) -> int:
    """How high a card is."""
    width = 10 * density.width
    title = lines_of(f"000 {card.title}", width, BOLD) * TITLE_LINE
    beside = width - len(card.title) * BOLD % width > len(card.size) * FIGURE
    size = SIZE_LINE - TITLE_LINE if beside and card.size else lines_of(card.size, width, FIGURE) * SIZE_LINE
    across, down = card.drawing
    drawn = min(10 * density.height, width * down // across) + 16 if across else 0
    return title + size + drawn + lines_of(card.words, width) * LINE + 10


def sheets_needed(top: int, rows: Iterable[int]) -> int:
    """How many sheets rows of these heights take, that may not be parted, below a `top` of that height."""
    sheets, used = 1, top
    for row in rows:
        if used + row > HIGH:
            sheets, used = sheets + 1, 0
        used += row
    return sheets


def best_density(top: int, cards: Sequence[Content]) -> Density:
    """The largest cards with which all of them find room on one sheet where they can be as large as on two; else on
    two; where even the smallest do not, those."""
    for most, tried in ((1, DENSITIES[:PLAIN]), (2, DENSITIES)):
        for density in tried:
            if sheets_needed(top, _rows(cards, density)) <= most:
                return density
    return DENSITIES[-1]


def fits_two_sheets(top: int, cards: Sequence[Content]) -> bool:
    """Whether two sheets hold these cards, at least at their smallest."""
    return sheets_needed(top, _rows(cards, DENSITIES[-1])) <= 2


def _rows(cards: Sequence[Content], density: Density) -> Iterator[int]:
    gap = 25 if density.columns == 3 else 20
    for start in range(0, len(cards), density.columns):
        yield max(card_height(card, density) for card in cards[start : start + density.columns]) + gap
