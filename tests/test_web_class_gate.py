"""What is not hers: whatever a pupil's device asks for, it gets her own quilt and nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress

import pytest
from schooling import School, standing
from visitors import Quilt, Visitor, add_quilt, words_of
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect, Rule
from werkzeug.test import TestResponse

from tracker.web import gate

REFUSED = "This is no part of your quilt; go back to it."
STRANGER = "This device is not paired with this sewing room yet."
HERS = {
    "ahead.ahead", "ahead.counts", "block.block", "blocks.board", "cutting.cutting", "home.quilts", "home_screen.how",
    "home_screen.stopped", "join.join",
    "join.link", "join.typed", "latest.latest", "layout.layout", "layout.pressing", "list.whole_list",
    "measured_block.first", "measured_block.measure", "mend.mend", "mine.hand", "mine.mine", "mine.news",
    "mine.read", "mine.take_home", "now.at_a_station", "pair.link", "pair.pair", "pair.typed", "pattern.pass_picture",
    "pattern.pattern", "photo.block_seen", "photo.of_block", "photo.of_quilt", "photo.quilt_seen", "pile.scanned",
    "quilt.picture", "quilt.quilt", "seam.measured", "seam.test_page", "sheets.one_for_all", "sheets.sheets",
    "shopping.shopping", "sizes.sizes", "static.file",
    "step.one_step", "step.onward", "step.where_she_stopped", "taps.changes", "taps.tap",
}  # fmt: skip
"""Every page that a pupil's device may ask for. What is not named here, whenever it comes, is not hers."""


def everything(school: School, quilt: str) -> Iterator[tuple[Rule, str, str]]:
    """Every rule with every method, at an address in a quilt: rule, method, path."""
    short = next(iter(Quilt(school.teacher, school.own).compiled.short.values()))
    ids = {"quilt_id": quilt, "short": short, "number": "1", "name": "room.css", "code": "b1", "key": "churn-dash"}
    ids |= {"class_id": school.group_id, "pupil_id": school.pupil("Marit").id, "place": "0", "device_id": "tested"}
    ids |= {"notice_id": "all"}
    for rule in school.room.url_map.iter_rules():
        path = re.sub(r"<(?:\w+:)?(\w+)>", lambda found: ids[found[1]], rule.rule)
        for method in ("GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"):
            yield rule, method, path


def ask(visitor: Visitor, method: str, path: str) -> TestResponse:
    headers = {"Host": visitor.host, "Origin": f"http://{visitor.host}"}
    about = {"REMOTE_ADDR": visitor.address}
    return visitor.client.open(
        path, method=method, headers=headers, environ_base=about, data={"title": "x", "end": "yes"}
    )


def endpoint_of(school: School, method: str, path: str) -> str:
    """What answers at an address: two rules may stand there, for other methods."""
    with suppress(HTTPException, RequestRedirect):
        return str(school.room.url_map.bind("sewing.test").match(path, method)[0])
    return ""


def test_a_pupil_s_device_is_refused_all_that_is_not_hers_alike(school: School) -> None:
    """Every route, every method, in her own quilt, another pupil's, the class's, the teacher's, a deleted one, none."""
    ilse = school.phone("Ilse")
    school.phone("Marit")
    gone = add_quilt(school.store)
    school.store.delete(gone.id)
    hers = school.pupil("Ilse").quilt
    others = [school.pupil("Marit").quilt, school.group.quilt, school.own.id, gone.id, "zzzzzz"]
    before, bodies = standing(school), set[bytes]()
    # Where a page is of no quilt, its address is the same six times; one time tells all.
    every = {(method, path): rule for quilt in (hers, *others) for rule, method, path in everything(school, quilt)}
    refused = 0
    for (method, path), rule in every.items():
        asked = endpoint_of(school, method, path)
        if asked in HERS and (hers in path or "quilt_id" not in rule.arguments) and method != "OPTIONS":
            continue
        answer, refused = ask(ilse, method, path), refused + 1
        assert answer.status_code == 403, (method, path)
        if method != "HEAD":
            bodies.add(answer.data)
    for path in ("/nowhere", "/room/backup/", f"/quilts/{hers}/plan/../../{school.own.id}", "/static/../room.facts"):
        bodies.add(ask(ilse, "GET", path).data)
    assert refused > 1500
    assert len(bodies) == 1
    assert REFUSED in bodies.pop().decode()
    assert standing(school) == before


