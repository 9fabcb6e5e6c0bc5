"""Every kind of tap: what is stored reads as it was; what was stored before is written the same, byte for byte."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from freezing import FOLDERS
from hypothesis import given
from hypothesis import strategies as st
from kinds_of_taps import taps_of

from tracker.progress.block_taps import BlockBrought, BlockGiven, BlockMeasured, BlocksLaid
from tracker.progress.ledger import Refused, Tap
from tracker.progress.tap_kinds import Noted, SettledTogether, fields_of, read_tap, written
from tracker.progress.work_taps import BlockSpoiled, NotDone, PassDone, PutBack, SpoiledWithin, StepsDone
from tracker.store.quilts import Store

KINDS = sorted(Tap.KINDS)
LATER = {NotDone.do, SpoiledWithin.do, BlockSpoiled.do, PassDone.do, BlockMeasured.do, BlockBrought.do, BlocksLaid.do}
"""Kinds that came after the first three folders were written; the fourth has them."""
LATEST = {BlockGiven.do, SettledTogether.do}
"""Kinds that came after the fourth was; the sixth has them, and so every kind."""


@pytest.mark.parametrize("do", KINDS)
@given(data=st.data())
def test_a_tap_written_and_read_is_the_same(do: str, data: st.DataObject) -> None:
    tap = data.draw(taps_of(Tap.KINDS[do]))
    stored = json.loads(json.dumps(written(tap)))
    assert read_tap(stored) == tap
    assert stored["do"] == do
    assert read_tap(stored | {"of a later version": [1]}) == tap


@pytest.mark.parametrize("do", KINDS)
@given(data=st.data())
def test_a_field_of_another_shape_is_refused(do: str, data: st.DataObject) -> None:
    kind = Tap.KINDS[do]
    name = data.draw(st.sampled_from(fields_of(kind))).name
    stored = written(data.draw(taps_of(kind))) | {name: data.draw(st.sampled_from([{}, 1.5, True, [None], [["a"]]]))}
    with pytest.raises(Refused):
        read_tap(stored)


def stored_before(folder: Path) -> list[dict[str, Any]]:
    with Store.open(folder) as store:
        for deleted in store.deleted():
            store.restore_deleted(deleted.id)
        return [dict(tap) for quilt in store.quilts() for tap in quilt.taps]


@pytest.mark.parametrize("name", sorted(folder.name for folder in FOLDERS.iterdir()))
def test_what_was_written_before_is_written_the_same_byte_for_byte(name: str, tmp_path: Path) -> None:
    taps = stored_before(shutil.copytree(FOLDERS / name / "data", tmp_path / "data"))
    assert len(taps) > 1000
    for tap in taps:
        assert json.dumps(written(read_tap(tap))) == json.dumps(tap)
    kinds = Counter(tap["do"] for tap in taps)
    later = LATER if name in ("first", "second", "third") else set()
    latest = LATEST if name in ("first", "second", "third", "fourth", "fifth") else set()
    assert kinds.keys() >= set(KINDS) - later - latest


@pytest.mark.parametrize(
    ("stored", "tap"),
    [
        ({"id": "a", "do": "done", "step": "s", "times": 2}, StepsDone(id="a", step="s", times=2)),
        (
            {"id": "a", "do": "pass", "work": [["s", 2, []], ["t", 0, [1, 3]]], "at": "x"},
            PassDone(id="a", at="x", work=(("s", 2, ()), ("t", 0, (1, 3)))),
        ),
        (
            {"id": "a", "do": "put back", "step": "s", "blocks": [2], "at": "x"},
            PutBack(id="a", at="x", step="s", blocks=(2,)),
        ),
        ({"id": "a", "do": "note", "text": "t", "block": 3, "at": "x"}, Noted(id="a", at="x", text="t", block=3)),
        (
            {"id": "a", "do": "settle all", "what": ["b", "c"], "times": [0, 1], "at": "x"},
            SettledTogether(id="a", at="x", what=("b", "c"), times=(0, 1)),
        ),
    ],
)
def test_how_a_tap_stands_in_a_file(stored: dict[str, Any], tap: Tap) -> None:
    assert read_tap(stored) == tap
    assert json.dumps(written(tap)) == json.dumps(stored)


@pytest.mark.parametrize(
    "wrong", [{}, {"id": "a"}, {"id": "a", "do": "unheard of"}, {"id": "", "do": "note"}, {"id": "a", "do": []}]
)
def test_a_tap_of_no_known_kind_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(Refused, match="unknown tap"):
        read_tap(wrong)
