"""The scripts of the pages by themselves, each with what it needs round it and nothing of a room."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from scripts import Bench

Tap = dict[str, Any]

ALONE = "window.sewingRoom = { keep() {}, kept: () => null, show() {}, live: () => document.getElementById('live') };"
"""What a script finds of the others, where it needs no more of them."""

FRAME = """<p id="saving"></p><div id="away" hidden><span data-instead=""></span><span data-instead="program">A stranger
answers.</span></div><div id="faults"></div><div id="aside"></div><h1>Sew</h1>"""

# keeping.js


def ids(page: Page, which: str = "waiting") -> list[str]:
    found = page.evaluate(f"sewingRoom.{which}().map((tap) => tap.id)")
    assert isinstance(found, list)
    return found


def test_taps_wait_in_the_order_they_were_made_whatever_the_clock_says(bench: Bench) -> None:
    page = bench("keeping.js")
    page.evaluate("""() => {
        // A clock that stands, goes back, leaps.
        for (const [id, time] of [["e", 5000], ["a", 5000], ["d", 4000], ["b", 9000], ["c", 1]]) {
            Date.now = () => time;
            sewingRoom.add({ id, fields: [] });
        }
    }""")
    assert ids(page) == ["e", "a", "d", "b", "c"]
    page.evaluate("sewingRoom.refresh()")
    assert ids(page) == ["e", "a", "d", "b", "c"]


def test_what_is_done_is_gone_and_what_is_set_aside_waits_no_more_until_it_is_taken_up(bench: Bench) -> None:
    page = bench("keeping.js")
    page.evaluate("for (const id of ['a', 'b', 'c']) sewingRoom.add({ id, fields: [] })")
    page.evaluate("sewingRoom.done(sewingRoom.waiting()[0])")
    page.evaluate("sewingRoom.setAside(sewingRoom.waiting()[0], { why: 'unplaced' })")
    assert (ids(page), ids(page, "aside")) == (["c"], ["b"])
    page.evaluate("sewingRoom.setAside(sewingRoom.aside()[0])")
    assert (ids(page), ids(page, "aside")) == (["b", "c"], [])
    page.evaluate("sewingRoom.refresh()")
    assert ids(page) == ["b", "c"]


@pytest.mark.parametrize(("room", "waits"), [("here", True), ("elsewhere", False), (None, True)])
def test_only_taps_of_this_room_wait_for_it(room: str | None, waits: bool, bench: Bench) -> None:
    page = bench("keeping.js")
    page.evaluate("(room) => sewingRoom.add({ id: 'a', room, fields: [] })", room)
    assert ids(page, "waiting" if waits else "aside") == ["a"]


def test_every_id_is_one_that_the_computer_takes_and_none_comes_twice(bench: Bench) -> None:
    found = bench("keeping.js").evaluate("Array.from({ length: 2000 }, sewingRoom.newId)")
    assert len(set(found)) == 2000
    assert all(re.fullmatch("[0-9a-f]{24}", each) for each in found)


def test_what_the_browser_refuses_to_keep_is_kept_as_long_as_the_page(bench: Bench) -> None:
    page = bench("keeping.js", before="Storage.prototype.setItem = () => { throw new Error('full'); };")
    page.evaluate("sewingRoom.keep('a', 'b')")
    assert page.evaluate("sewingRoom.kept('a')") == "b"
    page.evaluate("sewingRoom.forget('a')")
    assert page.evaluate("sewingRoom.kept('a')") is None


# sending.js

SENDING = """
window.waits = [];
window.answers = [];
const settimeout = window.setTimeout;
window.setTimeout = (act, time, ...more) => {
  if (time >= 500 && time <= 8000 && time !== 5000 && time !== 3000) { waits.push(time); time = 0; }
  return settimeout(act, time, ...more);
};
window.fetch = async () => {
  const [headers, status, text] = answers.shift() ?? [null];
  if (!headers) throw new Error('nobody');
  return new Response(text ?? null, { status: status ?? 200, headers });
};
"""

QUEUE = """
sewingRoom.show = () => {};
window.said = [];
sewingRoom.complain = (words) => said.push(words);
"""


def sending(bench: Bench) -> Page:
    page = bench("keeping.js", "sending.js", body=FRAME, before=SENDING)
    page.add_script_tag(content=QUEUE)
    return page


def test_the_pause_before_the_next_try_doubles_up_to_eight_seconds_and_begins_anew(bench: Bench) -> None:
    page = sending(bench)
    page.evaluate("""async () => {
        const kept = (id) => [{ 'Sewing-Room': 'here', 'Sewing-Room-Tap': `kept ${id}` }, 200];
        answers.push(...Array(7).fill([null]), kept('a'), [null], kept('b'));
        for (const id of ['a', 'b']) sewingRoom.add({ id, quilt: 'q', url: '/x', fields: [['do', 'done']] });
        await sewingRoom.send();
    }""")
    assert page.evaluate("waits") == [500, 1000, 2000, 4000, 8000, 8000, 8000, 500]
    assert (ids(page), ids(page, "aside"), page.evaluate("said")) == ([], [], [])


@pytest.mark.parametrize(
    ("headers", "status", "becomes"),
    [
        ({"Sewing-Room": "here", "Sewing-Room-Tap": "kept a"}, 200, "gone"),
        ({"Sewing-Room": "here", "Sewing-Room-Tap": "kept a"}, 204, "gone"),
        ({"Sewing-Room": "here", "Sewing-Room-Tap": "refused a"}, 409, "said"),
        ({"Sewing-Room": "here", "Sewing-Room-Tap": "unplaced a"}, 404, "aside"),
        ({"Sewing-Room": "here", "Sewing-Room-Tap": "gone a"}, 404, "aside"),
        ({"Sewing-Room": "here", "Sewing-Room-Tap": "kept b"}, 200, "waits"),
        ({"Sewing-Room": "here"}, 500, "waits"),
        ({"Sewing-Room": "elsewhere", "Sewing-Room-Tap": "kept a"}, 200, "waits"),
        ({"Sewing-Room-Tap": "kept a"}, 200, "waits"),
        ({}, 200, "waits"),
        (None, 0, "waits"),
    ],
)
def test_a_tap_is_forgotten_only_when_an_answer_of_this_room_names_it(
    headers: dict[str, str] | None, status: int, becomes: str, bench: Bench
) -> None:
    page = sending(bench)
    found = page.evaluate(
        """async ([headers, status]) => {
        answers.push([headers, status, status === 204 ? null : 'some words']);
        sewingRoom.add({ id: 'a', quilt: 'q', url: '/x', fields: [['do', 'done']] });
        sewingRoom.send();
        while (answers.length) await new Promise((next) => settimeout(next));
        await new Promise((next) => settimeout(next, 5));
        return { waits: sewingRoom.waiting().length, aside: sewingRoom.aside().map((tap) => tap.aside.why), said };
    }""",
        [headers, status],
    )
    why = headers["Sewing-Room-Tap"].split()[0] if headers and becomes == "aside" else ""
    assert found == {
        "waits": int(becomes == "waits"),
        "aside": [why] if why else [],
        "said": ["some words"] if becomes == "said" else [],
    }


# strips.js

CUTTING = """<div id="live" data-quilt="q" data-done="3" data-strips="S one 0 4;S two 1 5;R three 0 6">
<b id="done">3</b><p id="kept-here" hidden>all</p><article class="strip"></article>
<form class="one"><input name="cloth" value="S"><input name="strip" value="one">
<button id="one"></button></form><form class="take-back" hidden><input name="what" value=""><small></small></form></div>
<template id="sheet-0"><p data-tick="cut">First <b data-number></b></p></template>
<template id="sheet-1"><p data-tick="laid aside">Second <b data-number></b></p></template>"""


@pytest.mark.parametrize(
    ("taps", "strip", "done", "back"),
    [
        ([("t1", "one", None)], "two", 4, "t1"),
        ([("t1", "two", None)], "one", 4, "t1"),
        ([("t1", "one", None), ("t2", "two", None)], "three", 5, "t2"),
        ([("t1", "one", None), ("t2", None, "t1")], "one", 3, ""),
        ([("t1", "one", None), ("t2", "two", None), ("t3", None, "t2")], "two", 4, "t1"),
        ([("t1", "one", None), ("t2", "two", None), ("t3", "three", None)], None, 6, "t3"),
        ([("t1", "gone", None)], "one", 3, "t1"),
    ],
)
def test_the_next_strip_is_the_first_that_is_not_ticked(
    taps: list[tuple[str, str | None, str | None]], strip: str | None, done: int, back: str, bench: Bench
) -> None:
    page = bench("strips.js", body=CUTTING, before=ALONE)
    waiting = [{"id": tap, "quilt": "q", "strip": name, "what": what} for tap, name, what in taps]
    other = {"id": "other", "quilt": "another", "strip": "one"}
    page.evaluate("(taps) => sewingRoom.goOn(document.getElementById('live'), taps)", [*waiting, other])
    expect(page.locator("#done")).to_have_text(str(done))
    assert page.input_value("[name=what]") == back
    assert page.is_hidden("form.one") == (strip is None)
    assert page.is_visible("#kept-here") == (strip is None)
    if strip:
        assert page.input_value("[name=strip]") == strip


# room.js

STEP = """<div id="live" data-quilt="q" data-view="step:s" data-step="s" data-done="2" data-count="9" data-ready="5"
{more}>
<b id="done"></b><b id="ready"></b><span id="pending"></span><b id="counts-for"></b><span id="nothing-back">none</span>
<form class="take-back" data-what="{what}" data-times="1" data-words="2 cut"><small id="last-tap"></small></form>
</div>"""

ROOM = """
window.queue = [];
window.sewingRoom = { state: { failures: 0, saved: false, trouble: '' }, keep() {}, kept: () => null, held: () => true,
  waiting: () => queue, aside: () => [], loose: () => false, loaded: Promise.resolve(), start() {},
  live: () => document.getElementById('live') };
