"""The papers printed from the shop book."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, and_, func, or_, select

from oilchart.core.days import add_days
from oilchart.core.records.paper import PrintedPaper
from oilchart.sources.book import schema
from oilchart.sources.book.changes import IMAGES_DAYS
from oilchart.sources.book.rows import Rows


class PaperTable:
    """The printed papers within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def add(self, papers: Sequence[PrintedPaper]) -> None:
        """Note papers that were printed; those older than any change that can be taken back are
        forgotten."""
        last = self._connection.execute(select(func.max(schema.change.c.id))).scalar_one() or 0
        rows = [
            {
                "kind": each.kind,
                "machine_id": each.machine,
                "owner_id": each.owner,
                "made_on": each.on,
                "file": each.file,
                "after_change": last,
            }
            for each in papers
        ]
        self._rows.insert_all(schema.paper, rows)
        if papers:
            oldest = add_days(papers[0].on, -IMAGES_DAYS)
            self._rows.delete(schema.paper, schema.paper.c.made_on < oldest)

    def since(
        self, change_id: int, machines: Iterable[int], owners: Iterable[int]
    ) -> list[PrintedPaper]:
        """The papers about machines, and to owners and those of the machines, that were printed
        since a change, the latest of each kind."""
        t, machine, about = schema.paper.c, schema.machine.c, set(machines)
        whose = select(machine.owner_id).where(machine.id.in_(about))
        query = (
            select(t.kind, t.made_on, t.file, t.machine_id, t.owner_id)
            .where(
                and_(
                    t.after_change >= change_id,
                    or_(
                        t.machine_id.in_(about),
                        t.owner_id.in_(set(owners)),
                        t.owner_id.in_(whose),
                    ),
                )
            )
            .order_by(t.id)
        )
        latest = {
            (row.machine_id, row.owner_id, row.kind): PrintedPaper(
                kind=row.kind,
                on=row.made_on,
                file=row.file,
                machine=row.machine_id,
                owner=row.owner_id,
            )
            for row in self._rows.all_of(query, "the day of a paper")
        }
        return list(latest.values())
