"""Which way seams are pressed: the sides of one join, the versions of a kind of block, the places of the quilt."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.work.things import Thing


@dataclass(frozen=True)
class SeamPress:
    """Which way the allowance between two pieces goes: toward one of them, or open (None)."""

    between: tuple[Thing, Thing]
    toward: Thing | None


@dataclass(frozen=True)
class PressVersion:
    """One way to press a kind of block: its letter, the numbers of the blocks pressed so, each join with the side it
    goes to (parts being units, by their top-left cells, or whole rows), and how many meetings inside one block do not
    nest."""

    letter: str
    blocks: tuple[int, ...]
    seams: tuple[SeamPress, ...]
    unnested: int


@dataclass(frozen=True)
class BlockPressing:
    """The versions in which a kind of block is pressed, A first."""

    block: str
    versions: tuple[PressVersion, ...]


@dataclass(frozen=True)
class PlacePressing:
    """What lies in one place of the quilt: the block, which of its versions (from 0), and its turn (clockwise)."""

    block: str
    version: int
    turn: int


@dataclass(frozen=True)
class Pressing:
    """The pressing of the whole quilt. `places` are rows as in the plan; `unnested` counts the meetings between blocks
    that do not nest; `proven` is false where a very large quilt was not searched to the end for fewer versions."""

    blocks: tuple[BlockPressing, ...] = ()
    places: tuple[tuple[PlacePressing, ...], ...] = ()
    unnested: int = 0
    proven: bool = True


NOT_PRESSED = Pressing()
"""Of a checklist without a quilt."""
