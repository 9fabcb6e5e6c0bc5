"""Screens: each registers itself, and its templates bear its name."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracker import assets
from tracker.web import screens
from tracker.web.screen import SCREENS, Screen
from tracker.web.screens import all_screens

NO_SCREENS = {"fault", "stranger", "restored"}
"""Pages that no address shows by itself: what went wrong, who is not let in, what was done."""


def named(folder: str) -> set[str]:
    """The templates in a folder, by name."""
    return {path.stem for path in (assets.folder("templates") / folder).glob("*.html")}


def test_every_file_is_one_screen_and_has_a_page_of_its_name() -> None:
    files = {path.stem for path in Path(str(screens.__file__)).parent.glob("*.py")} - {"__init__"}
    assert {screen.name for screen in all_screens()} == files
    assert named("pages") == files | NO_SCREENS


def test_what_changes_with_the_counts_has_a_template_and_facts() -> None:
    assert named("live") == {screen.name for screen in all_screens() if screen.facts is not None}


def test_the_links_at_the_top_stand_in_one_order() -> None:
    places = [screen.nav.order for screen in all_screens() if screen.nav is not None]
    assert sorted(places) == list(range(1, len(places) + 1))


def test_two_screens_of_one_name_are_an_error_at_once() -> None:
    first = {screen.name: screen for screen in all_screens()}["list"]
    with pytest.raises(ValueError, match="two screens of the name list"):
        Screen("list")
    assert SCREENS["list"] is first
