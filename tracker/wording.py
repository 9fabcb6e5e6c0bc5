"""Steps, piles and refusals in the plain words of the trade: short enough to skim, full enough to follow."""

from __future__ import annotations

from tracker.checklist import CannotSew
from tracker.measure import Measure, nearest, on_mark, write_length
from tracker.plan import Plan
from tracker.progress import Refused, Stage
from tracker.work import (
    AddStrips,
    Checklist,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Nest,
    Notice,
    Pair,
    Pile,
    Pin,
    Press,
    PressSeams,
    SeamPress,
    Sew,
    Size,
    Step,
    Trim,
    UnitRow,
)

CAUTIONS = {
    "cut": "Blade: close it each time you put it down. Cut away from you, fingers behind the ruler's edge.",
    "press": "Iron: the plate and its steam burn. Lift and lower it, mind the cord, and turn it off when you leave.",
    "machine": "Needle: fingers clear of it. Turn the machine off before threading or changing it.",
    "pin": "Pins: take each out before it reaches the needle, and count them back.",
    "mark": "Try the pen on a scrap first: some marks set, or come back, with heat or cold.",
}
"""The usual cautions; the makers' manuals and local rules come first."""

MANUALS = "These are the usual cautions. The maker's manual and local rules come first."

_CAUTION_OF = {
    "cut": "cut", "cut apart": "cut", "trim": "cut", "square": "cut", "mark": "mark", "pin": "pin", "press": "press",
    "sew": "machine", "join": "machine", "add strip": "machine", "bind": "machine",
}  # fmt: skip

_PLURALS = {
    "plain patch": "plain patches",
    "square in a square": "squares in squares",
    "flying goose": "flying geese",
}

_STATE_WORDS = {
    "cut apart": "cut apart, still folded",
    "paired": "paired",
    "sewn": "sewn, not cut apart",
    "pressed": "pressed",
    "trimmed": "trimmed",
    "marked": "marked",
}


def plural(thing: str, count: int) -> str:
    """`thing` for one or many."""
    if count == 1:
        return thing
    return _PLURALS.get(thing, thing + "s")


def one(thing: str) -> str:
    """`thing` with its article: a square, an inner half-square triangle."""
    return f"{'an' if thing[0] in 'aeiou' else 'a'} {thing}"


