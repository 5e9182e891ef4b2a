"""Knows the shorter intervals of single machines in the shop book: accepted, tightened and taken
back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, select

from oilchart.core.records.findings import Found
from oilchart.core.records.own_interval import OwnInterval
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class OwnIntervalTable:
    """The shorter intervals within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def all(self) -> dict[int, list[OwnInterval]]:
        """The shorter intervals of each machine by its number in the book, by point."""
        t = schema.own_intervals.c
        query = select(
            t.machine_id, t.point_id, t.hours, t.days, t.accepted_on, t.found, t.found_on
        ).order_by(t.machine_id, t.point_id)
        found: dict[int, list[OwnInterval]] = defaultdict(list)
        for row in self._rows.all_of(query, "a day of a shorter interval"):
            with reading(f'the shorter interval of point "{row.point_id}"'):
                found[row.machine_id].append(_from_row(row))
        return found

    def accept(self, machine_id: int, limit: OwnInterval) -> None:
        """Keep a shorter interval from the day it says; of one that is there already each shorter
        limit stays."""
        before = next((each for each in self.all()[machine_id] if each.point == limit.point), None)
        holds = limit if before is None else before.tightened(limit)
        self.restore(machine_id, [limit.point])
        values = {
            "hours": None if holds.hours is None else str(holds.hours),
            "days": holds.days,
            "accepted_on": holds.since,
            "found": ", ".join(holds.found),
            "found_on": holds.found_on,
        }
        self._connection.execute(
            schema.own_intervals.insert().values(
                machine_id=machine_id, point_id=holds.point, **values
            )
        )

    def restore(self, machine_id: int, points: Iterable[str]) -> None:
        """Let the book's intervals hold again for points of a machine."""
        t = schema.own_intervals
        self._connection.execute(
            t.delete().where(t.c.machine_id == machine_id, t.c.point_id.in_(list(points)))
        )


def _from_row(row: Any) -> OwnInterval:
    """A shorter interval as it was kept.

    Raises:
        ArithmeticError, TypeError, ValueError: nothing can be made of it.
    """
    hours = None if row.hours is None else Fraction(row.hours)
    if (hours is not None and hours <= 0) or (row.days is not None and row.days <= 0):
        raise ValueError("no limit")
    found = tuple(Found(word) for word in row.found.split(", "))
    return OwnInterval(
        point=row.point_id,
        hours=hours,
        days=row.days,
        since=row.accepted_on,
        found=found,
        found_on=row.found_on,
    )
