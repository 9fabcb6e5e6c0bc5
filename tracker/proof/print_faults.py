"""How the prints of cloths with a direction lie in a sewn block, told from its cloth, and what the checklist says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from tracker.cloth.pieces import Facet, Piece
from tracker.cloth.sewing_faults import SewingFault, fault
from tracker.exact.geometry import XY, ZERO, box, intersection, rectangle
from tracker.plan.model import Block, Plan
from tracker.proof.block_picture import lines_of
from tracker.work.prints import PrintLie

Ways = set[int | None]

_WAYS = {(0, -1): 0, (1, -1): 45, (1, 0): 90, (1, 1): 135, (0, 1): 180, (-1, 1): 225, (-1, 0): 270, (-1, -1): 315}


def print_faults(plan: Plan, block: Block, piece: Piece, said: Sequence[PrintLie], step: str) -> Iterator[SewingFault]:
    """Places of a block where a print lies otherwise than is said, is said nothing of, is said but does not lie, or
    lies turned in a cloth that has to stand upright. What was said of a place may be cut off with part of it."""
    directed = [each for each in piece.facets if plan.fabrics[each.fabric].directional]
    (columns, lefts), (rows, tops) = (lines_of(block, plan.seam, way) for way in (0, 1))
    ring = len(block.frames)
    picture = rectangle(columns[ring], rows[ring], columns[-1 - ring], rows[-1 - ring])
    told: set[int] = set()
    for each in (lie for lie in said if lie.block == block.key and lie.area is not None):
        assert each.area is not None
        row, column, down, across = each.area
        area = rectangle(lefts[column], tops[row], lefts[column + across], tops[row + down])
        kept = intersection(area, picture)
        own = [facet for facet in directed if facet.fabric == each.cloth]
        facets = [facet for facet in own if kept is not None and facet.shared_with(kept)[1] != ZERO]
        told |= {id(facet) for facet in facets}
        if facets or (kept is not None and box(kept) == box(area)):
            yield from _compared(plan, each, facets, f"r{row + 1}c{column + 1}", step)
    frames = [lie for lie in said if lie.block == block.key and lie.area is None]
    for each in frames:
        facets = [facet for facet in directed if facet.fabric == each.cloth and facet.shared_with(picture)[1] == ZERO]
        told |= {id(facet) for facet in facets}
        yield from _compared(plan, each, facets, "its frames", step)
    for facet in directed:
        if id(facet) not in told and not _is_cut_off(facet, block, plan):
            facts = {"block": block.key, "place": "some place", "what": facet.fabric, "found": _named(_ways([facet]))}
            yield fault(step, "print", wanted="nothing", **facts)
            return


def _compared(plan: Plan, lie: PrintLie, facets: Sequence[Facet], place: str, step: str) -> Iterator[SewingFault]:
    found = _ways(facets)
    facts = {"block": lie.block, "place": place, "what": lie.cloth}
    if found != set(lie.ways):
        yield fault(step, "print", wanted=_named(set(lie.ways)), found=_named(found), **facts)
    elif plan.fabrics[lie.cloth].upright and found - {0}:
        yield fault(step, "print", wanted=_named({0}), found=_named(found), **facts)


def _is_cut_off(facet: Facet, block: Block, plan: Plan) -> bool:
    """Whether a facet lies in the block's own seam allowance alone."""
    width, height = block.finished(plan.seam)
    seam = plan.seam
    return facet.shared_with(rectangle(seam, seam, seam + width, seam + height))[1] == ZERO


def _ways(facets: Iterable[Facet]) -> Ways:
    return {_way(up) for facet in facets for up in facet.ups}


def _way(up: XY) -> int | None:
    """Where the upper end lies, clockwise from upright; None where that is no multiple of 45 degrees."""
    x, y = up
    if x and y and abs(x) != abs(y):
        return None
    return _WAYS[x.sign(), y.sign()]


def _named(ways: Ways) -> str:
    return (
        ", ".join("slanting" if way is None else str(way) for way in sorted(ways, key=lambda way: (way is None, way)))
        or "nowhere"
    )
