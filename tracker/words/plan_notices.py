"""What the tool has to say about a plan, each in one sentence."""

from __future__ import annotations

from typing import Any

from tracker.exact.measure import Measure, nearest, write_length
from tracker.plan.model import Plan
from tracker.plan.upright_cloths import turning
from tracker.route.compiler import CannotSew
from tracker.units.recipes.on_point_pictures import MOST_ACROSS
from tracker.words.names import Names
from tracker.words.seam_words import blocks_named
from tracker.words.thing_words import listed, plural
from tracker.work.steps import Notice
from tracker.work.things import HALF_SQUARE, STRIP_SET


def notice_sentence(names: Names, notice: Notice) -> str:
    """Something worth knowing about a plan."""
    return _NOTICES[notice.kind](names, dict(notice.facts))


def _off_the_mark(names: Names, facts: dict[str, Any]) -> str:
    return _off_marks(names, facts, f"Patches of {names.fabric(facts['fabric'])}", "a cell of ")


def _trimmed_off_the_mark(names: Names, facts: dict[str, Any]) -> str:
    unit, many = names.plan.unit, plural(facts["unit"], 2)
    size = " × ".join(dict.fromkeys(write_length(side, unit) for side in facts["size"]))
    fits, mark = write_length(facts["fits"], unit), write_length(names.plan.ruler, unit)
    return (
        f"{many[:1].upper()}{many[1:]} are trimmed to {size} {unit}, which is off the ruler's marks of {mark} {unit}; "
        f"a cell of {fits} {unit} would fit them."
    )


def _frame_off_the_mark(names: Names, facts: dict[str, Any]) -> str:
    return _off_marks(names, facts, f"Frame strips of {names.fabric(facts['fabric'])}")


def _strip_off_the_mark(names: Names, facts: dict[str, Any]) -> str:
    return _off_marks(names, facts, f"Strips of {names.fabric(facts['fabric'])} for the {facts['part']}")


def _off_marks(names: Names, facts: dict[str, Any], pieces: str, right: str = "") -> str:
    """Pieces whose cut size no mark of the ruler shows, and the nearest that one does."""
    unit = names.plan.unit
    cut, fits, mark = (write_length(each, unit) for each in (facts["cut"], facts["fits"], names.plan.ruler))
    return (
        f"{pieces} are cut {cut} {unit}, which is off the ruler's marks of {mark} {unit}; "
        f"{right}{fits} {unit} would fit them."
    )


def _centre_rounded(names: Names, facts: dict[str, Any]) -> str:
    unit, over = names.plan.unit, facts["over"]
    off = f"{abs(over).decimal(3)} {unit} too {'large' if over.sign() > 0 else 'small'}"
    return (
        f"The middle of a {write_length(facts['finished'], unit)} {unit} square in a square has no size on the ruler: "
        f"it is cut {write_length(facts['rounded'], unit)} {unit}, {off}, and the unit is trimmed true around it."
    )


def _none_on_point(names: Names, facts: dict[str, Any]) -> str:
    return (
        f"Block {names.plan.blocks[facts['block']].name}: no patches stand on their points, though that is asked for; "
        "it is sewn as it is drawn. Such patches are drawn in cells of one size, as many down as across, an even "
        f"number from 4 to {MOST_ACROSS}: each is a square that lies across four cells, by their diagonals."
    )


def _off_the_ruler(names: Names, facts: dict[str, Any], large: str, small: str) -> tuple[str, str, str, str]:
    """A block's size, the mark nearest to what it needs, how far off that is, and a size that fits better."""
    unit = names.plan.unit
    finished, near, fits = (write_length(facts[name], unit) for name in ("finished", "near", "fits"))
    over = facts["near"] - facts["cut"]
    off = f"{abs(over).decimal(3)} {unit} too {large if over.sign() > 0 else small}"
    return f"{finished} {unit}", f"{near} {unit}", off, f"{fits} {unit}"


def _patches_on_point(names: Names, facts: dict[str, Any]) -> str:
    finished, near, off, fits = _off_the_ruler(names, facts, "large", "small")
    return (
        f"The patches on point of a block of {finished} have no size on the ruler: the nearest mark is {near}, {off} "
        f"for each; a block of {fits} has patches that come nearer."
    )


def _diamonds_off(names: Names, facts: dict[str, Any]) -> str:
    finished, near, off, fits = _off_the_ruler(names, facts, "wide", "narrow")
    return (
        f"The diamonds of a star of {finished} have no width on the ruler: the nearest mark is {near}, {off} for each; "
        f"a star of {fits} has diamonds that come nearer."
    )


def _allowance_of_all(names: Names, facts: dict[str, Any]) -> str:
    return (
        "An allowance of 100 % leaves no cloth to cut; as much again as is cut is taken instead. "
        'Write a share below 100 %, as allowance = "50 %".'
    )


