"""The operations: everything that is said once of each, in the order of the work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

STATIONS = ("table", "machine", "iron", "wall")
"""Where things are done: cutting table, machine, ironing board, layout wall."""

BLADE = "Blade: close it each time you put it down. Cut away from you, fingers behind the ruler's edge."
PEN = "Try the pen on a scrap first: some marks set, or come back, with heat or cold."
NEEDLE = "Needle: fingers clear of it, no pin under it. Turn the machine off before threading or changing it."
PINS = "Pins: take each out before it reaches the needle, and count them back."
IRON = "Iron: the plate and its steam burn. Lift and lower it, mind the cord, and turn it off when you leave."

IN_BRIEF: Mapping[str, str] = {
    BLADE: "Close the blade, cut away from you.",
    PEN: "Try the pen on a scrap first.",
    NEEDLE: "Fingers and pins clear of the needle.",
    PINS: "Each pin out before the needle.",
    IRON: "Hot plate, hot steam: off when left.",
}
"""What is left of each caution on a line, for a screen where it was read lately."""

LAID_OUT, JOINED, SQUARED = "laid-out", "joined", "squared"
"""How far a block has come, coarsely."""


@dataclass(frozen=True)
class Operation:
    """One kind of work: its `station`, what is true of a piece `done` with it, the usual `caution` (the makers' manuals
    and local rules come first), whether it can be `unpicked` (what a blade or a pencil has done stays done), a rough
    time for doing it once to what is up to a foot long, in `seconds` (from memory: no published figures).

    `shows` is said before the size on the screen, nothing where there is no size to check; `chained`: pieces run
    through the machine one behind the other; `seams`: it makes seams of the plan's width; `reaches`: how far it brings
    a block; `sized`: what comes of it is measured; `asks`: how a block measures is typed there; `one_with`: the
    operation that follows and that it is one work with; `shares_card`: which to be told on the card of what was done
    before, where a sheet of paper is full: the first (1), the next (2), none (0); `by_kind`: on a sheet the kinds that
    it is done to in ways of their own are named. `actions` are the names of the kinds of action that it may stand for.
    """

    name: str
    station: str
    done: str
    actions: tuple[str, ...]
    seconds: int
    caution: str = ""
    unpicked: bool = True
    shows: str = ""
    chained: bool = False
    seams: bool = False
    reaches: str = ""
    sized: bool = False
    asks: bool = False
    one_with: str = ""
    shares_card: int = 0
    by_kind: bool = False


OPERATIONS: Mapping[str, Operation] = {
    each.name: each
    for each in (
        Operation("cut", "table", "cut", ("Cut",), 20, BLADE, unpicked=False, shows="Cut"),
        Operation("mark", "table", "marked", ("Mark",), 15, PEN, unpicked=False),
        Operation("pair", "machine", "paired", ("Pair", "LayOut"), 10, chained=True, one_with="sew"),
        Operation(
            "sew", "machine", "sewn", ("Sew", "Join", "QuiltLayers"), 20, NEEDLE, chained=True, seams=True, by_kind=True
        ),
        Operation("sew to dots", "machine", "sewn", ("SewToDots",), 40, NEEDLE, chained=True, seams=True),
        Operation("set in", "machine", "set in", ("SewToDots",), 480, NEEDLE, seams=True),
        Operation(
            "cut apart", "table", "cut apart", ("CutApart", "CutLengths"), 8, BLADE, unpicked=False, shows="Cut to",
            shares_card=2, by_kind=True,
        ),
        Operation(
            "trim", "table", "trimmed", ("Trim", "ClipEars"), 30, BLADE, unpicked=False, shows="Trim to", sized=True
        ),
        Operation("lay out", "wall", "laid out", ("LayOut", "SetBlock", "Layer"), 120, reaches=LAID_OUT),
        Operation("pin", "machine", "pinned", ("Pin",), 60, PINS, reaches=JOINED, one_with="join"),
        Operation("begin seam", "machine", "begun", ("BeginSeam",), 45, NEEDLE, seams=True, reaches=JOINED),
        Operation(
            "sew round", "machine", "sewn on", ("SewArm",), 60, NEEDLE, chained=True, seams=True, reaches=JOINED
        ),
        Operation("close seam", "machine", "closed", ("CloseSeam",), 60, NEEDLE, seams=True, reaches=JOINED),
        Operation(
            "join", "machine", "joined", ("Join", "JoinParts", "JoinUnits", "JoinEnds", "MitreCorners"), 45, NEEDLE,
            chained=True, seams=True, reaches=JOINED, sized=True,
        ),
        Operation(
            "press", "iron", "pressed", ("Press", "PressSeams", "PressAside"), 15, IRON, shows="Measures",
            reaches=JOINED, sized=True, shares_card=1,
        ),
        Operation(
            "measure", "table", "measured", ("MeasureBlock",), 40, shows="Should measure", reaches=JOINED, asks=True
        ),
        Operation(
            "add strip", "machine", "sewn on", ("AddStrips", "AddBorder"), 120, NEEDLE, seams=True, sized=True
        ),
        Operation(
            "square", "table", "squared", ("Trim",), 90, BLADE, unpicked=False, shows="Square to",
            reaches=SQUARED, sized=True, asks=True,
        ),
        Operation("bind", "machine", "bound", ("Bind",), 600, NEEDLE),
    )
}  # fmt: skip
"""Every operation by its name, in the order of the work."""

BY_THE_SQUARE_FOOT: Mapping[str, int] = {"Layer": 120, "QuiltLayers": 300}
"""Kinds of action that take their time by the square foot, and the seconds for each (from memory as well)."""
