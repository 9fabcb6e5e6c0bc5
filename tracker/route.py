"""The route of one kind of block: lay out, join, press, check, square, frame; every pile and step with its size."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256

from tracker.joins import Joined, Leaf, Node, leaves, seam_ends, unfinished_size
from tracker.making import Bench, point, token
from tracker.measure import Measure
from tracker.plan import Block
from tracker.pressing import Directions, seams_of
from tracker.units import Unit
from tracker.work import (
    Action,
    AddStrips,
    Join,
    LayOut,
    Nest,
    Pile,
    Pin,
    Place,
    PressSeams,
    SeamPress,
    Size,
    Trim,
)

TOWARD_STRIPS = {
    "top and bottom": (
        SeamPress(("top strip", "block"), "top strip"),
        SeamPress(("block", "bottom strip"), "bottom strip"),
    ),
    "sides": (SeamPress(("left strip", "block"), "left strip"), SeamPress(("block", "right strip"), "right strip")),
}
"""Frame seams go toward the strips, away from the many seams of the block."""


def content(node: Node) -> str:
    """What a node is, in a text that changes exactly when what is sewn changes."""
    if isinstance(node, Leaf):
        return f"{node.placed.unit.name}~{node.placed.turn}"
    return f"{node.direction}({';'.join(content(part) for part in node.parts)})"


def digest(text: str) -> str:
    """Eight letters that stand for a long identity."""
    return sha256(text.encode()).hexdigest()[:8]


@dataclass
class BlockRoute:
    """Writes the steps of one kind of block on the bench."""

    bench: Bench
    block: Block
    root: Node
    piles: dict[Unit, str]
    directions: Directions

    def __post_init__(self) -> None:
        self._names: dict[str, int] = {}
        self._ids: dict[int, str] = {}

    @property
    def seam(self) -> Measure:
        return self.bench.plan.seam

    def write(self) -> str:
        """All steps from laying out to the last squaring; returns the pile of finished blocks."""
        self._lay_out()
        joined = self._join(self.root)
        if isinstance(self.root, Joined):
            size = unfinished_size(self.root, self.seam)
            joined = self._press_seams([(self.root, joined)], size)[0]
        squared = self._trim("square", joined, unfinished_size(self.root, self.seam), "squared")
        return self._frame(squared)

    # identities

    def _id(self, node: Node) -> str:
        """What is made, and which of several alike in this block it is."""
        if id(node) not in self._ids:
            made = f"{self.block.key}:{digest(content(node))}"
            self._names[made] = self._names.get(made, 0) + 1
            again = self._names[made]
            self._ids[id(node)] = made if again == 1 else f"{made}.{again}"
        return self._ids[id(node)]

    def _pile(self, made: str, thing: str, state: str, node: Node, size: Size | None) -> str:
        fabrics = tuple(dict.fromkeys(key for leaf in leaves(node) for key in leaf.placed.unit.region.cloths()))
        pile = Pile(f"{state}:{made}", thing, state, fabrics, size, None, self.block.key)
        return self.bench.pile(pile)

    def _step(
        self,
        made: str,
        operation: str,
        state: str,
        takes: dict[str, int],
        gives: dict[str, int],
        action: Action,
        size: Size | None,
    ) -> None:
        topic = f"block:{self.block.key}"
        self.bench.step(f"{state}:{made}", operation, takes, gives, action, topic, size, per=self.block.key)

    # laying out

    def _groups(self) -> list[tuple[Node, tuple[Leaf, ...]]]:
        """What lies together in the layout: the units of each row, or a unit joined to a larger piece."""
        if isinstance(self.root, Leaf):
            return [(self.root, (self.root,))]
        groups: list[tuple[Node, tuple[Leaf, ...]]] = []
        for piece in self.root.pieces():
            units = tuple(part for part in piece.parts if isinstance(part, Leaf))
            if len(units) == len(piece.parts):
                groups.append((piece, units))
            else:
                groups.extend((unit, (unit,)) for unit in units)
        return groups

    def _lay_out(self) -> None:
        takes: dict[str, int] = {}
        gives: dict[str, int] = {}
        places = []
        for node, units in self._groups():
            group = self._pile(self._id(node), node.name, "laid out", node, None)
            gives[group] = 1
            for unit in units:
                pile = self.piles[unit.placed.unit]
                takes[pile] = takes.get(pile, 0) + 1
                places.append(Place(pile, unit.placed.turn, group, unit.placed.row, unit.placed.column))
        made = self._id(self.root)
        self._step(made, "lay out", "laid out", takes, gives, LayOut(tuple(places)), None)

    # joining

    def _join(self, node: Node) -> str:
        """Steps up to a node that is joined but whose own seams are not pressed; its pile."""
        if isinstance(node, Leaf):
            return f"laid out:{self._id(node)}"
        if all(isinstance(part, Leaf) for part in node.parts):
            made, size = self._id(node), unfinished_size(node, self.seam)
            joined = self._pile(made, node.name, "joined", node, size)
            self._step(made, "join", "joined", {f"laid out:{made}": 1}, {joined: 1}, Join(node.direction), size)
            return joined
        inner = [(part, self._join(part)) for part in node.parts if isinstance(part, Joined)]
        pressed = dict(zip([id(part) for part, _ in inner], self._press_seams(inner, None), strict=True))
        ready = [pressed.get(id(part)) or self._join(part) for part in node.parts]
        return self._join_in_turn(node, ready)

    def _join_in_turn(self, node: Joined, ready: list[str]) -> str:
        """Pin and join one part after another to what is joined already, with the size to check after each."""
        joined = ready[0]
        for count in range(2, len(node.parts) + 1):
            whole = count == len(node.parts)
            first = Joined(node.direction, node.parts[: count - 1], node.name)
            so_far = node if whole else Joined(node.direction, node.parts[:count], f"{node.name} to {count}")
            made = self._id(node) if whole else f"{self._id(node)}-{count}"
            size = unfinished_size(so_far, self.seam)
            thing = node.name if whole else _so_far(node, count)
            left = node.parts[0] if count == 2 else first
            pinned = self._pile(made, thing, "pinned", so_far, None)
            takes = {joined: 1, ready[count - 1]: 1}
            pin = Pin(
                joined, ready[count - 1], self._nests(left, node.parts[count - 1], node.direction), node.direction
            )
            self._step(made, "pin", "pinned", takes, {pinned: 1}, pin, None)
            joined = self._pile(made, thing, "joined", so_far, size)
            self._step(made, "join", "joined", {pinned: 1}, {joined: 1}, Join(node.direction), size)
        return joined

    def _nests(self, first: Node, second: Node, direction: str) -> tuple[Nest, ...]:
        """Where seams of both pieces meet on the edges to be joined, and whether their allowances lie opposite ways."""
        edges = ("bottom", "top") if direction == "down" else ("right", "left")
        ours = {end.along: end for end in seam_ends(first, edges[0])}
        nests = []
        for end in seam_ends(second, edges[1]):
            other = ours.get(end.along)
            if other is not None:
                sides = [seam.between.index(self.directions[seam.between]) for seam in (other, end)]
                nests.append(Nest(self.seam + end.along, sides[0] != sides[1]))
        return tuple(nests)

    def _press_seams(self, pieces: list[tuple[Joined, str]], size: Size | None) -> list[str]:
        """One pressing of several joined pieces of a block; their piles after it."""
        if not pieces:
            return []
        takes = {pile: 1 for _, pile in pieces}
        after = [
            self._pile(self._id(node), node.name, "pressed", node, unfinished_size(node, self.seam))
            for node, _ in pieces
        ]
        seams = tuple(seams_of(node, self.directions) for node, _ in pieces)
        made = self._id(pieces[0][0])
        if len(pieces) > 1:
            made = f"{self.block.key}:{digest('+'.join(self._id(node) for node, _ in pieces))}"
        self._step(made, "press", "pressed", takes, dict.fromkeys(after, 1), PressSeams(seams), size)
        return after

    # squaring and frames

    def _trim(self, operation: str, pile: str, size: Size, state: str, extra: str = "") -> str:
        made = self._id(self.root) + extra
        trimmed = self._pile(made, "block", state, self.root, size)
        action = Trim(size[0], size[1], point(size[0] / 2, size[1] / 2))
        self._step(made, operation, state, {pile: 1}, {trimmed: 1}, action, size)
        return trimmed

    def _frame(self, block: str) -> str:
        """Each frame inner first: strips top and bottom, press, trim level; strips at the sides, press, trim."""
        width, height = unfinished_size(self.root, self.seam)
        extra = ""
        for number, frame in enumerate(self.block.frames, 1):
            grown = 2 * (frame.cut - 2 * self.seam)
            extra += f"+{frame.fabric}{token(frame.cut)}"
            for edges in ("top and bottom", "sides"):
                length = width if edges == "top and bottom" else height
                if edges == "top and bottom":
                    height = height + grown
                else:
                    width = width + grown
                strip = self.bench.cut(frame.fabric, length, frame.cut, "frame")
                block = self._add_strips(block, strip, edges, f"frame {number}", extra, (width, height))
        if self.block.frames:
            block = self._trim("square", block, (width, height), "squared with its frame", extra)
        return block

    def _add_strips(self, block: str, strip: str, edges: str, what: str, extra: str, size: Size) -> str:
        made = self._id(self.root) + extra
        stage = f"{what}, {edges}"
        sewn = self._pile(made, "block", f"{stage} sewn", self.root, size)
        self._step(
            made, "add strip", f"{stage} sewn", {block: 1, strip: 2}, {sewn: 1}, AddStrips(block, strip, edges), size
        )
        pressed = self._pile(made, "block", f"{stage} pressed", self.root, size)
        action = PressSeams((TOWARD_STRIPS[edges],))
        self._step(made, "press", f"{stage} pressed", {sewn: 1}, {pressed: 1}, action, size)
        return self._trim("trim", pressed, size, f"{stage} trimmed", extra)


def _so_far(node: Joined, count: int) -> str:
    word = "rows" if node.direction == "down" else "columns"
    return f"{word} 1 to {count}" if node.name == "block" else f"{node.name}, {word} 1 to {count}"
