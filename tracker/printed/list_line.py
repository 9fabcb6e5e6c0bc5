"""A row of a cutting list as people write it, in a line: cloth, how many and the size, in any order.

`S 2 1/2 x 2 1/2 24`, `24 squares 2½" pale sand`, `Pale sand: 6 strips 1 1/2 x 42`, `8 diamonds from 3 in strips, teal`.
Every way to read a line is found; where there are two, nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from unicodedata import category

from tracker.exact.measure import UNIT_WORDS

LONGEST_LINE = 300
"""Characters; a row says three things."""

_STRIPS = {"rectangle", "rectangles", "strip", "strips", "log", "logs"}
_DIAMONDS = {"diamond", "diamonds"}
NOUNS = (
    _STRIPS
    | _DIAMONDS
    | {"square", "squares", "sq", "piece", "pieces", "pcs", "pc", "patch", "patches", "panel", "panels"}
)
"""What is counted. A word of these after a number says that the number is the count."""

_SIDES = {"wide", "long", "high", "width", "length", "height"}
_WORDS = """a an and cut cutting from for the fabric cloth colour color unit units sash sashes sashing cornerstone
    cornerstones border borders inner outer side sides top bottom corner corners setting frame frames binding backing
    background centre center middle"""
_SAYS_NOTHING = NOUNS | _SIDES | set(_WORDS.split())
"""Words that say what a piece is for; the count and the size do not hang on them."""

_ANGLE = re.compile(r"\b45\s*(?:[°º]|-?\s*deg(?:rees?)?\b)|\btrue\b(?=.*diamond)", re.IGNORECASE)
"""What kind of diamonds, which is neither a count nor a side."""

ACROSS = "WOF"
"""Stands in a reading for a side that is the width of its cloth."""

_WHOLE_WIDTH = r"(?i:(?:the\s+)?(?:(?:full\s+)?width[\s-]+of[\s-]+(?:the\s+)?(?:fabric|cloth)|full\s+width|wof))"
_BARE_WIDTH = r"(?i:(?:the\s+)?width)"
"""After a size's `x` it is the width of the cloth; else it says which side a number is."""

_TOKEN = re.compile(
    rf"(?P<across>(?:\b|(?<=[xX])){_WHOLE_WIDTH}\b) | (?P<width>\b{_BARE_WIDTH}\b(?!\s*[:=]?\s*[\d.½¼¾⅛⅜⅝⅞]))"
    r"""
      | (?P<length>\d+(?:\s*-\s*|\s+)\d+\s*[/⁄]\s*\d+ | \d*\s?[½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚] | \d+\s*[/⁄]\s*\d+ | \d+[.,]\d+ | \.\d+)
      | (?P<whole>\d+)
      | (?P<mark>["″”“']+)
      | (?P<by>[xX×*](?:(?=(?i:wof)\b)|(?![^\W\d_])))
      | (?P<word>[^\W\d_][^\W_]*(?:[-'’][^\W_]+)*)
      | (?P<cloth>\0)
      | (?P<sign>[@:;,.()\[\]–—•|=+_-])
      | (?P<odd>\S)""",
    re.VERBOSE,
)


_REMARK = re.compile(r"\([^()\d½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚]*\)|\bfor\b[^()\d½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚,;:]*$", re.IGNORECASE)
"""What may only say what the pieces are for: `(half-square triangles)`, `for flying geese`."""

_UNITS = re.compile(
    r"\b(?:(?:half|quarter)[\s-]*squares?)?[\s-]*triangles?\b|\b[hq]sts?\b|\b(?:flying\s+)?g(?:ee|oo)se\b|\bsnowballs?\b",
    re.IGNORECASE,
)
"""Units, which are no cloth."""

_COUNTS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
_WRITTEN_OUT = re.compile(rf"(?<![\w-])(?:{'|'.join(_COUNTS)})(?![\w-])", re.IGNORECASE)

_HEADS = re.compile(r"^(?:cut\s+)?(?:from|of)\s+(?:the\s+)?|[,\s]+cut$", re.IGNORECASE)
"""What stands round the cloth in a heading: `From the red, cut:`."""


