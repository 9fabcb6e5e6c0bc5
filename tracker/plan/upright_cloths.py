"""Plans that would turn a print which has to stand upright, whatever way the blocks are made."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from tracker.plan.fields import Fields
from tracker.plan.model import Block, Plan


class TurnedPrint(NamedTuple):
    """A key of the plan's table at `path` that turns a cloth's print, in words what would be right, and the block that
    it turns, if it is one (empty)."""

    path: tuple[str | int, ...]
    key: str
    cloth: str
    right: str
    block: str = ""


def check_upright(fields: Fields, plan: Plan) -> None:
    """Note every turned print as a fault at its place."""
    for path, key, cloth, right, block in turning(plan, plan.upright):
        where = f" in {plan.blocks[block].name}" if block else ""
        own = Fields(fields.report, path, {}, fields.unit, None)
        own.fault("turned print", key, plan.fabrics[cloth].name + where, right, cloth=cloth)


def turning(plan: Plan, upright: Collection[str]) -> Iterator[TurnedPrint]:
    """What of a plan would turn the print of these cloths."""
    standing = {key: sorted({*upright} & {*_cloths(block)}) for key, block in plan.blocks.items()}
    lying = list(zip(plan.quilt.blocks_in_order(), plan.quilt.turns_in_order(), strict=True))
    if plan.quilt.setting == "on point":
        for key in [key for key, _ in lying if standing.get(key)][:1]:
            yield TurnedPrint(("quilt",), "setting", standing[key][0], "set the blocks straight", key)
    for key in dict.fromkeys(key for key, turn in lying if turn and standing.get(key)):
        yield TurnedPrint(("quilt",), "turns", standing[key][0], "let that block lie as drawn", key)
    for key, cloths in standing.items():
        own = ("blocks", key)
        if cloths and plan.blocks[key].on_point:
            yield TurnedPrint(own, "on_point", cloths[0], "give its patches on their points another cloth")
        if cloths and plan.blocks[key].diamonds:
            yield TurnedPrint(own, "diamonds", cloths[0], "give the star another cloth")
        if cloths and plan.blocks[key].cut_up:
            yield TurnedPrint(own, "cut_up", cloths[0], "give the nine-patch another cloth")
    for number, border in enumerate(plan.quilt.borders):
        cells = {key for cell in border.picture for key in cell.quarters} | {border.fabric}
        if border.is_pieced and not cells.isdisjoint(upright):
            key = "picture" if border.picture else "outer_sash"
            right = "it goes round the quilt: give it another cloth"
            yield TurnedPrint(("quilt", "border", number), key, min(cells.intersection(upright)), right)


def _cloths(block: Block) -> Iterator[str]:
    for cell in block.cells:
        yield from cell.quarters
    for frame in block.frames:
        yield frame.fabric
