"""Putting right what was counted: the exact number, pieces spoiled, seams unpicked; what must be cut again for it."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response

from tracker.web.asked import step_named
from tracker.web.facts import Way, asked_of, way
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import parts, quilt_page
from tracker.web.screen import Facts, Screen
from tracker.work.steps import Cut, Step

screen = Screen("mend", "/quilts/<quilt_id>")


@dataclass(frozen=True)
class Spoilable:
    """A pile of loose pieces that lie there."""

    pile: str
    words: str
    lying: int


@dataclass(frozen=True)
class Recut:
    """What is cut again for pieces lost: the step, how many more than planned, how many of all are still to cut."""

    way: Way
    words: str
    left: int


@dataclass(frozen=True)
class Mend:
    """What of a step can be put right."""

    short: str
    title: str
    done: int
    done_words: str
    in_blocks: bool
    back: int
    blocks_back: tuple[int, ...]
    spoilable: tuple[Spoilable, ...]
    lost: tuple[str, ...]
    recut: tuple[Recut, ...]
    spares: tuple[str, ...]


@screen.get("/steps/<short>/mend")
def mend(quilt_id: str, short: str) -> Response:
    """One step's counts: the exact number, spoiled, put back."""
    with parts().desk.quilt(quilt_id) as opened:
        return quilt_page("mend", "Step", opened, **facts_of(opened, f"mend:{short}"))


@screen.live
def _mend(opened: Opened, short: str) -> Facts:
    return {"mend": mend_view(opened, step_named(opened, short))}


def mend_view(opened: Opened, step: Step) -> Mend:
    """What of a step can be put right now."""
    counts, compiled = opened.counts, opened.compiled
    unpicked = step.kind.unpicked
    pooled = step.per == "quilt"
    blocks = tuple(_blocks_back(opened, step)) if unpicked and not pooled else ()
    back = min(counts.on_pile(flow.pile) // flow.each for flow in step.gives) if unpicked and pooled else 0
    return Mend(
        short=compiled.short[step.id],
        title=compiled.titles[step.id],
        done=counts.times_done(step),
        done_words=step.kind.done,
        in_blocks=not pooled,
        back=min(back, counts.times_done(step)),
        blocks_back=blocks,
        spoilable=tuple(_spoilable(opened, step)),
        lost=tuple(opened.words.pile(pile, times) for pile, times in counts.lost.items() if times),
        recut=tuple(recut(opened)),
        spares=tuple(spares(opened)),
    )


def _blocks_back(opened: Opened, step: Step) -> list[int]:
    counts = opened.counts
    return [
        number
        for number in counts.blocks_of(step)
        if counts.times_done(step, number)
        and all(counts.on_pile(flow.pile, number) >= flow.each for flow in step.gives)
    ]


def _spoilable(opened: Opened, step: Step) -> list[Spoilable]:
    found = []
    for flow in (*step.gives, *step.takes):
        lying = opened.counts.on_pile(flow.pile)
        loose = opened.compiled.checklist.piles[flow.pile].block is None and flow.pile not in opened.counts.with_blocks
        if loose and lying > 0:
            words = opened.words.pile(flow.pile, lying)
            found.append(Spoilable(flow.pile, words, lying))
    return found


def recut(opened: Opened) -> list[Recut]:
    """What has to be cut beyond the plan, since pieces were lost."""
    counts, found = opened.counts, []
    for step in opened.steps:
        more = counts.count(step) - step.count
        if isinstance(step.action, Cut) and more > 0:
            link = way(opened.compiled, step)
            assert link is not None
            found.append(Recut(link, opened.words.pile(step.gives[0].pile, more), counts.left(step)))
    return found


def spares(opened: Opened) -> list[str]:
    """Finished units beyond what the blocks still ask for: the next block that needs one, or a loss, takes them."""
    piles = dict.fromkeys(row.pile for row in opened.compiled.checklist.units)
    over = {pile: opened.counts.on_pile(pile) - asked_of(opened, pile) for pile in piles}
    return [opened.words.pile(pile, count) for pile, count in over.items() if count > 0]