class Unclear(ValueError):
    """A line that cannot be read, or in two ways: a sentence, and the ways to read it."""

    def __init__(self, sentence: str, readings: Sequence[LineReading] = ()) -> None:
        super().__init__(sentence)
        self.readings = tuple(readings)


@dataclass(frozen=True)
class LineReading:
    """One way to read a line: the cloth (its key, or its name where no cloths are known), the count, and one side of a
    square or two sides, as they are written. Of `diamonds` the one side is how wide the strip is that they are cut
    from."""

    fabric: str
    count: int
    sides: tuple[str, ...]
    diamonds: bool = False


@dataclass(frozen=True)
class _Number:
    """A number of a line; `gap` is what stands between it and the one before."""

    text: str
    whole: bool
    gap: frozenset[str]


def read_line(line: str, fabrics: Mapping[str, str] | None, above: str = "") -> LineReading:
    """The one way to read a line. Raises Unclear.

    In: the cloths, key to name (None: any name will do); the cloth of the heading above, for lines that name none.
    """
    faults = []
    for wording in _wordings(line, fabrics, above):
        try:
            return _read_wording(wording, fabrics, above)
        except Unclear as fault:
            if fault.readings:
                raise
            faults.append(fault)
    raise faults[0]


def _wordings(line: str, fabrics: Mapping[str, str] | None, above: str) -> Iterator[str]:
    """A line as it stands, and where that is no row, without its remarks, and with a count that is written out. Where
    any name is a cloth's, a remark is one only where the line has no other."""
    plain = _REMARK.sub(_taken_out, line)
    if not _LineWords(plain).known & NOUNS:  # columns; or units that are counted, not what is cut for them
        yield line
        return
    if fabrics is None and plain != line:
        bare = _LineWords(plain).named or above or not _LineWords(_UNITS.sub(" ", line)).named
        line = plain if bare else line
    said = (line, plain)
    counted = (_WRITTEN_OUT.sub(lambda word: str(_COUNTS.index(word.group().lower()) + 1), each, 1) for each in said)
    yield from dict.fromkeys((*said, *counted))


def _taken_out(remark: re.Match[str]) -> str:
    """A blank for what only says what pieces are for; what says how they are counted or cut further stays."""
    words = _LineWords(remark.group())
    said = {word.lower() for word in words.strange} | words.known
    further = "cut" in said and not any(word.startswith("diagonal") for word in said)
    return remark.group() if further or not words.strange or said & {"each", "every", "per"} else " "


def _read_wording(line: str, fabrics: Mapping[str, str] | None, above: str) -> LineReading:
    ways = _LineWays(fabrics)
    line = _ANGLE.sub(" ", line) if is_of_diamonds(line) else line
    for any_case in (False, True):
        for fabric, rest in _cloths(line, fabrics, any_case):
            ways.read(fabric, rest, above)
        if ways.readings:
            break
    if len(ways.readings) == 1:
        return ways.readings[0]
    if ways.readings:
        raise Unclear(f"it can be read in {'two' if len(ways.readings) == 2 else 'three'} ways", ways.readings)
    raise Unclear(ways.fault)


def is_of_diamonds(text: str) -> bool:
    """Whether diamonds are spoken of."""
    return re.search(r"\bdiamonds?\b", text, re.IGNORECASE) is not None


def is_across(text: str) -> bool:
    """Whether a side as it is written, `WOF` or `width of fabric`, is the width of its cloth."""
    return re.fullmatch(rf"{_WHOLE_WIDTH}|{_BARE_WIDTH}", text.strip()) is not None


def heading_of(line: str, fabrics: Mapping[str, str] | None) -> str | None:
    """The cloth, where a line names nothing but one: it is that of the lines below. None: it is no such heading."""
    for any_case in (False, True):
        for fabric, rest in _cloths(line, fabrics, any_case):
            words = _LineWords(rest)
            if fabric and not words.numbers and not words.strange:
                return fabric
            alone = line.rstrip().endswith(":") or (words.strange and not words.known & NOUNS)
            if fabrics is None and not words.numbers and alone:
                return _HEADS.sub("", line.strip().rstrip(":").rstrip()) or line.strip().rstrip(":")
    return None


def cloth_named(text: str, fabrics: Mapping[str, str]) -> str | None:
    """The cloth whose key or name, or both, a text is made of; None: there is none, or there are two."""
    if text in fabrics:
        return text
    for any_case in (False, True):
        ways = _cloths(text, fabrics, any_case)
        found = [fabric for fabric, rest in ways if fabric and not re.search(r"\w", rest)]
        if found:
            return found[0] if len(found) == 1 else None
    return None


def _cloths(line: str, fabrics: Mapping[str, str] | None, any_case: bool) -> Iterator[tuple[str, str]]:
    """Each cloth that the line may name, and the line with its names taken out; where it names none, ("", line)."""
    text, none = line.replace("\0", " "), True
    seen = text.casefold() if any_case else text
    for key, full in (fabrics or {}).items():
        rest = text
        for called in sorted({key, full}, key=len, reverse=True):
            if (called.casefold() if any_case else called) in seen:  # much quicker than looking for whole words
                name = rf"(?<!\w){re.escape(called)}(?!\w)"
                rest = re.sub(rf"[\"“]{name}[\"”]|{name}", "\0", rest, flags=re.IGNORECASE if any_case else 0)
        if rest != text:
            none = False
            yield key, rest
    if none:
        yield "", text


class _LineWays:
    """The ways to read a line found so far, and what stood against it where most of it is understood."""

    def __init__(self, fabrics: Mapping[str, str] | None) -> None:
        self.fabrics = fabrics
        self.readings: list[LineReading] = []
        self.fault = ""
        self._strange = LONGEST_LINE

    def read(self, fabric: str, rest: str, above: str) -> None:
        words = _LineWords(rest)
        named = words.named
        if self.fabrics is None:
            self._take(named or above, words)
        elif not fabric and (named or not above):
            self._blame(f'there is no fabric "{named}" in the plan' if named else "the row names no fabric", words)
        elif named:
            self._blame(self._unknown(words.strange), words)
        else:
            self._take(fabric or above, words)

    def _unknown(self, strange: list[str]) -> str:
        word, said = strange[0], " ".join(strange).casefold()
        cloths = [called.casefold() for cloth in (self.fabrics or {}).items() for called in cloth]
        if any(re.search(rf"(?<!\w){re.escape(called)}(?!\w)", said) for called in cloths):
            return "the line names two fabrics; write a line for each"
        return f'read "{word}"; {_INSTEAD.get(word.lower(), "leave out what says neither fabric, count nor size")}'

    def _take(self, fabric: str, words: _LineWords) -> None:
        numbers, found = words.numbers, list(_splits(words.numbers))
        if words.known & _DIAMONDS:
            self._take_diamonds(fabric, words, found)
            return
        if any(sides == (ACROSS,) for _, sides in found):
            self._blame(_NO_COUNT if "by" in numbers[1].gap else _ONE_SIDE, words)
            return
        if found and any(len(sides) == 1 for _, sides in found) and words.known & (_STRIPS | _SIDES):
            self._blame(_ONE_SIDE, words)
            return
        if found and len(numbers) == 2 and "by" in numbers[1].gap and not numbers[1].gap & _COUNTED:
            # A size without a count is no row of its own, but it may be what was meant.
            found.append((1, (numbers[0].text, numbers[1].text)))
        self.readings = list(dict.fromkeys([*self.readings, *(LineReading(fabric, *each) for each in found)]))
        if not found:
            self._blame(_lack(numbers), words)

    def _take_diamonds(self, fabric: str, words: _LineWords, found: list[tuple[int, tuple[str, ...]]]) -> None:
        """Diamonds by how wide they are; of strips that are said to be for them, the strips."""
        strips = words.known & _STRIPS and any(len(sides) == 2 for _, sides in found)
        wanted = [each for each in found if strips or (len(each[1]) == 1 and each[1] != (ACROSS,))]
        read = [LineReading(fabric, *each, diamonds=not strips) for each in wanted]
        self.readings = list(dict.fromkeys([*self.readings, *read]))
        if not wanted:
            self._blame(_DIAMONDS_WIDE, words)

    def _blame(self, fault: str, words: _LineWords) -> None:
        if len(words.strange) < self._strange:
            self.fault, self._strange = fault, len(words.strange)


_COUNTED = {"of", "noun"}
"""What stands between a count and a size, and never between a size and a count."""

