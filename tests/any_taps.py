"""Taps any which way on a quilt that a page and the computer both count."""

from __future__ import annotations

import json
from random import Random
from typing import Any

from reckoned import Quilted

from tracker.progress.batches import passes_of
from tracker.progress.pass_work import needed_now
from tracker.web.opened import Opened
from tracker.web.shares import told_shares
from tracker.work.steps import Step


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
