"""Steps in the plain words of the trade: short enough to skim, full enough to follow."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.plan.model import Plan
from tracker.progress.ledger import BlockStage
from tracker.words.names import Names, listed, one, part_name, plural, stage_words
from tracker.words.plan_notices import notice_sentence, refusal
from tracker.words.quilt_words import quilt_check, quilt_takes, quilt_text, quilt_title
from tracker.words.seam_words import pin_text, press_seams_text
from tracker.work.steps import (
    AddStrips,
    Checklist,
    Cut,
    CutApart,
    Join,
    LayOut,
    Mark,
    Notice,
    Pair,
    Pile,
    Pin,
    Press,
    PressSeams,
    Sew,
    Size,
    Step,
    Trim,
)
from tracker.work.things import INNER, SIDES, Kind, Stage
from tracker.work.whole_blocks import SetBlock

__all__ = ["MANUALS", "Words", "refusal"]

MANUALS = "These are the usual cautions. The maker's manual and local rules come first."

LONGER = (
    " Where the cloth allows, cut them an inch or two (3 to 5 cm) longer: they are cut to what the top measures "
    "before they are sewn on."
)
"""What is said where border strips are cut."""


class Words(Names):
    """Words for one plan and its checklist."""

    def __init__(self, plan: Plan, checklist: Checklist) -> None:
        super().__init__(plan, checklist)
        self._maker_of = {flow.pile: step for step in checklist.steps for flow in step.gives}
        self._takers_of: dict[str, list[Step]] = {}
        for step in checklist.steps:
            for flow in step.takes:
                self._takers_of.setdefault(flow.pile, []).append(step)

    def takes(self, step: Step) -> list[str]:
        """What to take for doing the step once."""
        if step.of_the_quilt:
            return quilt_takes(self, step)
        return [self.pile(flow.pile, flow.each) for flow in step.takes]

    def makes(self, step: Step) -> str:
        """What doing it once gives."""
        return listed([self.pile(flow.pile, flow.each) for flow in step.gives])

    def before(self, step: Step) -> str | None:
        """The size of what is taken, where one pile is taken and it has a size."""
        sizes = {self.checklist.piles[flow.pile].size for flow in step.takes}
        size = sizes.pop() if len(sizes) == 1 else None
        return None if size is None else self.size(size)

    def title(self, step: Step) -> str:
        """The step as a short order: `Trim half-square triangles, rust / pale sand`."""
        if step.of_the_quilt:
            return quilt_title(self, step)
        made = self.checklist.made(step)
        taken = self.checklist.taken(step) if step.takes else made
        if made.block is not None:
            version = f", version {step.version}" if step.version else ""
            return self._block_title(step, made) + version
        match step.action:
            case Mark():
                return f"Mark {self.thing(taken, 2)}"
            case LayOut():
                return f"Set out strips for {self.thing(made, 2)}"
            case CutApart(parts=parts):
                if taken.stage is Stage.CUT or step.size:
                    return f"Cut {self.thing(taken, 2)} {'across' if step.size else 'once'}"
                scraps = any(part.pile is None for part in parts)
                return f"{'Trim corners off' if scraps else 'Cut apart'} {self.thing(taken, 2)}"
        return f"{step.operation.capitalize()} {self.thing(made, 2)}"

    def _block_title(self, step: Step, made: Pile) -> str:
        block = self.plan.blocks[step.per].name
        things = [part_name(self.checklist.piles[flow.pile].thing) for flow in step.takes]
        match step.action:
            case LayOut():
                return f"Lay out {block}"
            case Pin():
                return f"Pin {things[1]} to {things[0]}"
            case Join():
                whole = made.thing.kind is Kind.BLOCK
                return f"Join the last of {block}" if whole else f"Join {made.thing.name}"
            case PressSeams():
                if made.thing.side:
                    return f"Press the {_frame_stage(made)} strips of {block}"
                if made.thing.kind is Kind.BLOCK:
                    return f"Press the joins of {block}"
                rows = all(self.checklist.piles[flow.pile].thing.is_row_of_block for flow in step.takes)
                return f"Press the {'rows' if rows else 'joined parts'} of {block}"
            case AddStrips():
                return f"Sew the {_frame_stage(made)} strips to {block}"
            case Trim() if step.operation == "trim":
                return f"Trim the {_frame_stage(made)} strips of {block}"
        return f"{step.operation.capitalize()} {block}{' with its frame' if made.thing.number else ''}"

    def heading(self, steps: Sequence[Step]) -> str:
        """What steps of one topic are about."""
        made = self.checklist.made(steps[-1])
        if made.block is not None:
            return f"Block: {self.plan.blocks[made.block].name}, {self.plan.count_of(made.block)} to make"
        if isinstance(steps[0].action, Cut):
            return f"Cutting: {self.fabric(steps[0].action.fabric)}"
        name = f"{plural(made.thing.name, 2)}, {self.cloths(made.fabrics)}"
        return name[0].upper() + name[1:]

    def text(self, step: Step) -> str:
        """What to do, in one to three sentences."""
        if step.of_the_quilt:
            return quilt_text(self, step)
        match step.action:
            case Cut(fabric, width, height, use):
                many = plural(self.checklist.made(step).thing.name, 2)
                text = f"From {self.fabric(fabric)}, cut {many} {self.figures((width, height))} {self.plan.unit}."
                return text + (LONGER if use == "border" else "")
            case Mark(lines):
                return self._mark_text(step, len(lines))
            case Pair():
                return self._pair_text(step.action)
            case Sew():
                return self._sew_text(step)
            case CutApart(lines):
                return self._cut_apart_text(step, len(lines))
            case Press():
                return self._press_text(step, step.action)
            case Trim(width, height):
                return self._trim_text(step, (width, height))
            case LayOut(places) if step.per == "quilt":
                strips = [self.checklist.piles[place.pile] for place in places]
                names = [f"{self.cloths(s.fabrics)} {self.length(s.size[1])} wide" for s in strips if s.size]
                return f"Take one strip for each and lay them in order, from the top: {listed(names)}."
            case LayOut(places):
                if len(places) == 1:
                    return "The block is this one piece: lay it as drawn, right side up."
                return f"Lay the {len(places)} pieces out as drawn, right side up, each turned as in the block."
            case Join(direction):
                return self._join_text(step, direction)
            case Pin():
                return pin_text(self, step.action)
            case PressSeams():
                return press_seams_text(self, step, step.action)
            case AddStrips(strip=strip, edges=edges):
                where = "the top and another to the bottom" if edges != SIDES else "one side and another to the other"
                return (
                    f"Sew {one(self.thing(self.checklist.piles[strip]))}, to {where}, {self.seam()} from the edge. "
                    "A strip cut a little longer is easier to line up; its ends are trimmed afterwards."
                )
        raise AssertionError(step.action)

    def check(self, step: Step) -> str:
        """What to check before going on."""
        if step.of_the_quilt:
            return quilt_check(self, step)
        size = "" if step.size is None else self.size(step.size)
        match step.action:
            case Cut():
                return f"Measure the first: {size}, corners square."
            case Mark():
                return "Each line runs exactly into the corners."
            case Pair():
                return "Right sides are together and the edges level."
            case Sew() if self._on_the_marks(step):
                return "The seam runs exactly from corner to corner."
            case Sew():
                return f"Every seam is {self.seam()} from its line or edge, from end to end."
            case CutApart():
                return f"Each is {size}." if size else "The cut ran straight and caught no seam."
            case Press() if self._trimmed_next(step):
                return f"Flat, not stretched: {size} before trimming." if size else "Flat, not stretched."
            case Press():
                return f"Flat, not stretched: {size}." if size else "Flat, not stretched."
            case Trim() if step.operation == "trim" and step.per != "quilt":
                return f"Exactly {size}, corners square."
            case Trim():
                return f"Exactly {size}, with {self.seam()} of cloth beyond every point."
            case LayOut() if step.per == "quilt":
                return "The strips lie in that order."
            case LayOut():
                return "Stand back and compare it with the picture: nothing turned, nothing swapped."
            case Join():
                return f"Lay the ruler along it: {size}. If it is not, unpick now rather than at the end."
            case Pin(nests=nests) if any(nest.nests for nest in nests):
                return "At every pin the seams lie against each other without a gap."
            case Pin():
                return "The ends meet and neither side is stretched."
            case PressSeams():
                return f"Flat from the front, no folds beside the seams{': ' + size if size else ''}."
            case AddStrips():
                return f"Opened out it is {size}."
        raise AssertionError(step.action)

    def caution(self, step: Step) -> str | None:
        """The usual caution for the tool in hand, or None where nothing cuts, burns or pricks."""
        return step.kind.caution or None

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
                return f"{made.thing.name} {made.stage.value}"
            case Join():
                return "all joined"
            case PressSeams() if not whole:
                return "rows pressed" if made.thing.is_in_row_of_block else "parts pressed"
        return stage_words(made)

    def _is_to_be_set(self, pile: Pile) -> bool:
        """Whether the next thing done with a pile is to lay it in its place in the quilt."""
        return any(isinstance(taker.action, SetBlock) for taker in self._takers_of.get(pile.id, []))

    def notice(self, notice: Notice) -> str:
        """One sentence about something worth knowing."""
        return notice_sentence(self, notice)

    # sentences for one kind of step each

    def _mark_text(self, step: Step, lines: int) -> str:
        pile = self.checklist.taken(step)
        if pile.thing.is_patch:
            ways = ", both ways" if lines == 2 else ""
            return f"On the back of each {self.thing(pile)}, draw a pencil line from corner to corner{ways}."
        return f"On the back of each {self.thing(pile)}, draw a line from corner to corner, across its seam."

    def _pair_text(self, pair: Pair) -> str:
        under = self.checklist.piles[pair.base]
        counts: dict[str, int] = {}
        for laid in pair.laid:
            counts[laid.pile] = counts.get(laid.pile, 0) + 1
        over = [(self.checklist.piles[pile], count) for pile, count in counts.items()]
        names = listed([f"{count if len(pair.laid) > 1 else 'the'} {self.thing(pile, count)}" for pile, count in over])
        marked = "marked side up" if over[0][0].stage is Stage.MARKED else "wrong side up"
        below = one(self.thing(under))
        text = f"Lay {below}, right side up. On it, right sides together, lay {names}, {marked}, as drawn."
        if over[0][0].thing.of != INNER:
            return text
        if under.thing.of == INNER:
            return text + " The seams lie on each other, allowances opposite ways: feel them lock."
        return text + " They share one corner and two edges."

    def _sew_text(self, step: Step) -> str:
        chain = "Chain them: feed one after another, cut the threads after."
        pair = self._pair_before(step)
        assert isinstance(step.action, Sew)
        lines = len(step.action.lines)
        if pair is None or self.checklist.piles[pair.laid[0].pile].stage is not Stage.MARKED:
            return f"Sew {self.seam()} from the edge, all the way along as drawn. {chain}"
        if self._on_the_marks(step):
            return f"Sew on {'each' if lines > 1 else 'the'} line, from corner to corner. {chain}"
        return f"Sew {self.seam()} from {'each line' if lines > 2 else 'the line'}, on both sides of it. {chain}"

    def _pair_before(self, step: Step) -> Pair | None:
        """How the pieces of a stack were laid: the last pairing on the way to what this step takes."""
        maker: Step | None = step
        while maker is not None and not isinstance(maker.action, Pair):
            maker = self._maker_of.get(maker.takes[0].pile) if len(maker.takes) == 1 else None
        return maker.action if maker is not None and isinstance(maker.action, Pair) else None

    def _on_the_marks(self, step: Step) -> bool:
        """Whether the seams run on the marks themselves, corner to corner of the squares laid on."""
        pair = self._pair_before(step)
        if pair is None or not isinstance(step.action, Sew):
            return False
        corners = set()
        for laid in pair.laid:
            size = self.checklist.piles[laid.pile].size
            if size is not None and self.checklist.piles[laid.pile].stage is Stage.MARKED:
                corners |= {(x, y) for x in (laid.x, laid.x + size[0]) for y in (laid.y, laid.y + size[1])}
        return all(end in corners for line in step.action.lines for end in line)

    def _cut_apart_text(self, step: Step, lines: int) -> str:
        assert isinstance(step.action, CutApart)
        taken = self.checklist.taken(step)
        parts = len(step.action.parts)
        kept = sum(part.pile is not None for part in step.action.parts)
        if step.size is not None:
            return (
                f"Square one end, then cut across every {self.length(step.size[0])}: {kept} from each set. "
                "Square the end again when it runs off true."
            )
        if kept < parts:
            if taken.stage is Stage.PRESSED:
                return "Cut off the ears that stand out, level with the sides of the middle square."
            off = plural("corner", parts - kept)
            return f"Trim off the {off}, {self.seam()} beyond the seam. The triangles cut off are scraps."
        if taken.stage is Stage.CUT:
            return f"Cut each {self.thing(taken)} once, from corner to corner."
        where = {1: "on the line", 2: "on both lines"}.get(lines, "through the middle both ways, then on both lines")
        if lines == 2 and self._pair_before(step) is not None and not self._is_marked(step):
            where = "from corner to corner, both ways"
        text = f"Cut {where}: {parts} pieces from each."
        bags = [str(self.checklist.piles[flow.pile].bag) for flow in step.gives]
        if len(bags) > 1:
            return text + f" The two are mirror images: put each in its own bag, {listed(bags)}."
        return text

    def _is_marked(self, step: Step) -> bool:
        pair = self._pair_before(step)
        return pair is not None and any(self.checklist.piles[laid.pile].stage is Stage.MARKED for laid in pair.laid)

    def _press_text(self, step: Step, press: Press) -> str:
        if press.toward == "open":
            return "Set the seam, then press it open."
        pair = self._pair_before(step)
        assert pair is not None
        seams = "the seams" if len(pair.laid) > 1 else "the seam"
        where = self.cloths(press.cloths)
        if len(press.cloths) > 1 and len(pair.laid) == 1:
            # Pieced on both sides, cloth does not tell them apart.
            where = f"the piece that lay {'underneath' if press.toward == 'base' else 'on top'} ({where})"
        return f"Set {seams} closed, then open the piece and press {seams} toward {where}. Lift and lower, do not drag."

    def _trimmed_next(self, step: Step) -> bool:
        return any(taker.operation == "trim" for taker in self._takers_of.get(step.gives[0].pile, []))

    def _trim_text(self, step: Step, size: Size) -> str:
        if self.checklist.made(step).block is None:
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
        taken = self.checklist.taken(step)
        way = "from left to right" if direction == "across" else "from top to bottom"
        if taken.stage is Stage.SET_OUT:
            return f"Sew the strips to each other {way}, long edges together, {self.seam()} seams."
        if taken.stage is Stage.LAID_OUT:
            whole = "the block" if taken.thing.kind is Kind.BLOCK else taken.thing.name
            return f"Sew the pieces of {whole} together {way}, {self.seam()} seams. Put each back in its place."
        return f"Sew the pinned seam, {self.seam()}. Take each pin out before the needle reaches it."


def _frame_stage(made: Pile) -> str:
    """Which strips of a frame a pile has come to: `top and bottom` or `side`, numbered from the second frame on."""
    edges = "side" if made.thing.side == SIDES else made.thing.side
    return edges if made.thing.number == 1 else f"frame {made.thing.number} {edges}"
