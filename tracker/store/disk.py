"""Writing to the disk so that it holds: whole files, lines at the end of files, and what to say when it fails."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import sys
import time
from collections.abc import Iterator
from pathlib import Path

SENTENCES = {
    "in use": "The folder {folder} is already open in another sewing room; stop that one first, or choose another"
    " folder.",
    "not writable": "Nothing can be written in {folder} ({why}); allow writing there, or choose another folder.",
    "full": "The disk with {folder} is full, so this was not saved; make some room and try again.",
    "gone": "The folder {folder} is no longer there, so this was not saved; put it back, then start the sewing room"
    " again.",
    "failed": "The disk refused {folder} ({why}), so this was not saved.",
    "newer": "{path} was written by a newer sewing room (file format {found}; this one reads up to {known}); install"
    " the newer one. Nothing was changed.",
    "unknown": "There is no quilt {quilt} here.",
    "replaced": "This quilt has just been restored from a backup, so this was not saved yet; load the page again.",
    "not storable": "{where} cannot be kept: {why}.",
    "closed": "The sewing room has been closed, so this was not saved.",
}
"""What each kind of fault says to a person; the braces name the facts it needs."""


class StoreFault(Exception):
    """Something the store could not do. `kind` is one of SENTENCES; `facts` are what its sentence names."""

    def __init__(self, kind: str, **facts: object) -> None:
        self.kind = kind
        self.facts = facts
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """One sentence for a person: what, where, and what would help."""
        return SENTENCES[self.kind].format(**self.facts)


def fault_of(error: OSError, folder: Path) -> StoreFault:
    """What an error of the operating system means to a person."""
    why = os.strerror(error.errno) if error.errno else str(error)
    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return StoreFault("full", folder=folder)
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return StoreFault("not writable", folder=folder, why=why)
    if not folder.is_dir():
        return StoreFault("gone", folder=folder)
    return StoreFault("failed", folder=folder, why=why)


@contextlib.contextmanager
def disk_faults(folder: Path) -> Iterator[None]:
    """Errors of the operating system inside come out as StoreFault."""
    try:
        yield
    except OSError as error:
        raise fault_of(error, folder) from error


BINARY = getattr(os, "O_BINARY", 0)


def sync(descriptor: int) -> None:
    """Return when the file is on the disk itself, as far as the system can tell."""
    if sys.platform == "darwin":
        import fcntl

        # There fsync leaves the data in the drive's own memory.
        fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
    else:
        os.fsync(descriptor)


def is_plain_file(path: Path) -> bool:
    """Whether a file is there itself: not a link to one, a folder or a pipe."""
    return path.is_file() and not path.is_symlink()


def is_plain_folder(path: Path) -> bool:
    """Whether a folder is there itself, not a link to one."""
    return path.is_dir() and not path.is_symlink()


def sync_folder(folder: Path) -> None:
    """Make a renaming in the folder durable, where folders can be synced at all."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as error:
        # Some network and FUSE file systems know no such thing.
        if error.errno not in (errno.EINVAL, errno.ENOTSUP, errno.ENOSYS):
            raise
    finally:
        os.close(descriptor)


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte, or raise OSError."""
    view = memoryview(data)
    while view:
        view = view[os.write(descriptor, view) :]


def replace(source: Path, target: Path) -> None:
    """Put source in the place of target, in one go. Windows refuses while a scanner has the file open: try again."""
    for attempt in range(12):
        try:
            os.replace(source, target)
            return
        except PermissionError as error:
            # 5: access denied, 32: sharing violation. Elsewhere there is no winerror, and trying again is no use.
            if getattr(error, "winerror", None) not in (5, 32) or attempt == 11:
                raise
            time.sleep(0.01 * (attempt + 1))


def temporary(target: Path) -> Path:
    """A name beside target for a file that is not finished; swept away at the next start if it is left behind."""
    return target.with_name(f".{target.name}.{secrets.token_hex(4)}.tmp")


def sweep(folder: Path) -> None:
    """Remove unfinished files that a killed program left."""
    for stray in folder.glob(".*.tmp"):
        with contextlib.suppress(OSError):
            stray.unlink()


def write_whole(target: Path, data: bytes) -> None:
    """Replace target by a file with this content, durably: afterwards there is the old file or the new, never half."""
    unfinished = temporary(target)
    try:
        # For the owner's eyes only: the room's file holds what lets devices in.
        descriptor = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_EXCL | BINARY, 0o600)
        try:
            write_all(descriptor, data)
            sync(descriptor)
        finally:
            os.close(descriptor)
        replace(unfinished, target)
    except BaseException:
        with contextlib.suppress(OSError):
            unfinished.unlink()
        raise
    sync_folder(target.parent)


def second_name(source: Path, target: Path) -> None:
    """Keep the file that is now at source under target too, replacing what is there; copied only where links fail."""
    unfinished = temporary(target)
    try:
        os.link(source, unfinished)
    except OSError:
        write_whole(target, source.read_bytes())
        return
    try:
        replace(unfinished, target)
    finally:
        # Where both names already meant one file, the replacing did nothing and the extra name is still there.
        unfinished.unlink(missing_ok=True)
