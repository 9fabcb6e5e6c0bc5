"""The page's own counting while the computer is away is the computer's: after any taps both say the same of every step.

What only the computer can reckon (strips, stages, pieces spoiled, taps that the page does not know) is held to less:
the page promises nothing that is not there. Then it asks for the counts anew, as pages do.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from any_taps import tap_about
from effort import tries
from flask import Flask
from freezing import PLANS
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from plan_strategies import plans, whole_quilts
from playwright.sync_api import Page
from random_quilts import random_quilt
from reckoned import Quilted
from visitors import SMALL_PLAN, room_of

from tracker.plan.plan_reader import write_plan
from tracker.store.quilts import Store

SEEDS = st.integers(0, 2**32 - 1)
PACES = st.tuples(st.booleans(), st.sampled_from((None, 1, 2)))
TEXTS = st.one_of(
    plans(most=2, most_blocks=4, combine=True).map(write_plan),
    whole_quilts().map(write_plan),
    SEEDS.map(lambda seed: write_plan(random_quilt(Random(seed), 2, 4))),
    st.sampled_from(sorted(PLANS)).map(lambda name: PLANS[name].read_text(encoding="utf-8")),
)


@pytest.fixture(scope="module")
def page(browser: Any) -> Iterator[Page]:
    """A page with the page's own reckoning in it."""
    opened = browser.new_page()
    opened.add_script_tag(path=str(Path(__file__).parent.parent / "static/reckoning.js"))
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def rooms(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Flask, Store]]:
    """One room for all these quilts."""
    with Store.open(tmp_path_factory.mktemp("reckoned")) as store:
        yield room_of(store), store


CUT_SAND, CUT_RED = ("done", "Cut pale", 2), ("done", "Cut lamp red squares, 3 in", 2)
UNITS = [("done", title, 4 if title in ("Cut lamp red squares, 2½ in", "Press half", "Trim") else 2) for title in (
    "Cut lamp red squares, 3 in", "Cut lamp red squares, 2½ in", "Cut pale sand", "Mark", "Pair", "Sew", "Cut apart",
    "Press half", "Trim",
)]  # fmt: skip
"""All units of both blocks of the small quilt."""
BLOCK = [("done", title, 1) for title in ("Lay out", "Join row 1", "Join row 2", "Press the rows", "Pin row 2")]
"""The first block up to its last seam."""
LAST = [("done", title, 1) for title in ("Join row 2", "Press the joins", "Measure")]
"""The rest of it, up to when it is squared."""
CASES: dict[str, list[tuple[Any, ...]]] = {
    "more than lies ready is asked about, and answered": [("done", "Mark", 2), CUT_SAND, ("settle", 0, 2)],
    "not at all": [("done", "Mark", 2), CUT_SAND, ("settle", 0, 0)],
    "answered with more than there is": [("done", "Mark", 2), ("settle", 0, 1)],
    "two asked about together, and the answer taken back": [
        ("done", "Mark", 1), ("done", "Pair", 1), CUT_SAND, CUT_RED, ("settle all", "0 1", "1 1"), ("back", 4)],
    "asked again, answered otherwise": [
        ("done", "Mark", 2), ("done", "Mark", 2), CUT_SAND, ("settle all", "0 1", "1 0"), ("back", 3),
        ("settle", 1, 2)],
    "one of two is gone when both are answered": [
        ("done", "Mark", 1), ("done", "Mark", 1), CUT_SAND, ("settle", 0, 1), ("settle all", "0 1", "1 1")],
    "taken back, twice": [CUT_SAND, ("back", 0), ("back", 0)],
    "what later work rests on is not taken back": [
        CUT_SAND, ("done", "Mark", 2), ("back", 0), ("back", 1), ("back", 0)],
    "taken back while it was asked about": [("done", "Mark", 1), ("back", 0), CUT_SAND, ("settle", 0, 1)],
    "counted in all, more and fewer": [
        CUT_SAND, ("counted", "Cut pale", 1), ("counted", "Cut pale", 1), ("counted", "Mark", 2), ("back", 1)],
    "counted, where another number was seen": [CUT_SAND, ("counted", "Cut pale", 1, {"seen": 0})],
    "cut again for a piece lost, though the blocks in work have theirs": [
        CUT_SAND, ("spoiled", "Cut pale", 1), ("done", "Cut pale", 1), ("done", "Mark", 2)],
    "more than the plan asks for": [("done", "Cut pale", 3), ("done", "Cut pale", 2), ("done", "Cut pale", 1)],
    "unpicked and sewn again": [*UNITS[:6], ("put back", "Sew", 1), ("done", "Sew", 1), ("put back", "Sew", 3)],
    "what is cut, marked, cut apart or trimmed is not unpicked": [
        *UNITS, *((do, title, 1) for do in ("put back",) for title in ("Cut pale", "Mark", "Cut apart", "Trim")),
        ("done", "Mark", 1), ("counted", "Trim", 3)],
    "what is counted by mistake is not done, though it cannot be unpicked": [
        *UNITS, *BLOCK, *LAST, ("put back", "Square", 1, {"blocks": "1"}), ("not done", "Square", 1, {"blocks": "1"})],
    "of what is no block's, nothing was not done": [CUT_SAND, ("not done", "Cut pale", 1, {"blocks": "1"})],
    "one block twice, and a block that is none": [
        *UNITS, ("done", "Lay out", 2, {"blocks": "1 1"}), ("done", "Lay out", 1, {"blocks": "3"}),
        ("done", "Lay out", 1, {"blocks": "1"}), ("done", "Lay out", 1, {"blocks": "1"})],
    "the blocks that were offered, not those that are next": [
        *UNITS, ("done", "Lay out", 1, {"offered": "2"}), ("done", "Join row 1", 1), ("back", 9)],
    "a block's seam before its rows are joined": [*UNITS, BLOCK[0], ("done", "Pin row 2", 1, {"blocks": "1"})],
    "a join is opened with all that rests on it": [
        *UNITS, *BLOCK, ("opened", "Join row 1", 0, {"block": "1"}), ("done", "Join row 1", 1), ("back", 14)],
    "rows that are joined and taken back lie ready again": [
        *UNITS, *BLOCK[:3], ("back", 11), ("done", "Join row 2", 1), ("back", 12), ("back", 10),
        ("done", "Join row 1", 1)],
    "a join that was not sewn is not opened": [*UNITS, ("opened", "Join row 1", 0, {"block": "1"})],
}  # fmt: skip
"""Short sequences that two reckonings came apart at once, or may: what is done (or taken back, settled) in turn. A step
stands by how its title begins, a tap by its place; the law is looked at after every tap."""


