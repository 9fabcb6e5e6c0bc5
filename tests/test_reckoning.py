"""The page's own counting while the computer is away is the computer's: after any taps both say the same of every step.

What only the computer can reckon (strips, stages, pieces spoiled, taps that the page does not know) is held to less:
the page promises nothing that is not there. Then it asks for the counts anew, as pages do.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from effort import tries
from flask import Flask
from freezing import PLANS
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from plan_strategies import plans, whole_quilts
from playwright.sync_api import Page
from random_quilts import random_quilt
from visitors import SMALL_PLAN, Visitor, add_quilt, room_of

from tracker.plan.plan_reader import write_plan
from tracker.progress.batches import carry_on, coming, in_work, passes_of, targets
from tracker.progress.pass_work import needed_now
from tracker.store.quilts import Store
from tracker.web.ahead import MOST_BATCHES, counts_of, plan_of
from tracker.web.opened import Opened
from tracker.web.screens.step import together_of
from tracker.web.shares import told_shares
from tracker.work.steps import Step

SEEDS = st.integers(0, 2**32 - 1)
PACES = st.tuples(st.booleans(), st.sampled_from((None, 1, 2)))
TEXTS = st.one_of(
    plans(most=2, most_blocks=4, combine=True).map(write_plan),
    whole_quilts().map(write_plan),
    SEEDS.map(lambda seed: write_plan(random_quilt(Random(seed), 2, 4))),
    st.sampled_from(sorted(PLANS)).map(lambda name: PLANS[name].read_text(encoding="utf-8")),
)

STANDS = """([told, counts, taps]) => {
    const plan = reckoning.prepared(told);
    const before = Array.from({ length: taps.length + 1 }, (_, many) => taps.slice(0, many));
    return before.map((counted) => {
        const now = reckoning.reckon(plan, counts, counted);
        const steps = plan.order.map((step) => [step.short, {
            done: now.done[step.short],
            left: reckoning.left(counts, now, step),
            ready: reckoning.ready(plan, counts, now, step),
            blocks: step.per ? reckoning.readyBlocks(plan, now, step) : [],
            waits: reckoning.lacking(plan, counts, now, step),
            now: Math.max(0, reckoning.wantedNow(plan, counts, now, step)),
            pass: reckoning.told(reckoning.needed(plan, counts, now, step)),
            said: reckoning.said(plan, counts, now, step, reckoning.needed(plan, counts, now, step)),
        }]);
        const lies = plan.piles.map((pile, number) => (pile.block ? 0 : now.lies[number]));
        return { steps: Object.fromEntries(steps), lies, on: reckoning.carryOn(plan, counts, now)?.short ?? null };
    });
}"""

Tap = dict[str, Any]
"""A tap as pages keep it: its id, its quilt, and the fields of its form."""


class Quilted:
    """One quilt of a room, tapped as pages tap it."""

    def __init__(self, room: Flask, store: Store, text: str, pace: tuple[bool, int | None], page: Page) -> None:
        self.room, self.page = room, page
        self.visitor = Visitor(room)
        self.id = add_quilt(store, text, pace={"sample_first": pace[0], "batch": pace[1]}).id
        self.taps: list[Tap] = []
        self.begin()

    def begin(self, first: int = 0) -> None:
        """The page asks for the counts, with the list from any step on."""
        with self.opened() as opened:
            steps = opened.steps
            start = first % len(steps)
            self.plan = json.loads(json.dumps(plan_of(opened, steps[start:] + steps[:start])))
            self.counts = json.loads(json.dumps(counts_of(opened))) | {"quilt": self.id}
            self.batches = [batch for batch, _ in coming(opened.counts, opened.pace, MOST_BATCHES)] or [[]]
            self.said = [self.told(opened)]
        self.since: list[Tap] = []
        self.same_batch, self.same_way, self.way_lost = [True], [True], False

    def opened(self) -> Any:
        """The quilt as the computer has it, as a context."""
        return Reading(self.room, self.id)

    def told(self, opened: Opened) -> dict[str, Any]:
        """What the computer says of every step, in the page's words."""
        progress, compiled = opened.progress, opened.compiled
        number = {pile: at for at, pile in enumerate(compiled.checklist.piles)}
        on, goals = carry_on(progress, opened.pace), targets(progress.counts, opened.pace)
        return {
            "steps": {
                compiled.short[step.id]: {
                    "done": progress.counts.times_done(step),
                    "left": progress.counts.left(step),
                    "ready": progress.counts.ready(step),
                    "blocks": [] if step.per == "quilt" else progress.counts.ready_blocks(step),
                    "waits": [[number[pile], short] for pile, short in progress.counts.waits_for(step)],
                    "pass": told_shares(
                        compiled, needed_now(opened.counts, opened.pace, passes_of(opened.counts)[step.id].steps)
                    ),
                    "said": {"words": together_of(opened, step).words, "what": together_of(opened, step).what},
                    "now": max(
                        0, min(progress.counts.ready(step), goals.get(step.id, 0) - progress.counts.times_done(step))
                    ),
                }
                for step in opened.steps
            },
            "lies": [
                0 if pile.block else progress.counts.on_pile(pile.id) for pile in compiled.checklist.piles.values()
            ],
            "on": None if on is None else compiled.short[on.id],
        }

    def tap(self, do: str, **fields: object) -> str:
        """Tap, and note what the computer says after it. Out: kept, refused or unplaced."""
        tap_id = f"reckoned-{len(self.taps):05}"
        named = {"tap": tap_id, "do": do} | {name: str(value) for name, value in fields.items()}
        tap = {"id": tap_id, "quilt": self.id, "fields": [list(field) for field in named.items()]}
        self.taps.append(tap)
        self.since.append(tap)
        answer = self.visitor.post(
            f"/quilts/{self.id}/taps", named | {"view": ""}, HX_Request_Type="partial", Sewing_Room_Tap=tap_id
        )
        assert answer.status_code < 500, answer.get_data(as_text=True)
        last = self.counts.get("last", {}).get("id")
        with self.opened() as opened:
            self.said.append(self.told(opened))
            batch = in_work(opened.counts, opened.pace)
            # A page that has lost count of the batches does not know either that there is none left.
            self.same_batch.append(batch in self.batches or (not batch and all(self.same_batch)))
        # Which tap was the last but one of those before, and of the batches more than the next, the page cannot know.
        self.way_lost |= do.startswith("settle") or (do == "take back" and fields["what"] == last)
        self.same_way.append(self.same_batch[-1] and not self.way_lost)
        return answer.headers.get("Sewing-Room-Tap", "open").split()[0]

    def agree(self) -> None:
        """After each of these taps the page says what the computer says."""
        found = self.page.evaluate(STANDS, [self.plan, self.counts, self.since])
        for number, (page, computer) in enumerate(zip(found, self.said, strict=True)):
            after = [tap["fields"][1:] for tap in self.since[:number]]
            for short, step in computer["steps"].items():
                assert page["steps"][short] == step | self._now(page, number, short), (after, self.title(short))
            assert page["lies"] == computer["lies"], after
            if self.same_way[number]:
                assert page["on"] == computer["on"], after

    def _now(self, page: dict[str, Any], number: int, short: str) -> dict[str, Any]:
        found = page["steps"][short]
        return {} if self.same_batch[number] else {each: found[each] for each in ("now", "pass", "said")}

    def promise_no_more(self) -> None:
        """After the last of these taps the page promises nothing that the computer does not."""
        page = self.page.evaluate(STANDS, [self.plan, self.counts, self.since])[-1]
        after = [tap["fields"][1:] for tap in self.since]
        for short, step in self.said[-1]["steps"].items():
            promised = page["steps"].get(short, {"ready": 0, "blocks": []})
            assert promised["ready"] <= step["ready"], (after, self.title(short))
            assert set(promised["blocks"]) <= set(step["blocks"]), (after, self.title(short))

    def tap_and_look(self, fields: dict[str, Any], exact: bool, first: int) -> None:
        """Tap; where the page cannot reckon what comes of it, it must promise no more, and asks for the counts anew."""
        if exact:
            self.tap(**fields)
            return
        self.agree()
        self.tap(**fields)
        self.promise_no_more()
        self.begin(first)

    def short(self, title: str) -> str:
        """The short name of the first step whose title begins so."""
        with self.opened() as opened:
            titles = opened.compiled.titles
            return opened.compiled.short[next(step for step in titles if titles[step].startswith(title))]

    def pile(self, title: str) -> str:
        """The pile that the first step whose title begins so gives to."""
        with self.opened() as opened:
            step = opened.compiled.step(self.short(title))
            assert step is not None
            return step.gives[0].pile

    def title(self, short: str) -> str:
        with self.opened() as opened:
            return next(opened.compiled.titles[step] for step, name in opened.compiled.short.items() if name == short)


