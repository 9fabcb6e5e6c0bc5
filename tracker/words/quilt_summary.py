"""The whole quilt in words: its size, and how its cloths are cut and bought."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import chain

from tracker.exact.measure import Measure, convert, nearest, on_mark, write_length
from tracker.plan.border_strips import strip_pieces
from tracker.plan.model import Plan
from tracker.progress.strip_ticks import FAT_QUARTER, ClothStrips, Strip
from tracker.quilt.borders import MITRE_ROOM, BorderStrip, CannotCut, TooLarge
from tracker.quilt.buying import SOLD_BY, ClothNeed
from tracker.quilt.cloth_cutting import FAT_QUARTER as FAT_QUARTER_SIZE
from tracker.quilt.cloth_cutting import LATER_USES, ClothCutting, CutPart, CutStrip, as_cut
from tracker.quilt.setting import Setting
from tracker.route.compiler import CannotSew
from tracker.words.names import Names
from tracker.words.plan_notices import cannot_sew
from tracker.words.thing_words import listed, plural, words_of_use
from tracker.work.steps import CutPiece, Size, Step
from tracker.work.things import ENDS, SIDES


def cannot_cut(fault: CannotCut, plan: Plan) -> str:
    """A cloth that is too narrow for a part of the quilt."""
    fabric = plan.fabrics[fault.fabric]
    if isinstance(fault, TooLarge):
        what = words_of_use(fault.part)
        return (
            f"{fabric.name} ({fault.fabric}) is {write_length(fabric.usable, plan.unit)} {plan.unit} wide: a piece "
            f"{what} is larger than that both ways, or may not be turned; give the cloth's usable width or make it "
            "smaller."
        )
    return (
        f"{fabric.name} ({fault.fabric}) is {write_length(fabric.usable, plan.unit)} {plan.unit} wide: too narrow "
        f"to be joined for the {fault.part}; give its usable width, or take another cloth."
    )


def cannot_make(fault: CannotSew | CannotCut, plan: Plan) -> str:
    """A plan that reads well but cannot be made."""
    return cannot_cut(fault, plan) if isinstance(fault, CannotCut) else cannot_sew(fault, plan)


def quilt_lines(names: Names, setting: Setting) -> Iterator[str]:
    """The quilt's sizes, borders, binding, backing and batting."""
    yield (
        f"{setting.blocks} {plural('block', setting.blocks)}; {_size(names, setting.finished)} finished, "
        f"{_size(names, setting.unfinished)} unfinished (with the outer seam allowance)."
    )
    for left, top in zip(setting.border_strips[::4], setting.border_strips[2::4], strict=True):
        if names.plan.quilt.borders[left.border - 1].is_pieced:
            units = [len(strip_pieces(names.plan, left.border, where)) for where in (SIDES, ENDS)]
            yield (
                f"Border {left.border}, pieced, {names.length(left.width)} wide unfinished: sides 2 of {units[0]} "
                f"units, {names.length(left.length)} long, then top and bottom 2 of {units[1]}, "
                f"{names.length(top.length)} long{_corner_words(names, left.border)}."
            )
            continue
        if names.plan.quilt.borders[left.border - 1].mitred:
            room = names.length(MITRE_ROOM[names.plan.unit])
            yield (
                f"Border {left.border}, {names.fabric(left.fabric)}, mitred: sides 2 of "
                f"{_strip_size(names, left)}, top and bottom 2 of "
                f"{_strip_size(names, top)}; {room} of each length is room for the corners."
            )
            continue
        yield (
            f"Border {left.border}, {names.fabric(left.fabric)}: sides 2 of {_strip_size(names, left)}, "
            f"then top and bottom 2 of {_strip_size(names, top)}{_corner_words(names, left.border)}."
        )
    if setting.binding:
        yield (
            f"Binding, {names.fabric(setting.binding.fabric)}: {names.length(setting.binding.length)}, from "
            f"{setting.binding.strips} strips {names.length(setting.binding.width)} wide, joined on the diagonal."
        )
    backing = setting.backing
    if backing:
        many = len(backing.panels)
        seams = f"{backing.seams} {plural('seam', backing.seams)} {backing.runs} the quilt" if many > 1 else "no seam"
        yield (
            f"Backing, {names.fabric(backing.fabric)}: {_size(names, backing.size)}, {many} {plural('panel', many)} "
            f"from {names.length(backing.length)} of cloth, {seams}."
        )
    if setting.batting:
        yield f"Batting: {_size(names, setting.batting)}."


