"""A whole quilt followed by what its screens say, in a browser without script: the demo, and plans edited midway."""

from __future__ import annotations

import pytest
from test_web_edits import look, use
from test_web_sizes import ROWS, measure
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


def test_blocks_of_twelve_sizes_are_brought_to_one_and_sewn_to_the_end(phone: Visitor, store: Store) -> None:
    """The demo's blocks come out as the worked example's: measured, mended, squared down, and joined all the same."""
    quilt = Quilt(phone, begin(store, DEMO))
    for row in ROWS:
        stage = {"do": "stage", "step": quilt.short("Measure Kingfisher"), "block": row["block"]}
        assert phone.post(f"{quilt.at}/taps", {"tap": f"as-far-{row['block']}"} | stage).status_code == 303
        assert measure(quilt, row).status_code == 303
    assert "Then square them all to 10⅜ in." in phone.text(f"{quilt.at}/sizes?framed=0")
    for block, how in ((9, "pressed again"), (10, "pressed again"), (12, "pressed again"), (11, "sewn again")):
        told = {"tap": f"brought-{block}", "do": "block brought", "block": str(block), "how": how}
        assert phone.post(f"{quilt.at}/taps", told).status_code == 303
        lies = ROWS[0] | {"block": str(block), "w1": "10 3/8", "w2": "10 3/8", "w3": "10 3/8"}
        assert measure(quilt, lies, tap=f"measured-again-{block}").status_code == 303
    text = phone.text(f"{quilt.at}/sizes?framed=0")
    assert "12 of 12 measured" in text
    assert "8 trimmed and 4 eased." in text
    smaller = DEMO.replace('name = "Kingfisher"', 'name = "Kingfisher"\nsquared = "10 3/8"')
    asked = {"kind": "kingfisher", "framed": "0", "size": "10 3/8"}
    shown = phone.post(f"{quilt.at}/plan/squared", asked)
    assert "Everything that is done still fits." in words_of(shown)
    assert use(quilt, smaller).headers["Location"] == quilt.at
    quilt = Quilt(phone, store.quilt(quilt.stored.id))
    path, _ = follow(phone, f"{quilt.at}/step")
    assert "100 % done: 12 of 12 blocks finished" in phone.text(path)
    assert quilt.progress().counts.finished()
    assert len(quilt.progress().counts.told.of_all()) == 20
