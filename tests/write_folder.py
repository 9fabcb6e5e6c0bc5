"""Writes a data folder as this version of the program does, its backup, and the counts that it stands for:

python tests/write_folder.py NAME

It is run once for each version whose ids or files differ from those before, and what it wrote stays as it is: later
versions must open it with every count alike. Its quilts are sewn by lot, with taps of every kind.
"""

from __future__ import annotations

import json
import re
import shutil
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from fractions import Fraction
from random import Random
from typing import Any

from flask import Flask
from freezing import FOLDERS, PLANS, counts_of
from visitors import Visitor, add_quilt, room_of

from tracker.cli import add_demo
from tracker.exact.measure import exact, nearest, write_length
from tracker.fitting.block_shape import planned_size
from tracker.progress.batches import passes_of
from tracker.progress.changes import DONE_WITH
from tracker.progress.ledger import Refused, Tap
from tracker.progress.pass_work import needed_now
from tracker.progress.tap_kinds import read_tap
from tracker.safekeeping.backup import write_backup
from tracker.store.quilts import Store, StoredQuilt
from tracker.web.desk import Desk
from tracker.web.facts import strips_of
from tracker.web.opened import Opened
from tracker.work.steps import Step

CARRIED = ("aside", "told", "laid")
"""What a new beginning under an edited plan says of some quilt."""

SEWN = {
    "harbour_lights": 400,
    "windmill_metric": 300,
    "long_lanes": 3000,
    "star_kinds": 250,
    "lighthouse": 90,
    "posts_and_rails": 250,
}
"""Taps by lot for each plan; for some so many that the quilt is finished, or nearly so."""

EDITED = {
    "star_kinds": ('cut = "5"', 'cut = "4 1/2"'),
    "harbour_lights": ("across = 2", "across = 3"),
    "windmill_metric": ('finished = "6"', 'finished = "7"'),
}
"""What is changed in a plan midway; then more taps follow."""

DELETED = "lighthouse"

TAUGHT = "windmill_metric"
"""Whose plan a class sews; and how many taps each pupil makes."""
PUPILS = {"Ilse": 250, "Jo": 40}

FORMS = {
    "makers": {"name": "Ilse"},
    "seam": {"middle": "15/16", "maker": ""},
    "setup": {"needle": "80/12"},
    "pace": {"batch": "4", "sample": "yes"},
}
"""What is typed into a quilt's pages that is no tap."""
TYPED = "star_kinds"


