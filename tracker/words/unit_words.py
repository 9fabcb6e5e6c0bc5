"""What is done while units are made, from the cutting to the trimming, and what to check then."""

from __future__ import annotations

from functools import cached_property

from tracker.exact.geometry import Segment
from tracker.route.passes import passes
from tracker.words import bonus_words as bonus
from tracker.words.cut_words import cut_check, cut_text
from tracker.words.names import Names
from tracker.words.quarter_words import is_quarter, pair_check, quarter_check, quarter_cut, rows_pinned
from tracker.words.seam_words import pressed_by_hand
from tracker.words.slanting_words import cut_to_a_point, slanting_cut, straight_text
from tracker.words.thing_words import ROUNDS, each_or_the, has_no_sides, listed, one, plural
from tracker.words.toward_words import upper_cloth
from tracker.words.trimming_words import trim_lines, trim_text
from tracker.work.partial_seams import BeginSeam, SewArm
from tracker.work.steps import Cut, CutApart, Laid, Mark, Pair, Pile, Press, Sew, Size, Step, Trim
from tracker.work.things import (
    GOOSE,
    INNER,
    LONG_TRIANGLE,
    OF_UNITS,
    PIECED_STRIP,
    PIECED_TRIANGLE,
    POINTED_OBLONG,
    POINTED_SQUARE,
    TALL_TRIANGLE,
    Kind,
    Stage,
)

CHAIN = " Chain them: feed one after another, cut the threads after."

POINTED = (POINTED_SQUARE, POINTED_OBLONG)


class UnitNames(Names):
    """Names, and which step of a unit comes before and after which."""

    def pair_before(self, step: Step) -> Pair | None:
        """How the pieces of a stack were laid: the last pairing on the way to what this step takes."""
        maker: Step | None = step
        while maker is not None and not isinstance(maker.action, Pair):
            maker = self.maker_of.get(maker.takes[0].pile) if len(maker.takes) == 1 else None
        return maker.action if maker is not None and isinstance(maker.action, Pair) else None

    def is_marked(self, step: Step) -> bool:
        """Whether a piece of the stack has pencil lines on its back."""
        pair = self.pair_before(step)
        return pair is not None and any(self.checklist.piles[laid.pile].stage is Stage.MARKED for laid in pair.laid)

    def is_on_the_marks(self, step: Step) -> bool:
        """Whether the seams run on the marks themselves, corner to corner of the squares laid on."""
        pair = self.pair_before(step)
        if pair is None or not isinstance(step.action, Sew):
            return False
        corners = set()
        for laid in pair.laid:
            size = self.checklist.piles[laid.pile].size
            if size is not None and self.checklist.piles[laid.pile].stage is Stage.MARKED:
                corners |= {(x, y) for x in (laid.x, laid.x + size[0]) for y in (laid.y, laid.y + size[1])}
        return any(set(line) <= corners for line in step.action.lines)

    def is_flip(self, step: Step) -> bool:
        """Whether a pairing is sewn on the lines of the squares laid on, which are flipped over them."""
        return any(self.is_on_the_marks(sewn) for sewn in self.takers_of.get(step.gives[0].pile, ()))

    def is_chained(self, step: Step) -> bool:
        """Whether several are sewn one after another: of one step, or of several of a pass."""
        return step.count > 1 or step.id in self._chained

    @cached_property
    def _chained(self) -> frozenset[str]:
        sewn = ([each.id for each in done.steps if isinstance(each.action, Sew)] for done in passes(self.checklist))
        return frozenset(id for ids in sewn if len(ids) > 1 for id in ids)

    def worked_on(self, step: Step, pile: Pile) -> str:
        """The pieces of a pile that a step takes or makes, over all blocks: `half-square triangles, rust / sand`, or
        `the inner square, rust / sand` where there is one."""
        return f"the {self.thing(pile)}" if self.pieces_of(step, pile) == 1 else self.thing(pile, 2)

    def pieces_of(self, step: Step, pile: Pile) -> int:
        """How many they are; of units not cut apart yet how many they come to be."""
        each = next(flow.each for flow in (*step.gives, *step.takes) if flow.pile == pile.id)
        count = step.count * each
        while pile.thing.kind in OF_UNITS and pile.stage in (Stage.PAIRED, Stage.SEWN):
            after = next((taker for taker in self.takers_of.get(pile.id, ()) if taker.gives), None)
            if after is None:
                break
            count *= sum(flow.each for flow in after.gives)
            pile = self.checklist.piles[after.gives[0].pile]
        return count

    def shown_size(self, step: Step) -> Size | None:
        """The size to check after a step, for large figures: none before the iron has been; of several pieces pressed
        as one step, that of each, where they are of one size."""
        if not step.kind.shows or self.has_no_sides(step):
            return None
        sizes = {self.checklist.piles[flow.pile].size for flow in step.gives}
        return step.size or (sizes.pop() if len(sizes) == 1 else None)

    def has_no_sides(self, step: Step) -> bool:
        """The same of one of these steps."""
        return has_no_sides(self.checklist, step)

    def shape_of(self, step: Step) -> str:
        """What follows the unit of length beside a step's large figures: ` square`, ` both ways`, or nothing."""
        if (size := self.shown_size(step)) is None or size[0] != size[1]:
            return ""
        if step.takes and isinstance(self.maker_of[step.takes[0].pile].action, BeginSeam | SewArm):
            return " both ways"  # a corner of it still lacks
        made = self.checklist.made(step).thing
        return " along both short edges" if made.of == PIECED_TRIANGLE or made.kind is Kind.TRIANGLE else " square"

    def is_used(self, pile: str) -> bool:
        """Whether anything more is done with what lies on a pile."""
        return any(taker.count for taker in self.takers_of.get(pile, ()))

    def is_trimmed_next(self, step: Step) -> bool:
        """Whether what a step gives is trimmed after it."""
        return any(taker.operation == "trim" for taker in self.takers_of.get(step.gives[0].pile, []))


