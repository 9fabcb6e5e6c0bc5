"""How the prints of cloths with a direction lie in finished blocks, as plain frozen data."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PrintLie:
    """How the print of a cloth with a direction lies in a block: the ways, clockwise in degrees from upright (None: it
    slants otherwise), in what is laid in an `area` of it (row and column from 0, how many down and across; None: in
    its frames) from `pile`."""

    block: str
    area: tuple[int, int, int, int] | None
    pile: str
    cloth: str
    ways: tuple[int | None, ...]
