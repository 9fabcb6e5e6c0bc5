"""How each unit is made: one entry a way of making, and everything else follows from it.

A recipe says which region of a picture it makes (in one orientation; the compiler tries all four), and writes the
steps on a `Maker`. Cut sizes, step sizes, drawings, handedness, yield and proof all come from those steps. To add a
unit, write one `make` function and one entry in `RECIPES`.

Throughout f is a finished side, s the seam, u = f + 2s; a diagonal seam takes s√2 off the side of its square.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracker.making import Maker, diagonals, line, point, token
from tracker.measure import ROOT2, Measure
from tracker.plan import Plan, Quarters
from tracker.region import TURNS, Region, least_turn, turned_quarters
from tracker.work import Laid, Line, Point

RIGHT_ANGLE_UP_RIGHT = {"upper left": 90, "upper right": 0, "lower right": 270, "lower left": 180}
"""The turn that brings a triangle's right angle from that corner to the upper right, where like halves all lie."""


@dataclass(frozen=True)
class Recipe:
    """One way to make one kind of unit.

    `fits(region, plan)` is true for regions it makes, as they come out of `make`. `make(maker, region)` writes the
    steps and returns the pile of finished units, and after it the pile of mirror images where the process makes such.
    `mirror(region)` is what those mirror images show, or None where there are none or either hand serves.
    `way_of` names the plan's setting that asks for this way ("half_square", "geese"); None where there is one way.
    """

    kind: str
    way: str | None
    fits: Callable[[Region, Plan], bool]
    make: Callable[[Maker, Region], tuple[str, ...]]
    mirror: Callable[[Region], Region | None] = lambda region: None
    way_of: str | None = None


# Plain patches


def fits_plain(region: Region, plan: Plan) -> bool:
    width, height = region.finished
    return region.is_one_cell and len(set(region.quarters)) == 1 and width >= height


def make_plain(maker: Maker, region: Region) -> tuple[str, ...]:
    width, height = region.finished
    return (maker.cut(region.quarters[0], width + 2 * maker.seam, height + 2 * maker.seam),)


# Half-square triangles: the darker cloth is the base and comes out upper right, the seam falling to the right.


def fits_half_square(region: Region, plan: Plan) -> bool:
    top, right, bottom, left = region.quarters
    falling = top == right and bottom == left and top != left
    return region.is_one_cell and region.is_square and falling and plan.darker(top, left) == top


def _marked_pair(maker: Maker, dark: str, light: str, side: Measure, *marks: str) -> str:
    """A light square, marked on its back, laid on a dark one."""
    base, laid = maker.cut(dark, side), maker.mark(maker.cut(light, side), *marks)
    return maker.pair(base, [Laid(laid, 90, Measure(), Measure())], (side, side))


def _either_side(middle: Line, seam: Measure) -> tuple[Line, Line]:
    """The two sewing lines, a seam's width each side of a marked diagonal, out to the edges of its square."""
    away = seam * ROOT2
    (x1, y1), (x2, y2) = (middle.start.x, middle.start.y), (middle.end.x, middle.end.y)
    if y2 > y1:
        return line(x1 + away, y1, x2, y2 - away), line(x1, y1 + away, x2 - away, y2)
    return line(x1, y1 - away, x2 - away, y2), line(x1 + away, y1, x2, y2 + away)


def _press_and_trim_half_square(
    maker: Maker, half: str, opened: Measure, trimmed: Measure, turn: int = 0
) -> tuple[str, ...]:
    pressed = maker.press(half, "base", (opened, opened), turn)
    return (maker.trim(pressed, trimmed, trimmed, point(opened / 2, opened / 2)),)


def _half_square_cut_apart(maker: Maker, dark: str, light: str, side: Measure) -> str:
    """Two squares to two folded halves."""
    mark = diagonals(side)["falling"]
    pair = _marked_pair(maker, dark, light, side, "falling")
    sewn = maker.sew(pair, _either_side(mark, maker.seam))
    parts = [(point(side * 3 / 4, side / 4), 0, ""), (point(side / 4, side * 3 / 4), 180, "")]
    return maker.cut_apart(sewn, [mark], parts)[0]


def make_half_square_two(maker: Maker, region: Region) -> tuple[str, ...]:
    top, _, _, left = region.quarters
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(unfinished + maker.diagonal_seam, room=1)
    half = _half_square_cut_apart(maker, top, left, side)
    return _press_and_trim_half_square(maker, half, side - maker.diagonal_seam, unfinished)


