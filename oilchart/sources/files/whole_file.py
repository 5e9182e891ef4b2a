"""Writing files that appear whole or not at all: each is a part beside its place until it is there.

A part is called `.oilchart-*.part` and is locked while it is written; one that a killed program
left is removed by the next writing in its folder.
"""

from __future__ import annotations

import contextlib
import os
import stat
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from oilchart import ending

try:
    import fcntl
except ImportError:  # where files are not locked in this way
    fcntl = None  # type: ignore[assignment]

PRIVATE_FILE, PRIVATE_FOLDER = 0o600, 0o700
ABANDONED_AFTER_SECONDS = 24 * 60 * 60  # of a part where no lock tells

_in_hand: set[Path] = set()  # parts of this process


def write_whole_file(path: Path, data: bytes) -> None:
    """Write a file, in the place of what is there; only its user can read a new one, one that was
    there stays readable by whom it was.

    Raises:
        OSError: the file is as it was.
    """
    with prepared_file(path, data) as put_in_place:
        put_in_place()


@contextmanager
def prepared_file(path: Path, data: bytes) -> Iterator[Callable[[], None]]:
    """Write a file but for its place, and hand out what puts it there, so that something else can
    be done in between; without that it is gone again in the end.

    Raises:
        OSError: on entering, or when it is put in its place; what was there is as it was.
    """
    with _part(path.parent, data) as (part, file):
        _keep_owner_and_mode(path, file.fileno())

        def put_in_place() -> None:
            part.replace(path)

        yield put_in_place


def write_new_file(path: Path, data: bytes) -> None:
    """Write a file that is not there yet; only its user can read it.

    Raises:
        FileExistsError: it is there, and stays as it is.
        OSError: it could not be written.
    """
    with _part(path.parent, data) as (part, _file):
        try:
            path.hardlink_to(part)
        except FileExistsError:
            raise
        except OSError:  # a file system without hard links, as on memory sticks
            if os.path.lexists(path):
                raise FileExistsError from None
            part.rename(path)


def make_folders(folder: Path) -> None:
    """Make a folder and those above it that are missing; only their user can look into them.

    Raises:
        OSError
    """
    missing = [each for each in (folder, *folder.parents) if not each.is_dir()]
    for each in reversed(missing):
        each.mkdir(mode=PRIVATE_FOLDER, exist_ok=True)


def drop_parts() -> None:
    """Remove what this process has written so far of files that are not in their places yet.

    It can be called at any moment, from a signal handler, too.
    """
    for part in tuple(_in_hand):
        with contextlib.suppress(OSError):
            part.unlink()


ending.at_stop(drop_parts)


@contextmanager
def _part(folder: Path, data: bytes) -> Iterator[tuple[Path, BinaryIO]]:
    """Write a part into a folder, on the disk and still open, since its lock ends when it is
    closed."""
    _remove_abandoned(folder)
    while True:
        part = folder / f".oilchart-{os.urandom(8).hex()}.part"
        _in_hand.add(part)  # before it is there, so that no signal comes in between
        try:
            handle = os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, PRIVATE_FILE)
            with os.fdopen(handle, "wb") as file:
                # another program may have taken it for an abandoned one before it was locked
                if _lock(handle) is False or not part.exists():
                    continue
                file.write(data)
                file.flush()
                os.fsync(handle)
                yield part, file
            return
        finally:
            with contextlib.suppress(OSError):
                part.unlink()
            _in_hand.discard(part)


def _lock(handle: int) -> bool | None:
    """Lock an open part: whether it is locked now, or is by another program; None where nothing can
    be locked."""
    if fcntl is None:
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _remove_abandoned(folder: Path) -> None:
    """Remove the parts in a folder that nobody is writing, and what lies beside parts that are no
    more: journals of SQLite, which copied a book into one before 0.2."""
    for part in folder.glob(".oilchart-*.part"):
        with contextlib.suppress(OSError):
            handle = os.open(part, os.O_RDONLY | os.O_NONBLOCK)
            try:
                locked = _lock(handle)
                age_seconds = time.time() - os.fstat(handle).st_mtime
                if locked or (locked is None and age_seconds > ABANDONED_AFTER_SECONDS):
                    part.unlink()
            finally:
                os.close(handle)
    for beside in folder.glob(".oilchart-*.part-*"):
        if not beside.with_name(beside.name.rpartition("-")[0]).exists():
            with contextlib.suppress(OSError):
                beside.unlink()


def _keep_owner_and_mode(path: Path, handle: int) -> None:
    """Give a part the owner, the group and the mode of the file that is there, as far as that is
    allowed; a group that cannot be kept gets nothing to read."""
    try:
        was = path.stat()
    except FileNotFoundError:
        return
    mode = stat.S_IMODE(was.st_mode) & 0o777
    if was.st_gid != os.fstat(handle).st_gid:
        try:
            os.fchown(handle, -1, was.st_gid)
        except OSError:
            mode &= ~0o070
    with contextlib.suppress(OSError):
        os.fchown(handle, was.st_uid, -1)
    with contextlib.suppress(OSError):
        os.fchmod(handle, mode)
