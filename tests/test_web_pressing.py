"""The pressing map: every version from the back, and the quilt with its letters and which way up."""

from __future__ import annotations

import re

from flask import Flask
from visitors import SMALL_PLAN, Quilt, Visitor, add_quilt

from tracker.store import Store

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


def page_of(room: Flask, store: Store, plan: str, path: str = "pressing") -> str:
    quilt = Quilt(Visitor(room), add_quilt(store, plan))
    answer = quilt.visitor.get(f"{quilt.at}/{path}")
    assert answer.status_code == 200
    return answer.text


def test_an_uneven_block_set_edge_to_edge_has_two_versions_each_drawn_and_placed(room: Flask, store: Store) -> None:
    page = page_of(room, store, NINE)
    assert page.count("<article") == 4
    assert "version A" in page
    assert "version B" in page
    cells = re.findall(r"<td><span>(\d)</span> <b>(\w)</b>", page)
    letters = [letter for _, letter in cells]
    assert [number for number, _ in cells] == list("123456")
    # A chequer: neighbours differ.
    assert letters == ["A", "B", "A", "B", "A", "B"]
    assert all("back" in drawing for drawing in re.findall(r"<article.*?</article>", page, re.S))


def test_the_board_says_the_version_of_each_block(room: Flask, store: Store) -> None:
    board = page_of(room, store, NINE, "blocks")
    assert board.count("version A") == board.count("version B") == 3


def test_one_version_needs_no_letter(room: Flask, store: Store) -> None:
    alone = NINE.replace("across = 3\ndown = 2", "across = 1\ndown = 1")
    assert ", version" not in page_of(room, store, alone)
    card = page_of(room, store, alone, "blocks").split('class="card')[1]
    assert "version" not in card.split("</li>")[0]


def test_blocks_turned_half_round_say_so(room: Flask, store: Store) -> None:
    board = page_of(room, store, SMALL_PLAN, "blocks")
    assert board.count("as drawn") == board.count("turned half round") == 1
    assert "▼" in page_of(room, store, SMALL_PLAN)


def test_a_quilt_that_is_not_there(room: Flask) -> None:
    assert Visitor(room).get("/quilts/nobody/pressing").status_code == 404
