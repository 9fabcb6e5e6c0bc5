"""What a printed cutting list has wrong, in words: what is listed and needed, the slip, and whether it matters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from tracker.exact.measure import Measure, nearest, round_up, write_length
from tracker.plan.defaults import DEFAULTS
from tracker.printed.block_area import AreaCheck, AreaFinding
from tracker.printed.list_findings import (
    CLOTHS,
    COUNT_DIGIT,
    EXACT,
    FINISHED,
    FLOATING,
    FRACTION,
    LESS_ROOM,
    LESS_ROUNDED,
    ONE_BLOCK,
    ONE_FOR_TWO,
    OTHER_ROW,
    OTHER_SCHOOL,
    OTHERS_SIZE,
    SIDE,
    TOUCHING,
    TRIMMED,
    ListFinding,
)
from tracker.printed.list_table import ListRow
from tracker.printed.listed_diamonds import HARDLY
from tracker.words.names import Names
from tracker.words.thing_words import listed, plural, words_of_use
from tracker.work.steps import Size

AGREES = "The list agrees with the plan."

_SLIPS = {
    FINISHED: "That is the finished size: the seam allowance is missing.",
    TRIMMED: "That is the size of the unit when it is trimmed, not of the square it is cut from.",
    FRACTION: "Probably {needed} was meant: a figure of the size is missing or wrong.",
    COUNT_DIGIT: "Probably {needed} pieces were meant, not {listed}: a figure of the number is missing or wrong.",
    ONE_FOR_TWO: "That is half of what is needed.",
    ONE_BLOCK: "That is enough for one block.",
    OTHER_ROW: "That count stands at another row too, and may be meant for that one alone.",
    CLOTHS: "The cloths seem to be exchanged.",
    EXACT: "That is the exact size, with no room to trim.",
    LESS_ROOM: "That leaves less room to trim than the plan does.",
    LESS_ROUNDED: "The plan rounds that up to the ruler's next mark.",
    SIDE: "That is the length of a diamond's side: list how wide the strip is that it is cut from.",
    FLOATING: "Untrimmed, squares so large let the points float further inside the quilt's edge than planned.",
    TOUCHING: "That is the size for points that touch the quilt's edge; this plan lets them float inside it.",
    OTHERS_SIZE: "They are listed in the size of the others.",
    OTHER_SCHOOL: "That is the length of frame strips that are trimmed when sewn on; this plan cuts them to length.",
}

_FINEST = {"in": Fraction(1, 16), "cm": Fraction(1, 10)}
"""Marks that a difference is said to."""

SHAPES = {
    "rectangle": "sewn in as they are",
    "square": "sewn in as they are",
    "hst": "half-square triangles, two at a time",
    "roomy hst": "half-square triangles, two at a time, cut to be trimmed",
    "qst": "quarter-square triangles",
    "roomy qst": "quarter-square triangles, cut to be trimmed",
    "hst8": "half-square triangles, eight at a time",
    "hst4": "half-square triangles, four at a time",
    "flip": "flipped onto corners",
    "centre": "middles of squares in squares",
    "diamond": "45° diamonds, as wide as their strip",
    "not reckoned": "not reckoned",
    "part of a centre": "patches of the middles of squares in squares",
    "tall triangle": "middles of triangles in squares",
    "side of a tall triangle": "sides of triangles in squares, two of each",
    "half rectangle": "half-rectangle triangles",
    "strip across a half": "strips across a half",
    "corner triangle": "triangles at the block's corners, two of each square",
    "edge triangle": "triangles along the block's edges, four of each square",
    "apart": "sewn in as they are, and cut apart with the block",
}
"""What is made of pieces, in words."""


@dataclass(frozen=True)
class Told:
    """One difference in words: its name, the lines and the cloth; then a sentence each for what is listed and needed,
    the slip behind it (empty where none is known) and what comes of it."""

    kind: str
    where: str
    what: str
    slip: str
    harm: str
    matters: bool


def line_words(lines: tuple[int, ...]) -> str:
    """`Line 3`, `Lines 3 and 7`."""
    return f"{'Line' if len(lines) == 1 else 'Lines'} {listed(list(map(str, lines)))}"


def told(names: Names, finding: ListFinding, place: Callable[[tuple[int, ...]], str] = line_words) -> Told:
    """A difference in words; `place` says where in the list its lines stand."""
    cloth = names.fabric(finding.fabric)
    where = f"{place(finding.lines)}, {cloth}" if finding.lines else cloth[:1].upper() + cloth[1:]
    slip = _slip(names, finding)
    kind = finding.kind if finding.matters or finding.kind != "wrong size" else "other size"
    return Told(kind, where, _what(names, finding), slip, _harm(finding, names.plan.unit), finding.matters)


def _slip(names: Names, finding: ListFinding) -> str:
    """The slip of the pen behind a difference, with the figures that it is about; empty where none is known."""
    if not finding.slip:
        return ""
    both = [counted for counted in (finding.listed, finding.needed) if counted]
    sizes = [f"{names.exact_size(size)}" for _, size in both]
    said = sizes if finding.slip == FRACTION else [str(count) for count, _ in both]
    return _SLIPS[finding.slip].format(listed=said[0], needed=said[-1])


def finding_text(names: Names, finding: ListFinding) -> str:
    """The same in one line."""
    words = told(names, finding)
    return " ".join(filter(None, (f"{words.where}: {words.kind}. {words.what}", words.slip, words.harm)))


def _what(names: Names, finding: ListFinding) -> str:
    pieces = _diamonds if finding.diamonds else _pieces
    has, needs = (pieces(names, counted) if counted else "" for counted in (finding.listed, finding.needed))
    match finding.kind:
        case "missing":
            use = "" if finding.diamonds else f" {words_of_use(finding.use)}"
            return f"The plan needs {needs}{use}; the list has none."
        case "not needed":
            return f"The list has {has}; the plan needs none of that size."
        case "wrong cloth":
            other = names.fabric(finding.instead or finding.fabric)
            return f"The list has {has} of {other}; the plan needs them of {names.fabric(finding.fabric)}."
    return f"The list has {has}; the plan needs {needs}."


def _pieces(names: Names, counted: tuple[int, Size]) -> str:
    return f"{counted[0]} of {names.exact_size(counted[1])}"


def _diamonds(names: Names, counted: tuple[int, Size]) -> str:
    count, (wide, _) = counted
    return f"{count} {plural('diamond', count)} {names.ruler(wide)} {names.plan.unit} wide"


def _harm(finding: ListFinding, unit: str) -> str:
    has, needs = finding.listed or (0, None), finding.needed or (0, None)
    match finding.kind:
        case "missing":
            return f"Add {'it' if needs[0] == 1 else 'them'} to the list, and cut {needs[0]}."
        case "too few":
            return f"Cut {needs[0]} in all: {needs[0] - has[0]} more than the list says here."
        case "too many":
            spare = has[0] - needs[0]
            cloth = _more_cloth(finding, unit) or ", cut from the same strips"
            return f"It does no harm: {spare} {'is' if spare == 1 else 'are'} left over{cloth}."
        case "not needed":
            cloth, what = _more_cloth(finding, unit, ""), "it" if has[0] == 1 else "them"
            return f"Leave {what} out: it does no harm, but takes {cloth or 'cloth that is needed for nothing'}."
        case "wrong cloth":
            return f"Cut so, {'it is' if has[0] == 1 else 'they are'} of no use here, and that cloth is lost."
    if finding.kind == "wrong size" and needs[1] and has[1]:
        changes = [a - b for a, b in zip(has[1], needs[1], strict=True)]
        return _harm_of_size([Measure(), changes[1]] if finding.diamonds else changes, finding, unit)
    return "Cut so, they do not fit."


def _more_cloth(finding: ListFinding, unit: str, before: str = ", and it takes ") -> str:
    """How much more of the cloth goes into what is listed; nothing where it comes out of the same strips."""
    more = round_up(finding.more_cloth, DEFAULTS[unit].ruler)
    return f"{before}about {write_length(more, unit)} {unit} more of the cloth's length" if more else ""


def _harm_of_size(changes: list[Measure], finding: ListFinding, unit: str) -> str:
    """What comes of pieces that are cut so much longer and wider than they should be (less than 0: shorter)."""
    changed = [change for change in changes if change]
    by = f"{write_length(nearest(abs(changed[0]), _FINEST[unit]), unit)} {unit}"
    cloth = _more_cloth(finding, unit)
    they, are = ("it", "is") if finding.listed and finding.listed[0] == 1 else ("they", "are")
    if not finding.matters:
        if finding.slip in (EXACT, LESS_ROOM, LESS_ROUNDED):
            return f"It does no harm if {they} {are} cut and sewn exactly."
        if finding.slip == OTHER_SCHOOL:
            return f"It does no harm: trim the ends even{cloth}."
        if finding.slip == OTHERS_SIZE and len(set(changed)) == 1 and changed[0] > 0:
            return f"{they.capitalize()} can be trimmed by {by}; it does no harm{cloth}."
        if min(changed) > 0 and len(set(changed)) == 1 and changed[0] >= _FINEST[unit]:
            large = "larger" if len(changed) == 2 else "longer" if changes[0] else "wider"
            return f"It does no harm: {they} {are} {by} {large} than needed, which is trimmed away{cloth}."
        if max(map(abs, changed)) < HARDLY[unit]:
            return f"It does no harm: the difference is lost in the sewing{cloth}."
        return f"It does no harm: the difference is trimmed away{cloth}."
    if len(changed) == 1:
        if changed[0] < 0:
            return f"Cut so, {they} {are} {by} too {'short' if changes[0] else 'narrow'}, and the cloth is lost."
        return f"Cut so, {they} {are} {by} too {'long' if changes[0] else 'wide'}, and must be cut down{cloth}."
    if min(changed) < 0:
        return f"Cut so, {they} {are} too small, and the cloth is lost."
    return f"Cut so, {they} {are} too large, and must be cut down{cloth}."


def row_text(row: ListRow, unit: str) -> str:
    """`24 of 2½ × 4½ in`: a row as it was read; and of one across the cloth, which width was taken."""
    sides = " × ".join(write_length(side, unit) for side in (row.width, row.height))
    if row.shape == "diamond":
        return f"{row.count} {plural('diamond', row.count)} {write_length(row.height, unit)} {unit} wide"
    said = f" (the cloth's usable width is taken as {write_length(max(row.width, row.height), unit)} {unit})"
    return f"{row.count} of {sides} {unit}{said if row.across else ''}"


def taken_text(row: ListRow, shape: str, unit: str) -> str:
    """How a row of a list without a plan was taken, in one line."""
    cloth = f", {row.fabric}" if row.fabric else ""
    return f"Line {row.line}{cloth}: {row_text(row, unit)}, {SHAPES[shape]}."


def areas_text(check: AreaCheck, unit: str, place: Callable[[tuple[int, ...]], str] = line_words) -> str:
    """Whether a list without a plan can be sewn to its block, or what stands against it; `place` as in `told`."""
    # Of a block that is typed with its seam allowance no area is right.
    told = check.findings[:1] if check.findings and check.findings[0].kind == "unfinished" else check.findings
    return " ".join(area_finding_text(check, finding, unit, place) for finding in told) or area_text(check, unit)


def area_text(check: AreaCheck, unit: str) -> str:
    """Whether the finished areas of a list add up to the block's."""
    pieces, block, difference = (_area(abs(area), unit) for area in (check.pieces, check.block, check.difference))
    if not check.difference and not check.agrees:
        return (
            f"The finished pieces add up to {pieces}, as the block does, but some of them go with no others. A size or "
            "a count is wrong; where the list is right, say for each row what is made of it."
        )
    if not check.difference:
        return f"The finished pieces add up to {pieces}, as the block does."
    over = check.difference > 0
    wrong = "too large, or a row stands there twice" if over else "too small, or a row is missing"
    short = f"{difference} {'too much' if over else 'missing'}"
    return f"The finished pieces add up to {pieces}, the block to {block}: {short}. A size or a count is {wrong}."


