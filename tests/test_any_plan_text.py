"""Any text at all as a plan: refused with little work, answered when damaged, and written so that it reads back."""

from __future__ import annotations

import string
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from effort import by_lot, tries
from hypothesis import given, settings
from hypothesis import strategies as st
from test_narrow_cloth import kinds_of_cloth
from test_planfile import BROKEN, PLANS, VALID, valid
from working import counted_work

from tracker.exact.measure import Measure
from tracker.plan.defaults import DEFAULTS
from tracker.plan.model import (
    RULERS,
    Backing,
    Binding,
    Block,
    Border,
    Cell,
    Fabric,
    Frame,
    Plan,
    Quilt,
    Sash,
)
from tracker.plan.plan_reader import read_plan, write_plan
from tracker.plan.problems import KINDS, LONGEST_KEPT, sentence, unseen
from tracker.pressing.meetings import HABITS

REFUSED = [
    ("a" * 1_000_001, "too large"),
    ("é" * 600_000, "too large"),
    (b"\xff\xfet", "not text"),
    (b"title = 'caf\xe9'", "not text"),
    ("title = \0", "control"),
    ("title = 'a'\rseam = 1", "control"),
    ("a = " + "[" * 900_000, "too deep"),
    ("a = " + "{a=" * 300_000, "too deep"),
    ("a" + ".a" * 490_000 + " = 1", "too deep"),
    ("['a'" + ".'a'" * 200_000 + "]", "too deep"),
    ("a = [" + "1," * 400_000 + "]", "too many values"),
    ("tone = " + "9" * 900_000, "long number"),
    ("a" * 900_000, "no equals"),
    ("a = '''" + "x\n" * 400_000, "unclosed text"),
    ("\t" * 900_000 + "=", "syntax"),
    ("title = '\ud800'", "text control"),
    ("'\ud800' = 1", "foreign key"),
    ("seam = 0x" + "f" * 900_000, "too long"),
    ("seam = 1." + "9" * 900_000, "float"),
    ("[fabrics." + "A" * 900_000 + "]", "fabric key"),
    ("".join(f"[a{number}]\n" for number in range(20_000)), "foreign key"),
    ("".join(f"[blocks.b{number}]\n" for number in range(10_001)), "too many blocks"),
    (
        "".join(f"[blocks.b{n}]\npicture = '''" + ("S " * 64 + "\n") * 64 + "'''\n" for n in range(25)),
        "too many cells in all",
    ),
    ("[blocks.b]\ncell = 1\npicture = '" + "S " * 400_000 + "'", "too many cells in all"),
    ("[blocks.b]\ncell = 1\npicture = '''" + "S\n" * 90_000 + "'''", "too many rows"),
]
LOT = by_lot(REFUSED)


def test_every_mistake_has_a_file_and_every_kind_a_mistake() -> None:
    assert len(BROKEN) >= 50
    assert {path.with_suffix("").name for path in BROKEN} == {p.stem for p in (PLANS / "broken").glob("*.txt")}
    met = {problem.kind for path in BROKEN for problem in read_plan(path.read_bytes()).problems}
    # What is larger than its cloth shows when its pieces are known; a seam is judged where a plan is to be used.
    assert set(KINDS) - met <= {kind for _, kind in REFUSED} | kinds_of_cloth() | {"seam too small"}


@pytest.mark.parametrize(("text", "kind"), LOT, ids=[kind for _, kind in LOT])
def test_absurd_texts_are_refused_with_little_work(text: str | bytes, kind: str) -> None:
    with counted_work() as lines:
        reading = read_plan(text)
        sentences = [sentence(problem) for problem in reading.problems]
    # Each key that a block may have adds its share for each of ten thousand blocks.
    assert 0 < lines[0] < 5_500_000 + 12 * len(text)
    assert kind in [problem.kind for problem in reading.problems]
    assert all(len(words) < 700 and not any(map(unseen, words)) for words in sentences)
    for problem in reading.problems:
        kept = (problem.file, problem.key, problem.read, problem.right, problem.block or "")
        assert all(len(words) <= LONGEST_KEPT for words in kept), "what is kept of a plan is bounded too"


@given(st.sampled_from(VALID), st.data())
@settings(max_examples=tries(200), deadline=None)
def test_any_damage_to_a_plan_is_answered(path: Path, data: st.DataObject) -> None:
    text = path.read_text(encoding="utf-8")
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = start + data.draw(st.integers(0, 12))
        text = text[:start] + data.draw(st.text(max_size=3) | st.sampled_from(list("[]{}'\"\\/:.=#<^\n"))) + text[end:]
    reading = read_plan(text)
    assert (reading.plan is None) == bool(reading.problems)
    for problem in reading.problems:
        assert problem.line is None or 1 <= problem.line <= text.count("\n") + 1
        assert not any(map(unseen, sentence(problem)))


@given(st.binary() | st.text())
@settings(deadline=None)
def test_any_bytes_are_answered(text: bytes | str) -> None:
    assert read_plan(text).plan is None


# Plans written and read back

names = st.text(min_size=1, max_size=30).map(str.strip).filter(lambda text: text and not any(map(unseen, text)))
colours = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


def lengths(least: Measure) -> st.SearchStrategy[Measure]:
    """Lengths above `least`, on and off the ruler."""
    return st.fractions(Fraction(1, 64), 100, max_denominator=64).map(lambda more: least + more)