"""


@pytest.mark.parametrize(
    ("blocks", "what", "taps", "shown"),
    [
        (None, "", [], ("2", "5", "", "")),
        (None, "kept", [], ("2", "5", "", "2 cut")),
        (None, "kept", [{"count": 3}], ("5", "2", "", "the last 3")),
        (None, "kept", [{"count": 3}, {"count": 1}], ("6", "1", "", "the last 1")),
        (None, "kept", [{"count": -1, "what": "kept"}], ("1", "6", "", "")),
        (None, "", [{"count": 3}, {"count": -3, "what": "tap 0"}], ("2", "5", "", "")),
        (None, "", [{"count": 3, "step": "other"}], ("2", "5", "", "")),
        (None, "", [{"count": 3, "quilt": "other"}], ("2", "5", "", "")),
        ("3 4 7", "", [], ("2", "3", "block 3, then 4, 7", "")),
        ("3 4 7", "", [{"count": 2, "blocks": ["3", "4"]}], ("4", "1", "block 7", "the last 2")),
        ("3", "", [{"count": 1, "blocks": ["3"]}], ("3", "0", "no further block yet", "the last 1")),
        ("3 4", "", [{"count": 1, "blocks": ["3"]}, {"count": -1, "what": "tap 0"}], ("2", "2", "block 3, then 4", "")),
        ("1 2 3 4 5 6 7", "", [], ("2", "5", "block 1, then 2, 3, 4, 5, 6 …", "")),
    ],
)
def test_a_step_shows_the_counts_with_the_taps_on_their_way(
    blocks: str | None, what: str, taps: list[Tap], shown: tuple[str, ...], bench: Bench
) -> None:
    more = "" if blocks is None else f'data-blocks="{blocks}"'
    page = bench("room.js", body=FRAME + STEP.format(more=more, what=what), before=ROOM)
    queue = [{"id": f"tap {number}", "quilt": "q", "step": "s"} | tap for number, tap in enumerate(taps)]
    page.evaluate("(taps) => { queue.push(...taps); sewingRoom.show(); }", queue)
    assert tuple(page.inner_text(place) for place in ("#done", "#ready")) == shown[:2]
    if blocks is not None:
        assert page.inner_text("#counts-for") == shown[2]
    assert page.is_hidden("form.take-back") == (not shown[3])
    assert page.is_hidden("#nothing-back") == bool(shown[3])
    if shown[3]:
        assert page.inner_text("#last-tap") == shown[3]


COUNTED = """<form data-tap data-most="12" action="#"><input type="hidden" name="do" value="counted">
<input name="times" value="3"><button>Set it</button></form>"""


def test_more_than_are_needed_is_asked_about_once_for_each_number(bench: Bench) -> None:
    """What the button says is what it does: with another number typed it has its own words again."""
    sent = """window.sent = []; Object.assign(sewingRoom, { takeUp() {}, send() {}, newId: () => 'a',
        add: (tap) => sent.push(Object.fromEntries(tap.fields).times) });"""
    page = bench("room.js", body=FRAME + STEP.format(more="", what="") + COUNTED, before=ROOM + sent)
    for number, says in (("20", "12 are needed. Set 20?"), ("21", "12 are needed. Set 21?")):
        page.fill("[name=times]", number)
        assert page.inner_text("form[data-most] button") == "Set it"
        page.click("form[data-most] button")
        assert page.inner_text("form[data-most] button") == says
    assert page.evaluate("sent") == []
    page.click("form[data-most] button")
    page.fill("[name=times]", "11")
    assert page.inner_text("form[data-most] button") == "Set it"
    page.click("form[data-most] button")
    assert page.evaluate("sent") == ["21", "11"]


def test_a_sentence_is_said_once_until_it_is_answered(bench: Bench) -> None:
    page = bench("room.js", body=FRAME, before=ROOM)
    page.evaluate("for (const words of ['a', 'b', 'a']) sewingRoom.complain(words)")
    assert page.locator("#faults p span").all_inner_texts() == ["a", "b"]
    page.locator("#faults button").first.click()
    page.evaluate("sewingRoom.complain('a')")
    assert page.locator("#faults p span").all_inner_texts() == ["b", "a"]


# aside.js


def test_taps_kept_aside_are_told_by_their_reason_with_the_work_they_were(bench: Bench) -> None:
    taps = [
        {"key": "1", "title": "Cut", "count": 3, "aside": {"why": "gone"}},
        {"key": "2", "title": "Sew", "count": 0, "aside": {"why": "gone"}},
        {"key": "3", "title": "Cut", "count": 4, "aside": {"why": "gone"}},
        {"key": "4", "count": 1, "aside": {"why": "unplaced", "words": "No such step."}},
        {"key": "5", "count": 1, "aside": {"why": "unplaced", "words": "9 stand now.", "asks": True}},
        *({"key": f"6{each}", "title": each, "count": 0} for each in "ABCDEF"),
    ]
    before = ROOM + "sewingRoom.many = (n) => `${n} taps`; sewingRoom.aside = () => taps; window.taps = [];"
    page = bench("aside.js", body=FRAME, before=before)
    page.evaluate("(found) => { taps = found; sewingRoom.tellAside(); }", taps)
    assert page.locator("#aside section").count() == 4
    assert page.locator("#aside .work").all_inner_texts() == ["Cut: 7; Sew", "A; B; C; D; and 2 more"]
    said = page.locator("#aside section > p:first-child").all_inner_texts()
    parts = ("Their quilt is deleted", "No such step. Put that right", "9 stand now.", "another sewing room")
    assert [part in words for words, part in zip(said, parts, strict=True)] == [True] * 4
    assert "drop this" not in said[2]


# hands.js

HANDS = """<button data-setting="pedals"></button><main id="screen"><article class="step"><h1>Cut  squares</h1>
<p class="size">2½ in × 3 in:</p><ul class="takes"><li>2 red</li><li>1 sand</li></ul>
<div class="words"><p>Lay them down.</p><p class="check">Check.</p></div>
<details class="caution"><summary>Mind <span>the blade!</span></summary><p>Mind the blade!</p></details></article>
<div id="live" data-step="s"><a class="turn" aria-label="Pass before: A">‹</a>
<a class="turn" aria-label="Next pass: B">›</a>
<form class="take-back" onsubmit="return false"><button id="take-back">b</button></form>
<section class="bar"><form onsubmit="return false"><button id="one">One</button></form>
<a class="carry-on" hidden>on</a></section>
</div><input id="typed"></main>"""

KEEPING = """
const settings = {};
window.sewingRoom = { keep: (key, value) => { settings[key] = value; }, kept: (key) => settings[key] ?? null,
  live: () => document.getElementById('live') };
