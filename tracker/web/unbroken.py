"""Sizes that stay on one line, wherever a line of a page ends."""

from __future__ import annotations

import re

from flask import Response

_BLANK = r"(?<=[\d½¼¾⅛⅜⅝⅞]) (?=×|(?:in|cm|yd|m)\b)|(?<=×) (?=[\d½¼¾⅛⅜⅝⅞])"
"""A blank inside a size."""

_IN_SIZES = re.compile(_BLANK)
_IN_PAGES = re.compile(rf"<(textarea|script|style|svg|pre|option)\b.*?</\1>|<[^>]*>|{_BLANK}", re.DOTALL)
"""What of a page stays as it is (its tags, and what is typed or drawn), or a blank inside a size."""


def unbroken(words: str) -> str:
    """Words whose sizes stay on one line."""
    return _IN_SIZES.sub("\N{NO-BREAK SPACE}", words)


def unbroken_page(markup: str) -> str:
    """A page, or a part of one, whose sizes stay on one line."""
    return _IN_PAGES.sub(lambda found: "\N{NO-BREAK SPACE}" if found[0] == " " else found[0], markup)


def with_unbroken_sizes(response: Response) -> Response:
    """An answer before it is packed; what is no page stays as it is."""
    if response.mimetype == "text/html" and not response.is_streamed:
        response.set_data(unbroken_page(response.get_data(as_text=True)))
    return response
