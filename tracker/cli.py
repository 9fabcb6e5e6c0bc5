"""The command line: `sewing-room` (same as `python -m tracker`)."""

from __future__ import annotations

import argparse
import json
import logging
import platform
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from tracker.demo import demo_plan_text, demo_taps
from tracker.exact.measure import exact
from tracker.fitting.block_shape import BlockShape, block_shape
from tracker.fitting.measures_table import read_size_asked, read_table
from tracker.fitting.one_size import OneSize
from tracker.fitting.ways import brought
from tracker.looks.preview import PlanFault, compile_whole, hold_to_cloth, read_whole
from tracker.plan.defaults import DEFAULTS
from tracker.plan.known_blocks import known_block, known_blocks
from tracker.plan.model import RECKONING, Plan
from tracker.plan.plan_reader import read_plan
from tracker.plan.problems import counted, either, shown
from tracker.plan.toml_text import MOST_BYTES
from tracker.printed.block_area import check_areas
from tracker.printed.compare import compare
from tracker.printed.list_findings import worst_first
from tracker.printed.list_table import ListRow, read_list, read_size
from tracker.progress.ledger import Progress
from tracker.proof.proof import prove
from tracker.quilt.buying import needs
from tracker.quilt.cloth_cutting import cut_quilt
from tracker.quilt.setting import CannotCut, set_quilt
from tracker.route.compiler import compile_plan
from tracker.safekeeping import logbook
from tracker.safekeeping import safety_commands as safety
from tracker.safekeeping.pairing import Pairing
from tracker.server.addresses import DEFAULT_PORT, AddressBook
from tracker.server.serving import serve
from tracker.store.quilts import Store, StoreFault, default_folder
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
from tracker.words.step_words import MANUALS, Words
from tracker.work.steps import Checklist
from tracker.work.whole_blocks import SetBlock

EXIT_BAD_PLAN = 2

log = logging.getLogger("tracker.cli")


class BadPlan(Exception):
    """A plan that cannot be used; `sentences` say why."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__("\n".join(sentences))
        self.sentences = list(sentences)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Out: the exit code (0; 1 for what could not be done; 2 for a plan with errors)."""
    options = _parser().parse_args(_with_command(sys.argv[1:] if arguments is None else list(arguments)))
    try:
        code: int = options.run(options)
    except BadPlan as fault:
        return _complain(fault, options)
    except StoreFault as fault:
        print(fault, file=sys.stderr)
        return 1
    except BrokenPipeError:
        # The reader of a pipe (head, less) has seen enough.
        sys.stderr.close()
        return 0
    return code


