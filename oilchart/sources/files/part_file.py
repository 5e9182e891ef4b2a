"""A file that is made beside its place, so that it appears there whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def part_file(path: Path) -> Iterator[Path]:
    """An empty file beside a path, which only its user can read: to be filled, then given the
    path's name. In the end nothing is left under its own.

    Raises:
        OSError
    """
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".oilchart-", suffix=".part")
    os.close(handle)
    part = Path(name)
    try:
        yield part
    finally:
        with contextlib.suppress(OSError):
            part.unlink()
