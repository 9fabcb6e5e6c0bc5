"""What a tap changes: steps done or undone, pieces lost, the top measured. Taps are what is stored and sent.

A tap is a plain dictionary, never changed once it is recorded:

    {"id": "...", "do": "done", "step": step id, "times": n}                a step of the common pool
    {"id": "...", "do": "done", "step": step id, "blocks": [3, 4]}          a step of single blocks, numbered from 1
    {"id": "...", "do": "counted", "step": step id, "times": n, "by": n - done}     so many are done in all
    {"id": "...", "do": "put back", "step": step id, "times": n}            unpicked (or "blocks"): to the pile before
    {"id": "...", "do": "spoiled", "pile": pile id, "times": n}             pieces of the common pool are lost
    {"id": "...", "do": "opened", "block": n, "step": step id}              a join, with all that rests on it
    {"id": "...", "do": "stage", "block": n, "step": step id, "steps": [[step id, times], ...]}     all that leads to it
    {"id": "...", "do": "strip", "cloth": key, "strip": name, "steps": [[step id, times], ...]}     a strip is cut
    {"id": "...", "do": "measured", "step": step id, "lengths": ["58 3/8", ...]}    1 to 5, from edge to edge, as typed
    {"id": "...", "do": "note", "text": "...", "block": n or absent}
    {"id": "...", "do": "name", "block": n, "text": "..."}
    {"id": "...", "do": "take back", "what": id of an earlier tap}
    {"id": "...", "do": "settle", "what": id of an unsettled tap, "times": n}   n of it did happen (0: none)
    {"id": "...", "do": "settle all", "what": [id, ...], "times": [n, ...]}     the same for each that still is
    {"id": "...", "do": "carried", "counts": [[step id, block or 0, times], ...], "lost": [[pile id, times], ...],
     "strips": [[cloth, strip], ...] or absent, "measured": [[step id, ["58 3/8", ...]], ...] or absent}

Each also has "at", when it was recorded (ISO text, UTC); taps recorded elsewhere may lack it. Where a device said so,
"device" is a name of its own, and "waited" how many seconds it had kept the tap before, by its clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Tap = Mapping[str, Any]

LONGEST_NOTE = 500
LONGEST_NAME = 40
LONGEST_STRIP = 40


class Refused(Exception):
    """A tap that is not recorded. `kind` is one of KINDS; `facts` says about what."""

    KINDS = (
        "unknown step",
        "unknown tap",
        "unknown pile",
        "blocks in it",
        "not a count",
        "no such block",
        "already taken back",
        "rests on it",
        "nothing ready",
        "nothing there",
        "not unsettled",
        "cannot be unpicked",
        "not joined",
        "already there",
        "counted so",
        "no text",
        "unknown strip",
        "strip is cut",
        "not measured",
        "no length",
    )

    def __init__(self, kind: str, **facts: Any) -> None:
        super().__init__(f"{kind}: {facts}")
        self.kind = kind
        self.facts = facts


@dataclass(frozen=True)
class Measuring:
    """What the top measured for a step, as typed; `tap` tells it from other measurings of the same step."""

    step: str
    tap: str
    lengths: tuple[str, ...]


@dataclass(frozen=True)
class CountChange:
    """Steps done so often (negative: undone), for block numbers (0: the pool), pieces lost from piles, strips (a cloth
    and the strip's name) ticked off (1) or not any more (-1), and measurings that count now (True) or no more."""

    moves: tuple[tuple[str, int, int], ...] = ()
    lost: tuple[tuple[str, int], ...] = ()
    strips: tuple[tuple[str, str, int], ...] = ()
    measured: tuple[tuple[Measuring, bool], ...] = ()

    def __bool__(self) -> bool:
        return bool(self.moves or self.lost or self.strips or self.measured)

    def undone(self) -> CountChange:
        """The change that takes this one back."""
        return CountChange(
            tuple((step, block, -times) for step, block, times in reversed(self.moves)),
            tuple((pile, -times) for pile, times in reversed(self.lost)),
            tuple((cloth, strip, -times) for cloth, strip, times in reversed(self.strips)),
            tuple((measuring, not counts) for measuring, counts in reversed(self.measured)),
        )


@dataclass(frozen=True)
class Recorded:
    """A tap as it counts now. `wanted` is what it claims; `change` what it did, empty while it is unsettled."""

    tap: Tap
    wanted: CountChange
    change: CountChange

    @property
    def counts(self) -> bool:
        """Whether it changed anything."""
        return bool(self.change)

    @property
    def unsettled(self) -> bool:
        """Whether it claims what could not be paid for at its turn."""
        return bool(self.wanted) and not self.change


def count_of(value: object) -> int:
    """A count as a tap gives it: a whole number from 1. Raises Refused."""
    if not isinstance(value, int) or isinstance(value, bool) or value < 1:
        raise Refused("not a count", count=value)
    return value


def text_of(value: object, longest: int) -> str:
    """A note or name as a tap gives it. Raises Refused."""
    text = value.strip() if isinstance(value, str) else ""
    if not text or len(text) > longest:
        raise Refused("no text", longest=longest)
    return text
