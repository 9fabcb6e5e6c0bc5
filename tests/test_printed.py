"""Printed lists as people write, copy and type them: what is read, what is asked, and what is refused, line by line."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.quilting import inches
from tracker.exact.measure import Measure, write_length
from tracker.printed.list_line import LONGEST_LINE
from tracker.printed.list_table import MOST_LINES, ListFault, ListRow, read_list

NAMES = {"A": "amber", "B": "bark"}
CLOTHS = {"S": "pale sand", "R": "lamp red", "X": "sand", "T1": "tea stain", "t1": "tea, strong"}


def rows_of(text: str, unit: str = "in") -> list[ListRow]:
    rows, faults = read_list(text, NAMES, unit)
    assert not faults
    return rows


def read(text: str, fabrics: dict[str, str] | None = CLOTHS, unit: str = "in") -> list[tuple[str, int, str, str]]:
    """(cloth, count, longer side, shorter side) of every row of a list without faults."""
    rows, faults = read_list(text, fabrics, unit)
    assert not faults
    return [
        (row.fabric, row.count, *(write_length(side, unit, plain=True) for side in (row.width, row.height)))
        for row in rows
    ]


def the_fault(text: str, fabrics: dict[str, str] | None = CLOTHS, unit: str = "in") -> ListFault:
    (fault,) = read_list(text, fabrics, unit)[1]
    return fault


# Columns


@pytest.mark.parametrize(
    "text",
    [
        "A,4,4 1/2,2 1/2",
        "A;4;4,5;2,5",
        "A\t4\t4½\t2½",
        "| A | 4 | 4 1/2 | 2 1/2 |",
        "amber  4  4 1/2  2 1/2",
        "Amber: 4 of 2½ x 4½",
        "fabric,count,width,height\nA,4,2.5,4.5",
        "count;fabric;size\n4;amber;2 1/2 × 4 1/2",
        "A 4 @ 4 1/2 x 2 1/2",
        "\n  \nA,x4,4 1/2 in,6.35 cm\n",
    ],
)
def test_lists_are_read_as_people_write_them(text: str) -> None:
    (row,) = rows_of(text)
    assert (row.fabric, row.count, row.width, row.height) == ("A", 4, inches("4 1/2"), inches("2 1/2"))


def test_a_square_may_be_written_once() -> None:
    (row,) = rows_of("A,4,2 1/2")
    assert (row.width, row.height) == (inches("2 1/2"), inches("2 1/2"))


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("", 1, "the list is empty"),
        ("fabric,count,width,height", 1, "no rows"),
        ("A,4,2,2\nC,1,2,2", 2, 'no fabric "C" in the plan; it has A (amber), B (bark)'),
        ("A,some,2,2", 1, 'read "some" as a count'),
        ("A,0,2,2", 1, 'read "0" as a count'),
        ("A,4,two,2", 1, 'read "two" as a length'),
        ("A,4,-2,2", 1, "above 0"),
        ("A,4,2,99999.5", 1, "at most 10,000"),
        ("A,4,1/0,2", 1, 'read "1/0" as a length'),
        (",4,2,2", 1, "names no fabric"),
        ("A,4", 1, "does not say a size"),
        ("A,4,2,2,blob", 1, 'read "blob" as a shape'),
        ("A,1,2,2\n" * (MOST_LINES + 1), MOST_LINES + 1, "rows"),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(text: str, line: int, says: str) -> None:
    _, faults = read_list(text, NAMES, "in")
    assert [fault.line for fault in faults] == [line]
    assert says in faults[0].sentence


def test_all_faults_are_told_at_once() -> None:
    _, faults = read_list("A,no,2,2\nC,1,2,2\nA,1,2,2\nA,1,x,2", NAMES, "in")
    assert [fault.line for fault in faults] == [1, 2, 4]


@pytest.mark.parametrize(
    "text",
    [
        "S\t2 1/2 x 4 1/2\t24\nS\t3 x 3\t12",
        "S\t2 1/2\t4 1/2\t24\nS\t3\t3\t12",
        "24\tS\t2½\t4½\n12\tS\t3\t3",
        "24\t2½ x 4½\tpale sand\n12\t3\tpale sand",
        "24 squares; pale sand; 2½ x 4½\n12; S; 3",
        "Pale sand (S)\n24\t2½\t4½\n12\t3\t3",
        "Size\tFabric\tHow many\n2½ x 4½\tpale sand\t24\n3\tpale sand\t12",
        "| Fabric | Qty | Size |\n|:---|---|---:|\n| Pale sand | 24 | 2½ x 4½ |\n| S | 12 | 3 |",
    ],
)
def test_columns_in_another_order_are_found_from_all_rows(text: str) -> None:
    assert read(text) == [("S", 24, "4 1/2", "2 1/2"), ("S", 12, "3", "3")]


def test_the_usual_order_stands_where_it_reads_as_many_rows() -> None:
    assert read("S,3,3,24\nS,2,2 1/2,2 1/2") == [("S", 3, "24", "3"), ("S", 2, "2 1/2", "2 1/2")]


def test_columns_that_can_be_read_in_two_ways_are_asked_about() -> None:
    faults = read_list("2\t2\t24\tS\n3\t3\t12\tS", CLOTHS, "in")[1]
    assert [fault.line for fault in faults] == [1, 2]
    assert "2 of 24 x 2, or 24 of 2 x 2; put a heading over the columns" in faults[0].sentence
    assert read("width\theight\tcount\tfabric\n2\t2\t24\tS") == [("S", 24, "2", "2")]


def test_decimal_commas_are_no_columns_where_semicolons_or_words_part_them() -> None:
    for text in ("S;24;4,5;2,5", "S 24 of 4,5 x 2,5", "S: 4,5 x 2,5 cm, 24", "S\t24\t4,5\t25 mm"):
        assert read(text, unit="cm") == [("S", 24, "4.5", "2.5")]
    assert read("S,24,4,5", unit="cm") == [("S", 24, "5", "4")]


# Lines as people write them


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("S 2 1/2 x 2 1/2 24", ("S", 24, "2 1/2", "2 1/2")),
        ('24 squares 2½" pale sand', ("S", 24, "2 1/2", "2 1/2")),
        ("24 pale sand squares, 2½", ("S", 24, "2 1/2", "2 1/2")),
        ("Cut 4 corner squares 2 1/2 in from lamp red.", ("R", 4, "2 1/2", "2 1/2")),
        ("• Pale sand (S): 6 strips 1 1/2” x 42”", ("S", 6, "42", "1 1/2")),
        ("R – 24 @ 2-1/2 x 4-1/2", ("R", 24, "4 1/2", "2 1/2")),
        ("S 24 squares 3", ("S", 24, "3", "3")),
        ('S 3" squares 24', ("S", 24, "3", "3")),
        ("S 24 2½ 4½", ("S", 24, "4 1/2", "2 1/2")),
        ("42 x 3 strips: 7, lamp red", ("R", 7, "42", "3")),
        ("2 strips 3½ wide x 42 long, lamp red", ("R", 2, "42", "3 1/2")),
        ("4 of 6 x 8 S", ("S", 4, "8", "6")),
        ("X 4 of 2 x 3", ("X", 4, "3", "2")),
        ("sand 4 of 2 x 3", ("X", 4, "3", "2")),
        ('"tea, strong" 4 of 2', ("t1", 4, "2", "2")),
        ("T1 4 of 2", ("T1", 4, "2", "2")),
        ("s 4 of 2", ("S", 4, "2", "2")),
        ("S 10 1/2 by 12 1/2, 3 pieces", ("S", 3, "12 1/2", "10 1/2")),
        ("S 5 cm x 5 cm 4", ("S", 4, "1 123/127", "1 123/127")),
        ("4 panels 10 x 12 S", ("S", 4, "12", "10")),
        ("S: 1 panel, 10½", ("S", 1, "10 1/2", "10 1/2")),
    ],
)
def test_a_line_is_read_as_it_is_written(line: str, row: tuple[str, int, str, str]) -> None:
    assert read(line) == [row]


@pytest.mark.parametrize(
    "line",
    [
        "6 strips 2 1/2 x WOF plum", "6 strips 2½ x width of fabric, plum",
        "plum: 6 strips 2½ by the width of the cloth",
        "plum 6 of 2½ x width", "P 6 of 2½xWOF", "6 WOF strips 2½, plum", "6 width-of-fabric strips 2½, plum",
        "WOF x 2½ strips: 6, plum", "P,6,2 1/2,WOF",
        "P;6;Width of fabric x 2,5", "P\t2½\twof\t6", "fabric,size,count\nplum,2 1/2 x full width,6",
    ],
)  # fmt: skip
def test_a_strip_may_be_as_long_as_its_cloth_is_wide(line: str) -> None:
    rows, faults = read_list(line, {"P": "plum", "S": "sand"}, "in", {"P": inches("41 1/2")})
    assert not faults
    assert [(row.fabric, row.count, row.width, row.height) for row in rows] == [
        ("P", 6, inches("41 1/2"), inches("2 1/2"))
    ]
    assert rows[0].across
    # Of a cloth that is not known the usual width is taken.
    for unit, width in (("in", 40), ("cm", 100)):
        (row,), faults = read_list(line, None, unit)
        assert not faults
        assert (row.fabric in ("plum", "P"), row.width, row.across) == (True, Measure(width), True)


def test_a_width_that_says_which_side_a_number_is_is_not_that_of_the_cloth() -> None:
    for line in ("S 6 strips 2½ width x 42 length", "S 6 strips width 2½ x length 42", "S 6 of 42 x width 2½"):
        (row,), faults = read_list(line, CLOTHS, "in")
        assert not faults
        assert (row.width, row.height, row.across) == (inches("42"), inches("2 1/2"), False)


def test_a_cloth_alone_in_a_line_is_that_of_the_lines_below() -> None:
    text = "Cut from pale sand:\n24 squares 2½\nX 5 of 2\n4 strips 2½ x 42\n\nLamp red (R)\n6 of 3"
    assert [(row[0], row[1]) for row in read(text)] == [("S", 24), ("X", 5), ("S", 4), ("R", 6)]


def test_a_heading_that_names_no_cloth_of_the_plan_is_no_heading() -> None:
    rows, faults = read_list("Pale sand\n4 of 3\nGolden yellow\n6 of 3", CLOTHS, "in")
    assert [(fault.line, 'no fabric "Golden yellow"' in fault.sentence) for fault in faults] == [(3, True)]
    assert len(rows) == 2


BOOK = """From {0} fabric:
  • 4 – 2½" squares
  ☐ 2 – 3" squares (half-square triangles)
{1}
  • Two 3" squares for half-square triangles
  • 1 – 2½" square (middle of the block) ◩
