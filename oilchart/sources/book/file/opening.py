"""Opening and making the file of a shop book, and what a transaction on it gives."""

from __future__ import annotations

import contextlib
import os
import re
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, select
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import StaticPool

from oilchart.ending import recording
from oilchart.errors import BookFault, NoBook, elsewhere, one_line
from oilchart.sources.book import schema
from oilchart.sources.book.bookings import BookingTable
from oilchart.sources.book.calendar_ledger import CalendarLedgerTable
from oilchart.sources.book.calls import CallTable
from oilchart.sources.book.changes import ChangeTable
from oilchart.sources.book.closures import ClosureTable
from oilchart.sources.book.conditions import WorkedUnderTable
from oilchart.sources.book.days_to_come import DaysToCome
from oilchart.sources.book.file.engines import WAIT_SECONDS, engines
from oilchart.sources.book.file.migrations import upgrade
from oilchart.sources.book.handings_on import HandingOnTable
from oilchart.sources.book.images import take_images
from oilchart.sources.book.jobs import JobTable
from oilchart.sources.book.machines import MachineTable
from oilchart.sources.book.notes import NoteTable
from oilchart.sources.book.outcomes import OutcomeTable
from oilchart.sources.book.own_intervals import OwnIntervalTable
from oilchart.sources.book.owners import OwnerTable
from oilchart.sources.book.papers import PaperTable
from oilchart.sources.book.photos import PhotoTable
from oilchart.sources.book.reports import ReportTable
from oilchart.sources.book.rows import NUMBERED, reading
from oilchart.sources.book.safety_and_repairs import (
    CheckTable,
    RepairTable,
    UnsafeMarkTable,
    WithoutPointTable,
)
from oilchart.sources.book.services import ServiceTable
from oilchart.sources.book.waiting import PartTable, QuestionTable
from oilchart.sources.files.whole_file import write_new_file

# what SQLite says where a file beside the book cannot be made or grow
FOR_WANT_OF_WRITING = (
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_READONLY,
)


