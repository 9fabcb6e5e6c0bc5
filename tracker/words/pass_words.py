"""What passes and sections of the order are called."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tracker.progress.pass_work import PassShare
from tracker.route.passes import Pass
from tracker.route.working_order import BLOCKS, CUTTING, PLACES, UNITS, Section
from tracker.words.step_words import Words
from tracker.words.thing_words import listed, parts_of_rows, plural, spoken, whole_lines
from tracker.words.unit_titles import cut_verb, verbs
from tracker.work.steps import AddStrips, Cut, CutApart, Join, Pile, Pin, PressSeams, Step
from tracker.work.things import HALF_SQUARE, INNER, QUARTER_SQUARE, SPLIT, Kind, Stage
from tracker.work.whole_blocks import AddBorder, Bind, Layer


def pass_title(words: Words, done: Pass) -> str:
    """`Pair and sew half-square triangles, 12 sets of cloths`; that of the step where there is but one."""
    steps = done.steps
    if done.section.part == PLACES:
        return f"Lay row {done.section.number}: {_row_of_blocks(words, steps)}"
    if len(steps) == 1:
        return words.title(steps[0])
    says = {CUTTING: _cut, UNITS: _units, BLOCKS: _blocks}.get(done.section.part, _quilt)
    return says(words, steps)


def _row_of_blocks(words: Words, steps: Sequence[Step]) -> str:
    """The blocks of a row as they lie, `Star, Rest, Star`; of a long row, or where all are alike, how many of each: `5
    Stars and 4 Rests`."""
    lie = sorted((number, words.plan.blocks[step.per].name) for step in steps for number in step.blocks or ())
    names = [name for _, name in lie]
    if len(names) == 1 or (len({*names}) > 1 and len(names) <= MOST_NAMED):
        return ", ".join(names)
    return listed([f"{names.count(name)} {plural(name, names.count(name))}" for name in dict.fromkeys(names)])


def done_words(words: Words, shares: Sequence[PassShare], every: bool = False) -> str:
    """What is true when some shares of a pass are done, by the last of their operations: `24 sewn`, `blocks 2 to 5:
    joined`; `every`: nothing of it is left then: `all 24 sewn`."""
    last, mine = _made_last(words, shares)
    blocks = sorted({block for share in mine for block in share.blocks})
    if blocks:
        return f"{some_blocks(blocks)}: {last}"
    times = sum(share.times for share in mine)
    return f"{'all ' if every and times > 1 else ''}{times} {last}"


def made_words(words: Words, step: Step) -> str:
    """What is true of a piece or a block when a step of a pass is done: `joined`; of its rows, each by itself, `rows
    sewn`."""
    joined = step.per != "quilt" and isinstance(step.action, Join)
    line = words.checklist.made(step).thing.line_of_block if joined else ""
    return f"{line}s sewn" if line else step.kind.done


def _made_last(words: Words, shares: Sequence[PassShare]) -> tuple[str, list[PassShare]]:
    """What is true when the last of some shares is done, and the shares after which the same is true."""
    last = made_words(words, shares[-1].step)
    return last, [share for share in shares if made_words(words, share.step) == last]


def amounts(words: Words, shares: Sequence[PassShare]) -> str:
    """What one tap counts of each kind of piece, where it is several: `2 of 13½ × 1½, 1 of 3½`; else nothing."""
    mine = _made_last(words, shares)[1] if shares else []
    labels = [part_label(words, share.step) for share in mine]
    if len(mine) < 2 or not all(labels):
        return ""
    return ", ".join(f"{share.times}\u00a0of {label}" for share, label in zip(mine, labels, strict=True))


def part_label(words: Words, step: Step) -> str:
    """A step's pieces among the others of its pass: a size where cloth is cut, else their cloths; nothing where that
    says little: steps of blocks and of the quilt have names of their own."""
    if step.per != "quilt" or (step.of_the_quilt and not isinstance(step.action, Cut)):
        return ""
    made = words.checklist.made(step)
    if isinstance(step.action, Cut):
        way = words.print_way(step.action)
        return words.figures((step.action.width, step.action.height)) + (way and f" {way}")
    bag = f", bag {made.bag}" if made.bag else ""
    size = f" {words.figures(made.size)}" if made.thing.is_patch and made.size else ""
    return (
        words.cloths(made.fabrics)
        + size
        + words.round_apart(made)
        + words.size_apart(made)
        + words.print_apart(made)
        + bag
    )


def some_blocks(numbers: Sequence[int]) -> str:
    """`block 3`, `blocks 2 to 5`, `blocks 2, 3 and 7`; long lists as how many."""
    first, last = numbers[0], numbers[-1]
    if len(numbers) > 2 and last - first == len(numbers) - 1:
        return f"blocks {first} to {last}"
    if len(numbers) > MOST_NAMED:
        return f"{len(numbers)} blocks"
    return f"{plural('block', len(numbers))} {listed([str(number) for number in numbers])}"


MOST_NAMED = 6
"""So many blocks are named by their numbers."""


def _cut(words: Words, steps: Sequence[Step]) -> str:
    assert isinstance(steps[0].action, Cut)
    use = ", for frames" if steps[0].id in words.to_fit else ""
    return f"Cut {words.fabric(steps[0].action.fabric)}, {len(steps)} sizes{use}"


def _cut_later(words: Words, steps: Sequence[Step]) -> str:
    """Of cloth that is cut for the quilt round its blocks what it is for: `Cut straw, 2 sizes, for border 1`, `Cut
    straw for border 1 and rust for cornerstones`."""
    cut: dict[str, list[Pile]] = {}
    for made in map(words.checklist.made, steps):
        cut.setdefault(words.cloths(made.fabrics), []).append(made)
    uses = {cloth: listed(words.uses_of(piles)) for cloth, piles in cut.items()}
    if len(uses) == 1:
        return f"{_cut(words, steps)}, {next(iter(uses.values()))}"
    return f"Cut {listed([f'{cloth} {own}' for cloth, own in uses.items()])}"


def _units(words: Words, steps: Sequence[Step]) -> str:
    cuts = [step for step in steps if isinstance(step.action, CutApart)]
    taken = [words.checklist.taken(step) for step in steps if step.takes]
    if len(cuts) == len(steps) and all(pile.stage is Stage.CUT for pile in taken):
        kinds = {words.checklist.made(step).thing.of for step in steps}
        into = (
            _things(words, steps) if len(kinds) == 1 else f"triangles, {len({pile.fabrics for pile in taken})} cloths"
        )
        sizes = {pile.size for pile in taken if pile.size is not None}
        size = f", {words.figures(sizes.pop())} {words.plan.unit}," if len(sizes) == 1 else ""
        return f"Cut {kinds_named(taken)}{size} into {into}"
    if len(cuts) == len(steps) and all(step.size is not None for step in steps):
        return f"Cut {_things(words, steps, ' across')}"
    done = cut_verbs(words, steps)
    if len(done) < 2:
        verb = next(iter(done), "") or verbs(steps)
        return f"{verb} {'the ' * is_one(words, steps)}{_things(words, steps)}"
    own = [f"{verb[0].lower()}{verb[1:]} {_kinds_alone(words, each)}" for verb, each in done.items()]
    return own[0][0].upper() + "; ".join(own)[1:]


def cut_verbs(words: Words, steps: Sequence[Step]) -> dict[str, list[Step]]:
    """The steps of a pass in which something sewn is cut, by what is done to it: some are trimmed, others cut apart."""
    done: dict[str, list[Step]] = {}
    for step in steps:
        if isinstance(step.action, CutApart) and words.checklist.taken(step).stage is not Stage.CUT:
            done.setdefault(cut_verb(words, step, step.action), []).append(step)
    return done


def _kinds_alone(words: Words, steps: Sequence[Step]) -> str:
    """What some steps make, without cloths: `half-made flying geese`, `the snowball` where there is one."""
    alone = is_one(words, steps)
    return "the " * alone + kinds_named([words.checklist.made(step) for step in steps], 1 if alone else 2)


def is_one(words: Words, steps: Sequence[Step], taken: bool = False) -> bool:
    """Whether some steps, done one after the other, make one piece, or take one."""
    one_making = len({step.topic.of for step in steps}) == 1 and len({step.operation for step in steps}) == len(steps)
    pile = words.checklist.taken(steps[-1]) if taken else words.checklist.made(steps[-1])
    return one_making and words.pieces_of(steps[-1], pile) == 1


_PLAINER = {INNER: HALF_SQUARE, SPLIT: QUARTER_SQUARE}
"""Units whose name is that of another with more to it."""


def _things(words: Words, steps: Sequence[Step], then: str = "") -> str:
    """What some steps make, and what is done with it `then`: `half-square triangles, rust / pale sand`, `half-square
    triangles, 12 sets of cloths`."""
    made = [words.checklist.made(step) for step in steps]
    if len({pile.size for pile in made}) == 1 and made[0].thing.is_patch and made[0].size is not None:
        cloths = {pile.fabrics for pile in made}
        said = f", {len(cloths)} cloths" if len(cloths) > 1 else f", {words.cloths(made[0].fabrics)}"
        return f"{plural(spoken(made[0].thing), 2)}, {words.figures(made[0].size)} {words.plan.unit}{said}"
    names = kinds_named(made, 1 if is_one(words, steps) else 2) + then
    sets = {pile.fabrics for pile in made}
    aparts = {words.apart(pile) for pile in made}
    size = aparts.pop() if len(aparts) == 1 else ""
    patches = sorted({words.patches(pile) for pile in made if words.patches_apart(pile)})
    size += f", {listed([str(count) for count in patches])} patches" if patches else ""
    if len(sets) == 1:
        return f"{names}, {words.cloths(made[0].fabrics)}{size}"
    return f"{names}, {len(sets)} {'cloths' if all(len(each) == 1 for each in sets) else 'sets of cloths'}{size}"


def kinds_named(piles: Sequence[Pile], count: int = 2) -> str:
    """What lies on some piles, many of each (or one, by `count`): of `quarter-square triangles` and `split
    quarter-square triangles` the first says enough, and of the two hands of a unit what both are."""
    kinds = {pile.thing.of for pile in piles}
    enough = list(dict.fromkeys(pile.thing for pile in piles if _PLAINER.get(pile.thing.of) not in kinds))
    begun = len(enough) > 1 and all(thing.kind is Kind.BEGUN for thing in enough)
    names = []
    for thing in enough:
        both = sum(replace(each, side=thing.side) == thing for each in enough) > 1
        alone = replace(thing, side="" if both else thing.side, kind=Kind.UNIT if begun else thing.kind)
        names.append(plural(spoken(alone), count))
    return f"{'half-made ' * begun}{listed(list(dict.fromkeys(names)))}"


def _blocks(words: Words, steps: Sequence[Step]) -> str:
    titles = dict.fromkeys(words.title(replace(step, version=None)) for step in steps)
    if len(titles) == 1:
        return next(iter(titles))
    block = words.plan.blocks[steps[0].per].name
    made = [words.checklist.made(step).thing for step in steps]
    if any(isinstance(step.action, AddStrips) for step in steps):
        return f"{verbs(steps)} strips of {block}"
    joins = [words.checklist.made(step).thing for step in steps if isinstance(step.action, Join)]
    if all(isinstance(step.action, PressSeams) for step in steps):
        taken = dict.fromkeys(words.checklist.piles[flow.pile].thing for step in steps for flow in step.takes)
        return f"Press the {parts_of_rows(list(taken))} of {block}"
    if not joins:
        return f"{verbs(steps)} {block}"
    cabin = words.cabins.get(steps[0].per)
    logs = sorted({cabin.joined[thing] for thing in made if thing in cabin.joined}) if cabin is not None else []
    if logs:
        return f"Pin and sew {plural('log', len(logs))} {listed([str(log) for log in logs])} of {block}"
    line = whole_lines(joins)
    if line:
        alone = len({step.operation for step in steps}) == 1
        return f"{'Sew' if alone else verbs(steps)} each {line} of {block}"
    if all(thing.kind is Kind.BLOCK or not thing.lines or thing.line_of_block for thing in joins):
        last = next(step.action for step in reversed(steps) if isinstance(step.action, Join))
        return f"{verbs(steps)} the {'rows' if last.direction == 'down' else 'columns'} of {block}"
    pins = [(step, step.action) for step in steps if isinstance(step.action, Pin)]
    if len(pins) == len(joins) == 1:
        return f"Pin and join {words.added(*pins[0])} of {block}"
    if not pins:
        return f"{verbs(steps)} the {len(joins)} parts of {block}"
    used = {flow.pile for step in steps for flow in step.takes}
    ends = [words.checklist.piles[flow.pile].thing for step in steps for flow in step.gives if flow.pile not in used]
    line = whole_lines(ends)
    if line:
        numbers = sorted(thing.lines[0][1] for thing in ends)
        return f"{verbs(steps)} {plural(line, len(numbers))} {listed([str(number) for number in numbers])} of {block}"
    return f"{verbs(steps)} the {parts_of_rows(ends)} of {block}"


def _quilt(words: Words, steps: Sequence[Step]) -> str:
    cuts = [step.action for step in steps if isinstance(step.action, Cut)]
    if len(cuts) == len(steps):
        return _cut_later(words, steps)
    kinds = {words.checklist.made(step).thing.kind for step in steps}
    if kinds <= {Kind.ROW, Kind.SASHES} and len({step.operation for step in steps}) == 1:
        return f"{verbs(steps)} the rows of the quilt, {len(steps)} in all"
    first, last = words.title(steps[0]), words.title(steps[-1])
    return f"{first}; then {last[0].lower()}{last[1:]}"


def section_heading(words: Words, section: Section, steps: Sequence[Step]) -> str:
    """What stands over the steps of one section in the list."""
    made = words.checklist.made(steps[-1])
    if section.part == CUTTING:
        return f"Cutting: {words.cloths(made.fabrics)}"
    if section.part == UNITS:
        taken = {flow.pile for step in steps for flow in step.takes}
        names = _things(words, [step for step in steps if not any(flow.pile in taken for flow in step.gives)])
        return names[0].upper() + names[1:]
    if section.part == BLOCKS:
        block = words.plan.blocks[steps[0].per].name
        return f"Block: {block}, {words.plan.count_of(steps[0].per)} to make"
    if section.part == PLACES:
        return f"Row {section.number} of the quilt: the blocks in their places"
    added = next((step for step in steps if isinstance(step.action, AddStrips | AddBorder | Layer | Bind)), None)
    match added.action if added else None:
        case AddStrips(edges=edges) if added:
            return f"Border {words.checklist.made(added).thing.number}: {edges}"
        case AddBorder() if added:
            return f"Border {words.checklist.made(added).thing.number}, mitred"
        case Layer(backing=backing):
            return "Backing and layers" if backing else "The layers"
        case Bind():
            return "Binding"
    return "The rows of the quilt"
