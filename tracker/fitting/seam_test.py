"""What a measured seam says: by how much to move needle or guide, and what it would cost left as it is. Pure, exact.

Three like strips are sewn side by side. Each of the two seams takes its allowance from the middle one on one side, so
the middle one shows what the machine's seam really takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import LengthFault, Measure, read_length, write_length
from tracker.plan.model import Plan
from tracker.work.partial_seams import BeginSeam, SewArm
from tracker.work.steps import AddStrips, Checklist, Join, LayOut, Pin, Step

STRIPS = {"in": Measure(Fraction(3, 2)), "cm": Measure(4)}
"""The usual cut width of the three strips: 1 1/2 in, 4 cm."""

EXACT_ENOUGH = {"in": Fraction(1, 64), "cm": Fraction(1, 40)}
"""An error of a seam that no block notices (a sixty-fourth of an inch, a quarter of a millimetre)."""


class Unlikely(Exception):
    """A middle that cannot be: `kind` is "unreadable", "nothing" or "too wide"; `widest` is more than it can be."""

    def __init__(self, kind: str, text: str, widest: Measure) -> None:
        super().__init__(f"{kind}: {text!r}")
        self.kind = kind
        self.text = text
        self.widest = widest


@dataclass(frozen=True)
class SeamTest:
    """Three strips cut `strip` wide, to be sewn at `seam`; all in `unit`."""

    unit: str
    strip: Measure
    seam: Measure

    @property
    def middle(self) -> Measure:
        """What the middle strip shows where the seam is right."""
        return self.strip - 2 * self.seam

    @property
    def whole(self) -> Measure:
        """What all three measure together where the seam is right."""
        return 3 * self.strip - 4 * self.seam


@dataclass(frozen=True)
class Advice:
    """What a middle strip that measures `middle` says. `seam` is what each seam takes, `error` how much too wide it is
    (negative: too narrow); the needle or the guide is moved by `abs(error)`."""

    test: SeamTest
    middle: Measure
    seam: Measure
    error: Measure

    @property
    def verdict(self) -> str:
        """right, wide or narrow."""
        if abs(self.error) < EXACT_ENOUGH[self.test.unit]:
            return "right"
        return "wide" if self.error > 0 else "narrow"

    def cost(self, seams: int) -> Measure:
        """How much too small (negative: too large) so many seams in a row make a piece: each takes from both sides."""
        return 2 * seams * self.error


def seam_test(plan: Plan) -> SeamTest:
    """The test for a plan's seam, with strips wide enough that the middle one shows."""
    strip = STRIPS[plan.unit]
    while strip < 4 * plan.seam:
        strip = 2 * strip
    return SeamTest(plan.unit, strip, plan.seam)


def advise(test: SeamTest, middle: str) -> Advice:
    """What to do, from what the middle strip measures, as a person writes it. Raises Unlikely."""
    try:
        found = read_length(middle, test.unit)
    except LengthFault as fault:
        raise Unlikely("unreadable", middle, test.strip) from fault
    if found <= 0:
        raise Unlikely("nothing", middle, test.strip)
    if found >= test.strip:
        raise Unlikely("too wide", middle, test.strip)
    seam = (test.strip - found) / 2
    return Advice(test, found, seam, seam - test.seam)


def sentence(fault: Unlikely, test: SeamTest) -> str:
    """What is wrong with a measured middle, and what would be right."""
    read = fault.text.strip()[:40]
    widest = f"{write_length(fault.widest, test.unit)} {test.unit}"
    if fault.kind == "unreadable":
        right = "15/16, 1 or 1 1/16" if test.unit == "in" else "2.4, 2.5 or 2.6"
        return f"Read “{read}” as what the middle strip measures; write a length such as {right}."
    return (
        f"The middle strip cannot measure “{read}”: it was cut {widest} wide, and its seams leave something of it. "
        "Measure from seam to seam."
    )


def seams_of(checklist: Checklist, key: str) -> tuple[int, int]:
    """How many seams of a block of this kind lie one after another from side to side, and from top to bottom.

    Those that join its units, strips and frames; what is sewn within a unit is trimmed true before.
    """
    makers = {flow.pile: step for step in checklist.steps if step.per in ("quilt", key) for flow in step.gives}
    last = [step for step in checklist.steps if step.per == key]
    return _seams(makers, last[-1].gives[0].pile) if last else (0, 0)


def _seams(makers: dict[str, Step], pile: str) -> tuple[int, int]:
    step = makers.get(pile)
    if step is None or not step.takes or (step.operation == "trim" and step.per == "quilt"):
        return 0, 0
    match step.action:
        case Join(direction=direction):
            return _joined(makers, step.takes[0].pile, direction)
        case BeginSeam(base=base, arm=arm) | SewArm(base=base, arm=arm):
            sides = isinstance(step.action, SewArm) and step.action.edge != "bottom"
            return _added([_seams(makers, base), _seams(makers, arm)], "across" if sides else "down")
        case AddStrips(base=base, edges=edges):
            across, down = _seams(makers, base)
            return (across + 2, down) if edges == "sides" else (across, down + 2)
    if isinstance(step.action, LayOut):
        # A unit that is pinned to others by itself.
        own = [place for place in step.action.places if place.group == pile]
        return _turned(_seams(makers, own[0].pile), own[0].turn) if len(own) == 1 else (0, 0)
    # Pressing several pieces gives as many piles, each from the one in its place.
    place = [flow.pile for flow in step.gives].index(pile)
    return _seams(makers, step.takes[min(place, len(step.takes) - 1)].pile)


def _joined(makers: dict[str, Step], group: str, direction: str) -> tuple[int, int]:
    """A group laid out or pinned, joined in one direction: seams add up along it, and the most count beside it."""
    step = makers[group]
    match step.action:
        case LayOut(places=places):
            parts = [_turned(_seams(makers, p.pile), p.turn) for p in places if p.group == group]
        case Pin(first=first, second=second):
            parts = [_seams(makers, first), _seams(makers, second)]
        case _:
            raise AssertionError(step.action)
    return _added(parts, direction)


def _added(parts: Sequence[tuple[int, int]], direction: str) -> tuple[int, int]:
    along, beside = (0, 1) if direction == "across" else (1, 0)
    added = sum(part[along] for part in parts) + len(parts) - 1
    most = max(part[beside] for part in parts)
    return (added, most) if along == 0 else (most, added)


def _turned(seams: tuple[int, int], turn: int) -> tuple[int, int]:
    return seams[::-1] if turn % 180 else seams