def _corner_words(names: Names, number: int) -> str:
    """The squares in a border's corners, where it has such."""
    border = names.plan.quilt.borders[number - 1]
    if border.corners is None:
        return ""
    return f", with 4 corner squares of {_size(names, (border.cut, border.cut))}, {names.fabric(border.corners)}"


def _strip_size(names: Names, strip: BorderStrip) -> str:
    """A border strip as the cutting list has it."""
    return _size(names, (as_cut(names.plan, strip.fabric, strip.length), strip.width))


def _size(names: Names, size: Size) -> str:
    """Two figures always, so that a square is no exception in a list."""
    return f"{names.ruler(size[0])} × {names.ruler(size[1])} {names.plan.unit}"


def use_words(names: Names, piece: CutPiece) -> str:
    """What a piece of the cutting list is for, and how the print lies in it where that matters."""
    lies = names.print_in(piece)
    return words_of_use(piece.use) + (lies and f", {lies}")


def cutting_lines(names: Names, cutting: ClothCutting) -> Iterator[str]:
    """Every strip of a cloth in the order of cutting, widest first; fat quarters first of all."""
    if cutting.squaring:
        yield f"Square the end first: {names.length(cutting.squaring)} is reckoned for that in what is to cut."
    yield from aside_lines(names, cutting)
    depth, room, number = convert(FAT_QUARTER_SIZE[1], "in", names.plan.unit), Measure(), 0
    for strip in cutting.quarter_strips:
        fresh = strip.width > room
        number, room = number + fresh, (depth if fresh else room) - strip.width * strip.count
        which = f"fat quarter {number}" if cutting.fat_quarters > 1 else "the fat quarter"
        yield f"From {which}: {strip_text(names, strip)}"
    for strip in cutting.strips:
        yield strip_text(names, strip)
    yield from joining_lines(names, cutting)


def aside_lines(names: Names, cutting: ClothCutting) -> Iterator[str]:
    """How much of a cloth is laid aside before anything else is cut of it, for what is cut when the top lies there."""
    later = [strip for strip in cutting.strips if is_cut_later(strip)]
    if later and len(later) < len(cutting.strips):
        length = sum((strip.width * strip.count for strip in later), Measure())
        said = _said_uses(later)
        yield f"First lay {names.length(length)} aside, whole and uncut, for {said}: cut when the top lies there."


def _said_uses(strips: Sequence[CutStrip]) -> str:
    uses = dict.fromkeys(use for strip in strips for part in strip.parts for use in part.uses)
    return listed([f"the {plural(use, 2) if use == 'border' else use}" for use in uses])


def wait_line(strip: Strip) -> str:
    """Said of a strip that is cut later, while blocks are still to be made."""
    return f"Not yet: it is for {_said_uses([strip])}, and cut when the top lies there."


FRAMES_WAIT = "Not yet: it is for frames, and cut to fit when the first block is sewn and measures."
"""Said of a strip of which only frames are cut, to the length of the blocks, before one of these is measured."""


def measured_before(names: Names, strip: Strip) -> tuple[Step, ...]:
    """The steps that measure the blocks which all that is cut of a strip is cut to fit; none where some is not."""
    found = [_fits(names, strip, part) for part in strip.parts]
    return tuple(chain.from_iterable(found)) if all(found) else ()


def _fits(names: Names, strip: Strip, part: CutPart) -> tuple[Step, ...]:
    """The steps that measure the blocks which frame strips are cut to fit; none of other pieces, and of frames of a
    block that is not measured."""
    if set(part.uses) != {"frame"}:
        return ()
    return names.fits_of.get((strip.cloth, frozenset({part.width, part.height})), ())


def is_cut_later(strip: CutStrip) -> bool:
    """Whether all that is cut of a strip is cut when the top lies there."""
    return all(set(part.uses) <= set(LATER_USES) for part in strip.parts)


