"""The sewing room among this computer's programs, and started at log-in: the files by which each system knows that."""

from __future__ import annotations

import plistlib
import shlex
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

NAME = "Sewing room"
"""What people see."""

Variables = Mapping[str, str]
"""A person's environment."""


@dataclass(frozen=True)
class StartEntry:
    """A file that makes a program known: where it lies and what it says; whether the system must be let run it."""

    path: Path
    text: str
    runs: bool = False

    def write(self) -> None:
        """Write it in place of an earlier one. OSError."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.path.write_bytes(self.text.encode("utf-8"))
        if self.runs:
            self.path.chmod(0o755)


def command(options: Sequence[str]) -> list[str]:
    """What starts the sewing room that is running now, from any folder."""
    return [sys.executable, "-P", "-m", "tracker", "serve", *options]


def program_entry(system: str, home: Path, environment: Variables, run: Sequence[str], icon: PurePath) -> StartEntry:
    """The entry among the programs, which starts it in a window of its own and opens its first page.

    In: the system as `platform.system` names it, the person's folder and environment, what starts it, its picture.
    """
    opened = [*run, "--open"]
    if system == "Windows":
        return StartEntry(_start_menu(home, environment) / f"{NAME}.cmd", _batch(f"@{_for_windows(opened)}"))
    if system == "Darwin":
        return StartEntry(home / "Desktop" / f"{NAME}.command", f"#!/bin/sh\nexec {shlex.join(opened)}\n", runs=True)
    data = environment.get("XDG_DATA_HOME") or home / ".local" / "share"
    return StartEntry(Path(data, "applications", "sewing-room.desktop"), _desktop(opened, "true", icon))


def login_entry(system: str, home: Path, environment: Variables, run: Sequence[str], icon: PurePath) -> StartEntry:
    """The entry that starts it whenever the person logs in, out of the way."""
    if system == "Windows":
        started = f'@start "{NAME}" /min {_for_windows(run)}'
        return StartEntry(_start_menu(home, environment) / "Startup" / f"{NAME}.cmd", _batch(started))
    if system == "Darwin":
        facts = {"Label": "sewing-room", "ProgramArguments": list(run), "RunAtLoad": True}
        text = plistlib.dumps(facts).decode("utf-8")
        return StartEntry(home / "Library" / "LaunchAgents" / "sewing-room.plist", text)
    settings = environment.get("XDG_CONFIG_HOME") or home / ".config"
    return StartEntry(Path(settings, "autostart", "sewing-room.desktop"), _desktop(run, "false", icon))


def _start_menu(home: Path, environment: Variables) -> Path:
    roaming = environment.get("APPDATA") or home / "AppData" / "Roaming"
    return Path(roaming, "Microsoft", "Windows", "Start Menu", "Programs")


def _batch(line: str) -> str:
    """A file of commands, in which names of folders may have any letters."""
    return f"@chcp 65001 >nul\r\n{line}\r\n"


def _for_windows(words: Sequence[str]) -> str:
    """Words for a file of commands: none of ours may have a quotation mark, since no path there has one."""
    return " ".join('"{}"'.format(word.replace("%", "%%")) for word in words)


def _desktop(words: Sequence[str], terminal: str, icon: PurePath) -> str:
    lines = (
        "[Desktop Entry]",
        "Type=Application",
        f"Name={NAME}",
        "Comment=A quilt's steps, counted on the phone",
        f"Exec={' '.join(map(_for_desktop, words))}",
        f"Icon={str(icon).translate(_VALUE)}",
        f"Terminal={terminal}",
        "Categories=Office;",
    )
    return "\n".join(lines) + "\n"


_VALUE = str.maketrans({"\\": "\\\\", "\n": "\\n"})
_QUOTED = str.maketrans({sign: f"\\{sign}" for sign in '"`$\\'})


def _for_desktop(word: str) -> str:
    """A word of a desktop entry's command: in quotation marks, then as every value is written."""
    return f'"{word.translate(_QUOTED)}"'.replace("%", "%%").translate(_VALUE)
