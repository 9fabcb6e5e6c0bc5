"""A new quilt from a plan text."""

from __future__ import annotations

import io
import re

import pytest
from visitors import SMALL_PLAN, Visitor, words_of
from werkzeug.test import TestResponse

from tracker.store.quilts import Store
from tracker.web.screens.new import EXAMPLE

BROKEN = SMALL_PLAN.replace("tone = 7", "tone = 12").replace("R    S\\R", "R    R/Q")


def test_the_form_is_empty_and_shows_an_example_that_works(phone: Visitor, store: Store) -> None:
    page = phone.get("/new").get_data(as_text=True)
    assert re.search(r"<textarea[^>]*>\n</textarea>", page)
    assert "Lantern cushion" in page
    answer = phone.post("/new", {"plan": EXAMPLE, "do": "make"})
    (made,) = store.quilts()
    assert answer.headers["Location"] == f"/quilts/{made.id}"
    assert (made.about["title"], made.about["demo"], made.about["plan"]) == ("Lantern cushion", False, EXAMPLE)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", made.about["made_at"])


def typed(phone: Visitor, text: str, path: str = "/new/look") -> TestResponse:
    """What the page that is typed in shows of a text, asking again as it does."""
    form = {"plan": text, "looker": "typed"}
    headers = {"HX_Request": "true", "HX_Request_Type": "partial"}
    answer = phone.post(path, form, **headers)
    while answer.status_code == 204 or "&#34;again&#34;" in answer.text or '"again"' in answer.text:
        answer = phone.post(path, form | {"again": "picture"}, **headers)
    return answer


def test_what_is_being_typed_is_drawn(phone: Visitor) -> None:
    answer = typed(phone, SMALL_PLAN)
    assert "✓ This can be sewn. 2 × Lantern, 4 in square finished; 23 steps." in words_of(answer)
    assert '<div id="look-picture" class="picture" hx-swap-oob="true"><svg' in answer.text
    assert '<p id="look-count" class="look-count" hx-swap-oob="true">✓ This can be sewn.</p>' in answer.text


def test_it_is_called_proved_only_when_the_proof_has_run(phone: Visitor) -> None:
    assert "Proved" not in words_of(typed(phone, SMALL_PLAN))
    assert words_of(typed(phone, SMALL_PLAN, "/new/proof")).startswith("✓ Proved: its 23 steps were sewn")
    assert "Proved" not in words_of(typed(phone, BROKEN, "/new/proof"))


def test_each_error_stands_beside_its_line(phone: Visitor) -> None:
    answer = typed(phone, BROKEN)
    text = words_of(answer)
    assert "2 things to put right:" in text
    assert "Line 9 tone = 12 Fabrics.R.tone is 12; it is a whole number, from 1 (lightest) to 9 (darkest)." in text
    assert "Line 16 R R/Q Block lantern, row 2, cell 2: there is no fabric" in text
    assert "look-picture" not in answer.text


def test_a_picture_that_cannot_be_sewn_is_said_so(phone: Visitor) -> None:
    whirl = "R < S <\nS R ^ ^\n^ ^ R S\n^ S < ^"
    answer = typed(phone, SMALL_PLAN.replace("R\\S  R\nR    S\\R", whirl))
    assert "1 thing to put right: Block lantern (Lantern): no straight seam parts the patches" in words_of(answer)


