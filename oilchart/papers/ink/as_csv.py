"""Knows the CSV form of the due list, as RFC 4180 has it, with a header line; its columns are what other programs rely on."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from oilchart.papers.due import DueLine, told_words

DUE_COLUMNS = (
    "machine", "owner", "model", "state", "earliest", "likely", "latest", "days_left", "because", "phone", "chance", "point",
    "booked", "last_contact", "lapsed", "left_alone",
)  # fmt: skip


def due_csv(lines: Iterable[DueLine]) -> bytes:
    """Machines with their owners, in the order given, as UTF-8; what is not known is empty."""
    out = io.StringIO()
    table = csv.writer(out)  # whose plain dialect is RFC 4180
    table.writerow(DUE_COLUMNS)
    table.writerows(_due_row(line) for line in lines)
    return out.getvalue().encode()


def _due_row(line: DueLine) -> tuple[object, ...]:
    schedule, owner = line.schedule, line.owner
    due, risk = schedule.due, schedule.risk
    window = (due.earliest, due.likely, due.latest, due.days_left(schedule.as_of), due.because)
    chance = (None, None) if risk is None else (f"{risk.chance:.2f}", risk.point)
    contact = (schedule.booked, told_words(line.told[-1]) if line.told else None, line.lapsed_on)
    alone = None if owner.left_alone is None else owner.left_alone.why
    return schedule.machine.number, owner.name, schedule.machine.chart.id, schedule.state, *window, owner.phone, *chance, *contact, alone
