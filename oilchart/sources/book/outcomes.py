"""What came of the calls to owners, in the shop book."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, select

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.records.machine_record import machine_number
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class OutcomeTable:
    """The outcomes of calls within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, owner_id: int, outcome: CallOutcome, call_id: int | None) -> None:
        """Keep what came of a call.

        Args:
            call_id: of the call in the book; None where none was planned.
        """
        self._rows.insert(
            schema.outcome,
            owner_id=owner_id,
            call_id=call_id,
            about=outcome.about,
            told_on=outcome.on,
            outcome=outcome.outcome,
            day=outcome.day,
            note=outcome.note,
            machines=";".join(map(machine_number, outcome.machines)),
        )

    def give_all(self, owner_id: int, to: int) -> None:
        """Make what came of the calls to an owner that of calls to another."""
        t = schema.outcome
        self._rows.update_all(t, t.c.owner_id == owner_id, owner_id=to)

    def told_last(self, owner_id: int) -> tuple[int, CallOutcome] | None:
        """What was told last of the calls to an owner, whatever its day, with the id of its row;
        None where nothing was."""
        t = schema.outcome.c
        query = _outcomes().where(t.owner_id == owner_id).order_by(t.id.desc()).limit(1)
        for row in self._rows.all_of(query, "the day of a call's outcome"):
            return row.id, _outcome_from_row(row)
        return None

    def note_anew(self, ids: Iterable[int], note: str) -> None:
        """Keep outcomes anew, by the ids of their rows, with another note.

        They are rows of their own afterwards, as those are that are told in the place of others.
        """
        t = schema.outcome
        names = [column.name for column in t.columns if column.name not in ("id", "note")]
        query = select(*(t.c[name] for name in names)).where(t.c.id.in_(ids)).order_by(t.c.id)
        rows = self._rows.all_of(query, "the day of a call's outcome")
        self._rows.delete(t, t.c.id.in_(ids))
        for row in rows:
            self._rows.insert(t, **dict(zip(names, row, strict=True)), note=note)

    def by_owner(self) -> dict[int, list[CallOutcome]]:
        """What came of all calls, by the owner's id, in the order of their days."""
        t = schema.outcome.c
        found: dict[int, list[CallOutcome]] = defaultdict(list)
        for row in self._rows.all_of(
            _outcomes().order_by(t.owner_id, t.told_on, t.id), "the day of a call's outcome"
        ):
            found[row.owner_id].append(_outcome_from_row(row))
        return found

    def by_open_call(self) -> dict[int, list[CallOutcome]]:
        """What came of each open call so far, by its id; not what another said, whose call it was
        before the machine's owner was corrected."""
        t, call = schema.outcome.c, schema.call.c
        query = (
            _outcomes()
            .join(schema.call, call.id == t.call_id)
            .where(call.closed_on.is_(None), call.owner_id == t.owner_id)
            .order_by(t.told_on, t.id)
        )
        found: dict[int, list[CallOutcome]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a call's outcome"):
            found[row.call_id].append(_outcome_from_row(row))
        return found


def _outcomes() -> Any:
    t = schema.outcome.c
    return select(
        t.id, t.owner_id, t.call_id, t.about, t.told_on, t.outcome, t.day, t.note, t.machines
    )


def _outcome_from_row(row: Any) -> CallOutcome:
    with reading(f"what came of the call of {row.told_on}"):
        machines = tuple(
            int(number.removeprefix("M-")) for number in row.machines.split(";") if number
        )
        return CallOutcome(
            on=row.told_on,
            outcome=Outcome(row.outcome),
            about=CallAbout(row.about),
            day=row.day,
            note=row.note,
            machines=machines,
        )
