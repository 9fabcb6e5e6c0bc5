"""The screens, a file each; whatever lies here is one, and nothing else names it."""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules

from tracker.web.screen import SCREENS, Screen


def all_screens() -> tuple[Screen, ...]:
    """Every screen, its file read the first time."""
    for found in iter_modules(__path__):
        import_module(f"{__name__}.{found.name}")
    return tuple(SCREENS.values())
