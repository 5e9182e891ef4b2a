"""The machines that were handed on to another owner, in the shop book."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from sqlalchemy import Connection, select

from oilchart.core.records.handing_on import HandingOn
from oilchart.core.records.machine_record import machine_number
from oilchart.core.records.owner import Owner
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading

# what may be an earlier owner's still on the day itself: its table, its day
THAT_DAY = (
    (schema.report, schema.report.c.said_on),
    (schema.job, schema.job.c.out_on),
    (schema.note, schema.note.c.noted_on),
)


class HandingOnTable:
    """The days on which machines were handed on, within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, *, from_owner: int, to_owner: int, on: date) -> None:
        """Hand a machine on: it is another owner's, has no mark of the earlier owner's, and what
        was told until now on that day is theirs."""
        self._rows.insert(
            schema.handing_on, machine_id=machine_id, handed_on=on, from_owner_id=from_owner
        )
        self._rows.update(schema.machine, machine_id, owner_id=to_owner, mark="")
        for table, day in THAT_DAY:
            query = select(table.c.id).where(table.c.machine_id == machine_id, day == on)
            for row in self._rows.all_of(query, "the day a machine was handed on"):
                self._rows.update(table, row.id, earlier_owner=1)

    def give_all(self, owner_id: int, to: int) -> None:
        """Make all machines that were handed on by an owner handed on by another."""
        t = schema.handing_on
        self._rows.update_all(t, t.c.from_owner_id == owner_id, from_owner_id=to)

    def by_machine(self, owners: Mapping[int, Owner]) -> dict[int, HandingOn]:
        """When each machine was last handed on, and by whom it was had before, by its id."""
        t = schema.handing_on.c
        query = select(t.machine_id, t.handed_on, t.from_owner_id).order_by(t.handed_on, t.id)
        days: dict[int, date] = {}
        earlier: dict[int, list[Owner]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day a machine was handed on"):
            with reading(f"{machine_number(row.machine_id)}: whose it was"):
                earlier[row.machine_id].append(owners[row.from_owner_id])
            days[row.machine_id] = row.handed_on
        return {
            machine_id: HandingOn(on=on, earlier=tuple(earlier[machine_id]))
            for machine_id, on in days.items()
        }
