"""The route of the borders: long strips joined, cut to the measured length, sewn on and pressed, one border after
another; and the same joining of strips for long sashes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracker.assembling import CutLengths, JoinEnds, JoinParts, Length, Member, Nest
from tracker.cutting import JoinedRun
from tracker.making import Bench, digest, token, trim_to
from tracker.measure import Measure, round_up
from tracker.plan import Border
from tracker.setting import DIAGONAL, BorderStrip
from tracker.top import Centre, TopBench
from tracker.work import AddStrips, Pile, PressSeams, SeamPress

BORDERS, STRIPS = "quilt:borders", "quilt:strips"
"""Topics of the steps."""

TOWARD_BORDER = {
    "sides": (
        SeamPress(("left border strip", "top"), "left border strip"),
        SeamPress(("top", "right border strip"), "right border strip"),
    ),
    "top and bottom": (
        SeamPress(("upper border strip", "top"), "upper border strip"),
        SeamPress(("top", "lower border strip"), "lower border strip"),
    ),
}
"""Border seams go toward the border, away from the many seams of the top."""


def long_strips(bench: Bench, runs: Sequence[JoinedRun]) -> dict[tuple[str, Measure, Measure, str], str]:
    """Steps that join strips end to end and cut the long strip to length; the pile of each (fabric, length,
    width, use)."""
    top = TopBench(bench)
    found: dict[tuple[str, Measure, Measure, str], str] = {}
    for run in runs:
        found.update(_run(top, run))
    return found


def _run(top: TopBench, run: JoinedRun) -> dict[tuple[str, Measure, Measure, str], str]:
    first = run.pieces[0]
    fabric, width, use = first.fabric, first.along, first.use
    usable = top.plan.fabrics[fabric].usable
    made = f"{fabric}:{token(width)}:{use}:{run.strips}:{token(run.last)}"
    pile = joined_strips(top, fabric, [(usable, run.strips - 1), (run.last, 1)], width, use, made)
    lengths = Counter[Measure]()
    for piece in run.pieces:
        lengths[piece.across] += piece.count
    state, thing = "cut to length", f"{use} strip"
    parts, found = [], {}
    for length, count in lengths.items():
        name = f"{state}:quilt:{use}:{fabric}:{token(length)}x{token(width)}"
        kept = top.bench.pile(Pile(name, thing, state, (fabric,), (length, width)))
        top.bench.uses[kept] = use
        parts.append(Length(kept, length, count))
        found[fabric, length, width, use] = kept
    gives = {part.pile: part.count for part in parts}
    step = f"{state}:quilt:{use}:{digest(f'{made};{gives}')}"
    top.bench.step(step, "cut apart", {pile: 1}, gives, CutLengths(tuple(parts)), STRIPS)
    return found


def joined_strips(
    top: TopBench, fabric: str, cut: Sequence[tuple[Measure, int]], width: Measure, use: str, made: str
) -> str:
    """Strips of these lengths, cut and joined end to end on the diagonal, pressed open: the pile of the long strip."""
    takes = Counter[str]()
    for length, count in cut:
        if count:
            takes[top.bench.cut(fabric, length, width, use)] += count
    whole = sum((length * count for length, count in cut), Measure())
    number = takes.total()
    size = whole - width * (number - 1), width
    if number == 1:
        return next(iter(takes))
    thing = f"long {use} strip" if use != "binding" else "binding"
    pile = top.make(made, thing, "join", "joined", takes, JoinEnds(width, DIAGONAL), STRIPS, size)
    return top.make(made, thing, "press", "pressed", {pile: 1}, PressSeams(((),)), STRIPS, size)


class BorderRoute(TopBench):
    """Writes the steps of all borders round a centre. `long` has the piles of strips that were joined."""

    def __init__(self, bench: Bench, long: Mapping[tuple[str, Measure, Measure, str], str]) -> None:
        super().__init__(bench)
        self.long = long

    def write(self, centre: Centre, strips: Sequence[BorderStrip]) -> Centre:
        """The steps; the top with its borders. `strips` are those of the setting, four for each border."""
        for number, border in enumerate(self.plan.quilt.borders, 1):
            sides, ends = strips[4 * number - 4], strips[4 * number - 2]
            centre = self._sides(centre, number, border, sides.length)
            centre = self._ends(centre, number, border, ends.length)
        if self.plan.quilt.borders:
            trim, size = trim_to(centre.size), centre.size
            pile = self.make(centre.pile, "top", "square", "squared", {centre.pile: 1}, trim, BORDERS, size)
            centre = replace(centre, pile=pile)
        return centre

    def _strips(self, top: Centre, number: int, border: Border, length: Measure, where: str) -> str:
        """Two strips cut to the length of the top, which is measured through the middle and so must lie there."""
        long = round_up(length, self.plan.ruler)
        # Sides of a cloth with a direction are cut upright, and so never joined.
        upright = where == "sides" and self.plan.fabrics[border.fabric].directional
        pile = None if upright else self.long.get((border.fabric, long, border.cut, "border"))
        if pile is None:
            pile = self.bench.cut(border.fabric, long, border.cut, "border")
        cut = self.bench.piles[pile].size
        assert cut is not None
        # A strip shorter than it is wide lies the other way.
        size = (length, border.cut) if cut[1] == border.cut else (border.cut, length)
        action = trim_to(size, cut)
        # However the strip was come by: an edit of the cloth leaves what is sewn on.
        made = f"{number}:{where}:{border.fabric}:{token(length)}:{token(border.cut)}"
        thing = f"border {number} strip, {where}"
        return self.make(made, thing, "trim", "measured", {pile: 1}, action, BORDERS, size, beside=top.pile)

    def _sides(self, centre: Centre, number: int, border: Border, length: Measure) -> Centre:
        strip = self._strips(centre, number, border, length, "sides")
        width = centre.size[0] + 2 * (border.cut - 2 * self.plan.seam)
        action = AddStrips(centre.pile, strip, "sides", ((), ()))
        return self._add(replace(centre, size=(width, centre.size[1])), number, action)

    def _ends(self, centre: Centre, number: int, border: Border, length: Measure) -> Centre:
        strip = self._strips(centre, number, border, length, "top and bottom")
        nests: tuple[Nest, ...] = ()
        if border.corners is not None:
            strip = self._with_cornerstones(number, border, strip)
            # The cornerstones' seams meet those of the side strips, pressed away from each other.
            at = border.cut - self.plan.seam
            nests = Nest(at, True), Nest(centre.size[0] - at, True)
        height = centre.size[1] + 2 * (border.cut - 2 * self.plan.seam)
        action = AddStrips(centre.pile, strip, "top and bottom", (nests, nests))
        return self._add(replace(centre, size=(centre.size[0], height)), number, action)

    def _with_cornerstones(self, number: int, border: Border, strip: str) -> str:
        """The strip with a square sewn to each end, pressed toward the strip."""
        assert border.corners is not None
        corner = self.bench.cut(border.corners, border.cut, border.cut, "cornerstone")
        size = self.bench.piles[strip].size
        assert size is not None
        upright = 90 if size[1] != border.cut else 0
        members = (Member(corner), Member(strip, upright), Member(corner))
        length = max(size) if not upright else size[1]
        whole = length + 2 * (border.cut - 2 * self.plan.seam), border.cut
        thing, made = f"border {number} strip with cornerstones", f"{strip}|{corner}"
        takes = Counter(member.pile for member in members)
        action = JoinParts(members, "across", ((), ()))
        pile = self.make(made, thing, "join", "joined", takes, action, BORDERS, whole)
        names = ("left cornerstone", "border strip"), ("border strip", "right cornerstone")
        press = PressSeams((tuple(SeamPress(between, "border strip") for between in names),))
        return self.make(made, thing, "press", "pressed", {pile: 1}, press, BORDERS, whole)

    def _add(self, centre: Centre, number: int, action: AddStrips) -> Centre:
        thing = f"top with border {number}" if action.edges != "sides" else f"top with the sides of border {number}"
        takes = {action.base: 1, action.strip: 2}
        made = f"{action.base}|{action.strip}"
        pile = self.make(made, thing, "add strip", "sewn", takes, action, BORDERS, centre.size)
        press = PressSeams((TOWARD_BORDER[action.edges],))
        pile = self.make(made, thing, "press", "pressed", {pile: 1}, press, BORDERS, centre.size)
        return replace(centre, pile=pile)