def _no_strips(names: Names, facts: dict[str, Any]) -> str:
    cloths = names.cloths(facts["cloths"])
    return f"A line of {cloths} is wider than the cloth, so it is cut patch by patch and not from strips."


def _no_strip_sets(names: Names, facts: dict[str, Any]) -> str:
    name = names.plan.blocks[facts["block"]].name
    return f"Block {name}: no strip sets, though they are asked for. {WHY_NONE[facts['why']]}"


WHY_NONE = {
    "no line": "No plain cells of two cloths lie side by side, or one below the other, in a line as wide all along.",
    "one alone": "Each line of plain cells is needed but once, and a set is worth sewing from two alike on.",
    "not straight": "Where its lines of plain cells were whole, straight seams could not join the rest.",
}
"""Why a block has none."""


def _combine_would_save(names: Names, facts: dict[str, Any]) -> str:
    saved = facts["saved"]
    made = _made_whole(facts["units"])
    return (
        f"A saving, if you like: block {names.plan.blocks[facts['block']].name} sewn with {made} has {saved} "
        f"{plural('seam', saved)} fewer, {facts['quilt']} in the whole quilt; "
        "to have that, tick “Make larger units whole”"
        + (
            "."
            if facts.get("drawn")
            else f" where it is drawn, or write combine = true below [blocks.{facts['block']}]."
        )
    )


def _combined(names: Names, facts: dict[str, Any]) -> str:
    name = names.plan.blocks[facts["block"]].name
    return (
        f"Block {name}: {_made_whole(facts['units'])} made whole, which saves {facts['saved']} "
        f"{plural('seam', facts['saved'])} against sewing every cell by itself."
    )


def _made_whole(units: tuple[tuple[str, int], ...]) -> str:
    return listed([f"{count} {plural(kind, count)}" for kind, count in units])


def _way_not_possible(names: Names, facts: dict[str, Any]) -> str:
    return (
        f"{_unit_named(names, facts)}: made by way of {facts['way']}, since {facts['asked']} at a time needs one cloth "
        "on both sides."
    )


def _way_chosen(names: Names, facts: dict[str, Any]) -> str:
    cloth = listed([_cloth_named(names, *row) for row in facts["cloth"]])
    least = {row[0]: row[1] for row in facts["cloth"]}
    ties = [way for way, area in least.items() if way != facts["way"] and area == least[facts["way"]]]
    why = f", and it has fewer pieces to cut than {listed(ties)}" if ties else ""
    how = "by flips" if facts["way"] == "flip" else f"{facts['way']} at a time"
    return f"{_unit_named(names, facts)}: {facts['needed']} made {how}, which takes the least cloth: {cloth}{why}."


def _small_middle(names: Names, facts: dict[str, Any]) -> str:
    size, half, fits = (
        write_length(each, names.plan.unit) for each in (facts["size"], facts["size"] / 2, facts["fits"])
    )
    return (
        f"Block {names.plan.blocks[facts['block']].name}: the middle that four parts turn round is {size} "
        f"{names.plan.unit} wide, finished. Its first seam is begun for half of that and then left open, and {half} "
        f"{names.plan.unit} is little to hold and fold away: from {fits} {names.plan.unit} on it goes well; sew such a "
        "small one with short stitches, or draw it larger."
    )


def _versions(names: Names, facts: dict[str, Any]) -> str:
    ways = [f"{letter} ({blocks_named(blocks)})" for letter, blocks in facts["versions"]]
    return (
        f"Block {names.plan.blocks[facts['block']].name} is pressed in {len(ways)} versions, so that seams nest from "
        f"block to block: {listed(ways)}."
    )


def _not_nested(names: Names, facts: dict[str, Any]) -> str:
    count = facts["count"]
    return (
        f"Block {names.plan.blocks[facts['block']].name}: at {count} {plural('place', count)} seams meet that are "
        "pressed the same way before they are joined, and cannot nest; the pinning says where."
    )


def _not_nested_between(names: Names, facts: dict[str, Any]) -> str:
    count = facts["count"]
    return (
        f"Between blocks, at {count} {plural('place', count)}, seams meet that are pressed the same way before the "
        "blocks are joined, and cannot nest: pin just before and just after each."
    )


def _cloth_turned(names: Names, facts: dict[str, Any]) -> str:
    cloths = [names.fabric(key) for key in facts["fabrics"]]
    return (
        f"Block {names.plan.blocks[facts['block']].name} is turned in the quilt, as planned: {listed(cloths)}, which "
        f"{'has' if len(cloths) == 1 else 'have'} a direction, {'is' if len(cloths) == 1 else 'are'} turned with it."
    )


