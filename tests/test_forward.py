"""Quilts that were begun by an earlier version's rules open with all that was made, and say what no longer fits."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest
from freezing import PLANS
from storing import DAY

import tracker.plan
from tracker.plan.model import KEPT_FROM, RECKONING, Plan
from tracker.plan.plan_reader import read_plan
from tracker.progress.ledger import Progress
from tracker.progress.tap_kinds import read_tap, written
from tracker.route.compiler import compile_plan
from tracker.store.quilts import Store
from tracker.web.desk import Desk
from tracker.work.whole_blocks import SetBlock

KNOWN = Path(tracker.plan.__file__).parent / "known"


def plan_named(name: str) -> Plan:
    plan = read_plan(PLANS[name].read_bytes(), name).plan
    assert plan is not None
    return plan


def worked(plan: Plan, chance: Random, taps: int) -> tuple[Progress, list[dict[str, Any]]]:
    """A quilt some way on, and the taps that brought it there: whatever lies ready is done, some of it, by lot."""
    progress, made = Progress(plan, compile_plan(plan)), []
    while len(made) < taps:
        ready = [
            step
            for step in progress.counts.steps.values()
            if progress.counts.left(step) and progress.counts.ready(step)
        ]
        if not ready:
            break
        step = chance.choice(ready[-6:])
        times = chance.randint(1, min(progress.counts.left(step), progress.counts.ready(step)))
        tap = read_tap({"id": f"worked-{len(made)}", "do": "done", "step": step.id, "times": times})
        tap = tap.completed(progress.counts)
        assert progress.record(tap)
        made.append(written(tap))
    return progress, made


def sewn(progress: Progress) -> Counter[tuple[str, int]]:
    """How many steps of each operation every block has behind it, as far as every reckoning has them: none is measured
    in the first two, and one of one piece is laid in its place and no more since the third."""
    found: Counter[tuple[str, int]] = Counter()
    counts = progress.counts
    for step in counts.steps.values():
        one_piece = step.per != "quilt" and len(counts.plan.blocks[step.per].cells) == 1
        if step.per != "quilt" and step.operation != "measure" and (isinstance(step.action, SetBlock) or not one_piece):
            for number in counts.blocks_of(step):
                found[step.operation, number] += counts.times_done(step, number)
    return +found


def opened_again(
    folder: Path, plan_text: str, taps: list[dict[str, Any]], reckoning: int
) -> tuple[Progress, list[str], dict[str, Any]]:
    with Store.open(folder, today=lambda: DAY) as store:
        stored = store.add({"title": "Begun before", "plan": plan_text, "reckoning": reckoning}, taps)
        with Desk(store).quilt(stored.id) as opened:
            progress = opened.progress
        return progress, [notice.said for notice in store.notices()], dict(stored.about)


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("reckoning", range(1, RECKONING))
@pytest.mark.parametrize("name", ["north_wind_metric", "evening_star", "star_kinds"])
def test_every_block_is_as_far_as_it_was(name: str, reckoning: int, seed: int, tmp_path: Path) -> None:
    former, taps = worked(replace(plan_named(name), reckoning=reckoning), Random(seed), 120)
    text = PLANS[name].read_text(encoding="utf-8")
    now, said, about = opened_again(tmp_path, text, taps, reckoning)
    assert about["reckoning"] == RECKONING
    assert sewn(now) == sewn(former)
    assert {step: times for step, times in totals(now).items() if step in former.counts.steps} == {
        step: times for step, times in totals(former).items() if step in now.counts.steps
    }
    assert not [sentence for sentence in said if "All that was counted" in sentence]


def totals(progress: Progress) -> dict[str, int]:
    """How often each step of the common pool was done."""
    return {step.id: progress.counts.times_done(step) for step in progress.counts.steps.values() if step.per == "quilt"}


def test_it_is_done_once_and_the_file_as_it_was_is_kept(tmp_path: Path) -> None:
    _, taps = worked(replace(plan_named("evening_star"), reckoning=1), Random(1), 60)
    text = PLANS["evening_star"].read_text(encoding="utf-8")
    with Store.open(tmp_path, today=lambda: DAY) as store:
        stored = store.add({"title": "Begun before", "plan": text}, taps)
        before = (tmp_path / f"{stored.id}.quilt").read_bytes()
        for _ in range(2):
            with Desk(store).quilt(stored.id) as opened:
                assert opened.about["reckoning"] == RECKONING
        assert [tap["do"] for tap in stored.taps].count("carried") == 1
        assert (tmp_path / "set-aside" / f"{stored.id}.quilt.reckoning-1").read_bytes() == before


def test_where_nothing_differs_no_tap_is_added_and_all_can_be_taken_back(tmp_path: Path) -> None:
    _, taps = worked(replace(plan_named("smallest"), reckoning=1), Random(2), 2)
    text = PLANS["smallest"].read_text(encoding="utf-8")
    with Store.open(tmp_path, today=lambda: DAY) as store:
        stored = store.add({"title": "Begun before", "plan": text}, taps)
        with Desk(store).quilt(stored.id) as opened:
            assert opened.progress.counts_still(taps[-1]["id"])
        assert len(stored.taps) == len(taps)
        assert stored.about["reckoning"] == RECKONING


def test_a_quilt_that_would_be_made_of_other_units_goes_on_as_it_was_begun(tmp_path: Path) -> None:
    plan = replace(plan_named("posts_and_rails"), reckoning=KEPT_FROM)
    former, taps = worked(plan, Random(3), 80)
    text = PLANS["posts_and_rails"].read_text(encoding="utf-8")
    now, said, about = opened_again(tmp_path, text, taps, KEPT_FROM)
    assert now.counts.plan == plan
    assert now.counts.done == former.counts.done
    assert f"reckoning = {KEPT_FROM}\n" in about["plan"]
    assert said == [
        "Begun before was begun with an earlier version of the sewing room and goes on as it was begun: reckoning = 3 "
        "in its plan says so. Without that line some of its units would be made otherwise."
    ]


def test_a_trunk_begun_in_pieces_goes_on_in_pieces(tmp_path: Path) -> None:
    text = (KNOWN / "pine-tree.toml").read_text(encoding="utf-8")
    plan = read_plan(text).plan
    assert plan is not None
    former, taps = worked(replace(plan, reckoning=4), Random(3), 80)
    now, said, about = opened_again(tmp_path, text, taps, 4)
    assert now.counts.done == former.counts.done
    assert "reckoning = 4\n" in about["plan"]
    assert len(said) == 1
    assert "goes on as it was begun: reckoning = 4 in its plan" in said[0]


def test_a_block_begun_to_be_squared_once_more_goes_on_so(tmp_path: Path) -> None:
    text = (KNOWN / "economy.toml").read_text(encoding="utf-8")
    plan = read_plan(text).plan
    assert plan is not None
    former, taps = worked(replace(plan, reckoning=5), Random(3), 30)
    now, said, about = opened_again(tmp_path, text, taps, 5)
    assert (now.counts.done, len(said)) == (former.counts.done, 1)
    assert "reckoning = 5\n" in about["plan"]


def test_triangles_that_are_pressed_outward_from_now_on_are_told(tmp_path: Path) -> None:
    text = (KNOWN / "economy.toml").read_text(encoding="utf-8").replace("across = 1", "across = 2")
    plan = read_plan(text).plan
    assert plan is not None
    former, taps = worked(replace(plan, reckoning=5), Random(3), 30)
    now, said, about = opened_again(tmp_path, text, taps, 5)
    assert (now.counts.done, about["plan"]) == (former.counts.done, text)
    (sentence,) = said
    assert "to which side seams go: Press half-made nested squares, light / dark / accent; Press nested" in sentence


def test_a_plan_that_says_by_what_it_goes_on_is_left_so(tmp_path: Path) -> None:
    text = f"reckoning = {KEPT_FROM}\n{PLANS['posts_and_rails'].read_text(encoding='utf-8')}"
    former, taps = worked(replace(plan_named("posts_and_rails"), reckoning=KEPT_FROM), Random(3), 80)
    now, said, about = opened_again(tmp_path, text, taps, 4)
    assert (now.counts.done, said, about["plan"]) == (former.counts.done, [], text)


def test_a_quilt_in_which_nothing_was_done_yet_is_made_by_the_rules_of_today(tmp_path: Path) -> None:
    text = PLANS["posts_and_rails"].read_text(encoding="utf-8")
    now, said, about = opened_again(tmp_path, text, [], KEPT_FROM)
    assert (now.counts.plan.reckoning, said, about["plan"]) == (RECKONING, [], text)
