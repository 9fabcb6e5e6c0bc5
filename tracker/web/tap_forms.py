"""What a form says was tapped, and where its page goes on."""

from __future__ import annotations

import json
import re
from typing import Any

from flask import g, request

from tracker.progress.block_taps import BlockBrought, BlockGiven, BlockMeasured, BlocksLaid
from tracker.progress.laid_blocks import swapped
from tracker.progress.ledger import Refused, Tap
from tracker.progress.tap_kinds import BlockNamed, Noted, Settled, SettledTogether, TakenBack
from tracker.progress.work_taps import (
    BlockSpoiled,
    CountedInAll,
    JoinOpened,
    NotDone,
    PassDone,
    PutBack,
    Spoiled,
    SpoiledWithin,
    StageReached,
    StepsDone,
    StripCut,
    TopMeasured,
)
from tracker.web.facts import newer_than, strips_of
from tracker.web.faults import PageFault
from tracker.web.measuring import top_lies
from tracker.web.opened import Opened
from tracker.web.pages import Link, is_part
from tracker.web.shares import read_shares
from tracker.work.steps import Step

MOST_TIMES = 1_000_000


def blocks_given(tap_id: str, made: dict[str, Any]) -> list[BlockGiven]:
    """Blocks given to a maker, a tap for each; the form says whose each was where it was tapped."""
    blocks, seen = _numbers(request.form.get("blocks", "")), request.form.getlist("seen")
    if not 0 < len(blocks) == len(seen):
        raise PageFault(400, "This tap does not say which blocks; load the page again and tap once more.")
    maker = request.form.get("maker", "")
    return [
        BlockGiven(id=f"{tap_id}-{block}", block=block, maker=maker, seen=was, **made)
        for block, was in zip(blocks, seen, strict=True)
    ]


def tap_told(opened: Opened, made: dict[str, Any]) -> Tap:
    """The tap that the form tells; `made` are its id and when it came. Raises Fault."""
    form = request.form
    match form.get("do", ""):
        case StepsDone.do | PutBack.do as do:
            step = _step(opened)
            what = {"times": _times()} if step.per == "quilt" else _blocks()
            return (StepsDone if do == StepsDone.do else PutBack)(**made, step=step.id, **what)
        case PassDone.do:
            return _pass(opened, made)
        case CountedInAll.do:
            return _counted(opened, made)
        case TopMeasured.do:
            return _measured(opened, made)
        case BlockMeasured.do:
            return _block_measured(made)
        case BlockBrought.do:
            return BlockBrought(**made, block=_block(), how=form.get("how", ""))
        case BlocksLaid.do:
            return _laid(opened, made)
        case NotDone.do:
            return NotDone(**made, step=_step(opened).id, blocks=tuple(_numbers(form.get("blocks", ""))))
        case Spoiled.do:
            return Spoiled(**made, pile=form.get("pile", ""), times=_times())
        case SpoiledWithin.do:
            return _spoiled_within(opened, made)
        case BlockSpoiled.do:
            return BlockSpoiled(**made, block=_block())
        case JoinOpened.do | StageReached.do as do:
            kind = JoinOpened if do == JoinOpened.do else StageReached
            return kind(**made, step=_step(opened).id, block=_block())
        case StripCut.do:
            return _strip(opened, made)
        case BlockNamed.do:
            return BlockNamed(**made, block=_block(), text=form.get("text", ""))
        case Noted.do:
            return Noted(**made, text=form.get("text", ""), block=_block() if "block" in form else None)
        case TakenBack.do:
            return TakenBack(**made, what=form.get("what", ""))
        case Settled.do:
            return Settled(**made, what=form.get("what", ""), times=_times(least=0))
        case SettledTogether.do:
            asked, answers = form.get("what", "").split(), _numbers(form.get("times", ""))
            return SettledTogether(**made, what=tuple(asked), times=tuple(answers))
    raise PageFault(400, "This tap does not say what was done; load the page again and tap once more.")


def _pass(opened: Opened, made: dict[str, Any]) -> Tap:
    """What was done of a pass; where it is one step, that step done. Raises Fault."""
    try:
        shares = read_shares(request.form.get("work", ""))
    except ValueError as fault:
        raise PageFault(400, f"“{fault}” names no step of a pass; load the page again and tap once more.") from fault
    work = tuple((_known(opened, short).id, times, blocks) for short, times, blocks in shares)
    for step_id, _, blocks in work:
        if (opened.counts.known_step(step_id).per == "quilt") == bool(blocks):
            raise Refused("no such block", block=list(blocks))
    if len(work) == 1:
        ((step_id, times, blocks),) = work
        return StepsDone(**made, step=step_id, times=times or None, blocks=blocks or None)
    return PassDone(**made, work=work)


def _laid(opened: Opened, made: dict[str, Any]) -> Tap:
    """Which block is to lie where: all places told, or two blocks that change theirs as blocks lie now."""
    two = tuple(_numbers(request.form.get("swapped", "")))
    if not two:
        return BlocksLaid(**made, places=tuple(_numbers(request.form.get("places", ""))))
    if len(two) != 2 or not set(two) <= opened.counts.block_keys.keys():
        raise Refused("not alike")
    return BlocksLaid(**made, places=swapped(opened.counts.places, *two), swapped=two)


def _step(opened: Opened) -> Step:
    """The step that the form names. Raises Fault."""
    return _known(opened, request.form.get("step", ""))


def _known(opened: Opened, short: str) -> Step:
    """The step with this short name. Raises Fault."""
    step = opened.step(short)
    if step is None:
        words = "There is no such step in this quilt; its plan may have been edited."
        raise PageFault(404, words, Link(f"/quilts/{opened.id}/steps", "To the list"))
    return step


