"""What the tool has to say about a plan or a tap, each in one sentence."""

from __future__ import annotations

from typing import Any, Protocol

from tracker.exact.measure import Measure, nearest, write_length
from tracker.plan.model import Plan
from tracker.progress.changes import Refused
from tracker.route.compiler import CannotSew
from tracker.words.measured_words import figures_fault
from tracker.words.names import Names, listed, plural
from tracker.words.seam_words import blocks_named
from tracker.work.steps import Checklist, Notice, Step
from tracker.work.things import GOOSE, HALF_SQUARE, IN_SQUARE, SNOWBALL, STRIP_SET


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


def _allowance_of_all(names: Names, facts: dict[str, Any]) -> str:
    return (
        "An allowance of 100 % leaves no cloth to cut; as much again as is cut is taken instead. "
        'Write a share below 100 %, as allowance = "50 %".'
    )


def _no_strips(names: Names, facts: dict[str, Any]) -> str:
    cloths = names.cloths(facts["cloths"])
    return f"A row of {cloths} is wider than the cloth, so it is cut patch by patch and not from strips."


def _combine_would_save(names: Names, facts: dict[str, Any]) -> str:
    saved = facts["saved"]
    made = _made_whole(facts["units"])
    return (
        f"A saving, if you like: block {names.plan.blocks[facts['block']].name} sewn with {made} has {saved} "
        f"{plural('seam', saved)} fewer, {facts['quilt']} in the whole quilt; "
        f"to have that, tick “Make larger units whole” where it is drawn, or write combine = true below "
        f"[blocks.{facts['block']}]."
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
    return f"{_unit_named(names, facts)}: {facts['way']} chosen for {facts['needed']}, by cloth: {cloth}{why}."


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


def _cloth_turned_in_units(names: Names, facts: dict[str, Any]) -> str:
    cloths = [names.fabric(key) for key in facts["fabrics"]]
    one = len(cloths) == 1
    said = _LIES.get((facts["unit"], facts["way"])) or _LIES.get((facts["unit"], None), ALL_WAYS)
    return (
        f"{_unit_named(names, facts)}: {listed(cloths)} {'has' if one else 'have'} a direction. As these are made, "
        f"{said}. Where that shows, take another cloth there."
    )


ALL_WAYS = "the print comes to lie in several directions"
FLIPPED = "a corner that is flipped comes to lie turned a quarter round, unless its square was laid turned"

_LIES = {
    (HALF_SQUARE, "two"): "of every two made together one has the print turned half round",
    (SNOWBALL, None): FLIPPED,
    (GOOSE, "flip"): FLIPPED,
    (IN_SQUARE, None): "the middle lies at 45 degrees to its threads, and the triangles in all four directions",
    (STRIP_SET, None): "the print lies a quarter turn round in its row, since strips are cut across the cloth",
}
"""How a cloth with a direction comes to lie in a unit, by its kind and way; others turn it every way."""

_NOTICES = {
    "off the mark": _off_the_mark,
    "trimmed off the mark": _trimmed_off_the_mark,
    "frame off the mark": _frame_off_the_mark,
    "strip off the mark": _strip_off_the_mark,
    "centre rounded": _centre_rounded,
    "allowance of all": _allowance_of_all,
    "no strips": _no_strips,
    "combine would save": _combine_would_save,
    "combined": _combined,
    "way not possible": _way_not_possible,
    "way chosen": _way_chosen,
    "versions": _versions,
    "not nested": _not_nested,
    "not nested between": _not_nested_between,
    "cloth turned": _cloth_turned,
    "cloth turned in units": _cloth_turned_in_units,
}


def _unit_named(names: Names, facts: dict[str, Any]) -> str:
    kind = plural(facts["unit"], 2)
    return f"{kind[0].upper()}{kind[1:]}, {names.cloths(facts['cloths'])}"


def _cloth_named(names: Names, way: str, area: Measure, bias: bool) -> str:
    return f"{way} {nearest(area, 1).rational} sq {names.plan.unit}" + (" with bias edges" if bias else "")


class Titles(Protocol):
    """Words that can name a step."""

    checklist: Checklist

    def title(self, step: Step) -> str:
        """The step as a short order."""


def refusal(fault: Refused, words: Titles) -> str:
    """A tap that was not recorded."""
    facts = fault.facts
    match fault.kind:
        case "unknown step":
            return "This step is not in the quilt's plan any more; go back to the list and choose one that is."
        case "not a count":
            return f"Read {facts.get('count')!r}; a count is a whole number from 1."
        case "no such block":
            return f"Read {facts.get('block')!r}; this quilt has no such block for this step."
        case "already taken back":
            return "That tap was taken back already."
        case "rests on it":
            later = next((step for step in words.checklist.steps if step.id == facts.get("later")), None)
            what = f"“{words.title(later)}”" if later else "a later step"
            return f"It cannot be taken back while {what} rests on it; take that back first."
        case "nothing ready":
            return f"Only {facts.get('ready', 0)} can be done with what lies ready, not {facts.get('times')}."
        case "unknown pile":
            return "No such pile of loose pieces; a piece that is in a block is first put back from there."
        case "blocks in it":
            return "Blocks lie in it, and no count makes them again: take back the taps up to the block to be mended."
        case "nothing there":
            return "There is no such piece to take: it was used, or said to be spoiled; count again what lies there."
        case "cannot be unpicked":
            return "What was cut, marked or trimmed cannot be put back; say that the piece is spoiled instead."
        case "not joined":
            return f"Block {facts.get('block')} is not sewn there, so there is nothing to unpick."
        case "not begun":
            return f"Nothing of block {facts.get('block')} is laid out yet, so there is nothing of it to make anew."
        case "already there":
            return f"Block {facts.get('block')} has come that far already."
        case "counted so":
            return f"{facts.get('times')} are counted already."
        case "no text":
            return f"A note or a name is from 1 to {facts.get('longest')} characters."
        case "unknown strip":
            return "This strip is not in the cutting any more: the plan was edited. Load the page again, then go on."
        case "strip is cut":
            return "This strip is ticked off already."
        case "not measured":
            return "Nothing is measured for this step; measure the top at the step that cuts border strips to length."
        case "not alike":
            return (
                "Blocks change places only with others of their kind that are pressed alike: look at the layout again."
            )
        case "lies already":
            return f"Block {facts.get('block')} lies in its place already; take it up before blocks change places."
        case "doubtful":
            question = str(facts.get("question", ""))
            return question[:1].upper() + question[1:]
        case "no length":
            return figures_fault(facts)
        case "not unsettled":
            return "That question was answered already."
    return "This tap could not be read; load the page again and tap once more."


def cannot_sew(fault: CannotSew, plan: Plan) -> str:
    """A plan that cannot be sewn."""
    cells = listed([f"row {row}, cell {column}" for row, column in fault.cells])
    name = plan.blocks[fault.block].name
    if fault.reason == "no straight seam":
        return (
            f"Block {fault.block} ({name}): no straight seam parts the patches at {cells}; "
            "draw them so that a seam can run straight from edge to edge."
        )
    return f"Block {fault.block} ({name}), {cells}: no way to make it is known; draw it as plain, half or quarters."
