"""What one tap counts of a pass, as forms and scripts tell it: `1f3a9c07*24 9b3e2f11@2-5.7`, a word for each step. By
its short name: done 24 times for the common pool; or for blocks, in runs.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from tracker.progress.pass_work import PassShare
from tracker.web.opened import Compiled

_WORD = re.compile(r"([0-9a-z]{1,64})(?:\*([0-9]{1,7})|@([0-9.-]{1,50000}))")
_RUN = re.compile(r"([0-9]{1,6})(?:-([0-9]{1,6}))?")
_MOST_BLOCKS = 100_000
"""In all its words together: more than any quilt has, and no more than a page should be able to ask for."""


def told_shares(compiled: Compiled, shares: Iterable[PassShare]) -> str:
    """Shares of a pass as a text."""
    return " ".join(
        compiled.short[share.step.id] + (f"@{told_runs(share.blocks)}" if share.blocks else f"*{share.times}")
        for share in shares
    )


def read_shares(text: str) -> list[tuple[str, int, tuple[int, ...]]]:
    """The short name of each step, how often for the pool (0: for blocks), and the blocks. Raises ValueError, naming
    the word that tells nothing."""
    found: list[tuple[str, int, tuple[int, ...]]] = []
    room = _MOST_BLOCKS
    for word in text.split():
        told = _WORD.fullmatch(word)
        if told is None:
            raise ValueError(word[:20])
        blocks = _blocks(word, told[3], room)
        room -= len(blocks)
        found.append((told[1], int(told[2] or 0), blocks))
    return found


def _blocks(word: str, runs: str | None, most: int) -> tuple[int, ...]:
    blocks: list[int] = []
    for run in runs.split(".") if runs else ():
        ends = _RUN.fullmatch(run)
        own = range(int(ends[1]), int(ends[2] or ends[1]) + 1) if ends else range(0)
        if not own or len(blocks) + len(own) > most:
            raise ValueError(word[:20])
        blocks.extend(own)
    return tuple(blocks)


def runs_of(numbers: Sequence[int]) -> list[list[int]]:
    """Whole numbers in order as first and last of each run: [1, 2, 3, 7] is [[1, 3], [7, 7]]."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][1] == number - 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return runs


def told_runs(numbers: Sequence[int]) -> str:
    """The same as a text: `1-3.7`."""
    return ".".join(str(first) if first == last else f"{first}-{last}" for first, last in runs_of(numbers))