class Reading:
    """A quilt read within a request of its own."""

    def __init__(self, room: Flask, quilt_id: str) -> None:
        self.context, self.desk, self.quilt = room.test_request_context(), room.extensions["sewing-room"].desk, quilt_id

    def __enter__(self) -> Opened:
        self.context.push()
        self.lent = self.desk.quilt(self.quilt)
        opened = self.lent.__enter__()
        assert isinstance(opened, Opened)
        return opened

    def __exit__(self, *fault: Any) -> None:
        self.lent.__exit__(*fault)
        self.context.pop()


class Fingers:
    """Taps any which way, of one who counts more than there is, errs, and takes back."""

    def __init__(self, quilt: Quilted, chance: Random) -> None:
        self.quilt, self.chance = quilt, chance

    def fields(self, opened: Opened) -> tuple[dict[str, Any], bool]:
        """A tap's fields, and whether the page can reckon what comes of it."""
        make = self.chance.choices(
            (self.ready, self.together, self.wild, self.counted, self.back, self.put_back, self.unpicked, self.settled,
             self.note, self.stage, self.spoiled, self.strip),
            (8, 10, 3, 2, 4, 1, 1, 2, 1, 1, 1, 1),
        )[0]  # fmt: skip
        return make(opened) or self.ready(opened) or self.wild(opened)

    def _done(self, opened: Opened, step: Step, times: int, blocks: list[int]) -> tuple[dict[str, Any], bool]:
        fields: dict[str, Any] = {"do": "done", "step": opened.compiled.short[step.id], "times": times}
        if step.per != "quilt":
            if self.chance.random() < 1 / 5:
                fields["offered"] = " ".join(map(str, blocks))
            elif self.chance.random() < 9 / 10:
                fields["blocks"] = " ".join(map(str, blocks[:times]))
        return fields, True

    def ready(self, opened: Opened) -> Any:
        able = [step for step in opened.steps if opened.counts.ready(step)]
        if not able:
            return None
        step = able[0] if self.chance.random() < 1 / 2 else self.chance.choice(able)
        most = opened.counts.ready(step)
        times = most if self.chance.random() < 2 / 3 else self.chance.randint(1, most)
        blocks = [] if step.per == "quilt" else opened.counts.ready_blocks(step)
        if self.chance.random() < 1 / 4:
            self.chance.shuffle(blocks := list(blocks))
        return self._done(opened, step, times, blocks)

    def together(self, opened: Opened) -> Any:
        """A whole pass with one tap; or some words of it, or one that was offered to another device before."""
        able = [step for step in opened.steps if opened.counts.ready(step)]
        if not able:
            return None
        step = able[0] if self.chance.random() < 1 / 2 else self.chance.choice(able)
        needed = needed_now(opened.counts, opened.pace, passes_of(opened.counts)[step.id].steps)
        words = told_shares(opened.compiled, needed).split()
        if not words:
            return None
        if self.chance.random() < 1 / 5:
            words = self.chance.sample(words, self.chance.randint(1, len(words)))
        if self.chance.random() < 1 / 8:
            words.append(self.chance.choice([words[0], f"{opened.compiled.short[step.id]}*2", "0@1"]))
        passed = [tap["fields"] for tap in self.quilt.taps if tap["fields"][1][1] == "pass"]
        if passed and self.chance.random() < 1 / 8:
            return dict(self.chance.choice(passed)[1:]), True
        return {"do": "pass", "work": " ".join(words)}, True

    def wild(self, opened: Opened) -> Any:
        step = self.chance.choice(opened.steps)
        blocks = opened.counts.blocks_of(step)
        blocks = self.chance.choices([*blocks, *opened.counts.block_keys], k=self.chance.randint(1, 3))
        return self._done(opened, step, self.chance.randint(1, opened.counts.count(step) + 1), blocks)

    def counted(self, opened: Opened) -> Any:
        step = self.chance.choice([step for step in opened.steps if step.per == "quilt"])
        done, count = opened.counts.times_done(step), opened.counts.count(step)
        fields = {"do": "counted", "step": opened.compiled.short[step.id], "times": self.chance.randint(0, count + 1)}
        if self.chance.random() < 1 / 2:
            fields["seen"] = self.chance.choice((done, done, 0, count))
        return fields, True

    def back(self, opened: Opened) -> Any:
        newest = self.quilt.taps[-6:] if self.chance.random() < 1 / 2 else self.quilt.taps
        if not newest:
            return None
        what = self.chance.choice(newest)["id"]
        if self.chance.random() < 1 / 8:
            return {"do": "take back to", "what": what, "seen": json.dumps([what])}, False
        told = self.quilt.counts
        known = {step["back"]["id"] for step in told["steps"].values() if "back" in step} | {*told.get("open", ())}
        changing = ("done", "pass", "counted", "put back", "not done", "opened", "take back")
        here = {tap["id"] for tap in self.quilt.since if tap["fields"][1][1] in changing}
        return {"do": "take back", "what": what}, what in known or self.is_known(what, here)

    def is_known(self, what: str, here: set[str]) -> bool:
        """Whether the page has this tap and knows what it did: a refused one is as if it had not been."""
        with self.quilt.opened() as opened:
            return what in here and opened.progress.recorded(what) is not None

    def put_back(self, opened: Opened) -> Any:
        step = self.chance.choice(opened.steps)
        fields, exact = self._done(opened, step, self.chance.randint(1, 2), opened.counts.blocks_of(step))
        do = "not done" if "blocks" in fields and self.chance.random() < 1 / 2 else "put back"
        return fields | {"do": do}, exact and ("blocks" in fields or step.per == "quilt" or "offered" in fields)

    def unpicked(self, opened: Opened) -> Any:
        sewn = [step for step in opened.steps if step.per != "quilt" or step.of_the_quilt]
        if not sewn:
            return None
        step = self.chance.choice([step for step in sewn if opened.counts.times_done(step)] or sewn)
        block = self.chance.choice(opened.counts.blocks_of(step))
        return {"do": "opened", "step": opened.compiled.short[step.id], "block": block}, True

    def settled(self, opened: Opened) -> Any:
        unsettled = opened.progress.unsettled()
        if not unsettled:
            return None
        chosen = self.chance.sample(unsettled, self.chance.randint(1, len(unsettled)))
        times = [self.chance.randint(0, 2) for _ in chosen]
        known = {*self.quilt.counts.get("open", ())} | {tap["id"] for tap in self.quilt.since}
        exact = all(tap.id in known for tap in chosen)
        if len(chosen) == 1:
            return {"do": "settle", "what": chosen[0].id, "times": times[0]}, exact
        whats = " ".join(tap.id for tap in chosen)
        return {"do": "settle all", "what": whats, "times": " ".join(map(str, times))}, exact

    def note(self, opened: Opened) -> Any:
        return {"do": self.chance.choice(("note", "name")), "text": "thread 40", "block": 1}, True

    def stage(self, opened: Opened) -> Any:
        steps = [step for step in opened.steps if step.per != "quilt"]
        step = self.chance.choice(steps)
        block = self.chance.choice(opened.counts.blocks_of(step))
        return {"do": "stage", "step": opened.compiled.short[step.id], "block": block}, False

    def spoiled(self, opened: Opened) -> Any:
        piles = [pile.id for pile in opened.compiled.checklist.piles.values() if pile.block is None]
        lying = [pile for pile in piles if opened.counts.on_pile(pile)]
        return {"do": "spoiled", "pile": self.chance.choice(lying or piles), "times": self.chance.randint(1, 2)}, False

    def strip(self, opened: Opened) -> Any:
        if not opened.compiled.whole.strips:
            return None
        cloth, name = self.chance.choice(list(opened.compiled.whole.strips))
        return {"do": "strip", "cloth": cloth, "strip": name}, False


