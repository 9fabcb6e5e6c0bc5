"""What a person should know of a plan's sizes and cloths before she cuts: what no ruler shows, and what is turned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from tracker.exact.measure import Measure, nearest, on_mark
from tracker.plan.model import Binding, Border, Plan, Sash
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.units.joins import Joined, Node, finished_size
from tracker.work.prints import PrintLie
from tracker.work.steps import CutPiece, Notice, Pile, Step, Trim, UnitRow


def off_the_mark(plan: Plan, pieces: Sequence[CutPiece], told: Sequence[Notice]) -> list[Notice]:
    """Untrimmed patches and frame strips off the ruler's mark, with the nearest size that fits.

    Whatever is trimmed later was rounded up to the mark, so what is off it is trimmed by nobody; `told` are notices
    that explain some of them already.
    """
    explained = {(notice.fact("fabric"), notice.fact("rounded")) for notice in told if notice.kind == "centre rounded"}
    notices: list[Notice] = []
    for piece in (piece for piece in pieces if piece.use in BLOCK_USES):
        frame = piece.use == "frame"
        for side in {piece.height} if frame else {piece.width, piece.height}:
            # No ruler shows the patches of a block on point: how near they come is told with the block.
            if on_mark(side, plan.ruler) or (piece.fabric, side) in explained or not side.is_rational:
                continue
            # A cell is larger than the seam, and a strip wider than its two seams.
            fits = _nearest_above(side, plan.ruler, (2 if frame else 3) * plan.seam)
            kind, fits = ("frame off the mark", fits) if frame else ("off the mark", fits - 2 * plan.seam)
            notice = Notice(kind, (("fabric", piece.fabric), ("cut", side), ("fits", fits)))
            if notice not in notices:
                notices.append(notice)
    return notices


def trimmed_off_the_mark(
    plan: Plan, units: Sequence[UnitRow], steps: Sequence[Step], told: Sequence[Notice]
) -> list[Notice]:
    """Units that are trimmed to a size off the ruler's mark, with the nearest cell that fits; not those beside which
    patches of that size are `told` already."""
    said = {notice.fact("cut") for notice in told}
    trimmed = {flow.pile for step in steps if isinstance(step.action, Trim) for flow in step.gives}
    notices = []
    for unit in units:
        side = min(unit.trimmed)
        off = [each for each in unit.trimmed if not on_mark(each, plan.ruler) and each not in said]
        if unit.needed and unit.pile in trimmed and off and side.is_rational:
            fits = _nearest_above(side, plan.ruler, 3 * plan.seam) - 2 * plan.seam
            facts = (("unit", unit.kind), ("size", unit.trimmed), ("fits", fits))
            notices.append(Notice("trimmed off the mark", facts))
    return list(dict.fromkeys(notices))


def quilt_notices(plan: Plan) -> list[Notice]:
    """Sashes, borders and bindings whose strips are cut off the ruler's mark, with the nearest width that fits; and an
    allowance that leaves no cloth."""
    quilt = plan.quilt
    strips: list[tuple[str, Sash | Border | Binding]] = [("sash", quilt.sash)] if quilt.sash else []
    strips += [("border", border) for border in quilt.borders]
    strips += [("binding", quilt.binding)] if quilt.binding else []
    notices = []
    for part, strip in strips:
        if not on_mark(strip.cut, plan.ruler):
            fits = _nearest_above(strip.cut, plan.ruler, 2 * plan.seam)
            facts = (("part", part), ("fabric", strip.fabric), ("cut", strip.cut), ("fits", fits))
            notices.append(Notice("strip off the mark", facts))
    if plan.allowance == 1:
        notices.append(Notice("allowance of all", ()))
    return list(dict.fromkeys(notices))


LEAST_MIDDLE = {"in": Measure(1), "cm": Measure(Fraction(5, 2))}
"""A middle narrower than this, finished, leaves too little of a seam that is begun for it (common practice)."""


def small_middles(plan: Plan, roots: Mapping[str, Node]) -> list[Notice]:
    """Middles that four parts turn round, too narrow for half of a seam to be sewn there and the rest left open.

    `roots` are the blocks as they are joined.
    """
    notices = []
    for block, root in roots.items():
        for piece in root.pieces() if isinstance(root, Joined) else ():
            wide = finished_size(piece.parts[0])[0]
            if piece.is_round and wide < LEAST_MIDDLE[plan.unit]:
                facts = ("block", block), ("size", wide), ("fits", LEAST_MIDDLE[plan.unit])
                notices.append(Notice("small middle", facts))
    return list(dict.fromkeys(notices))


def _with_direction(plan: Plan, cloths: Iterable[str]) -> tuple[str, ...]:
    return tuple(key for key in cloths if plan.fabrics[key].directional)


def turned_cloths(plan: Plan) -> list[Notice]:
    """Blocks that the plan has turned, and borders sewn of pieces, with the cloths in them that have a direction."""
    quilt = plan.quilt
    lying = zip(quilt.blocks_in_order(), quilt.turns_in_order(), strict=True)
    notices = []
    for key in dict.fromkeys(key for key, turn in lying if turn):
        block = plan.blocks[key]
        cloths = dict.fromkeys(fabric for cell in block.cells for fabric in cell.quarters)
        cloths |= dict.fromkeys(frame.fabric for frame in block.frames)
        directed = _with_direction(plan, cloths)
        if directed:
            notices.append(Notice("cloth turned", (("block", key), ("fabrics", directed))))
    return [*notices, *_turned_in_borders(plan)]


def _turned_in_borders(plan: Plan) -> list[Notice]:
    """Borders that are sewn of pieces, with the cloths in them that have a direction: they go round the quilt."""
    notices = []
    for number, border in enumerate(plan.quilt.borders, 1):
        cloths = dict.fromkeys(fabric for cell in border.picture for fabric in cell.quarters)
        cloths |= {border.fabric: None} if border.outer_sash else {}
        directed = _with_direction(plan, cloths)
        if directed:
            notices.append(Notice("cloth turned in a border", (("border", number), ("fabrics", directed))))
    return notices


def turned_in_blocks(
    plan: Plan, piles: Mapping[str, Pile], units: Sequence[UnitRow], prints: Sequence[PrintLie]
) -> list[Notice]:
    """Of each block and cloth with a direction, where some of its print does not stand upright: how it lies in its
    frames and in each kind of unit, the places of those (row and column from 1) with it."""
    ways = {unit.pile: unit.way for unit in units}
    found: dict[tuple[str, str], dict[tuple[str, str | None, tuple[int | None, ...]], list[tuple[int, int]]]] = {}
    for lie in prints:
        kind = "frames" if lie.area is None else "plain" if piles[lie.pile].thing.is_patch else piles[lie.pile].thing.of
        places = found.setdefault((lie.block, lie.cloth), {}).setdefault((kind, ways.get(lie.pile), lie.ways), [])
        places += [(lie.area[0] + 1, lie.area[1] + 1)] if lie.area else []
    notices = []
    for (block, cloth), lies in found.items():
        if any(turns != (0,) for _, _, turns in lies):
            said = tuple((*how, tuple(sorted(places))) for how, places in lies.items())
            notices.append(Notice("prints lie", (("block", block), ("cloth", cloth), ("lies", said))))
    return notices


def _nearest_above(size: Measure, mark: Measure, above: Measure) -> Measure:
    """The mark nearest to a size among those greater than `above`."""
    near = nearest(size, mark)
    while near <= above:
        near = near + mark
    return near
