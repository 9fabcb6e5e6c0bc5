"""What a quilter measures on a sewn block, and what cannot be. Pure, exact.

A block lies pressed, cool and not pulled. It is measured three times across (near its top edge, through the middle,
near its bottom edge), three times down (left, middle, right), and, if she likes, from corner to corner.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import ROOT2, LengthFault, Measure, exact, read_length, write_length
from tracker.plan.problems import shown

ACROSS, DOWN = 0, 1
WAYS = (ACROSS, DOWN)
"""The two directions, as places in a size."""

NAMES = ("w1", "w2", "w3", "h1", "h2", "h3")
DIAGONALS = ("d1", "d2")

PLACES = {
    "w1": "the width near the top edge",
    "w2": "the width through the middle",
    "w3": "the width near the bottom edge",
    "h1": "the height near the left edge",
    "h2": "the height through the middle",
    "h3": "the height near the right edge",
    "d1": "the first diagonal",
    "d2": "the second diagonal",
}
"""Each figure in words."""

LIKELY = Fraction(5, 6), Fraction(7, 6)
"""A block that measures less or more than so many times what was planned was measured wrongly, or typed so."""

_RULED = (1, 2, 4, 8, 16, 32)
"""The parts of an inch that rulers show."""

LONGEST_MAKER = 60


class Doubtful(Exception):
    """A figure that is asked about: `name` of NAMES or DIAGONALS, `kind` ("missing", "unreadable", "nothing",
    "unlikely" or "alone"), the `text` that was read, what is `planned` there, and what was `meant`, where that can be
    guessed."""

    def __init__(self, name: str, kind: str, text: str, planned: Measure, meant: Fraction | None = None) -> None:
        super().__init__(f"{name}: {kind} {text!r}")
        self.name = name
        self.kind = kind
        self.text = text
        self.planned = planned
        self.meant = meant

    def question(self, unit: str) -> str:
        """What is wrong with it, and what would be right: one sentence without its full stop or question mark."""
        place, read = PLACES[self.name], shown(self.text.strip())
        planned = f"{write_length(_to_reading(self.planned, unit), unit, plain=True)} {unit}"
        example = "10 1/2" if unit == "in" else "26.5"
        match self.kind:
            case "missing":
                return f"{place} is missing; measure it and write it down, such as {example}."
            case "unreadable":
                return f"read “{read}” as {place}; a length is written as {example}."
            case "nothing":
                return f"read “{read}” as {place}; it measures more than nothing, and is planned {planned}."
            case "alone":
                return f"{place} is missing; a block is measured from corner to corner both ways, or not at all."
        about = f"read “{read}” as {place}, which is planned {planned}"
        if self.meant is None:
            return f"{about}; measure once more, and write what the ruler shows."
        return f"{about}; was {write_length(self.meant, unit, plain=True)} meant?"


def _to_reading(length: Measure, unit: str) -> Measure:
    """A planned length as a tape shows it, where it has a root in it."""
    if length.is_rational:
        return length
    mark = Fraction(1, 16) if unit == "in" else Fraction(1, 10)
    return exact(mark) * ((length / mark + Fraction(1, 2)).__floor__())


@dataclass(frozen=True)
class BlockMeasures:
    """One block as measured, in the plan's unit: its number in the quilt, three widths from the top edge down, three
    heights from the left edge on, both diagonals where they were taken, who sewed it, and whether it was pressed and
    measured again."""

    block: str
    across: tuple[Fraction, Fraction, Fraction]
    down: tuple[Fraction, Fraction, Fraction]
    diagonals: tuple[Fraction, Fraction] | None = None
    maker: str = ""
    again: bool = False

    @property
    def ways(self) -> tuple[tuple[Fraction, Fraction, Fraction], tuple[Fraction, Fraction, Fraction]]:
        """Both directions."""
        return self.across, self.down

    def mean(self, way: int) -> Fraction:
        """The mean of the three measures of a direction."""
        return sum(self.ways[way], Fraction()) / 3

    def taper(self, way: int) -> Fraction:
        """How much the last edge is longer than the first."""
        first, _, last = self.ways[way]
        return last - first

    def bow(self, way: int) -> Fraction:
        """How much the middle is longer than the mean of the edges; less than 0 where the edges are stretched."""
        first, middle, last = self.ways[way]
        return middle - (first + last) / 2

    @property
    def lean(self) -> Measure | None:
        """By how much one corner stands aside; None where the diagonals were not measured."""
        if self.diagonals is None:
            return None
        return exact(abs(self.diagonals[0] - self.diagonals[1])) / ROOT2

    @property
    def largest_square(self) -> Measure:
        """About the side of the largest square that can be cut from it."""
        return exact(min(*self.across, *self.down)) - (self.lean or Measure()) / 2


def read_measures(block: str, figures: Mapping[str, str], planned: Sequence[Measure], unit: str) -> BlockMeasures:
    """A block's measures as they were written: `figures` by NAMES, and DIAGONALS and "maker" if there are; `planned` is
    its unfinished size. Raises Doubtful for the first that cannot be."""
    found = [_read(name, figures, planned[ACROSS if name[0] == "w" else DOWN], unit) for name in NAMES]
    across, down = (found[0], found[1], found[2]), (found[3], found[4], found[5])
    maker = " ".join(figures.get("maker", "").split())[:LONGEST_MAKER]
    return BlockMeasures(block, across, down, _diagonals(figures, planned, unit), maker)


def _diagonals(figures: Mapping[str, str], planned: Sequence[Measure], unit: str) -> tuple[Fraction, Fraction] | None:
    given = [name for name in DIAGONALS if figures.get(name, "").strip()]
    if not given:
        return None
    # That of an oblong is not of the kind a + b√2; what is near enough will do to see a slip.
    square = planned[ACROSS] == planned[DOWN]
    slant = planned[ACROSS] * ROOT2 if square else (planned[ACROSS] + planned[DOWN]) * Fraction(4, 5)
    if len(given) == 1:
        missing = next(name for name in DIAGONALS if name not in given)
        raise Doubtful(missing, "alone", "", slant)
    return _read("d1", figures, slant, unit), _read("d2", figures, slant, unit)


def _read(name: str, figures: Mapping[str, str], planned: Measure, unit: str) -> Fraction:
    text = figures.get(name, "")
    if not text.strip():
        raise Doubtful(name, "missing", text, planned)
    try:
        found = read_length(text, unit)
    except LengthFault as fault:
        raise Doubtful(name, "unreadable", text, planned) from fault
    if found <= 0:
        raise Doubtful(name, "nothing", text, planned)
    if not _likely(found, planned):
        raise Doubtful(name, "unlikely", text, planned, _meant(text.strip(), planned, unit))
    return found.rational


def _likely(found: Measure, planned: Measure) -> bool:
    return LIKELY[0] * planned <= found <= LIKELY[1] * planned


def _meant(text: str, planned: Measure, unit: str) -> Fraction | None:
    """What a figure without its blank, its stroke or its point may have been: 101/2 for 10 1/2, 1038 for 10 3/8, 105
    for 10.5. In inches only what a ruler shows."""
    places = range(1, len(text))
    texts = [text[:at] + mark + text[at:] for at in places for mark in (" ", ".")]
    if text.isdecimal() and len(text) <= len("10 15/16"):
        texts += [f"{text[:at]} {text[at:over]}/{text[over:]}" for at in places for over in range(at + 1, len(text))]
    found = []
    for each in texts:
        try:
            length = read_length(each, unit)
        except LengthFault:
            continue
        ruled = unit != "in" or length.rational.denominator in _RULED
        if ruled and re.fullmatch(r"[0-9 ./,]+", each) and _likely(length, planned):
            found.append(length.rational)
    return min(found, key=lambda length: abs(exact(length) - planned), default=None)