def tap_about(quilt: Quilted, chance: Random, taps: int) -> None:
    """Taps any which way, a few at a time between two looks at the counts, each held to the law."""
    fingers = Fingers(quilt, chance)
    for _ in range(taps):
        with quilt.opened() as opened:
            fields, exact = fingers.fields(opened)
        quilt.tap_and_look(fields, exact, chance.randrange(1000))
        if exact and chance.random() < 1 / 6:
            quilt.agree()
            quilt.begin(chance.randrange(1000))
    quilt.agree()


@pytest.fixture(scope="module")
def page(browser: Any) -> Iterator[Page]:
    """A page with the page's own reckoning in it."""
    opened = browser.new_page()
    opened.add_script_tag(path=str(Path(__file__).parent.parent / "static/reckoning.js"))
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def rooms(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Flask, Store]]:
    """One room for all these quilts."""
    with Store.open(tmp_path_factory.mktemp("reckoned")) as store:
        yield room_of(store), store


CUT_SAND, CUT_RED = ("done", "Cut pale", 2), ("done", "Cut lamp red squares, 3 in", 2)
UNITS = [("done", title, 4 if title in ("Cut lamp red squares, 2½ in", "Press half", "Trim") else 2) for title in (
    "Cut lamp red squares, 3 in", "Cut lamp red squares, 2½ in", "Cut pale sand", "Mark", "Pair", "Sew", "Cut apart",
    "Press half", "Trim",
)]  # fmt: skip
"""All units of both blocks of the small quilt."""
BLOCK = [("done", title, 1) for title in ("Lay out", "Join row 1", "Join row 2", "Press the rows", "Pin row 2")]
"""The first block up to its last seam."""
LAST = [("done", title, 1) for title in ("Join row 2", "Press the joins", "Measure")]
"""The rest of it, up to when it is squared."""

