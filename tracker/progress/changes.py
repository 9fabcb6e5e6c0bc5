"""What a tap changes: steps done or undone, pieces lost, the top measured. And what is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tracker.progress.laid_blocks import LaidSo


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
        "not begun",
        "already there",
        "counted so",
        "no text",
        "unknown strip",
        "strip is cut",
        "not measured",
        "no length",
        "doubtful",
        "not alike",
        "lies already",
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
class BlockTold:
    """What was told of a block, beside its counts: `what` is MEASURED, what was done with it to bring it to size
    (DONE_WITH), or GIVEN. `tap` tells it from others, `lengths` are six or eight as typed, `maker` who sewed it or is
    to, `framed` is 1 where it was measured with its frames on."""

    block: int
    tap: str
    what: str
    lengths: tuple[str, ...] = ()
    maker: str = ""
    framed: int = 0


MEASURED = "measured"
GIVEN = "given"
"""The block is `maker`'s to make (empty: nobody's)."""
PRESSED_AGAIN, SEWN_AGAIN, STRIPS_ON, MADE_AGAIN = "pressed again", "sewn again", "strips on", "made again"
DONE_WITH = (PRESSED_AGAIN, SEWN_AGAIN, STRIPS_ON, MADE_AGAIN)


@dataclass(frozen=True)
class CountChange:
    """Steps done so often (negative: undone), for block numbers (0: the pool), pieces lost from piles, strips (a cloth
    and the strip's name) ticked off (1) or not any more (-1), and measurings that count now (True) or no more, and so
    what is `told` of blocks, and which block lies where (`laid`).
    `beyond`: a step of the pool may be done more often than the plan asks for; what it gives more are spares."""

    moves: tuple[tuple[str, int, int], ...] = ()
    lost: tuple[tuple[str, int], ...] = ()
    strips: tuple[tuple[str, str, int], ...] = ()
    measured: tuple[tuple[Measuring, bool], ...] = ()
    beyond: bool = False
    told: tuple[tuple[BlockTold, bool], ...] = ()
    laid: tuple[tuple[LaidSo, bool], ...] = ()

    def __bool__(self) -> bool:
        return bool(self.moves or self.lost or self.strips or self.measured or self.told or self.laid)

    def undone(self) -> CountChange:
        """The change that takes this one back."""
        return CountChange(
            tuple((step, block, -times) for step, block, times in reversed(self.moves)),
            tuple((pile, -times) for pile, times in reversed(self.lost)),
            tuple((cloth, strip, -times) for cloth, strip, times in reversed(self.strips)),
            tuple((measuring, not counts) for measuring, counts in reversed(self.measured)),
            beyond=True,  # as it was before, whatever that was
            told=tuple((told, not counts) for told, counts in reversed(self.told)),
            laid=tuple((laid, not counts) for laid, counts in reversed(self.laid)),
        )


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
