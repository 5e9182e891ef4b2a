"""Knows how rows of the shop book are read and put in, and how one of which nothing can be made is
refused."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Executable

from oilchart.errors import BookFault


@contextmanager
def reading(what: str) -> Iterator[None]:
    """Refuse a row of which nothing can be made.

    Raises:
        BookFault: names what is damaged.
    """
    try:
        yield
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        raise BookFault(f"shop book: {what} is damaged; bring back a copy of the book") from None


class Rows:
    """The rows of the book within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def all_of(self, query: Executable, what: str) -> Sequence[Any]:
        """All rows of a query; `what` is damaged where a day among them is none."""
        with reading(what):
            return self._connection.execute(query).all()

    def insert(self, table: Any, **values: Any) -> int:
        """Put a row in; its id is given back."""
        return int(
            self._connection.execute(
                table.insert().values(**values).returning(table.c.id)
            ).scalar_one()
        )
