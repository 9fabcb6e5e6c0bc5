"""README says what the job is, then how to see it done and how to test it, and shows it in two small pictures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PIL import Image
from plan_keys import rows

ROOT = Path(__file__).resolve().parent.parent
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
PARTS = re.split(r"\n{2,}", TEXT.strip())
"""README's paragraphs, headings, tables and commands."""

COMMANDS = (
    "    python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/sewing-room serve --demo",
    "    bash tests/run",
)

JOB = {
    "who": ("many like blocks", "at home", "teaches"),
    "what she must get done": (
        "picture of a block",
        "binding",
        "list that is right",
        "cloth enough",
        "dozens of blocks",
    ),
    "how she has to do it": ("short bursts", "weeks", "both hands", "nest", "one size", "place"),
    "what goes wrong today": ("paper", "memory", "arithmetic", "lists are wrong", "one small block", "place is lost"),
    "what this does": ("exactly", "proves", "counts", "what can be done next", "where she stopped"),
}


@pytest.mark.parametrize("about", JOB)
def test_the_first_paragraph_states_the_job(about: str) -> None:
    assert PARTS[0] == "# Sewing room"
    words = " ".join(PARTS[1].split())
    assert [part for part in JOB[about] if part not in words] == []


def test_the_two_commands_follow_at_once_and_nothing_else_is_a_command_of_theirs() -> None:
    """A paragraph, a line and the demo, a line and the tests."""
    (said, demo), (asked, tests) = PARTS[2:4], PARTS[4:6]
    assert (demo, tests) == COMMANDS
    assert said.endswith(":")
    assert "\n" not in said
    assert asked.endswith(":")
    assert "\n" not in asked
    assert [line for line in TEXT.splitlines() if "-m venv" in line or "tests/run" in line] == list(COMMANDS)


def test_the_script_that_others_start_is_the_second_command() -> None:
    (line,) = (line for line in (ROOT / ".ci" / "run").read_text().splitlines() if line and not line.startswith("#"))
    assert re.fullmatch(r'exec bash "\$\(dirname -- "\$\{BASH_SOURCE\[0\]\}"\)/\.\./tests/run" "\$@" </dev/null', line)


def test_its_two_pictures_are_there_small_and_of_a_phone_and_described() -> None:
    pictures = re.findall(r"!\[([^\]]*)\]\(([^)]*)\)", TEXT)
    assert len(pictures) == 2
    assert {file for _, file in pictures} == {f"static/pictures/{p.name}" for p in (ROOT / "static/pictures").iterdir()}
    for words, file in pictures:
        assert len(words.split()) > 5
        assert 1_000 < (ROOT / file).stat().st_size <= 60_000
        with Image.open(ROOT / file) as picture:
            assert picture.size == (390, 844)
            assert len(picture.convert("RGB").getcolors(1 << 20) or []) > 8


def test_it_lists_every_key_of_a_plan_as_it_is_declared() -> None:
    (table,) = (part for part in PARTS if part.startswith("| where | key |"))
    assert table.splitlines()[2:] == list(rows())
