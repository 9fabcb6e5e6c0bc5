"""The seam test's page."""

from __future__ import annotations

import pytest
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, words_of

from tracker.store.quilts import Store

SAID = [
    ("1", "✓ Right", "leave needle and guide where they are"),
    ("15/16", "Seams too wide", "Move the needle 1⁄32 in to the right, or the guide 1⁄32 in to the left"),
    ("1 1/16", "Seams too narrow", "Move the needle 1⁄32 in to the left, or the guide 1⁄32 in to the right"),
    ("0.96", "Seams too wide", "Move the needle about 1⁄64 in to the right"),
]


@pytest.mark.parametrize(("middle", "verdict", "move"), SAID)
def test_the_middle_says_what_to_move_and_is_kept(
    middle: str, verdict: str, move: str, phone: Visitor, sewing: Quilt
) -> None:
    assert "It should be exactly 1 in , and all three together 3½ in." in phone.text(f"{sewing.at}/seam")
    answer = phone.post(f"{sewing.at}/seam", {"middle": middle})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{sewing.at}/seam")
    text = phone.text(f"{sewing.at}/seam")
    assert verdict in text
    assert move in text
    assert sewing.stored.about["seam_test"]["middle"] == middle


def test_what_it_costs_over_one_block_of_this_plan(phone: Visitor, store: Store, sewing: Quilt) -> None:
    phone.post(f"{sewing.at}/seam", {"middle": "3/4"})
    assert "Lantern , 1 seam across: ¼ in too small" in phone.text(f"{sewing.at}/seam")
    star = SMALL_PLAN.replace("R\\S  R\nR    S\\R", "R S R S R")
    quilt = Quilt(phone, add_quilt(store, star))
    phone.post(f"{quilt.at}/seam", {"middle": "1 1/8"})
    assert "Lantern , 4 seams across: ½ in too large" in phone.text(f"{quilt.at}/seam")


def test_in_centimetres(phone: Visitor, store: Store) -> None:
    quilt = Quilt(
        phone, add_quilt(store, SMALL_PLAN.replace("title = ", 'unit = "cm"\ntitle = ').replace('"2"', '"5"'))
    )
    assert "three strips 4 cm wide" in phone.text(f"{quilt.at}/seam")
    phone.post(f"{quilt.at}/seam", {"middle": "2,4"})
    assert "Move the needle 0.05 cm to the right" in phone.text(f"{quilt.at}/seam")


@pytest.mark.parametrize("middle", ["", "one", "0", "-1", "1 1/2", "3", "<b>", "1/0", "9" * 500])
def test_a_middle_that_cannot_be_changes_nothing_and_stays_typed(middle: str, phone: Visitor, sewing: Quilt) -> None:
    phone.post(f"{sewing.at}/seam", {"middle": "1"})
    answer = phone.post(f"{sewing.at}/seam", {"middle": middle})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert middle[:40] in words_of(answer) or middle == "<b>"
    assert "<b>”" not in answer.text
    assert sewing.stored.about["seam_test"]["middle"] == "1"


def test_it_is_offered_before_the_first_seam_until_it_is_done(phone: Visitor, store: Store, sewing: Quilt) -> None:
    assert "Before the first seam: Test your seam" in phone.text(sewing.at)
    for title in ("Cut pale sand", "Cut lamp red squares, 3 in", "Mark pale sand", "Pair"):
        sewing.tap(title, 1)
    sew = sewing.step_path("Sew")
    assert "Test your seam" in phone.text(sew)
    assert "Test your seam" in phone.text(f"{sewing.at}/now?at=machine")
    phone.post(f"{sewing.at}/seam", {"middle": "1"})
    assert "Test your seam" not in phone.text(sewing.at) + phone.text(sew)
    other = Quilt(phone, add_quilt(store))
    for title in ("Cut pale sand", "Cut lamp red squares, 3 in", "Mark pale sand", "Pair", "Sew"):
        other.tap(title, 1)
    assert "Test your seam" not in phone.text(other.at)
