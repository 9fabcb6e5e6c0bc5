"""A printed cutting list against what the plan needs: what differs, whether it matters, and the slip behind it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from tracker.defaults import DEFAULTS
from tracker.measure import ROOT2, Measure, nearest, round_up, write_length
from tracker.plan import Plan
from tracker.printed import ListRow
from tracker.setting import DIAGONAL, Setting, join_loss, strips_to_join
from tracker.work import Checklist, Piece, Size, UnitRow

FINISHED, TRIMMED, FRACTION, COUNT_DIGIT = "finished for cut", "trimmed for cut", "lost digit", "digit of the count"
ONE_FOR_TWO, ONE_BLOCK, OTHER_ROW, CLOTHS = "one set for two", "one block's", "another row's count", "another cloth"

_HARDLY = {"in": Fraction(1, 32), "cm": Fraction(1, 10)}
"""A difference in size below this is lost in the sewing."""


@dataclass(frozen=True)
class Finding:
    """One difference. `kind` is too few, too many, wrong size, missing or not needed; `listed` and `needed` are (count,
    size), None where there is none; `slip` names the likely slip of the pen behind it."""

    kind: str
    fabric: str
    listed: tuple[int, Size] | None
    needed: tuple[int, Size] | None
    use: str
    matters: bool
    slip: str | None = None
    line: int | None = None


@dataclass
class _Listed:
    fabric: str
    size: Size
    count: int
    written: str
    line: int


@dataclass
class _Needed:
    fabric: str
    size: Size
    count: int
    uses: tuple[str, ...]


def compare(plan: Plan, checklist: Checklist, setting: Setting, rows: Sequence[ListRow]) -> tuple[Finding, ...]:
    """Every difference between a list and the plan's pieces, in the list's order, then what it lacks."""
    needed = _needed(plan, checklist.pieces)
    return _Comparison(plan, checklist, setting, needed, _listed(rows)).findings()


def _needed(plan: Plan, pieces: Iterable[Piece]) -> list[_Needed]:
    """Pieces by cloth and size, whatever they are for; off every mark (with √2) to the next one."""
    found: dict[tuple[str, Size], _Needed] = {}
    for piece in pieces:
        sides = piece.width, piece.height
        size = tuple(side if side.is_rational else round_up(side, plan.ruler) for side in sides)
        entry = found.setdefault((piece.fabric, (size[0], size[1])), _Needed(piece.fabric, (size[0], size[1]), 0, ()))
        entry.count += piece.count
        entry.uses = tuple(dict.fromkeys((*entry.uses, piece.use)))
    return list(found.values())


def _listed(rows: Sequence[ListRow]) -> list[_Listed]:
    found: dict[tuple[str, Size], _Listed] = {}
    for row in rows:
        size = row.width, row.height
        entry = found.setdefault((row.fabric, size), _Listed(row.fabric, size, 0, row.written, row.line))
        entry.count += row.count
    return list(found.values())


class _Comparison:
    """Listed and needed rows are paired, the surest pairs first; what is left over is missing or not needed."""

    def __init__(
        self, plan: Plan, checklist: Checklist, setting: Setting, needed: list[_Needed], listed: list[_Listed]
    ) -> None:
        self.plan, self.checklist, self.binding = plan, checklist, setting.binding
        self.needed, self.listed = needed, listed
        self.all_listed = list(listed)
        self.blocks = sum(row.count for row in checklist.blocks)
        self.found: list[Finding] = []

    def findings(self) -> tuple[Finding, ...]:
        self._pair(lambda a, b: a.size == b.size and a.fabric == b.fabric, self._counts)
        self._widths()
        self._pair(lambda a, b: a.fabric == b.fabric and self._size_slip(a, b) is not None, self._sizes)
        self._pair(lambda a, b: a.fabric != b.fabric and a.size == b.size and a.count == b.count, self._cloths)
        self._pair(lambda a, b: a.fabric == b.fabric and a.count == b.count and self._near(a, b, 2), self._sizes)
        self._pair(lambda a, b: a.fabric == b.fabric and self._near(a, b, 1), self._sizes)
        self._pair(lambda a, b: a.fabric == b.fabric and a.count == b.count and _alike(a.size, b.size), self._sizes)
        for row in self.listed:
            self.found.append(Finding("not needed", row.fabric, (row.count, row.size), None, "", False, None, row.line))
        self.found.sort(key=lambda finding: finding.line or 0)
        for need in self.needed:
            self.found.append(
                Finding("missing", need.fabric, None, (need.count, need.size), need.uses[0], matters=True)
            )
        return tuple(self.found)

    def _pair(self, fits: Callable[[_Listed, _Needed], bool], tell: Callable[[_Listed, _Needed], None]) -> None:
        """Tell of every pair that fits, rows of equal count first, then of nearest size; each row is in one pair."""
        pairs = [
            (a.count != b.count, self._distance(a, b), i, j)
            for i, a in enumerate(self.listed)
            for j, b in enumerate(self.needed)
            if fits(a, b)
        ]
        gone: tuple[set[int], set[int]] = (set(), set())
        for _, _, i, j in sorted(pairs):
            if i not in gone[0] and j not in gone[1]:
                gone[0].add(i)
                gone[1].add(j)
                tell(self.listed[i], self.needed[j])
        self.listed = [row for i, row in enumerate(self.listed) if i not in gone[0]]
        self.needed = [row for j, row in enumerate(self.needed) if j not in gone[1]]

    @staticmethod
    def _distance(listed: _Listed, needed: _Needed) -> Measure:
        return abs(listed.size[0] - needed.size[0]) + abs(listed.size[1] - needed.size[1])

    def _near(self, listed: _Listed, needed: _Needed, inches: int) -> bool:
        most = Measure(inches if self.plan.unit == "in" else Fraction(5, 2) * inches)
        return all(abs(a - b) <= most for a, b in zip(listed.size, needed.size, strict=True))

    # what is told of a pair

    def _add(self, kind: str, listed: _Listed, needed: _Needed, matters: bool, slip: str | None) -> None:
        pair = (listed.count, listed.size), (needed.count, needed.size)
        self.found.append(Finding(kind, needed.fabric, *pair, needed.uses[0], matters, slip, listed.line))

    def _counts(self, listed: _Listed, needed: _Needed) -> None:
        if listed.count == needed.count:
            return
        few = listed.count < needed.count
        self._add("too few" if few else "too many", listed, needed, few, self._count_slip(listed, needed))

    def _sizes(self, listed: _Listed, needed: _Needed) -> None:
        self._add("wrong size", listed, needed, self._size_matters(listed, needed), self._size_slip(listed, needed))
        self._counts(listed, needed)

    def _cloths(self, listed: _Listed, needed: _Needed) -> None:
        self._add("wrong cloth", listed, needed, True, CLOTHS)

    def _widths(self) -> None:
        """Strips listed by the width of the cloth: for borders, sashes and bindings that are joined of them."""
        for listed in list(self.listed):
            usable = self.plan.fabrics[listed.fabric].usable
            long = [
                need
                for need in self.needed
                if need.fabric == listed.fabric
                and need.size[1] == listed.size[1]
                and set(need.uses) <= {"border", "binding", "sash", "frame"}
            ]
            if not long or listed.size[0] * 10 < usable * 9:
                continue
            loss = join_loss(listed.size[1], self.plan.seam, DIAGONAL)
            total = sum((need.size[0] * need.count for need in long), Measure())
            if long[0].uses == ("binding",) and self.binding is not None:
                total = self.binding.length
            number = strips_to_join(total, listed.size[0], loss) if listed.size[0] > loss else 0
            self.listed.remove(listed)
            self.needed = [need for need in self.needed if need not in long]
            whole = _Needed(listed.fabric, listed.size, number, long[0].uses)
            self._counts(listed, whole)

    # slips

    def _count_slip(self, listed: _Listed, needed: _Needed) -> str | None:
        if needed.count == 2 * listed.count:
            return ONE_FOR_TWO
        if self.blocks > 1 and needed.count == self.blocks * listed.count:
            return ONE_BLOCK
        if needed.count > 9 and _one_digit(str(listed.count), str(needed.count)):
            return COUNT_DIGIT
        others = [row for row in self.all_listed if row.size != listed.size and row.count == listed.count]
        if others and listed.count > 2 * needed.count:
            return OTHER_ROW
        return None

    def _size_slip(self, listed: _Listed, needed: _Needed) -> str | None:
        room = 2 * self.plan.seam
        if all(a + room == b for a, b in zip(listed.size, needed.size, strict=True)):
            return FINISHED
        if needed.size[0] == needed.size[1]:
            for row in self._units_of(needed):
                if listed.size == row.finished:
                    return FINISHED
                if listed.size == row.trimmed:
                    return TRIMMED
        if self._fraction_slip(listed, needed):
            return FRACTION
        return None

    def _units_of(self, needed: _Needed) -> list[UnitRow]:
        """Units that may be made of these squares: cut larger than they are when trimmed, by what triangles take."""
        most = 2 * self.plan.seam * (1 + ROOT2) + round_up(self.plan.seam, self.plan.ruler) * 2
        return [
            row
            for row in self.checklist.units
            if needed.fabric in row.fabrics
            and row.finished[0] == row.finished[1]
            and 0 < needed.size[0] - row.trimmed[0] <= most
        ]

    def _fraction_slip(self, listed: _Listed, needed: _Needed) -> bool:
        """A digit or a part of the fraction is missing or another: 1 1/2 for 10 1/2, 1/2 for 1 1/2, 2 1/8 for 2 7/8.
        A small difference is rather a rule of thumb."""
        wrong = [(a, b) for a, b in zip(listed.size, needed.size, strict=True) if a != b]
        if any(abs(a - b) < 16 * _HARDLY[self.plan.unit] for a, b in wrong):
            return False
        texts = [tuple(write_length(side, self.plan.unit, plain=True) for side in pair) for pair in wrong]
        return bool(texts) and all(_one_digit(a, b) or _part_lost(a, b) for a, b in texts)

    def _size_matters(self, listed: _Listed, needed: _Needed) -> bool:
        changes = [a - b for a, b in zip(listed.size, needed.size, strict=True)]
        hardly = _HARDLY[self.plan.unit]
        if all(abs(change) < hardly for change in changes):
            return False
        if any(change < 0 for change in changes):
            return True
        plain = {row.trimmed for row in self.checklist.units if row.kind == "plain" and needed.fabric in row.fabrics}
        trimmed = needed.uses[0] in ("setting", "frame", "backing", "binding") or (
            needed.uses == ("unit",) and not {needed.size, needed.size[::-1]} & plain
        )
        return not trimmed


def _alike(first: Size, second: Size) -> bool:
    """Neither side is twice that of the other, and both are squares or neither is."""
    if (first[0] == first[1]) != (second[0] == second[1]):
        return False
    return all(a < 2 * b and b < 2 * a for a, b in zip(first, second, strict=True))


def _one_digit(read: str, right: str) -> bool:
    """One digit is another, or is missing or too many."""
    if len(read) == len(right):
        return sum(a != b for a, b in zip(read, right, strict=True)) == 1
    short, long = sorted((read, right), key=len)
    return len(long) == len(short) + 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long)))


def _part_lost(read: str, right: str) -> bool:
    """The whole number or the fraction of a mixed number is missing."""
    return " " in right and read in right.split(" ")


# Without a plan

MOST_SQUARES = 6
"""Of so many sizes of squares every way of taking them is tried."""

_TRIMMING_ROOM = {"in": Fraction(1, 8), "cm": Fraction(3, 10)}
"""What a square is usually cut larger for each seam along its diagonal, where it is trimmed."""


@dataclass(frozen=True)
class AreaCheck:
    """Finished area of all the pieces of a list, against that of the block; `shapes` is how each row was taken."""

    pieces: Fraction
    block: Fraction
    shapes: tuple[str, ...]

    @property
    def difference(self) -> Fraction:
        return self.pieces - self.block


def check_areas(rows: Sequence[ListRow], finished: Size, seam: Measure, unit: str) -> AreaCheck:
    """Add up the finished areas. Where the list does not say what is made of its squares, a way of taking them that
    adds up is taken; where none does, each is taken as its fraction suggests."""
    block = (finished[0] * finished[1]).rational
    sizes = {(row.width, row.height): None for row in rows if not row.shape}
    taken = {size: _reading(size, unit) for size in sizes}
    if sum(width == height for width, height in sizes) <= MOST_SQUARES:
        for choice in product(*(_readings(size) for size in sizes)):
            tried = dict(zip(sizes, choice, strict=True))
            if _total(rows, _shapes(rows, tried), seam, unit) == block:
                taken = tried
                break
    shapes = _shapes(rows, taken)
    return AreaCheck(_total(rows, shapes, seam, unit), block, shapes)


def _shapes(rows: Sequence[ListRow], taken: dict[Size, str]) -> tuple[str, ...]:
    return tuple(row.shape or taken[row.width, row.height] for row in rows)


def _readings(size: Size) -> list[str]:
    return ["square", "hst", "qst", "roomy hst", "roomy qst"] if size[0] == size[1] else ["rectangle"]


def _reading(size: Size, unit: str) -> str:
    """What a size is most likely for, by its fraction: 2 7/8 for half, 5 1/4 for quarter-square triangles."""
    if size[0] != size[1]:
        return "rectangle"
    if unit == "cm" or not size[0].is_rational:
        return "square"
    return {8: "hst", 4: "qst"}.get(size[0].rational.denominator, "square")


def _total(rows: Sequence[ListRow], shapes: Sequence[str], seam: Measure, unit: str) -> Fraction:
    return sum(
        (row.count * finished_area(row, shape, seam, unit) for row, shape in zip(rows, shapes, strict=True)),
        Fraction(),
    )


def finished_area(row: ListRow, shape: str, seam: Measure, unit: str) -> Fraction:
    """The area that one piece fills in the block; a corner flipped onto another piece fills nothing more."""
    room, slant = 2 * seam, ROOT2 * seam
    if shape == "flip":
        return Fraction()
    if shape in ("rectangle", "square"):
        return ((row.width - room) * (row.height - room)).rational
    spare = _TRIMMING_ROOM[unit]
    exact = {
        "hst": row.width - room - slant,
        "roomy hst": row.width - room - slant - spare,
        "roomy qst": row.width - room - 2 * (slant + spare),
        "qst": row.width - room - 2 * slant,
        "hst8": row.width / 2 - room - slant,
        "hst4": (row.width - room) / ROOT2 - room,
    }[shape]
    # Squares for triangles are cut a little generously: their size is meant for the mark below.
    side = nearest(exact, DEFAULTS[unit].ruler)
    times = {"hst8": 4, "hst4": 2}.get(shape, 1)
    return times * (side * side).rational
