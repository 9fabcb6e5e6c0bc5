"""Steps in the plain words of the trade: short enough to skim, full enough to follow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from tracker.exact.measure import Measure
from tracker.fitting.seam_test import seam_test
from tracker.progress.ledger import BlockStage
from tracker.words.alike_titles import told_apart
from tracker.words.dotted_words import dotted_check, dotted_text, dotted_title
from tracker.words.log_words import CabinLog
from tracker.words.plan_notices import notice_sentence
from tracker.words.quilt_texts import block_has_points, is_measured
from tracker.words.quilt_words import quilt_check, quilt_takes, quilt_text, quilt_title
from tracker.words.round_words import round_check, round_press_check, round_press_title, round_text, round_title
from tracker.words.seam_words import in_pairs, joined_check, pin_text, press_seams_text
from tracker.words.thing_words import listed, one, parts_of_rows, plural, stage_words, whole_lines
from tracker.words.tips import tips_of
from tracker.words.unit_titles import unit_title, verbs
from tracker.words.unit_words import UnitNames, exactly, unit_check, unit_text
from tracker.work.operations import PEN
from tracker.work.partial_seams import BeginSeam, CloseSeam, PartialSeams, SewArm
from tracker.work.steps import AddStrips, Join, LayOut, Notice, Pile, Pin, PressSeams, Size, Step, Trim
from tracker.work.things import SIDES, Kind, Stage
from tracker.work.whole_blocks import MeasureBlock, SetBlock

__all__ = ["MANUALS", "Words", "begin_words"]

MANUALS = "These are the usual cautions. The maker's manual and local rules come first."


def begin_words(words: UnitNames) -> str:
    """What comes before all cutting: the seam is tested, and one block is sewn and measured first."""
    test = seam_test(words.plan)
    strip, middle = (words.length(each) for each in (test.strip, test.middle))
    first = "" if sum(row.count for row in words.checklist.blocks) < 2 else " Sew and measure one block first."
    return f"Test the seam: of three strips cut {strip}, sewn and pressed, the middle is {middle}.{first}"


class Words(UnitNames):
    """Words for one plan and its checklist."""

    def takes(self, step: Step) -> list[str]:
        """What to take for doing the step once; for laying out, finished units all, without how far they are."""
        if step.of_the_quilt:
            return quilt_takes(self, step)
        if isinstance(step.action, LayOut):
            piles = self.checklist.piles
            return [f"{flow.each} {self.thing(piles[flow.pile], flow.each)}" for flow in step.takes]
        return [self.pile(flow.pile, flow.each) for flow in step.takes]

    def title(self, step: Step, after: Sequence[Step] = ()) -> str:
        """The step as a short order, no two alike: `Trim half-square triangles, rust / pale sand`; with what is done
        right `after`, `Pair and sew half-square triangles, rust / pale sand`, `Pin and join row 2 to row 1`."""
        return self._called(step, after) + self._apart.get(step.id, "")

    @cached_property
    def _apart(self) -> Mapping[str, str]:
        return told_apart(self, ((step, self._called(step)) for step in self.checklist.steps if step.count))

    def _called(self, step: Step, after: Sequence[Step] = ()) -> str:
        if step.of_the_quilt:
            return quilt_title(self, step)
        made = self.checklist.made(step)
        if made.block is not None:
            version = f", version {step.version}" if step.version else ""
            return self._block_title(step, made, version, after)
        return dotted_title(self, step) or unit_title(self, step, after)

    def _block_title(self, step: Step, made: Pile, version: str, after: Sequence[Step]) -> str:
        if isinstance(step.action, Pin):
            added, on_a_cabin = self.added(step, step.action), self._log(step, step.action) is not None
            done = "Pin and sew" if after and on_a_cabin else verbs([step, *after])
            return f"{done} {added}{self._of_its_kind(self.plan.blocks[step.per].name)}{version}"
        if isinstance(step.action, Join) and made.thing.kind is Kind.BLOCK and self._pin_before(step) is not None:
            return self._whole_title(step, version)
        return self._named_title(step, made) + version

    def _whole_title(self, step: Step, version: str) -> str:
        """`Join row 5: Lantern, version A, is whole`."""
        pin, block = self._pin_before(step), self.plan.blocks[step.per].name + (f"{version}," if version else "")
        assert pin is not None
        log = self._log(step, pin)
        if log is None:
            return f"Join {self.part(step.per, self.checklist.piles[pin.second].thing)}: {block} is whole"
        return f"Sew log {log.number}, {self.cloths(log.patches.fabrics)}, to {log.side}: {block} is whole"

    def _named_title(self, step: Step, made: Pile) -> str:
        block = self.plan.blocks[step.per].name
        match step.action:
            case BeginSeam() | SewArm() | CloseSeam():
                return round_title(self, step, block)
            case PressSeams() if isinstance(self.maker_of[step.takes[0].pile].action, PartialSeams):
                return round_press_title(self, step, block)
            case LayOut():
                return f"Lay out {block}"
            case Join():
                return self._join_title(step, made, block)
            case PressSeams() if step.per in self.cabins and not made.thing.side:
                return f"Press {self._logs_pressed(step, step.action)} of {block}"
            case PressSeams():
                if made.thing.side:
                    return f"Press the {_frame_strips(made)} of {block}"
                if made.thing.kind is Kind.BLOCK:
                    return f"Press the joins of {block}"
                return f"Press {self._pieces_pressed(step)} of {block}"
            case AddStrips():
                return f"Sew the {_frame_strips(made)} to {block}"
            case Trim() if step.operation == "trim":
                return f"Trim the {_frame_strips(made)} of {block}"
        return f"{step.operation.capitalize()} {block}{' with its frame' if made.thing.number else ''}"

    def _join_title(self, step: Step, made: Pile, block: str) -> str:
        """`Join row 2`, `Join row 3 to rows 1 and 2 of Lantern`; of a log cabin `Sew log 4, oat, to the left of
        Hearth`."""
        pin = self._pin_before(step)
        if pin is None:
            if step.per in self.cabins:
                return f"Join the centre of {block}"
            whole = made.thing.kind is Kind.BLOCK
            if whole:
                return f"Join the pieces of {block}"
            return f"Join {self.part(step.per, made.thing)}{self._of_its_kind(block)}"
        log = self._log(step, pin)
        if log is not None:
            return f"Sew log {log.number}, {self.cloths(log.patches.fabrics)}, to {log.side} of {block}"
        return f"Join {self.added(step, pin)} of {block}"

    def _of_its_kind(self, block: str) -> str:
        """` of Lantern` where the quilt has blocks of several kinds, whose rows have the same numbers."""
        return f" of {block}" if self.kinds > 1 else ""

    def _pin_before(self, step: Step) -> Pin | None:
        maker = self.maker_of.get(step.takes[0].pile)
        return maker.action if maker is not None and isinstance(maker.action, Pin) else None

    def added(self, step: Step, pin: Pin) -> str:
        """`row 3 to rows 1 and 2`, `log 4, oat, to the left`."""
        log = self._log(step, pin)
        if log is not None:
            return f"log {log.number}, {self.cloths(log.patches.fabrics)}, to {log.side}"
        first, second = (self.part(step.per, self.checklist.piles[pile].thing) for pile in (pin.first, pin.second))
        return f"{second} to {first}"

    def _log(self, step: Step, pin: Pin) -> CabinLog | None:
        """The log that is added, where the block is a log cabin."""
        cabin = self.cabins.get(step.per)
        things = [self.checklist.piles[pile].thing for pile in (pin.first, pin.second)]
        return None if cabin is None else next(cabin.logs[thing] for thing in things if thing in cabin.logs)

    def _logs_pressed(self, step: Step, press: PressSeams) -> str:
        """`log 4`, `logs 5 and 6`, `the centre`."""
        last = self.cabins[step.per].joined[self.checklist.made(step).thing]
        logs = range(last - len(press.seams[0]) + 1, last + 1)
        if self._pin_before(self.maker_of[step.takes[0].pile]) is None:
            return "the centre"
        return f"{plural('log', len(logs))} {listed([str(number) for number in logs])}"

    def _pieces_pressed(self, step: Step) -> str:
        """`the rows`; of what is joined within rows `the 2 pieces at the left`, or `the parts of row 3`."""
        things = [self.checklist.piles[flow.pile].thing for flow in step.takes]
        if len(things) == 1:
            return self.part(step.per, things[0])
        line = whole_lines(things)
        if line:
            return f"the {line}s"
        return f"the {parts_of_rows(things)}"

    def text(self, step: Step) -> str:
        """What to do, in one to four sentences."""
        if step.of_the_quilt:
            return quilt_text(self, step)
        return dotted_text(self, step) or unit_text(self, step) or self._block_text(step)

    def _block_text(self, step: Step) -> str:
        match step.action:
            case Trim(width, height):
                return self._trim_text(step, (width, height))
            case LayOut(places) if step.per == "quilt":
                strips = [self.checklist.piles[place.pile] for place in places]
                names = [f"{self.cloths(s.fabrics)} {self.length(s.size[1])} wide" for s in strips if s.size]
                return f"Lay the strips side by side in this order, from the top: {listed(names)}."
            case LayOut(places):
                if len(places) == 1:
                    return "The block is this one piece: lay it as drawn, right side up."
                return f"Lay the {len(places)} pieces out as drawn, right side up, each turned as in the block."
            case Join(direction):
                return self._join_text(step, direction)
            case Pin():
                return pin_text(self, step.action)
            case BeginSeam() | SewArm() | CloseSeam():
                return round_text(self, step, step.action)
            case PressSeams():
                return press_seams_text(self, step, step.action)
            case AddStrips():
                return self._add_strips_text(step.action)
            case MeasureBlock(size=size):
                return (
                    "Lay the block flat, pressed and cool, and measure it both ways, each near the edges and through "
                    f"the middle: {self.size(size)}. If it is short, cut nothing more: press it again, test your seam, "
                    "find the part that is short."
                )
        raise AssertionError(step.action)

    def check(self, step: Step) -> str:
        """What to check before going on."""
        if step.of_the_quilt:
            return quilt_check(self, step)
        return dotted_check(self, step) or unit_check(self, step) or self._block_check(step)

    def _block_check(self, step: Step) -> str:
        match step.action:
            case Trim(width, height) if step.operation == "trim":
                return f"{exactly(self, (width, height))}, corners square."
            case Trim(width, height):
                if self._cut_smaller(step):
                    return f"{exactly(self, (width, height))}, as much gone on every side."
                block = self.plan.blocks[step.per]
                framed = block.frames and self.checklist.made(step).thing.number
                if framed or not block_has_points(block):
                    return f"{exactly(self, (width, height))}, corners square."
                return f"{exactly(self, (width, height))}, with {self.seam()} of cloth beyond every point."
            case LayOut() if step.per == "quilt":
                return "The strips lie in that order."
            case LayOut(places) if len(places) == 1:
                return "It lies as in the picture, right side up."
            case LayOut():
                return "Stand back and compare it with the picture: nothing turned, nothing swapped."
            case Join() if (pin := self._pin_before(step)) is not None and pin.nests:
                return "From the right side: where seams meet, they meet without a step."
            case Join():
                return f"Edges level, every seam {self.seam()} from end to end."
            case Pin(nests=nests) if any(nest.nests for nest in nests):
                return "At every pin the seams lie against each other without a gap."
            case Pin():
                return "The ends meet and neither side is stretched."
            case BeginSeam() | SewArm() | CloseSeam():
                return round_check(self, step, step.action)
            case PressSeams():
                return round_press_check(self, step) or joined_check(self, step)
            case MeasureBlock():
                others = " Only when the first one does, cut for the others." if step.count > 1 else ""
                return f"All six measures agree to the ruler's mark.{others}"
            case AddStrips(beyond=beyond):
                far = self.length(beyond, about=False)
                out = f" The ends of the strips stand out, about {far} each." if beyond else ""
                return f"Both seams are {self.seam()} from the edge, from end to end, and nothing was pulled.{out}"
        raise AssertionError(step.action)

    def tip(self, step: Step) -> str | None:
        """What a teacher adds, where it helps and was not said before in this part of the work."""
        return self._tips.get(step.id)

    def caution(self, step: Step) -> str:
        """What to mind; the strips of a mitred border are marked by what the top measures, not cut."""
        strips = self.checklist.made(step).thing
        marked = is_measured(self, step) and self.plan.quilt.borders[strips.number - 1].mitred
        return PEN if marked else step.kind.caution

    @cached_property
    def _tips(self) -> Mapping[str, str]:
        return tips_of(self)

    def stage(self, stage: BlockStage) -> str:
        """How far a block has come."""
        if stage.last is None:
            return "not begun"
        if stage.done == stage.steps:
            return "in its place" if isinstance(stage.last.action, SetBlock) else "finished"
        made = self.checklist.made(stage.last)
        whole = made.thing.kind is Kind.BLOCK
        if stage.done == stage.steps - 1 and self._is_to_be_set(made):
            return "finished"
        match stage.last.action:
            case LayOut():
                return "laid out"
            case Join() | Pin() if not whole:
                return f"{self.part(made.block or '', made.thing)} {made.stage.value}"
            case Join():
                return "all joined"
            case PressSeams() if not whole:
                return "rows pressed" if made.thing.is_in_row_of_block else "parts pressed"
        return stage_words(made)

    def _is_to_be_set(self, pile: Pile) -> bool:
        """Whether the next thing done with a pile is to lay it in its place in the quilt."""
        return any(isinstance(taker.action, SetBlock) for taker in self.takers_of.get(pile.id, []))

    def notice(self, notice: Notice) -> str:
        """One sentence about something worth knowing."""
        return notice_sentence(self, notice)

    # sentences for one kind of step each

    def _add_strips_text(self, strips: AddStrips) -> str:
        where = "one side and another to the other" if strips.edges == SIDES else "the top and another to the bottom"
        edge = "sides" if strips.edges == SIDES else "edges"
        ends = (
            f"They are cut longer than the {edge}: let both ends stand out alike. They are trimmed even afterwards."
            if strips.beyond
            else f"They are as long as the {edge}: pin ends and middles first, and ease the block to the strip."
        )
        strip = one(self.thing(self.checklist.piles[strips.strip], use=False))
        return f"Sew {strip}, to {where}, {self.seam()} from the edge. {ends}"

    def _trim_text(self, step: Step, size: Size) -> str:
        if step.operation == "trim":
            return f"Trim the strip ends level with the block: {self.size(size)}."
        ends = " The ends of the last strips come off with it." if self._ends_stand_out(step) else ""
        smaller = self._cut_smaller(step)
        if smaller:
            gone = self.length(smaller / 2).removeprefix("about ")
            return (
                f"Square every block to {self.both_ways(size)}, one size for all, the design in the middle: about "
                f"{gone} less on each side than planned. Cut two sides, turn half round, lay the "
                f"lines on the sides just cut, cut the other two.{ends}"
            )
        if self.checklist.taken(step).stage is Stage.LAID_OUT:
            return (
                f"The block is one piece that was cut or trimmed to {self.size(size)} just now: lay the ruler on it "
                "once more. Cut only what stands out; where it is true there is nothing to cut."
            )
        small = "press it and measure again" if step.count == 1 else "measure all blocks first"
        return (
            f"Square the block to {self.both_ways(size)}, the design in the middle. Cut two sides, turn half round, "
            "lay the lines on the sides just cut, cut the other two."
            f"{ends} Too small: do not cut, {small}."
        )

    def _cut_smaller(self, step: Step) -> Measure:
        """How much narrower a block is squared than it was sewn, where all are brought to one size."""
        block, seam = self.plan.blocks[step.per], self.plan.seam
        if self.checklist.made(step).thing.number:
            return block.with_frames(seam)[0] - block.finished(seam)[0]
        return block.inner_finished[0] - block.inner_squared(seam)[0]

    def _laid_in(self, pile: Pile) -> int:
        """How many pieces lie in a row of the layout."""
        laid = self.maker_of[pile.id].action
        return sum(place.group == pile.id for place in laid.places) if isinstance(laid, LayOut) else 0

    def _ends_stand_out(self, step: Step) -> bool:
        """Whether what this step takes has strips on it whose ends stand out."""
        pressed = self.maker_of.get(step.takes[0].pile)
        sewn = self.maker_of.get(pressed.takes[0].pile) if pressed is not None and pressed.takes else None
        return sewn is not None and isinstance(sewn.action, AddStrips) and bool(sewn.action.beyond)

    def _join_text(self, step: Step, direction: str) -> str:
        taken = self.checklist.taken(step)
        way = "from left to right" if direction == "across" else "from top to bottom"
        if taken.stage is Stage.SET_OUT:
            return f"Sew the strips to each other {way}, long edges together, {self.seam()} seams."
        if taken.stage is Stage.LAID_OUT:
            if step.per in self.cabins and (said := self._first_log(step, taken)):
                return said
            whole = "the block" if taken.thing.kind is Kind.BLOCK else self.part(step.per, taken.thing)
            whole = "the centre" if step.per in self.cabins else whole
            pieces = whole if " pieces " in whole else f"the pieces of {whole}"
            pairs = in_pairs(self._laid_in(taken))
            line = taken.thing.line_of_block
            back = (
                "" if taken.thing.kind is Kind.BLOCK else f" Put {f'the {line}' if line else 'it'} back in its place."
            )
            return f"Sew {pieces} together {way}, {self.seam()} seams.{pairs}{back}"
        pin = self._pin_before(step)
        log = None if pin is None else self._log(step, pin)
        if log is not None:
            cloths, size = self.cloths(log.patches.fabrics), f"{self.figures(log.size)} {self.plan.unit}"
            return (
                f"Sew log {log.number}, {cloths}, {size}, to {log.side}, {self.seam()} from the edge. Take each pin "
                "out before the needle reaches it."
            )
        return f"Sew the pinned seam, {self.seam()}. Take each pin out before the needle reaches it."

    def _first_log(self, step: Step, laid: Pile) -> str:
        """What is sewn to the square in the middle of a log cabin; nothing where the middle is of another kind."""
        lies = self.maker_of[laid.id].action
        places = lies.places if isinstance(lies, LayOut) else ()
        piles = [self.checklist.piles[place.pile] for place in places if place.group == laid.id]
        logs = [pile for pile in piles if pile.thing.is_patch and pile.thing.kind is not Kind.SQUARE]
        middles = [pile for pile in piles if pile.thing.kind is Kind.SQUARE]
        if len(piles) != 2 or len(logs) != 1 or len(middles) != 1 or logs[0].size is None:
            return ""
        log, middle = logs[0], self.cloths(middles[0].fabrics)
        return (
            f"Sew log 1, {self.cloths(log.fabrics)}, {self.figures(logs[0].size)} {self.plan.unit}, to the {middle} "
            f"square in the middle, as it lies beside it, {self.seam()} from the edge."
        )


def _frame_strips(made: Pile) -> str:
    """Which strips of a frame a pile has come to: `top and bottom strips`, `side strips of frame 2`."""
    edges = "side" if made.thing.side == SIDES else made.thing.side
    return f"{edges} strips" + ("" if made.thing.number == 1 else f" of frame {made.thing.number}")
