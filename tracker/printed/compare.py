"""A printed cutting list against what the plan needs: what differs, whether it matters, and the slip behind it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import product

from tracker.exact.measure import ROOT2, Measure, round_up, write_length
from tracker.plan.model import Plan
from tracker.printed.list_table import ListRow
from tracker.printed.roomy_sizes import exact_sizes
from tracker.quilt.setting import DIAGONAL, Setting, join_loss, strips_to_join
from tracker.work.steps import Checklist, CutPiece, Size, UnitRow

FINISHED, TRIMMED, FRACTION, COUNT_DIGIT = "finished for cut", "trimmed for cut", "lost digit", "digit of the count"
ONE_FOR_TWO, ONE_BLOCK, OTHER_ROW, CLOTHS = "one set for two", "one block's", "another row's count", "another cloth"
EXACT, LESS_ROOM, OTHERS_SIZE = "exact size", "less room to trim", "the others' size"

_HARDLY = {"in": Fraction(1, 32), "cm": Fraction(1, 10)}
"""A difference in size below this is lost in the sewing."""

MOST_PAIRS = 40_000
"""Of so many pairs of rows the likeliest are looked for. A list that is further from the plan is told row by row."""

WORST_FIRST = ("wrong size", "wrong cloth", "missing", "too few", "not needed", "too many")
"""What is cut in a wrong size is lost; what is missing can still be cut."""


@dataclass(frozen=True)
class ListFinding:
    """One difference. `kind` is one of WORST_FIRST; `listed` and `needed` are (count, size), None where there is none;
    `slip` names the likely slip of the pen behind it; `lines` are those of the list that it is about. `fabric` is the
    cloth that is needed; of a wrong cloth `instead` is the one listed."""

    kind: str
    fabric: str
    listed: tuple[int, Size] | None
    needed: tuple[int, Size] | None
    use: str
    matters: bool
    slip: str | None = None
    lines: tuple[int, ...] = ()
    instead: str | None = None

    @property
    def line(self) -> int | None:
        """The first of its lines."""
        return self.lines[0] if self.lines else None


@dataclass
class _Listed:
    fabric: str
    size: Size
    count: int = 0
    lines: list[int] = field(default_factory=list)


@dataclass
class _Needed:
    """`exact` is the size that would just do for a piece that is cut larger to be trimmed."""

    fabric: str
    size: Size
    count: int
    uses: tuple[str, ...]
    exact: Size | None = None


def compare(plan: Plan, checklist: Checklist, setting: Setting, rows: Sequence[ListRow]) -> tuple[ListFinding, ...]:
    """Every difference between a list and the plan's pieces, in the list's order, then what it lacks."""
    needed = _needed(checklist.pieces)
    return _Comparison(plan, checklist, setting, needed, _listed(rows)).findings()


def worst_first(findings: Iterable[ListFinding]) -> list[ListFinding]:
    """What matters before what does not, and the worst kinds first; else in the order of the list."""
    return sorted(findings, key=lambda finding: (not finding.matters, WORST_FIRST.index(finding.kind)))


def _needed(pieces: Iterable[CutPiece]) -> list[_Needed]:
    """Pieces by cloth and size, whatever they are for."""
    found: dict[tuple[str, Size], _Needed] = {}
    for piece in pieces:
        size = piece.width, piece.height
        entry = found.setdefault((piece.fabric, size), _Needed(piece.fabric, size, 0, ()))
        entry.count += piece.count
        entry.uses = tuple(dict.fromkeys((*entry.uses, piece.use)))
    return list(found.values())


def _listed(rows: Sequence[ListRow]) -> list[_Listed]:
    found: dict[tuple[str, Size], _Listed] = {}
    for row in rows:
        size = row.width, row.height
        entry = found.setdefault((row.fabric, size), _Listed(row.fabric, size))
        entry.count += row.count
        entry.lines.append(row.line)
    return list(found.values())


class _Comparison:
    """Listed and needed rows are paired, the surest pairs first; what is left over is missing or not needed."""

    def __init__(
        self, plan: Plan, checklist: Checklist, setting: Setting, needed: list[_Needed], listed: list[_Listed]
    ) -> None:
        self.plan, self.checklist, self.binding = plan, checklist, setting.binding
        self.needed, self.listed = needed, listed
        self.sizes_of_count: dict[int, set[Size]] = {}
        for row in listed:
            self.sizes_of_count.setdefault(row.count, set()).add(row.size)
        self.units: dict[tuple[str, Measure], list[UnitRow]] = {}
        self.blocks = sum(row.count for row in checklist.blocks)
        self.over: list[tuple[_Listed, _Needed]] = []
        self.found: list[ListFinding] = []

    def findings(self) -> tuple[ListFinding, ...]:
        def cloth(row: _Listed | _Needed) -> Hashable:
            return row.fabric

        def cloth_and_count(row: _Listed | _Needed) -> Hashable:
            return row.fabric, row.count

        self._pair(lambda row: (row.fabric, row.size), lambda a, b: True, self._same)
        self._widths()
        self._exact()
        self._pair(cloth, _has_enough, self._sizes)
        self._pair(cloth, lambda a, b: self._size_slip(a, b) is not None, self._sizes)
        self._pair(lambda row: (row.size, row.count), lambda a, b: a.fabric != b.fabric, self._cloths)
        self._pair(cloth_and_count, lambda a, b: self._near(a, b, 2), self._sizes)
        self._others()
        self._pair(cloth, lambda a, b: self._near(a, b, 1), self._sizes)
        self._pair(cloth_and_count, lambda a, b: _alike(a.size, b.size), self._sizes)
        for row in self.listed:
            lines = tuple(row.lines)
            self.found.append(
                ListFinding("not needed", row.fabric, (row.count, row.size), None, "", False, None, lines)
            )
        self.found.sort(key=lambda finding: finding.line or 0)
        for need in self.needed:
            self.found.append(
                ListFinding("missing", need.fabric, None, (need.count, need.size), need.uses[0], matters=True)
            )
        return tuple(self.found)

    def _pair(
        self,
        key: Callable[[_Listed | _Needed], Hashable],
        fits: Callable[[_Listed, _Needed], bool],
        tell: Callable[[_Listed, _Needed], None],
    ) -> None:
        """Tell of every pair of one key that fits, rows of equal count first, then of nearest size; each row is in one
        pair."""
        gone: tuple[set[int], set[int]] = (set(), set())
        groups: dict[Hashable, tuple[list[int], list[int]]] = {}
        both: tuple[Sequence[_Listed | _Needed], ...] = (self.listed, self.needed)
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
    def _distance(listed: _Listed, needed: _Needed) -> Measure:
        return abs(listed.size[0] - needed.size[0]) + abs(listed.size[1] - needed.size[1])

    def _near(self, listed: _Listed, needed: _Needed, inches: int) -> bool:
        most = Measure(inches if self.plan.unit == "in" else Fraction(5, 2) * inches)
        return all(abs(a - b) <= most for a, b in zip(listed.size, needed.size, strict=True))

    # what is told of a pair

    def _add(self, kind: str, listed: _Listed, needed: _Needed, matters: bool, slip: str | None) -> None:
        pair = (listed.count, listed.size), (needed.count, needed.size)
        instead = listed.fabric if kind == "wrong cloth" else None
        lines = tuple(listed.lines)
        self.found.append(ListFinding(kind, needed.fabric, *pair, needed.uses[0], matters, slip, lines, instead))

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

    def _same(self, listed: _Listed, needed: _Needed) -> None:
        """Of too many it is told later: they may be meant for a row of another size."""
        if listed.count > needed.count:
            self.over.append((listed, needed))
        else:
            self._counts(listed, needed)

    def _others(self) -> None:
        """More of one size than are needed, and just as many missing of a size near it: those are listed in the size of
        the others."""
        missing: dict[tuple[str, int], list[_Needed]] = {}
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
            sizes = exact_sizes(self.plan, self.checklist.pieces)
            self.needed = [replace(need, exact=sizes.get((need.fabric, need.size))) for need in self.needed]
            self.listed = [part for row in self.listed for part in self._shared(row)]

    def _shared(self, listed: _Listed) -> list[_Listed]:
        """A row among all that it is enough for where it is the exact size of several; else as it is."""
        served = [need for need in self.needed if (need.fabric, need.exact) == (listed.fabric, listed.size)]
        spare = listed.count - sum(need.count for need in served)
        if len(served) < 2 or spare < 0:
            return [listed]
        counts = [need.count for need in served]
        return [replace(listed, count=count) for count in (*counts[:-1], counts[-1] + spare)]

    def _widths(self) -> None:
        """Strips listed by the width of the cloth: for borders, sashes and bindings that are joined of them."""
        joined: dict[tuple[str, Measure], list[_Needed]] = {}
        for need in self.needed:
            if set(need.uses) <= {"border", "binding", "sash", "frame"}:
                joined.setdefault((need.fabric, need.size[1]), []).append(need)
        for listed in list(self.listed):
            wide = listed.size[0] * 10 >= self.plan.fabrics[listed.fabric].usable * 9
            long = joined.pop((listed.fabric, listed.size[1]), []) if wide else []
            if long:
                self.listed.remove(listed)
                self.needed = [need for need in self.needed if need not in long]
                self._counts(listed, self._strips(listed, long))

    def _strips(self, listed: _Listed, long: list[_Needed]) -> _Needed:
        """How many strips of a listed length the long pieces take, joined on the diagonal."""
        loss = join_loss(listed.size[1], self.plan.seam, DIAGONAL)
        total = sum((need.size[0] * need.count for need in long), Measure())
        if long[0].uses == ("binding",) and self.binding is not None:
            total = self.binding.length
        number = strips_to_join(total, listed.size[0], loss) if listed.size[0] > loss else 0
        return _Needed(listed.fabric, listed.size, number, long[0].uses)

    # slips

    def _count_slip(self, listed: _Listed, needed: _Needed) -> str | None:
        if needed.count == 2 * listed.count:
            return ONE_FOR_TWO
        if self.blocks > 1 and needed.count == self.blocks * listed.count:
            return ONE_BLOCK
        if needed.count > 9 and _one_digit(str(listed.count), str(needed.count)):
            return COUNT_DIGIT
        if listed.count > 2 * needed.count and self.sizes_of_count[listed.count] - {listed.size}:
            return OTHER_ROW
        return None

    def _size_slip(self, listed: _Listed, needed: _Needed) -> str | None:
        if _has_enough(listed, needed):
            return EXACT if listed.size == needed.exact else LESS_ROOM
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

    def _units_of(self, needed: _Needed) -> list[UnitRow]:
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

    def _fraction_slip(self, listed: _Listed, needed: _Needed) -> bool:
        """A digit or a part of the fraction is missing or another: 1 1/2 for 10 1/2, 1/2 for 1 1/2, 2 1/8 for 2 7/8.
        A small difference is rather a rule of thumb."""
        wrong = [(a, b) for a, b in zip(listed.size, needed.size, strict=True) if a != b]
        if any(abs(a - b) < 16 * _HARDLY[self.plan.unit] for a, b in wrong):
            return False
        texts = [tuple(write_length(side, self.plan.unit, plain=True) for side in pair) for pair in wrong]
        return bool(texts) and all(_one_digit(a, b) or _part_lost(a, b) for a, b in texts)

    def _size_matters(self, listed: _Listed, needed: _Needed) -> bool:
        hardly = _HARDLY[self.plan.unit]
        if all(abs(a - b) < hardly for a, b in zip(listed.size, needed.size, strict=True)):
            return False
        if _has_enough(listed, needed):
            return False
        if any(a < b for a, b in zip(listed.size, needed.size, strict=True)):
            return True
        plain = {row.trimmed for row in self.checklist.units if row.kind == "plain" and needed.fabric in row.fabrics}
        trimmed = needed.uses[0] in ("setting", "frame", "backing", "binding") or (
            needed.uses == ("unit",) and not {needed.size, needed.size[::-1]} & plain
        )
        return not trimmed

    def _too_small(self, listed: _Listed, needed: _Needed) -> bool:
        return any(b - a >= _HARDLY[self.plan.unit] for a, b in zip(listed.size, needed.size, strict=True))


def _has_enough(listed: _Listed, needed: _Needed) -> bool:
    """Listed smaller than the plan cuts it to be trimmed, but not smaller than the exact size."""
    return needed.exact is not None and all(
        least <= side <= most for side, least, most in zip(listed.size, needed.exact, needed.size, strict=True)
    )


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
