"""The pressing of whole quilts: the best there is, known truths, and how the checklist, its counts and words use it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from effort import THOROUGH, by_lot
from planning import FABRICS, joined_blocks, tapped
from pressing_oracles import best_by_program, best_by_trying, question_of, score
from random_quilts import random_quilt

from tracker.cli import main
from tracker.plan.model import Frame, Plan
from tracker.plan.plan_reader import read_plan
from tracker.pressing.meetings import HABITS
from tracker.pressing.quilt_pressing import letter, press_quilt
from tracker.pressing.seam_reader import FRAME_SIDES, LONG_ROW
from tracker.progress.ledger import Progress, Refused
from tracker.progress.tap_kinds import read_tap
from tracker.proof.proof import prove
from tracker.route.compiler import compile_plan
from tracker.words.json_report import press_report
from tracker.words.step_words import Words
from tracker.work.steps import About, Checklist, Join, PressSeams, Step
from tracker.work.things import Kind


def quilt_plan(pictures: dict[str, str], quilt: str, block: str = "", frame: str = "") -> Plan:
    """A plan of blocks by picture. `quilt` are the lines of its layout, `block` and `frame` more for each block."""
    fabrics = "".join(f'[fabrics.{key}]\nname = "{name}"\ntone = {tone}\n' for key, name, tone in FABRICS)
    blocks = ""
    for key, picture in pictures.items():
        own_frame = frame.replace("b.frame", f"{key}.frame")
        blocks += f"[blocks.{key}]\ncell = 2\n{block}\npicture = '''\n{picture}\n'''\n{own_frame}\n"
    reading = read_plan(f'title = "Trial"\n{fabrics}\n{blocks}\n[quilt]\n{quilt}\n')
    assert reading.plan is not None, reading.problems
    return reading.plan


def grid(rows: int, columns: int, cloths: str = "SR") -> str:
    """A chequered picture."""
    return "\n".join(" ".join(cloths[(r + c) % len(cloths)] for c in range(columns)) for r in range(rows))


# Nothing is better


@pytest.mark.parametrize("start", range(0, 500, 50))
def test_a_general_solver_finds_nothing_better(start: int) -> None:
    """500 quilts, small enough for an integer program; in a usual run a tenth of them."""
    for seed in by_lot(range(start, start + 50), 10):
        plan = random_quilt(Random(seed), most_cells=3 if seed % 3 else 4, most_places=4 if seed % 3 else 3)
        roots = joined_blocks(plan)
        pressed = press_quilt(plan, roots)
        assert pressed.proven
        assert score(plan, pressed) == best_by_program(question_of(plan, roots)), seed


def test_a_general_solver_finds_nothing_better_for_blocks_of_long_rows() -> None:
    long_rows = 0
    for seed in by_lot(range(120), 8):
        plan = random_quilt(Random(1000 + seed), most_cells=6, most_places=1)
        roots = joined_blocks(plan)
        question = question_of(plan, roots)
        found = score(plan, press_quilt(plan, roots))
        assert found == best_by_program(question), seed
        long_rows += any(len(row) >= LONG_ROW for seams in question.seams.values() for _, row in seams.rows)
    assert long_rows > 20 * THOROUGH


def test_trying_everything_finds_nothing_better() -> None:
    tried = 0
    for seed in by_lot(range(400), 5):
        plan = random_quilt(Random(seed), most_cells=3, most_places=4)
        roots = joined_blocks(plan)
        question = question_of(plan, roots)
        free = sum(seam.fixed is None for key in question.keys for seam in question.seams[key].seams)
        if 4 <= free <= 10:
            assert score(plan, press_quilt(plan, roots)) == best_by_trying(question), seed
            tried += 1
    assert tried > 40 * THOROUGH


def test_the_lot_brings_everything_that_counts() -> None:
    """Several versions, turns, meetings that cannot nest, mixed rows: each of them in some of the quilts tried."""
    scores = []
    for seed in range(500):
        plan = random_quilt(Random(seed), most_cells=3 if seed % 3 else 4, most_places=4 if seed % 3 else 3)
        scores.append((len(plan.blocks), score(plan, press_quilt(plan, joined_blocks(plan)))))
    assert sum(found.versions > kinds for kinds, found in scores) > 50
    assert sum(found.turns > 0 for _, found in scores) > 10
    assert sum(found.inside > 0 for _, found in scores) > 20
    assert sum(found.between > 0 for _, found in scores) > 10
    best = [found.against for _, found in scores if len(found.against) == len(HABITS["best"])]
    for habit, least in ((0, 1), (2, 10), (3, 50), (4, 20)):
        assert sum(against[habit] > 0 for against in best) > least


def test_impatience_is_owned_up_to_and_loses_no_nesting() -> None:
    plan = quilt_plan({"b": grid(4, 4)}, 'block = "b"\nacross = 6\ndown = 9')
    roots = joined_blocks(plan)
    hasty, patient = press_quilt(plan, roots, patience=1), press_quilt(plan, roots)
    assert (hasty.proven, patient.proven) == (False, True)
    assert score(plan, hasty).between == score(plan, patient).between == 0


# Known truths

UNLIKE = "S R S S\nR S R S\nS R S R\nR S R S"
"""Four rows, not the same upside down."""
ODD_UNLIKE = "S R K\nR S R\nS R S"
SASH = '[quilt.sash]\nfabric = "K"\ncut = 2'
FRAME = '[[blocks.b.frame]]\nfabric = "K"\ncut = 2'

TRUTHS = {
    "five rows edge to edge": ({"b": grid(5, 5)}, "across = 3\ndown = 4\nhalf_turns = false", 2, 0, 0),
    "five rows, the same upside down": ({"b": grid(5, 5)}, "across = 3\ndown = 4", 1, 6, 0),
    "odd rows, not the same upside down": ({"b": ODD_UNLIKE}, "across = 3\ndown = 4", 2, 0, 0),
    "a column of odd rows": ({"b": ODD_UNLIKE}, "across = 1\ndown = 4", 2, 0, 0),
    "even rows": ({"b": UNLIKE}, "across = 3\ndown = 4", 2, 0, 0),
    "a column of even rows": ({"b": UNLIKE}, "across = 1\ndown = 4", 1, 0, 0),
    "a row of one-row blocks": ({"b": "S R K"}, "across = 4\ndown = 1", 1, 0, 0),
    "sashed": ({"b": ODD_UNLIKE}, f"across = 3\ndown = 4\n{SASH}", 1, 0, 0),
    "one block": ({"b": ODD_UNLIKE}, "across = 1\ndown = 1", 1, 0, 0),
    "on point": ({"b": ODD_UNLIKE}, 'across = 3\ndown = 3\nsetting = "on point"\nsetting_fabric = "S"', 2, 0, 0),
}


@pytest.mark.parametrize("name", TRUTHS)
def test_known_truths(name: str) -> None:
    """Common practice: how many versions a quilt needs, how many blocks are turned, what cannot nest."""
    pictures, layout, versions, turns, unnested = TRUTHS[name]
    plan = quilt_plan(pictures, f'block = "b"\n{layout}')
    found = score(plan, press_quilt(plan, joined_blocks(plan)))
    assert (found.versions, found.turns, found.inside + found.between) == (versions, turns, unnested)
    assert found.against[HABITS["best"].index(("row joins", "long row"))] == 0


def test_the_two_versions_lie_chequered() -> None:
    plan = quilt_plan({"b": ODD_UNLIKE}, 'block = "b"\nacross = 4\ndown = 3')
    report = press_report(compile_plan(plan))
    assert [[place["version"] for place in row] for row in report["places"]] == [
        [0, 1, 0, 1],
        [1, 0, 1, 0],
        [0, 1, 0, 1],
    ]
    first, second = report["blocks"][0]["versions"]
    assert [seam["between"] for seam in first["seams"]] == [seam["between"] for seam in second["seams"]]
    # Of odd rows everything changes sides between the two.
    assert all(a["toward"] != b["toward"] for a, b in zip(first["seams"], second["seams"], strict=True))


QUARTERS = 'turns = [["0", "90"], ["270", "180"]]'


def test_quarter_turns_are_kept_in_every_place_and_over_and_over() -> None:
    plan = quilt_plan({"b": ODD_UNLIKE}, f'block = "b"\nacross = 3\ndown = 3\n{QUARTERS}')
    report = press_report(compile_plan(plan))
    assert [[place["turn"] for place in row] for row in report["places"]] == [[0, 90, 0], [270, 180, 270], [0, 90, 0]]
    # No other block is turned, though these look the same upside down.
    alike = quilt_plan({"b": grid(3, 3)}, f'block = "b"\nacross = 3\ndown = 1\n{QUARTERS}')
    assert [place.turn for place in compile_plan(alike).pressing.places[0]] == [0, 90, 0]


def test_a_list_that_turns_other_blocks_than_the_plan_does_is_found() -> None:
    plan = quilt_plan({"b": ODD_UNLIKE}, f'block = "b"\nacross = 2\ndown = 2\n{QUARTERS}')
    checklist = compile_plan(plan)
    assert prove(plan, checklist).holds
    for turns in ((), ((0, 0), (270, 180)), ((90, 0), (180, 270)), ((0, 90),)):
        verdict = prove(replace(plan, quilt=replace(plan.quilt, turns=turns)), checklist)
        assert "may not be turned" in {fault.kind for fault in verdict.faults}


def test_cloth_with_a_direction_in_a_turned_block_is_said() -> None:
    plan = quilt_plan({"b": ODD_UNLIKE, "c": "S S\nS S"}, f'blocks = [["b", "b"]]\n{QUARTERS}')
    directed = replace(plan, fabrics={**plan.fabrics, "R": replace(plan.fabrics["R"], directional=True)})
    (said,) = [Words(directed, compile_plan(directed)).notice(notice)
               for notice in compile_plan(directed).notices if notice.kind == "cloth turned"]  # fmt: skip
    assert said.endswith("which has a direction, is turned with it.")
    assert not [notice for notice in compile_plan(plan).notices if notice.kind == "cloth turned"]


def test_even_rows_differ_in_their_row_joins_alone() -> None:
    plan = quilt_plan({"b": UNLIKE}, 'block = "b"\nacross = 2\ndown = 1')
    first, second = press_report(compile_plan(plan))["blocks"][0]["versions"]
    for a, b in zip(first["seams"], second["seams"], strict=True):
        assert (a["toward"] != b["toward"]) == a["between"][0].startswith("row")


def test_two_kinds_by_turns_need_one_version_each() -> None:
    plan = quilt_plan({"b": ODD_UNLIKE, "c": "R S S\nS R S\nK S K"}, 'blocks = [["b", "c", "b"], ["c", "b", "c"]]')
    found = score(plan, press_quilt(plan, joined_blocks(plan)))
    assert (found.versions, found.between) == (2, 0)


def test_where_the_cloth_of_frames_meets_itself_nobody_minds() -> None:
    """Frame seams go toward the strips, on every block alike; two meet at each side strip below another."""
    plan = quilt_plan({"b": grid(3, 3)}, 'block = "b"\nacross = 3\ndown = 2', frame=FRAME)
    checklist = compile_plan(plan)
    assert (len(checklist.pressing.blocks[0].versions), checklist.pressing.unnested) == (1, 0)
    assert not [notice for notice in checklist.notices if notice.kind == "not nested between"]
    assert prove(plan, checklist).holds


def test_frames_of_two_cloths_are_pressed_so_that_they_nest() -> None:
    plan = quilt_plan({"b": grid(3, 3), "c": grid(3, 3)}, 'blocks = [["b", "c"], ["c", "b"]]', frame=FRAME)
    blocks = {key: replace(block, frames=(Frame(cloth, block.frames[0].cut),))
              for (key, block), cloth in zip(plan.blocks.items(), "KS", strict=True)}  # fmt: skip
    plan = replace(plan, blocks=blocks)
    checklist = compile_plan(plan)
    assert checklist.pressing.unnested == 0
    assert [len(block.versions) for block in checklist.pressing.blocks] == [1, 1]
    presses = [step.action for step in block_steps(checklist) if isinstance(step.action, PressSeams)]
    sides = [press.seams[0] for press in presses if press.seams[0][0].between == FRAME_SIDES[0]]
    assert len(sides) == 2
    assert sum(seam.toward.kind is Kind.BLOCK for seams in sides for seam in seams) == 2
    assert prove(plan, checklist).holds


def test_many_blocks_are_pressed_as_few_are() -> None:
    for picture, turns in ((grid(5, 5), 800), (ODD_UNLIKE, 0)):
        plan = quilt_plan({"b": picture}, 'block = "b"\nacross = 40\ndown = 40')
        pressed = press_quilt(plan, joined_blocks(plan))
        found = score(plan, pressed)
        assert pressed.proven
        assert (found.versions, found.turns, found.between) == (1 if turns else 2, turns, 0)


# In the checklist

TWO_VERSIONS = quilt_plan({"b": ODD_UNLIKE}, 'block = "b"\nacross = 3\ndown = 2')


def block_steps(checklist: Checklist) -> list[Step]:
    """The steps of single blocks until they are finished."""
    return [step for step in checklist.steps if step.topic.about is About.BLOCK]


def test_only_what_differs_is_apart_and_every_block_has_each_kind_of_step_once() -> None:
    checklist = compile_plan(TWO_VERSIONS)
    progress = Progress(TWO_VERSIONS, checklist)
    shared = [step for step in block_steps(checklist) if step.version is None]
    assert [type(step.action).__name__ for step in shared] == ["LayOut", "Join", "Join", "Join"]
    assert all(step.count == 6 for step in shared)
    apart = [step for step in block_steps(checklist) if step.version is not None]
    assert {step.version: (step.blocks, step.count) for step in apart} == {"A": ((1, 3, 5), 3), "B": ((2, 4, 6), 3)}
    operations = [[step.operation for step in progress.counts.block_steps("b", number)] for number in range(1, 7)]
    assert all(each == operations[0] for each in operations)
    assert operations[0].count("press") == 2


def test_even_rows_part_only_at_the_last_pressing() -> None:
    plan = quilt_plan({"b": UNLIKE}, 'block = "b"\nacross = 2\ndown = 1')
    apart = [step.operation for step in block_steps(compile_plan(plan)) if step.version == "B"]
    assert apart == ["press", "measure", "square"]


def test_a_version_s_step_is_not_done_for_a_block_of_another() -> None:
    checklist = compile_plan(TWO_VERSIONS)
    progress = Progress(TWO_VERSIONS, checklist)
    press = {step.version: step for step in checklist.steps if isinstance(step.action, PressSeams) and step.version}
    for step in progress.counts.steps.values():
        if step.per == "quilt":
            progress.record(read_tap({"id": step.id, "do": "done", "step": step.id, "times": step.count}))
    for step in block_steps(checklist):
        if step.version is None:
            tapped(progress, {"id": step.id, "do": "done", "step": step.id, "times": 6})
    rows = {step.version: step for step in reversed(block_steps(checklist)) if isinstance(step.action, PressSeams)}
    assert progress.counts.ready_blocks(rows["A"]) == [1, 3, 5]
    assert progress.counts.ready_blocks(rows["B"]) == [2, 4, 6]
    for version, wrong in (("A", 2), ("B", 1)):
        with pytest.raises(Refused, match="no such block"):
            progress.record(read_tap({"id": "wrong", "do": "done", "step": press[version].id, "blocks": [wrong]}))
    tapped(progress, {"id": "right", "do": "done", "step": rows["B"].id, "times": 2})
    assert [progress.counts.stage(number).done for number in range(1, 7)] == [4, 5, 4, 5, 4, 4]
    assert len({progress.counts.stage(number).steps for number in range(1, 7)}) == 1


def test_ids_are_as_before_where_there_is_one_version_and_for_the_first_of_several() -> None:
    one = compile_plan(quilt_plan({"b": ODD_UNLIKE}, 'block = "b"\nacross = 1\ndown = 1'))
    several = {step.id for step in compile_plan(TWO_VERSIONS).steps if not step.of_the_quilt}
    assert {step.id for step in one.steps} <= several
    assert {step_id[-2:] for step_id in several - {step.id for step in one.steps}} == {"~B"}


def test_words_tell_versions_apart() -> None:
    checklist = compile_plan(TWO_VERSIONS)
    words = Words(TWO_VERSIONS, checklist)
    titles = [words.title(step) for step in block_steps(checklist)]
    assert len(set(titles)) == len(titles)
    assert "Press the rows of b, version A" in titles
    texts = [words.text(step) for step in block_steps(checklist) if isinstance(step.action, PressSeams)]
    assert texts[0].startswith("Version A, blocks 1, 3 and 5. What a seam goes toward lies on top")
    assert any(
        text.startswith("Version B, blocks 2, 4 and 6. Press as before, what a seam goes toward on top.")
        for text in texts
    )
    assert words.pile(block_steps(checklist)[-1].gives[0].pile, 2) == "2 bs, version B, squared"
    (said,) = [words.notice(notice) for notice in checklist.notices if notice.kind == "versions"]
    assert said.endswith("A (blocks 1, 3 and 5) and B (blocks 2, 4 and 6).")


def test_strips_that_meet_are_pinned_before_they_are_joined() -> None:
    plan = quilt_plan({"b": "S R S\nR S R"}, 'block = "b"\nacross = 1\ndown = 1', block="strips = true")
    operations = [step.operation for step in block_steps(compile_plan(plan))]
    assert operations == ["lay out", "pin", "join", "press", "measure", "square"]
    assert isinstance(block_steps(compile_plan(plan))[2].action, Join)


def test_checklists_with_versions_stand_the_proof() -> None:
    versions = 0
    for seed in range(60):
        plan = random_quilt(Random(seed), 3, 4)
        checklist = compile_plan(plan)
        verdict = prove(plan, checklist)
        assert verdict.holds, verdict.first
        versions += any(len(block.versions) > 1 for block in checklist.pressing.blocks)
    assert versions > 5


# The report and the command


def test_parts_are_named_by_their_top_left_cell_or_their_row() -> None:
    plan = quilt_plan({"b": "S R <\n^ K S\n^ S K"}, 'block = "b"\nacross = 1\ndown = 1')
    (version,) = press_report(compile_plan(plan))["blocks"][0]["versions"]
    between = [seam["between"] for seam in version["seams"]]
    assert ["r1c1", "r1c2"] in between
    assert ["r1c2", "r2c2"] in between
    assert all(seam["toward"] in seam["between"] for seam in version["seams"])
    rows = quilt_plan({"b": "S R\nR S"}, 'block = "b"\nacross = 1\ndown = 1')
    (version,) = press_report(compile_plan(rows))["blocks"][0]["versions"]
    assert version["seams"][-1]["between"] == ["row 1", "row 2"]


def test_letters_go_on_after_z() -> None:
    assert [letter(number) for number in (0, 1, 25, 26, 27, 701, 702)] == ["A", "B", "Z", "AA", "AB", "ZZ", "AAA"]


def test_the_command_prints_every_version_and_the_quilt(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "plan.toml"
    text = 'title = "T"\n[fabrics.S]\nname = "s"\ntone = 2\n[fabrics.R]\nname = "r"\ntone = 6\n[blocks.b]\ncell = 2\n'
    path.write_text(text + "picture = '''\nS R\nR S\n'''\n[quilt]\nblock = \"b\"\nacross = 3\ndown = 1\n")
    assert main(["press", str(path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "b, version A (blocks 1, 2 and 3), seen from the back:"
    assert lines[-2:] == ["In the quilt (^ is turned half round):", "  A  A^  A"]
    assert main(["press", str(path), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["places"] == [[{"block": "b", "version": 0, "turn": turn} for turn in (0, 180, 0)]]
    assert (report["unnested"], report["proven"]) == (0, True)
