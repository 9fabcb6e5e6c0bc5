"""What can be done now at one station, in the best order, with how many and a rough time; and what waits for what."""

from __future__ import annotations

from operator import itemgetter

from flask import Response, request

from tracker.progress.batches import WaitingStep, by_station, carry_on, passes_of, waiting_at
from tracker.progress.pace_of_work import seconds_of
from tracker.progress.pass_work import needed_now
from tracker.route.passes import Pass
from tracker.web.cards import standing
from tracker.web.facts import STATION_MARKS, STATION_NAMES, batch_words, pass_way, seam_untested, way
from tracker.web.faults import PageFault
from tracker.web.live import facts_of
from tracker.web.opened import Opened
from tracker.web.pages import YEAR, Link, parts, quilt_page
from tracker.web.screen import Facts, NavPlace, Screen
from tracker.words.pass_words import done_words
from tracker.work.operations import STATIONS

screen = Screen("now", "/quilts/<quilt_id>/now", NavPlace(2, "Now", "/now"))


@screen.get("")
def at_a_station(quilt_id: str) -> Response:
    """What can be done now at the station asked for, else at the one last looked at here, else where to carry on."""
    with parts().desk.quilt(quilt_id) as opened:
        station = request.args.get("at") or request.cookies.get("station", "")
        if station not in STATIONS:
            if "at" in request.args:
                raise _no_such_station(opened)
            station = best_station(opened)
        response = quilt_page("now", "Now", opened, **facts_of(opened, f"now:{station}"))
        if "at" in request.args:
            at = f"/quilts/{quilt_id}"
            response.set_cookie("station", station, max_age=YEAR, path=at, samesite="Lax", httponly=True)
        return response


@screen.live
def _now(opened: Opened, station: str) -> Facts:
    if station not in STATIONS:
        raise _no_such_station(opened)
    return {"now": now_of(opened, station), "standing": standing(opened)}


def _no_such_station(opened: Opened) -> PageFault:
    link = Link(f"/quilts/{opened.id}/now", "To the stations")
    return PageFault(404, "There is no such station; choose one.", link)


def rough_time(seconds: int) -> str:
    """A rough time in words."""
    minutes = -(-seconds // 60)
    if minutes < 2:
        return "a minute"
    if minutes < 90:
        return f"about {minutes if minutes < 10 else -(-minutes // 5) * 5} min"
    halves = -(-minutes // 30)
    return f"about {halves // 2}{'½' if halves % 2 else ''} h"


def best_station(opened: Opened) -> str:
    """Where to carry on."""
    step = carry_on(opened.progress, opened.pace)
    return step.station if step is not None else STATIONS[0]


def now_of(opened: Opened, station: str) -> Facts:
    """What there is to do at a station."""
    works, together = by_station(opened.counts, opened.pace), passes_of(opened.counts)
    found = {key: list(dict.fromkeys(together[work.step.id] for work in works[key])) for key in STATIONS}
    tabs = [
        {"key": key, "mark": STATION_MARKS[key], "name": STATION_NAMES[key], "count": len(found[key])}
        for key in STATIONS
    ]
    last = together.get(opened.progress.last_step_id() or "")
    mine = [_doable(opened, done) for done in sorted(found[station], key=lambda done: done != last)]
    waiting = [_lack(opened, wait) for wait in waiting_at(opened.counts, opened.pace, station)]
    busiest = max((tab for tab in tabs if tab["key"] != station), key=itemgetter("count"))
    return {
        "tabs": tabs,
        "chosen": next(tab for tab in tabs if tab["key"] == station),
        "works": tuple(mine),
        "time": rough_time(sum(work["seconds"] for work in mine)),
        "waiting": tuple(waiting),
        "walk": busiest if busiest["count"] else None,
        "batch": batch_words(opened),
        "finished": opened.counts.finished(),
        "seam_untested": seam_untested(opened),
    }


def _doable(opened: Opened, done: Pass) -> Facts:
    """A pass of which something is needed `now`: how many for the blocks in work; `comes_to`: what that is where it is
    several steps; `ready`: how many of a single step lie ready in all."""
    shares = needed_now(opened.counts, opened.pace, done.steps)
    unit, first = opened.compiled.plan.unit, shares[0].step
    last = [share for share in shares if share.step.kind == shares[-1].step.kind]
    blocks = {block for share in last for block in share.blocks}
    seconds = sum(seconds_of(share.step, unit) * share.times for share in shares)
    return {
        "way": pass_way(opened, first),
        "now": len(blocks) or sum(share.times for share in last),
        "comes_to": "" if len(done.steps) == 1 else done_words(opened.words, shares),
        "ready": opened.counts.ready(first),
        "seconds": seconds,
        "time": rough_time(seconds),
    }


def _lack(opened: Opened, wait: WaitingStep) -> Facts:
    # The top that strips are measured by must lie there, though nothing is taken from it.
    each = next((flow.each for flow in wait.step.takes if flow.pile == wait.pile), 0)
    short = max(wait.short, wait.left * each - opened.counts.on_pile(wait.pile))
    maker = opened.compiled.maker.get(wait.pile)
    return {
        "way": way(opened.compiled, wait.step),
        "needs": f"needs {opened.words.needed(wait.pile, short)}",
        "maker": way(opened.compiled, maker) if maker else None,
    }
