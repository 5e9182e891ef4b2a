"""Images of the rows that a transaction writes, as they were before and are after it: taken by the
book itself, whoever writes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Table, event

from oilchart.sources.book import schema

# no part of what is told: made from it, or about it
NOT_TOLD = frozenset(
    {
        schema.meta,
        schema.counter,
        schema.change,
        schema.change_row,
        schema.paper,
        schema.calendar_entry,
    }
)
WRITTEN = (
    "CREATE TEMP TABLE written (position INTEGER PRIMARY KEY, in_table VARCHAR NOT NULL, "
    "row_key VARCHAR NOT NULL, before VARCHAR, after VARCHAR)"
)
# how a statement begins that writes to a table
WRITES = re.compile(r'\s*(?:INSERT INTO|UPDATE|DELETE FROM) "?(\w+)"?')


def told_tables() -> list[Table]:
    """The tables whose rows are told of, those first that others refer to."""
    return [table for table in schema.metadata.sorted_tables if table not in NOT_TOLD]


def image_of(table: Table, row: str) -> str:
    """SQL that makes JSON of a whole row.

    Args:
        row: its name within the statement, like NEW.
    """
    values = ", ".join(f"'{column.name}', {row}.\"{column.name}\"" for column in table.columns)
    return f"json_object({values})"


def key_of(table: Table, row: str) -> str:
    """SQL that makes JSON of the primary key of a row."""
    values = ", ".join(f'{row}."{each.name}"' for each in table.primary_key)
    return f"json_array({values})"


def take_images(connection: Connection) -> None:
    """Have the book take an image of every row that is written from now on in this connection:
    whatever is first written to a table, that table is watched from then on."""
    connection.exec_driver_sql(WRITTEN)
    unwatched = {table.name: table for table in told_tables()}

    def watch(_: Connection, cursor: Any, statement: str, *__: object) -> None:
        begins = WRITES.match(statement)
        table = unwatched.pop(begins[1], None) if begins else None
        if table is not None:
            for trigger in _triggers(table):
                cursor.execute(trigger)

    event.listen(connection, "before_cursor_execute", watch)


def _triggers(table: Table) -> Iterator[str]:
    new, old = (image_of(table, row) for row in ("NEW", "OLD"))
    for what, row, before, after in (
        ("INSERT", "NEW", "NULL", new),
        ("UPDATE", "NEW", old, new),
        ("DELETE", "OLD", old, "NULL"),
    ):
        yield (
            f"CREATE TEMP TRIGGER {table.name}_{what.lower()} AFTER {what} ON "
            f'main."{table.name}" BEGIN INSERT INTO written (in_table, row_key, before, after) '
            f"VALUES ('{table.name}', {key_of(table, row)}, {before}, {after}); END"
        )
