"""The sheet of the quilt round its blocks: which block lies where, sashes and borders, cloth, the order of joining."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tracker.drawing import layout_drawing, quilt_drawing
from tracker.drawing.layout_map import PICTURED, Shown, pages_of
from tracker.drawing.printed_size import in_print
from tracker.pattern.block_sheet import SewnPlan, cards_of, cloth_taken, cut_lines, density_of, top_without_picture
from tracker.pattern.sheet_room import BROAD, HIGH, lines_of
from tracker.pattern.some_blocks import border_pieces_of
from tracker.quilt.borders import CannotCut
from tracker.quilt.buying import ClothNeed, needs
from tracker.quilt.cloth_cutting import BLOCK_USES, LATER_USES, ClothCutting, cut_quilt
from tracker.quilt.setting import Setting, set_quilt
from tracker.route.passes import passes
from tracker.route.working_order import PLACES, QUILT
from tracker.words.quilt_lines import lines_of_quilt
from tracker.words.quilt_summary import cannot_cut, quilt_lines
from tracker.words.thing_words import TURNED, upper_edge_lies, upper_edge_sign, words_of_use
from tracker.work.whole_blocks import SetBlock


@dataclass(frozen=True)
class QuiltSheet:
    """Everything on the quilt's sheet. `maps` are several where the quilt is large; `ways` say how blocks lie that are
    turned, or pressed in a version: the sign of it on the map, and what it says. Of each cloth it takes `pieces` are
    those that are cut for the quilt round its blocks; `fault` says what of its cloth cannot be told. `border` is None
    where no border is pieced: else of what its units are cut (`cloths`), and every pass of making them (`cards`, so
    close: `density`)."""

    finished: str
    picture: str
    maps: tuple[str, ...]
    ways: tuple[tuple[str, str], ...]
    facts: tuple[str, ...]
    cloths: tuple[dict[str, Any], ...]
    order: tuple[tuple[str, str], ...]
    fault: str
    border: dict[str, Any] | None

    @property
    def first_map(self) -> str:
        """The map as it is printed beside the quilt's picture."""
        return in_print(self.maps[0], BESIDE, self.high)

    @property
    def more_maps(self) -> tuple[str, ...]:
        """The maps of the other rows of a large quilt, each on a sheet of its own."""
        return tuple(in_print(drawing, *ALONE) for drawing in self.maps[1:])

    @property
    def printed(self) -> str:
        """The quilt's picture as it is printed."""
        return in_print(self.picture, BESIDE, self.high)

    @property
    def high(self) -> int:
        """How high its pictures are printed, in millimetres: as high as leaves room for the rest on the sheet, or as
        high as may be, where the order of the work is on a sheet of its own."""
        return next((high for high in HIGHEST if self._fits(high)), HIGHEST[0])

    @property
    def order_apart(self) -> bool:
        """Whether the order of the work has a sheet of its own."""
        return not any(map(self._fits, HIGHEST))

    def _fits(self, high: int) -> bool:
        facts = sum(lines_of(fact, BROAD) for fact in self.facts)
        bought = sum(1 + sum(lines_of(piece, BROAD // 3 - 50) for piece in cloth["pieces"]) for cloth in self.cloths)
        order = sum(lines_of(f"{title}: {size}", BROAD // 2 - 90) for title, size in self.order)
        parts = 2 * 90 + -(-bought // 3) * 55 + (order + 3) // 2 * 46
        return 170 + 10 * high + 60 + 45 * len(self.ways) + facts * 46 + parts <= HIGH


BESIDE, ALONE = 88, (180, 235)
"""Millimetres for one of two pictures beside each other, and for one that has the sheet."""
HIGHEST = (92, 80, 70, 60, 50)
"""How high, in millimetres, the two pictures may be, from the best on."""


def quilt_sheet(sewn: SewnPlan, cuttings: Sequence[ClothCutting] | None = None) -> QuiltSheet | None:
    """The quilt's sheet; none where the quilt is one block and nothing round it. `cuttings`, if they are known."""
    every = [done for done in passes(sewn.checklist) if done.section.part in (PLACES, QUILT)]
    if not every:
        return None
    setting, fault = None, ""
    try:
        setting = set_quilt(sewn.plan)
        cuttings = cuttings or cut_quilt(sewn.plan, sewn.checklist, setting)
    except CannotCut as why:
        fault = cannot_cut(why, sewn.plan)
    found = needs(sewn.plan, cuttings or ())
    return QuiltSheet(
        "" if setting is None else sewn.words.size(setting.finished),
        quilt_drawing(sewn.plan, swatches=False),
        tuple(_maps(sewn)),
        tuple(_ways(sewn)),
        (*dict.fromkeys(_plain_blocks(sewn)), *(() if setting is None else quilt_lines(sewn.words, setting))),
        tuple(_cloth(sewn, need, setting) for need in found),
        tuple(lines_of_quilt(sewn.words, every)),
        fault,
        _border_pieces(sewn),
    )


def _border_pieces(sewn: SewnPlan) -> dict[str, Any] | None:
    every = border_pieces_of(sewn.checklist)
    if every is None or not every.pieces:
        return None
    cloths, cards = tuple(cut_lines(sewn, every, every)), tuple(cards_of(sewn, every))
    return {"cloths": cloths, "cards": cards, "density": density_of(top_without_picture(cloths), cards)}


def _plain_blocks(sewn: SewnPlan) -> Iterator[str]:
    """Blocks of one patch, which have no sheet of their own."""
    for step in sewn.checklist.steps:
        if isinstance(step.action, SetBlock) and sewn.checklist.taken(step).thing.is_patch:
            row = next(row for row in sewn.checklist.blocks if row.key == step.per)
            patch = sewn.words.thing(sewn.checklist.taken(step))
            yield f"{sewn.plan.blocks[row.key].name}, {row.count} of them: each one {patch}."


def _maps(sewn: SewnPlan) -> Iterator[str]:
    """Every block in its place with its number, the letter of its version and an arrow where it is turned."""
    pressing = sewn.checklist.pressing
    letters = {block.block: [version.letter for version in block.versions] for block in pressing.blocks}
    several = any(len(own) > 1 for own in letters.values())
    blocks = [tile.block for tiles in pages_of(sewn.layout) for tile in tiles if tile.block is not None]
    shown = {}
    for number in blocks:
        place = sewn.layout.place(number)
        shown[number] = Shown(PICTURED, letters[place.block][place.version] if several else "", "")
    for tiles in pages_of(sewn.layout):
        yield layout_drawing(sewn.layout, tiles, shown)


def _ways(sewn: SewnPlan) -> Iterator[tuple[str, str]]:
    places = [place for row in sewn.checklist.pressing.places for place in row]
    on_point = sewn.layout.is_on_point
    for turn in sorted({place.turn for place in places} - {0}):
        where = upper_edge_lies(turn, on_point)
        yield upper_edge_sign(turn, on_point), f"{TURNED[turn]}: its upper edge lies {where}"
    for block in sewn.checklist.pressing.blocks:
        if len(block.versions) > 1:
            name = sewn.plan.blocks[block.block].name
            yield ", ".join(version.letter for version in block.versions), f"versions of pressing {name}"


def _cloth(sewn: SewnPlan, need: ClothNeed, setting: Setting | None) -> dict[str, Any]:
    """What the quilt takes of a cloth: to buy where nothing is in the cupboard."""
    told: Counter[str] = Counter()
    for piece in setting.pieces if setting else ():
        if piece.fabric == need.fabric and piece.use not in (*BLOCK_USES, *LATER_USES):
            told[f"{sewn.words.figures((piece.width, piece.height))} {words_of_use(piece.use)}"] += piece.count
    return cloth_taken(sewn.plan, need) | {"pieces": [f"{count} of {what}" for what, count in told.items()]}
