"""Four quarters: two half-square triangles crossed, or one crossed with a whole square.

Two diagonal seams take 2s√2 off the side: the squares are f + 2s + 2s√2. The two results mirror one another.

A whole square crossed with a pressed half-square triangle, which one seam has made smaller, is cut to fit that, so that
both lie edge on edge; or, where the plan says so, it is cut alike from one strip, and stands out on two sides.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.geometry import XY
from tracker.exact.measure import Measure, nearest, round_up
from tracker.plan.model import Plan, Quarters
from tracker.units.maker import Maker, diagonals, point
from tracker.units.recipes.half_square import either_side, inner_half_square
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import TURNS, Region, least_turn, turned_quarters
from tracker.work.steps import Laid
from tracker.work.things import QUARTER_SQUARE, SPLIT


def fits_quarter_square(region: Region, plan: Plan) -> bool:
    """Four quarters in a square, no two neighbours alike, in the rotation by which they are known."""
    if not (region.is_one_cell and region.is_square):
        return False
    quarters = region.quarters
    return all(quarters[i] != quarters[i - 1] for i in range(4)) and quarters == least_turn(quarters)


def mirror_quarter_square(region: Region) -> Region | None:
    """The other hand in its least rotation, or None where a turn makes it the same."""
    top, right, bottom, left = region.quarters
    mirrored = least_turn((left, bottom, right, top))
    return None if mirrored == region.quarters else Region(region.columns, region.rows, ((mirrored,),))


def fits_split(region: Region, plan: Plan) -> bool:
    """The whole half lies up and left; where the quarter repeats its cloth, that quarter lies on the right."""
    if not (region.is_one_cell and region.is_square):
        return False
    top, right, bottom, left = region.quarters
    return top == left and right != bottom and bottom != top


def mirror_split(region: Region) -> Region | None:
    """The other hand, or None where the quarter repeats the cloth of the half and either hand serves."""
    top, right, bottom, left = region.quarters
    if right == top:
        return None
    return Region(region.columns, region.rows, (((top, bottom, right, left),),))


def make_quarter_square(maker: Maker, region: Region) -> tuple[str, ...]:
    """Two half-square triangles crossed: two units, each the mirror image of the other."""
    a, b, c, d = region.quarters
    plan = maker.bench.plan
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(unfinished + 2 * maker.diagonal_seam, room=2)
    base, laid = inner_half_square(maker, a, b, side), inner_half_square(maker, c, d, side)
    upper_right = plan.darker(a, b)
    corners = (b, a, c, d) if upper_right == b else (a, b, d, c)
    opened = side - maker.diagonal_seam
    return _cross(maker, region, mirror_quarter_square(region), _Square(base, opened), _Square(laid, opened), corners)


def make_split(maker: Maker, region: Region) -> tuple[str, ...]:
    """A half-square triangle crossed with a whole square: two units, mirror images."""
    whole, b, c, _ = region.quarters
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(unfinished + 2 * maker.diagonal_seam, room=2)
    opened, plan = side - maker.diagonal_seam, maker.bench.plan
    fitted = plan.split_square == "fitted" and plan.reckoning > 1
    whole_side = _fitted(opened, unfinished + maker.diagonal_seam, plan) if fitted else side
    base = _Square(maker.cut(whole, whole_side), whole_side)
    laid = _Square(inner_half_square(maker, b, c, side), opened)
    return _cross(maker, region, mirror_split(region), base, laid, (whole, whole, b, c))


def _fitted(opened: Measure, least: Measure, plan: Plan) -> Measure:
    """The side of a square that lies edge on edge with a pressed one: to the nearest mark, never below the least."""
    near = nearest(opened, plan.ruler)
    return near if near >= least else round_up(least, plan.ruler)


@dataclass(frozen=True)
class _Square:
    """A pile of squares to be crossed, and their side."""

    pile: str
    side: Measure


def _cross(
    maker: Maker, region: Region, mirror: Region | None, base: _Square, laid: _Square, corners: Quarters
) -> tuple[str, ...]:
    """Lay a half-square triangle on a base, draw the diagonal across its seam, sew each side, cut, press, trim.

    `corners` are the cloths of the base at its upper right and lower left, and those of the laid piece over them.
    They lie centred on each other, or, where the base was cut alike, share the lower left corner and two edges. The two
    results mirror one another. The seam goes to the base, the half that is not marked and, where it is whole, the
    flatter one.
    """
    up_right, low_left, over_up_right, over_low_left = corners
    plan, whole = maker.bench.plan, max(base.side, laid.side)
    across, down = _lies(maker, base.side, laid.side)
    seen = maker.mark_unit(laid.pile, [diagonals(laid.side)["rising"]])
    turn = 270 if plan.darker(over_up_right, over_low_left) == over_up_right else 90
    pair = maker.pair(base.pile, [Laid(seen, turn, across, down)], (whole, whole))
    cut_line = diagonals(whole)["rising"]
    sewn = maker.sew(pair, either_side(cut_line, maker.seam))
    first: Quarters = (up_right, over_up_right, over_low_left, low_left)
    second: Quarters = (over_up_right, up_right, low_left, over_low_left)
    near, far = whole / 4, whole * 3 / 4
    seam_at = base.side - maker.diagonal_seam
    # Opened, the upper half reaches from the base's corner to the laid one's, folded over the seam; the lower likewise.
    opened = seam_at - down, seam_at - across
    results = [(first, point(near, near), opened), (second, point(far, far), opened[::-1])]
    if mirror is not None:
        results.sort(key=lambda result: least_turn(result[0]) != least_turn(region.quarters))
    # Where the pieces differ before trimming, the hands are kept apart until then even if either serves.
    apart = mirror is not None or across != down
    turns = [_turn_to(quarters, region, mirror) for quarters, _, _ in results]
    hands = ["A", "B"] if apart else ["", ""]
    parts = [(inside, turn, hand) for (_, inside, _), turn, hand in zip(results, turns, hands, strict=True)]
    halves = maker.cut_apart(sewn, [cut_line], parts)
    unfinished = region.finished[0] + 2 * maker.seam
    cloths = tuple(dict.fromkeys(corners[:2]))
    reach = whole - maker.diagonal_seam
    centre = point((reach + across - down) / 2, (reach + down - across) / 2)
    units = []
    for half, turn, (_, _, size) in zip(halves, turns, results, strict=False):
        pressed = maker.press(half, "base", cloths, size if turn in (0, 180) else size[::-1])
        middle = turned_point(centre, reach, turn)
        units.append(maker.trim(pressed, unfinished, unfinished, middle, either_hand=mirror is None))
    return tuple(units)


def _lies(maker: Maker, base_side: Measure, laid_side: Measure) -> tuple[Measure, Measure]:
    """How far the laid square lies from the base's left and upper edge."""
    rest = base_side - laid_side
    alike = rest == maker.diagonal_seam
    return (Measure(), rest) if alike else (rest / 2, rest / 2)


def _turn_to(quarters: Quarters, *regions: Region | None) -> int:
    """The turn that makes quarters lie like the first of these regions that they can show."""
    return next(
        turn
        for region in regions
        for turn in TURNS
        if region is not None and turned_quarters(quarters, turn) == region.quarters
    )


def turned_point(place: XY, side: Measure, turn: int) -> XY:
    """A point of a square of that side after the square is turned clockwise."""
    for _ in range(turn // 90):
        place = side - place[1], place[0]
    return place


WAY = "quarter_square"
"""The plan's setting that chooses among ways."""

RECIPES = (
    Recipe(QUARTER_SQUARE, "two", fits_quarter_square, make_quarter_square, always(4), mirror_quarter_square, WAY),
    Recipe(SPLIT, "two", fits_split, make_split, always(3), mirror_split, WAY),
)
