"""QR codes, read back by a reader that knows nothing of how they were drawn."""

from __future__ import annotations

import re
from io import BytesIO
from xml.etree import ElementTree

import pytest
import zxingcpp
from PIL import Image, ImageDraw
from playwright.sync_api import Page

from tracker.server import qr_codes as codes

LABEL = "http://192.168.1.20:8642/b/7f3k"
TEXTS = [
    LABEL,
    "http://sewing.test:8642/",
    "http://[fd00::7]:8642/pair?code=k3ya-9bcd",
    "½ × 6.4 cm, naïve 縫",
]
SPACE = "{http://www.w3.org/2000/svg}"


def read(image: Image.Image) -> list[str]:
    """The texts of the codes in a picture, as a phone reads them that cannot read light on dark."""
    return [found.text for found in zxingcpp.read_barcodes(image, try_invert=False)]


def draw(svg: str, scale: int = 6) -> Image.Image:
    """Paint the markup's rectangle and runs, in its own colours, on a page that is black to begin with."""
    root = ElementTree.fromstring(svg)
    side = int(root.attrib["viewBox"].split()[2])
    image = Image.new("RGB", (side * scale, side * scale), "#000000")
    pen = ImageDraw.Draw(image)
    background, path = root.find(f"{SPACE}rect"), root.find(f"{SPACE}path")
    assert background is not None
    assert path is not None
    pen.rectangle((0, 0, *image.size), fill=background.attrib["fill"])
    runs = re.findall(r"M(\d+) (\d+)h(\d+)v1H(\d+)z", path.attrib["d"])
    assert "".join(f"M{x} {y}h{long}v1H{back}z" for x, y, long, back in runs) == path.attrib["d"]
    for x, y, long, back in (map(int, run) for run in runs):
        assert back == x
        pen.rectangle((x * scale, y * scale, (x + long) * scale - 1, (y + 1) * scale - 1), fill=path.attrib["fill"])
    return image


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("level", ["L", "M", "Q", "H"])
def test_the_drawing_for_a_page_reads_back(text: str, level: codes.Level) -> None:
    assert read(draw(codes.svg(text, level))) == [text]


def test_the_drawing_has_its_margin_its_title_and_no_size_of_its_own() -> None:
    svg = codes.svg(LABEL, title='Scan "this" <now> & here')
    root = ElementTree.fromstring(svg)
    title = root.find(f"{SPACE}title")
    assert title is not None
    assert (root.attrib["role"], title.text) == ("img", 'Scan "this" <now> & here')
    assert not {"width", "height", "id"} & set(root.attrib)
    rows = codes.modules(LABEL)
    side = len(rows)
    assert all(len(row) == side for row in rows)
    for edge in range(4):
        rim = [*rows[edge], *rows[-1 - edge], *(row[edge] for row in rows), *(row[-1 - edge] for row in rows)]
        assert not any(rim)
    assert rows[4][4], "inside the margin the first corner begins"


@pytest.mark.parametrize(("x", "y"), [(14, 14), (24, 14), (14, 24)])
def test_a_label_s_code_survives_a_tenth_painted_over(x: int, y: int) -> None:
    scale = 6
    image = draw(codes.svg(LABEL, "Q"), scale)
    side = image.size[0] // scale - 8
    hole = round((side * side / 10) ** 0.5)
    place = (x * scale, y * scale, (x + hole) * scale - 1, (y + hole) * scale - 1)
    ImageDraw.Draw(image).rectangle(place, fill="#ffffff")
    assert read(image) == [LABEL]


def test_a_real_browser_draws_it_so_that_it_reads_back_on_a_dark_page(phone_page: Page) -> None:
    style = "body{background:#000;color:#fff} svg{fill:#f0f;color:#0ff;width:240px}"
    phone_page.set_content(f"<style>{style}</style>{codes.svg(LABEL)}")
    shot = phone_page.locator("svg").screenshot()
    assert read(Image.open(BytesIO(shot))) == [LABEL]


def paint(lines: list[str], scale: int = 6) -> Image.Image:
    """A dark terminal's picture of half-block characters: each is one module across and two down."""
    wide = max(map(len, lines))
    image = Image.new("L", (wide * scale, len(lines) * 2 * scale), 0)
    pen = ImageDraw.Draw(image)
    halves = {"█": (0, 1), "▀": (0,), "▄": (1,), " ": ()}
    for y, line in enumerate(lines):
        for x, character in enumerate(line):
            for half in halves[character]:
                top = (2 * y + half) * scale
                pen.rectangle((x * scale, top, (x + 1) * scale - 1, top + scale - 1), fill=255)
    return image


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("encoding", ["utf-8", "cp437", "cp850"])
def test_the_drawing_for_a_terminal_reads_back(text: str, encoding: str) -> None:
    drawn = codes.terminal(text, encoding)
    assert drawn is not None
    assert drawn.endswith("\n")
    assert read(paint(drawn.encode(encoding).decode(encoding).splitlines())) == [text]


def test_a_coloured_terminal_is_told_white_on_black_and_each_line_ends_plain() -> None:
    plain, coloured = codes.terminal(LABEL, "utf-8"), codes.terminal(LABEL, "utf-8", colour=True)
    assert plain is not None
    assert coloured is not None
    assert coloured.splitlines() == [f"\x1b[97;40m{line}\x1b[0m" for line in plain.splitlines()]


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "iso8859-1", None, "no such encoding"])
def test_a_terminal_without_these_characters_gets_none(encoding: str | None) -> None:
    assert codes.terminal(LABEL, encoding) is None


def test_a_text_too_long_for_any_code_is_refused_in_a_sentence() -> None:
    with pytest.raises(ValueError, match="5000 characters are too many for one QR code"):
        codes.svg("x" * 5000)
