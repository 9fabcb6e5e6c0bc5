"""Where seams run out along the edges of a top, border after border, so that it is known what meets a pieced border."""

from __future__ import annotations

from collections.abc import Mapping

from tracker.exact.measure import Measure
from tracker.route.centre_route import Edges
from tracker.work.steps import Size
from tracker.work.things import SIDES
from tracker.work.whole_blocks import Nest

AROUND = {SIDES: ("left", "right"), "top and bottom": ("upper", "lower")}
"""The edges that a pair of strips is sewn to, in the order of their seams."""


class TopEdges:
    """The edges of a top as it grows."""

    def __init__(self, edges: Edges, seam: Measure) -> None:
        self.edges, self.seam = edges, seam

    def met(self, strip: Mapping[Measure, int], where: str, size: Size) -> tuple[tuple[Nest, ...], ...]:
        """What meets along both seams of two strips, whose seams run out so where they lie above the quilt, sewn to a
        top of unfinished `size`."""
        found = []
        for edge in AROUND[where]:
            own, lying = self.edges[edge], _lying(strip, edge, size)
            found.append(tuple(Nest(at, own[at] != lying[at]) for at in sorted(own) if at in lying))
        return tuple(found)

    def covered(self) -> None:
        """A mitred border lies round it, in which no seam runs out but at the corners."""
        self.edges = {edge: {} for edge in self.edges}

    def grow(self, wide: Measure, where: str, size: Size, strip: Mapping[Measure, int]) -> None:
        """Two strips of finished width `wide` are sewn on, and pressed to the strips: the top is of `size` now."""
        across = where == SIDES
        length = size[0] if across else size[1]
        for edge in AROUND["top and bottom" if across else SIDES]:
            moved = {at + wide: side for at, side in self.edges[edge].items()}
            first = self.seam + wide
            self.edges[edge] = moved | {first: 0, length - first: 1}
        for edge in AROUND[where]:
            self.edges[edge] = dict(_lying(strip, edge, size))


def _lying(strip: Mapping[Measure, int], edge: str, size: Size) -> dict[Measure, int]:
    """Where the seams of a strip lie along an edge, by how it is turned there."""
    if edge in ("upper", "right"):
        return dict(strip)
    length = size[1] if edge == "left" else size[0]
    return {length - at: 1 - side for at, side in strip.items()}
