"""What hands do, as plain frozen data: piles of like pieces, and the steps that turn some piles into others.

This is the common language of the compiler (which writes it), the proof (which sews it) and the person's
side (which words and draws it). Every size in it is printed as it stands.

How pieces lie: a piece lies front side up, x to the right, y down, its bounding box starting at (0, 0); all places
in an action are in those coordinates, in the plan's unit. A turn is clockwise, in degrees (a multiple of 45). A
piece laid *face down* is first turned, then flipped left to right, then placed with its bounding box at (x, y).
After every action each result is shifted so that its bounding box starts at (0, 0) again.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from tracker.exact.geometry import XY, ZERO, Segment
from tracker.exact.measure import Measure
from tracker.work.dotted_seams import DottedSeams
from tracker.work.operations import OPERATIONS, Operation
from tracker.work.partial_seams import PartialSeams
from tracker.work.pressed import NOT_PRESSED, Pressing, SeamPress
from tracker.work.prints import PrintLie
from tracker.work.things import Stage, Thing
from tracker.work.whole_blocks import Assembly, Nest, SetBlock

Size = tuple[Measure, Measure]
"""(across, down)"""


# Actions. `takes` and `gives` of a step name the piles; an action says what is done with one set of them.


@dataclass(frozen=True)
class Cut:
    """Cut one rectangle of new cloth: takes nothing, gives one patch. `use` is what for, as in the cutting list.

    `prints`: of a cloth with a direction, how its print lies in the piece, in degrees clockwise from upright; of more
    than one some pieces are cut each way. Empty where it does not matter.
    """

    fabric: str
    width: Measure
    height: Measure
    use: str = "unit"
    prints: tuple[int, ...] = ()


@dataclass(frozen=True)
class Mark:
    """Draw pencil lines on the back of the piece (given as they would show through to the front)."""

    lines: tuple[Segment, ...]


@dataclass(frozen=True)
class Laid:
    """A piece of the pile `pile` laid face down on the base: turned, flipped left to right, bounding box at (x, y).

    With `over` it is turned and placed so face up, and then folded over that line: a slanting edge on another.
    """

    pile: str
    turn: int
    x: Measure
    y: Measure
    over: Segment | None = None


@dataclass(frozen=True)
class Pair:
    """Lay pieces face down on a base piece, which lies face up. Takes the base and each laid piece; gives one stack."""

    base: str
    laid: tuple[Laid, ...]


@dataclass(frozen=True)
class Sew:
    """Sew along lines through all layers of a stack; gives the sewn stack."""

    lines: tuple[Segment, ...]


@dataclass(frozen=True)
class Part:
    """One stack that cutting apart gives: the one that `inside` lies in, afterwards turned by `turn`.

    `pile` is where it goes, or None where it is cut off and thrown away.
    """

    inside: XY
    turn: int
    pile: str | None


@dataclass(frozen=True)
class CutApart:
    """Cut a sewn stack through all layers along lines, right across it. Every resulting stack is named by a part."""

    lines: tuple[Segment, ...]
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Press:
    """Open a stack: fold each laid piece back along its seam, front up, then turn the piece by `turn`.

    `toward` says where the allowance goes: "laid" (under the piece folded back), "base", or "open"; `cloths` are those
    along the seam on that side.
    """

    toward: str
    turn: int = 0
    cloths: tuple[str, ...] = ()


@dataclass(frozen=True)
class Trim:
    """Cut a piece down to width x height, the rectangle's centre at `centre`. Also used for squaring.

    `turn`: the piece is turned so about that centre first.
    """

    width: Measure
    height: Measure
    centre: XY
    turn: int = 0


@dataclass(frozen=True)
class Place:
    """One piece in a layout: taken from `pile`, turned by `turn`, belonging to the laid-out pile `group`.

    `row` and `column` (from 0) are the top-left cell of the block's picture that it covers.
    """

    pile: str
    turn: int
    group: str
    row: int
    column: int


@dataclass(frozen=True)
class LayOut:
    """Lay a block's pieces out. Each group is a pile that holds its pieces in order (left to right, or top down)."""

    places: tuple[Place, ...]


@dataclass(frozen=True)
class Pin:
    """Hold two pieces ready to be joined "across" or "down": first (left or upper) and second. Gives a group."""

    first: str
    second: str
    nests: tuple[Nest, ...] = ()
    direction: str = "down"


@dataclass(frozen=True)
class Join:
    """Sew the pieces of one group to each other in order along their touching edges, at the plan's seam.

    `direction` is "across" (side by side, left to right) or "down" (one below the other). Seams are not pressed yet.
    """

    direction: str


@dataclass(frozen=True)
class PressSeams:
    """Press the seams last joined in each piece taken. `seams[i]` are those of the pile `takes[i]`, in order."""

    seams: tuple[tuple[SeamPress, ...], ...]


@dataclass(frozen=True)
class AddStrips:
    """Sew one strip to each of two opposite edges ("top and bottom" or "sides") of the piece `base`.

    `nests` says what meets at the upper (or left) and at the other seam, where the strips have seams of their own.
    `beyond` is how far each end of a strip stands out. `outward`: the strip's upper edge, as it lies before, comes
    to lie outward all round, once it is turned by `turn`; else the strips are not told apart.
    """

    base: str
    strip: str
    edges: str
    nests: tuple[tuple[Nest, ...], ...] = ()
    beyond: Measure = ZERO
    outward: bool = False
    turn: int = 0


