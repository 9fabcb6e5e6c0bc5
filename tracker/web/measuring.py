"""Measuring the top before a border goes on: what is asked for at that step, what it says, and what it means for
other steps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from tracker.exact.measure import Measure, on_mark, write_length
from tracker.progress.measured_top import BordersStanding, Strips
from tracker.web.opened import Opened
from tracker.web.screen import Facts
from tracker.words import measured_words as said
from tracker.work.steps import Step, Trim
from tracker.work.whole_blocks import Bind

KEYBOARDS = {"in": "text", "cm": "decimal"}
"""Fractions need signs that keyboards for numbers do not have."""

UNIT_WORDS = {"in": "inches", "cm": "cm"}


def measuring_of(opened: Opened, step: Step) -> Facts | None:
    """The form of a step that the top is measured for, and what was found; None for a step that nothing is measured
    for. `fields` are labels with what was typed; `lies`: as far as was tapped, the top lies there to be measured."""
    strips = opened.borders.of(step)
    if strips is None:
        return None
    words, unit = opened.words, opened.compiled.plan.unit
    planned = words.ruler(strips.pair.planned)
    done = strips.figures is not None
    label = "Cut both strips" if done else "Planned, both strips"
    length = strips.length if done else strips.pair.planned
    return {
        "short": opened.compiled.short[step.id],
        "quilt": opened.id,
        "asked": said.asked(words, strips.pair),
        "fields": tuple(zip(said.places(strips.pair), _typed(strips), strict=True)),
        "unit": unit,
        "keyboard": KEYBOARDS[unit],
        "example": said.EXAMPLES[unit],
        "fractions": _fractions(opened),
        "label": label + (", about" if words.is_near(length) else ""),
        "figures": words.ruler(length, about=False),
        "beside": UNIT_WORDS[unit] + (f" (planned {planned})" if done else ""),
        "text": said.strips_text(words, strips) if done else opened.words.text(step),
        "findings": _findings(opened, strips),
        "lies": top_lies(opened, step),
    }


def top_lies(opened: Opened, step: Step) -> bool:
    """Whether the top that a step's strips are cut to lies there, by the counts, or did when they were cut."""
    there = step.beside is None or opened.counts.on_pile(step.beside) > 0
    return there or opened.counts.times_done(step) > 0


def _fractions(opened: Opened) -> tuple[str, ...]:
    """Fractions to touch rather than type: those of the ruler, where they are few."""
    plan = opened.compiled.plan
    eighths = [Measure(eighth) / 8 for eighth in range(1, 8)]
    shown = [each for each in eighths if on_mark(each, plan.ruler)]
    few = plan.unit == "in" and on_mark(plan.ruler, Measure(1) / 8)
    return tuple(write_length(each, "in") for each in shown) if few else ()


def _typed(strips: Strips) -> tuple[str, str, str]:
    """What was typed in the three fields, as far as that can be told from how many lengths there are."""
    typed = () if strips.figures is None else strips.figures.typed
    if len(typed) == 3:
        return typed[0], typed[1], typed[2]
    return "", typed[0] if len(typed) == 1 else "", ""


def _findings(opened: Opened, strips: Strips) -> tuple[said.TopFinding, ...]:
    if strips.figures is None:
        return ()
    borders = opened.borders
    maker = opened.compiled.maker[strips.pair.made_from]
    cut = opened.counts.times_done(maker) > 0
    number = borders.strips.index(strips)
    return tuple(said.findings(opened.words, borders.strips, number, cut, borders.binding))


def as_measured(opened: Opened, step: Step) -> Step:
    """The step with the length that was measured for it in place of the planned one."""
    strips = opened.borders.of(step)
    if strips is None or strips.figures is None or step.size is None or not isinstance(step.action, Trim):
        return step
    lies = step.size[1] == strips.pair.cut
    size = (strips.length, strips.pair.cut) if lies else (strips.pair.cut, strips.length)
    return replace(step, size=size, action=replace(step.action, width=size[0], height=size[1]))


def notes_of(opened: Opened, step: Step) -> tuple[str, ...]:
    """What was measured says of a step that is not itself measured for, and of one that is not measured yet."""
    borders = opened.borders
    return tuple(note for note in _notes(opened, borders, step) if note) if borders.strips else ()


def _notes(opened: Opened, borders: BordersStanding, step: Step) -> Iterator[str]:
    words = opened.words
    mine = borders.of(step)
    if mine is not None:
        yield "" if mine.figures else said.expected_note(words, mine)
        return
    if step.id in borders.sizes:
        yield said.size_note(words, step, borders.sizes[step.id])
    gives = {flow.pile for flow in step.gives}
    for strips in borders.strips:
        if strips.pair.made_from in gives:
            yield said.cloth_note(words, strips)
    if borders.binding is not None and borders.sizes and _makes_binding(opened, step):
        yield said.binding_words(words, borders.binding)


def _makes_binding(opened: Opened, step: Step) -> bool:
    """Whether a step sews the binding on, or is on the way to the strip that is sewn on."""
    if isinstance(step.action, Bind):
        return True
    binding = next(each.action.binding for each in opened.steps if isinstance(each.action, Bind))
    maker = opened.compiled.maker.get(binding)
    while maker is not None and maker.id != step.id:
        maker = opened.compiled.maker.get(maker.takes[0].pile) if maker.takes else None
    return maker is not None
