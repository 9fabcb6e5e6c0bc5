"""Steps read aloud by a teacher with the piece in her hand: which piece it is, how it lies, what comes after what."""

from __future__ import annotations

from functools import cache

import pytest
from freezing import PLANS
from test_names_told_apart import known_words
from test_teaching import words_of
from working import counted_work

from tracker.cli import main
from tracker.pattern.block_sheet import block_sheet
from tracker.pattern.handout_command import sewn_plan
from tracker.plan.plan_reader import read_plan
from tracker.route.compiler import compile_plan
from tracker.route.passes import passes
from tracker.route.working_order import UNITS
from tracker.words.pass_words import pass_title
from tracker.words.sheet_words import amounts_for, sheet_line, sheet_title
from tracker.words.step_words import Words
from tracker.work.steps import LayOut

STANDING = """
title = "Birds on a wire"
geese = "flip"

[fabrics.L]
name = "birds"
tone = 2
directional = true
upright = true

[fabrics.D]
name = "navy"
tone = 8

[blocks.wire]
cell = "2"
combine = true
picture = '''
D/L L\\D D
D   L   L/D
L   L/D D\\L
'''

[quilt]
block = "wire"
across = 2
down = 1
"""
"""A goose and half-squares of a cloth whose print has to stand."""


@cache
def standing() -> Words:
    plan = read_plan(STANDING.encode(), "standing").plan
    assert plan is not None
    return Words(plan, compile_plan(plan))


def test_pieces_whose_print_has_to_stand_are_told_by_how_it_lies() -> None:
    words = standing()
    titles = [words.title(step) for step in words.checklist.steps if step.count]
    birds = [title for title in titles if "birds square" in title]
    assert birds
    assert all(", print " in title for title in birds), birds
    assert not any(title.endswith((" of 2", " of 3", " of 4")) for title in titles), titles
    for step in words.checklist.steps:
        if step.count and step.operation in ("mark", "pair") and "birds square" in words.text(step):
            assert "as drawn" in words.text(step), words.text(step)


def any_words(name: str) -> Words:
    return words_of(name) if name in PLANS else known_words(name)


READ = [
    ("snails-trail", "Pair the half-made inner square, dark / light, round 1", "the middle turned as drawn."),
    ("snails-trail", "Pair the half-made inner square, light / dark, round 2", "round 1, right side up. On it lay 2"),
    ("snails-trail", "Trim the inner square, light / dark, round 2", "Trim to about 9 in square"),
    ("square-in-a-square", "Pair the half-made square in a square, light / dark", "together and the edges level."),
    ("lemoyne-star", "Sew pairs of diamonds, dark / medium", "Lay one on the other, as drawn, right sides together"),
    ("lemoyne-star", "Sew pairs of diamonds, dark / medium", "the star's middle toward you, dark lies on the left."),
    (
        "card-trick",
        "Pair the quarter-square triangle, first card / second card / third card / fourth card",
        "; pin where",
    ),
    ("snails-trail", "Pair the patchwork square, dark / light, 4 patches", "as drawn; pin where their seams meet."),
    (
        "snails-trail",
        "Press the patchwork square, dark / light, 4 patches",
        "Press to either side, as before: the half it",
    ),
    (
        "log-cabin",
        "Join the centre of Log cabin",
        "Sew log 1, light, 2½ × 1½ in, to the accent square in the middle, as",
    ),
    ("log-cabin", "Pin log 2, light, to the top", "edges level. Pin both ends. The ends meet"),
    ("log-cabin", "Pin log 12, dark, to the bottom", "edges level. Pin both ends and the middle. The ends meet"),
    (
        "borders_and_corners",
        "Cut across the strip set, plum / quince",
        "a line of the ruler on a seam, then cut across",
    ),
    ("basket-weave", "Join the pieces of Basket weave", "from top to bottom, ¼ in seams. Edges level"),
    ("bears-paw", "Press the rows of Bear's paw", "rows 1 and 3 are 14½ × 6½ in; row 2 is 14½ × 2½ in. If"),
    ("cake-stand", "Press the 3 parts of row 1 of Cake stand", "the 3 pieces in the middle are 4½ × 6½ in. If"),
    ("harbour_metric", "Sew the side strips of frame 2 to Hull", "to one side and another to the other"),
    (
        "kingfisher",
        "Cut night ink strips, 40 × 2½ in, for the binding",
        "Measure the first at both ends and in the middle, before the others: the same width all along, and not bent",
    ),
    (
        "kingfisher",
        "Cut night ink strips, 13½ × 1½ in, for frames",
        "Measure the first both ways, before the others; its corners",
    ),
    ("turning_tide", "Pair split quarter-square triangles, white foam / bottle green", "two others the square stands"),
    ("kingfisher", "Pair split quarter-square triangles, river teal / night ink / brick", "and the edges level."),
    ("sized_blocks", "Square Sevens", "Too small: do not cut, press it and measure again."),
    ("sized_blocks", "Square Bars", "Too small: do not cut, measure all blocks first."),
    ("squared_down", "Lay the layers", "Smooth from the middle outward and pin or baste. "),
    ("borders_and_corners", "Set out strips for the strip set, plum / quince", "Lay the strips side by side in this"),
    (
        "kingfisher",
        "Cut night ink strips, 13½ × 1½ in, for frames",
        "2 from a full width. Or every 1½ in across a strip 13½ in wide, if the cutting list has it so.",
    ),
    ("lemoyne-star", "Sew half stars, dark / medium", "Beside it both allowances are loose."),
]
"""Of a step of a known block what is said to do and to check."""


