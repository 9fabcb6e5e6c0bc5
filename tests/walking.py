"""A quilt walked from its first cut to its last stitch by what its screens say: what begins such a walk, what it must
come to, and a hand that walks it in a browser without script."""

from __future__ import annotations

from collections.abc import Mapping
from html.parser import HTMLParser
from typing import Any

from planning import tapped
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, compiled_once

from tracker.demo import demo_plan_text
from tracker.progress.batches import Pace, now_at
from tracker.progress.ledger import Progress
from tracker.progress.tap_kinds import read_tap
from tracker.store.quilts import Store, StoredQuilt

DEMO = demo_plan_text()
SMALL_DEMO = DEMO.partition("[[quilt.border]]")[0].replace("across = 3", "across = 2").replace("down = 4", "down = 1")
"""Without what is cut to the quilt's own measure: of that, another width fits nothing."""
EDITS = {
    "while the sample is sewn": (SMALL_PLAN, 0, 7),
    "of the demo's kind, after the sample": (SMALL_DEMO, 70, 5),
}
"""A plan of two blocks, and after how many taps it is edited: those made before the walk begins, and those of it."""
MOST = 400
"""No walk takes more taps."""


def begin(store: Store, plan: str, sewn: int = 0) -> StoredQuilt:
    """The only quilt, on which so many taps were made of what its stations say."""
    for old in store.quilts():
        store.delete(old.id)
    stored = add_quilt(store, plan)
    compiled = compiled_once(plan)
    progress = Progress(compiled.plan, compiled.checklist)
    for number in range(sewn):
        work = now_at(progress.counts, Pace())[0]
        tap = {"id": f"before-{number}", "do": "done", "step": work.step.id, "times": work.now}
        stored.append(tapped(progress, tap))
    return stored


def orders(quilt: Quilt) -> list[int]:
    """The blocks in the order in which each was finished."""
    progress = Progress(quilt.compiled.plan, quilt.compiled.checklist)
    last = {step.id for step in progress.counts.last_steps().values()}
    moves = [move for tap in quilt.stored.taps for move in moves_of(tap)]
    return [number for step, numbers in moves if step in last for number in numbers]


def moves_of(tap: Mapping[str, Any]) -> list[tuple[str, list[int]]]:
    """The steps that a stored tap counts, and for which blocks."""
    if tap["do"] == "pass":
        return [(step, blocks) for step, _, blocks in tap["work"]]
    return [(tap["step"], tap.get("blocks", []))] if tap["do"] == "done" else []


def begun_before_the_sample_was_finished(quilt: Quilt) -> set[int]:
    """Blocks of which anything was done before the first was finished."""
    progress = Progress(quilt.compiled.plan, quilt.compiled.checklist)
    begun: set[int] = set()
    for tap in quilt.stored.taps:
        progress.record(read_tap(tap))
        begun |= {number for _, numbers in moves_of(tap) for number in numbers}
        if progress.counts.blocks_finished():
            return begun
    raise AssertionError("the sample was never finished")


def is_sewn(quilt: Quilt) -> None:
    """All is done and nothing is asked; block after block, the sample first."""
    progress = quilt.progress()
    assert progress.counts.finished()
    assert progress.unsettled() == []
    assert begun_before_the_sample_was_finished(quilt) == {1}
    assert orders(quilt) == list(progress.counts.block_keys)


class Page(HTMLParser):
    """What a browser without script does with a page: its forms with what they hold, by their buttons, and its links by
    their classes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.links: dict[str, str] = {}
        self.live: dict[str, str | None] = {}
        self.presses: dict[str, tuple[str, dict[str, Any]]] = {}
        self._action, self._fields = "", dict[str, Any]()
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        name, value = told.get("name"), told.get("value") or ""
        if told.get("id") == "live":
            self.live = told
        if tag == "form":
            self._action, self._fields = told.get("action") or "", {}
        elif tag == "input" and name and (told.get("type") not in ("checkbox", "radio") or "checked" in told):
            self._fields[name] = value
        elif tag == "button" and told.get("type") != "button" and "id" in told:
            fields = self._fields if name is None else {**self._fields, name: value}
            self.presses[str(told["id"])] = self._action, fields
        elif tag == "a" and told.get("href"):
            for kind in (told.get("class") or "").split():
                self.links.setdefault(kind, str(told["href"]))


def follow(visitor: Visitor, path: str, most: int = MOST) -> tuple[str, int]:
    """Follow the step screens from `path` to the end of the quilt, or for so many taps, by their links and
    buttons; the last address, and how many taps it took."""
    taps = 0
    while True:
        answer = visitor.get(path)
        if answer.status_code in (302, 303):
            path = answer.headers["Location"]
            continue
        page = Page(answer.get_data(as_text=True))
        if "carry-on" in page.links and page.live.get("data-step") and "all" not in page.presses:
            path = page.links["carry-on"]
            continue
        if taps == most or not page.live.get("data-step"):
            return path, taps
        action, fields = page.presses["all"]
        answer = visitor.post(action, fields)
        assert answer.status_code == 303, answer.get_data(as_text=True)
        path, taps = answer.headers["Location"], taps + 1
