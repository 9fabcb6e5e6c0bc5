"""What stands on pattern sheets, and the file that is handed out: from one block's amounts to what the proof found."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from effort import by_lot
from quilting import quilt_plan

from tracker.cli import main
from tracker.demo import PLAN_FILE
from tracker.drawing.printed_size import in_print
from tracker.exact.measure import read_length
from tracker.looks.preview import compile_whole, read_whole
from tracker.pattern.block_sheet import SewnPlan, block_sheet
from tracker.pattern.handout import NOT_PROVED, PROVED, Heading, handout, one_file
from tracker.pattern.handout_command import sewn_plan
from tracker.pattern.quilt_sheet import quilt_sheet
from tracker.pattern.sheet_room import HIGH, Content, best_density, lines_of, sheets_needed
from tracker.pattern.some_blocks import has_strip_sets, some_blocks_of
from tracker.plan.known_blocks import FOLDER, begun, known_block
from tracker.quilt.cloth_cutting import BLOCK_USES
from tracker.route.passes import passes
from tracker.route.working_order import BLOCKS, UNITS
from tracker.words.quilt_lines import lines_of_quilt

PLANS = Path(__file__).parent / "plans"
ONE_KIND = [
    PLAN_FILE,
    *(
        PLANS / f"{name}.toml"
        for name in (
            "valid/lighthouse", "valid/evening_star", "valid/harbour_metric", "valid/turning_tide", "blocks/log-7a",
            "blocks/saw-8a", "blocks/pinstar-12", "blocks/nine-6b",
        )
    ),
]  # fmt: skip
"""Plans with one kind of block: every way of making units, frames, metric, a log cabin."""


@cache
def sewn(path: Path) -> SewnPlan:
    plan = read_whole(path.read_text("utf-8"), path.name)
    return sewn_plan(plan, compile_whole(plan))


@pytest.mark.parametrize("path", by_lot(ONE_KIND), ids=lambda path: path.stem)
def test_all_blocks_of_a_quilt_take_what_its_cutting_list_has(path: Path) -> None:
    given = sewn(path)
    (row,) = given.checklist.blocks
    wanted = some_blocks_of(given.checklist, row.key, row.count)
    assert list(wanted.pieces) == [piece for piece in given.checklist.pieces if piece.use in BLOCK_USES]


@pytest.mark.parametrize("path", by_lot(ONE_KIND), ids=lambda path: path.stem)
def test_one_block_takes_what_a_quilt_of_one_block_takes(path: Path) -> None:
    given = sewn(path)
    (row,) = given.checklist.blocks
    wanted = some_blocks_of(given.checklist, row.key, 1)
    if has_strip_sets(given.checklist, wanted) or "best" in (given.plan.half_square, given.plan.geese):
        return  # a strip set is as long as all blocks need, and the best way to make units hangs on how many there are
    alone = replace(given.plan.quilt, places=((row.key,),), turns=())
    single = compile_whole(replace(given.plan, quilt=alone))
    pieces = {replace(piece, fixed=False): piece.count for piece in wanted.pieces}
    assert pieces == {replace(p, fixed=False): p.count for p in single.pieces if p.use in BLOCK_USES}


@pytest.mark.parametrize("path", by_lot([*ONE_KIND, PLANS / "valid/turned_rails.toml"]), ids=lambda path: path.stem)
def test_every_pass_of_a_block_is_on_a_card_in_the_order_of_the_work(path: Path) -> None:
    given = sewn(path)
    for row in given.checklist.blocks:
        sheet = block_sheet(given, row.key)
        times = some_blocks_of(given.checklist, row.key, 1).times
        doing = [
            step.id
            for done in passes(given.checklist)
            if done.section.part in (UNITS, BLOCKS)
            for step in done.steps
            if step.per == row.key or (step.per == "quilt" and times.get(step.id))
        ]
        told = [step.id for card in sheet.cards for step in card.steps]
        first = [step for step in doing if step in told]
        assert sorted(told) == sorted(first)
        left_out = {step.version for step in given.checklist.steps if step.id in set(doing) - set(told)}
        assert None not in left_out  # only what is alike in the other versions
        assert [card.number for card in sheet.cards] == list(range(1, len(sheet.cards) + 1))
        assert all(card.drawing and card.title for card in sheet.cards)


def test_the_demos_sheet_names_what_a_pupil_needs() -> None:
    """Worked by hand from the block's picture: four plain corners, eight half-squares, four quarter-squares ..."""
    sheet = block_sheet(sewn(PLAN_FILE), "kingfisher")
    cut = {cloth["key"]: [(line["one"], line["size"]) for line in cloth["lines"]] for cloth in sheet.cloths}
    assert cut["S"] == [(1, "3½"), (4, "3"), (4, "2½")]
    assert cut["K"] == [(2, "13½ × 1½"), (2, "11½ × 1½"), (1, "3½"), (1, "2½")]
    amounts = [card.amounts for card in sheet.cards]
    assert amounts[1] == "4 of S 3 on T 3, 1 of R 3½ on T 3½, 1 of S 3½ on T 3½, 1 of R 3½ on K 3½"
    assert [card.size for card in sheet.cards if card.station == "table"][-1] == "12½"
    assert (sheet.finished, sheet.unfinished) == ("12 in square", "12½ in square")


