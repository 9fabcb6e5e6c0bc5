"""A quilt goes on by another plan, its work carried over as one change; so the plan of a class reaches its pupils."""

from __future__ import annotations

import logging
import threading
from collections.abc import Container, Mapping, Sequence
from typing import Any

from tracker.looks.preview import PlanFault
from tracker.plan.model import RECKONING
from tracker.progress.counts import Counts
from tracker.progress.edited_plan import Carried, carry_over
from tracker.progress.tap_kinds import written
from tracker.safekeeping.pupils import Pupil, SewingClass
from tracker.store.quilts import StoredQuilt, StoreFault
from tracker.web.clock import stamp
from tracker.web.opened import Compiled, Opened
from tracker.web.pages import Parts, fresh_id
from tracker.words.thing_words import some_of

MOST_TRIES = 5
NOTHING_LOST = "Your teacher changed the plan. All that you had counted still counts."

log = logging.getLogger("tracker.web")


def carried_to(opened: Opened, made: Compiled) -> Carried:
    """What becomes of the work so far under a plan."""
    fresh = Counts(made.plan, made.checklist)
    aside = opened.progress.aside
    strips = made.whole.strips if opened.counts.ticked or aside.strips else {}
    return carry_over(opened.counts, fresh, strips, aside)


def put_to_use(opened: Opened, made: Compiled, carried: Carried, tap_id: str, **facts: Any) -> bool:
    """Record the new beginning and the new text as one change, with these facts; the former text is kept. False where
    the quilt is not as it was opened any more: then nothing is changed."""
    about, at = opened.about, stamp()
    former = [*about.get("former_plans", []), {"plan": about["plan"], "until": at}]
    own_title = about.get("title") != opened.compiled.plan.title
    title = about.get("title") if own_title else made.plan.title
    tap = written(carried.tap(tap_id, at))
    with opened.stored.turn():
        if opened.stored.version != opened.version:
            return False
        return opened.stored.append_with(tap, plan=made.text, title=title, former_plans=former, **facts)


def class_of_plan(there: Parts, quilt_id: str) -> SewingClass | None:
    """The class whose own quilt this is, as long as it goes on."""
    return next((each for each in there.pairing.classes.all() if each.quilt == quilt_id and not each.ended), None)


def spread(there: Parts, quilt_id: str) -> None:
    """Have the pupils' quilts follow the plan of their class, behind whoever comes meanwhile; those that this does not
    reach follow when their pupil is seen next."""
    group = class_of_plan(there, quilt_id)
    if group is None:
        return

    def work(pupils: Sequence[Pupil]) -> None:
        for pupil in pupils:
            try:
                follow(there, pupil)
            except Exception:  # whatever it is, the others follow
                log.exception("a pupil's quilt could not follow its class's plan")

    threading.Thread(target=work, args=(group.pupils,), name="class plan", daemon=True).start()


def is_behind(group: SewingClass, quilt: StoredQuilt, of_class: StoredQuilt) -> bool:
    """Whether a pupil's quilt is still by a former plan of her class. One that was edited by itself is not, unless the
    class had that plan then, or has had it since."""
    text = quilt.facts.get("plan")
    if group.ended or text == of_class.facts.get("plan"):
        return False
    until = [each["until"] for each in of_class.facts.get("former_plans", []) if each["plan"] == text]
    return bool(until) and max(until) >= _edited_at(quilt)


def _edited_at(quilt: StoredQuilt) -> str:
    """When a quilt's plan was last edited by itself; empty where it has only followed its class and the rules."""
    last = next((tap for tap in reversed(quilt.taps) if _is_edit(tap)), None)
    return "" if last is None or last["id"].startswith("class-") else str(last.get("at", ""))


def _is_edit(tap: Mapping[str, Any]) -> bool:
    return tap.get("do") == "carried" and not tap["id"].startswith("reckoning-")


def follow(there: Parts, pupil: Pupil) -> None:
    """Have a pupil's quilt follow the plan of her class where it is by a former one, and tell her; not while she has
    a question to answer, which would be lost. Done once, whoever asks."""
    store, group = there.desk.store, there.pairing.classes.get(pupil.class_id)
    if group is None:
        return
    try:
        quilt, of_class = store.quilt(pupil.quilt), store.quilt(group.quilt)
        for _ in range(MOST_TRIES):
            if not is_behind(group, quilt, of_class):
                return
            made = there.desk.compiled(str(of_class.facts["plan"]))
            with there.desk.quilt(quilt.id) as opened:
                if opened.compiled.text == made.text or opened.progress.unsettled():
                    return  # another was quicker, or she has to answer first
                carried = carried_to(opened, made)
                news = {"at": stamp(), "said": "\n".join(_with_unread(opened.about, _said(opened, carried)))}
                known = of_class.facts.get("reckoning", RECKONING)
                if put_to_use(opened, made, carried, f"class-{fresh_id()}", plan_news=news, reckoning=known):
                    return
    except (StoreFault, PlanFault):  # deleted meanwhile, or a plan that cannot be read
        log.info("a pupil's quilt does not follow its class's plan")


def news_of(about: Mapping[str, Any]) -> list[str]:
    """What a pupil has not read yet of changes of her plan: a paragraph each."""
    return str(about.get("plan_news", {}).get("said", "")).splitlines()


def has_read(quilt: StoredQuilt, shown: Container[str]) -> None:
    """A pupil has read these paragraphs; those that came meanwhile stay."""
    with quilt.turn():
        if left := [each for each in news_of(quilt.facts) if each not in shown]:
            quilt.set_about(plan_news={**quilt.facts["plan_news"], "said": "\n".join(left)})
        else:
            quilt.set_about(plan_news={})


def _with_unread(about: Mapping[str, Any], said: str) -> list[str]:
    """What is told of a change, after what she has not read yet; that nothing is lost only where nothing is."""
    all_of_it = dict.fromkeys((*news_of(about), said))
    return [each for each in all_of_it if each != NOTHING_LOST] or [NOTHING_LOST]


def _said(opened: Opened, carried: Carried) -> str:
    """What a pupil is told of a change that her teacher made."""
    lost = _lost(opened, carried)
    if not lost:
        return NOTHING_LOST
    return (
        f"Your teacher changed the plan. What you had counted still counts, but for: {some_of(lost)}. Keep those "
        "pieces and ask your teacher what becomes of them."
    )


def _lost(opened: Opened, carried: Carried) -> list[str]:
    """What of the work so far does not fit any more."""
    titles = opened.compiled.titles
    lost = [f"{titles[each.step.id]} ({each.done - each.kept} of {each.done})" for each in carried.lost]
    lost += [f"what was measured at {titles[step.id]}" for step in carried.unmeasured]
    return lost + (["where blocks lie that had changed places"] if carried.unlaid else [])


def losing(there: Parts, group: SewingClass, made: Compiled) -> list[tuple[str, str]]:
    """The pupils of a class who have counted what would not fit under a plan of hers: the name of each, and what."""
    of_class, found = there.desk.store.quilt(group.quilt), list[tuple[str, str]]()
    for pupil in group.pupils:
        try:
            quilt = there.desk.store.quilt(pupil.quilt)
            follows = quilt.facts.get("plan") == of_class.facts.get("plan") or is_behind(group, quilt, of_class)
            if pupil.ended or not follows:
                continue
            with there.desk.glance(quilt) as opened:
                if lost := _lost(opened, carried_to(opened, made)):
                    found.append((pupil.name, some_of(lost)))
        except (StoreFault, PlanFault):
            log.info("a pupil's quilt cannot be looked at under a plan of her class")
    return found