def is_laid_aside(names: Names, strip: Strip) -> bool:
    """Whether a strip is a length of cloth that is laid aside whole, for what is cut when the top lies there."""
    return is_long(names, strip.width) and is_cut_later(strip)


def tick_words(names: Names, strip: Strip) -> str:
    """What a strip's tick says: what stays whole is only laid aside; of a length laid aside for what is cut when the
    top lies there it counts those pieces; all else is cut by then."""
    if is_laid_aside(names, strip):
        if all(_stays_whole(strip, part) for part in strip.parts):
            return "It is laid aside, whole"
        return f"Its {'strips' if any(_lengthwise(names, part) for part in strip.parts) else 'pieces'} are cut"
    return "This length is cut" if is_long(names, strip.width) else "This strip is cut"


def joining_lines(names: Names, cutting: ClothCutting) -> Iterator[str]:
    """What is joined of several strips or panels of a cloth once they are cut."""
    for run in cutting.runs:
        pieces = listed([f"{piece.count} of {_size(names, (piece.width, piece.height))}" for piece in run.pieces])
        use = run.pieces[0].use
        yield f"Join {run.strips} strips end to end, on the diagonal, for the {use}: {pieces}."
    for piece in cutting.pieced:
        yield (
            f"{piece.count} of {_size(names, (piece.width, piece.height))} for the {piece.use} is wider than the "
            "cloth: join panels and cut it from them."
        )


def strip_text(names: Names, strip: CutStrip) -> str:
    """`3 strips 2½ in wide, from each: 16 of 2½ × 2½ in; 1½ in left.`"""
    parts = "; ".join(f"{part.count} of {_size(names, (part.width, part.height))}" for part in strip.parts)
    each = "from each: " if strip.count > 1 else ""
    left = f"; {names.length(strip.left)} left at the end" if strip.left else ""
    if is_long(names, strip.width):
        return f"{strip.count} {plural('length', strip.count)} of {names.length(strip.width)}, {each}{parts}{left}."
    return f"{strip.count} {plural('strip', strip.count)} {names.length(strip.width)} wide, {each}{parts}{left}."


def strip_title(names: Names, strip: Strip) -> str:
    """`River teal: a strip 3½ in wide`; what no ruler spans is a length of cloth."""
    cloth = names.fabric(strip.cloth)
    width = names.length(strip.width)
    what = f"a length of {width}" if is_long(names, strip.width) else f"a strip {width} wide"
    return f"{cloth[0].upper()}{cloth[1:]}: {what}"


_LONGEST_RULER = {"in": Measure(24), "cm": Measure(60)}


def is_long(names: Names, width: Measure) -> bool:
    """Whether a strip is wider than any ruler is long, so that it is a length of cloth rather."""
    return width > _LONGEST_RULER[names.plan.unit]


def _lengthwise(names: Names, part: CutPart) -> bool:
    """Whether pieces are long strips themselves, to be cut down the length of the cloth."""
    strips = "border" in part.uses or ({"frame", "sash", "binding"} & set(part.uses) and is_long(names, part.height))
    return bool(strips) and part.height > part.width


def strip_orders(names: Names, strip: Strip) -> Iterator[str]:
    """How one strip is cut, order by order: squaring the end, the strip, its cross-cuts, what stays."""
    if strip.source == FAT_QUARTER:
        yield "Take a fat quarter and square one end." if strip.fresh else "Go on with the same fat quarter."
    if strip.square_first:
        yield f"Square the end of the cloth first: cut off no more than {names.length(strip.square_first)}."
    if names.plan.fabrics[strip.cloth].directional:
        yield "Do not turn the cloth or its pieces: the print stands this way."
    if is_laid_aside(names, strip):
        yield from _aside_orders(names, strip)
        return
    if is_long(names, strip.width):
        yield f"Cut off a length of {names.length(strip.width)}; measure it along both selvages."
    else:
        where = "along its longer side" if strip.source == FAT_QUARTER else "across the cloth"
        yield f"Cut one strip {where}, {names.length(strip.width)} wide."
    for part in strip.parts:
        yield _part_order(names, strip, part)
    if strip.left:
        left = names.length(strip.left)
        yield f"{left[0].upper()}{left[1:]} is left at its end."


