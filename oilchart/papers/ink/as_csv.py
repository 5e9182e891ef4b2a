"""Knows the CSV form of the due list, as RFC 4180 has it, with a header line; its columns are what other programs rely on."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from oilchart.core.people import Owner
from oilchart.core.schedule import Schedule

DUE_COLUMNS = (
    "machine", "owner", "model", "state", "earliest", "likely", "latest", "days_left", "because", "phone", "chance", "point",
)  # fmt: skip


def due_csv(machines: Iterable[tuple[Schedule, Owner]]) -> bytes:
    """Machines with their owners, in the order given, as UTF-8; what is not known is empty."""
    out = io.StringIO()
    table = csv.writer(out)  # whose plain dialect is RFC 4180
    table.writerow(DUE_COLUMNS)
    table.writerows(_due_row(schedule, owner) for schedule, owner in machines)
    return out.getvalue().encode()


def _due_row(schedule: Schedule, owner: Owner) -> tuple[object, ...]:
    due, risk = schedule.due, schedule.risk
    window = (due.earliest, due.likely, due.latest, due.days_left(schedule.as_of), due.because)
    chance = (None, None) if risk is None else (f"{risk.chance:.2f}", risk.point)
    return schedule.machine.number, owner.name, schedule.machine.chart.id, schedule.state, *window, owner.phone, *chance
