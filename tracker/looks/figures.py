"""What a drawn plan comes to, in words for the page that it is drawn on: its size, cloth, pieces, passes and time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tracker.exact.measure import Measure, write_length
from tracker.plan.model import Block, Plan
from tracker.plan.problems import Problem
from tracker.plan.toml_text import parse
from tracker.progress.pace_of_work import seconds_of
from tracker.quilt.borders import CannotCut
from tracker.quilt.buying import ClothNeed, needs
from tracker.quilt.cloth_cutting import cut_quilt
from tracker.quilt.setting import set_quilt
from tracker.route.compiler import CannotSew, compile_plan
from tracker.route.passes import passes
from tracker.words.names import Names
from tracker.words.place_words import Called, drawn_fault
from tracker.words.plan_notices import cannot_sew
from tracker.words.quilt_summary import cannot_make, cloth_length
from tracker.words.time_words import about_so_long
from tracker.work.steps import Checklist


@dataclass(frozen=True)
class PlaceFault:
    """What is wrong in a drawn plan: a sentence, and its place, as far as it has one: a block's key with cells (row and
    column from 1), or a dotted key of the file; `cloth` is the key of a cloth that it would turn."""

    words: str
    block: str = ""
    cells: tuple[tuple[int, int], ...] = ()
    key: str = ""
    cloth: str = ""


def placed(problem: Problem, called: Called) -> PlaceFault:
    """A fault of a plan text at its place in the drawing, where cloths and blocks are `called` so."""
    cells = ((problem.row, problem.cell or 0),) if problem.row is not None else ()
    return PlaceFault(drawn_fault(problem, called), problem.block or "", cells, problem.key, problem.cloth)


def called_in(text: str) -> Called:
    """What a plan text calls its cloths and blocks, whatever else may be wrong with it."""
    table, _ = parse(text, "")
    lists = {key: value for key, value in table.items() if key in ("fabrics", "blocks") and isinstance(value, dict)}
    return {
        name: {key: str(each["name"]) for key, each in inner.items() if isinstance(each, dict) and each.get("name")}
        for name, inner in lists.items()
    }


def placed_in_block(fault: CannotSew, plan: Plan) -> PlaceFault:
    """A picture that cannot be sewn, at the cells that it names."""
    return PlaceFault(cannot_sew(fault, plan, drawn=True), fault.block, fault.cells)


def sizes(plan: Plan) -> dict[str, dict[str, str]]:
    """What is shown beside each size that is asked: blocks by `block KEY`, strips by `sash`, `border 0`, `frame KEY 0`.

    `finished` is how it shows in the quilt and `cut` how it is cut (a block: with its seam allowance), each in figures.
    """
    found = {f"block {block.key}": _block_size(plan, block) for block in plan.blocks.values()}
    for place, cut in _strips(plan):
        found[place] = {"finished": _figures(plan, cut - 2 * plan.seam), "cut": _figures(plan, cut), "unit": plan.unit}
    return found


def _block_size(plan: Plan, block: Block) -> dict[str, str]:
    width, height = block.finished(plan.seam)
    inside = dict.fromkeys(_figures(plan, each) for each in block.inner_finished)
    names = Names(plan, Checklist({}, (), (), (), (), (), {}))
    more = 2 * plan.seam
    if block.diamonds:
        # Its lines lie on no ruler's mark: what can be typed is how it is drawn.
        block = block.as_drawn
    alike = len({*block.columns, *block.rows}) == 1 and not block.diamonds
    cell = {"cell": _figures(plan, block.columns[0]), "patch": _figures(plan, block.columns[0] + more)} if alike else {}
    return {
        "finished": names.size((width, height)),
        "cut": names.size((width + more, height + more)),
        "inside": " x ".join(inside),
        "columns": "  ".join(_figures(plan, each) for each in block.columns),
        "rows": "  ".join(_figures(plan, each) for each in block.rows),
    } | cell


def _strips(plan: Plan) -> Iterator[tuple[str, Measure]]:
    if plan.quilt.sash:
        yield "sash", plan.quilt.sash.cut
    for number, border in enumerate(plan.quilt.borders):
        yield f"border {number}", border.cut
    for block in plan.blocks.values():
        for number, frame in enumerate(block.frames):
            yield f"frame {block.key} {number}", frame.cut


def _figures(plan: Plan, length: Measure) -> str:
    """A length as it can be typed again: exact."""
    return write_length(length, plan.unit, plain=True)


def figures(plan: Plan, checklist: Checklist) -> dict[str, Any]:
    """What it comes to: `size` and `unfinished` of the quilt, `pieces`, `passes`, `steps`, `time`, and what is taken of
    each cloth (`cloths`: its key, the `whole` length, what there is to `buy` of it; none where a cloth is too narrow,
    which `fault` says), and what it costs that prints stand upright (`upright`; empty where none has to)."""
    doing = passes(checklist)
    seconds = sum(seconds_of(step, plan.unit) * step.count for each in doing for step in each.steps)
    found: dict[str, Any] = {
        "pieces": sum(piece.count for piece in checklist.pieces),
        "passes": len(doing),
        "steps": sum(len(each.steps) for each in doing),
        "time": about_so_long(seconds),
    }
    try:
        setting = set_quilt(plan)
        cloth = needs(plan, cut_quilt(plan, checklist, setting))
    except CannotCut as fault:
        return found | {"size": "", "unfinished": "", "cloths": [], "fault": cannot_make(fault, plan)}
    names = Names(plan, checklist)
    bought = [
        {
            "key": each.fabric,
            "buy": cloth_length(each.short, plan) if each.short else "",
            "whole": cloth_length(each.buy, plan),
        }
        for each in cloth
    ]
    upright = _upright_costs(plan, checklist, cloth)
    size, unfinished = names.size(setting.finished), names.size(setting.unfinished)
    return found | {"size": size, "unfinished": unfinished, "cloths": bought, "fault": "", "upright": upright}


def _upright_costs(plan: Plan, checklist: Checklist, cloth: Sequence[ClothNeed]) -> str:
    """How many more pieces and how much more cloth are taken so that prints stand upright, which could lie turned."""
    if not plan.upright:
        return ""
    lying = replace(plan, fabrics={key: replace(each, upright=False) for key, each in plan.fabrics.items()})
    try:
        other = compile_plan(lying)
        less = {need.fabric: need for need in needs(lying, cut_quilt(lying, other, set_quilt(lying)))}
    except (CannotSew, CannotCut):
        return ""
    pieces, before = (sum(piece.count for piece in each.pieces) for each in (checklist, other))
    said = [f"{pieces} pieces, not {before}"] if pieces != before else []
    for need in cloth:
        if need.buy != less[need.fabric].buy:
            long, short = cloth_length(need.buy, plan), cloth_length(less[need.fabric].buy, plan)
            said.append(f"{plan.fabrics[need.fabric].name} {long}, not {short}")
    return f"Upright prints take {'; '.join(said) or 'no more pieces and no more cloth'}."
