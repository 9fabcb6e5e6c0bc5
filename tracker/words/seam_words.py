"""Sentences about pinning and pressing seams: which nest where, and to which side they go.

Whatever a seam goes toward lies on top when it is pressed, and is folded back over it. Which way the seams of several
pieces go is said as it is seen from the back: left and right change places, up and down stay. Pinning is said from the
front, from the left or top edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracker.words.names import Names
from tracker.words.thing_words import TURNED, listed, part_name, parts_numbered, plural, side_by_side, whole_lines
from tracker.work.partial_seams import BeginSeam, PartialSeams
from tracker.work.pressed import PlacePressing, PressVersion, SeamPress
from tracker.work.steps import Pin, PressSeams, Step
from tracker.work.things import Kind, Thing
from tracker.work.whole_blocks import Nest

FROM_BEHIND = (
    "What a seam goes toward lies on top, the seam away from you: set it, fold the upper cloth back over it and press "
    "along the fold. Seen from the back as it lies: "
)
AS_BEFORE = "Press as before, what a seam goes toward on top. Seen from the back as it lies: "
AWAY_FROM_MIDDLE = (
    " Only as far as it is sewn. All four go so, away from the middle: each lies flat where the next is sewn over its "
    "end."
)
EITHER = "either half"
"""What a seam is pressed toward where both sides are as good."""

SHORT = {"in": 6, "cm": 15}
"""A seam so short is held by pins at its ends (common practice)."""

MANY_IN_A_ROW = 6
MOST_NUMBERS = 12
"""How many block numbers are said one by one."""


def pressed_by_hand(upper: str, seams: int = 1, again: bool = False) -> str:
    """How a hand presses `seams` toward what is named: it lies on top, and the allowance comes to lie under it. In few
    words where that was said before (`again`)."""
    if upper == EITHER:
        toward = "Press to either side"
        if again:
            return f"{toward}, as before: the half it goes toward on top, folded back along the seam."
        return (
            f"{toward}: the half it goes toward on top, the seam away from you. Set the seam, fold the upper half back "
            "over it and press along the fold. Lift and lower, do not drag."
        )
    if again:
        return f"Press toward {upper}, as before: that on top, folded back along the seam."
    return (
        f"Press toward {upper}. With that on top and the seam away from you, set the seam, fold the upper cloth back "
        f"over it and press along the fold{', seam after seam' if seams > 1 else ''}. Lift and lower, do not drag."
    )


def in_pairs(pieces: int) -> str:
    """How a long row is sewn of so many pieces; nothing for a short one."""
    if pieces < MANY_IN_A_ROW:
        return ""
    return " So many go straighter in pairs: sew 1 to 2, 3 to 4 and so on, then the pairs to each other."


def pin_text(names: Names, pin: Pin) -> str:
    """What to do at a pinning: where seams nest, and where they do not."""
    sizes = [size for pile in (pin.first, pin.second) if (size := names.checklist.piles[pile].size) is not None]
    along = [size[0 if pin.direction == "down" else 1] for size in sizes]
    middle = "" if along and min(along) <= SHORT[names.plan.unit] else " and the middle"
    ends = "" if any(nest.nests for nest in pin.nests) else f" Pin both ends{middle}."
    return f"Lay the two right sides together, edges level.{ends}{pinned_where(names, pin.nests, pin.direction)}"


def pinned_where(names: Names, nests: Sequence[Nest], direction: str) -> str:
    """Where seams of two pieces joined "across" or "down" nest, and where they do not; nothing where none meet."""
    edge = "left" if direction == "down" else "top"
    sides = ("upper", "lower") if direction == "down" else ("left", "right")
    good = [meeting(names, nest, sides) for nest in nests if nest.nests]
    bad = [meeting(names, nest, sides) for nest in nests if not nest.nests]
    text = ""
    if good:
        text += f" {_these(good, 'nest')} (from the {edge} edge): {'; '.join(good)}. Push together and pin."
    if bad:
        text += (
            f" {_these(bad, 'do not nest', 'does not nest')}, for both allowances lie the same way: {'; '.join(bad)}. "
            "Pin just before and just after."
        )
    return text


def _these(found: Sequence[str], many: str, one: str = "nests") -> str:
    return f"This {one}" if len(found) == 1 else f"These {len(found)} {many}"


def meeting(names: Names, nest: Nest, sides: tuple[str, str]) -> str:
    """`seam 3, 4½ in`, or which seam of each piece where they count differently."""
    first, second = nest.seams
    place = f"{names.ruler(nest.along)} {names.plan.unit}"
    if first == second:
        return f"seam {first}, {place}" if first else place
    return f"seam {first} of the {sides[0]} with seam {second} of the {sides[1]}, {place}"


def press_seams_text(names: Names, step: Step, action: PressSeams) -> str:
    """Which way the seams of one pressing go: pieces that go alike together, others seam by seam."""
    start, again = version_start(step.version, step.blocks), names.is_pressed_as_before(step)
    upper = upper_strip(names, step, action)
    if upper:
        begun = isinstance(names.maker_of[step.takes[0].pile].action, BeginSeam)
        return start + pressed_by_hand(upper, sum(map(len, action.seams)), again) + AWAY_FROM_MIDDLE * begun
    return f"{start}{AS_BEFORE if again else FROM_BEHIND}{ways_from_behind(names, step, action)}."


def upper_strip(names: Names, step: Step, action: PressSeams) -> str:
    """What seams are pressed toward where that is always the strip or log just added; else nothing."""
    if isinstance(names.maker_of[step.takes[0].pile].action, PartialSeams):
        return round_toward(names, step)
    toward = [seam.toward for seams in action.seams for seam in seams]
    if all(thing is not None and thing.kind is Kind.FRAME_STRIP for thing in toward):
        return "the strip"
    cabin = names.cabins.get(step.per)
    if cabin is not None and all(thing in cabin.logs for thing in toward):
        return "the log just added" if len(toward) == 1 else "each log"
    return ""


def ways_from_behind(names: Names, step: Step, action: PressSeams) -> str:
    """Which way seams go, seen from the back, pieces that go alike together."""
    alike: dict[str, list[Thing]] = {}
    things = [names.checklist.piles[flow.pile].thing for flow in step.takes]
    last = max((thing.lines[0][1] for thing in things if thing.line_of_block), default=0)
    for thing, seams in zip(things, action.seams, strict=True):
        at_corners = bool(thing.line_of_block) and thing.lines[0][1] in (1, last)
        ends = "outer strips" if step.per == "quilt" else "corners" if at_corners else "ends"
        alike.setdefault(piece_ways(seams, ends), []).append(thing)
    return "; ".join(
        f"{pieces_named(names, step.per, own)} {way}" if len(action.seams) > 1 else way for way, own in alike.items()
    )


def joined_check(names: Names, step: Step) -> str:
    """What pressed joins must be: flat, and of the size that is reckoned, each piece where they differ."""
    made = [names.checklist.piles[flow.pile] for flow in step.gives]
    said: dict[str, list[Thing]] = {}
    for pile in made:
        if pile.size is not None:
            said.setdefault(names.size(pile.size), []).append(pile.thing)
    flat = "Cool and flat, no folds beside the seams"
    if not said:
        return f"{flat}."
    if len(made) == 1:
        return f"{flat}: {next(iter(said))}. If it is not, unpick now rather than at the end."
    if len(said) == 1:
        return f"{flat}: each {next(iter(said))}. If one is not, unpick now rather than at the end."
    each = "; ".join(_measure(pieces_named(names, step.per, own), size, len(own)) for size, own in said.items())
    return f"{flat}: {each}. If one is not, unpick now rather than at the end."


def _measure(pieces: str, size: str, count: int) -> str:
    """`rows 1 and 3 are 6½ × 2 in`: a verb keeps the numbers of rows from their sizes."""
    return f"{pieces} {'is' if count == 1 and ' pieces ' not in pieces else 'are'} {size}"


def piece_ways(seams: Sequence[SeamPress], ends: str = "ends") -> str:
    """Where the seams of one piece go, seen from the back: `all to the left`; `outward, to the ends`, or whatever lies
    there, or `inward, to the middle`; else one by one as they lie there."""
    ways = [way_from_behind(seam) for seam in seams]
    if len(set(ways)) == 1:
        return ways[0] if len(ways) == 1 else f"all {ways[0]}"
    across = side_by_side(*seams[0].between)
    # Face down the last seam from the left is the first.
    ordered = ways[::-1] if across else ways
    half = len(ordered) // 2
    first, second = set(ordered[:half]), set(ordered[-half:])
    if len(ordered) == 2 * half and len(first) == len(second) == 1:
        if first <= {"to the left", "up"} and second <= {"to the right", "down"}:
            return f"outward, to the {ends}"
        if first <= {"to the right", "down"} and second <= {"to the left", "up"}:
            return "inward, to the middle"
    start = "left" if across else "top"
    return f"(seams from the {start}) " + ", ".join(f"{i} {way}" for i, way in enumerate(ordered, 1))


def way_from_behind(seam: SeamPress) -> str:
    """The side that a seam goes to, seen from the back."""
    if seam.toward is None:
        return "open"
    if seam.toward.kind is Kind.FRAME_STRIP:
        return "toward the strip"
    later = seam.toward == seam.between[1]
    if side_by_side(*seam.between):
        return "to the left" if later else "to the right"
    return "down" if later else "up"


def pieces_named(names: Names, block: str, found: Sequence[Thing]) -> str:
    """`row 2`, `rows 1, 3 and 5`; other pieces one by one."""
    line = whole_lines(found)
    if line and len(found) > 1:
        return f"{line}s {listed([str(part.lines[0][1]) for part in found])}"
    if all(names.parts.get(block, {}).get(part) == parts_numbered([part]) for part in found):
        return parts_numbered(found) or listed([parts_numbered([part]) for part in found])
    return listed([names.part(block, part) if block in names.parts else part_name(part) for part in found])


def round_toward(names: Names, step: Step) -> str:
    """What a seam round a middle is pressed toward: the piece that it was sewn on with, away from the middle."""
    assert isinstance(step.action, PressSeams)
    (seam,) = step.action.seams[0]
    assert seam.toward is not None
    return names.part(step.per, seam.toward)


def version_start(letters: str | None, blocks: tuple[int, ...] | None) -> str:
    """`Version B, blocks 2 and 4. `, nothing where there is one version."""
    if letters is None or blocks is None:
        return ""
    return f"{plural('Version', letters.count(',') + 1)} {letters}, {blocks_named(blocks)}. "


def blocks_named(blocks: Sequence[int]) -> str:
    """`block 3`, `blocks 1, 3 and 5`, or how many where they are many."""
    if len(blocks) > MOST_NUMBERS:
        return f"{len(blocks)} blocks"
    return f"{plural('block', len(blocks))} {listed([str(number) for number in blocks])}"


# The whole pressing, for a terminal

_TURN_SIGNS = {0: "", 90: ">", 180: "^", 270: "<"}


def pressing_lines(names: Names) -> Iterator[str]:
    """The pressing of a quilt, line by line: every version of every block, then what lies in each place."""
    pressing = names.checklist.pressing
    for block in pressing.blocks:
        for version in block.versions:
            title = f"{names.plan.blocks[block.block].name}, version {version.letter}"
            yield f"{title} ({blocks_named(version.blocks)}), seen from the back:"
            lines = list(_version_lines(names, block.block, version))
            yield from (f"  {line}" for line in lines or ["it is one piece: no rows are joined"])
    turns = sorted({place.turn for row in pressing.places for place in row} - {0})
    signs = ", ".join(f"{_TURN_SIGNS[turn]} is {TURNED[turn]}" for turn in turns)
    yield "In the quilt" + (f" ({signs}):" if signs else ":")
    for row in pressing.places:
        yield "  " + "  ".join(_placed(names, place, len(pressing.blocks) > 1) for place in row)


def _version_lines(names: Names, key: str, version: PressVersion) -> Iterator[str]:
    """Each piece of a block with the ways of its seams, in the order in which they are pressed."""
    for step in names.checklist.steps:
        if step.per != key or not isinstance(step.action, PressSeams):
            continue
        if step.version is not None and version.letter not in step.version.split(", "):
            continue
        if isinstance(names.maker_of[step.takes[0].pile].action, PartialSeams):
            yield f"{names.part(key, names.checklist.taken(step).thing)}: toward {round_toward(names, step)}"
            continue
        made = names.checklist.made(step).thing
        if made.kind is Kind.BLOCK and made.side:
            yield f"frame {made.number}, {made.side}: toward the strip"
            continue
        for flow, seams in zip(step.takes, step.action.seams, strict=True):
            if seams:
                yield f"{names.part(key, names.checklist.piles[flow.pile].thing)}: {piece_ways(seams)}"


def _placed(names: Names, place: PlacePressing, several: bool) -> str:
    versions = next(block.versions for block in names.checklist.pressing.blocks if block.block == place.block)
    letter = versions[place.version].letter + _TURN_SIGNS[place.turn]
    return f"{names.plan.blocks[place.block].name} {letter}" if several else letter