window.touched = [];
document.addEventListener('click', ({ target }) => touched.push(target.getAttribute('aria-label') ?? target.id), true);
window.spoken = [];
speechSynthesis.speak = (words) => spoken.push(words.text);
"""


@pytest.mark.parametrize(
    ("key", "plain", "with_pedals"),
    [
        ("ArrowRight", "Next pass: B", "one"),
        ("PageDown", "Next pass: B", "one"),
        ("ArrowLeft", "Pass before: A", "take-back"),
        ("PageUp", "Pass before: A", "take-back"),
        ("ArrowDown", "", "one"),
        ("ArrowUp", "", "take-back"),
        ("Backspace", "take-back", "take-back"),
        (" ", "one", "one"),
        ("Enter", "one", "one"),
        ("x", "", ""),
    ],
)
def test_keys_and_pedals_turn_and_count(key: str, plain: str, with_pedals: str, bench: Bench) -> None:
    page = bench("hands.js", body=HANDS, before=KEEPING)
    press = """(key) => {
        touched.length = 0;
        document.body.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
        return touched;
    }"""
    assert page.evaluate(press, key) == ([plain] if plain else [])
    page.click("[data-setting]")
    assert page.get_attribute("[data-setting]", "aria-pressed") == "true"
    assert page.evaluate(press, key) == ([with_pedals] if with_pedals else [])
    typing = press.replace("document.body", "document.getElementById('typed')")
    assert page.evaluate(typing, key) == []


def test_a_step_is_read_aloud_as_one_says_it(bench: Bench) -> None:
    page = bench("hands.js", body=HANDS + "<button data-read>Read</button>", before=KEEPING)
    page.click("[data-read]")
    assert page.evaluate("spoken") == [
        "Cut squares. 2½ inches by 3 inches: 2 red. 1 sand. Lay them down. Check. Mind the blade!"
    ]


# compare.js and new.js

LIST = """<div id="list-rows" data-most="3"><fieldset id="row-1" class="wrong"><legend>Row 1</legend>
<p class="row-fault">no</p>
<input name="count" value="4">
<select name="cloth"><option value=""></option><option value="S" selected>sand</option></select>
<select name="use"><option value=""></option><option value="u" selected>u</option></select></fieldset></div>
<a id="more-rows" href="#">more</a>"""


def test_a_further_row_is_empty_but_for_the_cloth_until_there_are_enough(bench: Bench) -> None:
    page = bench("compare.js", body=LIST)
    expect(page.locator("#more-rows")).to_have_text("Add a row")
    page.click("#more-rows")
    row = page.locator("#row-2")
    expect(row.locator("legend")).to_have_text("Row 2")
    assert [row.locator(f"[name={name}]").input_value() for name in ("count", "cloth", "use")] == ["", "S", ""]
    expect(row.locator(".row-fault")).to_have_count(0)
    expect(row).not_to_have_class("wrong")
    page.click("#more-rows")
    expect(page.locator("#row-3")).to_have_count(1)
    expect(page.locator("#more-rows")).to_be_hidden()


NEW = """<textarea id="plan"></textarea><pre id="example">title = "x"\nb\nccc</pre><button id="use-example"></button>
<button id="bring-back"></button><input type="file" id="file"><a data-line="3" href="#">line 3</a>"""


def test_a_line_of_the_plan_is_found_and_the_draft_is_kept(bench: Bench) -> None:
    page = bench("new.js", body=NEW, before=KEEPING + "window.htmx = { trigger() {} };")
    assert page.is_hidden("#bring-back")
    page.click("#use-example")
    assert page.evaluate("settings['sewing-room draft']") == 'title = "x"\nb\nccc'
    page.click("[data-line]")
    assert page.evaluate("(({ selectionStart, selectionEnd, value }) => value.slice(selectionStart, selectionEnd))"
                         "(document.getElementById('plan'))") == "ccc"  # fmt: skip
