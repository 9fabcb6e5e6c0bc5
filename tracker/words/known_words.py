"""Blocks known by name, as JSON values and as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any

from tracker.plan.known_blocks import KnownBlock, suggested
from tracker.route.unit_kinds import unit_kinds
from tracker.words.json_report import size_text


@cache
def kinds_of(known: KnownBlock) -> tuple[str, ...]:
    """The kinds of units that a known block is made of."""
    return unit_kinds(known.plan)


def known_report(found: Sequence[KnownBlock]) -> dict[str, Any]:
    """What `known --json` prints; grid and size are [across, down]."""
    return {
        "blocks": [
            {
                "name": each.name,
                "also": list(each.also),
                "grid": [len(each.block.columns), len(each.block.rows)],
                "size": size_text(each.size, each.plan),
                "kinds": list(kinds_of(each)),
                "plan": each.text,
                "source": each.source,
            }
            for each in found
        ]
    }


def known_lines(found: Sequence[KnownBlock]) -> Iterator[str]:
    """A line for each block: its name, its grid, its size, its other names."""
    for each in found:
        size, grid = " × ".join(size_text(each.size, each.plan)), f"{len(each.block.columns)} × {len(each.block.rows)}"
        also = f"; also {', '.join(each.also)}" if each.also else ""
        yield f"{each.name} ({grid} cells, {size} {each.plan.unit}){also}"


def not_known(name: str) -> str:
    """That no block has that name, and which may have been meant."""
    near = suggested(name)
    meant = f"did you mean {' or '.join(near)}?" if near else "sewing-room known lists all that are."
    return f"No block is known by the name “{name}”; {meant}"
