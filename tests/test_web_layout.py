"""The layout: every block in its place and how far it has come, what is next, and every version from the back."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask import Flask
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt, words_of
from werkzeug.test import TestResponse

from tracker.store.quilts import Store
from tracker.work.whole_blocks import SetBlock

NINE = """title = "Nine"
[fabrics.S]
name = "pale sand"
tone = 2
[fabrics.R]
name = "lamp red"
tone = 6
[blocks.b]
cell = "2"
picture = '''
S R S
R S R
S R R
'''
[quilt]
block = "b"
across = 3
down = 2
half_turns = false
"""


def page_of(room: Flask, store: Store, plan: str, path: str = "layout") -> str:
    quilt = Quilt(Visitor(room), add_quilt(store, plan))
    answer = quilt.visitor.get(f"{quilt.at}/{path}")
    assert answer.status_code == 200
    return answer.text


def test_an_uneven_block_set_edge_to_edge_has_two_versions_each_drawn_and_placed(room: Flask, store: Store) -> None:
    page = page_of(room, store, NINE)
    assert page.count("<article") == 4
    assert "version A" in page
    assert "version B" in page
    places = re.findall(r'aria-label="Block (\d), b, version (\w)[^"]*"', page)
    letters = [letter for _, letter in places]
    assert [number for number, _ in places] == list("123456")
    # A chequer: neighbours differ.
    assert letters == ["A", "B", "A", "B", "A", "B"]
    assert all("back" in drawing for drawing in re.findall(r"<article.*?</article>", page, re.S))


def test_the_board_says_the_version_of_each_block(room: Flask, store: Store) -> None:
    board = page_of(room, store, NINE, "blocks")
    assert board.count("version A") == board.count("version B") == 3


def test_one_version_needs_no_letter(room: Flask, store: Store) -> None:
    alone = NINE.replace("across = 3\ndown = 2", "across = 1\ndown = 1")
    page = page_of(room, store, alone)
    assert ", version" not in page
    assert "version A" not in page
    card = page_of(room, store, alone, "blocks").split('class="card')[1]
    assert "version" not in card.split("</li>")[0]


def test_blocks_turned_half_round_say_so(room: Flask, store: Store) -> None:
    board = page_of(room, store, SMALL_PLAN, "blocks")
    assert board.count("as drawn") == board.count("turned half round") == 1
    page = page_of(room, store, SMALL_PLAN)
    assert page.count('class="turned"') == 1
    assert "↓" in page


def test_blocks_turned_by_a_quarter_say_where_their_upper_edge_lies(room: Flask, store: Store) -> None:
    plan = NINE.replace(
        "half_turns = false", 'turns = [["0", "90", "180"], ["270"]]'.replace('["270"]', '["270", 0, 0]')
    )
    page = page_of(room, store, plan)
    assert [arrow in page for arrow in "→↓←"] == [True] * 3
    assert "turned a quarter clockwise: its upper edge lies there" in page
    quilt = Quilt(Visitor(room), add_quilt(store, plan))
    assert "turned a quarter anticlockwise: upper edge to the left" in words_of(
        quilt.visitor.get(f"{quilt.at}/layout?block=4")
    )
    labels = words_of(quilt.visitor.get(f"{quilt.at}/labels?which=blocks"))
    assert "Block 2, b, turned a quarter clockwise" in labels
    assert "Block 1, b, turned" not in labels


def test_a_quilt_that_is_not_there(room: Flask) -> None:
    assert Visitor(room).get("/quilts/nobody/layout").status_code == 404


def test_the_former_address_leads_there(room: Flask, store: Store) -> None:
    quilt = Quilt(Visitor(room), add_quilt(store, NINE))
    answer = quilt.visitor.get(f"{quilt.at}/pressing")
    assert (answer.status_code, answer.headers["Location"]) == (301, f"{quilt.at}/layout#pressing")


POINT = NINE.replace("half_turns = false", 'setting = "on point"\nsetting_fabric = "S"')
SASHED = NINE + '[quilt.sash]\nfabric = "R"\ncut = "1 1/2"\n'
MANY = NINE.replace("across = 3\ndown = 2", "across = 41\ndown = 33")


class Laying:
    """A quilt whose blocks are laid by tapping the page as a browser without script would."""

    def __init__(self, room: Flask, store: Store, plan: str) -> None:
        self.quilt = Quilt(Visitor(room), add_quilt(store, plan))
        self.taps = 0

    def page(self, block: int | None = None) -> str:
        answer = self.quilt.visitor.get(f"{self.quilt.at}/layout" + (f"?block={block}" if block else ""))
        assert answer.status_code == 200
        return answer.get_data(as_text=True)

    def finish(self, *blocks: int) -> None:
        """Make all cloth and bring these blocks to their last step before they are laid."""
        for step in self.quilt.compiled.checklist.steps:
            done = {"id": f"made-{self.taps:05}", "do": "done", "step": step.id}
            if isinstance(step.action, SetBlock) or ":quilt:" in step.gives[0].pile:
                continue
            own = [number for number in blocks if step.per != "quilt" and (not step.blocks or number in step.blocks)]
            if step.per == "quilt" and self.taps < len(self.quilt.compiled.checklist.steps):
                self._keep(done | {"times": step.count})
            elif own:
                self._keep(done | {"blocks": own})

    def _keep(self, tap: dict[str, Any]) -> None:
        self.taps += 1
        self.quilt.stored.append(tap)

    def tap(self, block: int) -> int:
        """Press the one button offered for a block: the status of the answer."""
        form = re.search(r'<form[^>]*class="one">(.*?)</form>', self.page(block), re.S)
        assert form, f"nothing to tap for block {block}"
        fields = dict(re.findall(r'name="([a-z]+)" value="([^"]*)"', form[1]))
        self.taps += 1
        return self.quilt.visitor.post(f"{self.quilt.at}/taps", fields).status_code

    def reached(self) -> dict[int, str]:
        """What the map says of every block."""
        return {int(n): said for n, said in re.findall(r'aria-label="Block (\d+), [^":]*: ([^"]*)"', self.page())}


@pytest.mark.parametrize("plan", [NINE, SASHED, POINT])
def test_finished_blocks_are_laid_and_taken_up_one_by_one(room: Flask, store: Store, plan: str) -> None:
    laying = Laying(room, store, plan)
    assert set(laying.reached().values()) == {"not finished yet"}
    assert 'class="one"' not in laying.page(2)
    laying.finish(2, 3)
    reached = laying.reached()
    assert [number for number, said in reached.items() if said == "finished, to be laid"] == [2, 3]
    assert "It lies in its place</button>" in laying.page(2)
    assert laying.tap(2) == 303
    assert laying.reached()[2] == "in its place"
    assert "✓ It lies in its place" in laying.page(2)
    assert "1 of" in laying.page()
    assert laying.tap(2) == 303
    assert laying.reached()[2] == "finished, to be laid"


@pytest.mark.parametrize(("plan", "row"), [(NINE, (1, 2, 3)), (POINT, (2, 5, 8))])
def test_a_row_whose_blocks_lie_is_said_to_be_next(room: Flask, store: Store, plan: str, row: tuple[int, ...]) -> None:
    laying = Laying(room, store, plan)
    laying.finish(*range(1, 9 if plan is POINT else 7))
    for block in row[:-1]:
        laying.tap(block)
    assert "is complete" not in laying.page()
    laying.tap(row[-1])
    page = laying.page()
    assert page.count("is complete") == 1
    number = 1 if plan is NINE else 2
    assert f"Row {number} is complete: " in page
    if plan is NINE:
        assert "Row 1 is complete: join it next" in page
        join = laying.quilt.compiled.step(laying.quilt.short("Join row 1 of the quilt"))
        assert join is not None
        laying.quilt.stored.append({"id": "joined-it", "do": "done", "step": join.id, "times": 1})
        page = laying.page(1)
        assert "is complete" not in page
        assert "its row is joined" in page
        assert 'class="one"' not in page


def test_rows_wait_for_their_sashes(room: Flask, store: Store) -> None:
    laying = Laying(room, store, POINT)
    laying.finish(*range(1, 9))
    for block in (3,):
        laying.tap(block)
    assert "Row 1 is complete: to join it, it needs 2 side triangles" in laying.page()


def test_a_block_laid_is_said_to_be_so_elsewhere(room: Flask, store: Store) -> None:
    laying = Laying(room, store, NINE)
    laying.finish(1, 2)
    laying.tap(1)
    board = laying.quilt.visitor.text(f"{laying.quilt.at}/blocks")
    assert "in its place 1" in board
    assert "finished 1" in board
    assert "This block is in its place" in laying.quilt.visitor.text(f"{laying.quilt.at}/blocks/1")


def change_places(laying: Laying, one: int, other: int) -> TestResponse:
    laying.taps += 1
    data = {"tap": f"swapped-{laying.taps}", "do": "blocks laid", "swapped": f"{one} {other}"}
    return laying.quilt.visitor.post(f"{laying.quilt.at}/taps", data)


def test_two_blocks_change_places_by_hand_and_back(room: Flask, store: Store) -> None:
    laying = Laying(room, store, NINE)  # versions A B A / B A B
    at, visitor = laying.quilt.at, laying.quilt.visitor
    assert f'href="{at}/layout?block=1&amp;with=1#place-1">Change places with another' in laying.page(1)
    assert "Tap the block that block 1 changes places with: blocks 3 and 5." in visitor.text(
        f"{at}/layout?block=1&with=1"
    )
    assert "Block 2 cannot: it lies already, or is not pressed alike" in visitor.text(f"{at}/layout?block=2&with=1")
    assert 'name="swapped" value="1 5"' in visitor.get(f"{at}/layout?block=5&with=1").text
    assert change_places(laying, 1, 5).status_code == 303
    page = laying.page()
    assert "Blocks have changed places" in page
    assert "Block 5, b, version A, row 1, place 1" in page
    assert "Block 1, b, version A, row 2, place 2" in page
    assert "blocks 1 and 5 changed places" in visitor.text(f"{at}/latest")
    assert change_places(laying, 5, 3).status_code == 303, "with others, from where they lie now"
    assert [int(n) for n in laying.quilt.stored.taps[-1]["places"]] == [3, 2, 5, 4, 1, 6]
    for one, other in ((1, 2), (1, 9), (1, 0)):
        assert change_places(laying, one, other).status_code == 409
    laying.quilt.do("take back", laying.quilt.stored.taps[-1]["id"])
    assert "Block 3, b, version A, row 1, place 3" in laying.page()


def test_an_older_change_of_places_is_not_taken_back_alone(room: Flask, store: Store) -> None:
    """Blocks lie as they were laid last: without the first change they would lie as they do."""
    laying = Laying(room, store, NINE)
    change_places(laying, 1, 5)
    change_places(laying, 5, 3)
    said = laying.quilt.visitor.text(f"{laying.quilt.at}/latest")
    assert "this and 1 newer" in said
    assert "this alone" not in said


def test_a_block_that_lies_changes_places_no_more(room: Flask, store: Store) -> None:
    laying = Laying(room, store, NINE)
    laying.finish(1, 3)
    laying.tap(3)
    assert "Change places with another" not in laying.page(3)
    assert "Tap the block that block 1 changes places with: block 5." in laying.quilt.visitor.text(
        f"{laying.quilt.at}/layout?block=1&with=1"
    )
    assert change_places(laying, 1, 3).status_code == 409


def test_blocks_turned_half_round_change_places_with_upright_ones(room: Flask, store: Store) -> None:
    """They are sewn and pressed alike; which way up one lies goes with its place."""
    laying = Laying(
        room,
        store,
        NINE.replace("S R R\n", "S R S\n")
        .replace("half_turns = false\n", "")
        .replace("S R S\nR S R\nS R S", "S R S R\nR S R S\nS R S R\nR S R S"),
    )
    turns = [place.turn for row in laying.quilt.compiled.checklist.pressing.places for place in row]
    assert set(turns) == {0, 180}
    assert change_places(laying, 1, 1 + turns.index(180)).status_code == 303


def test_a_block_that_is_not_there(room: Flask, store: Store) -> None:
    quilt = Quilt(Visitor(room), add_quilt(store, NINE))
    for wrong in ("7", "0", "-1", "x", "９", "1" * 40):
        answer = quilt.visitor.get(f"{quilt.at}/layout?block={wrong}")
        assert answer.status_code == 404
        assert "numbered from 1 to 6" in words_of(answer)


def test_large_quilts_have_several_maps(room: Flask, store: Store) -> None:
    laying = Laying(room, store, MANY)
    first, last = laying.page(), laying.page(41 * 33)
    assert "Rows below" in first
    assert "Rows above" not in first
    assert "Rows above" in last
    assert 'id="place-1353"' in last
    assert len(first) < 400_000
