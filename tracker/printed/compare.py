"""A printed cutting list against what the plan needs: what differs, whether it matters, and the slip behind it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product

from tracker.exact.measure import ROOT2, Measure, round_up, write_length
from tracker.plan.model import Plan
from tracker.printed.list_findings import (
    CLOTHS,
    COUNT_DIGIT,
    EXACT,
    FINISHED,
    FRACTION,
    LESS_ROOM,
    LESS_ROUNDED,
    ONE_BLOCK,
    ONE_FOR_TWO,
    OTHER_ROW,
    OTHER_SCHOOL,
    OTHERS_SIZE,
    TRIMMED,
    ListedPieces,
    ListFinding,
    NeededPieces,
    listed_pieces,
    needed_pieces,
)
from tracker.printed.list_table import MOST_LINES, ListRow
from tracker.printed.listed_diamonds import HARDLY, compare_diamonds
from tracker.printed.roomy_sizes import exact_sizes, says_of_points
from tracker.quilt.borders import strips_to_join
from tracker.quilt.setting import Setting
from tracker.work.steps import Checklist, CutPiece, Size, UnitRow

_FINEST = {"in": Measure(Fraction(1, 256)), "cm": Measure(Fraction(1, 100))}
"""A mark that rounds nothing that matters."""

_THREAD = {"in": Fraction(1, 64), "cm": Fraction(4, 100)}
"""So much a piece that is trimmed may lack."""

_FRAME_ROOM = {"in": Measure(1), "cm": Measure(Fraction(5, 2))}
"""So much longer are frame strips cut by those who trim them when they are sewn on."""

_LONG = {"border", "binding", "sash", "frame"}
"""What strips are cut for; the lengths of all but the binding are those of what they are sewn to."""

MOST_PAIRS = 40_000
"""Of so many pairs of rows the likeliest are looked for. A list that is further from the plan is told row by row."""


def compare(plan: Plan, checklist: Checklist, setting: Setting, rows: Sequence[ListRow]) -> tuple[ListFinding, ...]:
    """Every difference between a list and the plan's pieces, in the list's order, then what it lacks."""
    told, strips = compare_diamonds(plan, checklist, rows)
    needed = needed_pieces(replace(piece, count=count) for piece in checklist.pieces if (count := _left(piece, strips)))
    others = listed_pieces([row for row in rows if row.shape != "diamond"])
    found = (*told, *_Comparison(plan, checklist, setting, needed, others).findings())
    return tuple(sorted(found, key=lambda finding: finding.line or MOST_LINES + 1)) if told else found


def _left(piece: CutPiece, strips: Counter[tuple[str, Size]]) -> int:
    """How many pieces are needed beside the strips of diamonds that are compared as such."""
    return piece.count - (strips[piece.fabric, (piece.width, piece.height)] if piece.use == "unit" else 0)


class _Comparison:
    """Listed and needed rows are paired, the surest pairs first; what is left over is missing or not needed."""

    def __init__(
        self, plan: Plan, checklist: Checklist, setting: Setting, needed: list[NeededPieces], listed: list[ListedPieces]
    ) -> None:
        self.plan, self.checklist, self.binding = plan, checklist, setting.binding
        self.needed, self.listed = needed, listed
        self.sizes_of_count: dict[int, set[Size]] = {}
        for row in listed:
            self.sizes_of_count.setdefault(row.count, set()).add(row.size)
        self.units: dict[tuple[str, Measure], list[UnitRow]] = {}
        self.blocks = sum(row.count for row in checklist.blocks)
        self.over: list[tuple[ListedPieces, NeededPieces]] = []
        self.found: list[ListFinding] = []

    def findings(self) -> tuple[ListFinding, ...]:
        def cloth(row: ListedPieces | NeededPieces) -> Hashable:
            return row.fabric

        def cloth_and_count(row: ListedPieces | NeededPieces) -> Hashable:
            return row.fabric, row.count

        self._pair(lambda row: (row.fabric, row.size), lambda a, b: True, self._same)
        self._widths()
        self._exact()
        self._settings()
        self._pair(cloth, self._has_enough, self._sizes)
        self._pair(cloth, lambda a, b: self._size_slip(a, b) is not None, self._sizes)
        self._pair(lambda row: (row.fabric, row.size[1], row.count), lambda a, b: set(b.uses) <= _LONG, self._sizes)
        self._pair(lambda row: (row.size, row.count), lambda a, b: a.fabric != b.fabric, self._cloths)
        self._pair(cloth_and_count, lambda a, b: self._near(a, b, 2), self._sizes)
        self._others()
        self._pair(cloth, lambda a, b: self._near(a, b, 1), self._sizes)
        self._pair(cloth_and_count, lambda a, b: _alike(a.size, b.size), self._sizes)
        for row in self.listed:
            found = ListFinding("not needed", row.fabric, (row.count, row.size), None, "", matters=False)
            self.found.append(replace(found, lines=tuple(row.lines), more_cloth=self._cloth(row)))
        self.found.sort(key=lambda finding: finding.line or 0)
        for need in self.needed:
            self.found.append(
                ListFinding("missing", need.fabric, None, (need.count, need.size), need.uses[0], matters=True)
            )
        return tuple(self.found)

    def _pair(
        self,
        key: Callable[[ListedPieces | NeededPieces], Hashable],
        fits: Callable[[ListedPieces, NeededPieces], bool],
        tell: Callable[[ListedPieces, NeededPieces], None],
    ) -> None:
        """Tell of every pair of one key that fits, rows of equal count first, then of nearest size; each row is in one
        pair."""
        gone: tuple[set[int], set[int]] = (set(), set())
        groups: dict[Hashable, tuple[list[int], list[int]]] = {}
        both: tuple[Sequence[ListedPieces | NeededPieces], ...] = (self.listed, self.needed)
        for place, rows in enumerate(both):
            for number, row in enumerate(rows):
                groups.setdefault(key(row), ([], []))[place].append(number)
        left = MOST_PAIRS
        pairs = []
        for ours, theirs in sorted(groups.values(), key=lambda group: len(group[0]) * len(group[1])):
            left -= len(ours) * len(theirs)
            if left < 0:
                break
            for i, j in product(ours, theirs):
                a, b = self.listed[i], self.needed[j]
                if fits(a, b):
                    pairs.append((a.count != b.count, self._distance(a, b), i, j))
        for _, _, i, j in sorted(pairs):
            if i not in gone[0] and j not in gone[1]:
                gone[0].add(i)
                gone[1].add(j)
                tell(self.listed[i], self.needed[j])
        self.listed = [row for i, row in enumerate(self.listed) if i not in gone[0]]
        self.needed = [row for j, row in enumerate(self.needed) if j not in gone[1]]

    @staticmethod
    def _distance(listed: ListedPieces, needed: NeededPieces) -> Measure:
        return abs(listed.size[0] - needed.size[0]) + abs(listed.size[1] - needed.size[1])

    def _near(self, listed: ListedPieces, needed: NeededPieces, inches: int) -> bool:
        most = Measure(inches if self.plan.unit == "in" else Fraction(5, 2) * inches)
        return all(abs(a - b) <= most for a, b in zip(listed.size, needed.size, strict=True))

    # what is told of a pair

    def _add(self, kind: str, listed: ListedPieces, needed: NeededPieces, matters: bool, slip: str | None) -> None:
        pair = (listed.count, listed.size), (needed.count, needed.size)
        instead = listed.fabric if kind == "wrong cloth" else None
        more = self._cloth(listed) - self._cloth(needed) if listed.fabric == needed.fabric else Measure()
        found = ListFinding(kind, needed.fabric, *pair, needed.uses[0], matters, slip, tuple(listed.lines), instead)
        self.found.append(replace(found, more_cloth=max(more, Measure())))

    def _cloth(self, row: ListedPieces | NeededPieces) -> Measure:
        """The length of cloth that a row takes, cut in strips of its own across the width."""
        return strips_length(row.size, row.count, self.plan.fabrics[row.fabric].usable)

    def _counts(self, listed: ListedPieces, needed: NeededPieces) -> None:
        if listed.count == needed.count:
            return
        few = listed.count < needed.count
        self._add("too few" if few else "too many", listed, needed, few, self._count_slip(listed, needed))

    def _sizes(self, listed: ListedPieces, needed: NeededPieces) -> None:
        self._add("wrong size", listed, needed, self._size_matters(listed, needed), self._size_slip(listed, needed))
        self._counts(listed, needed)

    def _cloths(self, listed: ListedPieces, needed: NeededPieces) -> None:
        self._add("wrong cloth", listed, needed, True, CLOTHS)

    def _same(self, listed: ListedPieces, needed: NeededPieces) -> None:
        """Of too many it is told later: they may be meant for a row of another size."""
        if listed.count > needed.count:
            self.over.append((listed, needed))
        else:
            self._counts(listed, needed)

    def _others(self) -> None:
        """More of one size than are needed, and just as many missing of a size near it: those are listed in the size of
        the others."""
        missing: dict[tuple[str, int], list[NeededPieces]] = {}
        for need in self.needed:
            missing.setdefault((need.fabric, need.count), []).append(need)
        for listed, needed in self.over:
            spare = replace(listed, count=listed.count - needed.count)
            asked = missing.get((spare.fabric, spare.count), [])
            near = [need for need in asked if self._near(spare, need, 2) and _alike(spare.size, need.size)]
            if near:
                need = min(near, key=lambda need: self._distance(spare, need))
                asked.remove(need)
                self.needed.remove(need)
                self._add("wrong size", spare, need, self._too_small(spare, need), OTHERS_SIZE)
            else:
                self._counts(listed, needed)

    def _exact(self) -> None:
        """Where rows are left, find what each piece that is trimmed must be cut at least."""
        if self.listed and self.needed:
            exact = exact_sizes(self.plan, self.checklist.pieces)
            least = exact_sizes(self.plan, self.checklist.pieces, _FINEST[self.plan.unit])
            keys = [(need.fabric, need.size) for need in self.needed]
            self.needed = [
                replace(need, exact=exact.get(key), least=least.get(key))
                for need, key in zip(self.needed, keys, strict=True)
            ]
            self.listed = [part for row in self.listed for part in self._shared(row)]

    def _shared(self, listed: ListedPieces) -> list[ListedPieces]:
        """A row among all that it is enough for where it is the exact size of several; else as it is."""
        served = [need for need in self.needed if (need.fabric, need.exact) == (listed.fabric, listed.size)]
        spare = listed.count - sum(need.count for need in served)
        if len(served) < 2 or spare < 0:
            return [listed]
        counts = [need.count for need in served]
        return [replace(listed, count=count) for count in (*counts[:-1], counts[-1] + spare)]

    def _widths(self) -> None:
        """Strips as long as the cloth is wide, for borders, sashes, frames and bindings that are joined of them."""
        for listed in list(self.listed):
            long = self._joined_of(listed)
            binding = [need for need in long if need.uses == ("binding",)]
            ways = [way for way in (long, binding, [need for need in long if need not in binding]) if way]
            counted = [(self._strips(listed, way), way) for way in ways]
            if counted:
                needed, way = next((each for each in counted if each[0].count == listed.count), counted[0])
                self.listed.remove(listed)
                self.needed = [need for need in self.needed if need not in way]
                self._counts(listed, needed)

    def _settings(self) -> None:
        """Squares for setting triangles, where as many sizes are listed as needed, large ones with large ones."""
        for fabric in {need.fabric for need in self.needed if need.uses == ("setting",)}:
            needed = [need for need in self.needed if (need.fabric, need.uses) == (fabric, ("setting",))]
            listed = [row for row in self.listed if row.fabric == fabric and row.size[0] == row.size[1]]
            pairs = list(zip(*(sorted(rows, key=lambda row: row.size) for rows in (listed, needed)), strict=False))
            if len(listed) == len(needed) > 1 and all(_alike(row.size, need.size) for row, need in pairs):
                for row, need in pairs:
                    self.listed.remove(row)
                    self.needed.remove(need)
                    self._sizes(row, need)

    def _joined_of(self, listed: ListedPieces) -> list[NeededPieces]:
        """What a row of strips may be joined to if they are as long as the cloth is wide: because the list says so, for
        a binding, or because that is the length and no strips of the plan are as many and nearly as long."""
        usable, length = self.plan.fabrics[listed.fabric].usable, listed.size[0]
        long = [
            need
            for need in self.needed
            if (need.fabric, need.size[1]) == (listed.fabric, listed.size[1]) and set(need.uses) <= _LONG
        ]
        alike = any(need.count == listed.count and self._near(listed, need, 2) for need in long)
        if listed.across or (length == usable and not alike):
            return long
        return [need for need in long if need.uses == ("binding",) and usable * 9 <= length * 10 <= usable * 12]

    def _strips(self, listed: ListedPieces, long: list[NeededPieces]) -> NeededPieces:
        """How many strips of a listed length the long pieces take, joined on the diagonal."""
        loss = listed.size[1]
        total = sum((self._length(need) for need in long), Measure())
        number = strips_to_join(total, listed.size[0], loss) if listed.size[0] > loss else 0
        return NeededPieces(listed.fabric, listed.size, number, long[0].uses)

    def _length(self, need: NeededPieces) -> Measure:
        """A binding's strips come to its length, which is less than all of them are long."""
        binding = need.uses == ("binding",) and self.binding
        return binding.length if binding else need.size[0] * need.count

    # slips

    def _count_slip(self, listed: ListedPieces, needed: NeededPieces) -> str | None:
        if needed.count == 2 * listed.count:
            return ONE_FOR_TWO
        if self.blocks > 1 and needed.count == self.blocks * listed.count:
            return ONE_BLOCK
        if needed.count > 9 and _one_digit(str(listed.count), str(needed.count)):
            return COUNT_DIGIT
        if listed.count > 2 * needed.count and self.sizes_of_count[listed.count] - {listed.size}:
            return OTHER_ROW
        return None

    def _size_slip(self, listed: ListedPieces, needed: NeededPieces) -> str | None:
        if self._has_enough(listed, needed):
            if listed.size == needed.exact:
                return EXACT
            return LESS_ROOM if needed.exact and needed.exact < listed.size else LESS_ROUNDED
        if self._frame_trimmed(listed, needed):
            return OTHER_SCHOOL
        if needed.uses == ("setting",) and listed.size[0] == listed.size[1]:
            points = says_of_points(self.plan, listed.size[0], needed)
            if points or listed.size > needed.size:
                return points
        room = 2 * self.plan.seam
        if all(a + room == b for a, b in zip(listed.size, needed.exact or needed.size, strict=True)):
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

    def _units_of(self, needed: NeededPieces) -> list[UnitRow]:
        """Units that may be made of these squares: cut larger than they are when trimmed, by what triangles take."""
        fabric, side = needed.fabric, needed.size[0]
        if (fabric, side) not in self.units:
            most = 2 * self.plan.seam * (1 + ROOT2) + round_up(self.plan.seam, self.plan.ruler) * 2
            self.units[fabric, side] = [
                row
                for row in self.checklist.units
                if fabric in row.fabrics and row.finished[0] == row.finished[1] and 0 < side - row.trimmed[0] <= most
            ]
        return self.units[fabric, side]

    def _fraction_slip(self, listed: ListedPieces, needed: NeededPieces) -> bool:
        """A digit or a part of the fraction is missing or another: 1 1/2 for 10 1/2, 1/2 for 1 1/2, 2 1/8 for 2 7/8.
        A small difference is rather a rule of thumb."""
        wrong = [(a, b) for a, b in zip(listed.size, needed.size, strict=True) if a != b]
        if any(abs(a - b) < 16 * HARDLY[self.plan.unit] for a, b in wrong):
            return False
        texts = [tuple(write_length(side, self.plan.unit, plain=True) for side in pair) for pair in wrong]
        return bool(texts) and all(_one_digit(a, b) or _part_lost(a, b) for a, b in texts)

    def _frame_trimmed(self, listed: ListedPieces, needed: NeededPieces) -> bool:
        """Frame strips as those cut them who trim them when they are sewn on, of a plan that cuts them to length."""
        room = _FRAME_ROOM[self.plan.unit]
        longer = (needed.size[0] + room, needed.size[1]) == listed.size
        return longer and self.plan.trimming == "exact" and needed.uses == ("frame",)

    def _size_matters(self, listed: ListedPieces, needed: NeededPieces) -> bool:
        """Whether they cannot be used so, or are so large that most of their cloth is cut away again."""
        larger = [a - b for a, b in zip(listed.size, needed.size, strict=True)]
        if all(abs(by) < HARDLY[self.plan.unit] for by in larger) or self._has_enough(listed, needed):
            return False
        if min(larger) < 0 or any(by > side for by, side in zip(larger, needed.size, strict=True)):
            return True
        return not self._trimmed(needed) or (needed.uses[0] in ("frame", "binding") and larger[1] != 0)

    def _has_enough(self, listed: ListedPieces, needed: NeededPieces) -> bool:
        """Listed smaller than the plan cuts it, to be trimmed or up to the ruler's mark, but by no more than a thread
        smaller than it must be."""
        thread = _THREAD[self.plan.unit]
        return needed.least is not None and all(
            least - thread < side <= most
            for side, least, most in zip(listed.size, needed.least, needed.size, strict=True)
        )

    def _trimmed(self, needed: NeededPieces) -> bool:
        """Whether pieces are trimmed when they are sewn."""
        plain = {row.trimmed for row in self.checklist.units if row.kind == "plain" and needed.fabric in row.fabrics}
        return needed.uses[0] in ("setting", "frame", "backing", "binding") or (
            needed.uses == ("unit",) and not {needed.size, needed.size[::-1]} & plain
        )

    def _too_small(self, listed: ListedPieces, needed: NeededPieces) -> bool:
        return any(b - a >= HARDLY[self.plan.unit] for a, b in zip(listed.size, needed.size, strict=True))


def strips_length(size: Size, count: int, usable: Measure) -> Measure:
    """The length of cloth for `count` pieces of a size, cut from strips across a usable width, the way that takes less;
    what is longer than the cloth is wide is joined of strips."""
    ways = [
        (-(-count // (usable / along).__floor__())) * across for along, across in (size, size[::-1]) if along <= usable
    ]
    return min(ways, default=-((-size[0] * count / usable).__floor__()) * size[1])


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
