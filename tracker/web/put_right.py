"""What of a step can be put right as things stand: what lies loose, what lies in blocks, what comes apart, what is cut
again for it and from which leftover."""

from __future__ import annotations

from collections.abc import Iterator

from tracker.progress.counts import Counts
from tracker.progress.unpicking import comes_apart, held
from tracker.progress.work_taps import BlockSpoiled, JoinOpened, SpoiledWithin
from tracker.web.facts import MOST_LATEST, asked_of, way
from tracker.web.opened import Opened
from tracker.web.screen import Facts
from tracker.words.measures_wrong import measures_wrong, should_measure
from tracker.words.mistakes import mistakes
from tracker.words.thing_words import plural
from tracker.work.steps import AddStrips, Cut, LayOut, Step

MOST_BLOCKS = 100
"""So many blocks are chosen from; if there are more, the number is typed."""

MOST_FURTHER = 6


def mend_view(opened: Opened, step: Step, asked: int | None = None) -> Facts:
    """What of a step can be put right now; `asked` is the block (0: the quilt) that she would unpick it in.

    Blocks are numbers: `untapped` can be said not to be done, `tappable` to be done too, `again` to be pressed again,
    `laid` hold pieces, `sewn` (0: the quilt) can be unpicked at this step.
    """
    counts, compiled = opened.counts, opened.compiled
    pooled, unpicked, done = step.per == "quilt", step.kind.unpicked, counts.times_done(step)
    numbers = () if pooled else tuple(counts.blocks_of(step))
    free = tuple(n for n in numbers if counts.times_done(step, n) and _lies_free(counts, step, n))
    made, over = step.gives[0].pile, done - counts.count(step)
    back = min(min(counts.on_pile(flow.pile) // flow.each for flow in step.gives), done) if pooled and unpicked else 0
    whole = (0,) if pooled and step.of_the_quilt else numbers
    sewn = tuple(n for n in whole if counts.times_done(step, n)) if unpicked and step.operation != "press" else ()
    within, press = tuple(_within(opened, step)), _pressed_by(opened, step)
    return {
        "short": compiled.short[step.id],
        "title": compiled.titles[step.id],
        "count": counts.count(step),
        "done": done,
        "done_words": step.kind.done,
        "operation": step.operation,
        "in_blocks": not pooled,
        "of_the_quilt": pooled and step.of_the_quilt,
        "over": opened.words.pile(made, over * step.gives[0].each) if over > 0 else "",
        "untapped": free,
        "tappable": () if pooled else tuple(counts.ready_blocks(step)),
        "loose": tuple(_loose(opened, step)),
        "within": within,
        "laid": _laid(counts, step) if within and not pooled else (),
        "back": back,
        "again": free if step.operation == "press" else (),
        "press": way(compiled, press) if press else None,
        "sewn": sewn,
        "apart": _apart(opened, step, asked),
        "sewn_again": tuple(_sewn_again(opened)),
        "further": tuple(_further(opened, step))[:MOST_FURTHER],
        "mistakes": tuple(mistakes(opened.words, step)),
        "should_measure": should_measure(opened.words, step),
        "measures_wrong": tuple(measures_wrong(opened.words, step)),
        "lost": tuple(opened.words.pile(pile, times) for pile, times in counts.lost.items() if times),
        "recut": tuple(recut(opened)),
        "spares": tuple(spares(opened)),
    }


def _lies_free(counts: Counts, step: Step, number: int) -> bool:
    """Whether nothing has used what a step gave to a block."""
    return all(counts.on_pile(flow.pile, number) >= flow.each for flow in step.gives)


def _loose(opened: Opened, step: Step) -> Iterator[Facts]:
    for flow in (*step.gives, *step.takes):
        lying = opened.counts.on_pile(flow.pile)
        common = opened.compiled.checklist.piles[flow.pile].block is None and flow.pile not in opened.counts.with_blocks
        if common and lying > 0:
            yield {"pile": flow.pile, "words": opened.words.pile(flow.pile, lying), "lying": lying}


def _within(opened: Opened, step: Step) -> Iterator[Facts]:
    """Pieces that lie where a step brought them, each by what a tap names it; of a step that brings none, all that its
    block holds."""
    counts, short = opened.counts, opened.compiled.short
    if step.per == "quilt" and not (step.of_the_quilt and counts.times_done(step)):
        return
    for holder in _holders(opened, step):
        for pile in held(counts, holder):
            part = opened.compiled.checklist.piles[holder.takes[0].pile]
            where = f", {opened.words.part(step.per, part.thing)}" if part.block and holder.operation == "join" else ""
            yield {"value": f"{short[holder.id]} {pile}", "words": opened.words.pile_alone(pile) + where}


def _holders(opened: Opened, step: Step) -> list[Step]:
    if step.per == "quilt" or (held(opened.counts, step) and not isinstance(step.action, LayOut)):
        return [step]
    steps = opened.counts.block_steps(step.per)
    layout = next((each for each in steps if isinstance(each.action, LayOut)), None)
    groups = {flow.pile for flow in layout.gives} if layout is not None else set()
    holders = []
    for each in steps:
        taken = groups & {flow.pile for flow in each.takes}
        if taken or isinstance(each.action, AddStrips):
            holders.append(each)
            groups -= taken
    return holders


def _laid(counts: Counts, step: Step) -> tuple[int, ...]:
    layout = next((each for each in counts.block_steps(step.per) if isinstance(each.action, LayOut)), None)
    if layout is None:
        return ()
    return tuple(n for n in counts.blocks_of(layout) if counts.is_for(step, n) and counts.times_done(layout, n))


def _pressed_by(opened: Opened, step: Step) -> Step | None:
    """The step that presses what a step sews; none for others."""
    if not step.kind.seams:
        return None
    given, steps = {flow.pile for flow in step.gives}, opened.steps
    for later in steps[steps.index(step) + 1 :]:
        if any(flow.pile in given for flow in later.takes):
            if later.operation == "press":
                return later
            given |= {flow.pile for flow in later.gives}
    return None


def _apart(opened: Opened, step: Step, asked: int | None) -> Facts | None:
    """What comes apart in a block (0: the quilt) where a step is unpicked; none where it cannot be."""
    counts = opened.counts
    if asked is None or not step.kind.unpicked:
        return None
    its_own = counts.is_for(step, asked) if asked else step.per == "quilt" and step.of_the_quilt
    if not its_own or not counts.times_done(step, asked):
        return None
    undone = [step_id for step_id, _ in comes_apart(counts, [step], asked) if step_id != step.id]
    return {"block": asked, "also": tuple(opened.compiled.titles[step_id] for step_id in reversed(undone))}


def _sewn_again(opened: Opened) -> Iterator[Facts]:
    """Blocks that were opened lately and are not as far again as they were, with how far that was."""
    seen: set[int] = set()
    for kept in opened.progress.latest(MOST_LATEST):
        tap = kept.tap
        if not isinstance(tap, JoinOpened | SpoiledWithin | BlockSpoiled) or not tap.block or tap.block in seen:
            continue
        seen.add(tap.block)
        own = (
            opened.counts.steps[step] for step, block, _ in kept.change.moves if block and step in opened.counts.steps
        )
        reached = next(own, None)
        if reached is not None and not opened.counts.times_done(reached, tap.block):
            yield {"block": tap.block, "reached": way(opened.compiled, reached)}


def _further(opened: Opened, step: Step) -> Iterator[Facts]:
    """Where pieces have gone on to that a step of units gave, as far as the layout of blocks."""
    counts, reached = opened.counts, {flow.pile for flow in step.gives}
    if step.per != "quilt" or step.of_the_quilt:
        return
    for later in opened.steps:
        if not any(flow.pile in reached for flow in later.takes):
            continue
        done = counts.times_done(later)
        if later.per == "quilt":
            reached |= {flow.pile for flow in later.gives}
            done = counts.on_pile(later.gives[0].pile)
        if done:
            words = f"{done} lie there" if later.per == "quilt" else f"in {done} {plural('block', done)}"
            yield {"way": way(opened.compiled, later), "words": words}


def recut(opened: Opened) -> Iterator[Facts]:
    """What has to be cut beyond the plan, since pieces were lost: how many of all are still to cut, and from what."""
    counts = opened.counts
    for step in opened.steps:
        more = counts.count(step) - step.count
        if isinstance(step.action, Cut) and more > 0:
            left = counts.left(step)
            yield {
                "way": way(opened.compiled, step),
                "words": opened.words.pile(step.gives[0].pile, more),
                "left": left,
                "leftover": leftover(opened, step.action) if left else "",
            }


def leftover(opened: Opened, cut: Cut) -> str:
    """What a piece that is cut again can be cut from: the smallest end of a strip that holds it, else the cloth."""
    cloth = next((each for each in opened.compiled.whole.cloths if each.cloth == cut.fabric), None)
    turned = not opened.compiled.plan.fabrics[cut.fabric].directional
    if cloth is not None and turned:
        small, large = sorted((cut.width, cut.height))
        fits = [end for end in cloth.ends if min(end.width, end.left) >= small and max(end.width, end.left) >= large]
        if fits:
            end = min(fits, key=lambda each: (each.width * each.left, each.width))
            return (
                f"from what is left of a strip, {opened.words.figures((end.left, end.width), about=False)}"
                f" {opened.compiled.plan.unit}"
            )
    if cloth is not None and cloth.uncut is not None and cloth.uncut >= min(cut.width, cut.height):
        return "from what is left of the length"
    return "from that cloth, or what is left of it" if turned else "from that cloth, the same way up"


def spares(opened: Opened) -> Iterator[str]:
    """Pieces beyond what the rest still asks for: the next block that needs one, or a loss, takes them."""
    counts = opened.counts
    for pile in opened.compiled.checklist.piles.values():
        if pile.block is None and not pile.thing.of_the_quilt and pile.id not in counts.with_blocks:
            over = counts.on_pile(pile.id) - asked_of(opened, pile.id)
            if over > 0:
                yield opened.words.pile(pile.id, over)