@pytest.mark.parametrize("name", ["granny square", "card trick", "storm at sea", "corn and beans", "wild goose chase"])
def test_a_block_of_many_passes_has_two_sheets(name: str) -> None:
    """What is pressed, or cut apart, right after it was sewn shares its card; only with what it was done to."""
    known = known_block(name)
    assert known is not None
    sheet = block_sheet(sewn(FOLDER / f"{known.block.key}.toml"), known.block.key)
    assert len(sheet.cards) <= 20
    for card in sheet.cards:
        given = {flow.pile for step in card.steps for flow in step.gives}
        later = [step for step in card.steps if step.operation != card.steps[0].operation]
        assert not later or any(flow.pile in given for step in later for flow in step.takes)
    assert not any(re.search("Press [a-z]/", card.line) for card in sheet.cards)
    cut = " ".join(card.line for card in sheet.cards if card.title.startswith("Cut"))
    assert len(cut) < 800  # several cloths cut alike are told once


@pytest.mark.parametrize(("quarters", "told"), [(1, "1 fat quarter"), (2, "2 fat quarters")])
def test_cloth_is_told_by_fat_quarters_where_they_are_used(quarters: int, told: str) -> None:
    """By hand, of a fat quarter of 17 1/2 x 20 1/2 in: strips of 2 1/2 in, seven of them with eight squares each."""
    plan = quilt_plan(("2", "2"), 8 * quarters, 7, cloth=f"fat_quarters = {quarters}")
    sheet = quilt_sheet(sewn_plan(plan, compile_whole(plan)))
    assert sheet is not None
    assert [cloth["length"] for cloth in sheet.cloths] == [told]


def test_patches_that_are_cut_apart_are_told_by_their_size() -> None:
    kite = block_sheet(sewn(PLANS / "valid/kites_and_points.toml"), "kite")
    assert kite.cards[0].title == "Cut rectangles"
    assert kite.cards[0].amounts.startswith("1 of R 4⅛ × 3¼, 1 of S 4⅛ × 3¼")