class Hands:
    """Someone who taps by lot."""

    def __init__(self, opened: Opened, chance: Random) -> None:
        self.opened, self.chance = opened, chance
        self.number = len(opened.stored.taps)
        self.kinds: dict[str, Callable[[], dict[str, Any] | None]] = {
            "put back": self.put_back,
            "counted": self.counted,
            "measured": self.measured,
            "spoiled": self.spoiled,
            "opened": self.unsewn,
            "stage": self.stage,
            "strip": self.strip,
            "name": lambda: {"block": self.block(), "text": self.chance.choice(("for the fair", "Lena’s", "½ done"))},
            "note": lambda: {"text": "The iron is too hot for this cloth."},
            "take back": self.take_back,
            "settle": self.settle,
            "pass": self.whole_pass,
            "not done": self.not_done,
            "spoiled within": self.spoiled_within,
            "block spoiled": lambda: {"block": self.block()} if self.chance.random() < 0.1 else None,
            "block measured": self.block_measured,
            "block brought": lambda: {"block": self.block(), "how": self.chance.choice(DONE_WITH)},
            "blocks laid": self.blocks_laid,
            "given": lambda: {"block": self.block(), "maker": self.chance.choice(("Ilse", "Jo", ""))},
        }

    def tap(self) -> None:
        """One tap; mostly the next step is done."""
        kind = "done" if self.chance.random() < 0.7 else self.chance.choice(list(self.kinds))
        given = self.done() if kind == "done" else self.kinds[kind]()
        if given is None:
            return
        self.number += 1
        at = datetime(2026, 11, 1, 9, self.number % 60, tzinfo=UTC).isoformat(timespec="seconds")
        try:
            self.opened.take(read_tap({"id": f"by-lot-{self.number}", "do": kind, **given, "at": at, **self.by()}))
        except Refused:
            return

    def by(self) -> dict[str, str]:
        """By whom it is tapped, where that is told."""
        return {"device": "tested", "who": self.chance.choice(("Ilse", "Jo"))} if self.chance.random() < 0.1 else {}

    def steps(self, ready: bool) -> list[Step]:
        progress = self.opened.progress
        wanted = progress.counts.ready if ready else progress.counts.times_done
        return [step for step in progress.counts.steps.values() if wanted(step)]

    def done(self) -> dict[str, Any] | None:
        progress = self.opened.progress
        if not (steps := self.steps(ready=True)):
            return None
        step = self.chance.choice(steps[-4:])
        times = self.chance.randint(1, progress.counts.ready(step))
        if step.per == "quilt":
            # Now and then more than lies there, as where two devices were away: that is asked about.
            return {"step": step.id, "times": times + (50 if self.chance.random() < 0.02 else 0)}
        return {"step": step.id, "blocks": progress.counts.ready_blocks(step)[:times]}

    def begun(self) -> Step | None:
        return self.chance.choice(steps) if (steps := self.steps(ready=False)) else None

    def put_back(self) -> dict[str, Any] | None:
        step, progress = self.begun(), self.opened.progress
        if step is None:
            return None
        done = [number for number in progress.counts.blocks_of(step) if progress.counts.times_done(step, number)]
        return {"step": step.id} | ({"times": 1} if step.per == "quilt" else {"blocks": done[-1:]})

    def counted(self) -> dict[str, Any] | None:
        step = self.begun()
        return step and {"step": step.id, "times": self.opened.counts.times_done(step) + self.chance.randint(-1, 2)}

    def measured(self) -> dict[str, Any] | None:
        pairs = self.opened.borders.strips
        if not pairs:
            return None
        each = self.chance.choice(pairs)
        mark, unit = each.mark, self.opened.compiled.plan.unit
        lengths = [nearest(each.pair.planned, mark) + mark * self.chance.choice((-1, 0, 2)) for _ in range(3)]
        return {"step": each.pair.step.id, "lengths": [write_length(length, unit, plain=True) for length in lengths]}

    def spoiled(self) -> dict[str, Any] | None:
        lying = [p.id for p in self.opened.compiled.checklist.piles.values() if self.opened.counts.on_pile(p.id)]
        return {"pile": self.chance.choice(lying), "times": 1} if lying and self.chance.random() < 0.3 else None

    def block(self) -> int:
        return self.chance.choice(list(self.opened.counts.block_keys))

    def unsewn(self) -> dict[str, Any] | None:
        joins = [step for step in self.steps(ready=False) if step.operation == "join" and step.per != "quilt"]
        return {"step": self.chance.choice(joins).id, "block": self.block()} if joins else None

    def stage(self) -> dict[str, Any] | None:
        block, progress = self.block(), self.opened.progress
        if self.chance.random() > 0.2:
            return None
        return {
            "step": self.chance.choice(progress.counts.block_steps(progress.counts.block_keys[block], block)).id,
            "block": block,
        }

    def whole_pass(self) -> dict[str, Any] | None:
        step = self.chance.choice(steps) if (steps := self.steps(ready=True)) else None
        if step is None:
            return None
        shares = needed_now(self.opened.counts, self.opened.pace, passes_of(self.opened.counts)[step.id].steps)
        work = [[each.step.id, 0 if each.blocks else each.times, list(each.blocks)] for each in shares if each.times]
        return {"work": work} if work else None

    def of_a_block(self) -> tuple[Step, list[int]] | None:
        """A step of blocks that was done, and for which."""
        counts = self.opened.counts
        steps = [step for step in self.steps(ready=False) if step.per != "quilt"]
        step = self.chance.choice(steps) if steps else None
        return step and (step, [number for number in counts.blocks_of(step) if counts.times_done(step, number)])

    def not_done(self) -> dict[str, Any] | None:
        found = self.of_a_block()
        return found and {"step": found[0].id, "blocks": found[1][-1:]}

    def spoiled_within(self) -> dict[str, Any] | None:
        found = self.of_a_block()
        if found is None:
            return None
        step, numbers = found
        piles = self.opened.compiled.checklist.piles
        shared = [flow.pile for flow in step.takes if piles[flow.pile].block is None]
        return {"step": step.id, "pile": shared[0], "times": 1, "block": numbers[0]} if shared else None

    def block_measured(self) -> dict[str, Any]:
        block, plan = self.block(), self.opened.compiled.plan
        sizes = planned_size(plan, self.opened.counts.block_keys[block], False)
        mark = Fraction(1, 16) if plan.unit == "in" else Fraction(1, 10)
        planned = [nearest(exact(sizes[way]), mark) for way in (0, 0, 0, 1, 1, 1)]
        figures = [each + mark * self.chance.randint(-3, 1) for each in planned]
        lengths = [write_length(figure, plan.unit, plain=True) for figure in figures]
        return {"block": block, "lengths": lengths, "maker": self.chance.choice(("", "Lena", "Ida"))}

    def blocks_laid(self) -> dict[str, Any]:
        """Blocks pressed alike change places by lot."""
        alike: dict[tuple[str, int], list[int]] = {}
        planned = [place for row in self.opened.compiled.checklist.pressing.places for place in row]
        for number, place in enumerate(planned, 1):
            alike.setdefault((place.block, place.version), []).append(number)
        mixed = {key: self.chance.sample(numbers, len(numbers)) for key, numbers in alike.items()}
        return {"places": [mixed[place.block, place.version].pop() for place in planned]}

    def strip(self) -> dict[str, Any] | None:
        cloth = self.chance.choice(list(self.opened.compiled.plan.fabrics))
        stands = [each for each in strips_of(self.opened, cloth) if each.state == "open"]
        if not stands:
            return None
        return {"cloth": cloth, "strip": stands[0].strip.name, "steps": [list(each) for each in stands[0].counts]}

    def take_back(self) -> dict[str, Any] | None:
        last = self.opened.progress.latest(8)
        return {"what": self.chance.choice(last).tap.id} if last else None

    def settle(self) -> dict[str, Any] | None:
        asked = self.opened.progress.unsettled()
        return {"what": asked[0].id, "times": self.chance.randint(0, 2)} if asked else None


