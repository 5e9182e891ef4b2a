"""The calls to owners: planned, and kept in the book; a call keeps its number for as long as it is
open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.call_plan import CallAbout, PlannedCall
from oilchart.core.planning.call_record import CallRecord, continued_calls
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
    settings, so_far = shop.settings_in(book), read_calls(book)
    standings, planned = _planned(book, shop, settings, so_far, owners)
    sync_calls(book.calls, planned, shop.today)
    by_id = {each.record.id: each.record for each in standings}
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


def keep_promises(book: Book, shop: Shop, owners: Iterable[int], since: date) -> None:
    """Open the promised calls to owners again that the plan alone has withdrawn since a day, as far
    as it wants them now: the promise was not taken back."""
    withdrawn = book.calls.withdrawn_promises(owners, since)
    if not withdrawn:
        return
    for call_id in withdrawn:
        book.calls.reopen(call_id)
    so_far = read_calls(book)
    _, planned = _planned(book, shop, shop.settings_in(book), so_far)
    wanted = {kept.id for _, kept in continued_calls(planned, so_far.open) if kept is not None}
    for call_id, day in withdrawn.items():
        if call_id not in wanted:
            book.calls.close(call_id, on=day, by="withdrawn")


def _planned(
    book: Book,
    shop: Shop,
    settings: Settings,
    so_far: CallsSoFar,
    owners: Mapping[int, Owner] | None = None,
) -> tuple[list[Standing], list[PlannedCall]]:
    """How all machines stand, and the calls that are wanted; the book stays as it is."""
    alone_today = alone(shop, settings, book.machines.all(owners))
    standings = share_bench_weeks(alone_today, so_far, settings, shop.today)
    return standings, planned_calls(standings, so_far, settings, shop.today)


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
