"""What is said of blocks that came out uneven: as a teacher says it to a pupil, in one calm sentence first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from tracker.exact.measure import nearest, write_length
from tracker.fitting.block_measures import ACROSS, DOWN, WAYS, BlockMeasures
from tracker.fitting.block_shape import BlockShape
from tracker.fitting.one_block import (
    BOWED,
    EASE,
    FITS,
    LARGE,
    LEANING,
    LEAVE,
    PRESS,
    REMAKE,
    SEW_AGAIN,
    SMALL,
    STRIPS,
    TAPERING,
    TRIM,
    SeamOrUnits,
    Treatment,
    findings,
    lean_read,
    seam_errors,
    seam_verdict,
)
from tracker.fitting.one_size import OneSize, StripsRound
from tracker.fitting.ways import FRAMES, KEEP, SORTED, STRIPS_ROUND, Brought
from tracker.plan.problems import counted
from tracker.progress.changes import MADE_AGAIN, PRESSED_AGAIN, SEWN_AGAIN, STRIPS_ON
from tracker.words.thing_words import listed, plural

_FINE = {"in": Fraction(1, 32), "cm": Fraction(1, 20)}
"""How fine differences are said."""
_FINEST = {"in": Fraction(1, 64), "cm": Fraction(1, 50)}
"""How fine a seam's error is said."""

DONE = {
    PRESS: "pressed and measured again first",
    LEAVE: "left as they are",
    TRIM: "trimmed",
    EASE: "eased",
    SEW_AGAIN: "sewn again",
    STRIPS: "brought up by strips all round",
    REMAKE: "made again",
}
"""What becomes of several blocks, what is done first before all else."""

ALONE = {LEAVE: "left as it is"}
"""What becomes of one, where that is said otherwise."""

WAY_NAMES = {
    KEEP: "Keep the plan's size",
    STRIPS_ROUND: "Strips all round",
    FRAMES: "Wide frames, cut to reach",
    SORTED: "Sort them into rows",
}

MOST_NAMED = 6
"""So many blocks are named by their numbers."""

ENOUGH = 3
"""So many measured blocks are enough to say what all should be."""

NO_SEAMS, RIGHT, ONE_WAY, OPPOSITE, ONE_LINE = "no seams", "right", "one way", "opposite", "one line"
TEST, GUIDE = "test", "guide"
"""What seam errors point to: nothing, only one way, one way too wide and the other too narrow, a row or column alone,
the seam to be tested, or the guide to be moved."""

SINCE = {
    PRESSED_AGAIN: "Pressed again: measure it once more.",
    SEWN_AGAIN: "Sewn again: measure it once more.",
    STRIPS_ON: "Strips are on: measure it once more.",
    MADE_AGAIN: "Made anew: it is measured when it is sewn.",
}
"""What was done with a block since it was measured."""


