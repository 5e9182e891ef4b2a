"""A call that the shop has still to make, as its book keeps it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout, PlannedCall


@dataclass(frozen=True, slots=True, kw_only=True)
class CallRecord:
    """An open call: its day, and the planned service day of each machine it is for, by the
    machine's id in the book.

    Args:
        promised_on: the day the owner was promised to be rung; None where the plan may move it.
    """

    id: int
    owner_id: int
    about: CallAbout
    on: date
    services: tuple[tuple[int, date], ...]
    promised_on: date | None = None


def continued_calls(
    planned: Iterable[PlannedCall], kept: Iterable[CallRecord]
) -> list[tuple[PlannedCall, CallRecord | None]]:
    """Planned calls, in the order given, each with the open call that goes on as this one; None
    where it is a new one.

    A promised one goes on first, then that of the first machine; each goes on once.
    """
    rows: dict[tuple[int, CallAbout], dict[int, CallRecord]] = defaultdict(dict)
    for row in kept:
        rows[row.owner_id, row.about][row.id] = row
    pairs = []
    for call in planned:
        theirs = rows.get((call.owner, call.about), {})
        found = _continued(call, theirs.values())
        if found is not None:
            del theirs[found.id]
        pairs.append((call, found))
    return pairs


def _continued(call: PlannedCall, kept: Iterable[CallRecord]) -> CallRecord | None:
    """The open call that goes on as a planned one, of those to its owner about the same."""
    machines = [service.machine for service in call.services]
    fitting = []
    for row in kept:
        shared = [machines.index(machine) for machine, _ in row.services if machine in machines]
        if shared:
            fitting.append((row.promised_on is None, min(shared), row.id, row))
    return min(fitting, key=lambda each: each[:3])[3] if fitting else None