def _cloth_turned_in_a_border(names: Names, facts: dict[str, Any]) -> str:
    cloths = [names.fabric(key) for key in facts["fabrics"]]
    one = len(cloths) == 1
    return (
        f"Border {facts['border']} goes round the quilt: {listed(cloths)}, which {'has' if one else 'have'} a "
        f"direction, {'comes' if one else 'come'} to lie turned on some of its sides. Where that shows, take another "
        "cloth there."
    )


def _prints_lie(names: Names, facts: dict[str, Any]) -> str:
    """How the print of a cloth lies in a block where it is turned, and what has it stand, where that can be."""
    plan, cloth, said = names.plan, facts["cloth"], list[str]()
    for kind, way, ways, places in facts["lies"]:
        why = _since(kind, way, ways)
        if ways != (0,):
            said.append(
                f"{_lying(ways)} in {_what_lies(kind, places)}" + ("" if any(why in each for each in said) else why)
            )
    then = "Tick “Every print stands upright” to mend that (in the text: upright = true)."
    if any(turning(plan, [cloth])):
        then = "Where that shows, take another cloth there."
    return f"Block {plan.blocks[facts['block']].name}: {names.fabric(cloth)} lies {'; '.join(said)}. {then}"


def _lying(ways: tuple[int | None, ...]) -> str:
    if set(ways) == {0, 90, 180, 270}:
        return "in all four directions"
    if set(ways) == {90, 270}:
        return "turned to either side"
    return " or ".join(dict.fromkeys("slanting" if way is None else LIES.get(way, "slanting") for way in ways))


LIES = {0: "upright", 90: "turned to the right", 180: "upside down", 270: "turned to the left"}
"""How a print lies, by degrees clockwise."""


def _what_lies(kind: str, places: tuple[tuple[int, int], ...]) -> str:
    if not places:
        return "its frames"
    return f"{len(places)} {plural('patch' if kind == 'plain' else kind, len(places))}"  # the drawing shows which


def _since(kind: str, way: str | None, ways: tuple[int | None, ...]) -> str:
    if (kind, way) == (HALF_SQUARE, "two") and len(ways) == 2:
        return ", as of every two made together one is turned"
    return ", since its strips are cut across it" if kind == STRIP_SET and ways != (0,) else ""


def _way_that_stands(names: Names, facts: dict[str, Any]) -> str:
    upright = [names.fabric(key) for key in facts["cloths"] if names.plan.fabrics[key].upright]
    how = "one at a time" if facts["way"] == "one" else f"by way of {facts['way']}"
    return f"{_unit_named(names, facts)}: made {how}, so that {listed(upright)} stands upright."


_NOTICES = {
    "off the mark": _off_the_mark,
    "trimmed off the mark": _trimmed_off_the_mark,
    "frame off the mark": _frame_off_the_mark,
    "strip off the mark": _strip_off_the_mark,
    "centre rounded": _centre_rounded,
    "patches on point": _patches_on_point,
    "diamonds off the mark": _diamonds_off,
    "none on point": _none_on_point,
    "allowance of all": _allowance_of_all,
    "no strips": _no_strips,
    "no strip sets": _no_strip_sets,
    "combine would save": _combine_would_save,
    "combined": _combined,
    "way not possible": _way_not_possible,
    "way chosen": _way_chosen,
    "small middle": _small_middle,
    "versions": _versions,
    "not nested": _not_nested,
    "not nested between": _not_nested_between,
    "cloth turned": _cloth_turned,
    "prints lie": _prints_lie,
    "way that stands": _way_that_stands,
    "cloth turned in a border": _cloth_turned_in_a_border,
}


def _unit_named(names: Names, facts: dict[str, Any]) -> str:
    kind = plural(facts["unit"], 2)
    return f"{kind[0].upper()}{kind[1:]}, {names.cloths(facts['cloths'])}"


def _cloth_named(names: Names, way: str, area: Measure, bias: bool) -> str:
    return f"{way} {nearest(area, 1).rational} sq {names.plan.unit}" + (" with bias edges" if bias else "")


def as_drawn(notice: Notice) -> Notice:
    """The same, said to who draws: she has ticks in place of the file's keys."""
    return Notice(notice.kind, (*notice.facts, ("drawn", True)))


def cannot_sew(fault: CannotSew, plan: Plan, drawn: bool = False) -> str:
    """A plan that cannot be sewn. Where it is `drawn`, a block has its name alone, since nobody sees its key."""
    cells = listed([f"row {row}, cell {column}" for row, column in fault.cells])
    name = plan.blocks[fault.block].name
    called = name if drawn else f"Block {fault.block} ({name})"
    if fault.reason == "no straight seam":
        return (
            f"{called}: no straight seam parts the patches at {cells}, nor do four of them "
            "turn round a middle; draw them so that a seam can run straight from edge to edge."
        )
    return f"{called}, {cells}: no way to make it is known; draw it as plain, half or quarters."
