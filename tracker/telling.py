"""The whole quilt in words: its size, and how its cloths are cut and bought."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from tracker.buying import ClothNeed
from tracker.checklist import CannotSew
from tracker.cutting import ClothCutting, CutStrip
from tracker.measure import Measure, convert, nearest, write_length
from tracker.messages import cannot_sew
from tracker.naming import Names, listed, plural
from tracker.plan import Plan
from tracker.setting import CannotCut, Setting
from tracker.work import Piece, Size


def cannot_cut(fault: CannotCut, plan: Plan) -> str:
    """A cloth that is too narrow for a part of the quilt."""
    fabric = plan.fabrics[fault.fabric]
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
        yield (
            f"Border {left.border}, {names.fabric(left.fabric)}: sides 2 of {_size(names, (left.length, left.width))}, "
            f"then top and bottom 2 of {_size(names, (top.length, top.width))}."
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


def _size(names: Names, size: Size) -> str:
    """Two figures always, so that a square is no exception in a list."""
    return f"{names.ruler(size[0])} × {names.ruler(size[1])} {names.plan.unit}"


_USES = {
    "unit": "for units",
    "setting": "for setting triangles",
    "binding": "for the binding",
    "backing": "for the backing",
}


def use_words(piece: Piece) -> str:
    """What a piece of the cutting list is for."""
    return words_of_use(piece.use)


def words_of_use(use: str) -> str:
    """What pieces of one use are for."""
    return _USES.get(use, f"for {plural(use, 2)}")


def cutting_lines(names: Names, cutting: ClothCutting) -> Iterator[str]:
    """Every strip of a cloth in the order of cutting, widest first; fat quarters first of all."""
    for strip in cutting.quarter_strips:
        yield f"From a fat quarter: {strip_text(names, strip)}"
    for strip in cutting.strips:
        yield strip_text(names, strip)
    for run in cutting.runs:
        pieces = listed([f"{piece.count} of {_size(names, (piece.across, piece.along))}" for piece in run.pieces])
        use = run.pieces[0].use
        yield f"Join {run.strips} strips end to end, on the diagonal, for the {use}: {pieces}."
    for piece in cutting.pieced:
        yield (
            f"{piece.count} of {_size(names, (piece.across, piece.along))} for the {piece.use} is wider than the "
            "cloth: join panels and cut it from them."
        )


def strip_text(names: Names, strip: CutStrip) -> str:
    """`3 strips 2½ in wide, from each: 16 of 2½ × 2½ in; 1½ in left.`"""
    parts = "; ".join(f"{part.count} of {_size(names, (part.width, part.height))}" for part in strip.parts)
    each = "from each: " if strip.count > 1 else ""
    left = f"; {names.length(strip.left)} left at the end" if strip.left else ""
    return f"{strip.count} {plural('strip', strip.count)} {names.length(strip.width)} wide, {each}{parts}{left}."


def cloth_length(length: Measure, plan: Plan) -> str:
    """A length of cloth as it is asked for in a shop: `1⅜ yd`, `1.4 m`."""
    unit = "yd" if plan.unit == "in" else "m"
    measured = convert(length, plan.unit, unit)
    exact = measured if measured.is_rational else nearest(measured, Fraction(1, 100))
    return f"{write_length(exact, 'in' if unit == 'yd' else 'cm')} {unit}"


def need_text(names: Names, need: ClothNeed) -> str:
    """What one cloth takes, what is there and what is still to be bought."""
    plan = names.plan
    parts = [f"{names.length(need.length)} to cut, {names.length(need.allowance)} more for shrinkage and mistakes"]
    if need.fat_quarters:
        parts.append(f"{need.fat_quarters} {plural('fat quarter', need.fat_quarters)} used")
    if need.have is None:
        parts.append(f"buy {cloth_length(need.buy, plan)}" if need.buy else "nothing to buy")
    elif need.short:
        parts.append(f"you have {names.length(need.have)}: buy {cloth_length(need.short, plan)} more")
    else:
        parts.append(f"you have {names.length(need.have)}: enough")
    return "; ".join(parts) + "."
