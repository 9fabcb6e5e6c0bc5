"""Printed lists without a plan: whether the finished areas of their pieces add up to the block's."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from effort import by_lot
from working import counted_work

from tests.quilting import inches
from tracker.exact.measure import Measure, read_length
from tracker.printed.block_area import check_areas, finished_area
from tracker.printed.list_table import ListRow, read_list
from tracker.words.printed_words import area_finding_text, areas_text

HERE = Path(__file__).parent
BLOCKS: list[dict[str, Any]] = tomllib.loads((HERE / "published" / "blocks.toml").read_text("utf-8"))["block"]
QUARTER = Measure(Fraction(1, 4))

SHAPED = {
    "fstar-6b": "its squares are left in pairs, marked as a grid",
    "ohio-12v": "its units come out an eighth over",
    "star-star-12": "its corners are flipped",
    "sister-6": "its patches are rounded to sixteenths, and the block is 5 15/16",
}


def block_rows(block: dict[str, Any]) -> list[ListRow]:
    rows = []
    for line, piece in enumerate(block["pieces"], 1):
        sides = sorted((inches(side) for side in piece["size"]), reverse=True)
        rows.append(ListRow(line, piece["cloth"], piece["count"], sides[0], sides[1]))
    return rows


@pytest.mark.parametrize("block", by_lot(BLOCKS), ids=lambda block: block["id"])
def test_published_lists_add_up_to_their_blocks(block: dict[str, Any]) -> None:
    seam = Measure(Fraction(1, 2)) if block["id"] == "log-12h" else QUARTER
    side = inches(block["unfinished"]) - 2 * seam
    check = check_areas(block_rows(block), (side, side * block.get("times", 1)), seam, "in")
    assert check.agrees == (block["id"] not in SHAPED)


def test_a_shape_that_is_said_is_taken() -> None:
    # pumpkinpatchquilter, 2009: sawtooth star of 6 by stitch and flip.
    rows, _ = read_list("A,4,2,2\nA,4,2,3 1/2\nB,1,3 1/2,3 1/2\nB,8,2,2,flip", None, "in")
    check = check_areas(rows, (Measure(6), Measure(6)), QUARTER, "in")
    assert (check.pieces, check.block) == (36, 36)
    assert check.shapes[-1] == "flip"


CARDS = "\n".join(f"{cloth},1,4 1/4,4 1/4\n{cloth},{4 if cloth == 'L' else 2},3 7/8,3 7/8" for cloth in "BCDL")
STORM = "D,1,3 1/2,3 1/2\nD,4,2 5/8,2 5/8\nL,8,4,2 1/2"
GOOSE_CHASE = "A,1,3 1/2,3 1/2\nD,12,3 1/2,2\nL,1,7 5/8,7 5/8\nL,2,3,3"
DUGOUT = "D,1,3 5/16,3 5/16\nD,4,2 1/2,2 1/2\nL,2,4 1/2,2 1/2\nL,2,2 7/8,2 7/8"
SAW = "A,1,3 1/2,3 1/2\nA,4,2,2\nA,4,2,3 1/2"
STAR = "A,1,3 1/2,3 1/2\nL,4,3 1/2,3 1/2\nM,4,3 1/2,2\nM,4,2,2"


@pytest.mark.parametrize(
    ("listed", "side", "kinds", "shapes"),
    [
        # shoo fly of 6, exact and roomy; flips; a middle on point; geese four at a time with their corners
        ("A,4,2 1/2,2 1/2\nA,2,2 7/8,2 7/8\nB,2,2 7/8,2 7/8\nB,1,2 1/2,2 1/2", "6", [], "square hst hst square"),
        ("A,4,2 1/2,2 1/2\nA,2,3,3\nB,2,3,3\nB,1,2 1/2,2 1/2", "6", [], "square roomy-hst roomy-hst square"),
        ("A,1,3 1/2,3 1/2\nA,4,2,2\nA,4,2,3 1/2\nB,8,2,2", "6", [], "square square rectangle flip"),
        ("A,1,3 1/2,3 1/2\nA,4,2,2\nA,4,2,3 1/2\nB,7,2,2", "6", ["no corner"], "square square rectangle flip"),
        ("A,1,4 3/4,4 3/4\nB,2,3 7/8,3 7/8", "6", [], "centre hst"),
        # attic windows: one half-square is needed of two; a snowball's corners are a quarter of it
        ("A,1,6 1/2,2 1/2\nA,1,2 7/8,2 7/8\nL,1,6 1/2,6 1/2\nM,1,6 1/2,2 1/2\nM,1,2 7/8,2 7/8", "8", [], None),
        ("A,1,8 1/2,8 1/2\nB,4,2 1/2,2 1/2", "8", [], "square flip"),
        # dutchman's puzzle with four of its flips left out; a split nine-patch, whose second pair leaves one spare
        ("D,4,4 1/2,2 1/2\nM,4,4 1/2,2 1/2\nL,12,2 1/2,2 1/2", "8", ["no corner"], None),
        (
            "A,2,3 1/2,3 1/2\nD,2,3 7/8,3 7/8\nD,1,3 1/2,3 1/2\nL,2,3 7/8,3 7/8\nL,1,3 1/2,3 1/2\nM,2,3 1/2,3 1/2",
            "9",
            [],
            None,
        ),
        # one square for triangles too few; all of one cloth
        ("A,4,2 1/2,2 1/2\nA,2,2 7/8,2 7/8\nB,1,2 7/8,2 7/8\nB,1,2 1/2,2 1/2", "6", ["area"], None),
        ("A,5,2 1/2,2 1/2\nA,4,2 7/8,2 7/8", "6", ["unpaired"], "square hst"),
        # fifty-four forty: tall triangles of squares, their sides of rectangles; a rectangle for two halves on a slant
        ("D,4,4,2 1/2\nL,4,4,4\nL,10,2,2\nM,10,2,2", "9", [], "side-of-a-tall-triangle tall-triangle square square"),
        ("D,4,4,2 1/2\nL,3,4,4\nL,10,2,2\nM,10,2,2", "9", ["area"], None),
        ("A,2,5,3 1/4\nB,2,5,3 1/4\nA,8,2 1/2,2 1/2", "8", [], "half-rectangle half-rectangle square"),
        # a nested square; a square pieced on point; a stem, whose squares are three quarters of what they go on
        ("A,1,3 1/2,3 1/2\nD,2,3,3\nL,2,3 7/8,3 7/8", "6", [], "square hst hst"),
        ("A,1,3 1/2,3 1/2\nD,1,3,3\nL,2,3 7/8,3 7/8", "6", ["area"], None),
        ("A,8,3 1/2,3 1/2\nL,4,4 1/2,4 1/2", "8", [], "flip square"),
        ("A,7,3 1/2,3 1/2\nL,4,4 1/2,4 1/2", "8", ["no corner"], None),
        # halves pieced on the diagonal: one large triangle, three loose ones, and three half-squares of four
        ("A,1,6 7/8,6 7/8\nD,4,2 7/8,2 7/8\nL,2,2 7/8,2 7/8", "6", [], "hst hst hst"),
        ("A,1,6 7/8,6 7/8\nD,3,2 7/8,2 7/8\nL,2,2 7/8,2 7/8", "6", ["area"], None),
        # the same with room to trim, its loose triangles without; one of those too few
        ("A,1,7,7\nD,2,3,3\nD,2,2 7/8,2 7/8\nL,2,3,3", "6", [], "roomy-hst roomy-hst hst roomy-hst"),
        ("A,1,7,7\nD,2,3,3\nD,1,2 7/8,2 7/8\nL,2,3,3", "6", ["area"], None),
        # Roman stripe: strips across a half, and the triangles that end it; without its middle strip
        (
            "A,1,2 7/8,2 7/8\nD,1,8 7/8,8 7/8\nG,1,12 7/8,2\nL,1,10 1/8,2\nM,1,7 1/4,2",
            "8",
            [],
            "hst hst" + 3 * " strip-across-a-half",
        ),
        ("A,1,2 7/8,2 7/8\nD,1,8 7/8,8 7/8\nG,1,12 7/8,2\nM,1,7 1/4,2", "8", ["area"], None),
        # pine tree: two flips beside its trunk and one across the end
        ("D,1,3 1/2,3 1/2\nG,1,3,3\nG,7,1 7/8,1 7/8\nL,2,3,3\nL,7,1 7/8,1 7/8\nL,2,1 1/2,1 1/2", "5", [], None),
        # two squares of 4 do not lie in 6; squares of two sizes for one unit; roomy triangles are never loose; a grid
        # of 19 cells, which lie on no ruler's mark
        ("A,2,4 1/2,4 1/2\nB,4,1 1/2,1 1/2", "6", ["no room"], None),
        (
            "D,1,4,4\nG,1,4 1/4,4 1/4\nG,7,2 3/8,2 3/8\nL,2,4 1/4,4 1/4\nL,7,2 3/8,2 3/8\nL,2,2,2",
            "7 1/2",
            ["area"],
            None,
        ),
        ("D,4,5,2\nD,8,2 1/2,2 1/2\nD,4,2,2\nL,4,4,4\nL,8,2 1/2,2 1/2\nL,1,2,2", "10 1/2", ["unpaired"], None),
        (
            "A,3,4 3/4,4 3/4\nA,6,2 3/8,2 3/8\nB,3,4 3/4,4 3/4\nB,2,2 3/8,2 3/8\nB,4,2,2\nC,8,2 3/8,2 3/8\nC,4,2,2",
            "10 1/2",
            ["area"],
            None,
        ),
        # storm at sea: its middle is ringed twice, its corners once; with room its tall triangles are cut as its halves
        (f"A,2,3 7/8,3 7/8\n{STORM}\nL,2,3,3\nL,8,2 3/8,2 3/8\nM,8,4,4", "12", [], None),
        (f"A,1,3 7/8,3 7/8\n{STORM}\nL,2,3,3\nL,8,2 3/8,2 3/8\nM,8,4,4", "12", ["unpaired"], None),
        (f"A,2,4,4\n{STORM}\nL,2,3 1/8,3 1/8\nL,8,2 1/2,2 1/2\nM,8,4,4", "12", [], None),
        # card trick: of every cloth squares cut once and cut twice; without those of one
        (f"A,1,4 1/4,4 1/4\nA,2,3 7/8,3 7/8\n{CARDS}", "9", [], None),
        (f"A,2,3 7/8,3 7/8\n{CARDS}", "9", ["area"], None),
        # geese four at a time; one cloth's squares, cut larger, have no other to lie on
        ("D,1,4 1/2,4 1/2\nL,1,5 1/4,5 1/4\nM,4,2 7/8,2 7/8\nS,4,2 1/2,2 1/2", "8", [], "square qst hst square"),
        ("D,1,4 1/2,4 1/2\nL,1,5 1/4,5 1/4\nM,4,2 7/8,2 7/8\nS,4,2 7/8,2 7/8", "8", ["unpaired"], None),
        # a star in a star: flips of two sizes are halves of its cells; seven and one are not of two cloths; on their
        # own cloth they are not seen
        (f"A,8,2,2\nD,8,3 1/2,3 1/2\nL,4,6 1/2,3 1/2\n{STAR}", "12", [], None),
        (f"A,8,1 1/2,1 1/2\nD,8,3 1/2,3 1/2\nL,4,6 1/2,3 1/2\n{STAR}", "12", ["no corner"], None),
        (f"A,8,2,2\nD,7,3 1/2,3 1/2\nL,4,6 1/2,3 1/2\n{STAR}", "12", ["no corner"], None),
        (f"A,8,2,2\nD,8,3 1/2,3 1/2\nL,2,6 1/2,3 1/2\n{STAR}", "12", ["no corner"], None),
        # one flip alone; a spare unit of three cloths, none of which goes with both others
        (
            "A,2,3 1/2,3 1/2\nD,2,3 7/8,3 7/8\nD,1,2 1/2,2 1/2\nL,2,3 7/8,3 7/8\nL,1,3 1/2,3 1/2\nM,2,3 1/2,3 1/2",
            "9",
            ["area"],
            None,
        ),
        (
            "A,2,3 7/8,3 7/8\nD,2,3 7/8,3 7/8\nD,1,3 1/2,3 1/2\nL,2,3 7/8,3 7/8\nL,1,3 1/2,3 1/2\nM,2,3 1/2,3 1/2",
            "9",
            ["no corner"],
            None,
        ),
        # half of the flips of squares cut across twice, of a snowball, of geese; a sawtooth star's a grade smaller, and
        # on an oblong of their own cloth
        ("A,4,3 1/2,3 1/2\nL,4,4 1/2,4 1/2", "8", ["no corner"], None),
        ("A,1,8 1/2,8 1/2\nB,2,2 1/2,2 1/2", "8", ["no corner"], None),
        ("D,4,4 1/2,2 1/2\nM,4,4 1/2,2 1/2\nL,8,2 1/2,2 1/2", "8", ["no corner"], None),
        ("D,1,4 1/2,4 1/2\nL,4,4 1/2,2 1/2\nM,8,2 1/2,2 1/2\nS,4,2 1/2,2 1/2", "8", [], None),
        ("D,1,4 1/2,4 1/2\nL,4,4 1/2,2 1/2\nM,8,1 1/2,1 1/2\nS,4,2 1/2,2 1/2", "8", ["no corner"], None),
        ("D,1,4 1/2,4 1/2\nL,4,4 1/2,2 1/2\nL,8,2 1/2,2 1/2\nS,4,2 1/2,2 1/2", "8", ["no corner"], None),
        # tall triangles and their sides of one cloth
        ("L,4,4,2 1/2\nL,4,4,4\nL,10,2,2\nM,10,2,2", "9", ["no corner"], None),
        # economy: its middle as large as the squares for its corners
        ("A,1,2,2\nD,2,2,2\nL,2,2 3/8,2 3/8", "3", [], "square hst hst"),
        # scraps under one name
        ("A,36,1 1/2,1 1/2", "6", [], "square"),
        # patches on point, by the ruler's mark: a chimney sweep, a granny square, a wild goose chase with its geese;
        # one triangle square too few along the edge, a patch too few, flips on their own cloth
        (
            "D,4,5,2\nD,4,2,2\nL,1,5,2\nL,2,4 1/8,4 1/8\nL,1,3 3/8,3 3/8\nL,2,2,2",
            "8 1/2",
            [],
            "rectangle square rectangle corner-triangle edge-triangle square",
        ),
        ("A,1,2 1/2,2 1/2\nD,8,2 1/2,2 1/2\nM,4,2 1/2,2 1/2\nL,2,4 1/8,4 1/8\nL,2,2 3/8,2 3/8", "8 1/2", [], None),
        (f"{GOOSE_CHASE}\nL,24,2,2", "10 5/8", [], None),
        (
            "A,1,2 1/2,2 1/2\nD,8,2 1/2,2 1/2\nM,4,2 1/2,2 1/2\nL,1,4 1/8,4 1/8\nL,2,2 3/8,2 3/8",
            "8 1/2",
            ["area"],
            None,
        ),
        (
            "A,1,2 1/2,2 1/2\nD,7,2 1/2,2 1/2\nM,4,2 1/2,2 1/2\nL,2,4 1/8,4 1/8\nL,2,2 3/8,2 3/8",
            "8 1/2",
            ["area"],
            None,
        ),
        (f"{GOOSE_CHASE}\nD,24,2,2", "10 5/8", ["area"], None),
        # a nine-patch of 4 1/2 that is cut apart and sewn again loses a seam each way
        ("D,1,5,5\nL,4,5,5\nM,4,5,5", "13", [], "apart apart apart"),
        ("D,1,5,5\nL,4,5,5\nM,3,5,5", "13", ["area"], None),
        # a frame's corners of its strips' cloth; eight and four squares round a middle twice as large; geese and their
        # flips side by side
        ("D,1,4 1/2,4 1/2\nL,4,4 1/2,2 1/2\nL,4,2 1/2,2 1/2", "8", ["bare"], None),
        ("D,1,4 1/2,4 1/2\nL,4,4 1/2,2 1/2\nS,4,2 1/2,2 1/2", "8", [], None),
        ("D,1,4 1/2,4 1/2\nM,8,2 1/2,2 1/2\nS,4,2 1/2,2 1/2", "8", ["bare"], None),
        ("D,1,2 1/2,2 1/2\nD,4,1 1/2,1 1/2\nL,4,2 1/2,1 1/2\nL,4,1 1/2,1 1/2", "4", ["no corner"], None),
        # corners of geese of their own cloth; loose triangles of the large one's cloth, roomy ones without a partner
        (
            "A,1,2 1/2,2 1/2\nD,4,5 1/2,5 1/2\nD,8,3,3\nL,4,6 1/2,2 1/2\nL,8,3,3\nL,4,2 1/2,2 1/2",
            "14",
            ["unpaired"],
            None,
        ),
        ("D,2,4 7/8,4 7/8\nD,1,4 1/2,4 1/2\nP,1,8 7/8,8 7/8\nP,2,4 7/8,4 7/8", "12", ["unpaired"], None),
        ("A,1,4,4\nD,2,1 1/2,1 1/2\nD,2,1 7/8,1 7/8\nL,2,2,2", "3", ["unpaired"], None),
        # nobody makes units of half an inch eight at a time; nothing but squares for triangles of 1 1/2 is no
        # sixteen-patch
        (
            "D,1,6 1/2,6 1/2\nG,1,5 1/2,5 1/2\nG,7,3,3\nL,1,5 1/2,5 1/2\nL,7,3,3\nL,2,2 1/2,2 1/2",
            "10",
            ["area"],
            None,
        ),
        ("D,8,2 3/8,2 3/8\nL,8,2 3/8,2 3/8", "7 1/2", ["area"], None),
        # a tall triangle's side too narrow by 3/8
        ("D,4,4,2 1/8\nL,4,4,4\nL,10,2,2\nM,10,2,2", "9", ["area"], None),
        # middles pieced of four patches, cut to the eighth; a Roman stripe whose strips are hardly too thick
        (
            "\n".join(
                f"{cloth},1,3 7/8,3 7/8\n{cloth},1,3,3\n{cloth},1,2 3/8,2 3/8\n{cloth},2,1 5/8,1 5/8" for cloth in "DL"
            ),
            "6",
            [],
            None,
        ),
        (
            "A,1,3 7/8,3 7/8\nD,1,12 7/8,12 7/8\nG,1,18 3/8,2 5/8\nL,1,14 1/8,2 5/8\nM,1,9 7/8,2 5/8",
            "12",
            [],
            "hst hst" + 3 * " strip-across-a-half",
        ),
        # Kansas dugout with one of its long strips alone; a middle's patches all of one cloth; quarters of half an inch
        (f"{DUGOUT}\nL,2,8 1/2,2 1/2", "8", [], None),
        (f"{DUGOUT}\nL,1,8 1/2,2 1/2", "8", ["no corner"], None),
        ("D,1,3,3\nD,4,2,2\nL,1,3,3", "4", ["no corner"], None),
        ("D,2,2,2\nD,4,1 1/2,1\nL,1,2 1/2,2 1/2\nL,4,1 1/2,1\nM,2,2,2", "3", ["unpaired"], None),
        # 6 1/2 is typed for a block that finishes at 6
        ("A,4,2 1/2,2 1/2\nA,2,2 7/8,2 7/8\nB,2,2 7/8,2 7/8\nB,1,2 1/2,2 1/2", "6 1/2", ["unfinished", "area"], None),
    ],
)
def test_how_a_list_is_read(listed: str, side: str, kinds: list[str], shapes: str | None) -> None:
    rows, _ = read_list(listed, None, "in")
    check = check_areas(rows, (inches(side), inches(side)), QUARTER, "in")
    assert [finding.kind for finding in check.findings] == kinds
    assert check.agrees == (not kinds)
    assert shapes is None or [shape.replace(" ", "-") for shape in check.shapes] == shapes.split()
    for finding in check.findings:
        assert area_finding_text(check, finding, "in").endswith(".")


def test_no_area_is_said_finer_than_anybody_reads_it() -> None:
    rows, _ = read_list("A,3,2.31,2.31", None, "in")
    check = check_areas(rows, (Measure(6), Measure(6)), QUARTER, "in")
    assert areas_text(check, "in").startswith(
        "The finished pieces add up to about 9 13⁄16 sq in, the block to 36 sq in"
    )


SAID = [
    ("A,5,2 1/2,2 1/2\nA,4,2 7/8,2 7/8", "6", "the 4 squares of 2⅞ in, taken for half-square triangles, two at"),
    (f"{SAW}\nB,7,2,2", "6", "the 7 squares of 2 in, taken as flipped onto corners, go with the number of no"),
    ("D,1,4 1/2,4 1/2\nL,4,4 1/2,2 1/2\nL,4,2 1/2,2 1/2", "8", "the 4 squares of 2½ in cannot be meant to be"),
    ("A,2,4 1/2,4 1/2\nB,4,1 1/2,1 1/2", "6", "the 2 squares of 4½ in, taken as sewn in as they are, and those"),
]  # fmt: skip


@pytest.mark.parametrize(("listed", "side", "says"), SAID)
def test_what_does_not_go_together_is_said_by_its_line_number_and_size(listed: str, side: str, says: str) -> None:
    rows, _ = read_list(listed, None, "in")
    said = areas_text(check_areas(rows, (inches(side), inches(side)), QUARTER, "in"), "in")
    assert re.match(r"Line \d: ", said)
    assert said.partition(": ")[2].startswith(says)


def test_a_list_that_lacks_a_row_does_not_add_up() -> None:
    block = next(block for block in BLOCKS if block["id"] == "churn-6a")
    rows = block_rows(block)
    whole, short = (check_areas(each, (Measure(6), Measure(6)), QUARTER, "in") for each in (rows, rows[:-1]))
    assert whole.difference == 0
    assert short.difference < 0


@pytest.mark.parametrize(
    ("size", "shape", "area"),
    [
        ("2 7/8", "hst", 4), ("3", "roomy hst", 4), ("5 1/4", "qst", 16), ("5 1/2", "roomy qst", 16),
        ("5 3/4", "hst8", 16), ("4 3/4", "hst4", Fraction(25, 2)), ("2 1/2", "square", 4), ("2", "flip", 0),
    ],
)  # fmt: skip
def test_finished_areas_of_shapes(size: str, shape: str, area: Fraction | int) -> None:
    row = ListRow(1, "A", 1, inches(size), inches(size))
    assert finished_area(row, shape, QUARTER, "in") == area


def test_metric_areas() -> None:
    row = ListRow(1, "A", 1, read_length("12.6", "cm"), read_length("12.6", "cm"))
    assert finished_area(row, "hst", Measure(Fraction(3, 4)), "cm") == 100


MOST_WORK = 12_000_000
"""Lines of Python that run until a list is answered, whatever it says: as many as a second of an idle core takes."""


@pytest.mark.parametrize("sizes", [30, 60])
def test_a_list_of_many_sizes_that_nobody_sews_is_answered_all_the_same(sizes: int) -> None:
    """What its sums can come to doubles with each size: they are counted up to a bound, and not kept beyond it."""
    sixteenths = [5 * number + 3 for number in range(sizes)]
    lines = [f"{2 * (each % 7 + 1)} squares {1 + each // 16} {each % 16}/16 cloth" for each in sixteenths if each % 16]
    rows, faults = read_list("\n".join(lines), None, "in")
    assert not faults
    with counted_work() as work:
        check = check_areas(rows, (Measure(12), Measure(12)), QUARTER, "in")
    assert not check.agrees
    assert work[0] < MOST_WORK