def unit_text(names: UnitNames, step: Step) -> str | None:
    """What to do, in one to four sentences; None where the step is of another kind."""
    match step.action:
        case Cut():
            return cut_text(names, step, step.action)
        case Mark(lines):
            return _mark_text(names, step, lines)
        case Pair():
            return _pair_text(names, step, step.action)
        case Sew():
            return _sew_text(names, step, step.action)
        case CutApart():
            return cut_apart_words(names, step, step.action) + bag_words(names, step)
        case Press():
            return _press_text(names, step, step.action)
        case Trim(width, height) if names.checklist.made(step).block is None:
            return trim_text(names, step, (width, height))
    return None


def unit_check(names: UnitNames, step: Step) -> str | None:
    """What to check before going on; None where the step is of another kind."""
    size = "" if step.size is None else names.size(step.size)
    match step.action:
        case Cut():
            return cut_check(names, step, step.action)
        case Mark():
            return bonus.mark_check(step)
        case Pair(laid=(Laid(over=tuple()), *_)):
            return "Right sides are together, the long edges level from one end to the other."
        case Pair() if names.checklist.made(step).thing.of == PIECED_STRIP:
            return "Right sides are together and the edges level; thin tips stand out at the ends."
        case Pair(laid=laid) if names.is_flip(step):
            return bonus.flip_check(len(laid), names.maker_of[laid[0].pile])
        case Pair() if names.turn_matters(step):
            return "Right sides are together, the edges level, the middle turned as drawn."
        case Pair():
            return pair_check(names, step.action)
        case Sew(lines=lines) if names.is_on_the_marks(step):
            which = "each corner over its" if len(lines) > 1 else "the corner over the"
            return f"Before cutting, fold {which} seam: it reaches the edges beneath it."
        case Sew():
            line = "line" if names.is_marked(step) else "edge"
            return f"Every seam is {names.seam()} from its {line}, from end to end."
        case CutApart() if names.checklist.made(step).thing.of == LONG_TRIANGLE:
            return "Turned half round, the one half covers the other."
        case CutApart() if names.checklist.made(step).thing.of == TALL_TRIANGLE:
            return "Folded down the middle, its two long sides lie on each other."
        case CutApart() if names.checklist.made(step).stage is Stage.LEVEL:
            return f"The edge is straight, {names.seam()} of cloth beyond every seam that meets it."
        case CutApart():
            if names.checklist.taken(step).stage is Stage.CUT:
                return "The cut ran straight, into both corners."
            if is_quarter(names, step):
                return quarter_check(names, step)
            return f"Each is {size}." if size else "The cut ran straight and caught no seam."
        case Press():
            return _press_check(names, step, size)
        case Trim(width, height) if names.checklist.made(step).block is None:
            _, seen = trim_lines(names, names.checklist.made(step), (width, height))
            return f"{exactly(names, (width, height))}: {seen}. Too small: do not cut, measure all first."
    return None