class _Read(HTMLParser):
    """The tags and attributes of a page, and its words."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.leads: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.leads += [value or "" for name, value in attrs if name in ("href", "src", "action", "style")]
        assert not any(name.startswith("on") for name, _ in attrs)

    def handle_data(self, data: str) -> None:
        self.words += data


def read(page: str) -> _Read:
    found = _Read()
    found.feed(page)
    return found


@pytest.mark.parametrize("name", ["valid/lighthouse", "valid/whirl_on_point", "blocks/rail-7"])
def test_the_file_needs_nothing_but_itself(name: str) -> None:
    page = one_file(handout(sewn(PLANS / f"{name}.toml"), Heading("A & <b>b</b>", "today", "Ines"), True))
    found = read(page)
    assert not found.tags & {"script", "a", "link", "img", "iframe", "form"}
    assert all(lead.startswith("#") for lead in found.leads)
    assert "url(http" not in page
    assert "@import" not in page
    assert "A & <b>b</b>" in found.words


def test_the_mark_says_whether_it_is_proved() -> None:
    given = sewn(PLANS / "valid/lighthouse.toml")
    for proved, said, other in ((True, PROVED, NOT_PROVED), (False, NOT_PROVED, PROVED)):
        words = read(one_file(handout(given, Heading(), proved))).words
        assert said in words
        assert other not in words
        assert ("✓" in words) is proved


def test_the_quilt_on_paper_is_said_in_few_words_with_every_size_to_check() -> None:
    demo, toothed = (quilt_lines_of(name) for name in ("kingfisher", "toothed_edge"))
    rows = "Join the rows of the quilt, 4 in all; press rows 1 and 3 all to the left; rows 2 and 4 all to the right"
    assert demo[f"{rows} (seen from the back)"] == "36½ × 12½ in"
    assert (demo["Square the top"], demo["Square the quilt"]) == ("36½ × 48½ in", "40½ × 52½ in")
    assert demo["Cut the side strips of border 1 to the measured length"] == "", "that is what the top measures"
    rows = "Join the rows of the quilt, 7 in all; press toward the sash"
    assert toothed[rows] == "rows 22½ × 6½ in, sash rows 22½ × 2½ in"
    assert toothed["Join the side strips of border 1; press toward the longer piece"] == "30½ × 2½ in"
    on_point = sewn(PLANS.parent / "frozen/plans/snow_fence.toml")
    sizes = dict(lines_of_quilt(on_point.words, passes(on_point.checklist))).values()
    assert "sash rows 21½ × 1½ in and 28½ × 1½ in" in sizes, "rows of blocks have triangles at their ends"


def quilt_lines_of(name: str) -> dict[str, str]:
    """The lines of a quilt's sheet, and the size after each."""
    given = sewn(PLAN_FILE if name == "kingfisher" else PLANS / f"valid/{name}.toml")
    return dict(lines_of_quilt(given.words, passes(given.checklist)))


def test_a_sheet_says_when_frames_are_cut_that_are_cut_to_fit() -> None:
    said = "Strips for frames are cut to fit: not before the first block measures 19 cm square."
    for name, fits in (("harbour_metric", True), ("lighthouse", False)):
        words = read(one_file(handout(sewn(PLANS / f"valid/{name}.toml"), Heading(), True))).words
        assert (said in words) == fits
        assert ("cut to fit" in words) == fits


def test_blocks_of_one_unit_have_their_sheets() -> None:
    given = handout(sewn(PLANS.parent / "frozen/plans/snow_fence.toml"), Heading(), True)
    assert [sheet.name for sheet in given.blocks] == ["Snowball", "Square in a square"]
    assert all(sheet.cards for sheet in given.blocks)


def test_a_round_with_a_seam_left_open_is_told_seam_by_seam() -> None:
    sheet = block_sheet(sewn(FOLDER / "bright-hopes.toml"), "bright-hopes")
    titles = [card.title for card in sheet.cards]
    assert titles[1:5] == [
        "Begin the first seam",
        "Press the begun seam",
        "Sew on the medium rectangle at the upper right",
        "Press the seam of the medium rectangle at the upper right",
    ]
    assert titles[9:11] == ["Close the first seam", "Press the closed seam"]


def test_a_block_of_patches_on_point_is_cut_and_made_on_paper() -> None:
    """By hand, as drawn: 1, 4 and 8 patches; eight triangles at the edges from two squares, four corners from two."""
    known = known_block("granny square")
    assert known is not None
    plan = begun(known, read_length("8 1/2", "in"), {}, 2, 2)
    (sheet,) = handout(sewn_plan(plan, compile_whole(plan)), Heading(), True).blocks
    cut = {cloth["key"]: [line["one"] for line in cloth["lines"]] for cloth in sheet.cloths}
    assert cut == {"A": [1], "M": [4], "D": [8], "L": [2, 2]}
    assert sheet.count == 4
    assert sheet.cards[-1].title == "Trim on-point patchworks"
    assert all(card.drawing for card in sheet.cards)


