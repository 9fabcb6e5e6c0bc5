"""Where pieces are cut larger, to be trimmed: the exact size that would just do, for each of them; and setting
triangles, whose size says whether points float."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.printed.list_findings import FLOATING, TOUCHING, NeededPieces
from tracker.route.compiler import compile_plan
from tracker.work.steps import CutPiece, Size

_FLOATS = {"in": (Fraction(1, 2), Fraction(5, 2)), "cm": (Fraction(13, 10), Fraction(65, 10))}
"""Squares for setting triangles that are larger by more than the first are not cut so to be trimmed, but to let points
float; by more than the second they are a mistake."""


def exact_sizes(plan: Plan, pieces: Iterable[CutPiece], ruler: Measure | None = None) -> dict[tuple[str, Size], Size]:
    """The smaller size that a plan's piece has where nothing is added for trimming (up to the mark of the plan's ruler,
    or of another), by its cloth and size. Pieces that are cut alike either way are left out."""
    alike = replace(plan, trimming="exact", ruler=ruler or plan.ruler)
    if alike == plan:
        return {}
    roomy, exact = set(pieces), set(compile_plan(alike).pieces)
    found: dict[tuple[str, Size], Size] = {}
    kept = _by_kind(exact - roomy)
    for kind, larger in _by_kind(roomy - exact).items():
        smaller = kept.get(kind, [])
        # More room goes to larger pieces, so both stand in the same order; what differs only in its room may be one
        # size without it.
        pairs = set(zip(larger, smaller, strict=False)) if len(larger) == len(smaller) else set()
        sizes = [size for size, _ in pairs]
        found.update(((kind[0], a), b) for a, b in pairs if sizes.count(a) == 1 and _within(b, a))
    return found


def says_of_points(plan: Plan, listed: Measure, needed: NeededPieces) -> str | None:
    """What squares for setting triangles say of the points that they go round, where they are larger than the plan's by
    more than is trimmed, or as large as they would be if its points did not float; None: nothing."""
    room, most = _FLOATS[plan.unit]
    if room < listed - needed.size[0] <= most:
        return FLOATING
    if plan.quilt.floats is None or needed.least is None:
        return None
    least, usual = (size[0] - 2 * plan.quilt.floats for size in (needed.least, needed.size))
    return TOUCHING if least <= listed <= usual else None


def _by_kind(pieces: Iterable[CutPiece]) -> dict[tuple[str, str], list[Size]]:
    """The size of every piece by cloth and use, smallest first."""
    found: dict[tuple[str, str], list[Size]] = {}
    for piece in pieces:
        found.setdefault((piece.fabric, piece.use), []).extend([(piece.width, piece.height)] * piece.count)
    return {kind: sorted(sizes) for kind, sizes in found.items()}


def _within(small: Size, large: Size) -> bool:
    return small[0] <= large[0] and small[1] <= large[1]
