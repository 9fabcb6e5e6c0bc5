"""Stitch and flip: a square laid on a corner, sewn from corner to corner, trimmed to the seam and folded back.

The base keeps its size, so nothing is trimmed afterwards: bases and squares are cut exactly (f + 2s, k + 2s).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.exact.geometry import XY, Segment
from tracker.exact.measure import ROOT2, Measure
from tracker.plan.model import Plan
from tracker.units.maker import Maker, Round, line, numbered, point, token
from tracker.units.recipes.recipe import Recipe, always
from tracker.units.region import Region
from tracker.work.steps import Laid, Size
from tracker.work.things import GOOSE, SNOWBALL


@dataclass(frozen=True)
class Corner:
    """One corner to flip: `right` and `low` say which, `cloth` its cloth, `side` the square's cut side; `under`, where
    it lies over corners flipped before, the cloth along its seam, or all of them where none is mostly there. `bonus`:
    what is cut off is kept as a half-square."""

    right: bool
    low: bool
    cloth: str
    side: Measure
    under: tuple[str, ...] = ()
    bonus: bool = False

    def is_lighter(self, plan: Plan, cloth: str) -> bool:
        """Whether its seam goes toward the base, which is of that cloth."""
        under = self.under or (cloth,)
        return len(under) == 1 and plan.darker(under[0], self.cloth) == under[0]

    @property
    def rising(self) -> bool:
        """Whether the seam across this corner rises to the right."""
        return self.right == self.low

    def place(self, base: Size) -> tuple[Measure, Measure]:
        """Where the square's upper left corner lies on the base."""
        x = base[0] - self.side if self.right else Measure()
        y = base[1] - self.side if self.low else Measure()
        return x, y

    def seam(self, base: Size) -> Segment:
        """The square's diagonal that cuts the corner off."""
        return self._across(base, self.side)

    def bonus_seam(self, base: Size, seam: Measure) -> Segment:
        """A second seam, as far beyond the cut as the first lies before it."""
        return self._across(base, self.side - 2 * seam * ROOT2)

    @property
    def turn(self) -> int:
        """What brings it to lie upper left."""
        return {(False, False): 0, (True, False): 270, (True, True): 180, (False, True): 90}[self.right, self.low]

    def cut(self, base: Size, seam: Measure) -> Segment:
        """A seam's width beyond the seam, toward the corner."""
        return self._across(base, self.side - seam * ROOT2)

    def _across(self, base: Size, reach: Measure) -> Segment:
        width, height = base
        x, away_x = (width, width - reach) if self.right else (Measure(), reach)
        y, away_y = (height, height - reach) if self.low else (Measure(), reach)
        return line(x, away_y, away_x, y)

    def inside(self, base: Size) -> XY:
        """A point of the cut-off corner."""
        width, height = base
        inset = self.side / 8
        return point(width - inset if self.right else inset, height - inset if self.low else inset)


def flip_corners(maker: Maker, base: str, cloth: str, size: Size, corners: Sequence[Corner]) -> str:
    """Flip squares onto corners of a base, as many at once as lie clear of each other; the pile afterwards."""
    plan = maker.bench.plan
    rounds: list[list[Corner]] = []
    for corner in corners:
        side = corner.is_lighter(plan, cloth)
        for together in rounds:
            if all(_clear(corner, c, size) and c.is_lighter(plan, cloth) == side for c in together):
                together.append(corner)
                break
        else:
            rounds.append([corner])
    middle = point(size[0] / 2, size[1] * 5 / 8) if all(not c.low for c in corners) else point(size[0] / 2, size[1] / 2)
    for number, together in enumerate(rounds, 1):
        within = numbered(number, len(rounds))
        laid = []
        for corner in together:
            square = maker.mark(maker.cut(corner.cloth, corner.side), "falling", *(("beside",) if corner.bonus else ()))
            # Flipped onto its face the falling diagonal rises; a line beside it then lies upper left.
            turn = corner.turn if corner.bonus else 0 if corner.rising else 90
            laid.append(Laid(square, turn, *corner.place(size)))
        before = [corner for earlier in rounds[: number - 1] for corner in earlier]
        bonus = [(c, _in_bonus(maker, cloth, c, before, size)) for c in together]
        kept = _sewn_and_cut(maker, maker.pair(base, laid, size, within), size, bonus, middle, within)
        toward = "base" if together[0].is_lighter(plan, cloth) else "laid"
        cloths = (
            together[0].under or (cloth,)
            if toward == "base"
            else tuple(dict.fromkeys(corner.cloth for corner in together))
        )
        base = maker.press(kept, toward, cloths, size, within=within)
    return base


def _sewn_and_cut(
    maker: Maker,
    paired: str,
    size: Size,
    corners: Sequence[tuple[Corner, tuple[str, ...]]],
    middle: XY,
    within: Round,
) -> str:
    """Squares sewn to their corners, which are cut off; the pile of what is kept, opened by nobody yet.

    Where the plan says so, and the seams leave something between them, each corner is sewn a second time first, and
    what is cut off lies on a pile of its own. With each corner stand the cloths that are cut off there.
    """
    lines, extra = [c.seam(size) for c, _ in corners], dict[str, str]()
    parts: list[tuple[XY, int, str | None]] = []
    for corner, cloths in corners:
        if not corner.bonus:
            parts.append((corner.inside(size), 0, None))
            continue
        lines.append(corner.bonus_seam(size, maker.seam))
        hand = f"{corner.cloth}@{token(corner.side)}"
        extra[hand] = maker.left_over(hand, cloths, within)
        parts.append((corner.inside(size), corner.turn, hand))
    if extra:
        within = replace(within, mark=f"{within.mark} with bonus")
    sewn = maker.sew(paired, lines, within)
    cuts = [c.cut(size, maker.seam) for c, _ in corners]
    return maker.cut_apart(sewn, cuts, [(middle, 0, ""), *parts], within, extra=extra)[0]


