"""The commands about plans: check, steps, cut, quilt, press, prove, compare and fit read one, known writes one."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tracker.exact.measure import exact
from tracker.fitting.block_shape import BlockShape, block_shape
from tracker.fitting.measures_table import read_size_asked, read_table
from tracker.fitting.one_size import OneSize
from tracker.fitting.ways import brought
from tracker.looks.preview import PlanFault, compile_whole, hold_to_use, read_whole
from tracker.pattern.handout_command import add_handout, write_handout
from tracker.plan.defaults import DEFAULTS
from tracker.plan.known_blocks import known_block, known_blocks
from tracker.plan.model import Plan
from tracker.plan.problems import counted, either, shown
from tracker.plan.toml_text import MOST_BYTES
from tracker.printed.block_area import check_areas
from tracker.printed.compare import compare
from tracker.printed.list_findings import worst_first
from tracker.printed.list_table import ListRow, read_list, read_seam, read_size
from tracker.proof.proof import prove
from tracker.quilt.borders import CannotCut
from tracker.quilt.buying import needs
from tracker.quilt.cloth_cutting import cut_quilt
from tracker.quilt.setting import set_quilt
from tracker.words import plain_letters
from tracker.words.json_report import (
    areas_report,
    check_report,
    compare_report,
    cut_report,
    fit_report,
    press_report,
    quilt_report,
    steps_report,
)
from tracker.words.known_words import known_lines, known_report, not_known
from tracker.words.printed_words import AGREES, areas_text, finding_text, taken_text
from tracker.words.quilt_summary import (
    cannot_cut,
    cutting_lines,
    need_text,
    quilt_lines,
    use_words,
)
from tracker.words.seam_words import pressing_lines
from tracker.words.size_words import fit_lines
from tracker.words.step_words import MANUALS, Words, begin_words
from tracker.work.steps import Checklist
from tracker.work.whole_blocks import SetBlock

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]
    Run = Callable[[argparse.Namespace], int]


class BadPlan(Exception):
    """A plan that cannot be used; `sentences` say why."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__("\n".join(sentences))
        self.sentences = list(sentences)


def add_commands(commands: Commands) -> None:
    """Add all of them to a parser's. Their `run` gives the exit code, 0 or 1, or raises BadPlan."""
    for name, run, words in (
        ("check", _check, "say what a plan makes, or all its errors"),
        ("steps", _steps, "print the checklist of a plan"),
        ("cut", _cut, "print the pieces, strips and lengths of cloth for a plan"),
        ("quilt", _quilt, "print the sizes of the quilt: borders, binding, backing, batting"),
        ("press", _press, "print which way every seam is pressed, and what lies where"),
    ):
        _add(commands, name, run, words, plan=True)
    words = "sew the checklist of a plan on exact cloth and compare it with the picture"
    _add(commands, "prove", _prove, words, plan=True, as_json=False)
    words = "compare a printed cutting list with a plan, or with a block's area"
    compared = _add(commands, "compare", _compare, words)
    compared.usage = (
        "%(prog)s [-h] [--json] PLAN LIST\n"
        "       %(prog)s [-h] [--json] --block SIZE [--unit {in,cm}] [--seam LENGTH] LIST"
    )
    compared.add_argument(
        "files", nargs="+", type=Path, metavar="FILE", help="plan file and list (lines or columns); or the list alone"
    )
    compared.add_argument("--block", metavar="SIZE", help="finished size of the block, to check a list without a plan")
    compared.add_argument("--unit", choices=("in", "cm"), default="in", help="unit of a list without a plan (in)")
    compared.add_argument("--seam", metavar="LENGTH", help="seam of a list without a plan (1/4 in, 0.75 cm)")
    words = "say what blocks need that were measured, to be brought to one size"
    fitted = _add(commands, "fit", _fit, words, plan=True)
    fitted.add_argument("measures", type=Path, metavar="MEASURES", help="CSV: block,w1,w2,w3,h1,h2,h3[,d1,d2,maker]")
    fitted.add_argument("--size", metavar="LENGTH", help="the size to try, unfinished, instead of the one proposed")
    fitted.add_argument("--framed", action="store_true", help="the blocks were measured with their frames on")
    fitted.add_argument("--kind", metavar="KEY", help="which kind of block, where the quilt has several")
    add_handout(commands).set_defaults(run=_handout)
    named = _add(commands, "known", _known, "list the blocks known by name, or print one as a plan to start from")
    named.add_argument("name", nargs="*", metavar="NAME", help="a block's name, as people say it")


def _add(
    commands: Commands, name: str, run: Run, words: str, plan: bool = False, as_json: bool = True
) -> argparse.ArgumentParser:
    """One command: whether it takes a plan file, and whether it can answer as JSON."""
    command = commands.add_parser(name, help=words)
    if plan:
        command.add_argument("plan", type=Path, metavar="PLAN", help="plan file (TOML)")
    if as_json:
        command.add_argument("--json", action="store_true", help="as JSON")
    command.set_defaults(run=run)
    return command


