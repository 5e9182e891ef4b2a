"""Writing files so that each appears whole or not at all."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from oilchart.errors import CannotWrite
from oilchart.sources.files.part_file import part_file


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it appears whole or not at all; only its user can read it.

    A device or a pipe is written into: another file in its place would be of no use to anybody.

    Raises:
        CannotWrite
    """
    try:
        if _is_device(path):
            path.write_bytes(data)
        else:
            _write_beside(path.resolve(), data)
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


def _write_beside(path: Path, data: bytes) -> None:
    """Write a part file beside the path, then put it in its place."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with part_file(path) as part:
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
