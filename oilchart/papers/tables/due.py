"""The list of machines that are due: as a table, as JSON, and as CSV.

The CSV is as RFC 4180 has it, with a header line. Words that a spreadsheet would take for a formula
have an apostrophe before them, as spreadsheets themselves write such words.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from oilchart.core.planning.standing import Standing
from oilchart.core.planning.tally import by_state
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.stay_state import stay_states
from oilchart.papers.contact_words import (
    contact_words,
    last_outcome,
    moved_from,
    outcome_words,
)
from oilchart.papers.screen import STATE_WIDE, Column, Screen, day_cell, table
from oilchart.papers.stay_words import short_state_words
from oilchart.papers.tables.dangers import danger_cell, danger_values
from oilchart.papers.tables.json_text import json_text, window_json
from oilchart.papers.wording import chance_words, counted

COLUMNS = (
    Column("State", wraps=True, narrowest=STATE_WIDE),
    Column("Machine", wraps=True, narrowest=9),
    Column("Owner", wraps=True, narrowest=10),
    Column("Phone"),
    Column("Wanted by"),
    Column("Days", right=True, spare=True),
    Column("Chance", spare=True),
    Column("Because", spare=True),
    Column("Contact", wraps=True, optional=True),
)
CSV_COLUMNS = (
    "machine", "owner", "model", "state", "earliest", "likely", "latest", "days_left", "because",
    "phone", "chance", "point", "booked", "last_contact", "lapsed", "left_alone", "unsafe",
    "danger", "unsafe_since", "moved_from", "missed", "declined_until", "stay",
    "wanted_by", "careful",
)  # fmt: skip
BOOKED = "booked"  # beside the state, since what is said of contact finds room on wide screens only
_FORMULA = re.compile(r"[=+\-@\t\r]")
_TELEPHONE = re.compile(r"\+[\d ()./-]*")


def due_text(standings: Iterable[Standing], screen: Screen) -> str:
    """The machines that want attention, in the order given; contact with their owners where there
    was any. What makes one unsafe stands first, in its state."""
    return table(COLUMNS, [_cells(standing) for standing in standings], screen)


def _cells(standing: Standing) -> list[str]:
    schedule, owner = standing.schedule, standing.record.owner
    days, wanted_by = schedule.days_left, schedule.wanted_by
    state = danger_cell(standing.record.dangers, schedule.state)
    if job := standing.record.open_job:  # it falls due no more
        state = f"{state}, {short_state_words(standing.record, job)}"
        days = wanted_by = None
    return [
        state if schedule.booked is None else f"{state}, {BOOKED}",
        f"{standing.record.number} {schedule.machine.point_list.name}",
        owner.name,
        owner.phone,
        day_cell(wanted_by),
        "" if days is None else str(days),
        "" if schedule.risk is None else chance_words(schedule.risk.chance),
        schedule.due.because or "",
        contact_words(standing),
    ]


def due_json(standings: Iterable[Standing]) -> str:
    """Machines with their owners, in the order given."""
    return json_text([_values(standing) for standing in standings])


def _values(standing: Standing) -> dict[str, Any]:
    schedule, owner = standing.schedule, standing.record.owner
    risk, last = schedule.risk, last_outcome(standing)
    return {
        "machine": standing.record.number,
        "owner": owner.name,
        "model": schedule.machine.point_list.id or None,
        "state": schedule.state,
        "due": window_json(schedule.due),
        "days_left": schedule.due.days_left(schedule.as_of),
        "because": schedule.due.because,
        "wanted_by": schedule.wanted_by,
        "phone": owner.phone,
        "chance": None if risk is None else round(risk.chance, 2),
        "point": None if risk is None else risk.point,
        "booked": schedule.booked,
        "last_contact": None
        if last is None
        else {"on": last.on, "outcome": last.outcome, "day": last.day, "note": last.note},
        "lapsed": standing.lapsed_on,
        "stay": _stay(standing.record),
        "left_alone": None if owner.do_not_contact is None else owner.do_not_contact.why,
        **_booking(standing),
        **danger_values(standing.record.dangers),
    }


def _stay(record: MachineRecord) -> dict[str, Any] | None:
    """The stay of a machine in the shop; None while it is with its owner."""
    job = record.open_job
    if job is None:
        return None
    return {
        "job": job.number,
        "since": job.in_on,
        "states": list(stay_states(record, job)),
        "ready_by": job.ready_by,
    }


def _booking(standing: Standing) -> dict[str, date | None]:
    """From which day the booked one was moved, which booked day went by without the machine, and
    until when its owner has declined."""
    record, as_of = standing.record, standing.schedule.as_of
    before = moved_from(record) if standing.schedule.booked is not None else None
    last = record.bookings[-1] if record.bookings else None
    return {
        "moved_from": None if before is None else before.day,
        "missed": last.day if last is not None and last.was_missed(as_of) else None,
        "declined_until": standing.declined_until,
    }


def due_csv(standings: Iterable[Standing]) -> bytes:
    """Machines with their owners, in the order given, as UTF-8; what is not known is empty."""
    out = io.StringIO()
    rows = csv.writer(out)  # whose plain dialect is RFC 4180
    rows.writerow(CSV_COLUMNS)
    rows.writerows(_csv_row(standing) for standing in standings)
    return out.getvalue().encode()


def _csv_row(standing: Standing) -> tuple[object, ...]:
    schedule, owner = standing.schedule, standing.record.owner
    due, risk = schedule.due, schedule.risk
    window = (due.earliest, due.likely, due.latest, due.days_left(schedule.as_of), due.because)
    chance = (None, None) if risk is None else (f"{risk.chance:.2f}", risk.point)
    last = last_outcome(standing)
    contact = (
        schedule.booked,
        None if last is None else outcome_words(last),
        standing.lapsed_on,
        None if owner.do_not_contact is None else _no_formula(owner.do_not_contact.why),
    )
    whose = (
        standing.record.number,
        _no_formula(owner.name),
        schedule.machine.point_list.id,
        schedule.state,
    )
    dangers = standing.record.dangers
    unsafe = (
        _no_formula("; ".join(mark.why for mark in dangers)),
        "; ".join(mark.danger for mark in dangers),
        "; ".join(mark.on.isoformat() for mark in dangers),
    )
    booking = tuple(_booking(standing).values())
    job = standing.record.open_job
    stay = None if job is None else short_state_words(standing.record, job)
    more = stay, schedule.wanted_by, due.careful
    return *whose, *window, _no_formula(owner.phone), *chance, *contact, *unsafe, *booking, *more


def _no_formula(words: str) -> str:
    """Words of the owner or the shop, such that no spreadsheet reckons with them; a telephone
    number that begins with + stays."""
    return f"'{words}" if _FORMULA.match(words) and not _TELEPHONE.fullmatch(words) else words


def summary(machines: Iterable[Standing]) -> str:
    """How many machines stand how: "2 overdue, 3 due soon, 13 in time"."""
    counts = by_state(machines)
    return ", ".join(f"{count} {state}" for state, count in counts if count) or counted(
        0, "machine"
    )
