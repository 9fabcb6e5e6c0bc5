"""What was told of a quilt beside its counts: what top and blocks measure, and what was done with those. Pure."""

from __future__ import annotations

from tracker.progress.changes import BlockTold, CountChange, Measuring


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
