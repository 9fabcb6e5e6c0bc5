"""Quilts that were begun by an earlier version's rules: brought forward once, on opening, as an edited plan is.

What was made counts on where it still fits; what does not is told until it has been read; the file as it was is kept.
Where today's rules would choose other units, the quilt's plan says from then on that it goes on as it was begun: a
quilter does not change her units halfway.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tracker.plan.model import KEPT_FROM, RECKONING
from tracker.plan.plan_text import rewritten
from tracker.plan.toml_text import parse
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
from tracker.route.compiler import compile_plan
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.clock import stamp
from tracker.web.opened import Compiled
from tracker.words.step_words import Words
from tracker.words.thing_words import some_of

FIRST = 1
"""The reckoning of quilts that say none."""


@dataclass(frozen=True)
class _Forward:
    """A quilt's work by the earlier rules, as it is carried over (None where taps mean the same), the taps that are
    asked about again, and those that are asked about no more."""

    former: Counts
    carried: Carried | None
    again: Sequence[Tap] = ()
    no_more: Sequence[Tap] = ()


def bring_forward(
    store: Store, stored: StoredQuilt, compiled: Compiled, compiling: Callable[[str], Compiled]
) -> Compiled:
    """Have a quilt counted by the rules of today, or by those it keeps; on disk when this returns what it is compiled
    to. Nothing is done where it is so already. `compiling` compiles a plan's text.

    Out of its turn, since it takes its time; where it was tapped meanwhile it is done again. StoreFault.
    """
    while True:
        moment = stored.moment()
        known = moment.facts.get("reckoning", FIRST)
        if known >= RECKONING or str(moment.facts.get("plan", "")) != compiled.text:
            return compiled
        text = _as_begun(compiled, known) if moment.taps else compiled.text
        goes_on = compiled if text == compiled.text else compiling(text)
        found = _reckoned(known, stored.taps[: moment.taps], goes_on) if moment.taps else None
        facts = {"reckoning": RECKONING, "plan": text}
        with stored.turn():
            if stored.version != moment.version:
                continue
            if goes_on is not compiled or (found and found.carried):
                store.keep_as_it_is(stored.id, f"reckoning-{known}")
            if found is None or found.carried is None:
                stored.set_about(**facts)
            else:
                tap = found.carried.tap(f"reckoning-{RECKONING}", stamp())
                # What is asked about is asked again: taps before the one that carries over count no more.
                stored.append_with(written(tap), map(written, found.again), **facts)
        title = str(stored.about.get("title", "")) or compiled.plan.title
        if goes_on is not compiled:
            store.tell(stored.id, _kept_as_begun(title, goes_on.plan.reckoning))
        if found is not None:
            for sentence in _said(title, goes_on, found):
                store.tell(stored.id, sentence)
        return goes_on


def _as_begun(compiled: Compiled, known: int) -> str:
    """The text of a plan that was begun before: where today's rules make other units of it, it says that it goes on by
    those that it was begun by."""
    begun_by = min(compiled.plan.reckoning, max(known, KEPT_FROM))
    begun = compile_plan(replace(compiled.plan, reckoning=begun_by))
    if counts_alike(begun, compiled.checklist):
        return compiled.text
    table, problem = parse(compiled.text, "plan")
    assert problem is None, problem
    return rewritten(compiled.text, table | {"reckoning": begun_by})


def _kept_as_begun(title: str, reckoning: int) -> str:
    return (
        f"{title} was begun with an earlier version of the sewing room and goes on as it was begun: reckoning = "
        f"{reckoning} in its plan says so. Without that line some of its units would be made otherwise."
    )


def _reckoned(known: int, taps: Sequence[Mapping[str, Any]], compiled: Compiled) -> _Forward:
    former = as_reckoned_before(compiled.plan, min(known, compiled.plan.reckoning), taps)
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
            f"{begun}All that was counted is kept but for what this one does otherwise: {some_of(lost)}. The file as "
            "it was lies in the folder set-aside."
        )
    steps = [found.former.steps.get(step) for tap in found.no_more for step in tap.steps_named[-1:]]
    asked = [words.title(step) for step in steps if step is not None]
    if asked:
        yield f"{begun}What it asked about is asked no more, so look whether its count is right: {some_of(asked)}."
    pressed = [words.title(step) for step in pressed_otherwise(found.former, compiled.checklist)]
    if pressed:
        yield (
            f"{begun}This one chooses by other habits to which side seams go: {some_of(pressed)}. Blocks pressed "
            "already stay as they are; where one meets one pressed now, look which way its seams lie."
        )