def listed(words: list[str]) -> str:
    """a, b and c."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


class Words:
    """Words for one plan and its checklist."""

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        self.plan = plan
        self.checklist = checklist
        self._paired = {step.topic: step for step in checklist.steps if isinstance(step.action, Pair)}

    # lengths

    def ruler(self, length: Measure) -> str:
        """A length as the ruler shows it, without its unit: to the nearest mark, "about" where it is off the mark."""
        mark = self.plan.ruler
        if on_mark(length, mark):
            return write_length(length, self.plan.unit)
        return "about " + write_length(nearest(length, mark), self.plan.unit)

    def length(self, length: Measure) -> str:
        """A length with its unit: `2½ in`."""
        return f"{self.ruler(length)} {self.plan.unit}"

    def figures(self, size: Size) -> str:
        """A size in figures only: `2½`, or `6½ × 2½` (across × down)."""
        across, down = self.ruler(size[0]), self.ruler(size[1])
        return across if size[0] == size[1] else f"{across} × {down.removeprefix('about ')}"

    def exact_figures(self, size: Size) -> str:
        """A size as lists give it: exact, and where it is off the ruler's mark the nearest mark beside it."""
        across, down = (write_length(side, self.plan.unit) for side in size)
        figures = f"{across} × {down}"
        off = not all(on_mark(side, self.plan.ruler) for side in size)
        return f"{figures} ({self.figures(size)} on the ruler)" if off else figures

    def size(self, size: Size) -> str:
        """A size in words: `2½ in square`, `6½ × 2½ in`."""
        return f"{self.figures(size)} {self.plan.unit}" + (" square" if size[0] == size[1] else "")

    def seam(self) -> str:
        """The seam as it is written, never rounded: `¼ in`."""
        return f"{write_length(self.plan.seam, self.plan.unit)} {self.plan.unit}"

    # things

    def fabric(self, key: str) -> str:
        return self.plan.fabrics[key].name

    def cloths(self, keys: tuple[str, ...]) -> str:
        return " / ".join(self.fabric(key) for key in keys)

    def unit(self, row: UnitRow) -> str:
        """A row of the list of units: `96 half-square triangles, sand / teal, 2 in square finished, 1 spare`."""
        kind = f"{row.kind} patch" if row.way is None else row.kind
        words = [f"{row.needed} {plural(kind, row.needed)}", self.cloths(row.fabrics)]
        words += [f"bag {row.bag}"] if row.bag else []
        words.append(f"{self.size(row.finished)} finished")
        words += [f"{row.way} at a time"] if row.way in ("two", "four", "eight") else []
        words += [f"{row.spare} spare"] if row.spare else []
        return ", ".join(words)

    def thing(self, pile: Pile, count: int = 1) -> str:
        """What the pieces of a pile are: `pale sand squares, 3 in`, `half-square triangles, rust / pale sand`."""
        if pile.block is not None:
            name = self.plan.blocks[pile.block].name
            return plural(name, count) if pile.thing == "block" else f"{pile.thing} of {name}"
        bag = f", bag {pile.bag}" if pile.bag else ""
        if pile.state in ("cut", "marked") and len(pile.fabrics) == 1:
            size = self.figures(pile.size) if pile.size else ""
            return f"{self.fabric(pile.fabrics[0])} {plural(pile.thing, count)}, {size} {self.plan.unit}{bag}"
        return f"{plural(pile.thing, count)}, {self.cloths(pile.fabrics)}{bag}"

    def pile(self, pile_id: str, count: int) -> str:
        """So many pieces of a pile and their state: `12 pale sand squares, 3 in, marked`."""
        pile = self.checklist.piles[pile_id]
        state = "" if pile.state == "cut" else ", " + _STATE_WORDS.get(pile.state, pile.state)
        return f"{count} {self.thing(pile, count)}{state}"

    def takes(self, step: Step) -> list[str]:
        """What to take for doing the step once."""
        return [self.pile(flow.pile, flow.each) for flow in step.takes]

    def makes(self, step: Step) -> str:
        """What doing it once gives."""
        return listed([self.pile(flow.pile, flow.each) for flow in step.gives])

    def before(self, step: Step) -> str | None:
        """The size of what is taken, where one pile is taken and it has a size."""
        sizes = {self.checklist.piles[flow.pile].size for flow in step.takes}
        size = sizes.pop() if len(sizes) == 1 else None
        return None if size is None else self.size(size)

    # steps

    def title(self, step: Step) -> str:
        """The step as a short order: `Trim half-square triangles, rust / pale sand`."""
        made = self.checklist.piles[step.gives[0].pile]
        match step.action:
            case Cut():
                return f"Cut {self.thing(made, 2)}"
            case Mark():
                return f"Mark {self.thing(self.checklist.piles[step.takes[0].pile], 2)}"
            case LayOut():
                return f"Lay out {self._block(step)}"
            case Pin():
                first, second = (self.checklist.piles[flow.pile].thing for flow in step.takes)
                return f"Pin {second} to {first}"
            case Join():
                return "Join the last row" if made.thing == "block" else f"Join {made.thing}"
            case PressSeams():
                return self._press_title(step)
            case AddStrips(edges=edges):
                return f"Sew strips to the {edges} of {self._block(step)}"
            case Trim() if made.block is not None:
                return f"{'Square' if step.operation == 'square' else 'Trim'} {self._block(step)}"
            case CutApart():
                return f"Cut apart {self.thing(self.checklist.piles[step.takes[0].pile], 2)}"
        verb = {"pair": "Pair", "sew": "Sew", "press": "Press", "trim": "Trim"}[step.operation]
        return f"{verb} {self.thing(made, 2)}"

    def text(self, step: Step) -> str:
        """What to do, in one to three sentences."""
        match step.action:
            case Cut(fabric, width, height):
                many = plural(self.checklist.piles[step.gives[0].pile].thing, 2)
                return f"From {self.fabric(fabric)}, cut {many} {self.figures((width, height))} {self.plan.unit}."
            case Mark(lines):
                return self._mark_text(step, len(lines))
            case Pair(base, laid):
                return self._pair_text(base, tuple(piece.pile for piece in laid))
            case Sew(lines):
                return self._sew_text(step, len(lines))
            case CutApart(lines, parts):
                return self._cut_apart_text(step, len(lines), len(parts))
            case Press(toward):
                return self._press_text(step, toward)
            case Trim(width, height):
                return self._trim_text(step, (width, height))
            case LayOut(places):
                return f"Lay the {len(places)} pieces out as drawn, right side up, each turned as in the block."
            case Join(direction):
                return self._join_text(step, direction)
            case Pin(nests=nests):
                return self._pin_text(nests)
            case PressSeams(seams):
                return self._press_seams_text(seams)
            case AddStrips(strip=strip, edges=edges):
                thing = one(self.thing(self.checklist.piles[strip]))
                return (
                    f"Sew {thing}, to each of the two, {edges}, {self.seam()} from the edge. "
                    "A strip cut a little longer is easier to line up; its ends are trimmed afterwards."
                )
        raise AssertionError(step.action)

    def check(self, step: Step) -> str:
        """What to check before going on."""
        size = "" if step.size is None else self.size(step.size)
        match step.action:
            case Cut():
                return f"Measure the first: {size}, corners square."
            case Mark():
                return "Each line runs exactly into the corners."
            case Pair():
                return "Right sides are together and the edges level."
            case Sew():
                return f"Every seam is {self.seam()} from its line or edge, from end to end."
            case CutApart():
                return "The cut ran on the line, between the seams."
            case Press():
                return f"Flat, not stretched: {size} before trimming." if size else "Flat, not stretched."
            case Trim():
                return f"Exactly {size}, with {self.seam()} of cloth beyond every point."
            case LayOut():
                return "Stand back and compare it with the picture: nothing turned, nothing swapped."
            case Join():
                return f"Lay the ruler along it: {size}. If it is not, unpick now rather than at the end."
            case Pin():
                return "At every pin the seams lie against each other without a gap."
            case PressSeams():
                return f"Flat from the front, no folds beside the seams{': ' + size if size else ''}."
            case AddStrips():
                return f"Opened out it is {size}."
        raise AssertionError(step.action)

    def caution(self, step: Step) -> str | None:
        """The usual caution for the tool in hand, or None where nothing cuts, burns or pricks."""
        key = _CAUTION_OF.get(step.operation)
        return CAUTIONS[key] if key else None

    def stage(self, stage: Stage) -> str:
        """How far a block has come."""
        if stage.last is None:
            return "not begun"
        if stage.done == stage.steps:
            return "finished"
        made = self.checklist.piles[stage.last.gives[0].pile]
        match stage.last.action:
            case LayOut():
                return "laid out"
            case Join() | Pin() if made.thing != "block":
                return f"{made.thing} {made.state}"
            case Join():
                return "rows joined"
            case PressSeams() if made.thing.startswith(("row", "column")):
                return "rows pressed"
        return made.state

    def notice(self, notice: Notice) -> str:
        """One sentence about something worth knowing."""
        if notice.kind == "off the mark":
            facts = dict(notice.facts)
            finished, size, fits = facts["finished"], facts["size"], facts["fits"]
            assert isinstance(finished, Measure)
            assert isinstance(size, Measure)
            assert isinstance(fits, Measure)
            unit = self.plan.unit
            return (
                f"Block {facts['block']}: patches of {write_length(finished, unit)} {unit} finished are cut "
                f"{write_length(size, unit)} {unit}, which is off the ruler's marks of "
                f"{write_length(self.plan.ruler, unit)} {unit}; "
                f"a cell of {write_length(fits, unit)} {unit} would fit them."
            )
        return str(dict(notice.facts)["sentence"])

    # sentences for one kind of step each

    def _block(self, step: Step) -> str:
        return self.plan.blocks[step.per].name

    def _mark_text(self, step: Step, lines: int) -> str:
        pile = self.checklist.piles[step.takes[0].pile]
        if pile.state == "cut":
            both = "both ways" if lines == 2 else "once"
            return f"On the back of each {self.thing(pile)}, draw a pencil line from corner to corner, {both}."
        return f"On the back of each {self.thing(pile)}, draw a line from corner to corner, across its seam."

    def _pair_text(self, base: str, laid: tuple[str, ...]) -> str:
        under, over = self.checklist.piles[base], self.checklist.piles[laid[0]]
        number = "the" if len(laid) == 1 else f"{len(laid)}"
        marked = "marked side up" if over.state == "marked" else "wrong side up"
        text = (
            f"Lay {one(self.thing(under))}, right side up. On it, right sides together, lay {number} "
            f"{self.thing(over, len(laid))}, {marked}, as drawn."
        )
        if under.thing == over.thing == "inner half-square triangle":
            return text + " The seams lie on each other, allowances opposite ways: feel them lock."
        if over.thing == "inner half-square triangle":
            return text + " They share one corner and two edges."
        return text

    def _sew_text(self, step: Step, lines: int) -> str:
        made = self.checklist.piles[step.takes[0].pile]
        pair = self._paired.get(step.topic)
        over = self.checklist.piles[pair.action.laid[0].pile] if pair and isinstance(pair.action, Pair) else made
        if over.state != "marked":
            return f"Sew {self.seam()} from the edge, all the way along as drawn. Chain them: one after another."
        sides = "on both sides of the line" if lines == 2 else "on both sides of each line"
        if lines == 1:
            return "Sew on the line. Chain them: feed one after another and cut the threads after."
        return f"Sew {self.seam()} from the line, {sides}. Chain them: feed one after another, cut the threads after."

    def _cut_apart_text(self, step: Step, lines: int, parts: int) -> str:
        where = {1: "on the line", 2: "on both lines"}.get(lines, "through the middle both ways, then on both lines")
        hands = [self.checklist.piles[flow.pile].bag for flow in step.gives]
        text = f"Cut {where}: {parts} pieces from each."
        if len(hands) > 1:
            return (
                text + " The two are mirror images: put each in its own bag, " + listed([str(h) for h in hands]) + "."
            )
        return text

    def _press_text(self, step: Step, toward: str) -> str:
        pair = self._paired.get(step.topic)
        side = ""
        if pair is not None and isinstance(pair.action, Pair):
            chosen = pair.action.base if toward == "base" else pair.action.laid[0].pile
            side = self.cloths(self.checklist.piles[chosen].fabrics)
        if toward == "open":
            return "Set the seam, then press it open."
        return (
            f"Set the seam closed, then open the piece and press the seam toward {side}. Lift and lower, do not drag."
        )

    def _trim_text(self, step: Step, size: Size) -> str:
        made = self.checklist.piles[step.gives[0].pile]
        if made.block is None:
            line = "the ruler's 45° line on the seam" if size[0] == size[1] else "the ruler's lines on the points"
            return (
                f"Trim to {self.size(size)}: {line}, the design in the middle. "
                "Trim two sides, turn it half round, trim the other two. Clip the dog-ears."
            )
        if step.operation == "trim":
            return f"Trim the strip ends level with the block: {self.size(size)}."
        return (
            f"Square the block to {self.size(size)}, the design in the middle. Cut two sides, turn half round, "
            "lay the lines on the sides just cut, cut the other two. Never cut into a point."
        )

    def _join_text(self, step: Step, direction: str) -> str:
        taken = self.checklist.piles[step.takes[0].pile]
        if taken.state == "laid out":
            way = "from left to right" if direction == "across" else "from top to bottom"
            return f"Sew the pieces of {taken.thing} together {way}, {self.seam()} seams. Put each back in its place."
        return f"Sew the pinned seam, {self.seam()}. Take each pin out before the needle reaches it."

    def _pin_text(self, nests: tuple[Nest, ...]) -> str:
        good = [nest for nest in nests if nest.nests]
        text = "Lay the two right sides together, edges level."
        if good:
            places = listed([self.ruler(nest.along).removeprefix("about ") for nest in good])
            text += f" The seams nest {places} {self.plan.unit} in from the left edge: push them together and pin."
        else:
            text += " Pin both ends and the middle."
        bad = len(nests) - len(good)
        if bad:
            text += f" At {bad} {plural('place', bad)} the seams lie the same way: pin just before and after."
        return text

    def _press_title(self, step: Step) -> str:
        things = [self.checklist.piles[flow.pile].thing for flow in step.gives]
        if len(things) > 1:
            return "Press the rows" if things[0].startswith("row") else "Press the columns"
        made = self.checklist.piles[step.gives[0].pile]
        if "strip" in str(step.action):
            return f"Press the strips of {self.plan.blocks[step.per].name}"
        return f"Press the joins of {self.thing(made)}"

    def _press_seams_text(self, pieces: tuple[tuple[SeamPress, ...], ...]) -> str:
        sentences = []
        for seams in pieces:
            if not seams:
                continue
            ways = {_way(seam) for seam in seams}
            name = _piece_of(seams[0])
            if len(ways) == 1:
                sentences.append(f"{name}{'all seams ' if name else 'All seams '}{ways.pop()}.")
            else:
                each = listed([f"seam {i} {_way(seam)}" for i, seam in enumerate(seams, 1)])
                sentences.append(f"{name}{each}.")
        return "Set each seam, then press, seen from the front. " + " ".join(sentences)


