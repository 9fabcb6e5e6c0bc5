"""Known blocks on the screen: found, looked at in her cloths, begun as a quilt or opened as text; small and kept."""

from __future__ import annotations

import html
import json
import re
import zlib

import pytest
from visitors import Visitor, words_of

from tracker.exact.measure import Measure
from tracker.plan.known_blocks import known_blocks
from tracker.plan.plan_reader import read_plan
from tracker.store.quilts import Store

CHOSEN = {"wanted": "known1", "unit": "in", "size": "12", "across": "2", "down": "3"}
CLOTHS = {"name-D": "pine", "colour-D": "#1F3D2B", "name-L": "linen", "colour-L": "#f0ead8"}


def names_in(text: str) -> list[str]:
    return re.findall(r"<span><b>(.*?)</b>", text)


def test_all_are_shown_and_reached_wherever_a_quilt_is_begun(phone: Visitor) -> None:
    for path in ("/", "/draw", "/new"):
        assert 'href="/known"' in phone.get(path).text
    page = phone.get("/known").text
    assert len(names_in(page)) == len(known_blocks())
    assert page.count("<img") == page.count('loading="lazy"') == len(known_blocks())


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("name=monkey+wrench", ["Churn dash"]),
        ("name=BEARS+paw", ["Bear&#39;s paw"]),
        ("name=irish", ["Double Irish chain", "Single Irish chain"]),
        ("kind=square+in+a+square", ["Kansas dugout", "Rolling stone", "Square in a square", "Storm at sea"]),
        ("grid=2+×+4", ["Coins", "Flying geese"]),
        ("name=star&grid=3+×+3", ["Friendship star", "Ohio star"]),
    ],
)
def test_blocks_are_found_by_name_grid_and_units(phone: Visitor, asked: str, found: list[str]) -> None:
    assert names_in(phone.get(f"/known?{asked}").text) == found


def test_a_name_that_is_not_known_is_answered_with_the_nearest(phone: Visitor) -> None:
    page = phone.get("/known?name=pinweel")
    assert "Did you mean one of these?" in words_of(page)
    assert "Pinwheel" in names_in(page.text)
    assert "Take a word away" in words_of(phone.get("/known?name=qqqqq"))


def test_pictures_are_small_and_kept_by_the_browser(phone: Visitor) -> None:
    weights = []
    for source in re.findall(r'<img src="(.*?)"', phone.get("/known").text):
        answer = phone.get(source)
        assert answer.mimetype == "image/svg+xml"
        assert "immutable" in answer.headers["Cache-Control"]
        weights.append(len(zlib.compress(answer.data)))
    assert max(weights) < 2_500
    assert sum(weights) < 600 * len(weights)
    assert "no-cache" in phone.get("/known/churn-dash/picture.svg").headers["Cache-Control"]


def test_the_picture_takes_the_colours_that_are_chosen(phone: Visitor) -> None:
    drawn = phone.get("/known/churn-dash/look?colour-D=%23117744&colour-L=nonsense").text
    assert "#117744" in drawn
    assert "nonsense" not in drawn


def test_a_quilt_is_begun_in_her_size_and_cloths_once(phone: Visitor, store: Store) -> None:
    for _ in range(2):
        answer = phone.post("/known/sawtooth-star", {**CHOSEN, **CLOTHS, "do": "make"})
        assert (answer.status_code, answer.headers["Location"]) == (303, "/quilts/known1")
    (quilt,) = store.quilts()
    plan = read_plan(quilt.about["plan"]).plan
    assert plan is not None
    assert plan.blocks["sawtooth-star"].columns == (Measure(3),) * 4
    assert (len(plan.quilt.places[0]), len(plan.quilt.places)) == (2, 3)
    assert (plan.fabrics["D"].name, plan.fabrics["D"].colour, plan.fabrics["D"].tone) == ("pine", "#1f3d2b", 8)
    assert quilt.about["plan"].startswith("# Sawtooth star: the picture is from memory of the trade.")


def test_in_centimetres_sizes_are_such_as_a_ruler_shows(phone: Visitor, store: Store) -> None:
    page = phone.get("/known/ohio-star?unit=cm").text
    assert 'name="size" value="22.5"' in page
    chosen = {"wanted": "known2", "unit": "cm", "size": "24", "across": "1", "down": "1", "do": "make"}
    assert phone.post("/known/ohio-star", chosen).status_code == 303
    plan = read_plan(store.quilts()[0].about["plan"]).plan
    assert plan is not None
    assert (plan.unit, plan.seam, plan.blocks["ohio-star"].columns[0]) == ("cm", Measure(3) / 4, 8)
    assert plan.fabrics["D"].usable == 100


def test_its_plan_is_opened_as_text_and_nothing_is_made(phone: Visitor, store: Store) -> None:
    page = phone.post("/known/rail-fence", {**CHOSEN, "do": "text"})
    assert page.status_code == 200
    assert "turns = [[" in page.text
    assert not store.quilts()


@pytest.mark.parametrize("key", [each.key for each in known_blocks()])
def test_every_block_can_be_drawn_on(phone: Visitor, store: Store, key: str) -> None:
    page = phone.post(f"/known/{key}", {**CHOSEN, "do": "draw"})
    assert page.status_code == 200
    sheet = json.loads(html.unescape(re.search(r'data-sheet="(.*?)"', page.text).group(1)))  # type: ignore[union-attr]
    assert key in {block["key"] for block in sheet["blocks"]}
    assert not store.quilts()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"size": "twelve"}, "The size is “twelve”; type the block's finished width, such as 8."),
        ({"size": "-3"}, "a block is wider than nothing"),
        ({"size": "1/2"}, "is too small: a part of it would be 1/8 in wide"),
        ({"size": "3 mm"}, "A block of “3 mm” is too small: a part of it would be"),
        ({"across": "0"}, "from 1, and at most 10,000 in all"),
        ({"across": "5000", "down": "5000"}, "from 1, and at most 10,000 in all"),
    ],
)
def test_what_cannot_be_is_said_and_all_that_was_chosen_stays(
    phone: Visitor, store: Store, wrong: dict[str, str], said: str
) -> None:
    answer = phone.post("/known/sawtooth-star", {**CHOSEN, **CLOTHS, "do": "make"} | wrong)
    assert answer.status_code == 422
    assert said in words_of(answer)
    assert 'value="pine"' in answer.text
    assert not store.quilts()


def test_a_block_that_is_not_known_is_said(phone: Visitor) -> None:
    answer = phone.get("/known/mariners-compass")
    assert answer.status_code == 404
    assert "No block of that name is known here." in words_of(answer)
