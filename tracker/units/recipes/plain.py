"""Plain patches: f + 2s each way, nothing trimmed."""

from __future__ import annotations

from tracker.plan.model import Plan
from tracker.units.maker import Maker
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region


def fits_plain(region: Region, plan: Plan) -> bool:
    """One cloth, lying with its longer side across."""
    width, height = region.finished
    return len(set(region.quarters)) == 1 and region.is_one_cell and width >= height


def make_plain(maker: Maker, region: Region) -> tuple[str, ...]:
    """Cut to size: nothing to sew."""
    width, height = region.finished
    return (maker.cut(region.quarters[0], width + 2 * maker.seam, height + 2 * maker.seam),)


RECIPES = (Recipe("plain", None, fits_plain, make_plain, always(1)),)
