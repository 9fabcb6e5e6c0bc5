"""QR codes: drawn for a page and for a terminal."""

from __future__ import annotations

from html import escape
from io import StringIO
from typing import Literal

import qrcode
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q
from qrcode.exceptions import DataOverflowError

Level = Literal["L", "M", "Q", "H"]
"""How much of the code may be lost and still be read: about 7, 15, 25 or 30 parts in a hundred."""

_LEVELS = {"L": ERROR_CORRECT_L, "M": ERROR_CORRECT_M, "Q": ERROR_CORRECT_Q, "H": ERROR_CORRECT_H}
_QUIET = 4
"""The white margin that readers need, in modules (the small squares)."""

_WHITE_ON_BLACK, _PLAIN = "\x1b[97;40m", "\x1b[0m"


def _code(text: str, level: Level) -> qrcode.QRCode:
    code = qrcode.QRCode(error_correction=_LEVELS[level], border=_QUIET)
    code.add_data(text)
    try:
        code.make(fit=True)
    except (DataOverflowError, ValueError) as fault:
        raise ValueError(f"{len(text)} characters are too many for one QR code; a shorter text fits.") from fault
    return code


def modules(text: str, level: Level = "M") -> list[list[bool]]:
    """The code as rows of modules, True where dark, with the white margin of 4 modules round it.

    Raises ValueError where the text is too long for a QR code.
    """
    return [[bool(dark) for dark in row] for row in _code(text, level).get_matrix()]


def svg(text: str, level: Level = "M", title: str = "QR code") -> str:
    """The code as one inline <svg> element, to be sized by the page (its class is `qr`).

    In: the text, the level of repair (M for screens, Q for printed labels), the words a screen reader says.
    Out: markup, everything escaped. It has no size of its own, and is black on white whatever the colours of
    the page are, since many readers cannot read a code turned light on dark.
    Raises ValueError where the text is too long for a QR code.
    """
    rows = modules(text, level)
    path = "".join(_runs(rows))
    return (
        f'<svg class="qr" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {len(rows)} {len(rows)}" '
        f'role="img" shape-rendering="crispEdges"><title>{escape(title)}</title>'
        f'<rect width="100%" height="100%" fill="#ffffff"/><path fill="#000000" d="{path}"/></svg>'
    )


def _runs(rows: list[list[bool]]) -> list[str]:
    """One closed path for each run of dark modules in a row: few bytes, no hairlines between them."""
    paths = []
    for y, row in enumerate(rows):
        start: int | None = None
        for x, dark in enumerate([*row, False]):
            if dark and start is None:
                start = x
            elif not dark and start is not None:
                paths.append(f"M{start} {y}h{x - start}v1H{start}z")
                start = None
    return paths


def terminal(text: str, encoding: str | None, colour: bool = False) -> str | None:
    """The code in half-block characters, two rows of modules to a line, for a terminal.

    In: the text, the encoding of the stream it will be written to, and whether the terminal understands
    colours (then it is right on light terminals too). Out: lines that end in a newline, or None where the
    stream cannot write these characters: then show the address alone.
    """
    drawn = StringIO()
    _code(text, "M").print_ascii(out=drawn, invert=True)
    # The blank of this drawing is a no-break space, which some encodings lack where they have the blocks.
    lines = drawn.getvalue().replace("\xa0", " ").splitlines()
    if colour:
        lines = [f"{_WHITE_ON_BLACK}{line}{_PLAIN}" for line in lines]
    whole = "".join(line + "\n" for line in lines)
    try:
        whole.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return None
    return whole
