"""Labels: what is printed, what a scanned one opens, and that it stays true when the plan is edited."""

from __future__ import annotations

import re

import pytest
from visitors import SMALL_PLAN, Quilt, Visitor, words_of

UNIT = "Half-square triangle, lamp red / pale sand"


def _labels(phone: Visitor, at: str, which: str = "piles") -> dict[str, str]:
    """The short end of each label's address, by its words."""
    page = phone.get(f"{at}/labels?which={which}").get_data(as_text=True).replace("\N{NO-BREAK SPACE}", " ")
    label = re.compile(r'<a href="(/l/[^"]*)"><svg.*?</svg></a><div><b>(.*?)</b>', re.DOTALL)
    found = [(words, path) for path, words in label.findall(page)]
    assert "/l/" not in re.sub(r"<[^>]*>", " ", page), "an address is for the camera"
    assert len(found) == len({words for words, _ in found}) == len({path for _, path in found})
    return dict(found)


def _trimmed(phone: Visitor, at: str) -> str:
    return _labels(phone, at)["half-square triangle, lamp red / pale sand, trimmed"]


def test_a_pile_s_label_says_what_it_is_how_many_lie_there_and_what_takes_them(phone: Visitor, sewing: Quilt) -> None:
    path = _labels(phone, sewing.at)["pale sand square, 3 in"]
    sewing.tap("Cut pale sand squares, 3 in", 2)
    text = phone.text(path)
    assert "Pale sand square, 3 in" in text
    assert "2 lie here now" in text
    assert "Next for these Mark pale sand squares, 3 in takes 1 each time 2 ready" in text
    assert "They come from ✓ Cut pale sand squares, 3 in done" in text
    sewing.tap("Mark pale sand", 1)
    assert "1 lies here now" in phone.text(path)


def test_every_pile_has_a_label_and_a_page(phone: Visitor, sewing: Quilt) -> None:
    labels = _labels(phone, sewing.at)
    assert len(labels) == sum(pile.block is None for pile in sewing.compiled.checklist.piles.values())
    for words, path in labels.items():
        assert words[1:] in phone.text(path)
    pieces = _labels(phone, sewing.at, "pieces")
    assert set(pieces.items()) < set(labels.items())
    assert any(words.endswith("trimmed") for words in pieces)


def test_a_pile_s_label_says_how_many_and_what_for_and_draws_a_piece(phone: Visitor, sewing: Quilt) -> None:
    page = phone.get(f"{sewing.at}/labels").get_data(as_text=True).replace("\N{NO-BREAK SPACE}", " ")
    found = re.findall(
        r'<div><b>(.*?)</b>.*?<p class="how-many">(.*?)</p></div><span class="of-pile".*?>(<svg.*?)</span>', page
    )
    many = {words: count for words, count, _ in found}
    assert many["pale sand square, 3 in"] == "2 pieces, for half-square triangles"
    assert many["half-square triangle, lamp red / pale sand, trimmed"] == "4 pieces, for Lantern"
    assert all(drawing.endswith("</svg>") for _, _, drawing in found)


def test_a_block_s_label_opens_the_block(phone: Visitor, sewing: Quilt) -> None:
    labels = _labels(phone, sewing.at, "blocks")
    assert list(labels) == ["Block 1, Lantern", "Block 2, Lantern"]
    assert phone.get(labels["Block 2, Lantern"]).headers["Location"] == f"{sewing.at}/blocks/2"


@pytest.mark.parametrize(
    ("old", "new", "status", "says"),
    [
        ("across = 2", "across = 5", 200, "0 lie here now"),  # more blocks
        ('name = "lamp red"', 'name = "brick"', 200, "brick / pale sand, trimmed"),  # another name for the cloth
        ('cell = "2"', 'cell = "3"', 410, "has no such pile any more: it was edited after this label was printed"),
    ],
)
def test_a_label_stays_true_when_the_plan_is_edited(
    old: str, new: str, status: int, says: str, phone: Visitor, sewing: Quilt
) -> None:
    path = _trimmed(phone, sewing.at)
    sewing.stored.set_about(plan=SMALL_PLAN.replace(old, new))
    answer = phone.get(path)
    assert answer.status_code == status
    assert says in words_of(answer)


def test_a_block_that_is_no_more_is_said_plainly(phone: Visitor, sewing: Quilt) -> None:
    path = _labels(phone, sewing.at, "blocks")["Block 2, Lantern"]
    sewing.stored.set_about(plan=SMALL_PLAN.replace("across = 2", "across = 1"))
    answer = phone.get(path)
    assert answer.status_code == 410
    assert "has no block 2 any more" in words_of(answer)


@pytest.mark.parametrize("name", ["nothing", "b", "b0", "b99999999", "B1", "0123456789"])
def test_a_code_that_never_was_is_said_plainly(name: str, phone: Visitor, sewing: Quilt) -> None:
    assert phone.get(f"/l/{sewing.stored.id}/{name}").status_code == 410


def test_codes_lead_to_the_name_the_page_was_opened_under_or_one_chosen(
    phone: Visitor, computer: Visitor, sewing: Quilt
) -> None:
    assert "The codes lead to sewing.test:8642" in phone.text(f"{sewing.at}/labels")
    assert "The codes lead to 192.168.1.20:8642" not in phone.text(f"{sewing.at}/labels")
    assert "192.168.1.20:8642" in computer.text(f"{sewing.at}/labels")  # localhost would lead a phone to itself
    assert "localhost" not in computer.text(f"{sewing.at}/labels")
    assert phone.get(f"{sewing.at}/labels?at=elsewhere.example").status_code == 404
