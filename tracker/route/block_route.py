"""The route of one kind of block: lay out, join, press, check, square, frame; every pile and step with its size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from tracker.exact.measure import Measure, round_up
from tracker.plan.model import Block, Frame
from tracker.pressing.block_pressing import Sides
from tracker.pressing.meetings import BlockSeams
from tracker.pressing.seam_reader import FRAME_SIDES
from tracker.route.block_ids import AlikePieces, FramesOn, cloths_left, content, stage_id
from tracker.units.block_units import Unit
from tracker.units.joins import Joined, Leaf, Node, leaves, unfinished_size
from tracker.units.maker import Bench, digest, token, trim_to
from tracker.work.partial_seams import EDGES_ROUND, BeginSeam, CloseSeam, PartialSeams, SewArm
from tracker.work.pressed import SeamPress
from tracker.work.steps import About, Action, AddStrips, Join, LayOut, Pile, Pin, Place, PressSeams, Size, Topic
from tracker.work.things import ENDS, SIDES, Kind, Stage, Thing
from tracker.work.whole_blocks import MeasureBlock, Nest


def _toward_strips(first: str, second: str) -> tuple[SeamPress, ...]:
    block, strips = Thing(Kind.BLOCK), [Thing(Kind.FRAME_STRIP, side=side) for side in (first, second)]
    return SeamPress((strips[0], block), strips[0]), SeamPress((block, strips[1]), strips[1])


TOWARD_STRIPS = {ENDS: _toward_strips("top", "bottom"), SIDES: _toward_strips("left", "right")}
"""Frame seams go toward the strips, away from the many seams of the block."""

LONGER = {"in": Measure(1), "cm": Measure(Fraction(5, 2))}
"""How much longer a frame's strips are cut where trimming is roomy; their ends are trimmed even."""


@dataclass(frozen=True)
class BlockVersion:
    """One way to press a block: its letter, the sides of its seams, and the numbers of the blocks pressed so."""

    letter: str
    sides: Sides
    blocks: tuple[int, ...]


