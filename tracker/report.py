"""Checklists as JSON values: lengths as strings that a ruler shows, in the plan's unit; sizes are [across, down]."""

from __future__ import annotations

from typing import Any

from tracker.measure import Measure, nearest, write_length
from tracker.plan import Plan
from tracker.wording import Words
from tracker.work import Checklist, Flow, PressVersion, Size, Step, UnitRow


def ruler_text(length: Measure, plan: Plan) -> str:
    """`2 1/2` or `6.4`: exact where the length is a fraction, else (with √2 in it) to the nearest mark."""
    return write_length(length if length.is_rational else nearest(length, plan.ruler), plan.unit, plain=True)


def size_text(size: Size, plan: Plan) -> list[str]:
    """A size as [across, down] in the words of a ruler."""
    return [ruler_text(size[0], plan), ruler_text(size[1], plan)]


def steps_report(plan: Plan, checklist: Checklist) -> dict[str, Any]:
    """What `steps --json` prints."""
    words = Words(plan, checklist)
    return {
        "title": plan.title,
        "unit": plan.unit,
        "steps": [_step(step, plan, words) for step in checklist.steps if step.count],
        "units": [_unit(row, plan) for row in checklist.units],
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
        "caution": words.caution(step),
    }


def _flow(flow: Flow) -> dict[str, Any]:
    return {"pile": flow.pile, "each": flow.each}


def _unit(row: UnitRow, plan: Plan) -> dict[str, Any]:
    return {
        "kind": row.kind,
        "way": row.way,
        "fabrics": list(row.fabrics),
        "finished": size_text(row.finished, plan),
        "trimmed": size_text(row.trimmed, plan),
        "needed": row.needed,
        "made": row.made,
        "spare": row.spare,
    }


def cut_report(plan: Plan, checklist: Checklist) -> dict[str, Any]:
    """What `cut --json` prints."""
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
    }


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
    return {
        "letter": version.letter,
        "count": len(version.blocks),
        "seams": [{"between": list(seam.between), "toward": seam.toward} for seam in version.seams],
    }
