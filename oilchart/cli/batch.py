"""Files that take their places together, once all of them lie ready and the book is kept."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType

import click

from oilchart.cli.output import prepared
from oilchart.errors import CannotWrite

STDOUT = Path("-")
MOST_READY = 100  # files at once; each is held open, and a program may have few hundred open


class Batch:
    """Files of one command: each lies ready beside its place when it is added, so that nearly all
    that can be in the way is met before anything is changed; of very many the last are only written
    when all are put into their places.

    Args:
        shop: the folder of the shop, whose own files are never written over.
    """

    def __init__(self, shop: Path) -> None:
        self._shop = shop
        self._ready: list[tuple[Path, bool, Callable[[], object]]] = []
        self._stack = ExitStack()

    def __enter__(self) -> Batch:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self._stack.close()

    def add(self, path: Path, data: bytes, *, told: bool = True) -> None:
        """Have a file ready; "-" is stdout.

        Args:
            told: it is said on stderr that it was written.

        Raises:
            CannotWrite
        """
        if path == STDOUT:
            self._ready.append((path, False, lambda: sys.stdout.buffer.write(data)))
        elif len(self._ready) < MOST_READY:
            place = self._stack.enter_context(prepared(path, data, self._shop))
            self._ready.append((path, told, place))
        else:
            self._ready.append((path, told, lambda: self._write(path, data)))

    def place(self) -> None:
        """Put the files into their places, in the order in which they were added.

        Raises:
            CannotWrite
        """
        for written, (path, told, place) in enumerate(self._ready):
            try:
                place()
            except CannotWrite as error:
                error.written = written
                raise
            if told:
                click.echo(f"wrote {path}", err=True)

    def _write(self, path: Path, data: bytes) -> None:
        with prepared(path, data, self._shop) as place:
            place()
