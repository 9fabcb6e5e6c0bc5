"""The board of blocks, and one block."""

from __future__ import annotations

import re

import pytest
from test_web_steps import make_units
from visitors import Quilt, Visitor

from tracker.web.screens.blocks import ALL_REACHED

NAMES = {reached.mark: reached.name for reached in ALL_REACHED}
"""What each picture says."""


def marks(visitor: Visitor, sewing: Quilt) -> list[str]:
    page = visitor.get(f"{sewing.at}/blocks").get_data(as_text=True)
    paths = re.findall(
        r'<span class="number">\d+</span>\s*<svg class="pictogram stage-mark".*?><path d="(.*?)"/>', page
    )
    return [NAMES[path] for path in paths]


def block_steps(sewing: Quilt) -> list[str]:
    """Titles of the steps of one block."""
    return [sewing.compiled.words.title(step) for step in sewing.compiled.checklist.steps if step.per != "quilt"]


def test_the_board_shows_each_block_s_stage_by_a_mark_and_in_words(phone: Visitor, sewing: Quilt) -> None:
    seen = [("waiting", "not begun")]
    assert marks(phone, sewing) == ["waiting", "waiting"]
    make_units(sewing)
    assert marks(phone, sewing) == ["trimmed", "trimmed"]
    own = [step for step in sewing.compiled.checklist.steps if step.per != "quilt" and 1 in (step.blocks or (1,))]
    for number, step in enumerate(own):
        data = {"tap": f"block-1-{number}", "do": "done", "step": sewing.compiled.short[step.id], "blocks": "1"}
        phone.post(f"{sewing.at}/taps", data)
        words = re.search(r"Block 1, Lantern, row 1, place 1: ([^\"]*)", phone.get(f"{sewing.at}/blocks").text)
        assert words is not None
        seen.append((marks(phone, sewing)[0], words.group(1)))
    assert [mark for mark, _ in seen] == ["waiting", "laid-out", *["joined"] * 7, "finished", "placed"]
    assert seen[1] == ("laid-out", "laid out")
    assert seen[-2:] == [("finished", "finished"), ("placed", "in its place")]


def test_blocks_can_be_shown_by_stage(phone: Visitor, sewing: Quilt) -> None:
    make_units(sewing)
    sewing.tap("Lay out", 1, offered="2")
    text = phone.text(f"{sewing.at}/blocks?stage=laid-out")
    assert "All 2 pieces trimmed 1 laid out 1 Row 1 2 laid out place 2" in text
    assert "No block is at this stage now." in phone.text(f"{sewing.at}/blocks?stage=squared")


def test_a_block_is_taken_to_its_end_and_back(phone: Visitor, sewing: Quilt) -> None:
    make_units(sewing)
    path = f"{sewing.at}/blocks/2"
    for done in range(10):
        text = phone.text(path)
        assert f"{done} of 10 steps done" in text
        page = phone.get(path).get_data(as_text=True)
        form = re.search(r'name="step" value="(\w+)"><input type="hidden" name="blocks" value="2"', page)
        assert form is not None
        data = {"tap": f"forward-{done}", "do": "done", "step": form.group(1), "blocks": "2", "then": path}
        assert phone.post(f"{sewing.at}/taps", data).headers["Location"] == path
    assert "This block is in its place." in phone.text(path)
    for done in range(10, 0, -1):
        what = re.search(r'name="what" value="([^"]+)"', phone.get(path).get_data(as_text=True))
        assert what is not None
        assert sewing.do("take back", what.group(1)).status_code == 303
        assert f"{done - 1} of 10 steps done" in phone.text(path)
    assert "Nothing to take back" in phone.text(path)
    assert sewing.progress().counts.stage(2).done == 0


def test_a_block_whose_pieces_are_missing_says_which(phone: Visitor, sewing: Quilt) -> None:
    text = phone.text(f"{sewing.at}/blocks/1")
    assert "Next: Lay out Lantern. For that it needs:" in text
    assert "2 half-square triangles" in text
    assert sewing.step_path("Trim half-square") in phone.get(f"{sewing.at}/blocks/1").text


@pytest.mark.parametrize("number", ["0", "3", "-1", "x", "1.0", "٢", "99999999999999999999999", "1;2"])
def test_a_block_that_is_not_there(number: str, phone: Visitor, sewing: Quilt) -> None:
    answer = phone.get(f"{sewing.at}/blocks/{number}")
    assert answer.status_code == 404
    assert "in this quilt; its blocks are numbered from 1 to 2." in answer.text
    assert f'href="{sewing.at}/blocks"' in answer.text
