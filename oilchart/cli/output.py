"""Writing files that a user named, but never over what a shop cannot lose."""

from __future__ import annotations

import stat
from pathlib import Path

from oilchart.errors import CannotWrite
from oilchart.shop.folder import own_file_at
from oilchart.sources.files.whole_file import make_folders, write_whole_file

DATABASE_BEGINS = b"SQLite format 3\0"


def write_whole(path: Path, data: bytes, shop: Path) -> None:
    """Write a file so that it appears whole or not at all.

    A device or a pipe is written into: another file in its place would be of no use to anybody.

    Args:
        shop: the folder of the shop, whose own files are never written over.

    Raises:
        CannotWrite
    """
    try:
        if _is_device(path):
            path.write_bytes(data)
            return
        place = path.resolve()
        _refuse_what_is_kept(path, place, shop)
        make_folders(place.parent)
        write_whole_file(place, data)
    except OSError as error:
        raise CannotWrite(
            f"{path}: cannot be written: {error.strerror}; nothing was changed; "
            "name a file you may write to"
        ) from None


def _is_device(path: Path) -> bool:
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return False
    return not stat.S_ISREG(mode) and not stat.S_ISDIR(mode)


def _refuse_what_is_kept(path: Path, place: Path, shop: Path) -> None:
    """Refuse to write over a file of a shop's own, or over a database of any program.

    Args:
        path: as it was named.
        place: the same behind all links.

    Raises:
        CannotWrite
    """
    own = own_file_at(place, shop)
    if own is not None:
        raise CannotWrite(
            f"{path}: is the shop's own {own}; nothing was changed; name another file"
        )
    if place.is_file():
        with place.open("rb") as file:
            if file.read(len(DATABASE_BEGINS)) == DATABASE_BEGINS:
                raise CannotWrite(
                    f"{path}: is an SQLite database; nothing was changed; name another file"
                )
