"""What is added to the titles of steps that would be called alike: the bag, the patches, the halves or the unit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from tracker.words.unit_words import UnitNames
from tracker.work.steps import Pair, Step
from tracker.work.things import OF_UNITS, QUARTER_SQUARE, SPLIT


def told_apart(names: UnitNames, titles: Iterable[tuple[Step, str]]) -> Mapping[str, str]:
    """What is added to the titles of steps, by their ids: `, from bag A`; nothing where a title is alone."""
    alike: dict[str, list[Step]] = {}
    for step, title in titles:
        alike.setdefault(title, []).append(step)
    found: dict[str, str] = {}
    for steps in alike.values():
        if len(steps) > 1:
            found |= _added(names, steps)
    return found


def _added(names: UnitNames, steps: list[Step]) -> dict[str, str]:
    for says in _SAYS:
        said = {step.id: says(names, step) for step in steps}
        if all(said.values()) and len(set(said.values())) == len(steps):
            return said
    return {step.id: f", {number} of {len(steps)}" for number, step in enumerate(steps, 1)}


def _bag(names: UnitNames, step: Step) -> str:
    bag = names.checklist.taken(step).bag if step.takes else None
    return f", from bag {bag}" if bag else ""


def _hand(names: UnitNames, step: Step) -> str:
    """Which way it is cut, where the two hands of a unit are cut apart."""
    thing = names.checklist.made(step).thing
    return f", {thing.side}" if thing.side and thing.kind in OF_UNITS else ""


def _patches(names: UnitNames, step: Step) -> str:
    """Of how many patches it is, where the same name is of more or fewer."""
    made = names.checklist.made(step)
    return f", {names.patches(made)} patches" if made.thing.kind in OF_UNITS else ""


def _halves(names: UnitNames, step: Step) -> str:
    """Of what was laid on what, where both are pieced."""
    pair = names.pair_before(step)
    if pair is None:
        return ""
    laid = [names.checklist.piles[pile] for pile in (pair.base, pair.laid[0].pile)]
    if any(pile.thing.is_patch for pile in laid):
        return ""
    return f", of {' and '.join(names.cloths(pile.fabrics) for pile in laid)}"


def _split_next(names: UnitNames, step: Step) -> str:
    """Whether it is for a unit one half of which is whole."""
    paired = _paired_next(names, step)
    made = None if paired is None else names.checklist.made(paired).thing.of
    return {SPLIT: ", for split ones", QUARTER_SQUARE: ", for the others"}.get(made or "", "")


def _cloths_next(names: UnitNames, step: Step) -> str:
    """The cloths of the unit that it is for."""
    paired = _paired_next(names, step)
    return "" if paired is None else f", for {names.cloths(names.checklist.made(paired).fabrics)}"


def _paired_next(names: UnitNames, step: Step) -> Step | None:
    takers = names.takers_of.get(step.gives[0].pile, ())
    return next((taker for taker in takers if isinstance(taker.action, Pair)), None)


def _made_next(names: UnitNames, step: Step) -> str:
    """The unit that it is for."""
    paired = _paired_next(names, step)
    return "" if paired is None else f", for {names.thing(names.checklist.made(paired), 2)}"


def _made_next_of(names: UnitNames, step: Step) -> str:
    """The unit that it is for, with its halves."""
    paired = _paired_next(names, step)
    halves = "" if paired is None else _halves(names, paired)
    return f"{_made_next(names, step)}{halves}" if halves else ""


_SAYS: tuple[Callable[[UnitNames, Step], str], ...] = (
    _bag,
    _hand,
    _patches,
    _halves,
    _split_next,
    _cloths_next,
    _made_next,
    _made_next_of,
)
"""The shortest that tells them apart comes first."""
