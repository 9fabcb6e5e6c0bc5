"""What the top measured: read as people write it, kept as a tap, and what follows from it for every later border."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from measuring import FERRY_PLAN
from planning import replayed, tapped

from tracker.exact.measure import Measure, convert, on_mark, read_length, write_length
from tracker.progress.changes import Refused
from tracker.progress.edited_plan import carry_over
from tracker.progress.ledger import Progress
from tracker.progress.measured_top import (
    SIDES,
    BordersStanding,
    Figures,
    border_pairs,
    is_measured,
    read_figures,
    standing,
)
from tracker.progress.tap_kinds import read_tap, written
from tracker.web.opened import Compiled, compile_text
from tracker.words.measured_words import findings
from tracker.words.refusals import refusal

MARK = {"in": Measure(Fraction(1, 8)), "cm": Measure(Fraction(1, 10))}
CM_PLAN = (
    FERRY_PLAN.replace('title = "Ferry lane throw"', 'title = "Ferry lane throw"\nunit = "cm"')
    .replace('cell = "3"', 'cell = "8"')
    .replace('cut = "2 1/2"', 'cut = "6.5"')
    .replace('cut = "4"', 'cut = "10"')
    .replace('beyond = "4"', 'beyond = "10"')
)
"""The same in centimetres: 128 cm of blocks each way, so that the first sides are 129.5 cm long."""


def inches(*texts: str) -> Figures:
    return Figures(tuple(read_length(text, "in") for text in texts), texts)


def length(text: str) -> Measure:
    return read_length(text, "in")


# One measuring


@pytest.mark.parametrize(
    ("texts", "average", "cut"),
    [
        (["58 3/8"], "58 3/8", "58 3/8"),
        (["58⅜", "58 1/2"], "58 7/16", "58 1/2"),  # half between two marks goes up
        (["58 3/8", "58 1/2", "58 1/4"], "58 3/8", "58 3/8"),
        (["49", "48 1/2", "48 1/4"], "48 7/12", "48 5/8"),
        (["58", "58", "58", "58", "58 1/2"], "58 1/10", "58 1/8"),
    ],
)
def test_strips_are_cut_to_the_exact_average_rounded_once(texts: list[str], average: str, cut: str) -> None:
    figures = inches(*texts)
    assert figures.average == length(average)
    assert figures.cut(MARK["in"]) == length(cut)


EIGHTHS = st.integers(1, 2400).map(lambda eighths: Measure(Fraction(eighths, 8)))
TOPS = st.lists(EIGHTHS, min_size=1, max_size=5)


@given(TOPS, st.randoms())
def test_the_order_of_the_figures_does_not_matter_to_the_length(lengths: list[Measure], chance: Any) -> None:
    mixed = list(lengths)
    chance.shuffle(mixed)
    one, other = Figures(tuple(lengths)), Figures(tuple(mixed))
    assert (one.average, one.cut(MARK["in"]), one.spread) == (other.average, other.cut(MARK["in"]), other.spread)


@given(TOPS)
def test_the_average_is_exact_and_the_cut_is_the_mark_nearest_to_it(lengths: list[Measure]) -> None:
    figures = Figures(tuple(lengths))
    assert figures.average * len(lengths) == sum(lengths, Measure())
    cut = figures.cut(MARK["in"])
    assert on_mark(cut, MARK["in"])
    assert 2 * abs(cut - figures.average) <= MARK["in"]
    assert min(lengths) <= figures.average <= max(lengths)


@given(TOPS, st.integers(0, 4), EIGHTHS)
def test_a_longer_figure_never_makes_a_shorter_strip(lengths: list[Measure], which: int, more: Measure) -> None:
    grown = list(lengths)
    grown[which % len(grown)] += more
    assert Figures(tuple(grown)).cut(MARK["in"]) >= Figures(tuple(lengths)).cut(MARK["in"])


@given(EIGHTHS, st.sampled_from(["in", "cm"]), st.booleans())
def test_what_is_typed_is_what_is_read_whatever_its_unit(size: Measure, unit: str, plain: bool) -> None:
    own = convert(size, "in", unit)
    texts = [write_length(own, unit, plain), f"{write_length(size, 'in', plain)} in"]
    assert read_figures(texts, own, unit).lengths == (own, own)


@pytest.mark.parametrize(
    ("texts", "shape"),
    [
        (["58", "58 1/2", "58 1/4"], "even"),
        (["58"], "even"),
        (["58", "58 5/8"], "uneven"),
        (["58 3/4", "58 1/4", "58"], "out of square"),
        (["58", "58 1/4", "58 3/4"], "out of square"),
        (["58 3/4", "58", "58 3/4"], "edges long"),
        (["58 5/8", "58", "58 1/2"], "edges long"),
        (["58", "58 3/4", "58 1/8"], "middle long"),
        (["58 3/4", "58", "58", "58", "58 5/8"], "edges long"),
    ],
)
def test_what_the_figures_say_of_the_top(texts: list[str], shape: str) -> None:
    assert inches(*texts).shape("in") == shape


@pytest.mark.parametrize(("middle", "shape"), [("149.4", "even"), ("149.5", "middle long")])
def test_in_centimetres_more_than_one_and_two_tenths_is_too_much(middle: str, shape: str) -> None:
    figures = read_figures(["148.2", middle, "148.2"], Measure(148), "cm")
    assert figures.shape("cm") == shape


# Refused


BAD_FIGURES: list[tuple[object, str]] = [
    ([], "Write from 1 to 5 lengths that the top measures."),
    (None, "Write from 1 to 5 lengths that the top measures."),
    ("48", "Write from 1 to 5 lengths that the top measures."),
    (["48"] * 6, "Write from 1 to 5 lengths that the top measures."),
    (["48", "about 48"], "Read “about 48” as what the top measures; write a length such as 58 3/8."),
    (["48 3//8"], "Read “48 3//8” as what the top measures; write a length such as 58 3/8."),
    (["1e2"], "Read “1e2”, but not its unit; write a length such as 58 3/8 in."),
    (["48 ells"], "Read “48 ells”, but not its unit; write a length such as 58 3/8 in."),
    ([" "], "One of the lengths is empty; write what the top measures there, such as 58 3/8."),
    (["48 3/0"], "Read “48 3/0”; the lower number of a fraction is never 0. Write a length such as 58 3/8."),
    (["1,480"], "Read “1,480”; write it without the comma, or with a point."),
    (["-48"], "Read “-48”, but about 48½ in is planned there, and no top differs so much; write what it measures."),
    (["0"], "Read “0”, but about 48½ in is planned there, and no top differs so much; write what it measures."),
    (
        ["24 1/8"],
        "Read “24 1/8”, but about 48½ in is planned there, and no top differs so much; write what it measures.",
    ),
    (
        ["97 1/8"],
        "Read “97 1/8”, but about 48½ in is planned there, and no top differs so much; write what it measures.",
    ),
    ([48], "Read “48” as what the top measures; write a length such as 58 3/8."),
    ([48.5], "Read “48.5” as what the top measures; write a length such as 58 3/8."),
    (["x" * 300], f"Read “{'x' * 40}” as what the top measures; write a length such as 58 3/8."),
]


class Sewing:
    """A quilt with borders, measured in a test."""

    def __init__(self, plan: str = FERRY_PLAN) -> None:
        self.compiled: Compiled = compile_text(plan)
        self.progress = Progress(self.compiled.plan, self.compiled.checklist)
        self.pairs = border_pairs(self.compiled.plan, self.compiled.checklist)
        self.taps: list[dict[str, Any]] = []

    def tap(self, do: str, **what: Any) -> str:
        tap = written(read_tap({"id": f"tap{len(self.taps)}", "do": do, **what}).completed(self.progress.counts))
        self.taps.append(tap)
        self.progress.record(read_tap(tap))
        return str(tap["id"])

    def measure(self, pair: int, *lengths: str) -> str:
        """Measure for the pair with this number, from 0."""
        return self.tap("measured", step=self.pairs[pair].step.id, lengths=list(lengths))

    def measured(self) -> list[tuple[str, ...]]:
        """What counts for each pair; nothing where it was not measured."""
        found = self.progress.counts.told.measured()
        return [found.get(pair.step.id, ()) for pair in self.pairs]

    def standing(self) -> BordersStanding:
        return standing(self.compiled.plan, self.compiled.checklist, self.progress.counts.told.measured())

    def said(self, pair: int, cut: bool = False) -> list[tuple[str, str]]:
        now = self.standing()
        found = findings(self.compiled.words, now.strips, pair, cut, now.binding)
        return [(each.kind, each.words) for each in found]


@pytest.mark.parametrize(("lengths", "words"), BAD_FIGURES)
def test_a_bad_figure_is_named_and_nothing_is_kept(lengths: object, words: str) -> None:
    sewing = Sewing()
    sewing.measure(0, "48 1/4")
    with pytest.raises(Refused) as refused:
        sewing.tap("measured", step=sewing.pairs[0].step.id, lengths=lengths)
    assert refusal(refused.value, sewing.compiled.words) == words
    assert sewing.measured()[0] == ("48 1/4",)


def test_only_what_cuts_border_strips_to_length_is_measured_for() -> None:
    sewing = Sewing()
    others = [step for step in sewing.compiled.checklist.steps if not is_measured(step)]
    assert len(sewing.compiled.checklist.steps) - len(others) == 4
    for step in others:
        with pytest.raises(Refused, match="not measured"):
            sewing.progress.record(read_tap({"id": step.id, "do": "measured", "step": step.id, "lengths": ["48"]}))
    with pytest.raises(Refused, match="unknown step"):
        tapped(sewing.progress, {"id": "none", "do": "measured", "step": "measured:nothing", "lengths": ["48"]})


# Kept, replaced, taken back, carried


def test_a_later_measuring_takes_the_place_of_the_earlier_until_it_is_taken_back() -> None:
    sewing = Sewing()
    first = sewing.measure(0, "48 3/8", "48⅜", "48.5")
    later = sewing.measure(0, "49")
    assert sewing.measured()[0] == ("49",)
    sewing.tap("take back", what=later)
    assert sewing.measured()[0] == ("48 3/8", "48⅜", "48.5")
    again = sewing.measure(0, "48 3/4")
    sewing.tap("take back", what=first)
    assert sewing.measured()[0] == ("48 3/4",)
    sewing.tap("take back", what=again)
    assert sewing.measured() == [(), (), (), ()]
    with pytest.raises(Refused, match="already taken back"):
        sewing.tap("take back", what=again)


def test_alike_measurings_are_told_apart_when_one_is_taken_back() -> None:
    sewing = Sewing()
    first = sewing.measure(0, "48")
    sewing.measure(0, "49")
    sewing.measure(0, "48")
    sewing.tap("take back", what=first)
    assert sewing.measured()[0] == ("48",)


def test_a_tap_that_comes_twice_counts_once_and_replay_gives_the_same() -> None:
    sewing = Sewing()
    sewing.measure(0, "48 3/8", "48 1/2")
    sewing.measure(1, "52")
    assert not sewing.progress.record(read_tap(sewing.taps[0]))
    taken = sewing.measure(3, "52 1/2")
    sewing.tap("take back", what=taken)
    again = replayed(sewing.compiled.plan, sewing.compiled.checklist, sewing.taps * 2)
    assert again.counts.told.measured() == sewing.progress.counts.told.measured()
    assert sewing.measured() == [("48 3/8", "48 1/2"), ("52",), (), ()]


def test_measuring_changes_no_count_and_is_among_the_last_taps() -> None:
    sewing = Sewing()
    before = {step.id: sewing.progress.counts.ready(step) for step in sewing.compiled.checklist.steps}
    tap = sewing.measure(0, "48 3/8")
    assert {step.id: sewing.progress.counts.ready(step) for step in sewing.compiled.checklist.steps} == before
    assert sewing.progress.counts.shares()[0] == 0
    assert [kept.tap.id for kept in sewing.progress.latest(5)] == [tap]


@pytest.mark.parametrize(
    ("old", "new", "kept"),
    [
        ('beyond = "4"', 'beyond = "3"', [True, True]),
        ('cut = "4"', 'cut = "3 1/2"', [True, False]),
        ("across = 4\ndown = 4", "across = 4\ndown = 5", [False, False]),
        ('name = "slate"', 'name = "soot"', [True, True]),
        ('title = "Ferry lane throw"', 'title = "Ferry lane throw"\nseam = "3/8"', [False, False]),
        ('title = "Ferry lane throw"', 'title = "Ferry lane throw"\nruler = "1/16"', [True, True]),
    ],
)
def test_figures_are_carried_over_an_edit_as_far_as_their_step_is_the_same(
    old: str, new: str, kept: list[bool]
) -> None:
    """Of the first border's sides and of the second's; the second is measured twice, and the last counts."""
    sewing, edited = Sewing(), Sewing(FERRY_PLAN.replace(old, new))
    sewing.measure(0, "48 3/8", "48 1/2")
    sewing.measure(2, "52")
    sewing.measure(2, "52 3/4")
    carried = carry_over(sewing.progress.counts, edited.progress.counts)
    figures = [("48 3/8", "48 1/2") if kept[0] else (), (), ("52 3/4",) if kept[1] else (), ()]
    assert edited.measured() == figures
    lost = [pair.step for pair, stays in zip(sewing.pairs[::2], kept, strict=True) if not stays]
    assert list(carried.unmeasured) == lost
    again = Sewing(FERRY_PLAN.replace(old, new))
    again.taps = [*sewing.taps, written(carried.tap("edited"))]
    again.progress = replayed(again.compiled.plan, again.compiled.checklist, again.taps)
    assert again.measured() == figures
    assert ("measured" in written(carried.tap("edited"))) == any(kept)


# What follows


def test_the_pairs_of_strips_are_those_of_the_plan_in_the_order_of_sewing() -> None:
    found = [(pair.border, pair.where == SIDES, pair.planned, pair.corners) for pair in Sewing().pairs]
    assert found == [
        (1, True, length("48 1/2"), False),
        (1, False, length("52 1/2"), False),
        (2, True, length("52 1/2"), False),
        (2, False, length("52 1/2"), True),
    ]
    assert (
        border_pairs(Sewing(FERRY_PLAN.split("[[quilt.border]]")[0]).compiled.plan, Sewing().compiled.checklist) == ()
    )


@pytest.mark.parametrize(
    ("measured", "expected", "after"),
    [
        # The sides make the top longer, which the second border's sides follow.
        ({}, ["48 1/2", "52 1/2", "52 1/2", "52 1/2"], ("59 1/2", "59 1/2")),
        ({0: ["49", "48 1/2", "48 1/4"]}, ["48 1/2", "52 1/2", "52 5/8", "52 1/2"], ("59 1/2", "59 5/8")),
        # The first border's ends are as long as the top is wide then; so are the second's, cornerstones apart.
        ({1: ["52"]}, ["48 1/2", "52 1/2", "52 1/2", "52"], ("59", "59 1/2")),
        ({0: ["48"], 2: ["52 1/4"]}, ["48 1/2", "52 1/2", "52", "52 1/2"], ("59 1/2", "59 1/4")),
        ({3: ["53"]}, ["48 1/2", "52 1/2", "52 1/2", "52 1/2"], ("60", "59 1/2")),
    ],
)
def test_every_later_strip_and_the_top_follow_from_what_was_measured(
    measured: dict[int, list[str]], expected: list[str], after: tuple[str, str]
) -> None:
    sewing = Sewing()
    for pair, lengths in measured.items():
        sewing.measure(pair, *lengths)
    strips = sewing.standing().strips
    assert [each.expected for each in strips] == [length(text) for text in expected]
    assert strips[-1].after == (length(after[0]), length(after[1]))


def test_steps_that_come_out_otherwise_than_planned_are_told_with_their_size() -> None:
    sewing = Sewing()
    assert sewing.standing().sizes == {}
    sewing.measure(0, "48 1/2")
    assert sewing.standing().sizes == {}
    sewing.measure(1, "52")
    sizes = sewing.standing().sizes
    named = {step.id: step for step in sewing.compiled.checklist.steps}
    told = [(named[step].operation, sewing.compiled.words.figures(size)) for step, size in sizes.items()]
    assert told == [
        ("add strip", "52 × 52½"), ("press", "52 × 52½"),  # with all of the first border
        ("add strip", "59 × 52½"), ("press", "59 × 52½"),
        ("join", "59 × 4"), ("press", "59 × 4"),  # strips with cornerstones
        ("add strip", "59 × 59½"), ("press", "59 × 59½"), ("square", "59 × 59½"),
        ("lay out", "59 × 59½"), ("sew", "59 × 59½"), ("square", "59 × 59½"), ("bind", "59 × 59½"),
    ]  # fmt: skip


@pytest.mark.parametrize(("measured", "lacking"), [("48 1/2", "0"), ("48", "0"), ("48 7/8", "3/8")])
def test_strips_cut_to_the_plan_are_long_enough_or_not(measured: str, lacking: str) -> None:
    sewing = Sewing()
    sewing.measure(0, measured)
    assert sewing.standing().strips[0].lacking == length(lacking)


TIGHT = FERRY_PLAN.replace('name = "slate"', 'name = "slate"\nusable = "37 5/8"')
"""Seven strips of the binding, joined, are 248⅜ in long; 248 in are needed."""


@pytest.mark.parametrize(("measured", "lacking", "strips"), [("52 1/2", "0", 7), ("52 5/8", "0", 7), ("53", "5/8", 8)])
def test_the_binding_is_long_enough_or_another_strip_is_needed(measured: str, lacking: str, strips: int) -> None:
    sewing = Sewing(TIGHT)
    sewing.measure(3, measured)
    binding = sewing.standing().binding
    assert binding is not None
    assert binding.joined == length("248 3/8")
    assert (binding.lacking, binding.needed.strips) == (length(lacking), strips)


def test_without_a_measuring_nothing_is_said_of_the_binding() -> None:
    assert Sewing(TIGHT).standing().binding is None