def _counted(opened: Opened, made: dict[str, Any]) -> Tap:
    """A number that she counted. Raises Fault where counting has gone on since she looked: hers may be the older."""
    step, times = _step(opened), _times(least=0)
    seen, stands = request.form.get("seen", ""), opened.counts.times_done(step)
    if seen and str(stands) not in (seen, str(times)):
        g.stands = stands
        again = (
            f"send it again to set {times} all the same, or drop it to leave {stands}"
            if is_part()
            else ("go back, count once more, and set it")
        )
        words = f"“{opened.words.title(step)}”: you counted {times} where {seen[:7]} stood, but {stands} stand now"
        raise PageFault(409, f"{words}; {again}.", Link(then(opened.id), "Go back"))
    return CountedInAll(**made, step=step.id, times=times)


def _measured(opened: Opened, made: dict[str, Any]) -> Tap:
    """What the top measures. Raises Fault where by the counts there is none yet, and she has not said that there is."""
    form, step = request.form, _step(opened)
    if not top_lies(opened, step) and form.get("sewn") != "yes":
        g.became = "refused"
        words = (
            "By what is tapped, the top is not sewn yet: sew it first, or say that it lies there, whole and pressed."
        )
        raise PageFault(409, words, Link(then(opened.id), "Go back"))
    lengths = tuple(text.strip() for text in form.getlist("length") if text.strip())
    return TopMeasured(**made, step=step.id, lengths=lengths)


def _block_measured(made: dict[str, Any]) -> Tap:
    """What a block measures; both diagonals, or none, behind its six figures."""
    form = request.form
    lengths = tuple(text.strip()[:40] for text in form.getlist("length")[:8])
    lengths = lengths if any(lengths[6:]) else lengths[:6]
    framed = int(form.get("framed") == "1")
    return BlockMeasured(**made, block=_block(), lengths=lengths, maker=form.get("maker", ""), framed=framed)


def _spoiled_within(opened: Opened, made: dict[str, Any]) -> Tap:
    """A piece spoiled where it lies already. The form says which, and by what step it came there, in one field."""
    short, _, pile = request.form.get("piece", "").partition(" ")
    step = opened.step(short)
    if step is None:
        raise Refused("unknown step", step=short)
    return SpoiledWithin(**made, step=step.id, pile=pile, times=_times(), block=_block())


def back_to(opened: Opened) -> list[str]:
    """The taps to be taken back, newest first: those that she saw in the list, as far as they count still."""
    what, seen = request.form.get("what", ""), request.form.get("seen", "")
    if not seen:
        return newer_than(opened, what)
    try:
        listed = json.loads(seen)
    except ValueError:
        listed = []
    if not isinstance(listed, list) or what not in listed:
        raise PageFault(400, "This does not say which taps are taken back; load the page again and tap once more.")
    return [each for each in listed if isinstance(each, str) and opened.progress.counts_still(each)]


def _strip(opened: Opened, made: dict[str, Any]) -> Tap:
    """A strip ticked off, with the pieces that it counts now."""
    cloth, name = request.form.get("cloth", ""), request.form.get("strip", "")
    stands = next((each for each in strips_of(opened, cloth) if each.strip.name == name), None)
    if stands is None:
        raise Refused("unknown strip", cloth=cloth)
    return StripCut(**made, cloth=cloth, strip=name, steps=tuple(stands.counts))


def _block() -> int:
    numbers = _numbers(request.form.get("block", ""))
    if len(numbers) != 1:
        raise PageFault(400, "This tap does not say which block; load the page again and tap once more.")
    return numbers[0]


def _times(least: int = 1) -> int:
    text = request.form.get("times", "")
    if text == "chain":
        text = request.form.get("chain", "")
    text = text.strip()
    if not (text.isascii() and text.isdigit() and len(text) <= 7 and least <= int(text) <= MOST_TIMES):
        g.became = "refused"
        raise PageFault(400, f"“{text[:20]}” is no count; type a whole number from {least} to {MOST_TIMES:,}.")
    return int(text)


def _blocks() -> dict[str, Any]:
    """The blocks a tap is for: named, or the first of those that the page offered."""
    named = request.form.get("blocks")
    if named is not None:
        return {"blocks": tuple(_numbers(named))}
    times = _times()
    if "offered" not in request.form:
        return {"times": times}
    offered = _numbers(request.form["offered"])
    if len(offered) < times:
        raise PageFault(409, f"Only {len(offered)} can be done with what lies ready, not {times}.")
    return {"blocks": tuple(offered[:times])}


def _numbers(text: str) -> list[int]:
    words = text.split()
    if not all(word.isascii() and word.isdigit() and len(word) <= 6 for word in words):
        raise PageFault(400, f"“{text[:20]}” names no blocks; load the page again and tap once more.")
    return [int(word) for word in words]


def onward(quilt_id: str) -> str:
    """Where it goes on once the tap is kept: to the next block of a row to be measured, where that is asked for."""
    row, framed = request.form.get("row", ""), request.form.get("framed") == "1"
    if row.isascii() and row.isdigit() and len(row) <= 6:
        return f"/quilts/{quilt_id}/measure/{row}?framed={int(framed)}"
    return then(quilt_id)


def then(quilt_id: str) -> str:
    """Where a browser without script goes next: the screen it came from, or the quilt."""
    at = f"/quilts/{quilt_id}"
    wanted = request.form.get("then", "")
    if re.fullmatch(re.escape(at) + r"(/[a-z0-9/-]*)?(\?[a-z0-9=&-]*)?", wanted):
        chain = request.form.get("chain", "")
        return f"{wanted}?chain={chain}" if chain.isascii() and chain.isdigit() and "?" not in wanted else wanted
    return at
