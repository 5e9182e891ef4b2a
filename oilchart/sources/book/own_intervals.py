"""The shorter intervals of single machines in the shop book: accepted, tightened and taken back."""

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

    def by_machine(self) -> dict[int, list[OwnInterval]]:
        """The shorter intervals of each machine by its id, in the order of the points' ids."""
        t = schema.own_intervals.c
        query = select(
            t.machine_id, t.point_id, t.hours, t.days, t.accepted_on, t.found, t.found_on
        ).order_by(t.machine_id, t.point_id)
        found: dict[int, list[OwnInterval]] = defaultdict(list)
        for row in self._rows.all_of(query, "a day of a shorter interval"):
            with reading(f'the shorter interval of point "{row.point_id}"'):
                found[row.machine_id].append(_from_row(row))
        return found

    def accept(self, machine_id: int, limits: Iterable[OwnInterval]) -> None:
        """Keep shorter intervals in place of those of the same points."""
        kept = list(limits)
        self.restore(machine_id, [limit.point for limit in kept])
        rows = [
            {
                "machine_id": machine_id,
                "point_id": limit.point,
                "hours": None if limit.hours is None else str(limit.hours),
                "days": limit.days,
                "accepted_on": limit.since,
                "found": ", ".join(limit.found),
                "found_on": limit.found_on,
            }
            for limit in kept
        ]
        self._rows.insert_all(schema.own_intervals, rows)

    def restore(self, machine_id: int, points: Iterable[str]) -> None:
        """Let the book's intervals hold again for points of a machine."""
        t = schema.own_intervals
        self._connection.execute(
            t.delete().where(t.c.machine_id == machine_id, t.c.point_id.in_(list(points)))
        )


def _from_row(row: Any) -> OwnInterval:
    """A shorter interval as it was kept.

    Raises:
        ValueError: nothing can be made of it.
    """
    hours = None if row.hours is None else _fraction(row.hours)
    days = None if row.days is None else int(row.days)
    if (hours is not None and hours <= 0) or (days is not None and days <= 0):
        raise ValueError("no limit")
    found = tuple(Found(word) for word in row.found.split(", "))
    return OwnInterval(
        point=row.point_id,
        hours=hours,
        days=days,
        since=row.accepted_on,
        found=found,
        found_on=row.found_on,
    )


def _fraction(text: str) -> Fraction:
    try:
        return Fraction(text)
    except ZeroDivisionError:
        raise ValueError(f"no fraction: {text}") from None
