"""The work on one block in few words, for a pattern sheet: a pass in a title and a line, amounts for so many blocks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from tracker.route.passes import Pass
from tracker.route.working_order import BLOCKS, UNITS
from tracker.words.dotted_words import dotted_line, sewn_verb
from tracker.words.pass_words import cut_verbs, is_one, kinds_named, pass_title
from tracker.words.round_words import round_line, round_press_title, round_title
from tracker.words.seam_words import upper_strip, ways_from_behind
from tracker.words.step_words import Words
from tracker.words.thing_words import each_or_the, listed, parts_of_rows, whole_lines
from tracker.words.toward_words import upper_cloth
from tracker.words.trimming_words import trim_lines
from tracker.words.unit_titles import cut_verb, verbs
from tracker.words.unit_words import bag_words, cut_apart_words
from tracker.work.dotted_seams import SewToDots
from tracker.work.operations import OPERATIONS
from tracker.work.partial_seams import BeginSeam, CloseSeam, PartialSeams, SewArm
from tracker.work.steps import (
    AddStrips,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Pair,
    Pile,
    Pin,
    Press,
    PressSeams,
    Sew,
    Step,
    Trim,
)
from tracker.work.things import INNER, SIDES, Kind, Stage
from tracker.work.whole_blocks import MeasureBlock

MOST_PARTS = 8
"""So many kinds of pieces of a pass are told one by one; more of them by how many they are."""

LONGEST_WAYS = 130
"""Which way seams go is said in so many letters; where it takes more, the drawing says it."""


def sheet_title(words: Words, done: Pass) -> str:
    """A pass in two to six words: `Mark squares`, `Pair and sew half-square triangles`, `Press the rows`."""
    steps = done.steps
    if done.section.part == UNITS and len(cut_verbs(words, steps)) > 1:
        return pass_title(words, done)
    if done.section.part == UNITS:
        return f"{_unit_verbs(words, steps)} {_kinds(words, steps)}"
    if done.section.part == BLOCKS:
        return _block_title(words, steps)
    return pass_title(words, done)


def _unit_verbs(words: Words, steps: Sequence[Step]) -> str:
    first = steps[0]
    if isinstance(first.action, CutApart):
        if first.size is not None:
            return "Cut across"
        return "Cut" if words.checklist.taken(first).stage is Stage.CUT else cut_verb(words, first, first.action)
    if isinstance(first.action, SewToDots):
        return sewn_verb(first.action)
    return "Set out strips for" if isinstance(first.action, LayOut) else verbs(steps)


def _kinds(words: Words, steps: Sequence[Step]) -> str:
    """What is made, or cut or marked: `half-square triangles`, `squares`."""
    taken = isinstance(steps[0].action, Mark | CutApart)
    piles = [words.checklist.taken(step) if taken else words.checklist.made(step) for step in steps]
    return f"the {kinds_named(piles, 1)}" if is_one(words, steps, taken) else kinds_named(piles)


def _block_title(words: Words, steps: Sequence[Step]) -> str:
    first, checklist = steps[0], words.checklist
    made = [checklist.made(step).thing for step in steps]
    version = f", version {first.version}" if first.version and isinstance(first.action, PressSeams) else ""
    match first.action:
        case LayOut():
            return "Lay out the block"
        case MeasureBlock():
            return "Measure the block"
        case AddStrips():
            return f"Sew strips to the {first.action.edges}"
        case Trim() if first.operation == "trim":
            return f"Trim the strips at the {made[0].side or SIDES}"
        case Trim():
            return "Square the block" + (" with its frame" if made[0].number else "")
        case PressSeams():
            return _press_title(words, steps) + version
        case BeginSeam() | SewArm() | CloseSeam():
            return round_title(words, first)
    pins = [(step, step.action) for step in steps if isinstance(step.action, Pin)]
    if first.per in words.cabins and pins:
        return f"Sew {words.added(*pins[0])}" if len(pins) == 1 else f"Sew {len(pins)} logs"
    if first.per in words.cabins:
        return "Join the centre"
    line = whole_lines(made)
    if line and not pins:
        return f"Sew each {line}" if len(made) > 1 else f"Sew {made[0].name}"
    if len(pins) == 1:
        return f"{verbs(steps)} {words.added(*pins[0])}"
    if not pins and len(made) == 1:
        return "Join the pieces" if made[0].kind is Kind.BLOCK else f"Join {words.part(first.per, made[0])}"
    lines = "columns" if isinstance(steps[-1].action, Join) and steps[-1].action.direction == "across" else "rows"
    return f"{verbs(steps)} the {lines if pins else f'{len(made)} parts'}"


def _press_title(words: Words, steps: Sequence[Step]) -> str:
    if isinstance(words.maker_of[steps[0].takes[0].pile].action, PartialSeams):
        return round_press_title(words, steps[0])
    made = words.checklist.made(steps[0]).thing
    taken = list(dict.fromkeys(words.checklist.piles[flow.pile].thing for step in steps for flow in step.takes))
    if made.side:
        return f"Press the strips, {made.side}"
    line = whole_lines(taken)
    if line:
        return f"Press the {line}s" if len(taken) > 1 else f"Press {taken[0].name}"
    if made.kind is Kind.BLOCK:
        return "Press the joins"
    return f"Press {words.part(steps[0].per, taken[0])}" if len(taken) == 1 else f"Press the {parts_of_rows(taken)}"


def sheet_size(words: Words, steps: Sequence[Step]) -> str:
    """The size to check after a pass, in figures; several are named from the smallest, more than two not at all."""
    found = dict.fromkeys(size for step in steps if (size := words.shown_size(step)) is not None)
    last = [size for step in steps if (size := words.checklist.made(step).size) is not None]
    if not found and isinstance(steps[-1].action, AddStrips | Join) and last:
        return ""
    sizes = sorted(found)
    said = [("≈" if words.is_near(*size) else "") + words.figures(size, about=False) for size in sizes]
    return " and ".join(dict.fromkeys(said)) if len(said) <= 2 else ""


def amounts_for(words: Words, steps: Sequence[Step], times: Mapping[str, int]) -> str:
    """How many of each piece the units of some blocks take, cloths by their keys: `4 of S 3 on T 3, 2 of R 3½ on T 3½`;
    nothing for what is done with each block as a whole."""
    if isinstance(steps[0].action, CutApart) and words.checklist.taken(steps[0]).stage is not Stage.CUT:
        return ""  # as many as were sewn
    last = [step for step in steps if step.operation == steps[-1].operation and step.per == "quilt"]
    parts = [(times.get(step.id, 0), step) for step in last if times.get(step.id)]
    if len(parts) > MOST_PARTS:
        return f"{sum(often for often, _ in parts)} in all, of {len(parts)} sets of cloths, as the picture has them"
    sizes = {words.checklist.made(step).size for _, step in parts}
    return ", ".join(f"{often} of {_part(words, step, len(sizes) > 1)}" for often, step in parts)


def _part(words: Words, step: Step, sized: bool) -> str:
    """What a step is done to, in keys of cloths: `S 3`, `S 3 on T 3`, `T/S`, with the size where sizes differ."""
    piles, pair = words.checklist.piles, words.pair_before(step)
    if isinstance(step.action, Mark | CutApart):
        taken = words.checklist.taken(step)
        if isinstance(step.action, Mark) or taken.thing.is_patch:
            return _keyed(words, taken)
    if pair is not None and isinstance(step.action, Pair | Sew | CutApart):
        count = f"{len(pair.laid)} " if len(pair.laid) > 1 else ""
        return f"{count}{_keyed(words, piles[pair.laid[0].pile])} on {_keyed(words, piles[pair.base])}"
    return _keyed(words, words.checklist.made(step), sized)


def _keyed(words: Words, pile: Pile, sized: bool = False) -> str:
    sized = sized or pile.thing.is_patch or pile.thing.of == INNER
    size = f" {words.figures(pile.size, about=False)}" if sized and pile.size is not None else ""
    size += (words.print_of(pile) or words.print_apart(pile)).replace(",", "")
    return "/".join(pile.fabrics) + size + (f", bag {pile.bag}" if pile.bag else "")


def sheet_line(words: Words, steps: Sequence[Step]) -> str:
    """What is done in a pass, in one or two short sentences; what is said of several steps is said once."""
    if all(isinstance(step.action, Press) for step in steps):
        return _pressed_toward(words, steps)
    if not isinstance(steps[0].action, CutApart) or len(cut_verbs(words, steps)) > 1:
        return " ".join(_lines_of_kinds(words, steps))
    lines = *_cut_alike(words, steps), *(bag_words(words, step).strip() for step in steps)
    return " ".join(dict.fromkeys(line for line in lines if line))


def _lines_of_kinds(words: Words, steps: Sequence[Step]) -> Iterator[str]:
    """What is done in some steps, each line once; where kinds of units are sewn or cut each its own way, behind their
    names."""
    for operation in dict.fromkeys(step.operation for step in steps):
        lines: dict[str, list[Pile]] = {}
        for step in (step for step in steps if step.operation == operation):
            lines.setdefault(_line(words, step), []).append(words.checklist.made(step))
        named = [kinds_named(piles) for piles in lines.values()]
        apart = OPERATIONS[operation].by_kind and len(named) == len({*named}) > 1
        for line, kinds in zip(lines, named, strict=True):
            if line:
                yield f"{kinds[0].upper()}{kinds[1:]}: {line[0].lower()}{line[1:]}" if apart else line


def _cut_alike(words: Words, steps: Sequence[Step]) -> Iterator[str]:
    """How patches are cut up; what goes for several cloths is said once, with their keys: `Cut each A and B square`."""
    alike: dict[str, list[tuple[str, str]]] = {}
    for step in steps:
        line, key = _line(words, step), words.checklist.taken(step).fabrics[0]
        named = f"Cut {each_or_the(step)} {words.plan.fabrics[key].name} "
        if line.startswith(named):
            alike.setdefault(line.removeprefix(named), []).append((key, line))
        else:
            alike.setdefault(line, []).append(("", line))
    for rest, own in alike.items():
        keys = list(dict.fromkeys(key for key, _ in own))
        yield own[0][1] if len(keys) == 1 else f"Cut each {listed(keys)} {rest}"


def _line(words: Words, step: Step) -> str:
    said = _LINES.get(type(step.action))
    return dotted_line(words, step) or (words.text(step) if said is None else said(words, step, step.action))


def _pressed_toward(words: Words, steps: Sequence[Step]) -> str:
    """Where the seams of units go: `Toward rust.`, `T/S and T/R toward river teal; K/R toward night ink.`"""
    ways: dict[str, list[Step]] = {}
    for step in steps:
        assert isinstance(step.action, Press)
        pair = words.pair_before(step)
        open_seam = step.action.toward == "open" or pair is None
        ways.setdefault("" if open_seam or pair is None else upper_cloth(words, step.action, pair), []).append(step)
    if len(ways) == 1:
        upper = next(iter(ways))
        return f"Toward {upper}." if upper else "Press the seams open."
    if len(ways) > MOST_PARTS:
        return "Each toward the cloth, or the half, on which the arrow of its drawing ends: the darker."
    told = []
    for upper, own in ways.items():
        which = listed(list(dict.fromkeys("/".join(words.checklist.made(step).fabrics) for step in own)))
        told.append(f"{which} {f'toward {upper}' if upper else 'open'}")
    return "; ".join(told) + "."


def _cut(words: Words, step: Step, action: Cut) -> str:
    return "Measure the first both ways, before the others."


def _mark(words: Words, step: Step, action: Mark) -> str:
    if not words.checklist.taken(step).thing.is_patch:
        return "A pencil line from corner to corner, across the seam."
    ways = ", both ways" if len(action.lines) == 2 else ", as drawn" * bool(words.print_of(words.checklist.taken(step)))
    return f"A pencil line on the back, from corner to corner{ways}."


def _pair(words: Words, step: Step, action: Pair) -> str:
    piles = words.checklist.piles
    under, over = piles[action.base], piles[action.laid[0].pile]
    if under.thing.of == INNER == over.thing.of:
        return "Seams on seams, allowances opposite ways."
    return "As drawn." if len(action.laid) > 1 or over.stage is not Stage.MARKED else ""


def _sew(words: Words, step: Step, action: Sew) -> str:
    if not words.is_marked(step):
        return f"{words.seam()} from the edge, as drawn."
    if words.is_on_the_marks(step):
        return f"A thread to the corner's side of {'each' if len(action.lines) > 1 else 'the'} line."
    return f"{words.seam()} from {'each' if len(action.lines) > 2 else 'the'} line, on both sides of it."


def _press_seams(words: Words, step: Step, action: PressSeams) -> str:
    upper = upper_strip(words, step, action)
    if upper:
        return f"Toward {upper}."
    ways = ways_from_behind(words, step, action)
    if len(ways) > LONGEST_WAYS:
        return "Each seam the way its arrow shows, seen from the back."
    which = f"{'/'.join(words.checklist.taken(step).fabrics)} " if step.per == "quilt" else ""
    return f"{which}{ways if which else ways[0].upper() + ways[1:]}, seen from the back."


def _trim(words: Words, step: Step, action: Trim) -> str:
    size, made = (action.width, action.height), words.checklist.made(step)
    if made.block is None:
        lines, _ = trim_lines(words, made, size)
        return f"{lines[0].upper()}{lines[1:]}. Clip the dog-ears."
    if step.operation == "trim":
        return "Cut the strips' ends level with the block."
    return "The design in the middle. Too small: cut nothing, measure first."


def _join(words: Words, step: Step, action: Join) -> str:
    if step.per == "quilt":
        return "Long edges together."
    pinned = isinstance(words.maker_of[step.takes[0].pile].action, Pin)
    return "From left to right." if words.checklist.made(step).thing.is_row_of_block and not pinned else ""


def _pin(words: Words, step: Step, action: Pin) -> str:
    good, bad = (any(nest.nests is each for nest in action.nests) for each in (True, False))
    said = "Push the seams that meet together, and pin." if good else ""
    return (said + (" Where they do not nest, pin before and after." if bad else "")).strip()


def _strips(words: Words, step: Step, action: AddStrips) -> str:
    strip = words.checklist.piles[action.strip]
    assert strip.size is not None
    cloth = words.cloths(strip.fabrics)
    beyond = " Both ends stand out alike." if action.beyond else ""
    return f"2 of {cloth} {words.figures((max(strip.size), min(strip.size)))}.{beyond}"


def _measure(words: Words, step: Step, action: MeasureBlock) -> str:
    return "Pressed and cool, both ways, in three places. If it is short, press it again and test the seam."


def _lay_out(words: Words, step: Step, action: LayOut) -> str:
    if len(action.places) == 1:
        return words.text(step)
    if step.per == "quilt":
        return f"From the top: {', '.join(_strip_keyed(words, place.pile) for place in action.places)}."
    return f"{len(action.places)} pieces, right side up, each turned as drawn."


def _strip_keyed(words: Words, pile: str) -> str:
    strip = words.checklist.piles[pile]
    assert strip.size is not None
    return f"{strip.fabrics[0]} {words.figures((strip.size[1], strip.size[1]), about=False)}"


def _cut_apart(words: Words, step: Step, action: CutApart) -> str:
    if step.size is not None:
        return f"Square one end, then cut across every {words.length(step.size[0])}."
    return cut_apart_words(words, step, action)


_LINES: Mapping[type, Callable[[Words, Step, Any], str]] = {
    Cut: _cut,
    Mark: _mark,
    Pair: _pair,
    Sew: _sew,
    CutApart: _cut_apart,
    PressSeams: _press_seams,
    Trim: _trim,
    Join: _join,
    Pin: _pin,
    BeginSeam: round_line,
    SewArm: round_line,
    CloseSeam: round_line,
    AddStrips: _strips,
    MeasureBlock: _measure,
    LayOut: _lay_out,
}
