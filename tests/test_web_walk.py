"""A whole quilt followed by what its screens say, in a browser without script: the demo, and plans edited midway."""

from __future__ import annotations

import pytest
from test_web_edits import look, use
from visitors import Quilt, Visitor, words_of
from walking import DEMO, EDITS, begin, follow, is_sewn

from tracker.store.quilts import Store


def test_the_demo_quilt_is_sewn_by_its_screens_sample_first(phone: Visitor, store: Store) -> None:
    stored = begin(store, DEMO)
    quilt = Quilt(phone, stored)
    path, taps = follow(phone, f"{quilt.at}/step")
    assert path == quilt.at
    assert "100 % done: 12 of 12 blocks finished" in phone.text(path)
    assert taps == len(stored.taps)
    is_sewn(quilt)


@pytest.mark.parametrize(("plan", "sewn", "taps"), EDITS.values(), ids=EDITS)
def test_a_plan_edited_midway_is_sewn_to_the_end(plan: str, sewn: int, taps: int, phone: Visitor, store: Store) -> None:
    """Two blocks and then three."""
    quilt = Quilt(phone, begin(store, plan, sewn))
    assert follow(phone, f"{quilt.at}/step", taps)[1] == taps
    before = quilt.progress().counts.done
    wider = plan.replace("across = 2", "across = 3")
    assert "Everything that is done still fits." in words_of(look(quilt, wider))
    assert use(quilt, wider).headers["Location"] == quilt.at
    quilt = Quilt(phone, store.quilt(quilt.stored.id))
    assert quilt.compiled.text == wider
    assert quilt.progress().counts.done == {key: times for key, times in before.items() if times}
    path, _ = follow(phone, f"{quilt.at}/step")
    assert "100 % done: 3 of 3 blocks finished" in phone.text(path)
    assert quilt.progress().counts.finished()
