"""What can be wrong with a plan file: faults as facts with a place, and the one table that words them.

Three faults are kept apart. *Misspelt*: it cannot be read, or names what is not there. *Impossible*: it is read
well, and cannot be made. *Unclear*: it is read in more than one way, or does not say enough.
"""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass, field

LONGEST_NAME = 120
LONGEST_KEPT = 1_000
"""Characters of what stands in a plan that a problem keeps, whatever stands there."""
LONGEST_LINE = 200
"""Characters of a line of hers that is shown again beside what is wrong with it."""
_LONGEST_SHOWN = 60


@dataclass(frozen=True)
class Problem:
    """One fault in a plan text, and where it stands.

    `line`, `column`, `row` and `cell` count from 1 (None where they say nothing). `block` is a block key; rows and
    cells are those of its picture, or, without a block, those of the quilt's layout. `key` is the dotted key within
    the block, or from the top. `kind` is one of KINDS; `read` is what stands there, `right` what would be right.
    `path` is where it stands from the top: keys, and numbers from 0 in lists. `cloth` is the key of the cloth that it
    would turn, if any.
    """

    file: str
    kind: str
    line: int | None = None
    column: int | None = None
    block: str | None = None
    row: int | None = None
    cell: int | None = None
    key: str = ""
    read: str = ""
    right: str = ""
    path: tuple[str | int, ...] = field(default=(), compare=False)
    cloth: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        for name in ("file", "block", "key", "read", "right"):
            text = getattr(self, name)
            if text is not None and len(text) > LONGEST_KEPT:
                object.__setattr__(self, name, _shortened(text, LONGEST_KEPT))

    @property
    def fault(self) -> str:
        """misspelt, impossible or unclear."""
        return next(fault for fault, kinds in FAULTS.items() if self.kind in kinds)


MISSPELT = {
    # the file as a whole
    "not text": "this is not text in UTF-8; save the plan as plain text in UTF-8",
    "control": "read {read}, a character that cannot be seen; take it out",
    # how it is written
    "syntax": 'cannot read "{read}"; a line is a [table], key = "value" or # a remark',
    "no equals": 'cannot read "{read}"; a key is followed by = and its value',
    "no value": 'nothing stands behind the = in "{read}"; a value is a text in quotes or a whole number',
    "bare value": 'cannot read "{read}"; a text stands in quotes: {right}',
    "bare flag": 'cannot read "{read}"; write {right}, in small letters',
    "bare length": 'read "{read}"; a length that is not a whole number stands in quotes: {right}',
    "after value": (
        'something is left over in "{read}"; each key has one value: a number without quotes, or a text between two'
    ),
    "curly quotes": 'read curly quotes in "{read}"; a text stands in straight quotes: "',
    "unclosed text": "the text that opens here is not closed; it wants {right} at its end",
    "unclosed bracket": 'a bracket is still open at "{read}"; each [ wants its ] and each {{ its }}',
    "backslash": "the backslash in \"{read}\" is read as a code; write a picture between ''' and ''', where it is not",
    # keys and tables
    "unknown key": 'there is no key "{read}" here; did you mean "{right}"?',
    "foreign key": 'there is no key "{read}" here; there can be {right}',
    "key of the top": 'the key "{read}" belongs to the whole plan; write it above the first [table]',
    "heading": "there is no {read} here; that table is headed {right}",
    "key of the quilt": 'the key "{read}" belongs to the quilt; write it below [quilt]',
    "not a table": "{key} is {read}; it is a table, written as [{right}]",
    "single brackets": "{key} has single brackets; there may be several, so write [[{right}]]",
    "double brackets": "{key} has double brackets; there is only one, so write [{right}]",
    "fabric key": 'read "{read}" as a fabric\'s key; it is a letter, then letters or digits, at most 20',
    "block key": 'read "{read}" as a block\'s key; it has letters a to z, digits, - and _, at most 40',
    # values
    "not text value": "{key} is {read}; it is a text in quotes",
    "text control": "{key} has {read} in it, a character that cannot be seen; take it out",
    "choice": "{key} is {read}; it can be {right}",
    "flag": "{key} is {read}; it is true or false, without quotes",
    "whole number": "{key} is {read}; it is a whole number, {right}",
    "colour": '{key} is {read}; a colour is # and six digits or letters a to f, as "#e4dccb"',
    "percent": '{key} is {read}; it is a share from 0 % to below 100 %, as "5 %"',
    "list": "{key} is {read}; it is a list, {right}",
    "list of rows": "{key} is {read}; it is a list of rows, {right}",
    "block name": "read {read}; a block is named by its key in quotes, {right}",
    "unknown cloth": 'there is no fabric "{read}" in the plan; did you mean "{right}"?',
    "no such cloth": 'there is no fabric "{read}" in the plan; it has {right}',
    "unknown block": 'there is no block "{read}" in the plan; did you mean "{right}"?',
    "no such block": 'there is no block "{read}" in the plan; it has {right}',
    # lengths
    "float": "{key} is {read} without quotes, which would not be exact; write {right}",
    "length": '{key} is {read}; a length is written as "2 1/2", "2.5", "6.4 cm" or "1 1/2 yd"',
    "length unit": (
        '{key} is {read}; a length is one number and, where need be, its unit, such as "1 1/2", "6.4 cm" or "1 1/2 yd"'
    ),
    # pictures
    "cell": 'read "{read}"; a cell has one cloth "S", two as "S/R" or "S\\R", or four as "S:R:T:U"',
    "torn cell": 'read "{read}"; a cell has no blanks in it, as "S/R"',
    "remark": 'read "{read}"; there are no remarks within a picture, put it on a line above "picture ="',
    # the quilt
    "turn": "read {read}; a block is turned clockwise by {right}",
}
"""What cannot be read, or names what is not there: the wording of every kind, of the problem's facts."""