"""


def test_a_list_as_books_print_it_is_read_under_its_headings() -> None:
    """What pieces are for, a box to tick and a small drawing are no cloth; a count may be written out."""
    sizes = [(4, "2 1/2", "2 1/2"), (2, "3", "3"), (2, "3", "3"), (1, "2 1/2", "2 1/2")]
    for first, second, fabrics, cloths in [
        ("pale sand", "From the lamp red, cut:", CLOTHS, "SSRR"),
        ("pale sand", "From the lamp red, cut:", None, ["pale sand fabric"] * 2 + ["lamp red"] * 2),
        ("background", "Red", None, ["background fabric"] * 2 + ["Red"] * 2),
    ]:
        assert read(BOOK.format(first, second), fabrics) == [
            (cloth, *size) for cloth, size in zip(cloths, sizes, strict=True)
        ]


def test_a_remark_is_left_out_only_where_nothing_hangs_on_it() -> None:
    assert read("24 squares 2½ (pale sand)") == [("S", 24, "2 1/2", "2 1/2")]
    assert read("24 squares 2½ (pale sand)", None) == [("pale sand", 24, "2 1/2", "2 1/2")]
    assert read("4 squares 3 for half-square triangles", None) == [("", 4, "3", "3")]
    assert read("S 4 squares 7 (cut twice on the diagonal)") == [("S", 4, "7", "7")]
    for line in (
        "S 4 squares 5 (cut in half)",  # eight pieces
        "S 4 squares 2½ (each block)",
        "S 8 (half-square triangles) 3",  # units that are counted, not squares
        "4 squares 2½ (golden yellow)",
    ):
        assert the_fault(line)


@pytest.mark.parametrize(
    ("line", "readings"),
    [
        ("S 24 3", ("S: 24 of 3 x 3", "S: 3 of 24 x 24")),
        ("24 pale sand 3", ("S: 24 of 3 x 3", "S: 3 of 24 x 24")),
        ("S 4 x 6 x 8", ("S: 4 of 6 x 8", "S: 8 of 4 x 6")),
        ("S 24 x 2½", ("S: 24 of 2½ x 2½", "S: 1 of 24 x 2½")),
        ("S 24 x 3", ("S: 24 of 3 x 3", "S: 3 of 24 x 24", "S: 1 of 24 x 3")),
        ("S 24 3 3", ("S: 24 of 3 x 3", "S: 3 of 24 x 3")),
    ],
)
def test_a_line_that_can_be_read_in_two_ways_is_asked_about(line: str, readings: tuple[str, ...]) -> None:
    fault = the_fault(line)
    assert fault.readings == readings
    assert all(reading.removeprefix("S: ") in fault.sentence for reading in readings)
    # What is offered can be read in one way only, also among lines of other kinds.
    for reading in readings:
        assert len(read(f"R;2;3;3\n{reading}\nX\t1\t4")) == 3


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("S 12 1/2 x 2 1/2", "does not say how many"),
        ("S 24", "does not say a size"),
        ("S 24 triangles 2 7/8", 'read "triangles"; write the squares that are cut'),
        ("S 24 each 2½", 'read "each"; write how many are cut in all'),
        ("S 2½ x WOF", "does not say how many"),
        ("S 24 x WOF", "does not say how many"),
        ("S 6 WOF strips", "says one side only"),
        ("S,6,WOF", "says one side only"),
        ("S 6 of 2½ x WOF x 3", "has 4 numbers"),
        ("S 6 strips 2½", "says one side only"),
        ("S 6 2½ wide", "says one side only"),
        ("S 24 dozen 2½", 'read "dozen"'),
        ("S 24 of 3 and R 2 of 4", "names two fabrics"),
        ("S 24 2½ for 12 blocks", 'read "blocks"'),
        ("S 2 of 3, 4 of 5", "has 4 numbers"),
        ("S 2½ 3½", "does not say how many"),
        ("S 0 of 2½", 'read "0" as a count'),
        ("S 1234567 of 2½", 'read "1234567" as a count'),
        ("S 4 of 99999", "at most 10,000"),
        ("24 squares 2½", "names no fabric; the plan has S (pale sand)"),
        ("pale sands 24 of 2½", 'no fabric "pale sands" in the plan'),
        ("S " + "x" * LONGEST_LINE, "more than 300 characters"),
        ("S,1,2,3,square,6", "has 6 columns"),
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_read_is_told_what_would_be_right(line: str, says: str) -> None:
    assert says in the_fault(line).sentence


def test_without_a_plan_any_name_will_do_and_none_as_well() -> None:
    text = "Background:\n24 squares 2½\nlight red 4 of 3\n\n4;2;2;hst\n"
    assert read(text, None)[:2] == [("Background", 24, "2 1/2", "2 1/2"), ("light red", 4, "3", "3")]
    assert read("4,2,3\n5, 6 x 7", None) == [("", 4, "3", "2"), ("", 5, "7", "6")]
    assert read("1,4,2 1/2,2 1/2", None) == [("1", 4, "2 1/2", "2 1/2")]


LENGTHS = st.integers(1, 400).map(lambda eighths: Measure(eighths) / 8)


@settings(deadline=None)
@given(st.sampled_from(list(CLOTHS)), st.integers(1, 999_999), LENGTHS, LENGTHS, st.integers(0, 5), st.booleans())
def test_every_row_that_is_written_clearly_is_read_back(
    key: str, count: int, first: Measure, second: Measure, way: int, plain: bool
) -> None:
    a, b = (write_length(side, "in", plain) for side in (first, second))
    cloth = CLOTHS[key]
    text = (
        f"{key};{count};{a};{b}", f"{key}\t{a} x {b}\t{count}", f'{count} pieces {a}" x {b}" "{cloth}"',
        f"{key}: {count} of {a} × {b}", f"fabric,size,count\n{key},{a} by {b},{count}",
        f"{cloth}\n{count} strips {a} x {b}",
    )[way]  # fmt: skip
    (row,), faults = read_list(text, CLOTHS, "in")
    assert not faults
    assert (row.fabric, row.count, row.width, row.height) == (key, count, max(first, second), min(first, second))


@given(st.text(alphabet='S R24½x,;\t\n|/."pale sandof-0:é\0', max_size=60) | st.text(max_size=60))
def test_whatever_is_typed_every_line_is_read_or_told(text: str) -> None:
    rows, faults = read_list(text, CLOTHS, "in")
    assert rows or faults
    for row in rows:
        assert row.count > 0
        assert row.fabric in CLOTHS
        assert row.width >= row.height > 0
    for fault in faults:
        assert 1 <= fault.line <= max(1, len(text.splitlines()))
        assert fault.sentence
        assert not fault.sentence.endswith(".")
    assert len({each.line for each in (*rows, *faults)}) == len(rows) + len(faults)
