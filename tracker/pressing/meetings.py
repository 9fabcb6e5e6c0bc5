"""Where the seams of a block lie, which of them meet across a join, and which run out at its edges.

A seam is pressed to one of two sides: 0 is the part that comes first (left or upper), 1 the other. Two seams meet where
they run out at the same place on the two edges that a join brings together; they nest where they are pressed to
opposite sides. A seam that runs out where the other piece has none meets nothing.

What is not settled by nesting is pressed by habit, and a plan says which habit comes first (`HABITS`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracker.exact.measure import Measure
from tracker.plan.model import Plan
from tracker.work.things import Thing

HABITS: dict[str, tuple[tuple[str, ...], ...]] = {
    "best": (("strip",), ("row joins", "long row"), ("bulk",), ("light",), ("short row",)),
    "one way": (("strip",), ("row joins", "long row", "short row"), ("bulk",), ("light",)),
    "flat": (("strip",), ("row joins",), ("bulk",), ("long row",), ("light",), ("short row",)),
    "dark": (("strip",), ("row joins",), ("light",), ("long row",), ("bulk",), ("short row",)),
}
"""For each `press_rows` what is kept first, and what only then: a seam toward the strip just added, away from the
bulkier side, away from the lighter cloth; the row joins of a block, the seams of a long or a short row all one way."""

FIRST_HABITS = (("row joins", "long row", "short row"), ("light",), ("bulk",))
"""Those of the first reckoning, which pressed all frames alike."""


EDGES = ("top", "right", "bottom", "left")


@dataclass(frozen=True)
class BlockSeam:
    """One seam of a block, between two parts (by name) joined "across" (then it is upright) or "down".

    `fixed` is the side that it is pressed to where that is not chosen: inside a unit. `against` says, for each habit
    of the plan in its order, whether either side goes against it.
    """

    between: tuple[Thing, Thing]
    direction: str
    fixed: int | None
    against: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class Meeting:
    """Two seams, by number, that meet across the join between two named parts: that of the left or upper part first.

    `along` is how far from the left (or top) of the joined piece (finished). `seams` counts them among the seams that
    run out at each part's edge, from 1.
    """

    join: tuple[Thing, Thing]
    first: int
    second: int
    along: Measure
    seams: tuple[int, int]


@dataclass(frozen=True)
class BlockSeams:
    """All seams of a block that can meet others.

    `meetings` stand in the order of the joins. `rows` are the seams of each joined piece that has several, each with
    the number of the habit (of `habits`) that would have them all go one way. `edges` holds for each edge of the block
    (with its frames) where which seam runs out, measured from its left or top (finished). `turned` is for each seam the
    one that lies there after half a turn, None where the block then looks, or is pressed inside, otherwise. `size` is
    the block's, `frame` the cloth of its last frame, which lies along all edges.
    """

    seams: tuple[BlockSeam, ...]
    meetings: tuple[Meeting, ...]
    rows: tuple[tuple[int, tuple[int, ...]], ...]
    edges: dict[str, dict[Measure, int]]
    turned: tuple[int, ...] | None
    habits: int
    size: tuple[Measure, Measure]
    frame: str | None = None

    def at_edge(self, edge: str, turn: int) -> dict[Measure, tuple[int, int]]:
        """Where seams run out at an edge of the block as it lies, `turn` quarters of a turn clockwise: each seam by how
        far it lies from the left or top, with 1 where the side that it is pressed to is the other one then."""
        own = EDGES[(EDGES.index(edge) - turn) % 4]
        upright = own in ("top", "bottom")
        # A quarter turn brings what is above to the right, and what is on the right below.
        over = turn in (2, 3 if upright else 1)
        length = self.size[0 if upright else 1]
        return {length - at if over else at: (seam, int(over)) for at, seam in self.edges[own].items()}

    def unnested(self, sides: tuple[int, ...]) -> int:
        """How many meetings do not nest when the seams are pressed to these sides."""
        return sum(sides[meeting.first] == sides[meeting.second] for meeting in self.meetings)

    def upside_down(self, sides: tuple[int, ...]) -> tuple[int, ...]:
        """The sides as they lie after half a turn of the block."""
        assert self.turned is not None
        return tuple(1 - sides[there] for there in self.turned)


def habits_of(plan: Plan) -> tuple[tuple[str, ...], ...]:
    """The habits of pressing that a plan asks for, the first weighing most."""
    return FIRST_HABITS if plan.reckoning == 1 else HABITS[plan.press_rows]


Ends = tuple[int, int]
"""A seam that runs out at an edge, and 1 where the side it is pressed to is the other one as its block lies."""


def meeting_ends(
    first: BlockSeams, second: BlockSeams, edges: tuple[str, str], turns: tuple[int, int]
) -> Iterator[tuple[Measure, tuple[Ends, Ends]]]:
    """Where seams of two blocks meet that are sewn to each other at these edges, each turned by so many quarters; and
    the seam of each.

    Where a cloth meets itself (the frames of neighbours) nobody minds: those are left out.
    """
    if first.frame is not None and first.frame == second.frame:
        return
    there = second.at_edge(edges[1], turns[1])
    for at, end in first.at_edge(edges[0], turns[0]).items():
        if at in there:
            yield at, (end, there[at])
