"""What stands on the pages of a PDF that Chromium printed: how many there are, and how many lines each holds."""

from __future__ import annotations

import re
import zlib

_OBJECT = re.compile(rb"(\d+) 0 obj\n(.*?)\nendobj", re.DOTALL)
_PAGE, _CONTENTS = re.compile(rb"/Type\s*/Page\b"), re.compile(rb"/Contents (\d+) 0 R")
_LINE = re.compile(rb"BT\n(?:/F\d+ [\d.]+ Tf\n)?[-\d.]+ [-\d.]+ [-\d.]+ [-\d.]+ [-\d.]+ ([-\d.]+) Tm")


def lines_on_pages(pdf: bytes) -> list[int]:
    """For each page how many lines of words are on it; words beside each other are one line, as are those of drawings
    that stand equally high in them."""
    objects = {int(number): body for number, body in _OBJECT.findall(pdf)}
    pages = [body for body in objects.values() if _PAGE.search(body)]
    return [len(set(_LINE.findall(_shown(objects, page)))) for page in pages]


def _shown(objects: dict[int, bytes], page: bytes) -> bytes:
    """What draws a page."""
    found = _CONTENTS.search(page)
    assert found is not None
    stream = objects[int(found[1])]
    start = stream.index(b"stream") + len(b"stream")
    return zlib.decompress(stream[start : stream.rindex(b"endstream")].lstrip(b"\r\n"))