def _piece_of(seam: SeamPress) -> str:
    first = seam.between[0]
    return f"Row {first[1:].split('c')[0]}: " if first.startswith("r") and "c" in first and first[1].isdigit() else ""


def _way(seam: SeamPress) -> str:
    """The side a seam goes to, seen from the front."""
    if seam.toward == "open":
        return "open"
    if "strip" in seam.toward:
        return "toward the strip"
    first, second = seam.between
    across = ("c" in first and first.startswith("r") and first[1].isdigit()) or "column" in second.split(" ")[-2:]
    later = seam.toward == second
    return ("to the right" if later else "to the left") if across else ("down" if later else "up")


def refusal(fault: Refused, words: Words) -> str:
    """One sentence for a tap that was not recorded."""
    facts = fault.facts
    steps = {step.id: step for step in words.checklist.steps}
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
            later = steps.get(facts.get("later", ""))
            what = words.title(later) if later else "a later step"
            return f"It cannot be taken back while “{what}” rests on it; take that back first."
        case "nothing ready":
            return f"Only {facts.get('ready', 0)} can be done with what lies ready, not {facts.get('times')}."
        case "not unsettled":
            return "That question was answered already."
    return "This tap could not be read; load the page again and tap once more."


def cannot_sew(fault: CannotSew, plan: Plan) -> str:
    """One sentence for a plan that cannot be sewn."""
    cells = listed([f"row {row}, cell {column}" for row, column in fault.cells])
    name = plan.blocks[fault.block].name
    if fault.reason == "no straight seam":
        return (
            f"Block {fault.block} ({name}): no straight seam parts the patches at {cells}; "
            "draw them so that a seam can run straight from edge to edge."
        )
    return f"Block {fault.block} ({name}), {cells}: no way to make it is known; draw it as plain, half or quarters."