def sew(desk: Desk, quilt: StoredQuilt, taps: int, chance: Random) -> None:
    """So many taps by lot."""
    with desk.turn(quilt.id) as opened:
        hands = Hands(opened, chance)
        for _ in range(taps):
            hands.tap()


def settle_all(desk: Desk, quilt: StoredQuilt) -> None:
    """Answer what is asked, so that the plan can be edited."""
    with desk.turn(quilt.id) as opened:
        if asked := [tap.id for tap in opened.progress.unsettled()]:
            opened.take(read_tap({"id": "settled", "do": "settle all", "what": asked, "times": [0] * len(asked)}))


def edit(visitor: Visitor, quilt: StoredQuilt, text: str) -> None:
    """Use an edited plan, as its page does."""
    at = f"/quilts/{quilt.id}/plan"
    fields: dict[str, str] = {}
    for do in ("look", "use"):
        page = visitor.get(at) if do == "look" else visitor.post(at, fields | {"plan": text, "do": "look"})
        fields = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page.text))
    answer = visitor.post(at, fields | {"plan": text, "do": "use"})
    assert answer.status_code == 303, answer.text
    assert quilt.about["plan"] == text


def teach(desk: Desk, room: Flask, quilt: StoredQuilt, chance: Random) -> None:
    """A class on a quilt's plan, and what its pupils sew."""
    visitor = Visitor(room)
    at = visitor.post("/classes", {"title": "Saturday beginners", "quilt": quilt.id}).headers["Location"]
    classes = room.extensions["sewing-room"].pairing.classes
    group = classes.all()[0]
    for name in PUPILS:
        pupil = Visitor(room, address="192.168.1.40", paired=False)
        assert pupil.post("/join", {"code": group.code, "name": name, "sent": ""}).status_code == 303
    for each in classes.all()[0].pupils:
        sew(desk, desk.store.quilt(each.quilt), PUPILS[each.name], chance)
        desk.store.quilt(each.quilt).set_about(hand="2026-11-01T09:30:00+00:00" if each.name == "Jo" else "")
    with desk.quilt(group.quilt) as opened:
        assert visitor.post(f"{at}/show", {"step": next(iter(opened.compiled.short))}).status_code == 303


def type_facts(visitor: Visitor, quilt: StoredQuilt) -> None:
    """What is typed into a quilt's pages that is no tap."""
    for page, fields in FORMS.items():
        assert visitor.post(f"/quilts/{quilt.id}/{page}", fields).status_code == 303, page
    key = quilt.about["makers"][0]["key"]
    assert visitor.post(f"/quilts/{quilt.id}/seam", {"middle": "1 1/32", "maker": key}).status_code == 303


def write(name: str) -> None:
    """Write the folder of this name. The counts are those that a fresh start finds."""
    place = FOLDERS / name
    folder = place / "data"
    place.mkdir(parents=True)
    chance = Random(name)
    with Store.open(folder) as store:
        room = room_of(store)
        desk, visitor = Desk(store), Visitor(room)
        add_demo(store)
        for plan, taps in SEWN.items():
            text = PLANS[plan].read_text(encoding="utf-8")
            quilt = add_quilt(store, text)
            sew(desk, quilt, taps, chance)
            if plan in EDITED:
                settle_all(desk, quilt)
                edit(visitor, quilt, text.replace(*EDITED[plan], 1))
                sew(desk, quilt, taps // 2, chance)
            if plan == TYPED:
                type_facts(visitor, quilt)
            if plan == TAUGHT:
                teach(desk, room, quilt, chance)
            if plan == DELETED:
                store.delete(quilt.id)
        seen: dict[str, int] = {}
        for quilt in store.quilts():
            for tap in quilt.taps:
                seen[tap["do"]] = seen.get(tap["do"], 0) + 1
                for name in CARRIED if tap["do"] == "carried" else ():
                    seen[name] = seen.get(name, 0) + (name in tap)
        assert all(seen.get(each) for each in (*Tap.KINDS, *CARRIED)), seen
        print(seen)
        write_backup(store, place / "backup.zip")
    counts = counts_of(folder)
    (folder / "sewing-room.lock").unlink(missing_ok=True)
    shutil.rmtree(folder / "copies")  # they say the same once more
    (place / "counts.json").write_text(json.dumps(counts, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write(sys.argv[1])
