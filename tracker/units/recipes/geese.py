"""Flying geese four at a time: one large square, four small ones laid on its corners in two passes.

For a goose w = 2h: large w + 2s + 2s√2, small h + 2s + s√2. They come out pointing down.
"""

from __future__ import annotations

from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Plan
from tracker.units.maker import AGAIN, ONCE, Maker, diagonals, point
from tracker.units.recipes.corners import GEESE
from tracker.units.recipes.half_square import either_side
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid
from tracker.work.things import GOOSE


def fits_goose_down(region: Region, plan: Plan) -> bool:
    """A goose that points down, twice as wide as high, one cloth on both sides of it."""
    if len(region.columns) != 2 or len(region.rows) != 1:
        return False
    if not region.columns[0] == region.columns[1] == region.rows[0]:
        return False
    (goose, goose_right, sky, sky_left), (goose_top, sky_right, sky_low, goose_left) = region.cells[0]
    one_goose = goose == goose_right == goose_top == goose_left
    return one_goose and sky == sky_left == sky_right == sky_low != goose


def make_geese_four(maker: Maker, region: Region) -> tuple[str, ...]:
    """Two small squares on the large one, cut apart between them; one more on each half, cut apart again."""
    (goose, _, sky, _), _ = region.cells[0]
    plan, s, away = maker.bench.plan, maker.seam, maker.diagonal_seam
    width, height = region.finished
    large = maker.trimmed_later(width + 2 * s + 2 * away, room=2)
    # Where the large square was rounded up far, the small ones must still reach past the point of each goose.
    small = max(maker.trimmed_later(height + 2 * s + away, room=1), round_up(large / 2 + s, plan.ruler))
    darker = plan.darker(goose, sky)
    toward = "base" if darker == goose else "laid"
    corner = maker.mark(maker.cut(sky, small), "falling")

    # First pass: two small squares on opposite corners, their diagonals in one line across the large square.
    first_line = diagonals(large)["rising"]
    first_corners = [Laid(corner, 0, Measure(), large - small), Laid(corner, 0, large - small, Measure())]
    first = maker.sew(
        maker.pair(maker.cut(goose, large), first_corners, (large, large), ONCE),
        either_side(first_line, s),
        ONCE,
    )
    near, far = large / 4, large * 3 / 4
    parts = [(point(near, near), 0, ""), (point(far, far), 180, "")]
    (halves,) = maker.cut_apart(first, [first_line], parts, ONCE)
    # Opened, the half has its right angle upper left, and its two skies folded out to the lower right.
    side = large - away
    opened = maker.press(halves, toward, (darker,), (side, side), within=ONCE)

    # Second pass: one more small square on the right angle.
    second_line = diagonals(side)["falling"]
    again = maker.pair(opened, [Laid(corner, 90, Measure(), Measure())], (side, side), AGAIN)
    second = maker.sew(again, either_side(second_line, s), AGAIN)
    near, far = side / 4, side * 3 / 4
    parts = [(point(far, near), 0, ""), (point(near, far), 90, "")]
    (quarter,) = maker.cut_apart(second, [second_line], parts, AGAIN)
    # The long side lies on top from the right angle; the goose points down, its point a seam above the trimmed edge.
    reach = side - away
    deep = small - away
    pressed = maker.press(quarter, toward, (darker,), (reach, deep), within=AGAIN)
    centre = point(reach / 2, reach / 2 + s - (height + 2 * s) / 2)
    return (maker.trim(pressed, width + 2 * s, height + 2 * s, centre),)


RECIPES = (Recipe(GOOSE, "four", fits_goose_down, make_geese_four, always(3), way_of=GEESE, figure=True),)
