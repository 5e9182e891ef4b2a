"""Making a shop book of an earlier schema into one of today's: a copy of it first, then all changes
in one transaction."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from pathlib import Path

from oilchart.errors import BookFault, elsewhere
from oilchart.sources.files.whole_file import write_new_file

# What makes a book of one schema less into one of the schema named.
UPGRADES: dict[int, tuple[str, ...]] = {
    2: (
        "ALTER TABLE owner ADD COLUMN can VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE machine ADD COLUMN mechanisms VARCHAR DEFAULT '' NOT NULL",
    ),
    3: (
        "ALTER TABLE machine ADD COLUMN unsafe_on DATE",
        "ALTER TABLE machine ADD COLUMN unsafe_why VARCHAR",
        "CREATE TABLE job (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), in_on DATE NOT NULL, complaint VARCHAR NOT NULL, left_with "
        "VARCHAR NOT NULL, waiting_for VARCHAR NOT NULL, ready_on DATE, out_on DATE)",
        "CREATE INDEX ix_job_machine_id ON job (machine_id)",
        "CREATE TABLE electrical_check (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT "
        "NULL REFERENCES machine (id), checked_on DATE NOT NULL, checked_by VARCHAR NOT NULL, "
        "passed INTEGER NOT NULL)",
        "CREATE INDEX ix_electrical_check_machine_id ON electrical_check (machine_id)",
    ),
    4: (
        "ALTER TABLE owner ADD COLUMN reached_by VARCHAR DEFAULT 'phone' NOT NULL",
        "ALTER TABLE owner ADD COLUMN best_time VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE owner ADD COLUMN phone_wrong INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE owner ADD COLUMN left_alone_on DATE",
        "ALTER TABLE owner ADD COLUMN left_alone_why VARCHAR",
        "ALTER TABLE owner ADD COLUMN address VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE call ADD COLUMN promised_on DATE",
        "CREATE TABLE outcome (id INTEGER NOT NULL PRIMARY KEY, owner_id INTEGER NOT NULL "
        "REFERENCES owner (id), call_id INTEGER REFERENCES call (id), about VARCHAR NOT NULL, "
        "told_on DATE NOT NULL, outcome VARCHAR NOT NULL, day DATE, note VARCHAR NOT NULL, "
        "machines VARCHAR DEFAULT '' NOT NULL)",
        "CREATE INDEX ix_outcome_owner_id ON outcome (owner_id)",
        "CREATE TABLE booking (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), booked_for DATE NOT NULL, made_on DATE NOT NULL, closed_on "
        "DATE, closed_by VARCHAR)",
        "CREATE INDEX ix_booking_machine_id ON booking (machine_id)",
        "CREATE TABLE closure (uid VARCHAR NOT NULL PRIMARY KEY, first_day DATE NOT NULL, "
        "last_day DATE NOT NULL, why VARCHAR NOT NULL)",
        "CREATE TABLE calendar_entry (feed VARCHAR NOT NULL, uid VARCHAR NOT NULL, content "
        "VARCHAR NOT NULL, last_day DATE NOT NULL, sequence INTEGER NOT NULL, made_at DATETIME "
        "NOT NULL, changed_at DATETIME NOT NULL, withdrawn_on DATE, PRIMARY KEY (feed, uid))",
        "CREATE TABLE shortened (machine_id INTEGER NOT NULL REFERENCES machine (id), point_id "
        "VARCHAR NOT NULL, hours VARCHAR, days INTEGER, accepted_on DATE NOT NULL, found "
        "VARCHAR NOT NULL, found_on DATE NOT NULL, PRIMARY KEY (machine_id, point_id))",
    ),
    5: (
        "ALTER TABLE service ADD COLUMN whole INTEGER DEFAULT '1' NOT NULL",
        "ALTER TABLE service ADD COLUMN complete INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE service ADD COLUMN back_on DATE",
        "ALTER TABLE service ADD COLUMN job_id INTEGER REFERENCES job (id)",
        "ALTER TABLE service ADD COLUMN done_by VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE service_point ADD COLUMN planned INTEGER DEFAULT '1' NOT NULL",
        "ALTER TABLE service_point ADD COLUMN ticked INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE service_point ADD COLUMN done_on DATE",
        "ALTER TABLE service_point ADD COLUMN why VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE job ADD COLUMN nothing_done INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE electrical_check ADD COLUMN reading VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE electrical_check ADD COLUMN before INTEGER DEFAULT '0' NOT NULL",
        "CREATE TABLE unsafe_mark (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), danger VARCHAR NOT NULL, found_on DATE NOT NULL, why VARCHAR "
        "NOT NULL, lifted_on DATE, lifted_by VARCHAR NOT NULL, put_right VARCHAR NOT NULL)",
        "CREATE INDEX ix_unsafe_mark_machine_id ON unsafe_mark (machine_id)",
        "INSERT INTO unsafe_mark (machine_id, danger, found_on, why, lifted_by, put_right) "
        "SELECT id, 'electrical', unsafe_on, coalesce(unsafe_why, ''), '', '' FROM machine "
        "WHERE unsafe_on IS NOT NULL",
        "ALTER TABLE machine DROP COLUMN unsafe_on",
        "ALTER TABLE machine DROP COLUMN unsafe_why",
        "CREATE TABLE repair (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), done_on DATE NOT NULL, words VARCHAR NOT NULL, part VARCHAR "
        "NOT NULL, done_by VARCHAR NOT NULL)",
        "CREATE INDEX ix_repair_machine_id ON repair (machine_id)",
        "CREATE TABLE repair_point (repair_id INTEGER NOT NULL REFERENCES repair (id), point_id "
        "VARCHAR NOT NULL, left VARCHAR NOT NULL, PRIMARY KEY (repair_id, point_id))",
        "CREATE TABLE note (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER REFERENCES "
        "machine (id), owner_id INTEGER REFERENCES owner (id), noted_on DATE NOT NULL, words "
        "VARCHAR NOT NULL, for_owner INTEGER NOT NULL)",
        "CREATE INDEX ix_note_machine_id ON note (machine_id)",
        "CREATE INDEX ix_note_owner_id ON note (owner_id)",
        "INSERT INTO note (machine_id, noted_on, words, for_owner) "
        "SELECT id, added_on, note, 0 FROM machine WHERE note != ''",
        "INSERT INTO note (machine_id, noted_on, words, for_owner) "
        "SELECT machine_id, done_on, note, 0 FROM service WHERE note != ''",
        "ALTER TABLE machine DROP COLUMN note",
        "ALTER TABLE service DROP COLUMN note",
        "CREATE TABLE without_point (machine_id INTEGER NOT NULL REFERENCES machine (id), "
        "point_id VARCHAR NOT NULL, since DATE NOT NULL, why VARCHAR NOT NULL, "
        "PRIMARY KEY (machine_id, point_id))",
    ),
    6: (
        "CREATE TABLE counter (name VARCHAR NOT NULL PRIMARY KEY, last INTEGER NOT NULL)",
        *(
            f"INSERT INTO counter SELECT '{table}', coalesce(max(id), 0) FROM {table}"
            for table in (
                *("owner", "machine", "job", "electrical_check", "unsafe_mark", "repair", "note"),
                *("report", "service", "call", "outcome", "booking"),
            )
        ),
        "CREATE TABLE change (id INTEGER NOT NULL PRIMARY KEY, made_on DATE NOT NULL, made_at "
        "DATETIME NOT NULL, words VARCHAR NOT NULL, device VARCHAR NOT NULL, undoes INTEGER "
        "REFERENCES change (id))",
        "CREATE TABLE change_row (change_id INTEGER NOT NULL REFERENCES change (id), position "
        "INTEGER NOT NULL, in_table VARCHAR NOT NULL, row_key VARCHAR NOT NULL, before VARCHAR, "
        "after VARCHAR, PRIMARY KEY (change_id, position))",
        "CREATE TABLE paper (id INTEGER NOT NULL PRIMARY KEY, kind VARCHAR NOT NULL, machine_id "
        "INTEGER, owner_id INTEGER, made_on DATE NOT NULL, file VARCHAR NOT NULL, after_change "
        "INTEGER NOT NULL)",
        "CREATE INDEX change_row_by_row ON change_row (in_table, row_key)",
        "CREATE TABLE handing_on (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), handed_on DATE NOT NULL, from_owner_id INTEGER NOT NULL "
        "REFERENCES owner (id))",
        "INSERT INTO counter VALUES ('handing_on', 0)",
        "CREATE INDEX ix_handing_on_machine_id ON handing_on (machine_id)",
        "CREATE INDEX ix_handing_on_from_owner_id ON handing_on (from_owner_id)",
        "ALTER TABLE report ADD COLUMN earlier_owner INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE job ADD COLUMN earlier_owner INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE note ADD COLUMN earlier_owner INTEGER DEFAULT '0' NOT NULL",
        "ALTER TABLE machine ADD COLUMN name VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE machine ADD COLUMN mark VARCHAR DEFAULT '' NOT NULL",
        "CREATE TABLE part (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), job_id INTEGER REFERENCES job (id), point_id VARCHAR NOT NULL, "
        "words VARCHAR NOT NULL, wanted_on DATE NOT NULL, ordered_from VARCHAR NOT NULL, "
        "ordered_on DATE, here_on DATE, ended_on DATE, ended_by VARCHAR)",
        "CREATE INDEX ix_part_machine_id ON part (machine_id)",
        "INSERT INTO part (machine_id, job_id, point_id, words, wanted_on, ordered_from) "
        "SELECT machine_id, id, '', waiting_for, in_on, '' FROM job WHERE waiting_for != '' "
        "ORDER BY id",
        "INSERT INTO counter SELECT 'part', coalesce(max(id), 0) FROM part",
        "INSERT INTO counter VALUES ('question', 0), ('photo', 0)",
        "ALTER TABLE job DROP COLUMN waiting_for",
        "ALTER TABLE job ADD COLUMN still_here VARCHAR DEFAULT '' NOT NULL",
        "ALTER TABLE job ADD COLUMN ready_by DATE",
        "ALTER TABLE job ADD COLUMN stage VARCHAR",
        "CREATE TABLE question (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), job_id INTEGER NOT NULL REFERENCES job (id), asked_on DATE NOT "
        "NULL, words VARCHAR NOT NULL, answered_on DATE, answer VARCHAR NOT NULL, answered_by "
        "VARCHAR NOT NULL)",
        "CREATE INDEX ix_question_machine_id ON question (machine_id)",
        "CREATE TABLE photo (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
        "REFERENCES machine (id), job_id INTEGER REFERENCES job (id), added_on DATE NOT NULL, "
        "file VARCHAR NOT NULL, as_received INTEGER NOT NULL)",
        "CREATE INDEX ix_photo_machine_id ON photo (machine_id)",
        "CREATE TABLE phone (id INTEGER NOT NULL PRIMARY KEY, owner_id INTEGER NOT NULL "
        "REFERENCES owner (id), position INTEGER NOT NULL, number VARCHAR NOT NULL, dial VARCHAR "
        "NOT NULL, whose VARCHAR NOT NULL, wrong INTEGER NOT NULL)",
        "CREATE INDEX ix_phone_owner_id ON phone (owner_id)",
        "INSERT INTO phone (owner_id, position, number, dial, whose, wrong) "
        "SELECT id, 1, phone, '', '', phone_wrong FROM owner WHERE phone != ''",
        "INSERT INTO counter SELECT 'phone', coalesce(max(id), 0) FROM phone",
        "ALTER TABLE owner DROP COLUMN phone",
        "ALTER TABLE owner DROP COLUMN phone_wrong",
    ),
    7: (
        "CREATE TABLE worked_under (machine_id INTEGER NOT NULL REFERENCES machine (id), position "
        "INTEGER NOT NULL, condition VARCHAR NOT NULL, since DATE, until DATE, "
        "PRIMARY KEY (machine_id, position))",
        "INSERT INTO worked_under (machine_id, position, condition) "
        "WITH RECURSIVE one (machine_id, position, condition, rest) AS ("
        "SELECT id, 0, '', conditions || ', ' FROM machine WHERE conditions != '' UNION ALL "
        "SELECT machine_id, position + 1, substr(rest, 1, instr(rest, ', ') - 1), "
        "substr(rest, instr(rest, ', ') + 2) FROM one WHERE rest != '') "
        "SELECT machine_id, position, condition FROM one WHERE position > 0",
        "ALTER TABLE machine DROP COLUMN conditions",
        # what told of conditions cannot be taken back by rows that have them no more
        "DELETE FROM change_row WHERE change_id IN (SELECT change_id FROM change_row "
        "WHERE in_table = 'machine' AND before IS NOT NULL AND after IS NOT NULL "
        "AND json_extract(before, '$.conditions') != json_extract(after, '$.conditions'))",
        "UPDATE change_row SET before = json_remove(before, '$.conditions'), "
        "after = json_remove(after, '$.conditions') WHERE in_table = 'machine'",
    ),
}


def upgrade(path: Path, *, to: int, wait_seconds: float) -> None:
    """Bring a book up to a schema; where another program has just done so, nothing is done.

    The book as it was is kept beside it, as `shop.schema-1.db`.

    Raises:
        BookFault: the copy cannot be made; nothing was changed.
        sqlite3.Error: of the book.
    """
    with contextlib.closing(
        sqlite3.connect(path, timeout=wait_seconds, isolation_level=None)
    ) as book:
        book.execute("PRAGMA synchronous = FULL")
        book.execute("BEGIN IMMEDIATE")
        version = int(book.execute("SELECT value FROM meta WHERE key = 'version'").fetchone()[0])
        if version < to:
            _copy(book, path, version)
        for step in range(version + 1, to + 1):
            for change in UPGRADES[step]:
                book.execute(change)
            book.execute("UPDATE meta SET value = ? WHERE key = 'version'", (str(step),))
        book.execute("COMMIT")


def _copy(book: sqlite3.Connection, path: Path, version: int) -> None:
    """Copy the book beside itself, whole or not at all, under a name that is free; a copy that an
    upgrade that came to nothing has left is as good."""
    data = book.serialize()
    try:
        for number in range(1, 1000):
            again = "" if number == 1 else f"-{number}"
            copy = path.with_name(f"{path.stem}.schema-{version}{again}{path.suffix}")
            if copy.is_file() and copy.read_bytes() == data:
                return
            if not os.path.lexists(copy):
                with contextlib.suppress(FileExistsError):
                    write_new_file(copy, data)
                    return
    except OSError as error:
        raise BookFault(
            f"{path}: no copy of it can be made: {error.strerror}; nothing was changed; "
            f"{elsewhere(error, 'choose a folder')}"
        ) from None
