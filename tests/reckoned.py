"""A quilt whose taps a page and the computer both count, and what must be the same after each."""

from __future__ import annotations

import json
from typing import Any

from flask import Flask
from playwright.sync_api import Page
from visitors import Visitor, add_quilt

from tracker.progress.batches import carry_on, coming, in_work, passes_of, targets
from tracker.progress.pass_work import needed_now
from tracker.store.quilts import Store
from tracker.web.ahead import MOST_BATCHES, counts_of, plan_of
from tracker.web.opened import Opened
from tracker.web.screens.step import together_of
from tracker.web.shares import told_shares

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
            batches = [batch for batch, _ in coming(opened.counts, opened.pace, MOST_BATCHES + 1)]
            # Where there are more than are told, the page cannot know either that none is left.
            self.batches = batches[:MOST_BATCHES] if len(batches) > MOST_BATCHES else [*batches, []]
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
            self.same_batch.append(in_work(opened.counts, opened.pace) in self.batches)
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
