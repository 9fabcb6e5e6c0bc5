"""Consoles and files without our letters: every size is right there too, JSON says the same, and nothing breaks off."""

from __future__ import annotations

import io
import json
import re
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.cli import main
from tracker.demo import PLAN_FILE
from tracker.exact.measure import Measure, write_length
from tracker.plan.plan_reader import read_plan
from tracker.words.plain_letters import PLAIN, plainly, write_all

NARROW = ("ascii", "cp1252", "cp437", "cp850", "cp1250", "cp932")
"""What consoles and files are in elsewhere."""


def printed(encoding: str, monkeypatch: pytest.MonkeyPatch, *arguments: str) -> str:
    """What a command prints where this is the encoding."""
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding=encoding, newline=""))
    code = main(arguments)
    sys.stdout.flush()
    assert code == 0
    return raw.getvalue().decode(encoding)


@pytest.mark.parametrize("encoding", NARROW)
@pytest.mark.parametrize("command", ["cut", "press"])
def test_what_is_printed_says_the_same_in_every_encoding(
    command: str, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours = printed("utf-8", monkeypatch, command, str(PLAN_FILE))
    theirs = printed(encoding, monkeypatch, command, str(PLAN_FILE))
    assert plainly(ours) == plainly(theirs)
    assert "?" not in theirs.replace(" ?", "")
    if command == "cut":
        assert re.search(r"\d (1/2|½) in", theirs) or "½" in theirs


@pytest.mark.parametrize("encoding", NARROW)
def test_json_is_the_same_in_every_encoding(encoding: str, monkeypatch: pytest.MonkeyPatch) -> None:
    ours = printed("utf-8", monkeypatch, "cut", str(PLAN_FILE), "--json")
    theirs = printed(encoding, monkeypatch, "cut", str(PLAN_FILE), "--json")
    assert json.loads(ours) == json.loads(theirs)


@given(st.integers(0, 60), st.integers(0, 63))
def test_a_size_stays_that_size(whole: int, sixty_fourths: int) -> None:
    size = Measure(64 * whole + sixty_fourths) / 64
    written = plainly(write_length(size, "in"))
    number = written.removesuffix(" in")
    assert sum(map(Fraction, number.split())) == Fraction(64 * whole + sixty_fourths, 64)


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("2⅛ × 3½ in", "2 1/8 x 3 1/2 in"),
        ("⅜ in", "3/8 in"),
        ("“Devices and backup”…", '"Devices and backup"...'),
        ("Zoë’s quilt", "Zoe's quilt"),
        ("4\u00a0in − ¼", "4 in - 1/4"),
        ("布", "?"),
    ],
)
def test_letters_have_plain_ones(ours: str, theirs: str) -> None:
    assert plainly(ours) == theirs
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    write_all(stream)
    assert stream.errors == PLAIN
    print(ours, file=stream, end="", flush=True)
    assert stream.buffer.getvalue().decode() == theirs  # type: ignore[attr-defined]


def test_a_plan_that_windows_own_shell_wrote_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """It writes what a command printed in two bytes for each letter."""
    text = printed("utf-8", monkeypatch, "known", "churn", "dash")
    wide = read_plan(text.replace("\n", "\r\n").encode("utf-16"))
    assert wide.plan == read_plan(text).plan
    assert wide.plan is not None
    (problem,) = read_plan(b"\xff\xfe\x00\xd8").problems
    assert "text" in str(problem)