def make_half_square_four(maker: Maker, region: Region) -> tuple[str, ...]:
    """Sewn all round the edge, cut on both diagonals: the outer edges of the units are bias."""
    top, _, _, left = region.quarters
    s = maker.seam
    unfinished = region.finished[0] + 2 * s
    side = maker.trimmed_later(ROOT2 * unfinished + 2 * s, room=2)
    far, middle = side - s, side / 2
    pair = maker.pair(maker.cut(top, side), [Laid(maker.cut(left, side), 0, Measure(), Measure())], (side, side))
    sewn = maker.sew(pair, [line(s, s, far, s), line(far, s, far, far), line(far, far, s, far), line(s, far, s, s)])
    parts = [
        (point(middle, side / 4), 0, ""),
        (point(side * 3 / 4, middle), 270, ""),
        (point(middle, side * 3 / 4), 180, ""),
        (point(side / 4, middle), 90, ""),
    ]
    (half,) = maker.cut_apart(sewn, list(diagonals(side).values()), parts)
    # Opened, it stands on its point with the base below the seam.
    return _press_and_trim_half_square(maker, half, (side - 2 * s) / ROOT2, unfinished, turn=225)


def make_half_square_eight(maker: Maker, region: Region) -> tuple[str, ...]:
    """Both diagonals marked, a seam each side of both; cut across, down, and on both diagonals."""
    top, _, _, left = region.quarters
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(2 * (unfinished + maker.diagonal_seam), room=2)
    marks, middle = diagonals(side), side / 2
    sewn = maker.sew(
        _marked_pair(maker, top, left, side, "falling", "rising"),
        [each for mark in marks.values() for each in _either_side(mark, maker.seam)],
    )
    cuts = [line(0, middle, side, middle), line(middle, 0, middle, side), *marks.values()]
    near, far = side / 8, side * 3 / 8
    corners = {"upper left": (0, 0), "upper right": (1, 0), "lower right": (1, 1), "lower left": (0, 1)}
    opposite = {
        "upper left": "lower right",
        "lower right": "upper left",
        "upper right": "lower left",
        "lower left": "upper right",
    }
    parts = []
    for quarter, (right, low) in corners.items():
        # A quarter is cut in two on its diagonal through the middle: the right angles lie at its other two corners.
        for corner in corners:
            if corner in (quarter, opposite[quarter]):
                continue
            across, down = corners[corner]
            inside = point(right * middle + (far if across else near), low * middle + (far if down else near))
            parts.append((inside, RIGHT_ANGLE_UP_RIGHT[corner], ""))
    (half,) = maker.cut_apart(sewn, cuts, parts)
    return _press_and_trim_half_square(maker, half, side / 2 - maker.diagonal_seam, unfinished)


# Four quarters: two half-square triangles crossed, or one crossed with a whole square.


def fits_quarter_square(region: Region, plan: Plan) -> bool:
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
    top, right, bottom, left = region.quarters
    if right == top:
        return None
    return Region(region.columns, region.rows, (((top, bottom, right, left),),))


def _inner_half_square(maker: Maker, first: str, second: str, side: Measure) -> str:
    """A half-square triangle that goes into another unit: pressed, not trimmed; pooled by cloths and cut size."""
    plan = maker.bench.plan
    dark = plan.darker(first, second)
    light = second if dark == first else first
    making = f"inner half-square triangle:{dark}+{light}:{token(side)}"
    inner = Maker(maker.bench, making, "inner half-square triangle", (dark, light))
    opened = side - maker.diagonal_seam
    return inner.press(_half_square_cut_apart(inner, dark, light, side), "base", (opened, opened))


def _is_darker(plan: Plan, first: tuple[str, str], second: tuple[str, str]) -> bool:
    """True where the first side of a seam, of two cloths, is darker: by its darkest cloth, then by its other."""
    return _tones(plan, first) > _tones(plan, second)


def _tones(plan: Plan, cloths: tuple[str, str]) -> list[int]:
    return sorted((plan.fabrics[key].tone for key in cloths), reverse=True)


def make_quarter_square(maker: Maker, region: Region) -> tuple[str, ...]:
    a, b, c, d = region.quarters
    plan = maker.bench.plan
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(unfinished + 2 * maker.diagonal_seam, room=2)
    base, laid = _inner_half_square(maker, a, b, side), _inner_half_square(maker, c, d, side)
    upper_right = plan.darker(a, b)
    corners = (b, a, c, d) if upper_right == b else (a, b, d, c)
    toward = "laid" if _is_darker(plan, (c, d), (a, b)) else "base"
    opened = side - maker.diagonal_seam
    return _cross(maker, region, mirror_quarter_square(region), base, opened, laid, opened, corners, toward)


