"""Opening and making the file of a shop book, and what a transaction on it gives."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import URL, Connection, Engine, create_engine, event, select
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import NullPool

from oilchart.errors import BookFault, NoBook
from oilchart.sources.book import schema
from oilchart.sources.book.bookings import BookingTable
from oilchart.sources.book.calendar_ledger import CalendarLedgerTable
from oilchart.sources.book.calls import CallTable
from oilchart.sources.book.closures import ClosureTable
from oilchart.sources.book.jobs import JobTable
from oilchart.sources.book.machines import MachineTable
from oilchart.sources.book.migrations import upgrade
from oilchart.sources.book.outcomes import OutcomeTable
from oilchart.sources.book.own_intervals import OwnIntervalTable
from oilchart.sources.book.owners import OwnerTable
from oilchart.sources.book.reports import ReportTable
from oilchart.sources.book.rows import reading
from oilchart.sources.book.services import ServiceTable
from oilchart.sources.files.part_file import part_file

WAIT_SECONDS = 15


class Book:
    """The tables of a shop book within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self.owners = OwnerTable(connection)
        self.machines = MachineTable(connection)
        self.reports = ReportTable(connection)
        self.services = ServiceTable(connection)
        self.jobs = JobTable(connection)
        self.calls = CallTable(connection)
        self.outcomes = OutcomeTable(connection)
        self.bookings = BookingTable(connection)
        self.own_intervals = OwnIntervalTable(connection)
        self.calendar_ledger = CalendarLedgerTable(connection)
        self.closures = ClosureTable(connection)

    @property
    def namespace(self) -> str:
        """The random namespace from which calendar ids are made."""
        kept = self._connection.execute(
            select(schema.meta.c.value).where(schema.meta.c.key == "namespace")
        ).scalar_one_or_none()
        with reading("the namespace of its calendar"):
            return str(uuid.UUID(kept or ""))


@contextmanager
def transaction(path: Path, *, writing: bool) -> Iterator[Book]:
    """Open the book for one transaction: all of it is on disk in the end, or nothing.

    Args:
        writing: take the right to write at once, so that two programs never write over each other.

    Raises:
        BookFault: it is no book, or another program holds it too long, or the folder cannot be
            written.
    """
    engine = open_book(path, writing=writing)
    try:
        with engine.begin() as connection:
            yield Book(connection)
    except DatabaseError as error:
        raise refusal(path, error) from None


def make_book(path: Path, *, namespace: str) -> None:
    """Make a new, empty book that only its user can read; it appears whole or not at all.

    Raises:
        BookFault: there is one already, or it cannot be made.
    """
    if path.exists():
        raise BookFault(
            f"{path}: there is a shop book already; nothing was changed; choose another folder"
        )
    try:
        with part_file(path) as part:
            with contextlib.closing(sqlite3.connect(part)) as file:
                # which the file remembers; only here, so that no other file is ever changed
                file.execute("PRAGMA journal_mode = WAL")
            with _engine(part, writing=True).begin() as connection:
                schema.metadata.create_all(connection)
                rows = [
                    {"key": "version", "value": str(schema.SCHEMA_VERSION)},
                    {"key": "namespace", "value": namespace},
                ]
                connection.execute(schema.meta.insert(), rows)
            part.rename(path)
    except OSError as error:
        raise BookFault(
            f"{path}: cannot be made: {error.strerror}; choose a folder you may write to"
        ) from None
    except (DatabaseError, sqlite3.Error) as error:
        raise refusal(path, error) from None


def open_book(path: Path, *, writing: bool) -> Engine:
    """Open a book, to read it or to write to it; one of an earlier schema is brought up to today's
    first.

    Raises:
        NoBook; BookFault: it is none, or it was written by a newer oilchart.
    """
    if not path.is_file():
        raise NoBook(f"{path}: there is no shop book")
    engine = _engine(path, writing=writing)
    try:
        with engine.connect() as connection:
            version = _version(connection)
    except DatabaseError as error:
        raise refusal(path, error) from None
    if version < schema.SCHEMA_VERSION:
        try:
            upgrade(path, to=schema.SCHEMA_VERSION, wait_seconds=WAIT_SECONDS)
        except sqlite3.Error as error:
            raise refusal(path, error) from None
    if version > schema.SCHEMA_VERSION:
        raise BookFault(
            f"{path}: was written by a newer oilchart (schema {version}, "
            f"this one knows {schema.SCHEMA_VERSION}); update oilchart"
        )
    return engine


def refusal(path: Path, error: DatabaseError | sqlite3.Error) -> BookFault:
    """What went wrong with a book, as one line."""
    cause = error.orig if isinstance(error, DatabaseError) else error
    # the rest of the number says more than is needed
    code = getattr(cause, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return BookFault(
            f"{path}: another program is writing to it; nothing was changed; try again"
        )
    if code in (sqlite3.SQLITE_ERROR, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return BookFault(f"{path}: cannot be read as a shop book: {cause}; bring back a copy of it")
    return BookFault(
        f"{path}: {cause}; nothing was changed; see that the folder can be written to and has room"
    )


def _version(connection: Connection) -> int:
    found = connection.execute(
        select(schema.meta.c.value).where(schema.meta.c.key == "version")
    ).scalar_one_or_none()
    if found is None or not found.isdecimal():
        raise DatabaseError("", {}, ValueError("it names no schema version"))
    return int(found)


def _lies_still(path: Path) -> bool:
    """Whether a book can be read as it lies: nothing may be written beside it, as reading it
    usually does, and no program has it open."""
    return not os.access(path.parent, os.W_OK) and not path.with_name(f"{path.name}-wal").exists()


def _engine(path: Path, *, writing: bool) -> Engine:
    """An engine whose transactions wait for other programs and are on disk when they end."""
    url = URL.create("sqlite", database=str(path))
    if not writing and _lies_still(path):
        url = URL.create(
            "sqlite", database=f"file:{quote(str(path))}", query={"immutable": "1", "uri": "true"}
        )
    engine = create_engine(url, poolclass=NullPool, connect_args={"timeout": WAIT_SECONDS})

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _record: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        for pragma in ("synchronous = FULL", "foreign_keys = ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine
