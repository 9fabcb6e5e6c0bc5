"""What is done about a unit, a part, a block or a top that measures wrong."""

from __future__ import annotations

from fractions import Fraction

from tracker.exact.measure import nearest, write_length
from tracker.words.names import Names
from tracker.work.steps import Size, Step
from tracker.work.things import Kind

SIXTEENTH = {"in": 16, "cm": 10}
"""The marks that easing is said to: sixteenths of an inch, tenths of a centimetre."""


def should_measure(names: Names, step: Step) -> str:
    """The exact size of what a step gives, in a sentence; nothing where it has none worth measuring."""
    if step.size is None or not _is_measured(step):
        return ""
    return f"It should measure {names.size(step.size)}, pressed, cool and not pulled."


def _is_measured(step: Step) -> bool:
    """Whether what comes of a step is measured, or measuring is what is done."""
    return step.kind.sized or step.kind.asks


def measures_wrong(names: Names, step: Step) -> list[str]:
    """What is done about it, in order, a sentence or two each: of a unit, a part of a block, a block, the top."""
    made = names.checklist.made(step)
    if step.size is None or not _is_measured(step):
        return []
    if made.block is None and not made.thing.of_the_quilt:
        return [
            "Press it and measure again. Larger: trim it. Smaller: the seam is too wide, so test "
            "yours before you sew on; a unit that is too small is made anew."
        ]
    again = "Press it, let it cool, and measure again: near both edges and through the middle."
    if made.thing.kind is not Kind.BLOCK:
        last = "If it still is off by more than you can ease, unpick the seam that is too wide and sew it again."
        return [each for each in (again, _by_seams(names, step), last) if each]
    easily, with_care = (_marks(names, side, step.size) for side in (96, 48))
    out = _length(names, *LET_OUT)
    said = (
        again,
        _by_seams(names, step),
        f"Short by up to {easily}: ease it when it is sewn to its neighbour, the longer edge "
        f"below. Up to {with_care}: that too, with care.",
        "Larger: square it, the design in the middle; do not cut into a point.",
        f"Shorter still: sew its widest seams again, letting out at most {out} each; or sew strips"
        " round it; or make it anew.",
        "Several short alike: the seam is too wide, so test it. Cut none down before all blocks "
        "are measured; then square all to the one size that costs the least.",
    )
    return [each for each in said if each]


LET_OUT = Fraction(1, 16), Fraction(15, 100)
"""What a seam is let out by at most, in inches and centimetres, so that enough of its allowance stays."""
A_LITTLE = Fraction(1, 32), Fraction(8, 100)
"""What a seam is easily off by."""


def _by_seams(names: Names, step: Step) -> str:
    """What a little too much at every seam comes to; nothing where no seams are crossed."""
    made = names.checklist.made(step)
    block = names.plan.blocks.get(made.block or "")
    if block is None or block.combine:  # patches that span cells have fewer
        return ""
    seams = len(block.columns) - 1 + (2 * made.thing.number if made.thing.kind is Kind.BLOCK else 0)
    if seams < 1:
        return ""
    over = _length(names, *(2 * seams * each for each in A_LITTLE))
    many = "one seam" if seams == 1 else f"{seams} seams"
    return f"A seam {_length(names, *A_LITTLE)} too wide takes twice that off: over {many}, {over}."


def _marks(names: Names, part: int, size: Size) -> str:
    """A part of the longer side, to the nearest sixteenth of an inch or tenth of a centimetre."""
    near = nearest(max(size) / part, Fraction(1, SIXTEENTH[names.plan.unit]))
    return f"{write_length(near, names.plan.unit)} {names.plan.unit}"


def _length(names: Names, inches: Fraction, centimetres: Fraction) -> str:
    length = inches if names.plan.unit == "in" else centimetres
    return f"{write_length(length, names.plan.unit)} {names.plan.unit}"