def make_split(maker: Maker, region: Region) -> tuple[str, ...]:
    whole, b, c, _ = region.quarters
    plan = maker.bench.plan
    unfinished = region.finished[0] + 2 * maker.seam
    side = maker.trimmed_later(unfinished + 2 * maker.diagonal_seam, room=2)
    base, laid = maker.cut(whole, side), _inner_half_square(maker, b, c, side)
    # Toward the plain patch, which is the flatter side, unless both cloths of the other are darker.
    tones = [plan.fabrics[key].tone for key in (b, c)]
    toward = "laid" if min(tones) > plan.fabrics[whole].tone else "base"
    opened = side - maker.diagonal_seam
    return _cross(maker, region, mirror_split(region), base, side, laid, opened, (whole, whole, b, c), toward)


def _cross(
    maker: Maker,
    region: Region,
    mirror: Region | None,
    base: str,
    base_side: Measure,
    laid: str,
    laid_side: Measure,
    corners: tuple[str, str, str, str],
    toward: str,
) -> tuple[str, ...]:
    """Lay a half-square triangle on a base, draw the diagonal across its seam, sew each side, cut, press, trim.

    `corners` are the cloths of the base at its upper right and lower left, and those of the laid piece over them.
    They share the lower left corner and two edges. The two results mirror one another.
    """
    up_right, low_left, over_up_right, over_low_left = corners
    plan, size = maker.bench.plan, (base_side, base_side)
    low = base_side - laid_side
    seen = maker.mark_unit(laid, [diagonals(laid_side)["rising"]])
    turn = 270 if plan.darker(over_up_right, over_low_left) == over_up_right else 90
    pair = maker.pair(base, [Laid(seen, turn, Measure(), low)], size)
    cut_line = diagonals(base_side)["rising"]
    sewn = maker.sew(pair, _either_side(cut_line, maker.seam))
    first: Quarters = (up_right, over_up_right, over_low_left, low_left)
    second: Quarters = (over_up_right, up_right, low_left, over_low_left)
    near, far = base_side / 4, base_side * 3 / 4
    parts: list[tuple[Point, int, str]] = []
    turns: dict[str, int] = {}
    for quarters, inside in ((first, point(near, near)), (second, point(far, far))):
        hand, turn = _hand_and_turn(quarters, region, mirror)
        parts.append((inside, turn, hand))
        turns.setdefault(hand, turn)
    parts.sort(key=lambda part: part[2])
    halves = maker.cut_apart(sewn, [cut_line], parts)
    opened = base_side - maker.diagonal_seam
    unfinished = region.finished[0] + 2 * maker.seam
    units = []
    for half, turn in zip(halves, turns_in_order(turns), strict=True):
        centre = turned_point(point((opened - low) / 2, (opened + low) / 2), opened, turn)
        units.append(maker.trim(maker.press(half, toward, (opened, opened)), unfinished, unfinished, centre))
    return tuple(units)


def turns_in_order(turns: dict[str, int]) -> list[int]:
    return [turns[hand] for hand in sorted(turns)]


def _hand_and_turn(quarters: Quarters, region: Region, mirror: Region | None) -> tuple[str, int]:
    """Which bag a result goes to, and the turn that makes it lie like its region. The only hand there is has no bag."""
    for hand, wanted in (("A" if mirror else "", region), ("B", mirror)):
        for turn in TURNS:
            if wanted is not None and turned_quarters(quarters, turn) == wanted.quarters:
                return hand, turn
    raise AssertionError(f"{quarters} is neither hand of {region.quarters}")


def turned_point(place: Point, side: Measure, turn: int) -> Point:
    """A point of a square of that side after the square is turned clockwise."""
    for _ in range(turn // 90):
        place = Point(side - place.y, place.x)
    return place


RECIPES: tuple[Recipe, ...] = (
    Recipe("plain", None, fits_plain, make_plain),
    Recipe("half-square triangle", "two", fits_half_square, make_half_square_two, way_of="half_square"),
    Recipe("half-square triangle", "four", fits_half_square, make_half_square_four, way_of="half_square"),
    Recipe("half-square triangle", "eight", fits_half_square, make_half_square_eight, way_of="half_square"),
    Recipe("quarter-square triangle", "two", fits_quarter_square, make_quarter_square, mirror_quarter_square),
    Recipe("split quarter-square triangle", "two", fits_split, make_split, mirror_split),
)
"""Every way to make every unit. Where several fit one region, the plan's setting chooses among them."""
