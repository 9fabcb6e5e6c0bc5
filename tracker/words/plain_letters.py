"""Letters for terminals and files that lack ours: a size must be right there too, so ⅛ becomes 1/8.

A system whose consoles and files are not in UTF-8 gives such streams to what is printed, Windows above all.
"""

from __future__ import annotations

import codecs
import unicodedata
from typing import TextIO

PLAIN = "in plain letters"
"""The name of this way to write what an encoding lacks."""

_SIGNS = {"×": "x", "−": "-", "–": "-", "—": "-", "·": "-", "“": '"', "”": '"', "‘": "'", "’": "'", "→": "->", "⁄": "/"}


def plainly(text: str, before: str = "") -> str:
    """The text in letters that every encoding has. In: what stands before it, since 2⅛ is 2 1/8 and not 21/8."""
    written = ""
    for sign in text:
        alike = unicodedata.normalize("NFKD", _SIGNS.get(sign, sign))
        plain = "".join(_SIGNS.get(each, each) for each in alike if not unicodedata.combining(each))
        if unicodedata.category(sign) == "No" and (before + written)[-1:].isdigit():
            plain = f" {plain}"
        written += plain if plain.isascii() else "?"
    return written


def _missing(fault: UnicodeError) -> tuple[str, int]:
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    before = fault.object[max(0, fault.start - 1) : fault.start]
    return plainly(fault.object[fault.start : fault.end], before), fault.end


codecs.register_error(PLAIN, _missing)


def write_all(*streams: TextIO) -> None:
    """Have these streams write plainly what their encoding lacks, from now on."""
    for stream in streams:
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=PLAIN)


def lacks(stream: TextIO, text: str) -> bool:
    """Whether the stream's encoding lacks any letter of the text."""
    try:
        text.encode(getattr(stream, "encoding", None) or "utf-8")
    except UnicodeEncodeError:
        return True
    return False