class Book:
    """The tables of a shop book within a transaction.

    Args:
        was_schema: the schema it had before it was opened.
    """

    def __init__(self, connection: Connection, was_schema: int) -> None:
        self._connection = connection
        self.was_schema = was_schema
        self.owners = OwnerTable(connection)
        self.machines = MachineTable(connection)
        self.handings_on = HandingOnTable(connection)
        self.reports = ReportTable(connection)
        self.services = ServiceTable(connection)
        self.jobs = JobTable(connection)
        self.parts = PartTable(connection)
        self.questions = QuestionTable(connection)
        self.photos = PhotoTable(connection)
        self.checks = CheckTable(connection)
        self.unsafe_marks = UnsafeMarkTable(connection)
        self.repairs = RepairTable(connection)
        self.without_points = WithoutPointTable(connection)
        self.worked_under = WorkedUnderTable(connection)
        self.notes = NoteTable(connection)
        self.calls = CallTable(connection)
        self.outcomes = OutcomeTable(connection)
        self.bookings = BookingTable(connection)
        self.own_intervals = OwnIntervalTable(connection)
        self.calendar_ledger = CalendarLedgerTable(connection)
        self.closures = ClosureTable(connection)
        self.days_to_come = DaysToCome(connection)
        self.changes = ChangeTable(connection)
        self.papers = PaperTable(connection)
        self.undoes: int | None = None  # the change that this transaction takes back
        self.kept: int | None = None  # the number of the change that this transaction was

    @property
    def namespace(self) -> str:
        """The random namespace from which calendar ids are made."""
        kept = self._connection.execute(
            select(schema.meta.c.value).where(schema.meta.c.key == "namespace")
        ).scalar_one_or_none()
        with reading("the namespace of its calendar"):
            return str(uuid.UUID(str(kept)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """By what a transaction is told of later.

    Args:
        on: as of which day.
        at: UTC.
        words: what was said to do.
        device: on which it was; may be empty.
    """

    on: date
    at: datetime
    words: str
    device: str = ""


@contextmanager
def transaction(path: Path, *, writing: bool, said: Said | None = None) -> Iterator[Book]:
    """Open the book for one transaction: all of it is on disk in the end, or nothing.

    Args:
        writing: take the right to write at once, so that two programs never write over each other.
        said: what it changes is kept under this, to be taken back; None where it is not.

    Raises:
        BookFault: it is no book, or another program holds it too long, or the folder cannot be
            written.
    """
    engine, was_schema = open_book(path, writing=writing)
    try:
        with engine.connect() as connection, connection.begin() as begun:
            book = Book(connection, was_schema)
            if said is not None:
                take_images(connection)
            yield book
            if said is not None:
                book.kept = book.changes.keep(
                    on=said.on,
                    at=said.at,
                    words=said.words,
                    device=said.device,
                    undoes=book.undoes,
                )
            with recording() if _has_changed(connection) else nullcontext():
                begun.commit()
    except DatabaseError as error:
        raise refusal(path, error) from None
    except UnicodeDecodeError as error:  # names of tables, too, can be damaged
        raise _damaged(path, error) from None


def _has_changed(connection: Connection) -> bool:
    """Whether a transaction has anything to keep."""
    driven = connection.connection.driver_connection
    return isinstance(driven, sqlite3.Connection) and driven.total_changes > 0


def make_book(path: Path, *, namespace: str) -> None:
    """Make a new, empty book that only its user can read; it appears whole or not at all.

    Raises:
        BookFault: there is one already, or it cannot be made.
    """
    try:
        empty = _empty_book(namespace)
        with recording():
            write_new_file(path, empty)
    except FileExistsError:
        raise BookFault(
            f"{path}: there is a shop book already; nothing was changed; choose another folder"
        ) from None
    except OSError as error:
        raise BookFault(
            f"{path}: cannot be made: {error.strerror}; {elsewhere(error, 'choose a folder')}"
        ) from None


def _empty_book(namespace: str) -> bytes:
    """The bytes of a book without rows."""
    with contextlib.closing(sqlite3.connect(":memory:")) as memory:
        engine = create_engine("sqlite://", creator=lambda: memory, poolclass=StaticPool)
        with engine.begin() as connection:
            schema.metadata.create_all(connection)
            rows = [
                {"key": "version", "value": str(schema.SCHEMA_VERSION)},
                {"key": "namespace", "value": namespace},
            ]
            connection.execute(schema.meta.insert(), rows)
            counters = [{"name": table.name, "last": 0} for table in NUMBERED]
            connection.execute(schema.counter.insert(), counters)
        data = bytearray(memory.serialize())
    # it keeps a log ahead of its writing, which no book in memory does
    # Source: SQLite's file format, 1.3.3 "File format version numbers"
    data[18:20] = 2, 2
    return bytes(data)


def open_book(path: Path, *, writing: bool) -> tuple[Engine, int]:
    """Open a book, to read it or to write to it; one of an earlier schema is brought up to today's
    first.

    Returns:
        Also the schema that it had.

    Raises:
        NoBook; BookFault: it is none, or it was written by a newer oilchart.
    """
    if not path.exists():
        raise NoBook(f"{path}: there is no shop book")
    if not path.is_file():
        what = "a folder" if path.is_dir() else "no file"
        raise BookFault(
            f"{path}: is {what}, where the shop book should be; move it away, and bring back a "
            "copy of the book"
        )
    engine, version = _opened(path, writing=writing)
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
    return engine, version


def refusal(path: Path, error: DatabaseError | sqlite3.Error) -> BookFault:
    """What went wrong with a book, as one line."""
    code = _code(error)
    cause = error.orig if isinstance(error, DatabaseError) else error
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return BookFault(
            f"{path}: another program is writing to it; nothing was changed; try again"
        )
    if code in (sqlite3.SQLITE_ERROR, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT):
        return _damaged(path, cause)
    if not os.access(path.parent, os.W_OK):
        return BookFault(
            f"{path}: its folder cannot be written to, and this command keeps what it does in the "
            "book; nothing was changed; use the shop where its folder can be written to"
        )
    return BookFault(
        f"{path}: {cause}; nothing was changed; see that the folder can be written to and has room"
    )


def _damaged(path: Path, cause: object) -> BookFault:
    return BookFault(
        f"{path}: cannot be read as a shop book: {one_line(str(cause))}; bring back a copy of it"
    )


def _code(error: DatabaseError | sqlite3.Error) -> int:
    """SQLite's number of what went wrong; the rest of it says more than is needed."""
    cause = error.orig if isinstance(error, DatabaseError) else error
    return int(getattr(cause, "sqlite_errorcode", sqlite3.SQLITE_ERROR)) & 0xFF


def _opened(path: Path, *, writing: bool) -> tuple[Engine, int]:
    """The first way to open a book that can be gone, and the version of its schema."""
    refused: list[DatabaseError] = []
    for engine in engines(path, writing=writing):
        try:
            with engine.connect() as connection:
                return engine, _version(connection)
        except DatabaseError as error:
            refused.append(error)
            if _code(error) not in FOR_WANT_OF_WRITING:
                break
        except UnicodeDecodeError as error:
            raise _damaged(path, error) from None
    raise refusal(path, refused[0]) from None


def _version(connection: Connection) -> int:
    found = connection.execute(
        select(schema.meta.c.value).where(schema.meta.c.key == "version")
    ).scalar_one_or_none()
    if not isinstance(found, str) or not re.fullmatch(r"[1-9][0-9]{0,8}", found):
        raise DatabaseError("", {}, ValueError("it names no schema version"))
    return int(found)