IMPOSSIBLE = {
    # the file as a whole
    "too large": "the plan is larger than {right}, which no plan needs",
    "too deep": "lists or keys lie deeper within each other than in any plan; take the inner ones out",
    "too many values": "there are more than {right} values in lists, which no plan needs",
    "long number": "a number with so many digits is no number of a plan",
    # keys and tables
    "pieced border": "{key} makes a pieced border {read}; {right}",
    "turned print": "{key} would turn the print of {read}, which has to stand upright; {right}, or take upright out",
    "too many strips": "{key} stands {read} times; it can stand {right} times",
    "too many fabrics": "there are {read} fabrics; there can be {right}",
    "too many blocks": "there are {read} kinds of block; there can be {right}",
    # values
    "long text": "{key} has {read} characters; it has at most {right}",
    "out of range": "{key} is {read}; it is a whole number, {right}",
    # lengths
    "zero below": "{key} is {read}; a fraction has no 0 below its line",
    "not above zero": "{key} is {read}; a length is above 0",
    "too long": "{key} is {read}; a length is at most {right}",
    "too fine": "{key} is {read}, finer than any ruler; write what a ruler can show",
    "ruler": "{key} is {read}; the ruler's mark can be {right}",
    "seam too small": "{key} is {read}, too little to hold; a seam is {right} or more",
    "seam too wide": "a side of {read} is not wider than the seam; cells must be wider than {right}",
    "not a nine-patch": (
        "{key} asks for a nine-patch: three rows of three plain square patches, the corners of one cloth, the four "
        "between them of another, the middle not of theirs"
    ),
    "nothing left of it": (
        "patches of {read} are cut through the middle, and seams take the rest; they must be wider than {right}"
    ),
    "not a star": (
        "{key} asks for an eight-pointed star: four rows of four square cells, a plain one in each corner, the two "
        "halves of each side's triangle of one cloth, and those of each diamond"
    ),
    "star too small": "a star of {read} has no room for seams that end inside it; it can be {right} or more",
    "squared too large": "{key} is {read}; the block is only {right} before that, unfinished",
    "squared on a seam": (
        "{key} is {read}, which puts the block's edge on a seam inside it; leave a seam's width beside it, as {right}"
    ),
    "squared too small": "{key} is {read}, which cuts too deep; it can be {right}",
    "strip too narrow": "{key} is {read}, of which the seams leave nothing; a strip is cut wider than {right}",
    # pictures
    "ragged": "the row has {read}; the first has {right}, and all rows have as many",
    "too many rows": "the picture has {read} rows; it can have {right}",
    "too many cells": "the row has {read} cells; it can have {right}",
    "nothing left": 'read "<", which continues the patch on its left; the first cell has none',
    "nothing above": 'read "^", which continues the patch above; the first row has none',
    "not a rectangle": 'the patch "{read}" that begins here is no rectangle; to be one it needs {right}',
    "slope too fine": (
        'read "{read}" in a place of {right}; a slanting seam takes sides in proportions of whole numbers up to 10,000'
    ),
    "not square": 'read "{read}" in a place of {right}; a cell of four quarters is square',
    "too many cells in all": "the plan's pictures have too many cells up to here; there can be {right} in all",
    "larger than cloth": (
        "a piece is cut {read}, larger than that cloth, which is {right} wide; draw smaller patches, or write the "
        "cloth's usable width where that is more"
    ),
    "wider than directed cloth": (
        "a piece is cut {read}, wider as it lies than that cloth, which has a direction and is {right} wide; draw "
        "narrower patches, or write the cloth's usable width where that is more"
    ),
    "grid count": "{key} has {read}; the picture has {right}",
    # the quilt
    "too many places": "the quilt has {read} blocks; it can have {right}",
    "uneven layout": "the row has {read}; the first has {right}, and all rows have as many",
    "layout on point": "the row has {read}; on point it has {right}, for long and short rows take turns",
    "ends on point": "there are {read} rows; on point it is an odd number, for a long row ends it",
    "row heights": "{read}; all of a row are equally high, here {right}",
    "column widths": "{read}; all of a column are equally wide, here {right}",
    "too many turns": "{key} has {read} turns; it can have {right}",
    "square to turn": "{read}; only square blocks are turned by a quarter, others by 0 or 180",
    "square on point": "{read}; on point all blocks are squares of one size, here {right}",
}
"""What is read well, and cannot be made."""

UNCLEAR = {
    # the file as a whole
    "more": "{read} more problems are not shown; they may go when these are put right",
    # how it is written
    "twice": 'what "{read}" says has been said before; say it once',
    # keys and tables
    "missing": "{key} is missing; write {right}",
    "either": "{read} are both given; give one or the other",
    "idle": "{key} says nothing {read}; {right}",
    "reserved": 'a fabric cannot have the key "{read}", which has a meaning of its own; take another',
    # values
    "empty text": "{key} is empty; write {right}",
    "bare percent": '{key} is {read}, which does not say of what; write "5 %"',
    # lengths
    "thousands": "{key} is {read}, which may be thousands or a fraction; write {right}",
    "not four quarters": (
        '{key} has {read}; a nine-patch is cut in four: [["0", "180"], ["180", "0"]], two in each of two rows'
    ),
    # pictures
    "picture quotes": "the picture has a backslash in double quotes, where it is a code; write it between ''' and '''",
    "no rows": "the picture is empty; it has a line for each row, cells parted by spaces",
    "blank row": "the row is empty; a row has as many cells as the first, {right}",
    "which diagonal": 'read "{read}", which does not say how the cloths are parted; write {right}',
    "alike": 'read "{read}", in which all is one cloth; write "{right}"',
    "two sizes": '{key} has {read}; it is one length for a square block, or two: ["12", "9"], across and down',
    # the quilt
    "no blocks": "{key} is empty; it is a list of rows, each a list of block keys",
    "uneven turns": "{key} has rows of different lengths; all of them have as many turns",
}
"""What is read in more than one way, or does not say enough."""

FAULTS = {"misspelt": MISSPELT, "impossible": IMPOSSIBLE, "unclear": UNCLEAR}
KINDS = {**MISSPELT, **IMPOSSIBLE, **UNCLEAR}
"""Every kind of problem and its wording: {key}, {read} and {right} are the problem's facts."""


def sentence(problem: Problem) -> str:
    """The problem as one sentence: file and place, what was read, what would be right."""
    return f"{_where(problem)}: {worded(problem, problem.key)}"


def worded(problem: Problem, key: str, wording: str = "") -> str:
    """What is wrong without its place, of a `key` that is called so; in another `wording` than the table's, if any."""
    wording = (wording or KINDS[problem.kind]).format(
        key=shown(key), read=shown(problem.read), right=shown(problem.right, 1_000)
    )
    return wording if wording.endswith("?") else f"{wording}."


def _where(problem: Problem) -> str:
    parts = [shown(problem.file)]
    if problem.line is not None:
        parts.append(f"line {problem.line}")
    if problem.column is not None:
        parts.append(f"column {problem.column}")
    if problem.block is not None:
        parts.append(f"block {shown(problem.block)}")
    if problem.row is not None:
        parts.append(f"row {problem.row}" if problem.block is not None else f"quilt row {problem.row}")
    if problem.cell is not None:
        parts.append(f"cell {problem.cell}" if problem.block is not None else f"place {problem.cell}")
    return ", ".join(parts)


def shown(text: str, longest: int = _LONGEST_SHOWN) -> str:
    """`text` fit to stand in a sentence: on one line, nothing invisible in it, the middle left out where it is long."""
    return "".join("�" if unseen(c) else c for c in _shortened(text, longest))


def quoted(line: str) -> str:
    """A line of hers as it is shown again beside what is wrong with it."""
    return shown(line.replace("\t", " "), LONGEST_LINE)


def _shortened(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 20]} … {text[-10:]}"


def unseen(character: str) -> bool:
    """True for what has no place in a name: control characters, line ends, half pairs, marks that turn text round."""
    return unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp") or character in _TURNING


_TURNING = "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"


def either(words: tuple[str, ...], quoted: bool = True) -> str:
    """`"two", "four" or "best"`: the words as a choice, long lists cut short."""
    marks = [f'"{shown(word)}"' if quoted else shown(word) for word in words]
    if len(marks) > 12:
        return ", ".join(marks[:12]) + " and others"
    return " or ".join([", ".join(marks[:-1]), marks[-1]]) if len(marks) > 1 else "".join(marks)


def counted(number: int, thing: str) -> str:
    """`1 cell`, `3 cells`."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


# What was meant


def unknown(thing: str, read: str, known: Collection[str]) -> tuple[str, str]:
    """The kind of fault where a name is not known, and the nearest that is, or all there are. `thing` is cloth or
    block."""
    near = nearest_word(read, known)
    return (f"unknown {thing}", near) if near else (f"no such {thing}", either(tuple(known)) or "none")


def nearest_word(read: str, known: Collection[str]) -> str:
    """The known word most like the one read, or an empty text where none is like it."""
    if len(read) > 60:
        return ""
    for word in known:
        if word.lower() == read.lower():
            return word
    return next(iter(difflib.get_close_matches(read, known, 1, 0.6)), "")