CASES: dict[str, list[tuple[Any, ...]]] = {
    "more than lies ready is asked about, and answered": [("done", "Mark", 2), CUT_SAND, ("settle", 0, 2)],
    "not at all": [("done", "Mark", 2), CUT_SAND, ("settle", 0, 0)],
    "answered with more than there is": [("done", "Mark", 2), ("settle", 0, 1)],
    "two asked about together, and the answer taken back": [
        ("done", "Mark", 1), ("done", "Pair", 1), CUT_SAND, CUT_RED, ("settle all", "0 1", "1 1"), ("back", 4)],
    "asked again, answered otherwise": [
        ("done", "Mark", 2), ("done", "Mark", 2), CUT_SAND, ("settle all", "0 1", "1 0"), ("back", 3),
        ("settle", 1, 2)],
    "one of two is gone when both are answered": [
        ("done", "Mark", 1), ("done", "Mark", 1), CUT_SAND, ("settle", 0, 1), ("settle all", "0 1", "1 1")],
    "taken back, twice": [CUT_SAND, ("back", 0), ("back", 0)],
    "what later work rests on is not taken back": [
        CUT_SAND, ("done", "Mark", 2), ("back", 0), ("back", 1), ("back", 0)],
    "taken back while it was asked about": [("done", "Mark", 1), ("back", 0), CUT_SAND, ("settle", 0, 1)],
    "counted in all, more and fewer": [
        CUT_SAND, ("counted", "Cut pale", 1), ("counted", "Cut pale", 1), ("counted", "Mark", 2), ("back", 1)],
    "counted, where another number was seen": [CUT_SAND, ("counted", "Cut pale", 1, {"seen": 0})],
    "cut again for a piece lost, though the blocks in work have theirs": [
        CUT_SAND, ("spoiled", "Cut pale", 1), ("done", "Cut pale", 1), ("done", "Mark", 2)],
    "more than the plan asks for": [("done", "Cut pale", 3), ("done", "Cut pale", 2), ("done", "Cut pale", 1)],
    "unpicked and sewn again": [*UNITS[:6], ("put back", "Sew", 1), ("done", "Sew", 1), ("put back", "Sew", 3)],
    "what is cut, marked, cut apart or trimmed is not unpicked": [
        *UNITS, *((do, title, 1) for do in ("put back",) for title in ("Cut pale", "Mark", "Cut apart", "Trim")),
        ("done", "Mark", 1), ("counted", "Trim", 3)],
    "what is counted by mistake is not done, though it cannot be unpicked": [
        *UNITS, *BLOCK, *LAST, ("put back", "Square", 1, {"blocks": "1"}), ("not done", "Square", 1, {"blocks": "1"})],
    "of what is no block's, nothing was not done": [CUT_SAND, ("not done", "Cut pale", 1, {"blocks": "1"})],
    "one block twice, and a block that is none": [
        *UNITS, ("done", "Lay out", 2, {"blocks": "1 1"}), ("done", "Lay out", 1, {"blocks": "3"}),
        ("done", "Lay out", 1, {"blocks": "1"}), ("done", "Lay out", 1, {"blocks": "1"})],
    "the blocks that were offered, not those that are next": [
        *UNITS, ("done", "Lay out", 1, {"offered": "2"}), ("done", "Join row 1", 1), ("back", 9)],
    "a block's seam before its rows are joined": [*UNITS, BLOCK[0], ("done", "Pin row 2", 1, {"blocks": "1"})],
    "a join is opened with all that rests on it": [
        *UNITS, *BLOCK, ("opened", "Join row 1", 0, {"block": "1"}), ("done", "Join row 1", 1), ("back", 14)],
    "a join that was not sewn is not opened": [*UNITS, ("opened", "Join row 1", 0, {"block": "1"})],
}  # fmt: skip
"""Short sequences that two reckonings came apart at once, or may: what is done (or taken back, settled) in turn. A step
stands by how its title begins, a tap by its place; the law is looked at after every tap."""


