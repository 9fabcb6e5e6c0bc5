"""Sizes stay on one line on every screen, and what is typed stays as it was typed."""

from __future__ import annotations

import re

import pytest
from test_screens_look import SCREENS
from visitors import Quilt, Visitor

from tracker.web.unbroken import unbroken_page

BLANK = "\N{NO-BREAK SPACE}"
PAGES = {
    "<p>2½ × 2½ in each</p>": f"<p>2½{BLANK}×{BLANK}2½{BLANK}in each</p>",
    '<b title="3 in">3 in</b>': f'<b title="3 in">3{BLANK}in</b>',
    "<p>12.5 cm, 3 m, 1¼ yd</p>": f"<p>12.5{BLANK}cm, 3{BLANK}m, 1¼{BLANK}yd</p>",
    "<textarea>\ncut = 2 in</textarea> 2 in": f"<textarea>\ncut = 2 in</textarea> 2{BLANK}in",
    "<svg><title>2 × 2 in</title></svg>": "<svg><title>2 × 2 in</title></svg>",
    "<p>10 into 12, 4 × red</p>": f"<p>10 into 12, 4{BLANK}× red</p>",
}
STANDS = re.compile(r"<(textarea|svg|script|head)\b.*?</\1>|<[^>]*>", re.DOTALL)
BROKEN = re.compile(r"[\d½¼¾⅛⅜⅝⅞] (×|(in|cm)\b)|× [\d½]")


@pytest.mark.parametrize("page", PAGES)
def test_only_blanks_inside_sizes_are_kept_together(page: str) -> None:
    assert unbroken_page(page) == PAGES[page]


def test_no_size_can_be_broken_on_any_screen(sewing: Quilt, phone: Visitor) -> None:
    sewing.tap("Cut lamp red squares, 2½ in", 2)
    mend = f"{sewing.step_path('Cut lamp red squares, 2½ in')}/mend"
    sizes = 0
    for path in (*SCREENS, *(f"{sewing.at}/steps/{short}" for short in sewing.compiled.short.values())):
        page = phone.get(path.replace("AT", sewing.at).replace("MEND", mend)).text
        said = STANDS.sub("|", page)
        assert BROKEN.findall(said) == [], path
        sizes += said.count(f"{BLANK}in")
    assert sizes > 50
    assert BROKEN.search(STANDS.sub("|", phone.get(f"{sewing.at}/ahead.json").text)) is None


def test_the_plan_is_shown_as_it_was_typed(sewing: Quilt, phone: Visitor) -> None:
    text = sewing.stored.about["plan"].replace('cell = "2"', 'cell = "2 in"')
    sewing.stored.set_about(plan=text)
    page = phone.get(f"{sewing.at}/plan").text
    assert BLANK not in page[page.index("<textarea") : page.index("</textarea>")]
