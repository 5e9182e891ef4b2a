"""A call that the shop has still to make, as its book keeps it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout


@dataclass(frozen=True, slots=True, kw_only=True)
class CallRecord:
    """An open call: its day, and the planned service day of each machine it is for, by the
    machine's number in the book.

    Args:
        promised_on: the day the owner was promised to be rung; None where the plan may move it.
    """

    id: int
    owner_id: int
    about: CallAbout
    on: date
    made_on: date
    changed_on: date
    changes: int
    services: tuple[tuple[int, date], ...]
    promised_on: date | None = None