@pytest.mark.parametrize(("name", "title", "told"), READ)
def test_a_step_says_which_piece_it_is_and_how_it_lies(name: str, title: str, told: str) -> None:
    words = any_words(name)
    said = {words.title(step): f"{words.text(step)} {words.check(step)}" for step in words.checklist.steps}
    assert told in said[title]


def test_rounds_of_one_name_are_told_apart_in_passes_and_only_there() -> None:
    words = known_words("snails-trail")
    named = [pass_title(words, done) for done in passes(words.checklist)]
    assert "Pair and sew the half-made inner square, light / dark, round 2" in named
    one_round = known_words("economy")
    assert not any(", round " in one_round.title(step) for step in one_round.checklist.steps)


def test_on_paper_kinds_that_are_sewn_and_cut_each_their_own_way_are_named() -> None:
    words = words_of("evening_star")
    units = [done for done in passes(words.checklist) if done.section.part == UNITS]
    lines = {sheet_title(words, done): sheet_line(words, done.steps) for done in units}
    assert lines["Trim corners off snowballs; cut apart half-made flying geese"] == (
        "Snowballs: trim off the corner, ¼ in beyond the seam. The triangle cut off is a scrap. "
        "Half-made flying geese: cut on the line: 2 pieces from each."
    )
    assert "Half-made flying geese: ¼ in from the line" in lines["Pair and sew snowballs and half-made flying geese"]


def test_on_paper_pieces_say_how_their_print_lies() -> None:
    words = standing()
    marked = next(done for done in passes(words.checklist) if done.steps[0].operation == "mark")
    said = amounts_for(words, marked.steps, {step.id: 2 for step in marked.steps})
    assert "2 of L 2½ print " in said


@pytest.mark.parametrize(("name", "state"), [("snails-trail", "sewn"), ("pinwheel", "sewn, not cut apart")])
def test_only_what_is_cut_apart_next_is_called_not_cut_apart(name: str, state: str) -> None:
    words = known_words(name)
    sewn = next(step for step in words.checklist.steps if step.operation == "sew" and step.count)
    assert words.pile(sewn.gives[0].pile, 1).endswith(f", {state}")


def test_what_only_loses_its_corners_is_never_called_cut_apart() -> None:
    words = words_of("evening_star")
    flips = [pile for pile in words.checklist.piles.values() if words.thing(pile).startswith("snowball, dusk")]
    said = [words.state(pile) for pile in flips]
    assert said == ["paired", "sewn, corners not trimmed", "corners trimmed, still folded", "pressed"]


WALKS = [
    # trimmed in one walk, though half of them are sewn later than the others
    ("card-trick", "Trim half-square triangles and quarter-square triangles, 9 sets of cloths", "Press quarter-square"),
    # standing at the table, where the last cloth was cut
    ("snails-trail", "Cut squares into triangles, 2 cloths", "Cut light, 4 sizes"),
    (
        "posts_and_rails",
        "Pair and sew strip sets and half-made squares in squares, 2 sets of cloths",
        "Cut alder squares, 4 in, once",
    ),
]
"""A pass of a known block or a plan, and how the one before it begins."""


@pytest.mark.parametrize(("name", "title", "before"), WALKS)
def test_what_is_done_in_one_walk_is_not_done_in_two(name: str, title: str, before: str) -> None:
    words = any_words(name)
    named = [pass_title(words, done) for done in passes(words.checklist)]
    assert title in named, named
    assert named[named.index(title) - 1].startswith(before), named


def printed(capsys: pytest.CaptureFixture[str], *command: str) -> str:
    assert main(command) == 0
    return capsys.readouterr().out