@pytest.mark.parametrize("case", CASES)
def test_tricky_taps_count_on_the_page_as_in_the_computer(case: str, page: Page, rooms: tuple[Flask, Store]) -> None:
    quilt = Quilted(*rooms, SMALL_PLAN, (False, 1), page)
    for do, what, *more in CASES[case]:
        times, other = [*more, {}][:2] if more else (None, {})
        if do in ("back", "settle", "settle all"):
            named = " ".join(quilt.taps[int(number)]["id"] for number in str(what).split())
            fields = {"do": "take back" if do == "back" else do, "what": named}
            exact = do != "back" or not quilt.taps[what]["fields"][1][1].startswith("settle")
        elif do == "spoiled":
            fields, exact = {"do": do, "pile": quilt.pile(what)}, False
        else:
            fields, exact = {"do": do, "step": quilt.short(what)} | other, True
        quilt.tap_and_look(fields if times is None else fields | {"times": times}, exact, 0)
    quilt.agree()


TWO_VERSIONS = """\
title = "Lantern cushion"
trimming = "exact"
press_rows = "one way"

[fabrics.S]
name = "pale sand"
tone = 2

[fabrics.R]
name = "lamp red"
tone = 7

[blocks.lantern]
name = "Lantern"
cell = "2"
picture = '''
S
R
'''

[quilt]
block = "lantern"
across = 3
down = 1
"""
"""Three blocks, the one between pressed otherwise, so that one pass squares both versions."""


def test_what_brings_a_block_to_its_end_asks_nothing_more_of_the_same_pass(
    page: Page, rooms: tuple[Flask, Store]
) -> None:
    quilt = Quilted(*rooms, TWO_VERSIONS, (False, 1), page)
    with quilt.opened() as opened:
        shorts = {opened.compiled.short[step.id]: opened.counts.count(step) for step in opened.steps}
    squares = [quilt.short(f"Square Lantern, version {version}") for version in "AB"]
    for short in list(shorts)[: list(shorts).index(squares[0])]:
        quilt.tap("done", step=short, times=shorts[short])
    assert quilt.said[-1]["steps"][squares[0]]["pass"] == f"{squares[0]}@1"
    assert all(quilt.said[-1]["steps"][short]["ready"] for short in squares)
    quilt.agree()


# What fails is not made smaller: any change of a plan or seed makes other taps.
LAW = settings(
    max_examples=tries(200, 4),
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


@given(TEXTS, PACES, SEEDS)
@LAW
def test_the_page_counts_as_the_computer_does(
    page: Page, rooms: tuple[Flask, Store], text: str, pace: tuple[bool, int | None], seed: int
) -> None:
    tap_about(Quilted(*rooms, text, pace, page), Random(seed), 40)
