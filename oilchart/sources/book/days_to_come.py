"""What the shop book has of days after today, though it was done: a clock that ran ahead leaves
such days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import Column, Connection, and_, select, text
from sqlalchemy.sql.expression import ColumnElement

from oilchart.core.records.machine_record import machine_number
from oilchart.core.records.owner import owner_number
from oilchart.sources.book import schema

# what is told of: the day it was done, and whose it is
DONE: dict[str, tuple[Column[date], Column[int]]] = {
    "service": (schema.service.c.done_on, schema.service.c.machine_id),
    "report of use": (schema.report.c.said_on, schema.report.c.machine_id),
    "check-in": (schema.job.c.in_on, schema.job.c.machine_id),
    "ready": (schema.job.c.ready_on, schema.job.c.machine_id),
    "collected": (schema.job.c.out_on, schema.job.c.machine_id),
    "part wanted": (schema.part.c.wanted_on, schema.part.c.machine_id),
    "part here": (schema.part.c.here_on, schema.part.c.machine_id),
    "question": (schema.question.c.asked_on, schema.question.c.machine_id),
    "answer": (schema.question.c.answered_on, schema.question.c.machine_id),
    "photo": (schema.photo.c.added_on, schema.photo.c.machine_id),
    "electrical check": (
        schema.electrical_check.c.checked_on,
        schema.electrical_check.c.machine_id,
    ),
    "found unsafe": (schema.unsafe_mark.c.found_on, schema.unsafe_mark.c.machine_id),
    "put right": (schema.unsafe_mark.c.lifted_on, schema.unsafe_mark.c.machine_id),
    "repair": (schema.repair.c.done_on, schema.repair.c.machine_id),
    "note": (schema.note.c.noted_on, schema.note.c.machine_id),
    "note of an owner": (schema.note.c.noted_on, schema.note.c.owner_id),
    "handed on": (schema.handing_on.c.handed_on, schema.handing_on.c.machine_id),
    "gone": (schema.machine.c.gone_on, schema.machine.c.id),
    "shorter interval": (schema.own_intervals.c.accepted_on, schema.own_intervals.c.machine_id),
    "call": (schema.outcome.c.told_on, schema.outcome.c.owner_id),
    "left alone": (schema.owner.c.left_alone_on, schema.owner.c.id),
}
OF_OWNERS = ("call", "left alone", "note of an owner")
# days that are kept beside these and go along with them
BESIDE: tuple[Column[date], ...] = (
    schema.owner.c.added_on,
    schema.machine.c.added_on,
    schema.own_intervals.c.found_on,
    schema.service_point.c.done_on,
    schema.without_point.c.since,
    schema.worked_under.c.since,
    schema.worked_under.c.until,
    schema.part.c.ordered_on,
    schema.part.c.ended_on,
    schema.call.c.made_on,
    schema.call.c.changed_on,
    schema.call.c.closed_on,
    schema.booking.c.made_on,
    schema.booking.c.closed_on,
    schema.calendar_entry.c.withdrawn_on,
    schema.change.c.made_on,
    schema.paper.c.made_on,
)
# as bare SQL, since every command asks; a day that is none is left to its reader
_ALL = text(
    " UNION ALL ".join(
        f"SELECT '{what}', {whose.name}, {day.name} FROM {day.table.name} "
        f"WHERE {day.name} > :today AND {day.name} GLOB '[0-9]*-[0-9]*-[0-9]*' "
        f"AND {whose.name} IS NOT NULL"
        for what, (day, whose) in DONE.items()
    )
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayToCome:
    """Something that was done, on a day after today.

    Args:
        what: like "service".
        whose: the number of the machine, or of the owner.
    """

    what: str
    whose: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class PromisedCall:
    """An open call that was promised on a day after today, by its number."""

    id: int
    promised_on: date
    made_on: date


class DaysToCome:
    """The days after today within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def all(self, today: date) -> list[DayToCome]:
        """What the book has of days after today, by day."""
        found = []
        for what, number, day in self._connection.execute(_ALL, {"today": today.isoformat()}):
            try:
                on = date.fromisoformat(day)
            except (TypeError, ValueError):
                continue
            whose = owner_number(number) if what in OF_OWNERS else machine_number(number)
            found.append(DayToCome(what=what, whose=whose, on=on))
        return sorted(found, key=lambda each: (each.on, each.whose, each.what))

    def promised(self, today: date) -> list[PromisedCall]:
        """The open calls whose day follows from a call made after today, and was not named by the
        owner."""
        call, told = schema.call.c, schema.outcome.c
        named = (
            select(told.id)
            .where(told.owner_id == call.owner_id, told.told_on == call.changed_on)
            .where(told.outcome.in_(("later", "rang back")))
            .exists()
        )
        query = select(call.id, call.promised_on, call.changed_on).where(
            call.closed_on.is_(None), call.promised_on.is_not(None), call.changed_on > today, ~named
        )
        return [
            PromisedCall(id=row.id, promised_on=row.promised_on, made_on=row.changed_on)
            for row in self._connection.execute(query)
        ]

    def set_to(self, day: date, today: date) -> None:
        """Give all that is of days after today another day."""
        for column in (*(day_of for day_of, _ in DONE.values()), *BESIDE):
            later: ColumnElement[bool] = and_(column > today)
            self._connection.execute(column.table.update().where(later).values({column.name: day}))