class SizeWords:
    """Words for blocks of one shape."""

    def __init__(self, shape: BlockShape) -> None:
        self.shape = shape
        self.unit = shape.unit

    def length(self, length: Fraction, fine: Fraction | None = None) -> str:
        """`10⅜ in`, to the nearest part that matters."""
        read = nearest(length, fine or _FINE[self.unit])
        return f"{write_length(read, self.unit)} {self.unit}"

    def _shows(self, length: Fraction) -> bool:
        """Whether it is said as more than nothing."""
        return bool(nearest(length, _FINE[self.unit]))

    def size(self, size: Fraction) -> str:
        """`10⅜ in`, an oblong `6½ × 9½ in`."""
        across, down = (write_length(each, self.unit) for each in self.shape.whole(size))
        return f"{across} {self.unit}" if across == down else f"{across} × {down} {self.unit}"

    def signed(self, length: Fraction, seam: bool = False) -> str:
        """A difference with its sign: `+⅛ in`, `−1/32 in`; a seam's error as fine as such are said."""
        text = self._seam(length) if seam else self.length(abs(length))
        if text.startswith("0 "):
            return "none"
        return f"{'+' if length > 0 else '−'}{text}"

    def parted(self, found: SeamOrUnits) -> str:
        """Whether seams or units are off, from two more figures."""
        limits = self.shape.limits
        seam = seam_verdict(found.seam, limits) != "right"
        unit = abs(found.unit) >= limits.right
        if not seam and not unit:
            return "Seams and units are both right there."
        said = []
        if seam:
            wide = "wide" if found.seam > 0 else "narrow"
            said.append(f"the seam is {self._seam(found.seam)} too {wide}")
        if unit:
            size = "small" if found.unit < 0 else "large"
            said.append(f"the units are {self._seam(found.unit)} too {size}: look at how they were trimmed")
        text = "; ".join(said)
        right = "" if seam and unit else f" The {'units are' if seam else 'seams are'} right."
        return f"{text[0].upper()}{text[1:]}.{right}"

    # one block

    def block(self, block: BlockMeasures, among: OneSize | None = None) -> str:
        """What one block's measures say, in a sentence or two; `among` others of the quilt."""
        return " ".join(self.block_says(block, among))

    def block_says(self, block: BlockMeasures, among: OneSize | None = None) -> list[str]:
        """The same, the first of them by itself."""
        found = findings(block, self.shape)
        said = [text for kind, text in self._crooked(block) if kind in found]
        if said:
            said.append("Set it, press it without pulling, let it cool, and measure it again.")
        elif SMALL in found or LARGE in found:
            said += self._off(block, among)
        else:
            said.append(f"As planned, {self.size(self.shape.planned[0])}, as near as anyone sews.")
        return said

    def _crooked(self, block: BlockMeasures) -> Iterator[tuple[str, str]]:
        shows = self.shape.limits.shows
        for way in WAYS:
            taper, bow = block.taper(way), block.bow(way)
            if abs(taper) >= shows:
                edge = (("top", "bottom"), ("left", "right"))[way][taper > 0]
                line = "One row was sewn or cut wider" if way == ACROSS else "One column was sewn or cut longer"
                yield TAPERING, f"It is {self.length(abs(taper))} longer at the {edge}. {line}, or not pressed flat."
            if abs(bow) >= shows:
                edges = ("upper and lower", "left and right")[way]
                why = "were stretched" if bow < 0 else "are drawn in"
                yield BOWED, f"Its {edges} edges {why}: they and the middle differ by {self.length(abs(bow))}."
        lean = lean_read(block, self.shape.limits)
        if lean is not None and lean >= shows:
            square = self.length(block.largest_square.rational) if block.largest_square.is_rational else ""
            square = square or f"{write_length(nearest(block.largest_square, self.shape.mark), self.unit)} {self.unit}"
            yield LEANING, f"It leans by {self.length(lean.rational)}; the largest square in it is about {square}."

    def _off(self, block: BlockMeasures, among: OneSize | None) -> list[str]:
        over = [block.mean(way) - self.shape.planned[way] for way in WAYS]
        agrees = self.shape.limits.agrees
        off = [way for way in WAYS if abs(over[way]) > agrees]
        sizes = [f"{'small' if over[way] < 0 else 'large'} by {self.length(abs(over[way]))}" for way in off]
        if len(off) == 1:
            where = ("across", "down")[off[0]]
            return [f"A little {sizes[0]} {where}, and right the other way.", self._blame(block, among)]
        if sizes[0] == sizes[1]:
            said = f"{sizes[0]} both ways"
        elif over[0] * over[1] > 0:
            said = f"{sizes[0]} across and {self.length(abs(over[1]))} down"
        else:
            said = f"{sizes[0]} across and {sizes[1]} down"
        return [f"It came out {said}.", self._blame(block, among)]

    def _blame(self, block: BlockMeasures, among: OneSize | None) -> str:
        """What its seams mean; the guide is moved only for what the maker's other blocks show too."""
        errors = seam_errors(block, self.shape)
        why, off = self._why(errors)
        own = [] if among is None else [each for each in among.blocks if each.maker == block.maker]
        if among is None or why != GUIDE or len(own) < ENOUGH:
            return self.seams(errors)
        whole, of_all = self._why(among.makers[block.maker])
        worst = max(off.values(), key=abs)
        if whole in (GUIDE, TEST) and any(error * worst > 0 for error in of_all.values()):
            return self.seams(errors)
        much = "much" if worst > 0 else "little"
        return f"Each seam took about {self._seam(worst)} too {much} here, but not in the others: leave the guide."

    def seams(self, errors: Sequence[Fraction | None], varies: bool = False) -> str:
        """What seam errors across and down mean, and what to do; `varies`: those of single blocks are off."""
        why, off = self._why(errors)
        if why == NO_SEAMS:
            return "It has no seams to blame; it was cut so."
        if why == RIGHT:
            steady = "The seams are right on the whole, but not in every block: leave the guide, and keep to it."
            return steady if varies else "The seams are right."
        worst = max(off.values(), key=abs)
        each = f"each seam takes about {self._seam(worst)} too {'much' if worst > 0 else 'little'}"
        if why == ONE_WAY:
            where = ("across", "down")[min(off)]
            return f"Only {where} {each}: look for a fold left in pressing or a piece cut amiss; the guide is right."
        if why == OPPOSITE:
            return "Too small one way and too large the other: look at how it was cut and pressed, not at the machine."
        if why == ONE_LINE:
            line = "column" if abs(off[ACROSS]) > abs(off[DOWN]) else "row"
            return f"So much more one way than the other that a {line} was cut or sewn amiss, and not the whole seam."
        if why == TEST:
            return f"By the ruler {each}. Stop, and test the seam before sewing on."
        where, alike = "nearer to" if worst > 0 else "further from", ", and both ways alike" if len(off) == 2 else ""
        return f"By the ruler {each}{alike}, so it is the guide: move it that much {where} the needle."

    def _why(self, errors: Sequence[Fraction | None]) -> tuple[str, dict[int, Fraction]]:
        """What seam errors across and down point to, and those of them that are too large to be right."""
        limits = self.shape.limits
        known = {way: error for way, error in enumerate(errors) if error is not None}
        off = {way: error for way, error in known.items() if seam_verdict(error, limits) != "right"}
        if not off:
            return RIGHT if known else NO_SEAMS, off
        if len(off) < len(known):
            return ONE_WAY, off
        if len({error > 0 for error in off.values()}) > 1:
            return OPPOSITE, off
        if len(off) == 2 and abs(off[ACROSS] - off[DOWN]) > limits.guide:
            return ONE_LINE, off
        return TEST if any(seam_verdict(error, limits) == "test" for error in off.values()) else GUIDE, off

    def _seam(self, error: Fraction) -> str:
        return self.length(abs(error), _FINEST[self.unit])

    # a block at a size

    def treatment(self, each: Treatment, size: Fraction) -> str:
        """What to do with a block, and what it costs: a line in a list."""
        match each.do:
            case "leave":
                return "Leave it."
            case "trim":
                return f"Trim to {self.size(size)}, centred{self._points(each)}."
            case "ease":
                care = ", with care" if each.with_care(size) else ""
                over = " and trim it the other way" if any(not short for short in each.short) else ""
                return f"Ease it by {self.length(max(each.short))}{care}{over}{self._points(each)}."
            case "press":
                return "Press it and measure it again."
            case "sew again":
                return self._sew_again(each)
            case "strips":
                return "Sew strips all round, and square it."
        return "Make it again; keep this one for the back."

    def _points(self, each: Treatment) -> str:
        lost = max(each.points)
        if not self._shows(lost):
            return ""
        over = ", which shows a little" if lost > self.shape.limits.allowed else ""
        return f"; {self.length(lost)} off the points{over}"

    def _sew_again(self, each: Treatment) -> str:
        said = []
        for way, by in enumerate(each.per_seam):
            if by is not None:
                done = f"{'let out' if by > 0 else 'take in'} {self._seam(by)}"
                which = "every row, so only while the rows are open" if way == ACROSS else "the long seams"
                where = ("across", "down")[way]
                said.append(f"each seam {where} {done} ({which})")
        return f"Sew again: {listed(said)}."

    # all blocks

    def all_blocks(self, done: Brought) -> str:
        """What all blocks say, in one calm sentence; before it which are pressed again first, since what they measure
        then counts."""
        then, blocks = self._to_one_size(done), zip(done.sizes.blocks, done.tried.treatments, strict=True)
        crooked = [block.block for block, each in blocks if each.do == PRESS]
        if not crooked:
            return then
        many = len(crooked)
        which = f"{plural('block', many)} {listed(crooked)}" if many <= MOST_NAMED else f"{many} blocks"
        them = "it" if many == 1 else "them"
        return f"First press {which} again and measure {them}. Then {then[0].lower()}{then[1:]}"

    def _to_one_size(self, done: Brought) -> str:
        planned, size = self.shape.planned[0], done.tried.size
        if done.way == SORTED:
            return "Leave them as they are, and sort them into rows: neighbours then agree, and nothing is cut away."
        if size > planned:
            to = self.size(size)
            return f"Bring them all up to {to}." if done.strips else f"Square them all to {to}, larger than planned."
        if size < planned:
            return f"Square them all to {self.size(size)}."
        if all(each.do in FITS for each in done.tried.treatments):
            return f"Keep the plan's {self.size(size)}: every block comes to it."
        return f"Keep the plan's {self.size(size)}."

    def follows(self, size: Fraction) -> str:
        """What of the plan follows from a size."""
        if size > self.shape.planned[0]:
            return (
                f"That is larger than the {self.size(self.shape.planned[0])} that the plan can square to: cut what "
                "goes round the blocks by what they measure. Borders are cut by what the top measures anyway."
            )
        return (
            "Sashes, triangles, borders, backing and binding follow from it. Nothing changes before you have seen it, "
            "and what is sewn is kept."
        )

    def behind(self, done: Brought) -> str:
        """What that comes to: how many blocks need what, and what it costs at most."""
        treatments = done.tried.treatments
        found = {do: sum(each.do == do for each in treatments) for do in DONE}
        parts = [
            f"{number} {ALONE.get(do, DONE[do]) if number == 1 else DONE[do]}" for do, number in found.items() if number
        ]
        lost = max((max(each.points) for each in treatments if each.do in (TRIM, EASE)), default=Fraction())
        points = f" No point loses more than {self.length(lost)}." if self._shows(lost) else ""
        return f"{listed(parts)}.{points}{self.strips(done.strips, done.way)}"

    def strips(self, strips: StripsRound | None, way: str) -> str:
        """How wide strips are cut, and what shows of them."""
        if strips is None:
            return ""
        least, most = (self.length(shown) for shown in strips.shows)
        uneven = strips.shows[1] - strips.shows[0] > self.shape.limits.differs
        shows = least if least == most else f"{least} to {most}"
        more = ", which is more than the eye passes over" if uneven else ""
        first = " Straighten each block first." if way == FRAMES else ""
        return f"{first} Cut all strips {self.length(strips.cut)} wide; {shows} of them shows{more}."

    def sample(self, errors: Sequence[Fraction | None]) -> str:
        """What the first block decides before more is cut."""
        why, off = self._why(errors)
        if why == TEST:
            return "Cut nothing more yet: test the seam first, then sew another."
        if why == GUIDE:
            return "Cut on, but move the guide before you sew on."
        if any(seam_verdict(error, self.shape.limits) == "test" for error in off.values()):
            return "Cut nothing more yet: find out first what went wrong, then sew another."
        return "Cut on, but mind what it says." if off else "Cut on: the rest can be like it."

    def sorted_into(self, rows: Sequence[Sequence[str]], sizes: OneSize) -> str:
        """By how much neighbours differ at most when blocks are sorted into rows, as they are."""
        blocks = {block.block: block for block in sizes.blocks}
        high = [[blocks[name].mean(DOWN) for name in row] for row in rows]
        wide = [[blocks[name].mean(ACROSS) for name in column] for column in zip(*rows, strict=True)]
        along, down = (max(max(line) - min(line) for line in lines) for lines in (high, wide))
        return (
            f"Nothing is cut off: heights differ by at most {self.length(along)} along a row, widths by at most "
            f"{self.length(down)} down a column."
        )

    def keeps_down(self, found: tuple[str, Fraction] | None) -> str:
        """The one block that keeps the others down; nothing where there is none."""
        if found is None:
            return ""
        block, size = found
        return f"Block {block} alone keeps the size down: made again, it lets the others be {self.size(size)}."

    def maker(self, maker: str, errors: Sequence[Fraction | None], blocks: int, varies: bool = False) -> str:
        """What a maker's blocks say of the seam; `varies`: it is off in single ones."""
        who = f"{maker}, {counted(blocks, 'block')}" if maker else counted(blocks, "block").capitalize()
        return f"{who}: {self.seams(errors, varies)}"

    def makers(self, sizes: OneSize) -> Iterator[str]:
        """What the blocks of each maker say of the seam."""
        for maker, errors in sizes.makers.items():
            own = [block for block in sizes.blocks if block.maker == maker]
            whys = {self._why(seam_errors(block, self.shape))[0] for block in own}
            yield self.maker(maker, errors, len(own), bool(whys & {GUIDE, TEST}))


def fit_lines(done: Brought) -> Iterator[str]:
    """Everything, as it is printed: the sentence first, then each block, the makers, and sorted rows."""
    sizes, words = done.sizes, SizeWords(done.sizes.shape)
    yield words.all_blocks(done)
    yield words.behind(done)
    if keeps := words.keeps_down(sizes.keeps_it_down):
        yield keeps
    for block, each in zip(sizes.blocks, done.tried.treatments, strict=True):
        yield f"{block.block:>5}  {words.treatment(each, done.tried.size)}"
        yield f"       {words.block(block, sizes)}"
    yield from words.makers(sizes)
    if done.rows:
        yield f"Sorted, row by row: {'; '.join(', '.join(row) for row in done.rows)}."
