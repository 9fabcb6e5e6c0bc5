"""Sentences about what the top measured: what to cut, what to ease, what is wrong with it, what follows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tracker.exact.measure import Measure, nearest, write_length
from tracker.progress.measured_top import EDGES, BindingNow, BorderPair, Figures, Strips
from tracker.words.names import Names
from tracker.words.thing_words import listed, plural
from tracker.work.steps import Size, Step
from tracker.work.things import SIDES
from tracker.work.whole_blocks import Layer

GOOD, MIND, FACT = "good", "mind", "fact"
"""Kinds of findings: all is well; look before you cut; worth knowing."""

EXAMPLES = {"in": "58 3/8", "cm": "148.2"}
USUAL_EASE = {"in": "¼ in for each 20 in", "cm": "0.6 cm for each 50 cm"}
"""EASED in words."""


@dataclass(frozen=True)
class TopFinding:
    """One thing that a measuring says: its kind, and a sentence."""

    kind: str
    words: str


def figures_fault(facts: Mapping[str, Any]) -> str:
    """What is wrong with a figure, and what would be right; `facts` are those of the refusal."""
    if facts["why"] == "how many":
        return f"Write from 1 to {facts['most']} lengths that the top measures."
    read, unit = str(facts["text"]).strip()[:40], facts["unit"]
    match facts["why"]:
        case "empty":
            return f"One of the lengths is empty; write what the top measures there, such as {EXAMPLES[unit]}."
        case "unit":
            return f"Read “{read}”, but not its unit; write a length such as {EXAMPLES['in']} in."
        case "thousands":
            return f"Read “{read}”; write it without the comma, or with a point."
        case "zero below":
            return f"Read “{read}”; the lower number of a fraction is never 0. Write a length such as {EXAMPLES[unit]}."
        case "impossible":
            planned = write_length(nearest(facts["planned"], Fraction(1, 8 if unit == "in" else 10)), unit)
            return (
                f"Read “{read}”, but about {planned} {unit} is planned there, and no top differs so much; write what "
                "it measures."
            )
    return f"Read “{read}” as what the top measures; write a length such as {EXAMPLES[unit]}."


def strips_named(pair: BorderPair) -> str:
    """`side strips of border 1`."""
    return f"{'side' if pair.where == SIDES else 'top and bottom'} strips of border {pair.border}"


def places(pair: BorderPair) -> tuple[str, str, str]:
    """Where the top is measured, in order."""
    first, last = EDGES[pair.where]
    return f"Near the {first} edge", "Through the middle", f"Near the {last} edge"


def asked(names: Names, pair: BorderPair) -> str:
    """How the top is measured."""
    where = "from top to bottom" if pair.where == SIDES else "from side to side"
    on = f"border {pair.border - 1}" if pair.where == SIDES else f"the sides of border {pair.border}"
    first = pair.border == 1 and pair.where == SIDES
    lay = "Lay the top flat" if first or pair.as_before else f"With {on} sewn on and pressed, lay the top flat"
    text = f"{lay} and measure it {where} in three places. Near an edge, not along it: edges stretch."
    if pair.corners:
        text += (
            f" Only as wide as it was before the sides of border {pair.border}: with them on, measure between their "
            f"seams and add {names.length(2 * names.plan.seam)}."
        )
    return text


def strips_text(names: Names, strips: Strips) -> str:
    """What to do with both strips once the top is measured."""
    if strips.pair.mitre:
        half, whole = names.length(strips.length / 2, about=False), names.length(strips.length + strips.pair.mitre)
        return (
            f"Mark the middle of both strips, and {half} from it each way: there the corners of the top come. The "
            f"strips are {whole} long; their ends stand out for the corners."
        )
    return f"Square one end of each strip, and cut both {names.length(strips.length)} long: they must be alike."


def findings(
    names: Names, strips: Sequence[Strips], number: int, cut: bool, binding: BindingNow | None
) -> Iterator[TopFinding]:
    """What a measuring says, of the pair with this number in `strips` (from 0): the length, the top, what follows.

    `cut`: the strips it is made of are cut already.
    """
    mine = strips[number]
    assert mine.figures is not None
    yield TopFinding(FACT, _average(names, mine))
    if mine.far_off:
        yield TopFinding(MIND, _far_off(names, mine))
    yield from _evenness(names, mine.pair, mine.figures)
    yield from _ease(names, mine)
    if mine.lacking:
        yield TopFinding(MIND, _lacking(names, mine, cut))
    yield from _following(names, strips, number)
    final, planned = strips[-1].after, planned_size(strips, names)
    if names.figures(final) != names.figures(planned):
        yield TopFinding(FACT, f"The top comes out about {_about(names, final)}; planned was {_about(names, planned)}.")
    if binding is not None and binding.lacking:
        yield TopFinding(MIND, binding_words(names, binding))


def planned_size(strips: Sequence[Strips], names: Names) -> Size:
    """The planned size of the top with all its borders, unfinished."""
    sides, ends = strips[-2].pair, strips[-1].pair
    wide = 2 * (ends.cut - 2 * names.plan.seam)
    return ends.planned + (wide if ends.as_before else Measure()), sides.planned + wide


def _about(names: Names, size: Size) -> str:
    return names.size(size, about=False)


def _far_off(names: Names, mine: Strips) -> str:
    more = "more" if mine.off_plan > 0 else "less"
    return (
        f"That is {_length(names, abs(mine.off_plan))} {more} than planned. Look whether the figures stand as you "
        "meant them: a blank goes between a whole number and its fraction."
    )


def _length(names: Names, length: Measure) -> str:
    return names.length(length, about=False)


def _average(names: Names, mine: Strips) -> str:
    assert mine.figures is not None
    said = listed([names.ruler(each) for each in mine.figures.lengths])
    text = f"You measured {said} {names.plan.unit}"
    text += f": {names.length(mine.figures.average)} on average. " if len(mine.figures.lengths) > 1 else ". "
    by = nearest(abs(mine.off_plan), mine.mark)
    if not by:
        return f"{text}That is as planned."
    return f"{text}That is {names.length(by)} {'more' if mine.off_plan > 0 else 'less'} than planned."


def _evenness(names: Names, pair: BorderPair, figures: Figures) -> Iterator[TopFinding]:
    """Whether the edges wave, or the top is out of square, and what helps."""
    by = _length(names, figures.spread)
    match figures.shape(names.plan.unit):
        case "even" if len(figures.lengths) < 3:
            yield TopFinding(MIND, "Measure in all three places: what the middle does not show, the edges do.")
        case "even":
            yield TopFinding(
                GOOD, f"The figures agree{f' to within {by}' if figures.spread else ''}: the top lies true."
            )
        case "out of square":
            longer, shorter = EDGES[pair.where][figures.longer_edge()], EDGES[pair.where][1 - figures.longer_edge()]
            by = _length(names, abs(figures.lengths[0] - figures.lengths[-1]))
            yield TopFinding(
                MIND,
                f"The {longer} edge is {by} longer than the {shorter}: the top is out of square. Press it flat, look "
                f"for seams taken too wide near the {shorter} edge, and measure again before you cut.",
            )
        case "edges long":
            yield TopFinding(
                MIND,
                f"The edges are up to {by} longer than the middle: they have stretched and would wave. Press them "
                "flat, lift and lower, look for seams there that came open or are too narrow, and measure again.",
            )
        case "middle long":
            yield TopFinding(
                MIND,
                f"The middle is up to {by} longer than the edges. Press the top flat, look for folds beside its seams "
                "and for seams near the edges taken too wide, and measure again.",
            )
        case "uneven":
            yield TopFinding(
                MIND,
                f"The two figures differ by {by}. Measure in a third place, press the top flat, and check the seams.",
            )


def _ease(names: Names, mine: Strips) -> Iterator[TopFinding]:
    """How much each edge of the top is eased to its strip, and whether that is usual."""
    edges = zip(EDGES[mine.pair.where], mine.eased, strict=False)
    eased = [(edge, by) for edge, by in edges if nearest(abs(by), mine.mark)]
    if not eased:
        return
    parts = [f"the {edge} edge is {_length(names, abs(by))} {'longer' if by > 0 else 'shorter'}" for edge, by in eased]
    said = listed(parts)
    text = f"{said[0].upper()}{said[1:]} than {'its strip' if len(parts) == 1 else 'their strips'}."
    usual = (mine.usual_ease / mine.mark).__floor__() * mine.mark
    here = f"up to {names.length(usual)} here" if usual else f"less than {names.length(mine.mark)} here"
    common = f"Common practice is up to about {USUAL_EASE[names.plan.unit]}, {here}."
    if all(abs(by) <= mine.usual_ease for _, by in eased):
        yield TopFinding(
            GOOD, f"{text} Pin the ends and the middle, and ease the top to the strip between them. {common}"
        )
    else:
        yield TopFinding(MIND, f"{text} That is much to ease. {common} Press, and check the seams near that edge.")


def _lacking(names: Names, mine: Strips, cut: bool) -> str:
    more = mine.pair.mitre
    had, needed = names.length(mine.had + more), names.length(nearest(mine.length, mine.mark) + more)
    if cut:
        return f"The strips were cut {had}; you need {needed}: join a piece on, or cut them anew."
    return f"The plan cuts these strips {had}, but you need {needed}: cut them longer."


def _following(names: Names, strips: Sequence[Strips], number: int) -> Iterator[TopFinding]:
    """What to expect for the next pair, and for later ones that become other than planned."""
    later = [each for each in strips[number + 1 :] if each.figures is None]
    for each in later:
        planned, expected = names.length(each.pair.planned), _length(names, each.expected)
        other = nearest(each.expected, each.mark) != nearest(each.pair.planned, each.mark)
        if other:
            words = f"For the {strips_named(each.pair)} expect about {expected}; planned was {planned}"
        else:
            words = f"For the {strips_named(each.pair)} expect {planned}, as planned"
        if other or each is strips[min(number + 1, len(strips) - 1)]:
            yield TopFinding(FACT, f"{words}. Measure again then.")


def binding_words(names: Names, binding: BindingNow) -> str:
    """Whether the planned binding is long enough for what was measured."""
    strips = binding.planned.strips
    give = "joined give" if strips > 1 else "gives"
    have = f"{strips} {plural('strip', strips)} {give} {_length(names, binding.joined)}"
    needed = _length(names, binding.needed.length)
    if binding.lacking:
        return f"The binding needs about {needed} by what you measured, but its {have}: cut {binding.needed.strips}."
    return f"The binding needs about {needed} by what you measured; its {have}, which is enough."


def size_note(names: Names, step: Step, size: Size) -> str:
    """What a step gives by what was measured, where that is not what was planned."""
    text = f"By what you measured, this comes out about {_about(names, size)}."
    if not isinstance(step.action, Layer):
        return text
    text = f"By what you measured, the top is about {_about(names, size)}."
    beyond = step.action.beyond
    if step.action.batting is not None:
        grown = size[0] + 2 * beyond, size[1] + 2 * beyond
        text += f" Cut the batting about {_about(names, grown)}."
    if step.action.backing is not None:
        backing = names.checklist.piles[step.action.backing].size
        assert backing is not None
        reach = min((backing[0] - size[0]) / 2, (backing[1] - size[1]) / 2)
        shown = (reach / names.plan.ruler).__floor__() * names.plan.ruler
        if shown < beyond:
            text += f" The backing reaches only about {_length(names, shown)} beyond it."
    return text


def expected_note(names: Names, strips: Strips) -> str:
    """What to expect of a pair that is not measured yet; empty where that is what was planned."""
    if nearest(strips.expected, strips.mark) == nearest(strips.pair.planned, strips.mark):
        return ""
    return f"By what you measured before, expect about {_length(names, strips.expected)}."


def cloth_note(names: Names, strips: Strips) -> str:
    """For a step that cuts strips to the planned length: that they will be too short; empty where they are not."""
    if not strips.lacking:
        return ""
    length = _length(names, nearest(strips.length, strips.mark) + strips.pair.mitre)
    return f"By what you measured, the {strips_named(strips.pair)} must be {length}: cut them longer than planned."
