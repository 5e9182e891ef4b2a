"""The conditions that machines work under, in the shop book: since when, and until when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from sqlalchemy import Connection, select

from oilchart.core.records.habits import WorkedUnder
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


class WorkedUnderTable:
    """The conditions of machines within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def set(self, machine_id: int, worked_under: Iterable[WorkedUnder]) -> None:
        """Put all the conditions of a machine, as they are now, into the book."""
        t = schema.worked_under
        self._rows.delete(t, t.c.machine_id == machine_id)
        rows: list[dict[str, object]] = [
            {
                "machine_id": machine_id,
                "position": position,
                "condition": each.condition,
                "since": each.since,
                "until": each.until,
            }
            for position, each in enumerate(worked_under, start=1)
        ]
        self._rows.insert_all(t, rows)

    def end_all(self, machine_id: int, on: date) -> None:
        """Let a machine work under none of its conditions from a day on."""
        t = schema.worked_under
        self._rows.update_all(t, (t.c.machine_id == machine_id) & t.c.until.is_(None), until=on)

    def by_machine(self) -> dict[int, list[WorkedUnder]]:
        """All conditions by the machine's id, in the order in which they were told."""
        t = schema.worked_under.c
        query = select(t.machine_id, t.condition, t.since, t.until).order_by(
            t.machine_id, t.position
        )
        found: dict[int, list[WorkedUnder]] = defaultdict(list)
        for row in self._rows.all_of(query, "the days of a condition"):
            found[row.machine_id].append(
                WorkedUnder(condition=row.condition, since=row.since, until=row.until)
            )
        return found