def _so_many(finding: AreaFinding, unit: str) -> str:
    """`the 4 pieces of 4½ × 2½ in`, `the one square of 3⅞ in`."""
    assert finding.size is not None
    sides = [write_length(nearest(side, _FINEST[unit]) if side.root else side, unit) for side in finding.size]
    square, one = sides[0] == sides[1], finding.count == 1
    many = "one" if one else str(finding.count)
    return f"the {many} {plural('square' if square else 'piece', finding.count)} of {' × '.join(sides[square:])} {unit}"


_AREA_PARTS = {"in": Fraction(1, 16), "cm": Fraction(1, 100)}
"""No area is said finer than this."""


def _area(area: Fraction, unit: str) -> str:
    said = nearest(area, _AREA_PARTS[unit])
    return f"{'' if said == area else 'about '}{write_length(said, unit)} sq {unit}"


def area_finding_text(
    check: AreaCheck, finding: AreaFinding, unit: str, place: Callable[[tuple[int, ...]], str] = line_words
) -> str:
    """One thing that does not agree in a list without a plan, in a sentence or two; `place` as in `told`."""
    where = place((finding.line,)) if finding.line else ""
    match finding.kind:
        case "diamonds":
            return (
                "Nothing is reckoned: pieces of a star of 45° diamonds add up to its block only about, each cut to a "
                "ruler's mark. Compare the list with the star's plan instead."
            )
        case "unfinished":
            return "The pieces fit a block that measures this with its seam allowance: type the finished size."
        case "unpaired":
            rule = "there must be an even number of them, and no more of one cloth than of the others together"
            return (
                f"{where}: {_so_many(finding, unit)}, taken for {SHAPES[finding.shape]}, cannot be paired: "
                f"{rule}. Either this row is wrong, or one that it is paired with."
            )
        case "no corner":
            goes = "goes" if finding.count == 1 else "go"
            return (
                f"{where}: {_so_many(finding, unit)}, taken as {SHAPES[finding.shape]}, {goes} with the number of no "
                "other row. Either this row is wrong, or the one that it goes with."
            )
        case "bare":
            return (
                f"{where}: {_so_many(finding, unit)} cannot be meant to be sewn in as they are: they belong on "
                "oblongs, or would be cut in one with what lies beside them. Either this row is wrong, or one that "
                "goes with it is wrong or missing."
            )
        case "no room":
            return (
                f"{where}: {_so_many(finding, unit)}, taken as {SHAPES[finding.shape]}, and those that are "
                "larger have no room beside each other in the block. Either this row is wrong, or a larger one."
            )
    return area_text(check, unit)