def test_what_is_hers_is_just_what_the_gate_lets_through(school: School) -> None:
    """And each of it answers; none of its answers names another quilt."""
    ilse = school.phone("Ilse")
    school.phone("Marit")
    open_pages = {page for page, _ in gate.OPEN_PAGES}
    assert gate.PUPILS_READ | gate.PUPILS_SEND | open_pages == HERS
    hers = school.pupil("Ilse").quilt
    secrets = [
        school.pupil("Marit").quilt,
        school.group.quilt,
        school.own.id,
        school.group.code,
        "Marit",
        school.group_id,
    ]
    secrets.append(school.room.extensions["sewing-room"].pairing.code)
    for rule, method, path in everything(school, hers):
        if rule.endpoint in gate.PUPILS_READ and method == "GET":
            if rule.endpoint == "photo.of_block":
                path = f"{school.quilt('Ilse', ilse).step_path('Lay out')}/photo"
            answer = ask(ilse, method, f"{path}?since=0&view=mine" if rule.endpoint == "taps.changes" else path)
            assert answer.status_code in (200, 301, 303), path
            text = answer.get_data(as_text=True) if "zip" not in str(answer.mimetype) else ""
            assert [secret for secret in secrets if secret in text] == [], path


def test_every_link_on_a_pupil_s_pages_leads_to_what_is_hers(school: School) -> None:
    ilse = school.phone("Ilse")
    mine = school.quilt("Ilse", ilse)
    mine.tap("Cut lamp red", 2)
    todo, seen = ["/mine"], set[str]()
    while todo:
        path = todo.pop()
        answer = ilse.get(path)
        while answer.status_code == 303:
            answer = ilse.get(answer.headers["Location"])
        assert answer.status_code == 200, path
        if answer.mimetype != "text/html":
            continue
        page = answer.get_data(as_text=True)
        forms = re.findall(r'<form (?=[^>]*method="post")[^>]*action="(/[^"]*)"', page)
        assert {re.sub(r"^/quilts/\w+", "", form) for form in forms} <= {"/taps", "/mine/hand", "/seam"}, path
        links = {link.replace("&amp;", "&") for link in re.findall(r'href="(/[^"#]*)', page)}
        todo += sorted(links - seen)[: max(0, 200 - len(seen))]
        seen |= links
    assert len(seen) > 40


@pytest.mark.parametrize("where", ["X-Forwarded-For", "Origin"])
def test_a_pupil_s_form_from_elsewhere_changes_nothing(where: str, school: School) -> None:
    ilse = school.phone("Ilse")
    header = {"Origin": "http://evil.example"} if where == "Origin" else {"Origin": "null", where: "127.0.0.1"}
    assert ilse.post("/mine/hand", {}, **header).status_code == 403
    assert not school.store.quilt(school.pupil("Ilse").quilt).about.get("hand")


def test_a_pupil_s_cookie_opens_no_room_and_a_room_s_no_class(school: School) -> None:
    ilse = school.phone("Ilse")
    (cookie,) = [each for each in ilse.client._cookies.values() if each.key.startswith("sewing-class-")]
    thief = Visitor(school.room, paired=False)
    thief.client.set_cookie("sewing-room-tests", cookie.value, domain="sewing.test")
    assert STRANGER in words_of(thief.get("/mine"))
    assert cookie.value not in repr(school.store.room.about)
