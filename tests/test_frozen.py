"""What disks, labels and scripts rest on stays: ids, JSON answers, and the counts of folders written before."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from difflib import unified_diff
from pathlib import Path
from typing import Any

import pytest
from effort import by_lot
from freezing import ANSWERS, FOLDERS, PLANS, counts_of, frozen_lines
from storing import DAY
from visitors import Visitor, room_of

from tracker.plan.model import Plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.safekeeping.backup import compare, read_backup, restore
from tracker.store.quilts import Store
from tracker.work.operations import STATIONS

Counts = dict[str, Any]

WRITTEN = sorted(folder.name for folder in FOLDERS.iterdir())
"""Folders that earlier versions wrote."""


def plans() -> list[Plan]:
    found = [read_plan(path.read_bytes()).plan for path in PLANS.values()]
    return [plan for plan in found if plan is not None]


@pytest.mark.parametrize("name", sorted(PLANS))
def test_ids_and_answers_of_a_plan_are_as_they_were(name: str) -> None:
    kept = (ANSWERS / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    changed = list(unified_diff(kept, frozen_lines(name), "frozen", "now", n=1, lineterm=""))
    assert not changed, "\n".join(changed[:60])


def test_the_frozen_plans_have_every_kind_of_unit_and_every_setting_in_them() -> None:
    found = plans()
    made = {(unit.kind, unit.way) for plan in found for unit in compile_plan(plan).units}
    halves = {("half-square triangle", way) for way in ("two", "four", "eight")}
    geese = {("flying goose", way) for way in ("flip", "four")}
    kinds = {"plain", "quarter-square triangle", "split quarter-square triangle", "square in a square", "snowball"}
    assert made >= halves | geese | {("strip set", "strips")}
    assert {kind for kind, _ in made} >= kinds
    assert len(found) >= 20
    for values, wanted in (
        ({plan.unit for plan in found}, {"in", "cm"}),
        ({plan.trimming for plan in found}, {"roomy", "exact"}),
        ({plan.half_square for plan in found}, {"two", "four", "eight", "best"}),
        ({plan.geese for plan in found}, {"flip", "four", "best"}),
        ({plan.quilt.setting for plan in found}, {"straight", "on point"}),
        ({min(len(block.frames), 2) for plan in found for block in plan.blocks.values()}, {0, 1, 2}),
        ({min(len(plan.quilt.borders), 3) for plan in found}, {0, 1, 2, 3}),
        ({border.corners is None for plan in found for border in plan.quilt.borders}, {True, False}),
        ({border.lengthwise for plan in found for border in plan.quilt.borders}, {True, False}),
        ({sash and sash.cornerstone is not None for plan in found for sash in [plan.quilt.sash]}, {None, True, False}),
        ({fabric.directional for plan in found for fabric in plan.fabrics.values()}, {True, False}),
        ({len(plan.blocks) > 1 for plan in found}, {True, False}),
    ):
        assert values >= wanted


NOT_STEPS = re.compile(
    "squared:|frame .* trimmed:|(pressed|joined|cut to length):quilt:(long )?(sash|border)"
    "|measured:(?!quilt)|laid out:rest:"
)
"""Steps of the first reckoning that trimmed nothing, or that join strips which are some to spare longer now; of the
first two that laid out a block of one piece; and those that measure blocks, which came with the third."""


def carried(counts: Counts) -> Counts:
    """What of a quilt's counts stays the same where it is brought forward: all that lies finished, how far each block
    is, and how often each step was done. Two hands may share a pile now; pieces may be cut larger or longer: those
    count by cloth and use."""
    done: Counter[str] = Counter()
    for step, times in counts["done"].items():
        what, _, rest = step.partition(":")
        rest = re.sub("^[AB]:", "", rest) if what != "cut" else rest
        if what == "cut":
            cloth, _, size = rest.partition(":")
            done[f"cut {cloth} {size.partition(':')[2]}"] += sum(each for _, each in times)
        elif not NOT_STEPS.match(step):
            done[f"{what}:{rest}"] += sum(each for _, each in times)
    begun = [(bool(stage), stage == steps) for stage, steps in counts["blocks"]]
    alike = ("title", "former plans", "lost", "measured", "notes", "names")
    return {key: counts[key] for key in alike} | {"done": done, "begun": begun}


def assert_carried(found: Counts, wanted: Counts) -> None:
    """Every quilt as it was, or brought forward with every count."""
    assert found.keys() == wanted.keys()
    for quilt, counts in wanted.items():
        if found[quilt] != counts:
            assert carried(found[quilt]) == carried(counts)
            # What could be done by now is asked no more; that is told.
            asked = [tap.removesuffix("-again") for tap in found[quilt]["unsettled"]]
            assert set(asked) <= set(counts["unsettled"])
            assert len(counts["unsettled"]) - len(asked) <= 1


@pytest.mark.parametrize("name", WRITTEN)
def test_a_folder_written_before_opens_with_every_count_alike(name: str, tmp_path: Path) -> None:
    wanted = json.loads((FOLDERS / name / "counts.json").read_text(encoding="utf-8"))
    folder = shutil.copytree(FOLDERS / name / "data", tmp_path / "data")
    assert_carried(counts_of(folder), wanted)
    with Store.open(folder) as store:
        for deleted in store.deleted():
            assert store.restore_deleted(deleted.id).taps


@pytest.mark.parametrize("name", by_lot(WRITTEN, 3))
def test_every_station_of_a_quilt_written_before_has_its_screen(name: str, tmp_path: Path) -> None:
    with Store.open(shutil.copytree(FOLDERS / name / "data", tmp_path / "data")) as store:
        phone = Visitor(room_of(store))
        for quilt in store.quilts():
            for station in STATIONS:
                assert phone.get(f"/quilts/{quilt.id}/now?at={station}").status_code == 200, (quilt.id, station)


@pytest.mark.parametrize("name", by_lot(WRITTEN, 3))
def test_a_backup_written_before_brings_every_count_back(name: str, tmp_path: Path) -> None:
    wanted = json.loads((FOLDERS / name / "counts.json").read_text(encoding="utf-8"))
    backup = read_backup((FOLDERS / name / "backup.zip").read_bytes(), "backup.zip")
    with Store.open(tmp_path / "data", today=lambda: DAY) as store:
        restore(store, compare(store, backup))
    wanted.pop("classes", None)  # their codes let people in: no backup has them
    assert_carried(counts_of(tmp_path / "data"), wanted | {"deleted": []})
