"""What one tap counts of a pass, as a text: read as it is told, and never more than a quilt can have."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.web.shares import read_shares, runs_of


@given(st.lists(st.sets(st.integers(1, 400), min_size=1), min_size=1, max_size=4))
def test_blocks_in_runs_are_read_as_they_were(steps: list[set[int]]) -> None:
    told = [".".join(f"{first}-{last}" for first, last in runs_of(sorted(blocks))) for blocks in steps]
    read = read_shares(" ".join(f"a{number}@{runs}" for number, runs in enumerate(told)))
    assert read == [(f"a{number}", 0, tuple(sorted(blocks))) for number, blocks in enumerate(steps)]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("a", "a"),
        ("a*", "a*"),
        ("a*3 b*-1", "b*-1"),
        ("a@5-2", "a@5-2"),
        ("a@1..2", "a@1..2"),
        ("a@1-999999", "a@1-999999"),
        ("a@1-60000.1-60000", "a@1-60000.1-60000"),
        (" ".join(f"a{number}@1-60000" for number in range(3000)), "a1@1-60000"),
    ],
)
def test_a_word_that_tells_nothing_or_too_much_is_named(text: str, named: str) -> None:
    with pytest.raises(ValueError, match=f"^{re.escape(named)}$"):
        read_shares(text)
