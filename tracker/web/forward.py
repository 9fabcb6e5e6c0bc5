"""Quilts that were begun by an earlier version's rules: brought forward once, on opening, as an edited plan is.

What was made counts on where it still fits; what does not is told until it has been read; the file as it was is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tracker.plan.model import RECKONING
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import (
    Carried,
    as_reckoned_before,
    asked_again,
    carry_over,
    counts_alike,
    pressed_otherwise,
)
from tracker.progress.ledger import Progress, Tap
from tracker.progress.tap_kinds import written
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.clock import stamp
from tracker.web.opened import Compiled
from tracker.words.step_words import Words

FIRST = 1
"""The reckoning of quilts that say none."""

MOST_SAID = 5
"""So many steps are named; more are counted."""


@dataclass(frozen=True)
class _Forward:
    """A quilt's work by the earlier rules, as it is carried over (None where taps mean the same), the taps that are
    asked about again, and those that are asked about no more."""

    former: Counts
    carried: Carried | None
    again: Sequence[Tap] = ()
    no_more: Sequence[Tap] = ()


def bring_forward(store: Store, stored: StoredQuilt, compiled: Compiled) -> None:
    """Have a quilt counted by the rules of today; on disk when this returns. Nothing is done where it is already.

    Out of its turn, since it takes its time; where it was tapped meanwhile it is done again. StoreFault.
    """
    while True:
        moment = stored.moment()
        known = moment.facts.get("reckoning", FIRST)
        if known >= RECKONING:
            return
        found = _reckoned(known, stored.taps[: moment.taps], compiled) if moment.taps else None
        with stored.turn():
            if stored.version != moment.version:
                continue
            if found is None or found.carried is None:
                stored.set_about(reckoning=RECKONING)
            else:
                store.keep_as_it_is(stored.id, f"reckoning-{known}")
                tap = found.carried.tap(f"reckoning-{RECKONING}", stamp())
                # What is asked about is asked again: taps before the one that carries over count no more.
                stored.append_with(written(tap), map(written, found.again), reckoning=RECKONING)
        if found is not None:
            title = str(stored.about.get("title", "")) or compiled.plan.title
            for sentence in _said(title, compiled, found):
                store.tell(stored.id, sentence)
        return


def _reckoned(known: int, taps: Sequence[Mapping[str, Any]], compiled: Compiled) -> _Forward:
    former = as_reckoned_before(compiled.plan, known, taps)
    if counts_alike(former.counts.checklist, compiled.checklist):
        return _Forward(former.counts, None)
    strips = compiled.whole.strips if former.counts.ticked or former.aside.strips else {}
    fresh = Progress(compiled.plan, compiled.checklist)
    carried = carry_over(former.counts, fresh.counts, strips, former.aside)
    return _Forward(former.counts, carried, *asked_again(former, fresh))


def _said(title: str, compiled: Compiled, found: _Forward) -> Iterator[str]:
    """What of the work no longer fits, and what goes on otherwise than it was begun, in a sentence each."""
    words, carried = Words(found.former.plan, found.former.checklist), found.carried
    begun = f"{title} was begun with an earlier version of the sewing room. "
    lost = (
        [f"{words.title(each.step)}, {each.done - each.kept} of {each.done}" for each in carried.lost]
        if carried
        else []
    )
    lost += [f"what was measured at {words.title(step)}" for step in (carried.unmeasured if carried else ())]
    lost += ["where blocks lie that had changed places"] if carried and carried.unlaid else []
    if lost:
        yield (
            f"{begun}All that was counted is kept but for what this one does otherwise: {_some(lost)}. The file as it "
            "was lies in the folder set-aside."
        )
    steps = [found.former.steps.get(step) for tap in found.no_more for step in tap.steps_named[-1:]]
    asked = [words.title(step) for step in steps if step is not None]
    if asked:
        yield f"{begun}What it asked about is asked no more, so look whether its count is right: {_some(asked)}."
    pressed = [words.title(step) for step in pressed_otherwise(found.former, compiled.checklist)]
    if pressed:
        yield (
            f"{begun}This one chooses by other habits to which side seams go: {_some(pressed)}. Blocks pressed already "
            "stay as they are; where one meets one pressed now, look which way its seams lie."
        )


def _some(said: Sequence[str]) -> str:
    more = f"; and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
    return "; ".join(said[:MOST_SAID]) + more