def exactly(names: Names, size: Size) -> str:
    """`Exactly 2½ in square`; no more is said than the ruler shows."""
    said = names.size(size)
    return said[0].upper() + said[1:] if names.is_near(*size) else f"Exactly {said}"


def _mark_text(names: Names, step: Step, lines: tuple[Segment, ...]) -> str:
    pile, which = names.checklist.taken(step), each_or_the(step)
    if pile.thing.is_patch:
        second = bonus.second_line(names, lines) or (", as drawn" if names.print_of(pile) else "")
        return f"On the back of {which} {names.thing(pile)}, draw a pencil line from corner to corner{second}."
    return f"On the back of {which} {names.thing(pile)}, draw a line from corner to corner, across its seam."


def _pair_text(names: UnitNames, step: Step, pair: Pair) -> str:
    under = names.checklist.piles[pair.base]
    counts: dict[str, int] = {}
    for laid in pair.laid:
        counts[laid.pile] = counts.get(laid.pile, 0) + 1
    over = [(names.checklist.piles[pile], count) for pile, count in counts.items()]
    said = listed([f"{count if len(pair.laid) > 1 else 'the'} {names.thing(pile, count)}" for pile, count in over])
    marked = "marked side up" if over[0][0].stage is Stage.MARKED else "wrong side up"
    where = _where_laid(names, step, pair) or ", as drawn"
    if "as drawn" not in where and any(names.print_of(pile) for pile in (under, *(pile for pile, _ in over))):
        where += ", the print as drawn"
    text = f"Lay {one(names.thing(under))}, right side up. On it lay {said}, {marked}{where}."
    if over[0][0].thing.of != INNER:
        return text
    if under.thing.of == INNER:
        return text + " The seams lie on each other, allowances opposite ways: feel them lock."
    if pair.laid[0].x == pair.laid[0].y:
        return text + " Its edges meet the square's all round, or miss them by a thread."
    return text + " They share one corner and two edges."


def _where_laid(names: UnitNames, step: Step, pair: Pair) -> str:
    """Where the triangles of a square in a square lie, squares that are flipped, and the small squares of flying geese
    made four at a time; nothing for other units."""
    made = names.checklist.made(step).thing.of
    if made in ROUNDS:
        sides = "opposite sides" if names.checklist.made(step).thing.kind is Kind.BEGUN else "the other two sides"
        return f", on {sides}: long edges level with its edges, middle on middle"
    if names.is_flip(step):
        return _where_flipped(names, pair)
    if made != GOOSE:
        piles = [names.checklist.piles[pile] for pile in (pair.base, *(laid.pile for laid in pair.laid))]
        return rows_pinned(made, all(names.patches(p) > 1 and p.thing.of != INNER for p in piles))
    if len(pair.laid) > 1:
        return ", in opposite corners: they overlap in the middle, and their lines run on into one"
    cloth = names.cloths((names.checklist.piles[pair.base].fabrics[0],))
    return f", in the corner of {cloth} that is whole, its line running out between the two small triangles"


def _where_flipped(names: Names, pair: Pair) -> str:
    """In which corners squares lie that are flipped: at an end where they are as wide as what they lie on."""
    base, laid = names.checklist.piles[pair.base], pair.laid
    squares = [names.checklist.piles[each.pile].size for each in laid]
    narrow = base.size is not None and all(size is not None and size[0] in base.size for size in squares)
    place = "end" if narrow else "corner"
    if len(laid) > 1:
        return f", one {'at' if narrow else 'in'} each {place}" if len(laid) in (2 * narrow, 4) else ", as drawn"
    if narrow and all(names.checklist.piles[each.pile].size == base.size for each in laid):
        return ", edges level"
    if narrow:
        return f", at {'one' if base.thing.is_patch else 'the other'} end"
    return ", in the corner drawn"


def _sew_text(names: UnitNames, step: Step, sew: Sew) -> str:
    lines = len(sew.lines)
    chain = CHAIN if names.is_chained(step) else ""
    if not names.is_marked(step):
        along = {1: ", all the way along as drawn", 2: " on both sides, all the way along as drawn"}
        return f"Sew {names.seam()} from the edge{along.get(lines, ', all round')}.{chain}"
    if names.is_on_the_marks(step):
        again = bonus.ON_THE_SECOND * bonus.sewn_twice(names.pair_before(step), sew)
        each = f"each{' first' * bool(again)}" if lines > 1 else "the"
        return f"Sew a thread to the corner's side of {each} line, from corner to corner.{again}{chain}"
    return f"Sew {names.seam()} from {'each line' if lines > 2 else 'the line'}, on both sides of it.{chain}"