def _compiled(path: Path) -> tuple[Plan, Checklist]:
    """The plan in a file and its checklist. Raises BadPlan."""
    try:
        text = _beginning(path)
    except OSError as fault:
        raise BadPlan([f"{path}: {fault.strerror or fault}; name a plan file that can be read."]) from fault
    try:
        plan = read_whole(text, path.name)
        checklist = compile_whole(plan, f"{path.name}, ")
        hold_to_use(text, plan, checklist, path.name)
    except PlanFault as fault:
        raise BadPlan(fault.sentences) from fault
    return plan, checklist


def _beginning(path: Path) -> bytes:
    """A file, or enough of it to be seen as too large. OSError."""
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def print_json(report: dict[str, Any]) -> int:
    """Print an answer as JSON, letter for letter where the terminal or file has them. Out: the exit code."""
    text = json.dumps(report, ensure_ascii=False, indent=2)
    print(json.dumps(report, indent=2) if plain_letters.lacks(sys.stdout, text) else text)
    return 0


def _check(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    if options.json:
        return print_json(check_report(plan, checklist))
    words = Words(plan, checklist)
    print(plan.title)
    for row in checklist.blocks:
        name = plan.blocks[row.key].name
        print(f"  {row.count} × {name}: {words.size(row.unfinished)} unfinished, {words.size(row.finished)} finished")
    for unit in checklist.units:
        print(f"  {words.unit(unit)}")
    for notice in checklist.notices:
        print(f"Note: {words.notice(notice)}")
    return 0


def _steps(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    if options.json:
        return print_json(steps_report(plan, checklist))
    words = Words(plan, checklist)
    print(f"{plan.title}\n{begin_words(words)}\n{MANUALS}")
    for number, step in enumerate((step for step in checklist.steps if step.count), 1):
        times = (
            f"{step.count} ×"
            if step.per == "quilt"
            else ("for the block" if step.count == 1 else f"for each of {step.count} blocks")
        )
        print(f"\n{number}. [{step.station}] {words.title(step)} ({times})")
        print(f"   {' '.join(filter(None, (words.text(step), words.tip(step))))}\n   Check: {words.check(step)}")
        if caution := words.caution(step):
            print(f"   {caution}")
    return 0


def _cut(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    with _cloth_for(options.plan, plan):
        if options.json:
            return print_json(cut_report(plan, checklist))
        setting = set_quilt(plan)
        cuttings = cut_quilt(plan, checklist, setting)
    words = Words(plan, checklist)
    pieces = checklist.pieces
    for cutting, need in zip(cuttings, needs(plan, cuttings), strict=True):
        print(f"{words.fabric(cutting.fabric)} ({cutting.fabric})")
        for piece in pieces:
            if piece.fabric == cutting.fabric:
                size = words.exact_size((piece.width, piece.height))
                print(f"  {piece.count:4} of {size}, {use_words(words, piece)}")
        for line in (*cutting_lines(words, cutting), need_text(words, need)):
            print(f"  {line}")
    for notice in checklist.notices:
        print(f"Note: {words.notice(notice)}")
    return 0


def _quilt(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    with _cloth_for(options.plan, plan):
        if options.json:
            return print_json(quilt_report(plan))
        setting = set_quilt(plan)
    print(plan.title)
    for line in quilt_lines(Words(plan, checklist), setting):
        print(f"  {line}")
    return 0


@contextmanager
def _cloth_for(path: Path, plan: Plan) -> Iterator[None]:
    """Cloth that is too narrow is a fault of the plan."""
    try:
        yield
    except CannotCut as fault:
        raise BadPlan([f"{path.name}, {cannot_cut(fault, plan)}"]) from fault


_PLAN = re.compile(r"^\s*\[(?:fabrics\.|blocks\.|quilt\])", re.MULTILINE)
"""A table that every plan has, and no list."""


def _compare(options: argparse.Namespace) -> int:
    if options.block is not None:
        return _compare_areas(options)
    if len(options.files) != 2:
        raise BadPlan(["Name a plan and a list, or a list alone and the block's finished size with --block."])
    path, printed = options.files
    if _PLAN.search(_text(printed, "list")):
        raise BadPlan([f"{printed.name}: this is a plan, not a cutting list; name the plan first, then the list."])
    plan, checklist = _compiled(path)
    rows = _rows(printed, plan, plan.unit)
    with _cloth_for(path, plan):
        if options.json:
            return print_json(compare_report(plan, checklist, rows))
        findings = compare(plan, checklist, set_quilt(plan), rows)
    words = Words(plan, checklist)
    for finding in worst_first(findings):
        print(f"{'!' if finding.matters else ' '} {finding_text(words, finding)}")
    serious = sum(finding.matters for finding in findings)
    print(f"{counted(len(findings), 'difference')}, {serious} of them to put right." if findings else AGREES)
    return 0


def _compare_areas(options: argparse.Namespace) -> int:
    """A list without a plan: its finished areas against the block's."""
    if len(options.files) != 1:
        raise BadPlan(["With --block name one file, the list."])
    unit, defaults = options.unit, DEFAULTS[options.unit]
    try:
        block = read_size(options.block, unit)
        seam = read_seam(options.seam, block, unit) if options.seam else defaults.seam
    except ValueError as fault:
        raise BadPlan([f"{fault}."]) from fault
    if _PLAN.search(_text(options.files[0], "list")):
        raise BadPlan([f"{options.files[0].name}: this is a plan, not a cutting list; with --block name a list."])
    rows = _rows(options.files[0], None, unit)
    check = check_areas(rows, block, seam, unit)
    if options.json:
        return print_json(areas_report(check, rows, options.unit))
    for row, shape in zip(rows, check.shapes, strict=True):
        print(taken_text(row, shape, unit))
    print(areas_text(check, unit))
    return 0


def _handout(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    with _cloth_for(options.plan, plan):
        return write_handout(plan, checklist, options)


def _known(options: argparse.Namespace) -> int:
    """Every block that is known by name, or one of them as a plan."""
    if not options.name:
        found = known_blocks()
        if options.json:
            return print_json(known_report(found))
        for line in known_lines(found):
            print(line)
        return 0
    name = " ".join(options.name)
    one = known_block(name)
    if one is None:
        raise BadPlan([not_known(name)])
    if options.json:
        return print_json(known_report([one]))
    print(one.text, end="")
    return 0


def _text(path: Path, what: str) -> str:
    """The text of a file beside a plan: a "list", or "measures". Raises BadPlan."""
    try:
        return _beginning(path).decode("utf-8-sig")
    except OSError as fault:
        raise BadPlan([f"{path}: {fault.strerror or fault}; name a file with the {what} that can be read."]) from fault
    except UnicodeDecodeError as fault:
        raise BadPlan([f"{path.name}: this is not text in UTF-8; save the {what} as plain text in UTF-8."]) from fault


def _rows(path: Path, plan: Plan | None, unit: str) -> list[ListRow]:
    """The rows of a printed list, its cloths those of a plan. Raises BadPlan with all that is wrong with it."""
    text = _text(path, "list")
    cloths = plan.fabrics if plan else {}
    names = {key: fabric.name for key, fabric in cloths.items()}
    usable = {key: fabric.usable for key, fabric in cloths.items()}
    rows, faults = read_list(text, names if plan else None, unit, usable)
    if faults:
        raise BadPlan([f"{path.name}, line {fault.line}: {fault.sentence}." for fault in faults])
    return rows


def _press(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    if options.json:
        return print_json(press_report(checklist))
    words = Words(plan, checklist)
    print("\n".join(pressing_lines(words)))
    for notice in checklist.notices:
        if notice.kind.startswith("not nested"):
            print(f"Note: {words.notice(notice)}")
    return 0


def _fit(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    key = _kind(plan, options.kind)
    if options.framed and not plan.blocks[key].frames:
        raise BadPlan([f"Block {key} has no frame; leave --framed out."])
    shape = block_shape(plan, checklist, key, options.framed)
    numbers = [str(n) for n, each in enumerate(plan.quilt.blocks_in_order(), 1) if each == key]
    planned = [exact(length) for length in shape.planned]
    blocks, faults = read_table(_text(options.measures, "measures"), numbers, planned, plan.unit)
    if faults:
        raise BadPlan([f"{options.measures.name}, line {fault.line}: {fault.sentence}" for fault in faults])
    asked = None if options.size is None else _asked_size(options.size, shape)
    done = brought(plan, OneSize(shape, blocks), asked, options.framed)
    if options.json:
        return print_json(fit_report(done))
    print("\n".join(fit_lines(done)))
    return 0


def _kind(plan: Plan, named: str | None) -> str:
    """The kind of block that is meant. Raises BadPlan."""
    kinds = tuple(dict.fromkeys(plan.quilt.blocks_in_order()))
    if named in kinds:
        return str(named)
    if named is not None:
        raise BadPlan([f"There is no block “{shown(named)}” in the quilt; it has {either(kinds)}."])
    if len(kinds) > 1:
        raise BadPlan([f"The quilt has several kinds of block; name one with --kind: {either(kinds)}."])
    return kinds[0]


def _asked_size(text: str, shape: BlockShape) -> Fraction:
    """A size to try. Raises BadPlan."""
    try:
        return read_size_asked(text, shape)
    except ValueError as fault:
        raise BadPlan([str(fault)]) from fault


def _prove(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    verdict = prove(plan, checklist)
    if verdict.first is not None:
        print(f"{options.plan.name}: the proof fails at {verdict.first.sentence(plan.unit)}", file=sys.stderr)
        return 1
    steps = sum(step.count > 0 for step in checklist.steps)
    blocks = sum(row.count for row in checklist.blocks)
    counted = "the block shows its picture" if blocks == 1 else f"all {blocks} blocks show their pictures"
    whole = any(isinstance(step.action, SetBlock) for step in checklist.steps)
    quilt = " and the quilt has each in its place" if whole else ""
    print(f"{options.plan.name}: {steps} steps sewn; {counted}{quilt}, every size as printed.")
    return 0
