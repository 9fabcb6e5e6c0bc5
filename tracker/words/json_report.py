"""Checklists as JSON values: lengths as strings that a ruler shows, in the plan's unit; sizes are [across, down]."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from tracker.exact.measure import Measure, nearest, write_length
from tracker.fitting.block_measures import WAYS, BlockMeasures
from tracker.fitting.one_block import Treatment, findings, lean_read, seam_errors
from tracker.fitting.ways import Brought
from tracker.plan.model import Plan
from tracker.printed.block_area import AreaCheck
from tracker.printed.compare import compare
from tracker.printed.list_table import ListRow
from tracker.quilt.buying import ClothNeed, needs
from tracker.quilt.cloth_cutting import CutStrip, as_cut, cut_quilt
from tracker.quilt.setting import set_quilt
from tracker.route.passes import Pass, passes
from tracker.words.pass_words import pass_title
from tracker.words.printed_words import area_finding_text, finding_text
from tracker.words.size_words import SizeWords
from tracker.words.step_words import Words
from tracker.work.pressed import PressVersion, SeamPress
from tracker.work.steps import Checklist, Flow, Size, Step, UnitRow


def ruler_text(length: Measure, plan: Plan) -> str:
    """`2 1/2` or `6.4`: exact where the length is a fraction, else (with √2 in it) to the nearest mark."""
    return write_length(length if length.is_rational else nearest(length, plan.ruler), plan.unit, plain=True)


def size_text(size: Size, plan: Plan) -> list[str]:
    """A size as [across, down] in the words of a ruler."""
    return [ruler_text(size[0], plan), ruler_text(size[1], plan)]


def steps_report(plan: Plan, checklist: Checklist) -> dict[str, Any]:
    """What `steps --json` prints."""
    words, found = Words(plan, checklist), passes(checklist)
    return {
        "title": plan.title,
        "unit": plan.unit,
        "steps": [_step(step, plan, words) | {"pass": each.id} for each in found for step in each.steps],
        "passes": [_pass(each, words) for each in found],
        "units": [_unit(row, plan, checklist.piles[row.pile].thing.side) for row in checklist.units],
        "blocks": [
            {
                "key": row.key,
                "count": row.count,
                "inner": size_text(row.inner, plan),
                "unfinished": size_text(row.unfinished, plan),
                "finished": size_text(row.finished, plan),
            }
            for row in checklist.blocks
        ],
    }


def _step(step: Step, plan: Plan, words: Words) -> dict[str, Any]:
    return {
        "id": step.id,
        "operation": step.operation,
        "station": step.station,
        "count": step.count,
        "per": step.per,
        "takes": [_flow(flow) for flow in step.takes],
        "gives": [_flow(flow) for flow in step.gives],
        "size": None if step.size is None else size_text(step.size, plan),
        "text": words.text(step),
        "check": words.check(step),
        "tip": words.tip(step),
        "caution": words.caution(step) or None,
    }


def _pass(done: Pass, words: Words) -> dict[str, Any]:
    return {
        "id": done.id,
        "station": done.station,
        "steps": [step.id for step in done.steps],
        "title": pass_title(words, done),
    }


def _flow(flow: Flow) -> dict[str, Any]:
    return {"pile": flow.pile, "each": flow.each}


def _unit(row: UnitRow, plan: Plan, side: str) -> dict[str, Any]:
    """A row of the list of units; with the hand, where the two are made apart."""
    return {
        "kind": row.kind,
        "way": row.way,
        "fabrics": list(row.fabrics),
        "finished": size_text(row.finished, plan),
        "trimmed": size_text(row.trimmed, plan),
        "needed": row.needed,
        "made": row.made,
        "spare": row.spare,
        **({"hand": side} if side else {}),
    }


def cut_report(plan: Plan, checklist: Checklist) -> dict[str, Any]:
    """What `cut --json` prints. Sizes in `from` are as the piece lies in the strip: along it, then across. Raises
    CannotCut."""
    setting = set_quilt(plan)
    cuttings = cut_quilt(plan, checklist, setting)
    return {
        "unit": plan.unit,
        "pieces": [
            {
                "fabric": piece.fabric,
                "width": ruler_text(piece.width, plan),
                "height": ruler_text(piece.height, plan),
                "count": piece.count,
                "use": piece.use,
            }
            for piece in checklist.pieces
        ],
        "strips": [
            _strip(cutting.fabric, strip, cloth, plan)
            for cutting in cuttings
            for cloth, strips in (("fat quarter", cutting.quarter_strips), ("length", cutting.strips))
            for strip in strips
        ],
        "fabrics": [_cloth(need, plan) for need in needs(plan, cuttings)],
    }


def _strip(fabric: str, strip: CutStrip, cloth: str, plan: Plan) -> dict[str, Any]:
    return {
        "fabric": fabric,
        "width": ruler_text(strip.width, plan),
        "count": strip.count,
        "from": [[*size_text((part.width, part.height), plan), part.count] for part in strip.parts],
        "left": ruler_text(strip.left, plan),
        "cloth": cloth,
    }


def _cloth(need: ClothNeed, plan: Plan) -> dict[str, Any]:
    return {
        "fabric": need.fabric,
        "length": ruler_text(need.length, plan),
        "allowance": ruler_text(need.allowance, plan),
        "buy": ruler_text(need.buy, plan),
        "have": None if need.have is None else ruler_text(need.have, plan),
        "from_have": [[ruler_text(width, plan), count] for width, count in need.from_have],
        "short": ruler_text(need.short, plan),
        "fat_quarters": need.fat_quarters,
    }


def quilt_report(plan: Plan) -> dict[str, Any]:
    """What `quilt --json` prints: binding, backing and batting are null where the plan has none. Raises CannotCut."""
    setting = set_quilt(plan)
    binding, backing = setting.binding, setting.backing
    return {
        "unit": plan.unit,
        "finished": size_text(setting.finished, plan),
        "unfinished": size_text(setting.unfinished, plan),
        "blocks": setting.blocks,
        "border_strips": [
            {
                "border": strip.border,
                "side": strip.side,
                "length": ruler_text(as_cut(plan, strip.fabric, strip.length), plan),
                "width": ruler_text(strip.width, plan),
            }
            for strip in setting.border_strips
        ],
        "binding": binding and {"length": ruler_text(binding.length, plan), "strips": binding.strips},
        "backing": backing
        and {"length": ruler_text(backing.length, plan), "pieces": len(backing.panels), "seams": backing.seams},
        "batting": setting.batting and size_text(setting.batting, plan),
    }


def compare_report(plan: Plan, checklist: Checklist, rows: Sequence[ListRow]) -> dict[str, Any]:
    """What `compare --json` prints of a list that could be read. Raises CannotCut."""
    words = Words(plan, checklist)
    findings = compare(plan, checklist, set_quilt(plan), rows)
    return {
        "unit": plan.unit,
        "errors": [],
        "agrees": not findings,
        "findings": [
            {
                "kind": finding.kind,
                "fabric": finding.fabric,
                "line": finding.line,
                "listed": _counted(finding.listed, plan),
                "needed": _counted(finding.needed, plan),
                "matters": finding.matters,
                "slip": finding.slip,
                "text": finding_text(words, finding),
            }
            for finding in findings
        ],
    }


def _counted(counted: tuple[int, Size] | None, plan: Plan) -> dict[str, Any] | None:
    return counted and {"count": counted[0], "size": size_text(counted[1], plan)}


def areas_report(check: AreaCheck, rows: Sequence[ListRow], unit: str) -> dict[str, Any]:
    """What `compare --block --json` prints: areas in square units, and how each row was taken."""
    return {
        "unit": unit,
        "errors": [],
        "pieces": write_length(check.pieces, unit, plain=True),
        "block": write_length(check.block, unit, plain=True),
        "difference": write_length(check.difference, unit, plain=True),
        "agrees": check.agrees,
        "findings": [
            {"kind": each.kind, "line": each.line, "text": area_finding_text(check, each, unit)}
            for each in check.findings
        ],
        "rows": [{"line": row.line, "shape": shape} for row, shape in zip(rows, check.shapes, strict=True)],
    }


def fit_report(done: Brought) -> dict[str, Any]:
    """What `fit --json` prints. Exact fractions are texts such as "7/256"; a seam error is null where no seam lies."""
    sizes, shape, words = done.sizes, done.sizes.shape, SizeWords(done.sizes.shape)

    def length(value: Fraction) -> str:
        return write_length(value, shape.unit, plain=True)

    return {
        "unit": shape.unit,
        "errors": [],
        "planned": length(shape.planned[0]),
        "proposed": length(sizes.proposed),
        "size": length(done.tried.size),
        "way": done.way,
        "harm": str(done.tried.harm),
        "text": f"{words.all_blocks(done)} {words.behind(done)}",
        "blocks": [
            _fitted(block, each, done, words) for block, each in zip(sizes.blocks, done.tried.treatments, strict=True)
        ],
        "makers": [{"maker": maker, "seam_error": _fractions(errors)} for maker, errors in sizes.makers.items()],
        "strips": done.strips and length(done.strips.cut),
        "rows": done.rows and [list(row) for row in done.rows],
    }


def _fitted(block: BlockMeasures, each: Treatment, done: Brought, words: SizeWords) -> dict[str, Any]:
    shape = done.sizes.shape
    lean = lean_read(block, shape.limits)

    def lengths(values: Sequence[Fraction]) -> list[str]:
        return [write_length(value, shape.unit, plain=True) for value in values]

    return {
        "block": block.block,
        "across": lengths([block.mean(0)])[0],
        "down": lengths([block.mean(1)])[0],
        "taper": _fractions([block.taper(way) for way in WAYS]),
        "bow": _fractions([block.bow(way) for way in WAYS]),
        "lean": None if lean is None else write_length(lean, shape.unit, plain=True),
        "seam_error": _fractions(seam_errors(block, shape)),
        "findings": list(findings(block, shape)),
        "do": each.do,
        "short": lengths(each.short),
        "points_lost": lengths(each.points),
        "text": words.block(block, done.sizes),
        "advice": words.treatment(each, done.tried.size),
    }


def _fractions(values: Sequence[Fraction | None]) -> list[str | None]:
    return [None if value is None else str(value) for value in values]


def check_report(plan: Plan, checklist: Checklist) -> dict[str, Any]:
    """What `check --json` prints for a plan without errors."""
    words = Words(plan, checklist)
    return {
        "title": plan.title,
        "unit": plan.unit,
        "errors": [],
        "notices": [words.notice(notice) for notice in checklist.notices],
        "blocks": steps_report(plan, checklist)["blocks"],
        "steps": sum(step.count > 0 for step in checklist.steps),
        "pieces": sum(piece.count for piece in checklist.pieces),
    }


def press_report(checklist: Checklist) -> dict[str, Any]:
    """What `press --json` prints. `version` is the place of a version in its block's list, from 0."""
    pressing = checklist.pressing
    return {
        "blocks": [
            {
                "key": block.block,
                "versions": [_version(version) for version in block.versions],
                "unnested": max(version.unnested for version in block.versions),
            }
            for block in pressing.blocks
        ],
        "places": [
            [{"block": place.block, "version": place.version, "turn": place.turn} for place in row]
            for row in pressing.places
        ],
        "unnested": pressing.unnested,
        "proven": pressing.proven,
    }


def _version(version: PressVersion) -> dict[str, Any]:
    return {"letter": version.letter, "count": len(version.blocks), "seams": [_seam(seam) for seam in version.seams]}


def _seam(seam: SeamPress) -> dict[str, Any]:
    toward = "open" if seam.toward is None else seam.toward.name
    return {"between": [part.name for part in seam.between], "toward": toward}
