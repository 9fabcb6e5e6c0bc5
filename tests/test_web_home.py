"""The quilts, one quilt, and how another device gets here."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from flask import Flask
from visitors import Quilt, Visitor, add_quilt, room_of

from tracker.demo import demo_plan_text
from tracker.safekeeping.pairing import Pairing
from tracker.server import qr_codes as codes
from tracker.store.quilts import Store, StoredQuilt


def test_with_no_quilt_the_first_page_offers_a_new_one(phone: Visitor) -> None:
    text = phone.text("/")
    assert "There is no quilt yet." in text
    assert "New quilt" in text
    assert phone.get("/").get_data(as_text=True).count('aria-disabled="true"') == 5


def test_each_quilt_shows_how_far_it_is_and_what_comes_next(phone: Visitor, sewing: Quilt, store: Store) -> None:
    add_quilt(store, sewing.compiled.text.replace("Lantern cushion", "Trial runner"), demo=True)
    sewing.tap("Cut lamp red squares, 2½ in", 1)
    text = phone.text("/")
    mine, _, demo = text.partition("Trial runner")
    assert "Lantern cushion" in mine
    assert "0 of 2 blocks finished" in mine
    assert "Carry on at the cutting table Cut lamp red, 2 sizes" in mine
    assert "Demo" not in mine
    assert "Demo, to try things on" in demo
    page = phone.get("/").get_data(as_text=True)
    assert f'href="{sewing.step_path("Cut lamp red squares, 2½ in")}"' in page
    assert page.count("/picture.svg?v=") == 2


def test_a_finished_quilt_says_so(phone: Visitor, sewing: Quilt) -> None:
    for step in sewing.compiled.checklist.steps:
        sewing.visitor.post(
            f"{sewing.at}/taps",
            {
                "tap": f"step-{sewing.compiled.short[step.id]}",
                "do": "done",
                "step": sewing.compiled.short[step.id],
                "times": str(step.count),
            },
        )
    assert sewing.progress().counts.finished()
    for path in ("/", sewing.at):
        assert "100 % done: 2 of 2 blocks finished" in phone.text(path)
        assert "All steps are done." in phone.text(path)
    assert phone.get(f"{sewing.at}/step").headers["Location"] == sewing.at


def test_the_code_is_large_on_the_computer_and_a_link_elsewhere(computer: Visitor, phone: Visitor, room: Flask) -> None:
    page = computer.get("/").get_data(as_text=True)
    assert '<svg class="qr"' in page
    assert "http://192.168.1.20:8642/" in page
    assert '<svg class="qr"' not in phone.get("/").get_data(as_text=True)
    assert "Open on another device" in phone.text("/")
    assert '<svg class="qr"' in phone.get("/device").get_data(as_text=True)
    assert "guest network" in phone.text("/device")
    for address in ("::1", "::ffff:127.0.0.1"):
        assert '<svg class="qr"' in Visitor(room, "localhost:8642", address).get("/").get_data(as_text=True)


def test_the_code_leads_to_the_pairing_page_and_can_be_typed(store: Store, computer: Visitor) -> None:
    pairing = Pairing(store.room)
    drawn = codes.svg(f"http://192.168.1.20:8642{pairing.path}").partition("<rect")[2]
    assert drawn in computer.get("/").get_data(as_text=True)
    assert f"http://192.168.1.20:8642/ The code: {pairing.code} " in computer.text("/")


def test_a_quilt_whose_plan_cannot_be_used_any_more_says_why_and_spares_the_others(
    phone: Visitor, store: Store, quilt: StoredQuilt
) -> None:
    broken = add_quilt(store, 'title = "Old one"\nunit = "ell"\n')
    text = phone.text("/")
    assert "Old one This quilt cannot be opened: plan, line" in text
    assert "Lantern cushion" in text
    for path in ("", "/steps", "/step", "/blocks", "/picture.svg", "/changes?since=0&view=list"):
        assert phone.get(f"/quilts/{broken.id}{path}").status_code == 409


def test_what_was_mended_on_the_disk_is_said_on_the_first_page(store: Store, quilt: StoredQuilt) -> None:
    store.close()
    (store.folder / f"{quilt.id}.quilt").write_bytes(b"not a quilt any more")
    with Store.open(store.folder) as again:
        assert again.findings
        text = Visitor(room_of(again)).text("/")
        for finding in again.findings:
            assert " ".join(str(finding).split()) in text


def test_what_is_missing_is_said_there_and_with_the_quilt_until_it_is_read(store: Store, quilt: StoredQuilt) -> None:
    other = add_quilt(store)
    for number in range(4):
        quilt.append({"id": f"note-{number}", "do": "note", "text": f"note {number}"})
    store.close()
    shutil.rmtree(store.folder / "copies")
    file = store.folder / f"{quilt.id}.quilt"
    file.write_bytes(
        b"".join(
            [*file.read_bytes().splitlines(keepends=True)[:4], b"x\n", *file.read_bytes().splitlines(keepends=True)[5:]]
        )
    )
    with Store.open(store.folder):
        pass
    with Store.open(store.folder) as again:
        visitor = Visitor(room_of(again))
        said = "1 change of"
        assert said in visitor.text("/")
        assert said in visitor.text(f"/quilts/{quilt.id}")
        assert said not in visitor.text(f"/quilts/{other.id}")
        action = re.search(r'action="(/notices/\w+/read)"', visitor.get(f"/quilts/{quilt.id}").get_data(as_text=True))
        assert action is not None
        answer = visitor.post(action.group(1), {"quilt": quilt.id})
        assert (answer.status_code, answer.headers["Location"]) == (303, f"/quilts/{quilt.id}")
        for path in ("/", f"/quilts/{quilt.id}"):
            assert said not in visitor.text(path)
        assert visitor.post("/notices/all/read", {"quilt": "//evil"}).headers["Location"] == "/"


def test_another_way_to_sew_is_no_advice_once_it_is_begun(phone: Visitor, store: Store) -> None:
    """Blocks sewn in two ways would not match; and before cutting nothing is good to know when all is done."""
    saves, off = "A saving, if you like", "off the ruler's marks"
    plan = add_quilt(store).about["plan"].replace("R\\S  R\nR    S\\R", "S\\R  R/S\nR    R")
    sewing = Quilt(phone, add_quilt(store, plan.replace('cell = "2"', 'cell = "2 1/16"')))
    text = phone.text(sewing.at)
    assert saves in text
    assert off in text
    sewing.tap("Cut pale sand", 1)
    text = phone.text(sewing.at)
    assert saves not in text
    assert off in text
    for step in sewing.compiled.checklist.steps:
        data = {"do": "done", "step": sewing.compiled.short[step.id], "times": sewing.progress().counts.left(step)}
        phone.post(f"{sewing.at}/taps", data | {"tap": f"all-{data['step']}"})
    assert sewing.progress().counts.finished()
    assert "Good to know before cutting" not in phone.text(sewing.at)


def test_a_quilt_s_page_has_its_picture_its_plan_and_what_is_good_to_know(phone: Visitor, store: Store) -> None:
    plan = Quilt(phone, add_quilt(store)).compiled.text.replace('cell = "2"', 'cell = "2 1/16"')
    quilt = add_quilt(store, plan)
    text = phone.text(f"/quilts/{quilt.id}")
    assert "Good to know before cutting" in text
    assert "off the ruler's marks" in text
    assert phone.get(f"/quilts/{quilt.id}/plan.toml").get_data(as_text=True) == plan
    source = re.search(
        r'src="(/quilts/[^"]*picture.svg[^"]*)"', phone.get(f"/quilts/{quilt.id}").get_data(as_text=True)
    )
    assert source is not None
    picture = phone.get(source.group(1))
    assert picture.mimetype == "image/svg+xml"
    assert picture.data.startswith(b"<svg")
    assert "immutable" in picture.headers["Cache-Control"]


def test_titles_of_any_letters_are_shown_as_text(phone: Visitor, store: Store, sewing: Quilt) -> None:
    plan = sewing.compiled.text.replace("Lantern cushion", "<script>alert(1)</script> & Großmutters „Decke“")
    quilt = add_quilt(store, plan)
    for path in ("/", f"/quilts/{quilt.id}", f"/quilts/{quilt.id}/steps", f"/quilts/{quilt.id}/blocks"):
        page = phone.get(path).get_data(as_text=True)
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; Großmutters „Decke“" in page


@pytest.mark.parametrize("name", ["Now", "Step", "List", "Blocks"])
def test_the_links_at_the_top_lead_to_the_quilt_last_opened(
    name: str, phone: Visitor, store: Store, quilt: StoredQuilt
) -> None:
    other = add_quilt(store)
    assert name not in re.findall(r"<a href[^>]*>(\w+)", phone.get("/").get_data(as_text=True))
    phone.get(f"/quilts/{other.id}/steps")
    page = phone.get("/").get_data(as_text=True)
    found = re.search(rf'<a href="/quilts/(\w+)/\w+">{name}<', page)
    assert found is not None
    assert found.group(1) == other.id


def test_what_lies_with_the_demo_and_what_does_not_is_said(tmp_path: Path) -> None:
    own, stays = tmp_path / "own", "Quilts made here stay with the demo."
    with Store.open(own / "demo") as store:
        add_quilt(store, demo=True)
        visitor = Visitor(room_of(store))
        assert stays in visitor.text("/")
        assert stays in visitor.text("/new")
    with Store.open(own) as store:
        assert "of yours" not in Visitor(room_of(store)).text("/"), "the demo itself is not hers"
    with Store.open(own / "demo") as store:
        for title in ("One", "Two"):
            made = add_quilt(store)
            made.set_about(title=title)
    with Store.open(own) as store:
        visitor = Visitor(room_of(store))
        assert "There is no quilt yet. With the demo lie 2 quilts of yours: start" in visitor.text("/")
        assert stays not in visitor.text("/new")
        add_quilt(store)
        assert "of yours" not in visitor.text("/")


def test_a_quilt_of_which_nothing_is_done_begins(phone: Visitor, sewing: Quilt) -> None:
    for path in ("/", sewing.at):
        assert "Begin at the cutting table" in phone.text(path)
        assert "Carry on" not in phone.text(path)


def test_the_picture_has_what_is_sewn_in_full_colour_and_the_rest_pale(sewing: Quilt) -> None:
    address = re.compile(r'src="([^"]*picture.svg[^"]*)"')
    page = sewing.visitor.get(sewing.at).get_data(as_text=True)
    (picture,) = address.findall(page)
    assert picture.endswith("sewn=0")
    for told, pale in (("0", 3), ("1", 2), ("1-2", 1), ("9.1--.2", 2)):
        drawn = sewing.visitor.get(picture.replace("&amp;", "&").replace("sewn=0", f"sewn={told}")).get_data(
            as_text=True
        )
        assert drawn.count('opacity="0.3"') == pale, told


def test_a_quilt_s_page_speaks_of_ticks_not_of_keys_of_a_file(phone: Visitor, store: Store) -> None:
    text = phone.text(f"/quilts/{add_quilt(store, demo_plan_text()).id}")
    assert "to have that, tick “Make larger units whole”." in text
    assert "combine = true" not in text
