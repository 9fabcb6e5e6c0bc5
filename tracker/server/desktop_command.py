"""The command that puts the sewing room among this computer's programs: `sewing-room desktop`."""

from __future__ import annotations

import argparse
import os
import platform
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tracker import assets
from tracker.server.addresses import DEFAULT_PORT, port_given
from tracker.server.desktop import StartEntry, command, login_entry, program_entry

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]


def add_command(commands: Commands) -> None:
    """Add the command to a parser's. Its `run` gives the exit code: 0, or 1 where it was not done."""
    made = commands.add_parser("desktop", help="put the sewing room among this computer's programs")
    made.add_argument("--at-login", action="store_true", help="start it whenever you log in, too")
    made.add_argument("--remove", action="store_true", help="take both away again")
    made.add_argument("--data", type=Path, metavar="DIR", help="folder of the quilts")
    made.add_argument("--port", type=port_given, default=DEFAULT_PORT, help=f"port to listen on ({DEFAULT_PORT})")
    made.set_defaults(run=_desktop)


def _desktop(options: argparse.Namespace) -> int:
    if options.data and options.data.exists() and not options.data.is_dir() and not options.remove:
        print(f"{options.data} is no folder; name the folder of the quilts with --data.", file=sys.stderr)
        return 1
    given = [] if options.data is None else ["--data", str(options.data.absolute())]
    given += [] if options.port == DEFAULT_PORT else ["--port", str(options.port)]
    icon = assets.folder("static") / "icon.svg"
    about = (platform.system(), Path.home(), os.environ, command(given), icon)
    program, login = program_entry(*about), login_entry(*about)
    try:
        if options.remove:
            return _removed([program, login])
        program.write()
        print(f"The sewing room stands among this computer's programs now: {program.path}")
        if options.at_login:
            login.write()
            print(f"It starts whenever you log in: {login.path}")
    except OSError as fault:
        print(f"{fault.filename}: {fault.strerror}; nothing can be written there.", file=sys.stderr)
        return 1
    return 0


def _removed(entries: list[StartEntry]) -> int:
    there = [entry.path for entry in entries if entry.path.exists()]
    for path in there:
        path.unlink()
        print(f"Taken away: {path}")
    if not there:
        print("There was nothing to take away.")
    return 0
