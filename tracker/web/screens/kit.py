"""A kit to give away: what is cut for one block or for a maker's blocks, a bag for each kind of piece, with labels."""

from __future__ import annotations

from typing import Any

from flask import Response, request

from tracker.exact.measure import write_length
from tracker.fitting.block_shape import planned_size
from tracker.progress.counts import Counts
from tracker.progress.kits import KitPart, kit_of
from tracker.web import drawings
from tracker.web.asked import block_numbered
from tracker.web.block_makers import blocks_of, whose
from tracker.web.facts import block_list
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.web.screens.labels import host_of_labels, label_of, label_of_pile
from tracker.web.screens.makers import maker_of_key

screen = Screen("kit", "/quilts/<quilt_id>/kit")


@screen.get("")
def kit(quilt_id: str) -> Response:
    """The kit of one block, or of all blocks of a maker."""
    with parts().desk.quilt(quilt_id) as opened:
        numbers, who = _wanted(opened)
        compiled, host = opened.compiled, host_of_labels()
        planned = Counts(compiled.plan, compiled.checklist)
        bags = [_bag(opened, host, at, part) for at, part in enumerate(kit_of(planned, numbers), 1)]
        blocks = [label_of(opened, host, f"b{number}", _block_words(opened, number)) for number in numbers]
        keys = dict.fromkeys(opened.counts.block_keys[number] for number in numbers)
        facts: dict[str, Any] = {
            "who": who,
            "which": block_list(numbers) if numbers else "",
            "bags": bags,
            "blocks": blocks,
            "pictures": [drawings.of_block(compiled, key) for key in keys],
            "sizes": [_size(opened, key) for key in keys],
            "seam": f"{write_length(compiled.plan.seam, compiled.plan.unit)} {compiled.plan.unit}",
        }
        return quilt_page("kit", "", opened, **facts)


def _wanted(opened: Opened) -> tuple[list[int], str]:
    """The blocks that the address asks for, and whose they are. Raises PageFault."""
    if "maker" in request.args:
        maker = maker_of_key(opened, request.args["maker"])
        return blocks_of(opened, maker), maker.name
    number = block_numbered(opened, request.args.get("block", ""))
    return [number], whose(opened, number)


def _bag(opened: Opened, host: str, number: int, part: KitPart) -> Facts:
    compiled = opened.compiled
    words = opened.words.pile(part.pile, part.count)
    label = label_of_pile(opened, host, compiled.checklist.piles[part.pile], part.count)
    return {
        "number": number,
        "words": words,
        "short": compiled.short[part.step.id],
        "label": label,
        "drawing": drawings.of_pile(compiled, part.pile),
    }


def _block_words(opened: Opened, number: int) -> str:
    return f"Block {number}, {opened.compiled.plan.blocks[opened.counts.block_keys[number]].name}"


def _size(opened: Opened, key: str) -> str:
    """What one block measures when it comes back, sewn, with its frames."""
    plan = opened.compiled.plan
    across, down = planned_size(plan, key, bool(plan.blocks[key].frames))
    return f"{plan.blocks[key].name}: {write_length(across, plan.unit)} × {write_length(down, plan.unit)} {plan.unit}"
