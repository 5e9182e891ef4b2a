"""What owners said of their machines' use, in the shop book: their words, and what was made of
them."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import Connection, select

from oilchart.core.records.machine_record import machine_number
from oilchart.core.use.report import Report
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading
from oilchart.sources.words.report_json import recall, understood_json


class ReportTable:
    """The reports within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, report: Report) -> None:
        """Keep what an owner said."""
        self._rows.insert(
            schema.report,
            machine_id=machine_id,
            said_on=report.said,
            words=report.words,
            understood=understood_json(report),
        )

    def put(self, machine_id: int, before: Report, after: Report) -> None:
        """Put in the place of what an owner said on a day what they said indeed."""
        t = schema.report
        query = (
            select(t.c.id)
            .where(
                t.c.machine_id == machine_id,
                t.c.said_on == before.said,
                t.c.words == before.words,
                t.c.earlier_owner == 0,
            )
            .order_by(t.c.id.desc())
        )
        row = self._rows.all_of(query, "a report")[0]
        self._rows.update(t, row.id, words=after.words, understood=understood_json(after))

    def by_machine(self) -> dict[int, list[Report]]:
        """All reports of present owners by the machine's id, in the order in which they were
        said."""
        t = schema.report.c
        query = (
            select(t.machine_id, t.said_on, t.words, t.understood)
            .where(t.earlier_owner == 0)
            .order_by(t.machine_id, t.said_on, t.id)
        )
        found: dict[int, list[Report]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a report"):
            with reading(f"{machine_number(row.machine_id)}: the report of {row.said_on}"):
                found[row.machine_id].append(recall(row.said_on, row.words, row.understood))
        return found