def _with_command(arguments: list[str]) -> list[str]:
    """`serve` is meant where no command is named."""
    return (
        ["serve", *arguments]
        if not arguments
        or (
            arguments[0].startswith("-")
            and arguments[0]
            not in (
                "-h",
                "--help",
            )
        )
        else arguments
    )


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="sewing-room", description="Turns a quilt-block plan into an exact checklist, followed on a phone."
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    served = commands.add_parser("serve", help="start the server and show the QR code (the default)")
    served.add_argument("--data", type=Path, metavar="DIR", help="folder for the quilts")
    served.add_argument("--port", type=_port, default=DEFAULT_PORT, help=f"port to listen on ({DEFAULT_PORT})")
    served.add_argument("--host", help="address to listen on, instead of all of this computer's")
    served.add_argument("--demo", action="store_true", help="with a demo quilt, in a folder of its own")
    served.set_defaults(run=_serve)
    for name, run, words in (
        ("check", _check, "say what a plan makes, or all its errors"),
        ("steps", _steps, "print the checklist of a plan"),
        ("cut", _cut, "print the pieces, strips and lengths of cloth for a plan"),
        ("quilt", _quilt, "print the sizes of the quilt: borders, binding, backing, batting"),
        ("press", _press, "print which way every seam is pressed, and what lies where"),
    ):
        command = commands.add_parser(name, help=words)
        command.add_argument("plan", type=Path, metavar="PLAN", help="plan file (TOML)")
        command.add_argument("--json", action="store_true", help="as JSON")
        command.set_defaults(run=run)
    proof = commands.add_parser(
        "prove", help="sew the checklist of a plan on exact cloth and compare it with the picture"
    )
    proof.add_argument("plan", type=Path, metavar="PLAN", help="plan file (TOML)")
    proof.set_defaults(run=_prove)
    compared = commands.add_parser("compare", help="compare a printed cutting list with a plan, or with a block's area")
    compared.add_argument(
        "files", type=Path, nargs="+", metavar="[PLAN] LIST", help="plan file and list (CSV or table)"
    )
    compared.add_argument("--json", action="store_true", help="as JSON")
    compared.add_argument("--block", metavar="SIZE", help="finished size of the block, to check a list without a plan")
    compared.add_argument("--unit", choices=("in", "cm"), default="in", help="unit of a list without a plan (in)")
    compared.add_argument("--seam", metavar="LENGTH", help="seam of a list without a plan (1/4 in, 0.75 cm)")
    compared.set_defaults(run=_compare)
    fitted = commands.add_parser("fit", help="say what blocks need that were measured, to be brought to one size")
    fitted.add_argument("plan", type=Path, metavar="PLAN", help="plan file (TOML)")
    fitted.add_argument("measures", type=Path, metavar="MEASURES", help="CSV: block,w1,w2,w3,h1,h2,h3[,d1,d2,maker]")
    fitted.add_argument("--size", metavar="LENGTH", help="the size to try, unfinished, instead of the one proposed")
    fitted.add_argument("--framed", action="store_true", help="the blocks were measured with their frames on")
    fitted.add_argument("--kind", metavar="KEY", help="which kind of block, where the quilt has several")
    fitted.add_argument("--json", action="store_true", help="as JSON")
    fitted.set_defaults(run=_fit)
    named = commands.add_parser("known", help="list the blocks known by name, or print one as a plan to start from")
    named.add_argument("name", nargs="*", metavar="NAME", help="a block's name, as people say it")
    named.add_argument("--json", action="store_true", help="as JSON")
    named.set_defaults(run=_known)
    safety.add_commands(commands)
    return parser


def _port(text: str) -> int:
    try:
        port = int(text)
    except ValueError:
        port = -1
    if not 1 <= port <= 65535:
        raise argparse.ArgumentTypeError(f"{shown(text)!r} is no port: give a whole number from 1 to 65535")
    return port


def _complain(fault: BadPlan, options: argparse.Namespace) -> int:
    if getattr(options, "json", False):
        print(json.dumps({"errors": fault.sentences}, ensure_ascii=False, indent=2))
    else:
        print("\n".join(fault.sentences), file=sys.stderr)
    return EXIT_BAD_PLAN


def _compiled(path: Path) -> tuple[Plan, Checklist]:
    """The plan in a file and its checklist. Raises BadPlan."""
    try:
        text = _beginning(path)
    except OSError as fault:
        raise BadPlan([f"{path}: {fault.strerror or fault}; name a plan file that can be read."]) from fault
    try:
        plan = read_whole(text, path.name)
        checklist = compile_whole(plan, f"{path.name}, ")
        hold_to_cloth(text, plan, checklist, path.name)
    except PlanFault as fault:
        raise BadPlan(fault.sentences) from fault
    return plan, checklist


def _beginning(path: Path) -> bytes:
    """A file, or enough of it to be seen as too large. OSError."""
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)


def _print_json(report: dict[str, Any]) -> int:
    print(json.dumps(report, ensure_ascii=False, indent=2))
    return 0


def _check(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    if options.json:
        return _print_json(check_report(plan, checklist))
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
        return _print_json(steps_report(plan, checklist))
    words = Words(plan, checklist)
    print(f"{plan.title}\n{MANUALS}")
    for number, step in enumerate((step for step in checklist.steps if step.count), 1):
        times = (
            f"{step.count} ×"
            if step.per == "quilt"
            else ("for the block" if step.count == 1 else f"for each of {step.count} blocks")
        )
        print(f"\n{number}. [{step.station}] {words.title(step)} ({times})")
        print(f"   {words.text(step)}\n   Check: {words.check(step)}")
        if words.caution(step):
            print(f"   {words.caution(step)}")
    return 0


def _cut(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    with _cloth_for(options.plan, plan):
        if options.json:
            return _print_json(cut_report(plan, checklist))
        setting = set_quilt(plan)
        cuttings = cut_quilt(plan, checklist, setting)
    words = Words(plan, checklist)
    pieces = checklist.pieces
    for cutting, need in zip(cuttings, needs(plan, cuttings), strict=True):
        print(f"{words.fabric(cutting.fabric)} ({cutting.fabric})")
        for piece in pieces:
            if piece.fabric == cutting.fabric:
                size = words.exact_figures((piece.width, piece.height))
                print(f"  {piece.count:4} of {size} {plan.unit}, {use_words(piece)}")
        for line in (*cutting_lines(words, cutting), need_text(words, need)):
            print(f"  {line}")
    for notice in checklist.notices:
        print(f"Note: {words.notice(notice)}")
    return 0


def _quilt(options: argparse.Namespace) -> int:
    plan, checklist = _compiled(options.plan)
    with _cloth_for(options.plan, plan):
        if options.json:
            return _print_json(quilt_report(plan))
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


def _compare(options: argparse.Namespace) -> int:
    if options.block is not None:
        return _compare_areas(options)
    if len(options.files) != 2:
        raise BadPlan(["Name a plan and a list, or a list alone and the block's finished size with --block."])
    path, printed = options.files
    plan, checklist = _compiled(path)
    rows = _rows(printed, plan, plan.unit)
    with _cloth_for(path, plan):
        if options.json:
            return _print_json(compare_report(plan, checklist, rows))
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
        seam = read_size(options.seam, unit)[0] if options.seam else defaults.seam
    except ValueError as fault:
        raise BadPlan([f"{fault}."]) from fault
    rows = _rows(options.files[0], None, unit)
    check = check_areas(rows, block, seam, unit)
    if options.json:
        return _print_json(areas_report(check, rows, options.unit))
    for row, shape in zip(rows, check.shapes, strict=True):
        print(taken_text(row, shape, unit))
    print(areas_text(check, unit))
    return 0


def _known(options: argparse.Namespace) -> int:
    """Every block that is known by name, or one of them as a plan."""
    if not options.name:
        found = known_blocks()
        if options.json:
            return _print_json(known_report(found))
        for line in known_lines(found):
            print(line)
        return 0
    name = " ".join(options.name)
    one = known_block(name)
    if one is None:
        raise BadPlan([not_known(name)])
    if options.json:
        return _print_json(known_report([one]))
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
        return _print_json(press_report(checklist))
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
        return _print_json(fit_report(done))
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


def _serve(options: argparse.Namespace) -> int:
    folder = options.data or default_folder()
    folder = folder / "demo" if options.demo and options.data is None else folder
    with logbook.kept(folder):
        return _opened_and_served(folder, options)


def _opened_and_served(folder: Path, options: argparse.Namespace) -> int:
    # Flask is needed only to serve, so that the other commands start at once.
    from tracker.web import begin, create_app, known_to

    store = Store.open(folder)
    for notice in store.notices():
        print(notice.said)
    if options.demo:
        add_demo(store)
    book = AddressBook(options.port, options.host)
    pairing = Pairing(store.room)
    log.info("opened on port %s, Python %s on %s", book.port, platform.python_version(), platform.system())
    app = create_app(store, book, pairing)
    begin(app)
    code = serve(app, store.close, book, sys.stdout, sys.stderr, pairing.path, known_to(pairing))
    log.info("closed, %s", "cleanly" if code == 0 else "could not listen")
    return code


def add_demo(store: Store) -> None:
    """Put the demo quilt into a store that has none yet."""
    if any(quilt.about.get("demo") for quilt in store.quilts()):
        return
    text = demo_plan_text()
    plan = read_plan(text, "demo").plan
    assert plan is not None
    progress = Progress(plan, compile_plan(plan))
    about = {
        "title": plan.title,
        "plan": text,
        "demo": True,
        "made_at": datetime.now(UTC).isoformat(timespec="seconds"),
        "reckoning": RECKONING,
    }
    store.add(about, demo_taps(progress))