def cut_apart_words(names: UnitNames, step: Step, cut: CutApart) -> str:
    """Where to cut, and how many pieces come of it."""
    taken = names.checklist.taken(step)
    parts, lines = len(cut.parts), len(cut.lines)
    kept = sum(part.pile is not None for part in cut.parts)
    if step.size is not None:
        return (
            f"Square one end, a line of the ruler on a seam, then cut across every {names.length(step.size[0])}: "
            f"{kept} from {each_or_the(step)} set. Square the end again when it runs off true."
        )
    if is_quarter(names, step):
        return quarter_cut(names, step)
    if names.checklist.made(step).thing.of == TALL_TRIANGLE:
        return cut_to_a_point(names, taken, cut.lines)
    if bonus.is_bonus(names, cut):
        return bonus.bonus_text(names, names.pair_before(step))
    if kept < parts:
        made = names.checklist.made(step)
        if made.stage is Stage.LEVEL:
            return straight_text(names, made, cut)
        if made.thing.of in POINTED:
            return "Cut off the ear that stands out at the point, level with the other side of the tall triangle."
        if taken.stage is Stage.PRESSED:
            return "Cut off the ears that stand out, level with the sides of the middle square."
        off = plural("corner", parts - kept)
        scraps = "triangle cut off is a scrap" if parts - kept == 1 else "triangles cut off are scraps"
        return f"Trim off the {off}, {names.seam()} beyond the seam. The {scraps}."
    if taken.stage is Stage.CUT and lines == 2:
        return (
            f"Cut {each_or_the(step)} {names.thing(taken)}, twice, from corner to corner both ways, without moving it "
            "between: 4 small triangles, their long edge on the straight grain."
        )
    if names.checklist.made(step).thing.of == LONG_TRIANGLE:
        return slanting_cut(names, cut.lines[0])
    if taken.stage is Stage.CUT:
        return f"Cut {each_or_the(step)} {names.thing(taken)}, once, from corner to corner."
    where = {1: "on the line", 2: "on both lines"}.get(lines, "through the middle both ways, then on both lines")
    if lines == 2 and names.pair_before(step) is not None and not names.is_marked(step):
        where = "from corner to corner, both ways"
    return f"Cut {where}: {parts} pieces{'' if step.count == 1 else ' from each'}."


def bag_words(names: UnitNames, step: Step) -> str:
    """What becomes of the mirror images that cutting apart gives; nothing where it gives none."""
    bags = [str(names.checklist.piles[flow.pile].bag) for flow in step.gives]
    if len(bags) < 2 or "None" in bags or is_quarter(names, step):
        return ""
    text = f" The two are mirror images: put each in its own bag, {listed(bags)}."
    spare = [bag for bag, flow in zip(bags, step.gives, strict=True) if not names.is_used(flow.pile)]
    return text + (f" Those of bag {spare[0]} are spares: no block takes them." if spare else "")


# Pressing: what the seam goes toward lies on top


def _press_text(names: UnitNames, step: Step, press: Press) -> str:
    if press.toward == "open":
        return "Set the seam, then press it open."
    pair = names.pair_before(step)
    assert pair is not None
    return pressed_by_hand(upper_cloth(names, press, pair), len(pair.laid), names.is_pressed_as_before(step))


def _press_check(names: UnitNames, step: Step, size: str) -> str:
    if not size:
        return "Cool and flat, not stretched."
    if names.has_no_sides(step):
        heart = ": it looks like a heart" if names.checklist.made(step).thing.of == GOOSE else ""
        return f"Cool and flat, not stretched{heart}."
    if names.checklist.made(step).thing.of == PIECED_TRIANGLE:
        assert step.size is not None
        return f"Cool and flat, not stretched: {names.length(step.size[0])} along both short edges."
    then = " before trimming" if names.is_trimmed_next(step) else ""
    inner = names.checklist.made(step).thing.of == INNER
    corners = ", the seam running into both corners. It is not trimmed yet" if inner else ""
    return f"Cool and flat, not stretched: {size}{then}{corners}."
