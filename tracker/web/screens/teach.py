"""A class as its teacher sees it: the code, who is at which step and who waits; all of it changed and taken back."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response, render_template, request

from tracker.safekeeping.pupils import Pupil, SewingClass
from tracker.store.quilts import StoredQuilt
from tracker.web.cards import QuiltCard
from tracker.web.carried import is_behind
from tracker.web.clock import here, when
from tracker.web.faults import PageFault
from tracker.web.pages import Link, go_to, nav_links, parts
from tracker.web.screen import Facts, Screen
from tracker.web.screens.classes import HERE, LONGEST_TITLE, title_of_class
from tracker.web.screens.device import door_to

screen = Screen("teach", "/classes/<class_id>")


@dataclass(frozen=True)
class PupilNow:
    """Where a pupil is: the step that her own page carries on with, how far she is, her last tap, since when her hand
    is up (empty: it is not); `plan` says where hers is not the class's."""

    pupil: Pupil
    at: str
    percent: int | None
    tapped: str
    hand: str
    finished: bool
    plan: str = ""


@screen.get("")
def teach(class_id: str) -> str:
    """The class."""
    group = class_named(class_id)
    facts = {"group": group, "door": join_door(group), "longest": LONGEST_TITLE, "rows": pupils_now(group)}
    gone = [pupil for pupil in group.pupils if pupil.ended]
    return render_template("pages/teach.html", nav=nav_links(), gone=gone, shown=shown_title(group), **facts)


@screen.get("/news")
def news(class_id: str) -> str:
    """The pupils as they are now, for a page that stands open."""
    group = class_named(class_id)
    return render_template("parts/pupils.html", group=group, rows=pupils_now(group))


def class_named(class_id: str) -> SewingClass:
    """The class with this id. Raises PageFault."""
    group = parts().pairing.classes.get(class_id)
    if group is None:
        raise PageFault(404, "There is no such class; choose one from the list.", HERE)
    return group


def link_to(group: SewingClass) -> Link:
    """The way to a class."""
    return Link(f"/classes/{group.id}", "To the class")


def join_door(group: SewingClass, pupil: Pupil | None = None) -> Facts:
    """How a phone comes to a class, or one pupil's new phone to her quilt."""
    return door_to(parts().pairing.classes.to_show(group, pupil), "/join")


def shown_title(group: SewingClass) -> str:
    """The title of the step that is shown to all; empty for none."""
    if not group.shown:
        return ""
    with parts().desk.quilt(group.quilt) as opened:
        step = opened.step(group.shown)
        return opened.compiled.titles[step.id] if step is not None else ""


def pupils_now(group: SewingClass) -> list[PupilNow]:
    """Where every pupil is, hands that are up first, then those who are least far."""
    store, pupils = parts().desk.store, [pupil for pupil in group.pupils if not pupil.ended]
    there = {quilt.id: quilt for quilt in store.quilts()}
    quilts = [there[pupil.quilt] for pupil in pupils if pupil.quilt in there]
    cards = {card.id: card for card in parts().cards.of(quilts)}
    now = [
        _now(pupil, cards.get(pupil.quilt), there[pupil.quilt], _other_plan(group, there[pupil.quilt]))
        if pupil.quilt in there
        else PupilNow(pupil, "her quilt was deleted", None, "", "", False)
        for pupil in pupils
    ]
    return sorted(now, key=lambda each: (not each.hand, each.hand, each.percent or 0, each.pupil.name.casefold()))


def _other_plan(group: SewingClass, quilt: StoredQuilt) -> str:
    """What is said of a quilt that is not by the plan of its class."""
    of_class = parts().desk.store.quilt(group.quilt)
    if quilt.facts.get("plan") == of_class.facts.get("plan"):
        return ""
    behind = is_behind(group, quilt, of_class)
    return "Follows your plan soon, or once she has answered" if behind else "A plan of her own"


def _now(pupil: Pupil, card: QuiltCard | None, quilt: StoredQuilt, plan: str) -> PupilNow:
    hand = str(quilt.facts.get("hand", ""))
    standing = card.standing if card else None
    return PupilNow(
        pupil,
        standing.next.title if standing and standing.next else "",
        standing.percent if standing else None,
        when(standing.tapped_at, here()) if standing and standing.tapped_at else "",
        when(hand, here()) if hand else "",
        bool(standing and standing.next is None),
        plan,
    )


@screen.post("/title")
def rename(class_id: str) -> Response:
    """Another name for the class."""
    group = class_named(class_id)
    parts().pairing.classes.change(group, title=title_of_class(link_to(group)))
    return go_to(link_to(group).href)


@screen.post("/door")
def door(class_id: str) -> Response:
    """Let new pupils in no more, or again."""
    group = class_named(class_id)
    parts().pairing.classes.change(group, open=request.form.get("open") == "yes")
    return go_to(link_to(group).href)


@screen.post("/code")
def renew(class_id: str) -> Response:
    """A new code for new pupils."""
    group = class_named(class_id)
    parts().pairing.classes.renew(group)
    return go_to(link_to(group).href)


@screen.post("/end")
def end(class_id: str) -> Response:
    """End the class, or take that back: its pupils' devices are let in no more, or again."""
    group = class_named(class_id)
    parts().pairing.classes.change(group, ended=request.form.get("end") == "yes")
    return go_to(link_to(group).href)