def _aside_orders(names: Names, strip: Strip) -> Iterator[str]:
    """How a length is laid aside, and what is cut of it when the top lies there."""
    yield f"Lay {names.length(strip.width)} aside, whole and uncut; measure it along both selvages."
    for part in strip.parts:
        order = _part_order(names, strip, part)
        yield order if order.startswith("It stays") else f"When the top lies there: {order[0].lower()}{order[1:]}"


def _part_order(names: Names, strip: Strip, part: CutPart) -> str:
    """What is cut from a strip: how many, their size, and what for."""
    uses = listed([words_of_use(use) for use in part.uses])
    pieces = f"{part.count} of {_size(names, (part.width, part.height))} {uses}"
    if _lengthwise(names, part):
        return f"Cut down the length of the cloth, parallel to the selvage: {pieces}."
    if _stays_whole(strip, part):
        return f"It stays whole: {pieces}."
    level = names.length(part.height) == names.length(strip.width)
    lower = "" if level else f", then cut down to {names.length(part.height)}"
    early = _fits(names, strip, part) and not measured_before(names, strip)
    first = "when the first block measures, not before, " if early else ""
    return f"Cut from it {first}{pieces}{lower}."


def _stays_whole(strip: Strip, part: CutPart) -> bool:
    return part.count == 1 and len(strip.parts) == 1 and not strip.left and part.height == strip.width


def left_over(names: Names, cloth: ClothStrips, most: int = 8) -> Iterator[str]:
    """What remains of a cloth when all its strips are cut: ends of strips, and what stays uncut."""
    ends = [
        f"{_size(names, (end.left, end.width))}" + (f" ({end.count} of them)" if end.count > 1 else "")
        for end in cloth.ends
    ]
    if ends:
        more = [f"{len(ends) - most} smaller sizes"] if len(ends) > most else []
        yield f"Ends of strips: {listed([*ends[:most], *more])}."
    if cloth.quarters_left:
        yield f"{cloth.quarters_left} {plural('fat quarter', cloth.quarters_left)} not needed."
    if cloth.uncut:
        yield f"{names.length(cloth.uncut)} of what you have stays uncut."


def cloth_length(length: Measure, plan: Plan) -> str:
    """A length of cloth as it is asked for in a shop: `1⅜ yd`, `1.4 m`."""
    unit = "yd" if plan.unit == "in" else "m"
    measured = convert(length, plan.unit, unit)
    exact = measured if measured.is_rational else nearest(measured, Fraction(1, 100))
    return f"{write_length(exact, 'in' if unit == 'yd' else 'cm')} {unit}"


def _as_sold(names: Names, length: Measure) -> str:
    """A length as it is bought where it is one that is sold, else as the ruler shows it."""
    sold = on_mark(length, SOLD_BY[names.plan.unit])
    return cloth_length(length, names.plan) if sold else names.length(length)


def need_text(names: Names, need: ClothNeed) -> str:
    """What one cloth takes, what is there and what is still to be bought."""
    plan = names.plan
    more = f"{names.length(need.allowance)} more for shrinkage and mistakes"
    parts = [f"{names.length(need.length)} to cut, {more}"] if need.length else []
    if need.fat_quarters:
        parts.append(f"{need.fat_quarters} {plural('fat quarter', need.fat_quarters)} used")
    if need.have is None:
        parts.append(f"buy {cloth_length(need.buy, plan)}" if need.buy else "nothing to buy")
    elif need.short:
        parts.append(f"{have_text(names, need)}: buy {cloth_length(need.short, plan)} more")
    else:
        parts.append(have_text(names, need))
    return "; ".join(parts) + "."


def have_text(names: Names, need: ClothNeed) -> str:
    """Whether the piece in the cupboard is enough, or what is cut from it: strips come whole from it or from the new
    one."""
    has = f"you have {_as_sold(names, need.have or Measure())}"
    if not need.short:
        return f"{has}: enough"
    if not need.from_have:
        return f"{has}, which is too short for a whole strip"
    strips = [f"{count} {plural('strip', count)} {names.length(width)} wide" for width, count in need.from_have]
    if sum(count for _, count in need.from_have) == 1 and is_long(names, need.from_have[0][0]):
        strips = [f"the length of {names.length(need.from_have[0][0])}"]
    return f"{has}, for {listed(strips)}"
