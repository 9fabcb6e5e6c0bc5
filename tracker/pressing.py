"""Which way the seams between units are pressed, so that seams that meet lie opposite ways and nest."""

from __future__ import annotations

from tracker.joins import Joined, Node, leaves
from tracker.plan import Plan
from tracker.work import SeamPress

Directions = dict[tuple[str, str], str]
"""For each seam between two named parts, the name of the part its allowance lies toward, or "open"."""


def press_directions(root: Node, plan: Plan) -> Directions:
    """Directions for every join of a block: in a row all one way, the next row the other; row joins all one way.

    Of the two ways to begin, the one that sends more seams toward the darker side.
    """
    directions: Directions = {}
    if not isinstance(root, Joined):
        return directions
    ways = [_directions(root, first) for first in (0, 1)]
    return max(ways, key=lambda way: _toward_dark(root, plan, way))


def _directions(root: Joined, first: int) -> Directions:
    found: Directions = {}
    _direct(root, 1, first, found)
    return found


def _direct(node: Joined, lean: int, first: int, found: Directions) -> None:
    """`lean` is which of two neighbours a seam of this piece goes to; parts side by side lean by turns."""
    for i in range(1, len(node.parts)):
        between = node.parts[i - 1].name, node.parts[i].name
        found[between] = between[lean]
    for i, part in enumerate(node.parts):
        if isinstance(part, Joined):
            _direct(part, (i + first) % 2, first, found)


def _toward_dark(root: Joined, plan: Plan, way: Directions) -> int:
    dark = 0
    for piece in root.pieces():
        for i in range(1, len(piece.parts)):
            before, after = piece.parts[i - 1], piece.parts[i]
            tones = {part.name: _tone(part, plan) for part in (before, after)}
            toward = way[before.name, after.name]
            other = after.name if toward == before.name else before.name
            dark += tones[toward] > tones[other]
    return dark


def _tone(node: Node, plan: Plan) -> int:
    return max(plan.fabrics[key].tone for leaf in leaves(node) for key in leaf.placed.unit.region.cloths())


def seams_of(node: Joined, directions: Directions) -> tuple[SeamPress, ...]:
    """The seams that join the parts of one piece, in order, with their directions."""
    pairs = [(node.parts[i - 1].name, node.parts[i].name) for i in range(1, len(node.parts))]
    return tuple(SeamPress(pair, directions[pair]) for pair in pairs)