@dataclass
class BlockRoute:
    """Writes the steps of one kind of block on the bench, for one of its pressing versions.

    What is the same for several versions, because nothing is pressed differently yet, is one step for all of them.
    `alone`: the block is all there is to the quilt.
    """

    bench: Bench
    block: Block
    root: Node
    piles: dict[Unit, str]
    seams: BlockSeams
    versions: tuple[BlockVersion, ...]
    version: BlockVersion
    alone: bool = False

    def __post_init__(self) -> None:
        self._names: dict[str, int] = {}
        self._ids: dict[int, str] = {}
        self._strips: list[str] = []
        self._left: frozenset[str] | None = None
        self._numbers = {seam.between: number for number, seam in enumerate(self.seams.seams)}

    @property
    def seam(self) -> Measure:
        """The plan's seam allowance."""
        return self.bench.plan.seam

    def write(self) -> str:
        """All steps from laying out to the last squaring; returns the pile of finished blocks.

        A block of one piece, which was cut or trimmed to size, is not squared, and laid out only where it has to be
        turned, or where it is the whole quilt. In the first two reckonings it was squared, and no block was measured;
        in the first five it was squared where it is the whole quilt.
        """
        reckoning, one_piece = self.bench.plan.reckoning, isinstance(self.root, Leaf)
        alike, size = self._alike(self._whole()), unfinished_size(self.root, self.seam)
        if isinstance(self.root, Leaf) and self._is_ready_made:
            joined = self.piles[self.root.placed.unit]
        else:
            self._lay_out()
            joined = self._join(self.root)
        if isinstance(self.root, Joined):
            joined = self._press_seams([(self.root, joined)], size, alike)[0]
        if reckoning > 2 and not one_piece:
            joined = self._measure(joined, size, alike)
        down = self.block.squared is not None
        squared = reckoning < 3 or not one_piece or (self.alone and reckoning < 6) or down
        if squared and (not self.block.frames or reckoning == 1 or down):
            self._left = cloths_left(self.block, self.seam) if down else None
            joined = self._trim("square", joined, self._squared, FramesOn(made=self._cut_to), alike, size)
        return self._frame(joined, alike)

    @property
    def _is_ready_made(self) -> bool:
        """Whether the block is one piece that lies as it was made."""
        lies = isinstance(self.root, Leaf) and not self.root.placed.turn
        return self.bench.plan.reckoning > 2 and lies and not self.alone and self.block.squared is None

    @property
    def _squared(self) -> Size:
        """Its unfinished size before frames, as it is squared."""
        width, height = self.block.inner_squared(self.seam)
        return width + 2 * self.seam, height + 2 * self.seam

    @property
    def _cut_to(self) -> str:
        """What squaring to another size than the planned one adds to what is made."""
        return "" if self.block.squared is None else f"={token(self.block.squared)}"

    # versions

    def _own_seams(self, piece: Joined) -> list[int]:
        return [self._numbers[before.thing, after.thing] for before, after in piece.seams()]

    def _inside(self, node: Node) -> list[int]:
        """Seams that are pressed before a node's parts are joined."""
        parts = node.parts if isinstance(node, Joined) else ()
        pieces = [piece for part in parts if isinstance(part, Joined) for piece in part.pieces()]
        return [seam for piece in pieces for seam in self._own_seams(piece)]

    def _whole(self) -> list[int]:
        """All joins of the block."""
        return self._inside(self.root) + (self._own_seams(self.root) if isinstance(self.root, Joined) else [])

    def _alike(self, pressed: list[int]) -> AlikePieces:
        """The versions in which these seams are pressed as in this one."""
        sides = self.version.sides
        found = [each for each in self.versions if all(each.sides[seam] == sides[seam] for seam in pressed)]
        mark = "" if found[0] is self.versions[0] else f"~{found[0].letter}"
        if len(found) == len(self.versions):
            return AlikePieces(mark, None, None)
        blocks = tuple(sorted(number for each in found for number in each.blocks))
        return AlikePieces(mark, ", ".join(each.letter for each in found), blocks)

    # identities

    def _id(self, node: Node) -> str:
        """What is made, and which of several alike in this block it is."""
        if id(node) not in self._ids:
            made = f"{self.block.key}:{digest(content(node))}"
            self._names[made] = self._names.get(made, 0) + 1
            again = self._names[made]
            self._ids[id(node)] = made if again == 1 else f"{made}.{again}"
        return self._ids[id(node)]

    def _pile(
        self,
        made: str,
        thing: Thing,
        stage: Stage,
        node: Node,
        size: Size | None,
        alike: AlikePieces,
        frames: FramesOn | None = None,
    ) -> str:
        cloths = [key for leaf in leaves(node) for key in leaf.placed.unit.region.cloths()]
        if self._left is not None:
            cloths = [key for key in cloths if key in self._left]
        fabrics = tuple(dict.fromkeys((*cloths, *self._strips)))
        pile_id = stage_id(stage, made, alike, frames)
        return self.bench.pile(Pile(pile_id, thing, stage, fabrics, size, None, self.block.key, alike.letters))

    def _step(
        self,
        made: str,
        operation: str,
        stage: Stage,
        takes: dict[str, int],
        gives: dict[str, int],
        action: Action,
        size: Size | None,
        alike: AlikePieces,
        frames: FramesOn | None = None,
    ) -> None:
        topic, key = Topic(About.BLOCK, self.block.key), self.block.key
        step_id = stage_id(stage, made, alike, frames)
        self.bench.step(step_id, operation, takes, gives, action, topic, size, key, alike.letters, alike.blocks)

    # laying out

    def _is_plain(self, node: Joined) -> bool:
        """Whether a node's parts are units that can be sewn one after another, since no seams meet between them."""
        joins = {meeting.join for meeting in self.seams.meetings}
        pairs = pairwise(node.parts)
        units = all(isinstance(part, Leaf) for part in node.parts)
        return units and not node.is_round and not any((before.thing, after.thing) in joins for before, after in pairs)

    def _groups(self) -> list[tuple[Node, tuple[Leaf, ...]]]:
        """What lies together in the layout: the units of each row, or a unit joined to a larger piece."""
        if isinstance(self.root, Leaf):
            return [(self.root, (self.root,))]
        groups: list[tuple[Node, tuple[Leaf, ...]]] = []
        for piece in self.root.pieces():
            units = tuple(part for part in piece.parts if isinstance(part, Leaf))
            if self._is_plain(piece):
                groups.append((piece, units))
            else:
                groups.extend((unit, (unit,)) for unit in units)
        return groups

    def _lay_out(self) -> None:
        alike = self._alike([])
        takes: dict[str, int] = {}
        gives: dict[str, int] = {}
        places = []
        for node, units in self._groups():
            group = self._pile(self._id(node), node.thing, Stage.LAID_OUT, node, None, alike)
            gives[group] = 1
            for unit in units:
                pile = self.piles[unit.placed.unit]
                takes[pile] = takes.get(pile, 0) + 1
                places.append(Place(pile, unit.placed.turn, group, unit.placed.row, unit.placed.column))
        made = self._id(self.root)
        self._step(made, "lay out", Stage.LAID_OUT, takes, gives, LayOut(tuple(places)), None, alike)

    # joining

    def _join(self, node: Node) -> str:
        """Steps up to a node that is joined but whose own seams are not pressed; its pile."""
        if isinstance(node, Leaf):
            return f"laid out:{self._id(node)}"
        alike = self._alike(self._inside(node))
        if self._is_plain(node):
            made, size = self._id(node), unfinished_size(node, self.seam)
            joined = self._pile(made, node.thing, Stage.JOINED, node, size, alike)
            taken = {f"laid out:{made}": 1}
            self._step(made, "join", Stage.JOINED, taken, {joined: 1}, Join(node.direction), size, alike)
            return joined
        inner = [(part, self._join(part)) for part in node.parts if isinstance(part, Joined)]
        pressed = dict(zip([id(part) for part, _ in inner], self._press_seams(inner, None, alike), strict=True))
        ready = [pressed.get(id(part)) or self._join(part) for part in node.parts]
        return self._sew_round(node, ready, alike) if node.is_round else self._join_in_turn(node, ready, alike)

    def _sew_round(self, node: Joined, ready: list[str], alike: AlikePieces) -> str:
        """Begin the first seam round a middle, sew and press the others in turn, and close the first."""
        lying, *arms = ready
        level, first = node.level, node.seams()[0]
        begun = node.begun_for(self.bench.plan)
        end = begun if level == "left" else unfinished_size(node.parts[1], self.seam)[0] - begun
        nests = self._nests(*first)
        sewn = tuple(nest for nest in nests if (nest.along > end) == (level == "right"))
        for count, (edge, arm) in enumerate(zip(EDGES_ROUND[level], arms, strict=True), 2):
            so_far, made = node.begun(count), f"{self._id(node)}-{count}"
            size, between = unfinished_size(so_far, self.seam), node.seams()[count - 2]
            action: PartialSeams = BeginSeam(lying, arm, level, begun, sewn)
            if count > 2:
                action = SewArm(lying, arm, edge, self._nests(*between))
            joined = self._pile(made, so_far.thing, Stage.SEWN, so_far, size, alike)
            named = "begin seam" if count == 2 else "sew round"
            self._step(made, named, Stage.SEWN, {lying: 1, arm: 1}, {joined: 1}, action, size, alike)
            lying = self._pile(made, so_far.thing, Stage.PRESSED, so_far, size, alike)
            press = PressSeams((self._pressed_seams([between]),))
            self._step(made, "press", Stage.PRESSED, {joined: 1}, {lying: 1}, press, size, alike)
        closed = self._pile(self._id(node), node.thing, Stage.JOINED, node, unfinished_size(node, self.seam), alike)
        action = CloseSeam(tuple(nest for nest in nests if nest not in sewn))
        size = unfinished_size(node, self.seam)
        self._step(self._id(node), "close seam", Stage.JOINED, {lying: 1}, {closed: 1}, action, size, alike)
        return closed

    def _join_in_turn(self, node: Joined, ready: list[str], alike: AlikePieces) -> str:
        """Pin and join one part after another to what is joined already, with the size to check after each."""
        joined = ready[0]
        for count in range(2, len(node.parts) + 1):
            whole = count == len(node.parts)
            so_far = node if whole else node.begun(count)
            made = self._id(node) if whole else f"{self._id(node)}-{count}"
            size = unfinished_size(so_far, self.seam)
            pinned = self._pile(made, so_far.thing, Stage.PINNED, so_far, None, alike)
            takes = {joined: 1, ready[count - 1]: 1}
            nests = self._nests(node.parts[count - 2], node.parts[count - 1])
            pin = Pin(joined, ready[count - 1], nests, node.direction)
            self._step(made, "pin", Stage.PINNED, takes, {pinned: 1}, pin, None, alike)
            joined = self._pile(made, so_far.thing, Stage.JOINED, so_far, size, alike)
            self._step(made, "join", Stage.JOINED, {pinned: 1}, {joined: 1}, Join(node.direction), size, alike)
        return joined

    def _nests(self, first: Node, second: Node) -> tuple[Nest, ...]:
        """Where seams of both pieces meet on the edges to be joined, and whether their allowances lie opposite ways."""
        sides = self.version.sides
        return tuple(
            Nest(self.seam + meeting.along, sides[meeting.first] != sides[meeting.second], meeting.seams)
            for meeting in self.seams.meetings
            if meeting.join == (first.thing, second.thing)
        )

    def _press_seams(self, pieces: list[tuple[Joined, str]], size: Size | None, alike: AlikePieces) -> list[str]:
        """One pressing of several joined pieces of a block; their piles after it."""
        if not pieces:
            return []
        takes = {pile: 1 for _, pile in pieces}
        after = [
            self._pile(self._id(node), node.thing, Stage.PRESSED, node, unfinished_size(node, self.seam), alike)
            for node, _ in pieces
        ]
        seams = tuple(self._pressed(node) for node, _ in pieces)
        made = self._id(pieces[0][0])
        if len(pieces) > 1:
            made = f"{self.block.key}:{digest('+'.join(self._id(node) for node, _ in pieces))}"
        self._step(made, "press", Stage.PRESSED, takes, dict.fromkeys(after, 1), PressSeams(seams), size, alike)
        return after

    def _pressed(self, piece: Joined) -> tuple[SeamPress, ...]:
        """The seams that join the parts of one piece, in order, and where this version presses them; of those round a
        middle the one that is closed last, the others being pressed as they are sewn."""
        return self._pressed_seams(piece.seams()[:1] if piece.is_round else piece.seams())

    def _pressed_seams(self, seams: Sequence[tuple[Node, Node]]) -> tuple[SeamPress, ...]:
        found = [(before.thing, after.thing) for before, after in seams]
        return tuple(SeamPress(names, names[self.version.sides[self._numbers[names]]]) for names in found)

    # measuring, squaring and frames

    def _measure(self, pile: str, size: Size, alike: AlikePieces) -> str:
        made = self._id(self.root)
        measured = self._pile(made, Thing(Kind.BLOCK), Stage.MEASURED, self.root, size, alike)
        self._step(made, "measure", Stage.MEASURED, {pile: 1}, {measured: 1}, MeasureBlock(size), size, alike)
        return measured

    def _trim(
        self, operation: str, pile: str, size: Size, frames: FramesOn, alike: AlikePieces, lies: Size | None = None
    ) -> str:
        made, stage = self._id(self.root) + frames.made, Stage.TRIMMED if frames.side else Stage.SQUARED
        trimmed = self._pile(made, frames.thing, stage, self.root, size, alike, frames)
        self._step(made, operation, stage, {pile: 1}, {trimmed: 1}, trim_to(size, lies), size, alike, frames)
        return trimmed

    def _frame(self, block: str, alike: AlikePieces) -> str:
        """Each frame inner first: strips top and bottom, press; strips at the sides, press; then the block is squared.

        Strips cut longer stand out at both ends and are trimmed even before more goes on; the last ones as the block
        is squared. In the first reckoning nothing stood out, and was trimmed all the same.
        """
        size = self._squared
        made, framed, first_rules = self._cut_to, alike, self.bench.plan.reckoning == 1
        for number, frame in enumerate(self.block.frames, 1):
            made += f"+{frame.fabric}{token(frame.cut)}"
            self._strips.append(frame.fabric)
            for edges in (ENDS, SIDES):
                last = edges == SIDES and number == len(self.block.frames)
                if last:
                    framed = self._alike([*self._whole(), *(self._numbers[seam] for seam in FRAME_SIDES)])
                frames, (size, lies, length, beyond) = FramesOn(number, edges, made), self._grown(size, frame, edges)
                strips = AddStrips(block, self.bench.cut(frame.fabric, length, frame.cut, "frame"), edges, (), beyond)
                block = self._add_strips(strips, frames, lies, (alike, framed))
                if first_rules or (beyond and not last):
                    block = self._trim("trim", block, size, frames, framed, lies)
        if self.block.frames:
            if self.block.squared_framed is not None:
                made += f"={token(self.block.squared_framed)}"
            whole, (width, height) = FramesOn(len(self.block.frames), "", made), self.block.finished(self.seam)
            squared = width + 2 * self.seam, height + 2 * self.seam
            block = self._trim("square", block, squared, whole, framed, size if first_rules else lies)
        return block

    def _grown(self, size: Size, frame: Frame, edges: str) -> tuple[Size, Size, Measure, Measure]:
        """A block with two strips of a frame more: its size, that with the ends of the strips, their length, and how
        far each end stands out."""
        (width, height), more, plan = size, 2 * (frame.cut - 2 * self.seam), self.bench.plan
        edge = width if edges == ENDS else height
        longer = plan.trimming == "roomy" and plan.reckoning > 1
        length = round_up(edge + LONGER[plan.unit], plan.ruler) if longer else edge
        if edges == ENDS:
            return (width, height + more), (length, height + more), length, (length - edge) / 2
        return (width + more, height), (width + more, length), length, (length - edge) / 2

    def _add_strips(
        self, strips: AddStrips, frames: FramesOn, size: Size, alike: tuple[AlikePieces, AlikePieces]
    ) -> str:
        """Strips sewn on and pressed. `alike` are the versions before their seams are pressed, and after it."""
        before, after = alike
        made, root, thing = self._id(self.root) + frames.made, self.root, frames.thing
        sewn = self._pile(made, thing, Stage.SEWN, root, size, before, frames)
        takes = {strips.base: 1, strips.strip: 2}
        self._step(made, "add strip", Stage.SEWN, takes, {sewn: 1}, strips, size, before, frames)
        pressed = self._pile(made, thing, Stage.PRESSED, root, size, after, frames)
        action = PressSeams((self._frame_seams(strips.edges, frames.number),))
        self._step(made, "press", Stage.PRESSED, {sewn: 1}, {pressed: 1}, action, size, after, frames)
        return pressed

    def _frame_seams(self, edges: str, number: int) -> tuple[SeamPress, ...]:
        """Toward the strips; the seams of the last strips, which run out at the block's edges, as its version says."""
        if edges == SIDES and number == len(self.block.frames):
            return tuple(SeamPress(seam, seam[self.version.sides[self._numbers[seam]]]) for seam in FRAME_SIDES)
        return TOWARD_STRIPS[edges]