@pytest.mark.parametrize("case", CASES)
def test_tricky_taps_count_on_the_page_as_in_the_computer(case: str, page: Page, rooms: tuple[Flask, Store]) -> None:
    quilt = Quilted(*rooms, SMALL_PLAN, (False, 1), page)
    for do, what, *more in CASES[case]:
        times, other = [*more, {}][:2] if more else (None, {})
        if do in ("back", "settle", "settle all"):
            named = " ".join(quilt.taps[int(number)]["id"] for number in str(what).split())
            fields = {"do": "take back" if do == "back" else do, "what": named}
            exact = do != "back" or not quilt.taps[what]["fields"][1][1].startswith("settle")
        elif do == "spoiled":
            fields, exact = {"do": do, "pile": quilt.pile(what)}, False
        else:
            fields, exact = {"do": do, "step": quilt.short(what)} | other, True
        quilt.tap_and_look(fields if times is None else fields | {"times": times}, exact, 0)
    quilt.agree()


TWO_VERSIONS = """\
title = "Lantern cushion"
trimming = "exact"
press_rows = "one way"

[fabrics.S]
name = "pale sand"
tone = 2

[fabrics.R]
name = "lamp red"
tone = 7

[blocks.lantern]
name = "Lantern"
cell = "2"
picture = '''
S
R
'''

[quilt]
block = "lantern"
across = 3
down = 1
"""
"""Three blocks, the one between pressed otherwise, so that one pass squares both versions."""


def test_what_brings_a_block_to_its_end_asks_nothing_more_of_the_same_pass(
    page: Page, rooms: tuple[Flask, Store]
) -> None:
    quilt = Quilted(*rooms, TWO_VERSIONS, (False, 1), page)
    with quilt.opened() as opened:
        shorts = {opened.compiled.short[step.id]: opened.counts.count(step) for step in opened.steps}
    squares = [quilt.short(f"Square Lantern, version {version}") for version in "AB"]
    for short in list(shorts)[: list(shorts).index(squares[0])]:
        quilt.tap("done", step=short, times=shorts[short])
    assert quilt.said[-1]["steps"][squares[0]]["pass"] == f"{squares[0]}@1"
    assert all(quilt.said[-1]["steps"][short]["ready"] for short in squares)
    quilt.agree()


FITTED = TWO_VERSIONS.replace(
    "[quilt]",
    """[[blocks.lantern.frame]]
fabric = "R"
cut = "1 1/2"

[quilt]""",
)
"""The same with frames that are cut to the length of the blocks."""


def test_the_page_too_offers_frames_that_are_cut_to_fit_once_a_block_is_measured(
    page: Page, rooms: tuple[Flask, Store]
) -> None:
    quilt = Quilted(*rooms, FITTED, (True, None), page)
    offered: list[str] = []
    while not offered or not offered[-1].startswith("Square"):
        found = quilt.said[-1]
        offered.append(quilt.title(found["on"]))
        quilt.tap("done", step=found["on"], times=found["steps"][found["on"]]["now"])
    frames = [place for place, title in enumerate(offered) if title.endswith("for frames")]
    measured = next(place for place, title in enumerate(offered) if title.startswith("Measure"))
    assert min(frames) == measured + 1, offered
    quilt.agree()


# What fails is not made smaller: any change of a plan or seed makes other taps.

LAW = settings(
    max_examples=tries(200, 3),
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


@given(TEXTS, PACES, SEEDS)
@LAW
def test_the_page_counts_as_the_computer_does(
    page: Page, rooms: tuple[Flask, Store], text: str, pace: tuple[bool, int | None], seed: int
) -> None:
    tap_about(Quilted(*rooms, text, pace, page), Random(seed), 40)