@pytest.mark.parametrize(
    ("picture", "cut", "titles"),
    [
        # By hand: 6 teeth on each side and 7 above and below, 26: 13 pairs of squares of 2 + 7/8, a little large 3.
        ("A/B", {"A": ("3", 13), "B": ("3", 13)}, ["Mark", "Pair and sew", "Cut apart", "Press", "Trim"]),
        # Sides begin and end differently, the others alike.
        ("A B", {"A": ("2½", 14), "B": ("2½", 12)}, []),
    ],
)
def test_the_units_of_a_pieced_border_are_cut_and_made_on_paper(
    picture: str, cut: dict[str, tuple[str, int]], titles: list[str]
) -> None:
    more = f'[[quilt.border]]\nfinished = "2"\npicture = \'{picture}\'\ncorners = "B"\n'
    plan = quilt_plan(("14", "12"), 1, 1, more)
    given = handout(sewn_plan(plan, compile_whole(plan)), Heading(), True)
    assert given.quilt is not None
    pieces = given.quilt.border
    assert pieces is not None
    assert {each["key"]: (line["size"], line["every"]) for each in pieces["cloths"] for line in each["lines"]} == cut
    assert [card.title.removesuffix(" half-square triangles") for card in pieces["cards"]] == [
        "Mark squares" if title == "Mark" else title for title in titles
    ]
    if titles:
        assert [card.amounts for card in pieces["cards"]][1] == "13 of A 3 on B 3"
        assert pieces["cards"][-1].size == "2½"
    words = read(one_file(given)).words
    assert "Units of the pieced border" in words
    assert all(card.title in words for card in pieces["cards"])


def test_some_blocks_are_without_the_quilt() -> None:
    given = handout(sewn(PLANS / "valid/lighthouse.toml"), Heading(), True, count=3)
    assert given.quilt is None
    assert [sheet.count for sheet in given.blocks] == [3]


def test_the_command_writes_a_file_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "sheets.html"
    asked = ["handout", str(PLANS / "valid/lighthouse.toml"), str(file), "--name", "Ines", "--blocks", "3"]
    assert main(asked) == 0
    assert PROVED in capsys.readouterr().out
    assert "Ines" in read(file.read_text("utf-8")).words
    before = file.read_bytes()
    assert main(asked) == 1
    assert "is there already" in capsys.readouterr().err
    assert file.read_bytes() == before
    assert main([*asked[:2], str(tmp_path / "none" / "x.html")]) == 1
    assert "name a file that can be written" in capsys.readouterr().err
    assert main(["handout", str(PLANS / "broken" / next((PLANS / "broken").glob("*.toml")).name), str(file)]) == 2


@pytest.mark.parametrize("count", ["0", "-1", "two", "½", "100000"])
def test_a_number_of_blocks_is_a_number(count: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["handout", str(PLAN_FILE), str(tmp_path / "x.html"), f"--blocks={count}"])
    assert f"'{count}' is no number of blocks: give a whole number from 1 to 10,000" in capsys.readouterr().err


def test_two_blocks_are_both(tmp_path: Path) -> None:
    file = tmp_path / "two.html"
    assert main(["handout", str(PLAN_FILE), str(file), "--blocks", "2"]) == 0
    words = " ".join(read(file.read_text("utf-8")).words.split())
    assert "how many for 2. The length beside a cloth is for both, with what is lost." in words


def test_room_on_a_sheet() -> None:
    said = ("", "ten signs.", "ten signs. more", "abcdefghijklmnop")
    assert [lines_of(words, 170, 17) for words in said] == [0, 1, 2, 1]
    assert sheets_needed(0, [HIGH]) == 1
    assert sheets_needed(1, [HIGH]) == 2
    assert sheets_needed(HIGH // 2, [HIGH // 2, 100, HIGH]) == 3
    few, many = (best_density(1000, [Content("Sew", "2½", "words " * 5, (1000, 900))] * count) for count in (3, 32))
    assert (few.columns, many.columns) == (3, 4)
    assert few.height > many.height


def test_figures_grow_in_print_and_small_letters_are_left_out() -> None:
    drawing = (
        '<svg viewBox="0 0 1000 500"><text class="figure" x="1" font-size="64">2½</text>'
        '<text x="2" font-size="20">S</text><text x="3" font-size="60">R</text></svg>'
    )
    printed = in_print(drawing, 42, 30)
    assert 'width="42.0mm" height="21.0mm"' in printed
    assert 'font-size="84">2½' in printed
    assert ">S<" not in printed
    assert ">R<" in printed
    assert "2½" not in in_print(drawing, 20, 10)
