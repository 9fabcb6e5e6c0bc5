"""Whether what lies on the table or the wall lies as it will be sewn, told from a photo's samples."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from tracker.plan.model import Quarters
from tracker.seeing.colours import Lab, apart
from tracker.seeing.samples import Samples, mirrored, turned
from tracker.seeing.shading import ROUNDS, Lit, Quarter, lights_of, lit

Shown = tuple[tuple[Quarters, ...], ...]
"""What a unit shows where it lies: the cloths of its cells' quarters."""

BETTER = 0.3
"""How much of what was seen to be amiss under the plan may be left where a piece is said to lie otherwise, at most."""

PLAIN, PLAINER = 4.0, 20.0
"""How many times as far as all else is off (a mean square) a quarter must have come nearer: in a piece that is said to
lie another way; where another cloth is said to lie there, which stains, prints and a corner not hit look like, too."""

NEAR = 8.0
"""Cloths that look less far apart in the photo (CIE Lab) are not told from each other."""

SURE, DOUBTFUL = 0.62, 0.42
"""How much of the way from the plan's colours to others what was seen must be: to say so, and to have doubts."""

MOST_WRONG = 0.5
"""Where more of the units seem to lie wrongly, it is rather the photo that is of something else."""

ODD = 26.0
"""Where quarters look farther than this from what they seem to show (squared, in the mean), it is no photo of this."""

EACH_WRONG = 40.0
"""By how much (a mean square) a photo must be better told for each piece that seems to lie wrongly."""


@dataclass(frozen=True)
class LaidPiece:
    """A unit (or a block) in the layout: its upper left cell, and what it shows there."""

    row: int
    column: int
    shown: Shown

    @cached_property
    def quarters(self) -> tuple[Quarter, ...]:
        """Its quarters, in one order."""
        cells = ((row, column) for row in range(len(self.shown)) for column in range(len(self.shown[0])))
        return tuple((self.row + row, self.column + column, each) for row, column in cells for each in range(4))


@dataclass(frozen=True)
class Otherwise:
    """How a piece seems to lie: "turned" (by how many degrees clockwise too far), "mirrored", "swapped" (with `other`,
    a number of the pieces), "other" (it shows what piece `other` shows, which lies rightly) or "cloth" (`cloth` lies
    where `instead_of` should)."""

    piece: int
    kind: str
    turn: int = 0
    other: int | None = None
    cloth: str = ""
    instead_of: str = ""


@dataclass(frozen=True)
class LayoutSeen:
    """What a photo says of a layout: what lies otherwise, which pieces it cannot tell (by their numbers), by how many
    quarter turns clockwise the photo had to be turned, and whether it is of something else."""

    otherwise: tuple[Otherwise, ...]
    untold: tuple[int, ...]
    turned: int = 0
    strange: bool = False


@dataclass(frozen=True)
class _WayToLie:
    """A way for a piece to lie: what it shows then, what that is called, and how unlikely it is of itself."""

    shown: Shown
    what: Otherwise
    unlikely: float


@dataclass(frozen=True)
class _Found:
    """The likeliest other way for a piece to lie (None: none is likelier than the plan's), how much of the way to it
    what was seen has gone, whether that is sure, and whether it may lie turned where cloths look alike."""

    way: _WayToLie | None
    gone: float
    sure: bool
    doubtful: bool


def check_layout(pieces: Sequence[LaidPiece], samples: Samples) -> LayoutSeen:
    """What a photo says of these pieces, which fill the grid of its samples."""
    turns = range(4) if samples.rows == samples.columns else (0, 2)
    looks = {turn: _settled(pieces, samples.turned(turn)) for turn in turns}
    best = min(looks, key=lambda turn: looks[turn].unlikely)
    # A photo is held upright, unless it says otherwise plainly.
    if looks[best].unlikely > looks[0].unlikely / 2:
        best = 0
    return looks[best].told(best)


def _settled(pieces: Sequence[LaidPiece], samples: Samples) -> _Look:
    """The look at a photo once cloths and ways of lying were learnt from each other."""
    lies = [piece.shown for piece in pieces]
    look = _Look(pieces, samples, lies)
    for _ in range(ROUNDS):
        likely = look.likely()
        if likely == lies:
            break
        lies = likely
        look = _Look(pieces, samples, lies)
    return look


