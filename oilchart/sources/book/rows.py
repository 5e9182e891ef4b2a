"""Reading rows of the shop book and putting them in, and refusing one of which nothing can be
made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Column, Connection, Select, Table
from sqlalchemy.sql.expression import ColumnElement

from oilchart.errors import BookFault
from oilchart.sources.book import schema

# those whose rows are called by a number, which is never given twice, also where one is taken back
NUMBERED = tuple(
    table
    for table in schema.metadata.sorted_tables
    if "id" in table.columns and table not in (schema.change, schema.paper)
)


@contextmanager
def reading(what: str) -> Iterator[None]:
    """Refuse a row of which a reader can make nothing: it says so by a ValueError or KeyError.

    Any other error is a fault of ours, and no reason to bring back a copy of the book.

    Raises:
        BookFault: names what is damaged.
    """
    try:
        yield
    except (KeyError, ValueError):
        raise BookFault(f"shop book: {what} is damaged; bring back a copy of the book") from None


class Rows:
    """The rows of the book within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def all_of(self, query: Select[Any], what: str) -> Sequence[Any]:
        """All rows of a query; `what` is damaged where a day among them is none.

        Raises:
            BookFault: names what is damaged.
        """
        with reading(what):
            try:
                rows = self._connection.execute(query).all()
            except TypeError as no_text:  # how SQLAlchemy refuses a day that is kept as a number
                raise ValueError(str(no_text)) from None
        _check_types(query, rows)
        return rows

    def insert(self, table: Table, **values: Any) -> int:
        """Put a row in; its id is given back, a number that was never given before."""
        if table in NUMBERED:
            values["id"] = self._next_number(table)
        return int(
            self._connection.execute(
                table.insert().values(**values).returning(table.c.id)
            ).scalar_one()
        )

    def _next_number(self, table: Table) -> int:
        counter = schema.counter
        return int(
            self._connection.execute(
                counter.update()
                .where(counter.c.name == table.name)
                .values(last=counter.c.last + 1)
                .returning(counter.c.last)
            ).scalar_one()
        )

    def insert_all(self, table: Table, rows: Sequence[dict[str, Any]]) -> None:
        """Put several rows in, or none."""
        if rows:
            self._connection.execute(table.insert(), rows)

    def delete(self, table: Table, which: ColumnElement[bool]) -> None:
        """Take rows out."""
        self._connection.execute(table.delete().where(which))

    def update(self, table: Table, row_id: int, **values: Any) -> None:
        """Give the row of an id other values."""
        self._connection.execute(table.update().where(table.c.id == row_id).values(**values))

    def update_all(self, table: Table, which: ColumnElement[bool], **values: Any) -> None:
        """Give several rows other values, or none."""
        self._connection.execute(table.update().where(which).values(**values))


def words_in(joined: str) -> tuple[str, ...]:
    """The words that a column keeps joined by ", "."""
    return tuple(word for word in joined.split(", ") if word)


def _check_types(query: Select[Any], rows: Sequence[Any]) -> None:
    """Refuse values that are not of the kind of their column, since SQLite keeps any in any.

    Raises:
        BookFault: names the first such column.
    """
    for column, values in zip(query.selected_columns, zip(*rows, strict=True), strict=False):
        if not isinstance(column, Column):  # a count, which is none of the book's values
            continue
        kinds = {column.type.python_type, *((type(None),) if column.nullable else ())}
        with reading(f'"{column.name}" in table "{column.table.name}"'):
            if not kinds.issuperset(map(type, values)):
                raise ValueError("of another kind")
