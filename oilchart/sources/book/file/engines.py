"""The ways to open the file of a shop book: the usual one, and those where nothing can be written
beside it."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool

from oilchart.ending import in_hand
from oilchart.errors import BookFault

WAIT_SECONDS = 15


def engines(path: Path, *, writing: bool) -> Iterator[Engine]:
    """The ways to open a book, the usual one first.

    Reading writes beside the book, too, unless another program has done so already. Where that
    cannot be done a book is read as it lies; but if changes still wait in its log, together with
    them: by a program that has it for itself, or of a copy.
    """
    path = path.resolve()  # beside which SQLite keeps its log
    url = URL.create("sqlite", database=str(path))
    still = URL.create(
        "sqlite", database=f"file:{quote(str(path))}", query={"immutable": "1", "uri": "true"}
    )
    if writing:
        yield _engine(url, writing=True)
    elif os.access(path.parent, os.W_OK):
        yield _engine(url)
        yield _engine(url, alone=True)
        if not _has_log(path):
            yield _engine(still)
    elif _has_log(path):
        yield _engine(url)
        data = _read_with_log(path)
        yield create_engine("sqlite://", creator=lambda: _in_memory(data), poolclass=NullPool)
    else:
        yield _engine(still)


def _log(path: Path) -> Path:
    return path.with_name(f"{path.name}-wal")


def _has_log(path: Path) -> bool:
    """Whether something was written that may not be in the book itself yet."""
    log = _log(path)
    return log.exists() and log.stat().st_size > 0


def _read_with_log(path: Path) -> bytes:
    """The bytes of a book together with what waits in its log, which are copied elsewhere for it.

    Raises:
        BookFault: it cannot be copied, or another program goes on writing to it.
    """
    try:
        with (
            tempfile.TemporaryDirectory(prefix="oilchart-") as folder,
            in_hand(lambda: shutil.rmtree(folder)),
        ):
            copy = Path(folder, path.name)
            before = _stamps(path)
            shutil.copyfile(path, copy)
            shutil.copyfile(_log(path), _log(copy))
            if _stamps(path) != before:
                raise BookFault(f"{path}: another program is writing to it; try again")
            with contextlib.closing(sqlite3.connect(copy)) as book:
                book.execute("PRAGMA journal_mode = DELETE")  # no book in memory has a log
                return book.serialize()
    except (OSError, sqlite3.Error) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise BookFault(
            f"{path}: has changes in {_log(path).name} that cannot be read here: {why}; "
            "open it once where its folder can be written to"
        ) from None


def _in_memory(data: bytes) -> sqlite3.Connection:
    memory = sqlite3.connect(":memory:")
    memory.deserialize(data)
    return memory


def _stamps(path: Path) -> list[tuple[int, int]]:
    """By which a change of a book or its log is known."""
    found = [each.stat() for each in (path, _log(path))]
    return [(each.st_size, each.st_mtime_ns) for each in found]


def _engine(url: URL, *, writing: bool = False, alone: bool = False) -> Engine:
    """An engine whose transactions wait for other programs and are on disk when they end.

    Args:
        alone: no other program can open the book meanwhile, and nothing is written beside it.
    """
    engine = create_engine(url, poolclass=NullPool, connect_args={"timeout": WAIT_SECONDS})

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _record: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        if alone:
            connection.execute("PRAGMA locking_mode = EXCLUSIVE")
        for pragma in ("synchronous = FULL", "foreign_keys = ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine
