"""The command line: `sewing-room` (same as `python -m tracker`)."""

from __future__ import annotations

import argparse
import logging
import platform
import sys
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tracker import plan_commands
from tracker.demo import demo_plan_text, demo_taps
from tracker.plan.model import RECKONING
from tracker.plan.plan_reader import read_plan
from tracker.plan_commands import BadPlan, print_json
from tracker.progress.ledger import Progress
from tracker.route.compiler import compile_plan
from tracker.safekeeping import logbook
from tracker.safekeeping import safety_commands as safety
from tracker.safekeeping.pairing import Pairing
from tracker.server import desktop_command
from tracker.server.addresses import DEFAULT_PORT, AddressBook, port_given
from tracker.server.serving import open_in_browser, serve
from tracker.store.quilts import Store, StoreFault, default_folder
from tracker.words import plain_letters

EXIT_BAD_PLAN = 2

log = logging.getLogger("tracker.cli")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Out: the exit code (0; 1 for what could not be done; 2 for a plan with errors)."""
    plain_letters.write_all(sys.stdout, sys.stderr)
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
    named = arguments and (not arguments[0].startswith("-") or arguments[0] in ("-h", "--help"))
    return arguments if named else ["serve", *arguments]


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="sewing-room", description="Turns a quilt-block plan into an exact checklist, followed on a phone."
    )
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    served = commands.add_parser("serve", help="start the server and show the QR code (the default)")
    served.add_argument("--data", type=Path, metavar="DIR", help="folder for the quilts")
    served.add_argument("--port", type=port_given, default=DEFAULT_PORT, help=f"port to listen on ({DEFAULT_PORT})")
    served.add_argument("--host", help="address to listen on, instead of all of this computer's")
    served.add_argument("--demo", action="store_true", help="with a demo quilt, in a folder of its own")
    served.add_argument("--open", action="store_true", help="open the first page in this computer's browser")
    served.set_defaults(run=_serve)
    plan_commands.add_commands(commands)
    safety.add_commands(commands)
    desktop_command.add_command(commands)
    return parser


def _complain(fault: BadPlan, options: argparse.Namespace) -> int:
    if getattr(options, "json", False):
        print_json({"errors": fault.sentences})
    else:
        print("\n".join(fault.sentences), file=sys.stderr)
    return EXIT_BAD_PLAN


def _serve(options: argparse.Namespace) -> int:
    folder = options.data or default_folder()
    folder = folder / "demo" if options.demo and options.data is None else folder
    try:
        with logbook.kept(folder):
            return _opened_and_served(folder, options)
    except StoreFault as fault:
        if fault.kind != "in use" or not options.open:
            raise
    # Asked for once more, as by a second click on its entry: what runs already is shown.
    own = AddressBook(options.port, options.host).own_url()
    print(f"The sewing room is open already: {own}")
    open_in_browser(own)
    return 0


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
    opened = (lambda: open_in_browser(book.own_url(book.own_path(pairing.path)))) if options.open else None
    code = serve(app, store.close, book, sys.stdout, sys.stderr, pairing.path, known_to(pairing), opened)
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
    begun = (datetime.now(UTC) - timedelta(days=24)).isoformat(timespec="seconds")  # some weeks on the way
    about = {"title": plan.title, "plan": text, "demo": True, "made_at": begun, "reckoning": RECKONING}
    first, *taps = demo_taps(progress)
    store.add(about, [first | {"at": begun}, *taps])
