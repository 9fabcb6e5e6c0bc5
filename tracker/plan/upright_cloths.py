"""Plans that would turn a print which has to stand upright, whatever way the blocks are made."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.plan.fields import Fields
from tracker.plan.model import Block, Plan


def check_upright(fields: Fields, plan: Plan) -> None:
    """Whether blocks, patches or borders with such a cloth in them are turned, each fault with what would be right."""
    upright = plan.upright
    if not upright:
        return
    standing = {key: sorted(upright & set(_cloths(block))) for key, block in plan.blocks.items()}
    quilt = Fields(fields.report, ("quilt",), {}, fields.unit, None)
    lying = list(zip(plan.quilt.blocks_in_order(), plan.quilt.turns_in_order(), strict=True))
    if plan.quilt.setting == "on point":
        for key in [key for key, _ in lying if standing.get(key)][:1]:
            _refuse(quilt, "setting", f"{standing[key][0]} in block {key}", "set the blocks straight")
    for key in dict.fromkeys(key for key, turn in lying if turn and standing.get(key)):
        _refuse(quilt, "turns", f"{standing[key][0]} in block {key}", "let that block lie as drawn")
    for key, cloths in standing.items():
        own = Fields(fields.report, ("blocks", key), {}, fields.unit, None)
        if cloths and plan.blocks[key].on_point:
            _refuse(own, "on_point", cloths[0], "give its patches on their points another cloth")
        if cloths and plan.blocks[key].diamonds:
            _refuse(own, "diamonds", cloths[0], "give the star another cloth")
        if cloths and plan.blocks[key].cut_up:
            _refuse(own, "cut_up", cloths[0], "give the nine-patch another cloth")
    for number, border in enumerate(plan.quilt.borders):
        cells = {key for cell in border.picture for key in cell.quarters} | ({border.fabric} & upright)
        if border.is_pieced and cells & upright:
            place = Fields(fields.report, ("quilt", "border", number), {}, fields.unit, None)
            key = "picture" if border.picture else "outer_sash"
            _refuse(place, key, min(cells & upright), "it goes round the quilt: give it another cloth")


def _cloths(block: Block) -> Iterator[str]:
    for cell in block.cells:
        yield from cell.quarters
    for frame in block.frames:
        yield frame.fabric


def _refuse(fields: Fields, key: str, what: str, right: str) -> None:
    fields.fault("turned print", key, what, right)
