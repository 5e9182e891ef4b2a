"""Knows the tables of the shop book, their version, and how a book file is opened and made."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import tempfile
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import (
    URL,
    Column,
    Connection,
    Date,
    DateTime,
    Engine,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    create_engine,
    event,
    select,
)
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import NullPool

from oilchart.errors import BookFault
from oilchart.sources.book.migrations import upgrade

SCHEMA_VERSION = 4
# History of the schema:
#   1  owners, machines, reports of use, services with their points, calls
#   2  what an owner can do at home; mechanisms of a machine that differs from its model
#   3  stays in the shop; machines found unsafe, and checks of their mains side
# 4  owners' wishes and postal addresses; what came of calls, promised calls, booked services; the
# ledger of calendar entries,
#      closures read from a calendar; shorter intervals of single machines
WAIT_SECONDS = 15

metadata = MetaData()

meta = Table(
    "meta",
    metadata,
    # "version": of the schema; "namespace": random, calendar ids are made from it
    Column("key", String, primary_key=True),
    Column("value", String, nullable=False),
)

owner = Table(
    "owner",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String, nullable=False),
    Column("phone", String, nullable=False),  # as written down; may be empty
    Column("email", String, nullable=False),  # may be empty
    Column("added_on", Date, nullable=False),
    # "tip", "fine", "force" joined by ", "; may be empty
    Column("can", String, nullable=False, server_default=""),
    # "phone", "text", "e-mail" or "letter"
    Column("reached_by", String, nullable=False, server_default="phone"),
    Column("best_time", String, nullable=False, server_default=""),  # in words; may be empty
    # 1: nobody of that name answers there
    Column("phone_wrong", Integer, nullable=False, server_default="0"),
    Column("left_alone_on", Date),  # null while they may be rung and written to
    Column("left_alone_why", String),  # "asked for", "goes elsewhere" or "died"
    # postal, its lines joined by line ends; may be empty
    Column("address", String, nullable=False, server_default=""),
)

machine = Table(
    "machine",
    metadata,
    Column("id", Integer, primary_key=True),  # shown as M-014
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("model", String, nullable=False),  # id of a point list
    Column("serial", String, nullable=False),  # may be empty
    Column("note", String, nullable=False),  # may be empty
    Column("conditions", String, nullable=False),  # ids joined by ", "; may be empty
    Column("added_on", Date, nullable=False),
    Column("gone_on", Date),  # null while it is looked after
    Column("gone_why", String),  # "sold", "scrapped", "moved-on", "goes elsewhere" or "owner died"
    # ids joined by ", "; empty where they are the model's
    Column("mechanisms", String, nullable=False, server_default=""),
    Column("unsafe_on", Date),  # null where nothing is known against plugging it in
    Column("unsafe_why", String),
)

job = Table(
    "job",
    metadata,
    Column("id", Integer, primary_key=True),  # shown as J-031
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("in_on", Date, nullable=False),
    Column("complaint", String, nullable=False),  # in the owner's words
    Column("left_with", String, nullable=False),  # joined by ", "; may be empty
    Column("waiting_for", String, nullable=False),  # a part; empty where it does not wait
    Column("ready_on", Date),  # null before it is ready
    Column("out_on", Date),  # null while it is in the shop
)

electrical_check = Table(
    "electrical_check",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("checked_on", Date, nullable=False),
    Column("checked_by", String, nullable=False),  # a person's name
    Column("passed", Integer, nullable=False),  # 1 passed, 0 not
)

report = Table(
    "report",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("said_on", Date, nullable=False),
    Column("words", String, nullable=False),  # the owner's own
    # JSON: what was made of them; amounts in ticks, rates in ticks a day
    Column("understood", String, nullable=False),
)

service = Table(
    "service",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("done_on", Date, nullable=False),
    Column("freed", Integer, nullable=False),  # 1: it had been seized and was freed
    Column("note", String, nullable=False),  # may be empty
)

service_point = Table(
    "service_point",
    metadata,
    Column("service_id", ForeignKey("service.id"), primary_key=True),
    Column("point_id", String, primary_key=True),  # of the machine's point list
    Column("done", Integer, nullable=False),  # 1 done, 0 excepted
    # as found: words joined by ", "; empty where nothing was noted
    Column("found", String, nullable=False),
    Column("left", String, nullable=False),  # as left: one word; empty where nothing was noted
)

call = Table(
    "call",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("about", String, nullable=False),  # "service" or "settling in"
    Column("call_on", Date, nullable=False),
    Column("made_on", Date, nullable=False),  # first shown
    Column("changed_on", Date, nullable=False),  # last given another day or other services
    Column("changes", Integer, nullable=False),  # how often that was
    Column("closed_on", Date),  # null while it is open
    Column("closed_by", String),  # "service", "withdrawn" or "outcome"
    Column("promised_on", Date),  # the day it stays on; null where the plan moves it
)

call_service = Table(
    "call_service",
    metadata,
    Column("call_id", ForeignKey("call.id"), primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), primary_key=True),
    # planned day of the service the call is for; day it was freed, about settling in
    Column("service_on", Date, nullable=False),
)

outcome = Table(
    "outcome",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("call_id", ForeignKey("call.id")),  # null where no call was planned
    Column("about", String, nullable=False),  # of the call: "service" or "settling in"
    Column("told_on", Date, nullable=False),
    Column("outcome", String, nullable=False),  # one of the words of core/contact.py
    Column("day", Date),  # booked, or on which they want to be rung
    Column("note", String, nullable=False),  # may be empty
    # numbers of those meant, split by ";"; empty where all are
    Column("machines", String, nullable=False, server_default=""),
)

booking = Table(
    "booking",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("booked_for", Date, nullable=False),
    Column("made_on", Date, nullable=False),
    Column("closed_on", Date),  # null while it stands
    Column("closed_by", String),  # "service", "check-in", "moved" or "gone"
)

closure = Table(
    "closure",
    metadata,
    # of the entry in the shop's own calendar it was read from
    Column("uid", String, primary_key=True),
    Column("first_day", Date, nullable=False),
    Column("last_day", Date, nullable=False),  # included
    Column("why", String, nullable=False),  # may be empty
)

calendar_entry = Table(
    "calendar_entry",
    metadata,
    Column("feed", String, primary_key=True),  # which of the shop's calendar files: "calls"
    Column("uid", String, primary_key=True),
    Column("content", String, nullable=False),  # JSON: everything that is seen of the entry
    Column("last_day", Date, nullable=False),  # on which it shows
    Column("sequence", Integer, nullable=False),  # RFC 5545 section 3.8.7.4; never falls
    Column("made_at", DateTime, nullable=False),  # UTC
    # UTC; later than any time it was written with before
    Column("changed_at", DateTime, nullable=False),
    Column("withdrawn_on", Date),  # null while it stands
)

own_intervals = Table(
    "shortened",
    metadata,
    Column("machine_id", ForeignKey("machine.id"), primary_key=True),
    # of the machine's point list; ignored where the list has it no more
    Column("point_id", String, primary_key=True),
    # limit of use at the machine, a fraction: "43/10"; null where the book's holds
    Column("hours", String),
    Column("days", Integer),  # limit at rest; null where the book's holds
    Column("accepted_on", Date, nullable=False),
    Column("found", String, nullable=False),  # why: words joined by ", ", as found before the limit
    Column("found_on", Date, nullable=False),  # day of the service at which it was
)

Index("report_by_day", report.c.machine_id, report.c.said_on)


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
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".oilchart-", suffix=".part")
        os.close(handle)
        try:
            with contextlib.closing(sqlite3.connect(name)) as file:
                # which the file remembers; only here, so that no other file is ever changed
                file.execute("PRAGMA journal_mode = WAL")
            with _engine(Path(name), writing=True).begin() as connection:
                metadata.create_all(connection)
                rows = [
                    {"key": "version", "value": str(SCHEMA_VERSION)},
                    {"key": "namespace", "value": namespace},
                ]
                connection.execute(meta.insert(), rows)
            Path(name).rename(path)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
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
        BookFault: there is none, it is none, or it was written by a newer oilchart.
    """
    if not path.is_file():
        raise BookFault(
            f'{path}: there is no shop book; name a shop folder with --shop, or make one with "oilchart init FOLDER"'
        )
    engine = _engine(path, writing=writing)
    try:
        with engine.connect() as connection:
            version = _version(connection)
    except DatabaseError as error:
        raise refusal(path, error) from None
    if version < SCHEMA_VERSION:
        try:
            upgrade(path, to=SCHEMA_VERSION, wait_seconds=WAIT_SECONDS)
        except sqlite3.Error as error:
            raise refusal(path, error) from None
    if version > SCHEMA_VERSION:
        raise BookFault(
            f"{path}: was written by a newer oilchart (schema {version}, this one knows {SCHEMA_VERSION}); update oilchart"
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
        select(meta.c.value).where(meta.c.key == "version")
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
