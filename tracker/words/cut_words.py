"""How cloth is cut: from what a piece comes, and what is measured before or after."""

from __future__ import annotations

from tracker.words.names import Names
from tracker.words.print_words import cut_by_print
from tracker.words.quilt_summary import is_long
from tracker.words.thing_words import one, plural, spoken
from tracker.work.steps import Cut, CutApart, Step
from tracker.work.things import Kind
from tracker.work.whole_blocks import JoinEnds

LONGER = {"in": "1 to 2 in", "cm": "3 to 5 cm"}
"""How much longer border strips are cut at first, where the cloth allows."""


def cut_text(names: Names, step: Step, cut: Cut) -> str:
    """How cloth is cut to pieces of one size, in one to three sentences."""
    text = names.fitted(step) + _cut_from(names, step, cut)
    joined = [s for s in names.takers_of.get(step.gives[0].pile, ()) if isinstance(s.action, JoinEnds)]
    if cut.use != "border" or joined:
        return text
    if names.is_mitred(names.checklist.made(step)):
        return text + " What they are longer than the top is room for the corners, which are mitred."
    return text + (
        f" Where the cloth allows, cut them {LONGER[names.plan.unit]} longer: they are cut to what the top measures "
        "before they are sewn on."
    )


def cut_check(names: Names, step: Step, cut: Cut) -> str:
    """What is measured of the first piece: of a strip longer than a ruler its width, where it may be bent."""
    which, ways = ("it", "") if step.count == 1 else ("the first", ", before the others")
    made = names.checklist.made(step)
    if made.thing.kind is Kind.STRIP and is_long(names, max(cut.width, cut.height)):
        bent = "and straight" if names.is_lengthwise(made) else "and not bent at the fold"
        return f"Measure {which} at both ends and in the middle{ways}: the same width all along, {bent}."
    return f"Measure {which} both ways{ways}; its corners are square."


def _cut_from(names: Names, step: Step, cut: Cut) -> str:
    """From what a piece is cut, and how often across it."""
    cloth, made = names.fabric(cut.fabric), names.checklist.made(step)
    by_print = cut_by_print(names, step, cut)
    if made.thing.kind is Kind.PANEL or cut.use == "backing" or by_print:
        named = spoken(made.thing)
        return f"From {cloth}, cut {one(named) if step.count == 1 else plural(named, 2)} of this size{by_print}."
    across, along = sorted((cut.width, cut.height))
    wide, usable = names.length(across), names.plan.fabrics[cut.fabric].usable
    if along > usable or names.is_lengthwise(made):
        return f"Cut {'it' if step.count == 1 else 'them'} down the length of {cloth}, beside the selvage, {wide} wide."
    if along == usable and made.thing.kind is Kind.STRIP:
        return f"Cut across the whole width of {cloth}, from selvage to selvage, every {wide}."
    from_strip = f"From a strip of {cloth} {wide} wide, or what a wider one leaves"
    if made.thing.kind is not Kind.STRIP:
        if step.count == 1:
            return f"{from_strip}, cut one, {names.length(along, about=False)} long."
        return f"{from_strip}, cut across every {names.length(along, about=False)}."
    if step.count == 1:
        return f"{from_strip}, cut one length of {names.length(along)}."
    often = f": {each} from a full width" if (each := (usable / along).__floor__()) > 1 else ""
    slanting = any(isinstance(taker.action, CutApart) for taker in names.takers_of.get(made.id, ()))
    fixed = cut.use == "border" or names.plan.fabrics[cut.fabric].directional or slanting
    every = names.length(across, about=False)
    or_else = f" Or every {every} across a strip {names.length(along)} wide, if the cutting list has it so."
    return f"{from_strip}, cut lengths of {names.length(along)}{often}.{'' if fixed else or_else}"
