"""A finished quilt as it is written down, and its photos as they are sent and asked for."""

from __future__ import annotations

import io
import re

from visitors import Quilt
from werkzeug.test import TestResponse

KEPT = {
    "for": "Aunt Merle",
    "by": "Ilse",
    "batting": "cotton",
    "before_across": "50",
    "before_down": "60 1/2",
    "after_across": "48 1/2",
    "after_down": "58 3/4",
    "story": "From the harbour house.\nSewn in spring.",
}


def send(sewing: Quilt, data: bytes, name: str = "quilt.jpg") -> TestResponse:
    return sewing.visitor.post(f"{sewing.at}/shelf/photos", {"photo": (io.BytesIO(data), name)})


def photos(sewing: Quilt) -> list[str]:
    """The photos that its page shows, by name."""
    page = sewing.visitor.get(f"{sewing.at}/shelf").text.partition("Photos taken away")[0]
    return re.findall(r'<a href="[^"]*/photos/([0-9a-f]{32})\.jpg"', page)


def photo(sewing: Quilt, name: str, more: str = "") -> TestResponse:
    return sewing.visitor.get(f"{sewing.at}/shelf/photos/{name}.jpg{more}")
