"""The commands that keep quilts safe: `sewing-room backup FILE` and `sewing-room restore FILE`."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tracker.safekeeping.backup import (
    LARGEST_FILE,
    Backup,
    BackupFault,
    Return,
    compare,
    read_backup,
    restore,
    too_large,
    write_backup,
)
from tracker.store.mending import day_in_words
from tracker.store.quilts import Store, StoreFault, default_folder

if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]

FROM_THE_SCREEN = (
    "While the sewing room runs, its page “Devices and backup” does the same: open it in a browser, or stop the sewing"
    " room first."
)


def add_commands(commands: Commands) -> None:
    """Add both commands to a parser's. Their `run` gives the exit code: 0, or 1 where it was not done."""
    made = commands.add_parser("backup", help="write all quilts, with plans and notes, into one file")
    made.add_argument("file", type=Path, metavar="FILE", help="the file to write, such as quilts.zip")
    made.set_defaults(run=_backup)
    brought = commands.add_parser("restore", help="bring back the quilts of a backup")
    brought.add_argument("file", type=Path, metavar="FILE", help="a file that backup wrote")
    brought.add_argument("--look", action="store_true", help="only say what would be done")
    brought.add_argument("--yes", action="store_true", help="replace quilts without asking; the former ones are kept")
    brought.set_defaults(run=_restore)
    for command in (made, brought):
        command.add_argument("--data", type=Path, metavar="DIR", help="folder of the quilts")


def _backup(options: argparse.Namespace) -> int:
    folder = options.data or default_folder()
    if not (folder / "room.facts").exists():
        return _refuse(f"There are no quilts in {folder}; name their folder with --data.")
    try:
        with _opened(folder) as store:
            backup = write_backup(store, options.file)
    except BackupFault as fault:
        return _refuse(str(fault))
    print(f"{_quilts(len(backup.quilts))} written to {options.file}, and read back: all is in it.")
    return 0


def _restore(options: argparse.Namespace) -> int:
    try:
        return _brought_back(options, read_file(options.file))
    except BackupFault as fault:
        return _refuse(str(fault))


def read_file(path: Path) -> Backup:
    """A backup in a file. BackupFault, StoreFault "newer"."""
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as fault:
        raise BackupFault(f"{path} cannot be read ({fault.strerror or fault}); name a backup's file.") from fault
    if len(data) > LARGEST_FILE:
        raise too_large(path.name)
    return read_backup(data, path.name)


def _brought_back(options: argparse.Namespace, backup: Backup) -> int:
    day = day_in_words(backup.made_at.date())
    with _opened(options.data or default_folder()) as store:
        returns = compare(store, backup)
        print(f"{options.file.name}: a backup of {day}, with {_quilts(len(returns))}.")
        for each in returns:
            print(f"  {each.sentence}")
        if options.look or not returns:
            return 0
        if not (options.yes or _agreed(returns)):
            print("Nothing was changed.")
            return 1
        done = restore(store, returns)
    for quilt in done:
        former = f"; the former one is kept among the deleted quilts, as {quilt.kept}" if quilt.kept else ""
        print(f"{quilt.title} is restored{former}.")
    return 0


def _opened(folder: Path) -> Store:
    """The store of a folder; what was mended is said. BackupFault, StoreFault."""
    try:
        store = Store.open(folder)
    except StoreFault as fault:
        if fault.kind != "in use":
            raise
        raise BackupFault(f"{fault} {FROM_THE_SCREEN}") from fault
    for notice in store.notices():
        print(notice.said)
    return store


def _agreed(returns: list[Return]) -> bool:
    """Whether the person at the terminal agrees; where nothing is replaced, or nobody is there, nobody is asked."""
    replaced = sum(each.kind == "replace" for each in returns)
    if not replaced or not sys.stdin.isatty():
        return True
    try:
        answer = input(f"Replace {_quilts(replaced)} by the backup's, and keep the former? [y/N] ")
    except EOFError:
        return False
    return answer.strip().lower() in ("y", "yes")


def _refuse(sentence: str) -> int:
    print(sentence, file=sys.stderr)
    return 1


def _quilts(number: int) -> str:
    return f"{number} quilt{'' if number == 1 else 's'}"
