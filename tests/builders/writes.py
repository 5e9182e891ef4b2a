"""Notes where this process writes, so that a test can say that it does so nowhere else."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHANGES = {
    "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.truncate",
    "os.chmod", "os.chown",
}  # fmt: skip
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC
_noting: list[set[Path]] = []


def _note(event: str, args: tuple[Any, ...]) -> None:
    if not _noting:
        return
    if event in CHANGES:
        named = args[1:2] if event == "os.symlink" else args[:2]  # what it leads to is but a text
        places = [each for each in named if isinstance(each, str | bytes | os.PathLike)]
    elif event == "open" and isinstance(args[0], str | bytes | os.PathLike) and args[2] & WRITING:
        places = [args[0]]
    else:
        return
    for place in places:
        path = Path(os.fsdecode(place))
        if path.parent.name != "__pycache__":  # Python's own, of what is imported just then
            _noting[-1].add(Path(os.path.normpath(path.absolute())))


sys.addaudithook(_note)  # for as long as the process lives: there is no taking it off


@contextmanager
def places_written() -> Iterator[set[Path]]:
    """Every file and folder that is opened for writing, made, moved or removed meanwhile; not what
    SQLite writes beside a book."""
    _noting.append(set())
    try:
        yield _noting[-1]
    finally:
        _noting.pop()