def bonus_trimmed(plan: Plan, side: Measure) -> Measure | None:
    """What the half-square sewn of a flipped corner can be trimmed to, at most: a square cut `side` loses a seam's
    diagonal to the cut, and as much to its own seam. Down to the ruler's mark; None where nothing would show."""
    square = side - 2 * plan.seam * ROOT2
    trimmed = plan.ruler * (square / plan.ruler).__floor__()
    return trimmed if plan.bonus and trimmed > 2 * plan.seam else None


def _in_bonus(maker: Maker, base: str, corner: Corner, before: Sequence[Corner], size: Size) -> tuple[str, ...]:
    """The cloths that are cut off with a corner: where the flap of one that was flipped before reaches into it, the tip
    of that too, which lies in the seam allowance."""
    reach, found = corner.side - maker.diagonal_seam, {base, corner.cloth}
    for other in before:
        level, upright = other.low == corner.low, other.right == corner.right
        edge = size[0] if level else size[1]
        if level != upright and other.side + reach > edge:
            found.add(other.cloth)
    return tuple(key for key in maker.fabrics if key in found)


def _clear(one: Corner, other: Corner, base: Size) -> bool:
    """Whether two squares lie on their corners without covering each other."""
    (x1, y1), (x2, y2) = one.place(base), other.place(base)
    apart_across = x1 + one.side <= x2 or x2 + other.side <= x1
    return apart_across or y1 + one.side <= y2 or y2 + other.side <= y1


def fits_flipped_goose(region: Region, plan: Plan) -> bool:
    """A goose that points up, twice as wide as high; its two skies may differ."""
    if len(region.columns) != 2 or len(region.rows) != 1:
        return False
    if not region.columns[0] == region.columns[1] == region.rows[0]:
        return False
    (left, goose, below, left_again), (right, right_again, low, low_left) = region.cells[0]
    one_goose = goose == below == low == low_left
    return one_goose and left == left_again and right == right_again and goose not in (left, right)


def make_flipped_goose(maker: Maker, region: Region) -> tuple[str, ...]:
    """A rectangle with a square sewn corner to corner on each side, trimmed to a seam and opened."""
    (left, goose, _, _), (right, _, _, _) = region.cells[0]
    return (
        _flipped(maker, region, goose, [(False, False, left, region.rows[0]), (True, False, right, region.rows[0])]),
    )


Shown = tuple[bool, bool, str, Measure]
"""A corner as a picture shows it: right, low, its cloth and its finished side."""


def _flipped(maker: Maker, region: Region, cloth: str, corners: Sequence[Shown]) -> str:
    width, height = (side + 2 * maker.seam for side in region.finished)
    flips = []
    for right, low, key, finished in corners:
        side = finished + 2 * maker.seam
        flips.append(Corner(right, low, key, side, bonus=bonus_trimmed(maker.bench.plan, side) is not None))
    return flip_corners(maker, maker.cut(cloth, width, height), cloth, (width, height), flips)


def corners_of(region: Region) -> tuple[str, list[Shown]]:
    """The base cloth of a snowball and its corners, in reading order; none where it is no snowball."""
    plain = {quarters for quarters in region.all_quarters() if len(set(quarters)) == 1}
    base = next(iter(plain))[0] if len(plain) == 1 else ""
    corners: list[Shown] = []
    for row, cells in enumerate(region.cells):
        for column, quarters in enumerate(cells):
            if len(set(quarters)) == 1:
                continue
            # Clockwise from the upper left one: the corner of its cell that the other cloth of a half-square fills.
            filled = [at for at in range(4) if quarters[at] == quarters[at - 1] != quarters[at - 2] == quarters[at - 3]]
            at = next((at for at in filled if quarters[at - 2] == base), 0)
            right, low = at in (1, 2), at in (2, 3)
            lies = (row == len(region.rows) - 1 if low else not row) and (
                column == len(region.columns) - 1 if right else not column
            )
            if quarters[at - 2] != base or not filled or not lies or region.columns[column] != region.rows[row]:
                return "", []
            corners.append((right, low, quarters[at], region.columns[column]))
    return base, corners if base else []


def fits_snowball(region: Region, plan: Plan) -> bool:
    """A rectangle of one cloth with corners of others, in the one of its rotations that comes first."""
    if region.is_one_cell or region.finished[0] < region.finished[1] or not corners_of(region)[1]:
        return False
    rotations = [turned for turned in region.all_turns() if turned.finished == region.finished]
    return region.cells == min(turned.cells for turned in rotations)


def make_snowball(maker: Maker, region: Region) -> tuple[str, ...]:
    """A square or rectangle with a square sewn corner to corner on each corner that shows one."""
    return (_flipped(maker, region, *corners_of(region)),)


GEESE = "geese"
"""The plan's setting that chooses among ways."""

RECIPES = (
    Recipe(GOOSE, "flip", fits_flipped_goose, make_flipped_goose, always(3), way_of=GEESE, figure=True),
    Recipe(SNOWBALL, "flip", fits_snowball, make_snowball, lambda region: 1 + len(corners_of(region)[1])),
)
