"""The calls to owners: planned, and kept in the book; a call keeps its number for as long as it is
open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.call_record import CallRecord
from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.planning.ways_to_reach import way_to_reach
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner
from oilchart.shop.call_and_bench_plan import (
    CallsSoFar,
    planned_calls,
    read_calls,
    share_bench_weeks,
    with_calls,
)
from oilchart.shop.folder import Shop
from oilchart.shop.standings import alone
from oilchart.sources.book.calls import sync_calls
from oilchart.sources.book.file.opening import Book
from oilchart.sources.files.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CallPlan:
    """The calls still to be made, and how all machines stand.

    Args:
        standings: by number.
        calls: by day and owner.
        so_far: the calls as they were before the book was brought in line with the plan.
    """

    settings: Settings
    standings: tuple[Standing, ...]
    calls: tuple[OpenCall, ...]
    so_far: CallsSoFar

    @property
    def records(self) -> tuple[MachineRecord, ...]:
        """All machines, by number."""
        return tuple(standing.record for standing in self.standings)


def plan(book: Book, shop: Shop, owners: Mapping[int, Owner] | None = None) -> CallPlan:
    """Plan the calls, and bring those of the book in line.

    Args:
        owners: all owners by id, where they were read already.
    """
    records = book.machines.all(owners)
    settings, so_far = shop.settings_in(book), read_calls(book)
    standings = share_bench_weeks(alone(shop, settings, records), so_far, settings, shop.today)
    planned = planned_calls(standings, so_far, settings, shop.today)
    sync_calls(book.calls, planned, shop.today)
    by_id = {record.id: record for record in records}
    deadlines = {
        (call.about, service.machine): call.deadline
        for call in planned
        for service in call.services
    }
    calls = [
        _open_call(call, by_id, so_far.of_open.get(call.id, ()), deadlines)
        for call in book.calls.open()
    ]
    return CallPlan(
        settings=settings,
        standings=tuple(with_calls(standings, planned)),
        calls=tuple(sorted(calls, key=lambda call: (call.on, call.owner.id, call.id))),
        so_far=so_far,
    )


def _open_call(
    call: CallRecord,
    records: Mapping[int, MachineRecord],
    outcomes: Sequence[CallOutcome],
    deadlines: Mapping[tuple[CallAbout, int], date | None],
) -> OpenCall:
    """A call of the book with the machines and the owner it is for.

    Args:
        records: the machines by id.
        outcomes: what came of the call so far.
        deadlines: of the planned calls, by what they are about and each of their machines.
    """
    owner = records[call.services[0][0]].owner
    return OpenCall(
        id=call.id,
        owner=owner,
        about=call.about,
        on=call.on,
        services=tuple((records[machine_id], on) for machine_id, on in call.services),
        promised_on=call.promised_on,
        deadline=deadlines.get((call.about, call.services[0][0])),
        way=way_to_reach(owner, outcomes),
        outcomes=tuple(outcomes),
    )
