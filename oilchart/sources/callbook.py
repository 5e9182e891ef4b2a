"""Knows how planned calls become rows of the book: a call keeps its number for as long as it is open."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from oilchart.core.calls import PlannedCall
from oilchart.sources.book import Book


def keep_calls(book: Book, planned: Sequence[PlannedCall], today: date) -> None:
    """Bring the open calls of the book in line with the plan, keeping the number of every call that goes on."""
    rows = {row.id: row for row in book.open_calls()}
    for call in planned:
        owner_id = _id_in(call.owner)
        services = tuple((_id_in(service.machine), service.on) for service in call.services)
        its_machines = [machine_id for machine_id, _ in services]
        row = next(
            (
                row
                for machine_id in its_machines
                for row in rows.values()
                if row.owner_id == owner_id and row.about is call.about and machine_id in [its for its, _ in row.services]
            ),
            None,
        )
        if row is None:
            book.add_call(owner_id, about=call.about, on=call.on, services=services, made_on=today)
            continue
        del rows[row.id]
        if (row.on, row.services) != (call.on, services):
            book.move_call(row.id, on=call.on, services=services, changed_on=today)
    for row in rows.values():
        book.close_call(row.id, on=today, by="withdrawn")


def _id_in(number: str) -> int:
    """The number in the book of M-014 or OW-003."""
    return int(number.rpartition("-")[2])