class _Look:
    """One look at a photo, where the pieces seem to lie so."""

    def __init__(self, pieces: Sequence[LaidPiece], samples: Samples, lies: Sequence[Shown]) -> None:
        self.pieces = pieces
        cloths: dict[Quarter, str] = {}
        for piece, shown in zip(pieces, lies, strict=True):
            cloths |= zip(piece.quarters, _flat(shown), strict=True)
        self.wrong = sum(piece.shown != shown for piece, shown in zip(pieces, lies, strict=True))
        lights = lights_of(samples)
        self.lit: Lit = lit({quarter: lights[quarter] for quarter in cloths}, cloths)
        self.looks: Mapping[Quarter, Lab] = {quarter: self.lit.look(quarter) for quarter in cloths}
        self.lying: dict[str, list[Quarter]] = {cloth: [] for piece in pieces for cloth in _flat(piece.shown)}
        for quarter, cloth in cloths.items():
            self.lying[cloth].append(quarter)
        colours = {cloth: self.lit.cloth(quarters) for cloth, quarters in self.lying.items() if quarters}
        self.off = sum(apart(self.looks[each], colours[cloth]) for each, cloth in cloths.items()) / len(cloths)
        self.unlikely = self.off + EACH_WRONG * self.wrong
        self._found = [self._piece(number) for number in range(len(pieces))]

    def likely(self) -> list[Shown]:
        """What each piece seems to show."""
        ways = zip(self.pieces, self._found, strict=True)
        return [piece.shown if found.way is None or found.gone < DOUBTFUL else found.way.shown for piece, found in ways]

    def told(self, turn: int) -> LayoutSeen:
        """What this look says."""
        found = {}
        untold = []
        for number, each in enumerate(self._found):
            if each.way is not None and each.sure:
                found[number] = each.way.what
            elif each.doubtful or (each.way is not None and each.gone > DOUBTFUL):
                untold.append(number)
        strange = self.off > ODD**2 or len(found) > max(2, MOST_WRONG * len(self.pieces))
        if strange:
            return LayoutSeen((), (), turn, True)
        return LayoutSeen(tuple(_paired(found)), tuple(untold), turn)

    def _piece(self, number: int) -> _Found:
        """How a piece seems to lie."""
        piece = self.pieces[number]
        own = set(piece.quarters)
        colours = {cloth: self._without(cloth, own) for cloth in self.lying}
        doubtful = any(self._too_near(piece.shown, way.shown, colours) for way in self._turns(number))
        planned = self._cost(piece, piece.shown, colours)
        best, least, cost = None, planned, planned
        for way in self._ways(number):
            off = self._cost(piece, way.shown, colours)
            here = off + way.unlikely * _differing(piece.shown, way.shown)
            if here < least:
                best, least, cost = way, here, off
        if best is None or self._too_near(piece.shown, best.shown, colours):
            return _Found(None, 0, False, doubtful)
        gone = self._gone(piece, best.shown, colours)
        nearer = (planned - cost) / _differing(piece.shown, best.shown)
        plain = nearer > self.off * (PLAINER if best.what.kind == "cloth" else PLAIN)
        return _Found(best, gone, gone > SURE and plain and cost < BETTER * planned, doubtful)

    def _without(self, cloth: str, own: set[Quarter]) -> Lab | None:
        """The colour of a cloth in all other pieces; None where it lies in no other."""
        others = [quarter for quarter in self.lying[cloth] if quarter not in own]
        return self.lit.cloth(others) if others else None

    def _cost(self, piece: LaidPiece, shown: Shown, colours: Mapping[str, Lab | None]) -> float:
        """How far what was seen is from a way of lying, in all; a cloth that no other piece has is as it is seen."""
        cost, alone = 0.0, dict[str, list[Quarter]]()
        for quarter, cloth in zip(piece.quarters, _flat(shown), strict=True):
            colour = colours[cloth]
            if colour is None:
                alone.setdefault(cloth, []).append(quarter)
            else:
                cost += apart(self.looks[quarter], colour)
        for quarters in alone.values():
            colour = self.lit.cloth(quarters)
            cost += sum(apart(self.looks[quarter], colour) for quarter in quarters)
        return cost

    def _gone(self, piece: LaidPiece, other: Shown, colours: Mapping[str, Lab | None]) -> float:
        """How much of the way from the plan's colours to those of the other way of lying what was seen is."""
        along = whole = 0.0
        for quarter, a, b in zip(piece.quarters, _flat(piece.shown), _flat(other), strict=True):
            one, two, seen = colours[a] or self._alone(a), colours[b] or self._alone(b), self.looks[quarter]
            whole += apart(one, two)
            along += sum((s - p) * (q - p) for s, p, q in zip(seen, one, two, strict=True))
        return along / whole if whole else 0.0

    def _alone(self, cloth: str) -> Lab:
        """The colour of a cloth that lies in this piece only; where none seems to, one that nothing is near."""
        return self.lit.cloth(self.lying[cloth]) if self.lying[cloth] else (-200.0, 0.0, 0.0)

    def _too_near(self, one: Shown, other: Shown, colours: Mapping[str, Lab | None]) -> bool:
        """Whether all that differs between two ways of lying are cloths that look alike in the photo."""
        pairs = {(a, b) for a, b in zip(_flat(one), _flat(other), strict=True) if a != b}
        return bool(pairs) and all(
            apart(colours[a] or self._alone(a), colours[b] or self._alone(b)) < NEAR**2 for a, b in pairs
        )

    def _turns(self, number: int) -> Iterator[_WayToLie]:
        """The piece itself, lying another way."""
        shown = self.pieces[number].shown
        lies = shown
        for degrees in (90, 180, 270):
            lies = turned(lies)
            if _fits(lies, shown) and lies != shown:
                yield _WayToLie(lies, Otherwise(number, "turned", degrees), 0)

    def _ways(self, number: int) -> Iterator[_WayToLie]:
        """Every other way in which a piece may lie there, the likely ones first."""
        shown = self.pieces[number].shown
        yield from self._turns(number)
        seen = {shown, *(way.shown for way in self._turns(number))}
        lies = mirrored(shown)
        for _ in range(4):
            if _fits(lies, shown) and lies not in seen:
                seen.add(lies)
                yield _WayToLie(lies, Otherwise(number, "mirrored"), 9)
            lies = turned(lies)
        for other, piece in enumerate(self.pieces):
            lies = piece.shown
            for degrees in (0, 90, 180, 270):
                if _fits(lies, shown) and lies not in seen:
                    seen.add(lies)
                    yield _WayToLie(lies, Otherwise(number, "other", degrees, other), 9)
                lies = turned(lies)
        for old in dict.fromkeys(_flat(shown)):
            for new in self.lying:
                lies = tuple(tuple(_changed(quarters, old, new) for quarters in row) for row in shown)
                if lies not in seen:
                    seen.add(lies)
                    yield _WayToLie(lies, Otherwise(number, "cloth", 0, None, new, old), 16)


def _changed(quarters: Quarters, old: str, new: str) -> Quarters:
    top, right, below, left = (new if each == old else each for each in quarters)
    return top, right, below, left


def _flat(shown: Shown) -> list[str]:
    return [cloth for row in shown for quarters in row for cloth in quarters]


def _fits(shown: Shown, place: Shown) -> bool:
    return len(shown) == len(place) and len(shown[0]) == len(place[0])


def _differing(one: Shown, other: Shown) -> int:
    return sum(a != b for a, b in zip(_flat(one), _flat(other), strict=True))


def _paired(found: Mapping[int, Otherwise]) -> Iterator[Otherwise]:
    """Two pieces that each show what the other should have changed places: said once."""
    for number, what in found.items():
        back = found.get(what.other) if what.kind == "other" and what.other is not None else None
        if back is None or back.kind != "other" or back.other is None or found[number].other is None:
            yield what
        elif back.other == number:
            if number < back.piece:
                yield Otherwise(number, "swapped", what.turn, back.piece)
        else:
            yield what
