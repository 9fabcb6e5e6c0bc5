"""One step that fills the screen: where it stands, and what it says whatever the counts are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Response, request

from tracker.progress.batches import carry_on, passes_of, sample_just_finished, targets
from tracker.progress.measured_top import is_measured
from tracker.progress.pass_work import needed_now
from tracker.route.passes import Pass
from tracker.web import drawings
from tracker.web.asked import step_named
from tracker.web.facts import (
    STATION_MARKS,
    STATION_NAMES,
    Way,
    batch_words,
    figures_width,
    not_back,
    pass_way,
    seam_untested,
    take_back,
    waits,
    way,
    where_short,
)
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.measuring import UNIT_WORDS, as_measured, measuring_of, notes_of
from tracker.web.opened import Opened
from tracker.web.pages import YEAR, go_to, parts, quilt_page
from tracker.web.screen import Facts, NavPlace, Screen
from tracker.web.shares import told_shares
from tracker.words.pass_words import amounts, done_words, pass_title
from tracker.work.operations import IN_BRIEF
from tracker.work.steps import AddStrips, Join, LayOut, Pair, Pin, PressSeams, Step
from tracker.work.whole_blocks import SetBlock

screen = Screen("step", "/quilts/<quilt_id>", NavPlace(3, "Step", "/step"))

MOST_LISTED = 8
"""So many steps of a pass stand open before its button."""


@dataclass(frozen=True)
class OneTap:
    """What one tap counts: `work` of the pass, as forms tell it, in `words`; where it is more than one step, of `what`
    (so many of each piece, else the pass's title), and its `rows`. No words: nothing of it is needed now."""

    work: str = ""
    words: str = ""
    what: str = ""
    rows: tuple[Facts, ...] = ()

    @property
    def lists(self) -> bool:
        """Whether its steps are to be read before the work: other pieces each; rows of a block come in their order."""
        return len(self.rows) <= MOST_LISTED and not any(row["in_blocks"] for row in self.rows)


@screen.get("/step")
def where_she_stopped(quilt_id: str) -> Response:
    """The step last looked at on this device while it has work left, else the one to carry on with."""
    with parts().desk.quilt(quilt_id) as opened:
        step = _carry_on(opened)
        if step is None:
            return go_to(f"/quilts/{quilt_id}")
        return go_to(f"/quilts/{quilt_id}/steps/{opened.compiled.short[step.id]}")


@screen.get("/onward")
def onward(quilt_id: str) -> Response:
    """Where to go on after a tap: what comes next; after the sample, its last step."""
    with parts().desk.quilt(quilt_id) as opened:
        step = next_of(opened)
        at = f"/quilts/{quilt_id}" + (f"/steps/{opened.compiled.short[step.id]}" if step else "")
        return go_to(at)


def next_of(opened: Opened) -> Step | None:
    """The step to turn to after a tap. The sample is not left by a tap of habit: its last step stays open."""
    return sample_just_finished(opened.progress, opened.pace) or carry_on(opened.progress, opened.pace)


def _carry_on(opened: Opened) -> Step | None:
    looked_at = opened.step(request.cookies.get("step", ""))
    if looked_at is not None and opened.counts.left(looked_at):
        return looked_at
    return carry_on(opened.progress, opened.pace)


@screen.get("/steps/<short>")
def one_step(quilt_id: str, short: str) -> Response:
    """One step, filling the screen."""
    with parts().desk.quilt(quilt_id) as opened:
        step = step_named(opened, short)
        facts: Facts = {"drawing": drawings.of_step(opened, step)} | facts_of(opened, f"step:{short}")
        response = quilt_page(
            "step",
            "Step",
            opened,
            "parts/step.html",
            shown=step_view(opened, step),
            cloths=drawings.cloths_in(opened.compiled, facts["drawing"]),
            chain=_chain(),
            **facts,
        )
        response.set_cookie("step", short, max_age=YEAR, path=f"/quilts/{quilt_id}", samesite="Lax", httponly=True)
        return response


def _chain() -> int | None:
    """How many a chain is: as asked for in the address (where no script remembers it); None where nothing is."""
    text = request.args.get("chain")
    if text is None:
        return None
    if not (text.isascii() and text.isdigit() and len(text) <= 6 and int(text)):
        raise PageFault(400, "A chain is a whole number from 1; go back and type one.")
    return int(text)


@screen.live
def _step(opened: Opened, short: str) -> Facts:
    step = step_named(opened, short)
    facts: Facts = {"count": count_of(opened, step), "fresh": None}
    if is_measured(step):
        # What is measured changes more of the screen than its counts.
        facts |= {"fresh": step_view(opened, step), "drawing": drawings.of_step(opened, step)}
    return facts


def count_of(opened: Opened, step: Step) -> Facts:
    """Where one step stands: all that changes on its screen. `in_chains`: the pieces run through the machine one behind
    the other; `lays_blocks`: blocks are laid in their places, which the layout counts too."""
    counts, compiled, pace = opened.counts, opened.compiled, opened.pace
    asked = targets(counts, pace).get(step.id, 0) - counts.times_done(step)
    together, in_blocks = together_of(opened, step), step.per != "quilt"
    blocks = tuple(counts.ready_blocks(step)) if in_blocks else ()
    ready = len(blocks) if in_blocks else counts.ready(step)
    count, done = counts.count(step), counts.times_done(step)
    return {
        "short": compiled.short[step.id],
        "count": count,
        "done": done,
        "left": max(count - done, 0),
        "ready": ready,
        "blocks": blocks,
        "blocks_in_turn": in_turn(blocks),
        "in_blocks": in_blocks,
        "in_chains": step.kind.chained,
        "lays_blocks": isinstance(step.action, SetBlock),
        "done_words": step.kind.done,
        "waits": () if ready else tuple(waits(opened, counts.waits_for(step))),
        "take_back": take_back(opened, step),
        "not_back": not_back(opened),
        "carry_on": None if together.words else _pass_way(opened, _next(opened, step)),
        "now": max(min(ready, asked), 0),
        "batch": batch_words(opened) if 0 < asked < count - done else "",
        "seam_untested": step.kind.seams and seam_untested(opened),
        "if_short": where_short(step),
        "measures": in_blocks and step.kind.asks,
        "sample_done": sample_just_finished(opened.progress, opened.pace) is not None,
        "together": together,
        "previous": _pass_way(opened, neighbour(opened, step, -1)),
        "next": _pass_way(opened, neighbour(opened, step, 1)),
    }


def in_turn(blocks: Sequence[int]) -> str:
    """The blocks that the next taps are counted for, as `block 3, then 4, 5 …`; nothing where there are none."""
    if not blocks:
        return ""
    first, *others = map(str, blocks[:6])
    more = " …" if len(blocks) > 6 else ""
    return f"block {first}" + (f", then {', '.join(others)}{more}" if others else "")


def together_of(opened: Opened, step: Step) -> OneTap:
    """What one tap counts of the pass that a step is done in."""
    counts, compiled, done = opened.counts, opened.compiled, passes_of(opened.counts)[step.id]
    shares = needed_now(counts, opened.pace, done.steps)
    rest = {share.step: share.times for share in shares}
    every = all(counts.left(each) <= rest.get(each, 0) for each in done.steps)
    words = done_words(opened.words, shares, every) if shares else ""
    several = len(done.steps) > 1
    return OneTap(
        told_shares(compiled, shares),
        words[:1].upper() + words[1:],
        (amounts(opened.words, shares) or pass_title(opened.words, done)) if several and shares else "",
        tuple(_row(opened, each, rest.get(each, 0)) for each in done.steps) if several else (),
    )


def _row(opened: Opened, step: Step, now: int) -> Facts:
    """A step of a pass: how many of it the blocks in work need `now`, where it stands, and what can be counted of it
    alone."""
    counts, in_blocks = opened.counts, step.per != "quilt"
    blocks = tuple(counts.ready_blocks(step)[:1]) if in_blocks else ()
    ready = len(blocks) if in_blocks else counts.ready(step)
    return {
        "way": way(opened.compiled, step),
        "now": now,
        "done": counts.times_done(step),
        "count": counts.count(step),
        "ready": ready,
        "blocks": blocks,
        "in_blocks": in_blocks,
    }


def _pass_way(opened: Opened, step: Step | None) -> Way | None:
    return pass_way(opened, step) if step else None


def _next(opened: Opened, step: Step) -> Step | None:
    """Where to carry on from a step that is done, or done for the blocks in work: none where it is that step again."""
    found = carry_on(opened.progress, opened.pace)
    return None if found == step else found


def neighbour(opened: Opened, step: Step, by: int) -> Step | None:
    """The first step of the pass before (-1) or after (1) that of a step, where there is one."""
    every = passes_in_order(opened)
    number = every.index(passes_of(opened.counts)[step.id]) + by
    return every[number].steps[0] if 0 <= number < len(every) else None


def passes_in_order(opened: Opened) -> list[Pass]:
    """The passes that there are to do, in the order of the work."""
    counts = opened.counts
    return counts.once_for_steps("passes in order", lambda: list(dict.fromkeys(passes_of(counts).values())))


def _after(opened: Opened, step: Step) -> tuple[Step, ...]:
    """What is done in the same pass with what a step has made, by another operation, one after another. What
    is joined is whole: the next that is pinned to it is said when its turn has come."""
    found, after = passes_of(opened.counts)[step.id].steps, list[Step]()
    while len(after) < MOST_THEN and not isinstance(step.action, Join):
        made = {flow.pile for flow in step.gives}
        taking = (each for each in found if each.kind != step.kind and any(flow.pile in made for flow in each.takes))
        following = next(taking, None)
        if following is None:
            break
        after.append(following)
        step = following
    return tuple(after)


MOST_THEN = 1
"""So many steps of the same pass are told behind a step: pinned is joined, paired is sewn."""


def _is_fetched(step: Step) -> bool:
    """Whether what is taken is to be told apart from what is done with it: one piece stands in the title, and what is
    laid on, pinned to or sewn to each other stands in the words."""
    several = sum(flow.each for flow in step.takes) > 1
    return several and not isinstance(step.action, Pair | Pin | PressSeams | AddStrips)


def _take(step: Step) -> str:
    """What stands over the pieces that are taken."""
    if step.count == 1:
        return "Take"
    return "Take, for each" if step.per == "quilt" else "For each block"


def lays_a_block(step: Step) -> bool:
    """Whether a step lays out a block's pieces, which a photo can be held against."""
    return isinstance(step.action, LayOut) and step.per != "quilt"


def step_view(opened: Opened, step: Step) -> Facts:
    """What a step's screen says whatever the counts are; `figures_width` in half letters, so that they are set as large
    as fits."""
    words, compiled, measuring = opened.words, opened.compiled, measuring_of(opened, step)
    every, planned, step = passes_in_order(opened), step, as_measured(opened, step)
    size = words.shown_size(step)
    about = " about" if size and words.is_near(*size) else ""
    figures = measuring["figures"] if measuring else words.figures(size, about=False) if size else ""
    return {
        "number": every.index(passes_of(opened.counts)[planned.id]) + 1,
        "total": len(every),
        "title": words.title(step, _after(opened, planned)),
        "station": STATION_NAMES[step.station],
        "mark": STATION_MARKS[step.station],
        "figures": figures,
        "figures_width": figures_width(figures),
        "unit": measuring["beside"] if measuring else UNIT_WORDS[compiled.plan.unit] + words.shape_of(step),
        "size_label": measuring["label"] if measuring else step.kind.shows + about,
        "take": _take(planned),
        "takes": tuple(words.takes(step)) if _is_fetched(step) else (),
        "text": measuring["text"] if measuring else words.text(step),
        "tip": words.tip(planned) or "",
        "check": words.check(step),
        "caution": words.caution(planned),
        "caution_in_brief": IN_BRIEF.get(words.caution(planned), ""),
        "then": tuple(words.text(each) for each in _after(opened, planned)),
        "notes": notes_of(opened, planned),
        "measuring": measuring,
        "photo": f"/quilts/{opened.id}/steps/{compiled.short[planned.id]}/photo" if lays_a_block(planned) else "",
    }
