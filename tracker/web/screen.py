"""What a screen is: its addresses, its part that changes with the counts, its place among the links at the top.

Each is a file in `screens` that makes one `Screen`, and so registers itself; its templates bear its name.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import Blueprint

from tracker.web.opened import Opened

Facts = dict[str, Any]
FactsOf = Callable[[Opened, str], Facts]
"""What finds the facts of a part that changes: given the quilt, and what follows the screen's name in the view."""


@dataclass(frozen=True)
class NavPlace:
    """A link at the top of every page: its place from the left, its words, and where it leads, in the quilt at hand
    or (`of_quilt` false) wherever one is."""

    order: int
    words: str
    at: str
    of_quilt: bool = True


class Screen(Blueprint):
    """One screen. In: its name, what its addresses begin with, its place among the links at the top (None: none).

    Its page is `pages/NAME.html`; where a part of it changes with the counts, `live/NAME.html` is that part, and the
    function marked with `live` finds its facts. ValueError where the name is taken.
    """

    def __init__(self, name: str, at: str = "", nav: NavPlace | None = None) -> None:
        super().__init__(name, __name__, url_prefix=at or None)
        if name in SCREENS:
            raise ValueError(f"there are two screens of the name {name}")
        self.nav = nav
        self.facts: FactsOf | None = None
        SCREENS[name] = self

    def live(self, facts: FactsOf) -> FactsOf:
        """Mark what finds the facts of the part that changes."""
        self.facts = facts
        return facts


SCREENS: dict[str, Screen] = {}
"""Every screen by its name."""
