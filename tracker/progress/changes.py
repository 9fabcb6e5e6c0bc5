"""What a tap changes: steps done or undone, pieces lost, what top and blocks measure. And what is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tracker.progress.laid_blocks import LaidSo


class Refused(Exception):
    """A tap that is not recorded. `kind` is one of those that `words.refusals` words; `facts` says about what."""

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


class ToldBeside:
    """Figures of the top by the step they were measured for, and what was told of blocks by their numbers, in order."""

    def __init__(self) -> None:
        self._top: dict[str, list[Measuring]] = {}
        self._blocks: dict[int, list[BlockTold]] = {}

    def copy(self) -> ToldBeside:
        """The same, to go on apart from this."""
        twin = ToldBeside()
        twin._top = {step: list(kept) for step, kept in self._top.items()}
        twin._blocks = {block: list(told) for block, told in self._blocks.items()}
        return twin

    def move(self, change: CountChange) -> None:
        """Add what counts now, and take away what counts no more."""
        for measuring, counts in change.measured:
            kept = self._top.setdefault(measuring.step, [])
            kept.append(measuring) if counts else kept.remove(measuring)
        for told, counts in change.told:
            of_block = self._blocks.setdefault(told.block, [])
            of_block.append(told) if counts else of_block.remove(told)

    def measured(self) -> dict[str, tuple[str, ...]]:
        """What was measured last for each step (by its id) that was measured for, as typed."""
        return {step: kept[-1].lengths for step, kept in self._top.items() if kept}

    def of(self, block: int) -> tuple[BlockTold, ...]:
        """What was told of a block."""
        return tuple(self._blocks.get(block, ()))

    def of_all(self) -> tuple[BlockTold, ...]:
        """The same of all blocks, block by block."""
        return tuple(told for block in sorted(self._blocks) for told in self._blocks[block])