@st.composite
def cells(draw: st.DrawFn, rows: int, columns: int, even: bool, fabrics: list[str]) -> tuple[Cell, ...]:
    """A picture: places filled in reading order with patches that may span several."""
    taken: set[tuple[int, int]] = set()
    found = []
    for row in range(rows):
        for column in range(columns):
            if (row, column) in taken:
                continue
            free = next((n for n in range(1, columns - column) if (row, column + n) in taken), columns - column)
            across = draw(st.integers(1, min(free, 3)))
            down = draw(st.integers(1, min(rows - row, 3)))
            taken |= {(row + r, column + c) for r in range(down) for c in range(across)}
            if even and across == down and draw(st.booleans()):
                keys = draw(st.lists(st.sampled_from(fabrics), min_size=4, max_size=4))
            else:
                keys = [draw(st.sampled_from(fabrics))] * 4
            found.append(Cell(row, column, (keys[0], keys[1], keys[2], keys[3]), down, across))
    return tuple(found)


@st.composite
def blocks(draw: st.DrawFn, keys: list[str], fabrics: list[str], seam: Measure, square: bool) -> dict[str, Block]:
    """Blocks of one size."""
    rows = draw(st.integers(1, 5))
    columns = rows if square else draw(st.integers(1, 5))
    if square or draw(st.booleans()):
        widths = heights = (draw(lengths(seam)),) * 5
    else:
        widths, heights = (tuple(draw(lengths(seam)) for _ in range(5)) for _ in "ab")
    frame = st.builds(Frame, st.sampled_from(fabrics), lengths(2 * seam))
    frames = draw(st.lists(frame, max_size=2).map(tuple))
    even = len({*widths[:columns], *heights[:rows]}) == 1
    return {
        key: Block(
            key,
            draw(names),
            widths[:columns],
            heights[:rows],
            draw(cells(rows, columns, even, fabrics)),
            frames,
            draw(st.booleans()),
            draw(st.booleans()),
        )
        for key in keys
    }


@st.composite
def quilts(draw: st.DrawFn, keys: list[str], fabrics: list[str], seam: Measure, on_point: bool) -> Quilt:
    """A layout of blocks of one size, with whatever may lie round it."""
    cloth = st.sampled_from(fabrics)
    across, down = draw(st.integers(1, 4)), draw(st.integers(1, 4))
    widths = [across - row % 2 for row in range(2 * down - 1)] if on_point else [across] * down
    width = lengths(2 * seam)
    borders = st.lists(st.builds(Border, cloth, width, st.none() | cloth, st.booleans()), max_size=3)
    return Quilt(
        places=tuple(tuple(draw(st.sampled_from(keys)) for _ in range(number)) for number in widths),
        setting="on point" if on_point else "straight",
        setting_fabric=draw(cloth) if on_point else None,
        floats=draw(st.none() | lengths(Measure())) if on_point else None,
        half_turns=draw(st.booleans()),
        sash=draw(st.none() | st.builds(Sash, cloth, width, st.none() | cloth)),
        borders=tuple(draw(borders)),
        binding=draw(st.none() | st.builds(Binding, cloth, width)),
        backing=draw(st.none() | st.builds(Backing, cloth, lengths(Measure()))),
        batting_beyond=draw(st.none() | lengths(Measure())),
        # Blocks drawn here need not be square, and others are turned by halves alone.
        turns=draw(st.just(()) | st.lists(st.tuples(*[st.sampled_from((0, 180))] * across), max_size=3).map(tuple)),
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Any plan that a file can hold, in either unit."""
    unit = draw(st.sampled_from(("in", "cm")))
    key = st.text(string.ascii_letters + string.digits, min_size=1, max_size=4).map(lambda text: "F" + text)
    fabrics = draw(st.lists(key, min_size=1, max_size=5, unique=True))
    keys = draw(
        st.lists(st.text(string.ascii_letters + "-_", min_size=1, max_size=6), min_size=1, max_size=3, unique=True)
    )
    seam = draw(lengths(Measure()))
    on_point = draw(st.booleans())
    return Plan(
        title=draw(names),
        unit=unit,
        seam=seam,
        trimming=draw(st.sampled_from(("roomy", "exact"))),
        ruler=draw(st.sampled_from([Measure(mark) for mark in RULERS[unit]])),
        half_square=draw(st.sampled_from(("two", "four", "eight", "best"))),
        geese=draw(st.sampled_from(("flip", "four", "best"))),
        press_rows=draw(st.sampled_from(tuple(HABITS))),
        split_square=draw(st.sampled_from(("fitted", "alike"))),
        bonus=draw(st.booleans()),
        fabrics={
            name: Fabric(
                name,
                draw(names),
                draw(st.integers(1, 9)),
                draw(colours),
                draw(lengths(Measure())),
                draw(st.none() | lengths(Measure())),
                draw(st.booleans()),
                draw(st.integers(0, 20)),
            )
            for name in fabrics
        },
        blocks=draw(blocks(keys, fabrics, seam, on_point)),
        quilt=draw(quilts(keys, fabrics, seam, on_point)),
        allowance=draw(st.fractions(0, 1, max_denominator=400)),
    )


@given(plans())
@settings(max_examples=tries(50), deadline=None)
def test_a_written_plan_reads_back_equal(plan: Plan) -> None:
    reading = read_plan(write_plan(plan))
    assert [sentence(problem) for problem in reading.problems] == []
    assert reading.plan == plan


def test_what_a_plan_means_anyway_is_left_out() -> None:
    plan = valid("smallest")
    defaults = DEFAULTS["in"]
    written = write_plan(plan)
    assert "seam" not in written
    assert "allowance" not in written
    assert "colour" not in written
    assert "seam" in write_plan(replace(plan, seam=defaults.seam * 2))
