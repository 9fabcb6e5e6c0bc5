"""Plans that would turn a print which has to stand upright, whatever way the blocks are made."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from tracker.plan.fields import Fields
from tracker.plan.model import Block, Plan


def check_upright(fields: Fields, plan: Plan) -> None:
    """Whether blocks, patches or borders with such a cloth in them are turned, each fault with what would be right."""
    for path, key, what, right in turning(plan, plan.upright):
        Fields(fields.report, path, {}, fields.unit, None).fault("turned print", key, what, right)


def turning(plan: Plan, upright: Collection[str]) -> Iterator[tuple[tuple[str | int, ...], str, str, str]]:
    """What of a plan would turn the print of these cloths: the path of a table and the key in it, the cloth with its
    block, and what would be right."""
    standing = {key: sorted({*upright} & {*_cloths(block)}) for key, block in plan.blocks.items()}
    lying = list(zip(plan.quilt.blocks_in_order(), plan.quilt.turns_in_order(), strict=True))
    if plan.quilt.setting == "on point":
        for key in [key for key, _ in lying if standing.get(key)][:1]:
            yield ("quilt",), "setting", f"{standing[key][0]} in block {key}", "set the blocks straight"
    for key in dict.fromkeys(key for key, turn in lying if turn and standing.get(key)):
        yield ("quilt",), "turns", f"{standing[key][0]} in block {key}", "let that block lie as drawn"
    for key, cloths in standing.items():
        if cloths and plan.blocks[key].on_point:
            yield ("blocks", key), "on_point", cloths[0], "give its patches on their points another cloth"
        if cloths and plan.blocks[key].diamonds:
            yield ("blocks", key), "diamonds", cloths[0], "give the star another cloth"
        if cloths and plan.blocks[key].cut_up:
            yield ("blocks", key), "cut_up", cloths[0], "give the nine-patch another cloth"
    for number, border in enumerate(plan.quilt.borders):
        cells = {key for cell in border.picture for key in cell.quarters} | {border.fabric}
        if border.is_pieced and not cells.isdisjoint(upright):
            key = "picture" if border.picture else "outer_sash"
            first = min(cells.intersection(upright))
            yield ("quilt", "border", number), key, first, "it goes round the quilt: give it another cloth"


def _cloths(block: Block) -> Iterator[str]:
    for cell in block.cells:
        yield from cell.quarters
    for frame in block.frames:
        yield frame.fabric
