"""Where the page templates and the static files lie."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

_PACKAGE = Path(__file__).resolve().parent


def folder(name: Literal["templates", "static"]) -> Path:
    """The folder of templates or static files.

    A wheel carries both inside the package. Run from the source tree (or installed from it in place), they
    lie beside the package instead. Raises FileNotFoundError, in one sentence, where neither is so.
    """
    root = _PACKAGE if (_PACKAGE / "templates").is_dir() else _PACKAGE.parent
    found = root / name
    if not found.is_dir():
        raise FileNotFoundError(f"The folder {name} is missing from {root}: install the tool again.")
    return found
