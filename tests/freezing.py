"""What is frozen: each plan's ids and JSON answers as lines to be read, and the counts of a data folder as JSON.

Ids stand on people's disks and labels, JSON in their scripts. What changes them on purpose writes the lines anew
(`tests/freeze.py`), in a commit that says which and why.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tracker.demo import PLAN_FILE as DEMO
from tracker.plan.plan_reader import read_plan
from tracker.progress.counts import Counts
from tracker.progress.ledger import Progress
from tracker.route.compiler import compile_plan
from tracker.safekeeping.pairing import Pairing
from tracker.safekeeping.pupils import SewingClass
from tracker.store.quilts import Store
from tracker.units.maker import digest
from tracker.web.desk import Desk
from tracker.web.opened import Opened
from tracker.words.json_report import check_report, cut_report, press_report, quilt_report, steps_report
from tracker.work.steps import Checklist

HERE = Path(__file__).parent
FROZEN = HERE / "frozen"
ANSWERS = FROZEN / "answers"
FOLDERS = FROZEN / "folders"
PLANS = {path.stem: path for path in (*(FROZEN / "plans").glob("*.toml"), *(HERE / "plans/valid").glob("*.toml"), DEMO)}
"""The frozen plans by name."""


def frozen_lines(name: str) -> list[str]:
    """All that is frozen of a plan: its piles by id, its steps and passes in order, its JSON answers.

    Piles have a short name in the lines of steps. Words of a step are told by a digest of theirs: the sentences can
    be read in the answer itself.
    """
    plan = read_plan(PLANS[name].read_bytes(), name).plan
    assert plan is not None
    checklist = compile_plan(plan)
    steps = steps_report(plan, checklist)
    answers = {
        "check": check_report(plan, checklist),
        "units and blocks": {key: steps[key] for key in steps if key not in ("steps", "passes")},
        "cut": cut_report(plan, checklist),
        "press": press_report(checklist),
        "quilt": quilt_report(plan),
    }
    return [
        *(f"pile {digest(pile)} {pile}" for pile in sorted(checklist.piles)),
        *_step_lines(checklist, {each["id"]: each for each in steps["steps"]}),
        *(f"{each['id']}: {each['station']}, {len(each['steps'])} steps" for each in steps["passes"]),
        *(line for title, answer in answers.items() for line in _answer_lines(title, answer)),
    ]


def _step_lines(checklist: Checklist, answers: dict[str, dict[str, Any]]) -> Iterator[str]:
    """Every step in order with its answer; a step that is never done has none."""
    for step in checklist.steps:
        answer = dict(answers.pop(step.id, {}))
        yield f"step {step.id}"
        if answer:
            flows = [
                " ".join(f"{digest(flow['pile'])}×{flow['each']}" for flow in answer.pop(side))
                for side in ("takes", "gives")
            ]
            words = digest("\n".join(str(answer.pop(part)) for part in ("text", "check", "caution")))
            answer.pop("pass")
            size = " × ".join(answer.pop("size") or ["-"])
            del answer["id"]
            yield f"    {' '.join(str(value) for value in answer.values())}; {size}; {' > '.join(flows)}; words {words}"
    assert not answers, "every step that is told is on the list"


def _answer_lines(title: str, answer: dict[str, Any]) -> Iterator[str]:
    """A JSON answer, a line for each value, and for each item of a list."""
    for key, value in answer.items():
        items = value if isinstance(value, list) else [value]
        for item in items or ["nothing"]:
            yield f"{title}: {key}: {json.dumps(item, ensure_ascii=False)}"


def counts_of(folder: Path) -> dict[str, Any]:
    """The counts of every quilt in a data folder as the screens would show them, by the quilt's id."""
    with Store.open(folder) as store:
        assert store.findings == [], store.findings
        desk = Desk(store)
        found = {}
        for stored in store.quilts():
            with desk.quilt(stored.id) as opened:
                found[stored.id] = quilt_counts(opened)
        found["deleted"] = [deleted.id for deleted in store.deleted()]
        classes = Pairing(store.room).classes.all()
    return found | ({"classes": {group.title: _class_lines(group) for group in classes}} if classes else {})


def _class_lines(group: SewingClass) -> dict[str, Any]:
    """A class's own quilt, what is shown to it, and each pupil with her quilt."""
    return {
        "quilt": group.quilt,
        "shown": group.shown,
        "pupils": {each.name: each.quilt for each in group.pupils},
    }


def quilt_counts(opened: Opened) -> dict[str, Any]:
    """Everything counted of one quilt."""
    progress = opened.progress
    return {
        "title": opened.title,
        "former plans": len(opened.stored.about.get("former_plans", [])),
        "shares": list(progress.counts.shares()),
        "done": _by_step(progress),
        "on piles": {
            pile: there for pile in progress.counts.checklist.piles if (there := progress.counts.on_pile(pile))
        },
        "ready": {step.id: there for step in progress.counts.steps.values() if (there := progress.counts.ready(step))},
        "lost": {pile: times for pile, times in progress.counts.lost.items() if times},
        "ticked": [list(strip) for strip in progress.counts.ticked],
        "measured": {step: list(lengths) for step, lengths in progress.counts.told.measured().items()},
        "blocks": [[stage.done, stage.steps] for stage in map(progress.counts.stage, progress.counts.block_keys)],
        "notes": [list(note) for note in progress.notes],
        "names": {str(block): name for block, name in progress.names.items()},
        "unsettled": [tap.id for tap in progress.unsettled()],
        "counting": [tap["id"] for tap in opened.stored.taps if progress.counts_still(tap["id"])],
    } | _beside(progress.counts, opened.stored.about)


FACTS = ("makers", "seam_test", "seam_tests", "setup", "pace", "hand", "put_away")
"""What is kept of a quilt beside its plan and its taps."""


def _beside(counts: Counts, about: Mapping[str, Any]) -> dict[str, Any]:
    """What was told of blocks beside their counts, and of the quilt, where anything was."""
    told = [[each.block, each.what, list(each.lengths), each.maker, each.framed] for each in counts.told.of_all()]
    laid = [] if counts.places == tuple(counts.block_keys) else list(counts.places)
    facts = {name: about[name] for name in FACTS if name in about}
    return {name: kept for name, kept in (("told", told), ("laid", laid), ("facts", facts)) if kept}


def _by_step(progress: Progress) -> dict[str, list[list[int]]]:
    """How often each step was done for each block (0: the pool)."""
    found: dict[str, list[list[int]]] = {}
    for (step, block), times in sorted(progress.counts.done.items()):
        if times:
            found.setdefault(step, []).append([block, times])
    return found
