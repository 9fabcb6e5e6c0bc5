"""One block whole on a screen: its passes, what a tap counts there, what is not there."""

from __future__ import annotations

import re

from quilting import quilt_plan
from visitors import Quilt, Visitor, add_quilt

from tracker.plan.plan_writer import write_plan
from tracker.store.quilts import Store


def test_every_card_is_a_cell_and_its_picture_is_there(phone: Visitor, sewing: Quilt) -> None:
    page = phone.get(f"{sewing.at}/pattern").get_data(as_text=True)
    labels = re.findall(r'<b class="no">(\w+)</b>', page)
    assert sorted(labels[:2]) == ["R", "S"]
    assert labels[2:] == [str(number) for number in range(1, len(labels) - 1)]
    pictures = re.findall(r'<img src="([^"]+\.svg[^"]*)" alt="" loading', page)
    assert len(pictures) == len(labels)
    for path in pictures:
        answer = phone.get(path)
        assert answer.mimetype == "image/svg+xml"
        assert "immutable" in answer.headers["Cache-Control"]


def test_what_is_taken_back_is_of_the_pass_that_is_looked_at(phone: Visitor, sewing: Quilt) -> None:
    sewing.tap("Cut lamp red squares, 2½ in", 2, tap_id="cut-some-red")
    sewing.tap("Cut pale sand", 2, tap_id="cut-some-sand")
    found = {}
    for title in ("Cut lamp red squares, 2½ in", "Cut pale sand", "Mark"):
        page = phone.get(f"{sewing.at}/pattern?pass={sewing.short(title)}").text
        found[title] = re.findall(r'value="take back"><input type="hidden" name="what" value="([^"]*)"', page)
    assert list(found.values()) == [["cut-some-red"], ["cut-some-sand"], [""]]


def test_what_is_not_there_is_said(phone: Visitor, sewing: Quilt) -> None:
    assert phone.get(f"{sewing.at}/pattern?block=none").status_code == 404
    assert phone.get(f"{sewing.at}/pattern/none.svg").status_code == 404
    assert phone.get(f"{sewing.at}/pattern?pass=none").status_code == 200


def test_what_no_sheet_holds_is_said_at_its_field_and_stays_typed(phone: Visitor, sewing: Quilt) -> None:
    for key, typed in (("blocks", "0"), ("blocks", "two"), ("blocks", "100000"), ("title", "x" * 81)):
        for path in ("sheets", "sheets/anything.html"):
            answer = phone.get(f"{sewing.at}/{path}?{key}={typed}&name=Ilse")
            assert answer.status_code == 400, typed
            text = answer.get_data(as_text=True)
            assert re.search(rf'name="{key}" [^>]*value="{typed}"[^>]* aria-invalid="true"', text)
            assert 'value="Ilse"' in text
    assert "for all 3" in phone.get(f"{sewing.at}/sheets?blocks=3").get_data(as_text=True)
    kept = phone.get(f"{sewing.at}/sheets/anything.html?title=A%20%3Cb%3E")
    assert kept.headers["Content-Disposition"].endswith('-sheets.html"')
    assert "A &lt;b&gt;" in kept.get_data(as_text=True)


def test_one_block_on_a_page_is_offered_where_one_is_sewn(phone: Visitor, sewing: Quilt, store: Store) -> None:
    patches = add_quilt(store, write_plan(quilt_plan(("4", "4"), 2, 1)))
    for at, sewn in ((sewing.at, True), (f"/quilts/{patches.id}", False)):
        assert (f'href="{at}/pattern"' in phone.get(f"{at}/sheets").text) is sewn
        assert (phone.get(f"{at}/pattern").status_code == 200) is sewn