LISTED = [
    # each command, a plan, and what its lines say
    (
        "steps",
        "evening_star",
        "Test the seam: of three strips cut 1½ in, sewn and pressed, the middle is 1 in.",
    ),
    ("steps", "evening_star", "Sew and measure one block first.\nThese are the usual cautions."),
    (
        "steps",
        "harbour_metric",
        "three strips cut 4 cm, sewn and pressed, the middle is 2.5 cm.",
    ),
    ("steps", "lighthouse", "each turned as in the block. Put a pin in the first piece of each row: it shows"),
    ("cut", "evening_star", "60 of 3½ × 2 in, for units, print across\n"),
    ("cut", "evening_star", "From fat quarter 2: 1 strip 4½ in wide, 4 of 4½ × 4½ in; 1 of 2½ × 2½ in.\n"),
    ("cut", "evening_star", "From fat quarter 2: 6 strips 2 in wide"),
    ("cut", "evening_star", "\n  4 fat quarters used; nothing to buy.\n"),
    ("cut", "evening_star", "From fat quarter 4: 3 strips 3½ in wide"),
    ("check", "evening_star", "60 made two at a time, which takes the least cloth: two 375 sq in, four 394"),
    ("check", "evening_star", "30 made four at a time, which takes the least cloth: flip 450 sq in and four 362"),
    ("press", "islands_on_point", "seen from the back:\n  it is one piece: no rows are joined\n"),
    ("press", "harbour_metric", "block: all down\n  frame 1, top and bottom: toward the strip\n"),
    ("steps", "toothed_edge", "Lay 4 long and 3 short pieces by turns from left to right, as drawn"),
]


@pytest.mark.parametrize(("command", "name", "told"), LISTED)
def test_lists_say_what_comes_first_and_from_what(
    command: str, name: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert told in printed(capsys, command, str(PLANS[name]))


def test_a_cutting_list_on_paper_says_how_a_print_lies() -> None:
    plan = read_plan(PLANS["evening_star"].read_bytes()).plan
    assert plan is not None
    sheet = block_sheet(sewn_plan(plan, compile_plan(plan)), "star")
    (cloth,) = [each for each in sheet.cloths if each["key"] == "B"]
    uses = {line["size"]: line["use"] for line in cloth["lines"]}
    assert uses["3½ × 2"] == "print across"
    assert uses["2½"] == ""


def test_how_prints_lie_in_many_sizes_is_looked_up_once() -> None:
    """Sixteen columns and rows, each of a width of its own: asked of each of 256 sizes, it took 256 times as long."""
    columns, rows = ([f"{number}/16" for number in range(begin, begin + 16)] for begin in (16, 48))
    cells = "\n".join(" ".join("SR"[(row + column) % 2] for column in range(16)) for row in range(16))
    plan = read_plan(
        'title = "sizes"\n[fabrics]\nS = { name = "sand", tone = 2, directional = true }\n'
        'R = { name = "red", tone = 7 }\n'
        f"[blocks.b]\ncolumns = {columns}\nrows = {rows}\npicture = '''\n{cells}\n'''\n"
        '[quilt]\nblock = "b"\nacross = 1\ndown = 1\n'
    ).plan
    assert plan is not None
    words = Words(plan, compile_plan(plan))
    with counted_work() as work:
        said = [words.print_in(piece) for piece in words.checklist.pieces if piece.fabric == "S"]
    assert said == ["print along"] * 128
    assert work[0] < 100 * 256


def test_what_is_cut_across_is_a_slice_and_two_rows_are_one_and_the_other() -> None:
    words = words_of("borders_and_corners")
    (laid,) = [step for step in words.checklist.steps if isinstance(step.action, LayOut) and step.per == "nine"]
    assert words.takes(laid) == ["2 slices of the strip set, plum / quince", "1 slice of the strip set, quince / plum"]
    (row,) = [each for each in words.checklist.units if each.fabrics == ("Q", "P")]
    assert words.unit(row).startswith("3 slices of a strip set, quince / plum")
    demo = words_of("kingfisher")
    (third,) = [step for step in demo.checklist.steps if demo.title(step) == "Join row 3 to the top"]
    assert demo.takes(third) == ["rows 1 and 2, pressed", "row 3 of the quilt, pressed"]


def test_strips_that_diamonds_are_cut_from_are_cut_across_the_cloth() -> None:
    words = known_words("lemoyne-star")
    cuts = [words.text(step) for step in words.checklist.steps if "cut lengths of" in words.text(step)]
    assert cuts
    assert not any("Or every" in text for text in cuts), cuts


@pytest.mark.parametrize("name", ["log-cabin", "courthouse-steps", "bright-hopes", "rail-fence", "nine-patch"])
def test_a_pin_marks_rows_only_where_rows_are_sewn(name: str) -> None:
    words = known_words(name)
    (laid,) = [step for step in words.checklist.steps if isinstance(step.action, LayOut)]
    assert ("each row" in (words.tip(laid) or "")) == (name == "nine-patch")