_ONE_SIDE = "the row says one side only; write both, as in 6 of 2 1/2 x 42"
_NO_COUNT = "the row does not say how many; write it as 6 of 2 1/2 x 42"
_DIAMONDS_WIDE = (
    "diamonds are listed by how many there are and how wide the strip is that they are cut from; write it as 8 "
    "diamonds 3 in"
)
_ALL_TOLD = "write how many are cut in all"
_SQUARES = "write the squares that are cut, and how many"
_INSTEAD = {
    **dict.fromkeys(("each", "every", "per"), _ALL_TOLD),
    **dict.fromkeys(("triangle", "triangles", "hst", "hsts", "qst", "qsts"), _SQUARES),
}
"""What to write instead of words on which the count or the size hangs."""


def _lack(numbers: list[_Number]) -> str:
    wrong = next((number.text for number in numbers if number.whole and not _is_count(number)), None)
    if wrong is not None:
        return f'read "{wrong[:20]}" as a count; it is a whole number from 1 to 999,999'
    if len(numbers) > 3:
        return f"the line has {len(numbers)} numbers; a row has a count and two sides, each row on a line of its own"
    if any(number.whole for number in numbers) and len(numbers) > 1:
        return "the count and the size cannot be told apart; write it as 24 of 2 1/2 x 2 1/2"
    what = "a size" if len(numbers) == 1 and numbers[0].whole else "how many"
    return f"the row does not say {what if numbers else 'how many, nor a size'}; write it as 24 of 2 1/2 x 2 1/2"


def _splits(numbers: list[_Number]) -> Iterator[tuple[int, tuple[str, ...]]]:
    """A count and a size out of the numbers of a line, in every way; a word between them can settle it."""
    if len(numbers) not in (2, 3):
        return
    last = len(numbers) - 1
    by = [place for place in range(1, len(numbers)) if "by" in numbers[place].gap]
    for place in (0, last):
        sides = numbers[1:] if place == 0 else numbers[:last]
        if not _is_count(numbers[place]):
            continue
        joined = last if place == 0 else 1  # where the two sides meet
        between = {"by", "side", "noun"} if ACROSS in (side.text for side in sides) else {"by", "side"}
        if len(sides) == 2 and (numbers[joined].gap - between or (by and joined not in by)):
            continue
        yield int(numbers[place].text), tuple(side.text for side in sides)
        if place == 0 and numbers[1].gap & _COUNTED:
            return


def _is_count(number: _Number) -> bool:
    return number.whole and len(number.text) <= 6 and int(number.text) > 0


class _LineWords:
    """A line without its cloth: the numbers, each with the unit that follows it, the words known and not known."""

    def __init__(self, text: str) -> None:
        self.numbers: list[_Number] = []
        self.known: set[str] = set()
        self.strange: list[str] = []
        self._gap: set[str] = set()
        just_read = False
        for found in _TOKEN.finditer(text):
            kind, token = str(found.lastgroup), found.group()
            if just_read and (kind == "mark" or token.lower() in UNIT_WORDS):
                before = self.numbers[-1]
                self.numbers[-1] = _Number(before.text + token, False, before.gap)
                just_read = False
                continue
            across = kind == "across" or (kind == "width" and "by" in self._gap)
            just_read = kind in ("length", "whole")
            if just_read or across:
                text_of_it = ACROSS if across else token.strip()
                self.numbers.append(_Number(text_of_it, kind == "whole", frozenset(self._gap)))
                self._gap = set()
            else:
                self._gap.add(self._between(kind, token))

    @property
    def named(self) -> str:
        """The words that may name a cloth."""
        return " ".join(self.strange)

    def _between(self, kind: str, token: str) -> str:
        """What a word or sign between numbers means for them."""
        word = token.lower().removeprefix("the").strip() if kind == "width" else token.lower()
        if kind == "by" or word == "by":
            return "by"
        if word in ("of", "@"):
            return "of"
        if word in _SAYS_NOTHING:
            self.known.add(word)
            return "noun" if word in NOUNS else "side" if word in _SIDES else "word"
        if kind == "word" or (kind == "odd" and category(token) != "So"):  # boxes to tick, small drawings
            self.strange.append(token)
        return "sign"
