"""What can be wrong with a checklist, as facts: the kind, the step, and what differs. Each kind has one sentence."""

from __future__ import annotations

from dataclasses import dataclass

from tracker.exact.measure import Measure, write_length

SEWING_KINDS = {
    "unknown pile": "the pile {pile} is not in the list of piles",
    "empty pile": "it takes from the pile {pile}, where nothing has been put",
    "wrong thing": "it needs {needed}, but {found} lies on the pile {pile}",
    "wrong takes": "it must take {needed} from {pile}, but takes {found}",
    "wrong gives": "it gives {needed} to {pile}, but is said to give {found}",
    "unlike": "what it puts on the pile {pile} differs in {what} from what lies there",
    "two hands": "mirror images lie together on the pile {pile}, and both do not serve",
    "no cloth": "a size of {width} by {height} is no cloth",
    "mark off the cloth": "a pencil line lies outside the piece",
    "not on the base": "piece {piece} is laid beside the base",
    "sews nothing": "line {line} of stitches goes through no two layers",
    "seam line": "line {line} of stitches lies {found} from the nearest mark or edge, not {needed}",
    "not across": "cut {line} does not go right across",
    "no part": "part {part} is not in the cloth",
    "part twice": "parts {part} and {other} are the same piece",
    "unnamed part": "cutting apart gives {found} pieces, but {needed} are named",
    "not sewn": "piece {piece} is not sewn to the base",
    "gap": "the seam of piece {piece} does not run its whole length",
    "allowance": "behind the seam of piece {piece} the {layer} leaves {found}, not {needed}",
    "held shut": "other stitches hold piece {piece} shut",
    "bad word": "{word} is not one of {needed}",
    "too small to trim": "the rectangle {width} by {height} reaches outside the cloth",
    "edges": "an edge of {found} meets one of {needed}",
    "ragged edge": "the {edge} edge of piece {piece} is not straight for the whole seam allowance",
    "too narrow": "piece {piece} is no wider than its two seam allowances",
    "open part": "the seam is begun for {found} of {needed}: it must pass one allowance and stay open at the other",
    "not to the dot": "the stitches of piece {piece} end neither at a dot of both pieces nor at the edge",
    "past the dot": "the stitches of piece {piece} run past the dot where another piece is to be set in",
    "unpressed": "a seam that meets this one is not pressed yet",
    "wrong seams": "{found} seams are to be pressed, but {needed} lie there unpressed",
    "wrong name": "{name} is not on that side of the seam",
}
"""What stops the sewing."""

PROOF_KINDS = {
    "wrong operation": "it is called {operation}, but does something else",
    "below zero": "it is to be done {count} times",
    "size": "on the pile {pile} it prints {printed}, but {found} lies there",
    "pile cloths": "the pile {pile} is said to be of {printed}, but {found} lies there",
    "no cloth to trim": "the trim leaves no cloth on the {side}",
    "nests": "seams meeting {along} along are printed as: {printed}; in the cloth: {found}",
    "pinned the other way": "it is pinned {printed}, but joined {found}",
    "begun": "the seam is begun for {printed}, but half of it is {needed}",
    "cloths": "the cloth along the seam where it is pressed to is printed as {printed}, but is {found}",
    "print": "in {block}, {place}: the print of {what} should lie {wanted} but lies {found} degrees from upright",
    "not one way round": "seams that meet at one point do not all go one way round it",
    "picture": "in {block}, {place} should show {wanted} but shows {found}",
    "unit": "on the pile {pile} the unit should show {wanted} but shows {found}",
    "pressed light": "it is pressed {found}, not {needed}, where the darker cloth or the strip lies",
    "not a block": "on the pile {pile} there is no single finished piece",
    "blocks": "{found} of {needed} blocks {block} come out finished",
    "too few": "the pile {pile} gives out: {given} put on, {taken} taken by then",
    "count": "{what}: {printed} printed, {found} by the steps",
    "not each block": "it is to be done {count} times, for {needed} blocks",
    "wrong owner": "it is counted per {printed}, but its pieces are of {found}",
    "not one block": "for block {block} not one finished block is left, but {found}",
    "not one quilt": "not one finished quilt is left, but {found}",
    "no such version": "in {block}, version {found} is not how its blocks are pressed",
    "no such place": "the places are not those of the quilt",
    "not in place": "block {block} is set as (row, turn, version) {found}, not {wanted}",
    "may not be turned": "block {block} may not lie turned by {found}",
}
"""What is not as the plan wants it, or not as printed."""

KINDS = {**SEWING_KINDS, **PROOF_KINDS}
"""Every kind of fault, and the sentence that its facts fill, to be read after the step's id."""


@dataclass(frozen=True)
class SewingFault:
    """Something not as printed: in which step, of what kind, and the facts of it.

    `step` is a step's id, or for what no step is to blame "cutting list", "unit list", "block list", "spares",
    "pressing list" or "whole quilt".
    """

    step: str
    kind: str
    facts: tuple[tuple[str, object], ...] = ()

    def sentence(self, unit: str = "in") -> str:
        """One sentence that names the step and what differs, lengths in the plan's unit."""
        facts = {name: _shown(value, unit) for name, value in self.facts}
        return f"{self.step}: {KINDS[self.kind].format(**facts)}."


def fault(step: str, kind: str, **facts: object) -> SewingFault:
    """A Fault with its facts by name."""
    return SewingFault(step, kind, tuple(facts.items()))


def _shown(value: object, unit: str) -> str:
    if isinstance(value, tuple):
        return " by ".join(_shown(each, unit) for each in value)
    if isinstance(value, Measure):
        return write_length(value, unit) if value.is_rational else f"about {value.decimal(4)}"
    return str(value)


class Impossible(Exception):
    """Raised where an action cannot be done with the cloth that lies there; the kind is one of KINDS."""

    def __init__(self, kind: str, **facts: object) -> None:
        super().__init__(kind)
        self.kind = kind
        self.facts = tuple(facts.items())

    def in_step(self, step: str) -> SewingFault:
        return SewingFault(step, self.kind, self.facts)