def test_with_errors_nothing_is_made_and_nothing_typed_is_lost(phone: Visitor, store: Store) -> None:
    typed = "\n\n" + BROKEN + "# Ä <b> & 'this'\n"
    answer = phone.post("/new", {"plan": typed, "do": "make"})
    assert answer.status_code == 422
    assert not store.quilts()
    kept = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.text, re.DOTALL)
    assert kept is not None
    plain = kept.group(1)
    for mark, sign in (("&#34;", '"'), ("&#39;", "'"), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")):
        plain = plain.replace(mark, sign)
    assert plain == typed
    assert "Line 11" in words_of(answer)


def test_looking_without_script_makes_nothing(phone: Visitor, store: Store) -> None:
    answer = phone.post("/new", {"plan": SMALL_PLAN, "do": "look"})
    assert answer.status_code == 200
    assert "This can be sewn." in words_of(answer)
    assert not store.quilts()


def upload(text: bytes) -> tuple[io.BytesIO, str]:
    return io.BytesIO(text), "my plan.toml"


@pytest.mark.parametrize("text", [SMALL_PLAN, SMALL_PLAN.replace("\n", "\r\n"), "\N{BYTE ORDER MARK}" + SMALL_PLAN])
def test_a_file_is_as_good_as_typing(text: str, phone: Visitor, store: Store) -> None:
    assert phone.post("/new", {"plan": "", "file": upload(text.encode()), "do": "make"}).status_code == 303
    (made,) = store.quilts()
    assert made.about["plan"] == SMALL_PLAN


@pytest.mark.parametrize(
    ("typed", "file", "words"),
    [
        ("", b"", "There is no plan yet; type one, paste one or choose a file."),
        (" \n ", b"  ", "There is no plan yet"),
        ("# mine", SMALL_PLAN.encode(), "There is text in the box and a file as well; empty the box to use the file."),
        ("# mine", b"\xff\xfe\x00", "The file is not text in UTF-8; save the plan as plain text in UTF-8"),
        ("", b"#" * 1_100_000, "larger than 1 MB, which no plan needs"),
        ("#" * 1_100_000, b"", "larger than 1 MB, which no plan needs"),
        ("title = \x00 \x1b[31m", b"", "a character that cannot be seen"),
    ],
)
def test_what_cannot_be_used_is_said_in_a_sentence(
    typed: str, file: bytes, words: str, phone: Visitor, store: Store
) -> None:
    answer = phone.post("/new", {"plan": typed, "file": upload(file), "do": "make"})
    assert answer.status_code == 422
    assert words in words_of(answer)
    assert not store.quilts()
    if typed.startswith("# mine"):
        assert "# mine</textarea>" in answer.text


LONG_LINES = [
    "titel = '" + "x" * 900_000 + "'",
    "a" * 900_000 + " = 1",
    "x" * 900_000,
    "[fabrics." + "A" * 900_000 + "]",
    "[blocks.b]\npicture='" + "S/" * 450_000 + "'",
    "title = “" + "z" * 900_000,
    'cell = "' + "9" * 900_000 + '"',
]


@pytest.mark.parametrize("plan", LONG_LINES, ids=[plan[:12] for plan in LONG_LINES])
def test_of_a_line_without_end_only_a_little_is_shown_again(plan: str, phone: Visitor) -> None:
    answer = typed(phone, plan)
    assert "to put right" in words_of(answer)
    assert len(answer.data) < 20_000


def test_of_a_list_s_line_too(phone: Visitor) -> None:
    answer = phone.post("/compare", {"list": "S, 4, 2, 2\n" + "x" * 90_000, "block": "12"})
    beside = re.findall(r"<code>(.*?)</code>", answer.get_data(as_text=True))
    assert all(len(line) <= 200 for line in beside)


def test_a_double_tap_makes_one_quilt(phone: Visitor, store: Store) -> None:
    page = phone.get("/new").get_data(as_text=True)
    wanted = re.search(r'name="wanted" value="(\w+)"', page)
    assert wanted is not None
    form = {"plan": SMALL_PLAN, "do": "make", "wanted": wanted.group(1)}
    assert phone.post("/new", form).headers["Location"] == phone.post("/new", form).headers["Location"]
    assert len(store.quilts()) == 1


@pytest.mark.parametrize("wanted", ["", "../../x", "x" * 500, "ABCDEF", "a b c d", "\x00\x00\x00\x00\x00\x00"])
def test_a_wanted_name_that_is_none_is_passed_over(wanted: str, phone: Visitor, store: Store) -> None:
    assert phone.post("/new", {"plan": SMALL_PLAN, "do": "make", "wanted": wanted}).status_code == 303
    assert len(store.quilts()) == 1
