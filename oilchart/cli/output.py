"""Writing files that a user named, but never over what a shop cannot lose."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path

from oilchart.errors import CannotWrite, elsewhere
from oilchart.shop.folder import own_file_at
from oilchart.sources.files.whole_file import make_folders, prepared_file

DATABASE_BEGINS = b"SQLite format 3\0"


@contextmanager
def prepared(path: Path, data: bytes, shop: Path) -> Iterator[Callable[[], object]]:
    """Have a file lie ready beside its place, and hand out what puts it there, so that it appears
    whole or not at all; one that is not put there is gone in the end.

    A device or a pipe is written into when the time comes: another file in its place would be of no
    use to anybody.

    Args:
        shop: the folder of the shop, whose own files are never written over.

    Raises:
        CannotWrite: on entering, or when it is put in its place.
    """
    with ExitStack() as stack:
        with _told(path):
            if _is_device(path):
                write: Callable[[], object] = partial(path.write_bytes, data)
            else:
                write = stack.enter_context(prepared_file(_free_place(path, shop), data))

        def put_in_place() -> None:
            with _told(path):
                write()

        yield put_in_place


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Tell in one line what is in the way of a file."""
    try:
        yield
    except OSError as error:
        raise CannotWrite(
            path, f"cannot be written: {error.strerror}", elsewhere(error, "name a file")
        ) from None


def _is_device(path: Path) -> bool:
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return False
    return not stat.S_ISREG(mode) and not stat.S_ISDIR(mode)


def refuse_lasting_file(path: Path, shop: Path) -> None:
    """Refuse the place of a shop's own file, or of a database of any program.

    Raises:
        CannotWrite
    """
    with _told(path):
        _place_to_write(path, shop)


def _free_place(path: Path, shop: Path) -> Path:
    """The place of a file behind all links, in a folder that is there.

    Raises:
        CannotWrite, OSError
    """
    place = _place_to_write(path, shop)
    make_folders(place.parent)
    return place


def _place_to_write(path: Path, shop: Path) -> Path:
    """The place of a file behind all links; that of a shop's own file or of a database of any
    program is refused.

    Raises:
        CannotWrite, OSError
    """
    place = path.resolve()
    own = own_file_at(place, shop)
    if own is not None:
        raise CannotWrite(path, f"is the shop's own {own}", "name another file")
    if place.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if place.is_file():
        with place.open("rb") as file:
            if file.read(len(DATABASE_BEGINS)) == DATABASE_BEGINS:
                raise CannotWrite(path, "is an SQLite database", "name another file")
    return place
