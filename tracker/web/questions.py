"""Taps that their piles could not pay for: asked about as one, where there are several, or one by one."""

from __future__ import annotations

from tracker.progress.block_taps import BlockGiven, maker_of
from tracker.progress.changes import CountChange
from tracker.progress.counts import Counts
from tracker.progress.ledger import Recorded
from tracker.progress.work_taps import PassDone, StageReached, StepsDone
from tracker.web.block_makers import called
from tracker.web.facts import block_list, said, title_of
from tracker.web.opened import Opened
from tracker.web.screen import Facts
from tracker.words.thing_words import listed
from tracker.work.steps import Step

MOST_TOGETHER = 200
"""So many taps are asked about at once; if there are more, the others after them."""

MOST_NAMED = 4
"""Steps that the question about several taps names."""


def question_of(opened: Opened) -> Facts | None:
    """The one question to ask about taps that their piles could not pay for: the `words`, and how many fit now
    (`fits`); and all of them `together`, where it is not the only one. `answers`: where it is not about how many, what
    may be answered, each with what it settles."""
    taps = opened.progress.unsettled()
    unsettled = [tap.id for tap in taps if not isinstance(tap, BlockGiven)]
    given = next((tap for tap in taps if isinstance(tap, BlockGiven)), None)
    if given is not None:
        return _whose(opened, given)
    kept = opened.progress.recorded(unsettled[0]) if unsettled else None
    if kept is None:
        return None
    together = _together(opened, unsettled[:MOST_TOGETHER]) if len(unsettled) > 1 else None
    tap, step, tapped = kept.tap, _step_of(opened, kept), _tapped(kept)
    fits = _fitting(opened.counts, step, kept)
    title, done = opened.compiled.titles[step.id], step.kind.done
    if isinstance(tap, StageReached):
        words = f"Block {tap.block} was said to have come as far as “{title}”, but its pieces do not lie ready."
        return _question(tap.id, f"{words} Is it so?", fits, together)
    if isinstance(tap, PassDone | StepsDone) and _counted_already(opened.counts, kept):
        words = f"“{title_of(opened, kept)}”: {said(opened, kept)} was tapped twice, as on two devices"
        return _question(tap.id, f"{words}. It is counted once.", 0, together, ((0, "Right, once"),))
    if isinstance(tap, PassDone):
        words = f"“{title_of(opened, kept)}”: {said(opened, kept)} was tapped, {tapped} steps in one go, but"
        if not fits:  # nothing is left to choose
            words = f"{words} nothing lay ready for the first of them. It is not counted."
            return _question(tap.id, words, 0, together, ((0, "Right, none"),))
        ready = f"what lay ready is enough for the first {fits}"
        return _question(tap.id, f"{words} {ready}: how many of the {tapped} were really done?", fits, together)
    if isinstance(tap, StepsDone) and tap.blocks is not None:
        words = f"{block_list(tap.blocks)} {done} was tapped, but that can be true of {fits or 'none'} only"
        if not fits:  # nothing is left to choose
            return _question(tap.id, f"“{title}”: {words}. It is not counted.", fits, together, ((0, "Right, none"),))
    else:
        words = f"{tapped} {done} was tapped, but only {fits} lay ready"
    return _question(tap.id, f"“{title}”: {words}: how many were really done?", fits, together)


def _counted_already(counts: Counts, kept: Recorded) -> bool:
    """Whether all that a tap says of blocks is true of them without it."""
    return all(block and counts.times_done(counts.known_step(step), block) for step, block, _ in kept.wanted.moves)


def _question(
    tap_id: str, words: str, fits: int, together: Facts | None = None, answers: tuple[tuple[int, str], ...] = ()
) -> Facts:
    return {"tap_id": tap_id, "words": words, "fits": fits, "together": together, "answers": answers}


def _whose(opened: Opened, tap: BlockGiven) -> Facts:
    """Whose a block is, which two devices gave to different makers."""
    stands, said = (called(opened, name) for name in (maker_of(opened.counts, tap.block), tap.maker))
    words = (
        f"Block {tap.block} was given to {stands or 'nobody'} on one device and to {said or 'nobody'} on another. Whose"
        " is it?"
    )
    answers = ((0, stands or "Nobody's"), (1, said or "Nobody's"))
    return _question(tap.id, words, 1, answers=answers)


def _together(opened: Opened, tap_ids: list[str]) -> Facts:
    """Several unsettled taps as one question: its words, their ids, and how often each can be true when they are
    counted in turn; `fits` of all that was tapped."""
    counted, times, tapped = opened.progress.copy(), [], dict[str, int]()
    for tap_id in tap_ids:
        kept = counted.recorded(tap_id)
        assert kept is not None
        step = _step_of(opened, kept)
        times.append(_fitting(counted.counts, step, kept))
        counted.settle(tap_id, times[-1])
        title = f"“{opened.compiled.titles[step.id]}”"
        tapped[title] = tapped.get(title, 0) + _tapped(kept)
    steps = [f"{title} {many}" for title, many in tapped.items()]
    if len(steps) > MOST_NAMED:
        steps[MOST_NAMED - 1 :] = [f"{len(steps) - MOST_NAMED + 1} more steps"]
    words = (
        f"{len(tap_ids)} taps do not fit what lay ready, as where two devices counted the same work: {listed(steps)}. "
        "How many of these were done besides what is counted?"
    )
    return {"words": words, "tap_ids": tap_ids, "times": times, "fits": sum(times)}


def _step_of(opened: Opened, kept: Recorded) -> Step:
    """The step that an unsettled tap is about; one to do for a loss alone is known once that is taken back too."""
    step = opened.compiled.step_by_id(kept.tap.steps_named[0])
    assert step is not None
    return step


def _tapped(kept: Recorded) -> int:
    moves = kept.wanted.moves
    return moves[0][2] if moves[0][1] == 0 and len(moves) == 1 else len(moves)


def _first_that_fit(counts: Counts, kept: Recorded) -> int:
    """How many of the first of a pass's counts can be true now, one after another."""
    done = CountChange()
    for move in kept.wanted.moves:
        if counts.apply(CountChange((move,))) is not None:
            break
        done = CountChange((*done.moves, move))
    if done:
        counts.must_apply(done.undone())
    return len(done.moves)


def _fitting(counts: Counts, step: Step, kept: Recorded) -> int:
    """How many of an unsettled tap can be true now."""
    if isinstance(kept.tap, StageReached):
        if counts.apply(kept.wanted) is not None:
            return 0
        counts.must_apply(kept.wanted.undone())
        return len(kept.wanted.moves)
    if isinstance(kept.tap, PassDone):
        return _first_that_fit(counts, kept)
    if step.per == "quilt":
        return min(kept.wanted.moves[0][2], counts.ready(step))
    ready, fits = set(counts.ready_blocks(step)), 0
    for _, block, _ in kept.wanted.moves:
        if block not in ready:
            break
        fits += 1
    return fits
