"""Where pieces are cut larger, to be trimmed: the exact size that would just do, for each of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracker.plan.model import Plan
from tracker.route.compiler import compile_plan
from tracker.work.steps import CutPiece, Size


def exact_sizes(plan: Plan, pieces: Iterable[CutPiece]) -> dict[tuple[str, Size], Size]:
    """The smaller size that a plan's piece has where nothing is added for trimming (up to the ruler's mark), by its
    cloth and size. Pieces that are cut alike either way are left out."""
    if plan.trimming == "exact":
        return {}
    roomy, exact = set(pieces), set(compile_plan(replace(plan, trimming="exact")).pieces)
    found: dict[tuple[str, Size], Size] = {}
    kept = _by_kind(exact - roomy)
    for kind, larger in _by_kind(roomy - exact).items():
        smaller = kept.get(kind, [])
        if len(smaller) == len(larger):
            # More room goes to larger pieces, so both stand in the same order.
            found.update(((kind[0], a), b) for a, b in zip(larger, smaller, strict=True) if _within(b, a))
    return found


def _by_kind(pieces: Iterable[CutPiece]) -> dict[tuple[str, str, int], list[Size]]:
    """Sizes by cloth, use and count, smallest first."""
    found: dict[tuple[str, str, int], list[Size]] = {}
    for piece in pieces:
        found.setdefault((piece.fabric, piece.use, piece.count), []).append((piece.width, piece.height))
    return {kind: sorted(sizes) for kind, sizes in found.items()}


def _within(small: Size, large: Size) -> bool:
    return small[0] <= large[0] and small[1] <= large[1]