Action = (
    Cut
    | Mark
    | Pair
    | Sew
    | CutApart
    | Press
    | Trim
    | LayOut
    | Pin
    | Join
    | PressSeams
    | AddStrips
    | PartialSeams
    | DottedSeams
    | Assembly
)


@dataclass(frozen=True)
class Pile:
    """Like pieces in one state.

    `thing` is what they are, `stage` how far they have come, `fabrics` the cloths in them (keys), `size` their size now
    (None where a folded stack has none worth measuring), `bag` the letter of the bag for one hand of a handed pair,
    `block` the block key where the pile belongs to single blocks, `version` the letter of the pressing version whose
    blocks it belongs to, where it differs between versions.
    """

    id: str
    thing: Thing
    stage: Stage
    fabrics: tuple[str, ...]
    size: Size | None = None
    bag: str | None = None
    block: str | None = None
    version: str | None = None


@dataclass(frozen=True)
class Flow:
    """`each` pieces of a pile, taken or given each time a step is done."""

    pile: str
    each: int


class About(Enum):
    """What a step has a part in."""

    CUTTING = "cutting"
    UNIT = "unit"
    BLOCK = "block"
    ROWS = "rows"
    TRIANGLES = "triangles"
    STRIPS = "strips"
    BORDERS = "borders"
    FINISHING = "finishing"


OF_THE_QUILT = (About.ROWS, About.TRIANGLES, About.STRIPS, About.BORDERS, About.FINISHING)


@dataclass(frozen=True)
class Topic:
    """Steps of one topic belong together: those that cut one cloth, make one unit or one kind of block (`of` which), or
    handle the whole quilt."""

    about: About
    of: str = ""


@dataclass(frozen=True)
class Step:
    """One kind of action, done `count` times over the quilt.

    `per` is "quilt" (counted in a common pool) or a block key (once for each block of that kind: then count is the
    number of those blocks). `size` is what lies there afterwards. `topic` says what it has a part in.
    A step that differs between pressing versions of a block has the letter (or letters, "A, C") of its `version`, and
    in `blocks` the numbers of the blocks (from 1, in reading order) that it is done for; `count` is how many those are.
    `beside` is a pile that must lie there, though nothing is taken from it: the top that strips are measured by.
    """

    id: str
    operation: str
    count: int
    per: str
    takes: tuple[Flow, ...]
    gives: tuple[Flow, ...]
    size: Size | None
    action: Action
    topic: Topic
    version: str | None = None
    blocks: tuple[int, ...] | None = None
    beside: str | None = None

    @property
    def kind(self) -> Operation:
        """What there is to say of its operation."""
        return OPERATIONS[self.operation]

    @property
    def station(self) -> str:
        """Where it is done: one of STATIONS."""
        return self.kind.station

    @property
    def of_the_quilt(self) -> bool:
        """Whether it is done with the whole quilt, or with what is made for it."""
        return self.topic.about in OF_THE_QUILT


@dataclass(frozen=True)
class UnitRow:
    """A kind of unit in the quilt: how it is made, and how many are needed, made and left over.

    `fabrics` are read clockwise from the least rotation (one key if plain). `pile` is where finished units lie.
    """

    kind: str
    way: str | None
    fabrics: tuple[str, ...]
    finished: Size
    trimmed: Size
    needed: int
    made: int
    spare: int
    pile: str
    bag: str | None = None


@dataclass(frozen=True)
class CutPiece:
    """Cloth to cut: `count` like rectangles of one fabric for one `use`, the longer side as width.

    Where they lie on their cloth the width runs from selvage to selvage, the height down its length. `fixed`: never
    turned on the cloth. `joined`: may be made of several strips, sewn end to end, where the cloth is not wide enough.
    """

    fabric: str
    width: Measure
    height: Measure
    count: int
    use: str
    fixed: bool = False
    joined: bool = False


@dataclass(frozen=True)
class BlockRow:
    """A kind of block: how many, its unfinished size before frames (`inner`), unfinished after them, and finished."""

    key: str
    count: int
    inner: Size
    unfinished: Size
    finished: Size


@dataclass(frozen=True)
class Notice:
    """Something a person should know about a plan that is no error: a stable kind, and its facts for `wording`."""

    kind: str
    facts: tuple[tuple[str, object], ...]

    def fact(self, name: str) -> object:
        """One of its facts by name. KeyError where this kind has none of that name."""
        return dict(self.facts)[name]


@dataclass(frozen=True)
class Checklist:
    """The compiled plan: every pile and step in a workable order, and the lists that follow from them.

    `spares` is what remains on each pile when all is done, beside the finished blocks; `prints` is how those lie.
    """

    piles: dict[str, Pile]
    steps: tuple[Step, ...]
    units: tuple[UnitRow, ...]
    pieces: tuple[CutPiece, ...]
    blocks: tuple[BlockRow, ...]
    notices: tuple[Notice, ...]
    spares: dict[str, int]
    pressing: Pressing = NOT_PRESSED
    prints: tuple[PrintLie, ...] = ()

    def made(self, step: Step) -> Pile:
        """The (first) pile that a step gives to."""
        return self.piles[step.gives[0].pile]

    def taken(self, step: Step) -> Pile:
        """The first pile that a step takes from."""
        return self.piles[step.takes[0].pile]

    def with_blocks(self) -> frozenset[str]:
        """The piles of blocks set in the quilt, and of all that is made with them."""
        found: set[str] = set()
        for step in self.steps:
            if isinstance(step.action, SetBlock) or any(flow.pile in found for flow in step.takes):
                found.update(flow.pile for flow in step.gives)
        return frozenset(found)
