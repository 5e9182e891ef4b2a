"""Knows the shop's week: the machines of the book share its bench and its telephone, and what came
of a call decides what follows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from oilchart.core.lists.settling_in import settling_call
from oilchart.core.planning.call_plan import (
    CallAbout,
    PlannedCall,
    WantedService,
    first_with_room,
    plan_calls,
)
from oilchart.core.planning.call_record import CallRecord, continued_calls
from oilchart.core.planning.capacity import Wanted, place_by_week
from oilchart.core.planning.follow_up import CallOutcome, is_lapsed_round, lapsed_on
from oilchart.core.planning.letter_reason import way_to_reach
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner, Way
from oilchart.sources.book.shop_book import Book
from oilchart.sources.files.settings import Settings


class WeekPlan:
    """All that machines must share on a day.

    Args:
        book: within a transaction.
    """

    def __init__(self, book: Book, settings: Settings, today: date) -> None:
        self._settings = settings
        self._today = today
        self._outcomes = book.calls.outcomes()
        self._answered = book.calls.answered_settling()
        self._open = book.calls.open()
        self._outcomes_by_call = book.calls.outcomes_by_call()
        self._promised = {
            (call.about, machine_id): call.promised_on
            for call in self._open
            if call.promised_on
            for machine_id, _ in call.services
        }

    def share(self, standings: Sequence[Standing]) -> list[Standing]:
        """The machines with their next services in weeks that hold only so many, and their owners'
        answers."""
        visited = _visited(each.record for each in standings)
        answered = []
        for each in self._share_the_bench(standings):
            told = self._outcomes.get(each.record.owner.id, [])
            since = lapsed_on(told, visited.get(each.record.owner.id))
            lapsed = since if since is not None and since <= self._today else None
            answered.append(replace(each, outcomes=tuple(told), lapsed_on=lapsed) if told else each)
        return answered

    def calls(self, standings: Sequence[Standing]) -> list[PlannedCall]:
        """The calls before services, and those about machines that settle in; to nobody who is left
        alone or let be."""
        visited = _visited(each.record for each in standings)
        owners = {each.record.owner.id for each in standings}
        let_be = {
            owner
            for owner in owners
            if is_lapsed_round(self._outcomes.get(owner, []), visited.get(owner))
        }
        may_be_rung = [
            each
            for each in standings
            if each.record.owner.do_not_contact is None and each.record.open_job is None
        ]
        settling = self._settling_calls(may_be_rung)
        wanted = [
            WantedService(
                owner=each.record.owner.id,
                machine=each.record.id,
                on=each.schedule.services[0].on,
            )
            for each in may_be_rung
            if each.schedule.services
            and each.schedule.booked is None
            and each.record.owner.id not in let_be
        ]
        calls = plan_calls(
            wanted,
            today=self._today,
            open_days=self._settings.open_days,
            lead_days=self._settings.lead_days,
            limit=self._settings.calls_a_day,
            taken=Counter(call.on for call in settling),
            promised={
                each.machine: day
                for each in wanted
                if (day := self._promised.get((CallAbout.SERVICE, each.machine))) is not None
            },
        )
        by_id = {each.record.owner.id: each.record.owner for each in may_be_rung}
        return [
            replace(call, way=self._way(by_id[call.owner], kept))
            for call, kept in continued_calls([*calls, *settling], self._open)
        ]

    def _way(self, owner: Owner, kept: CallRecord | None) -> Way:
        """How an owner is reached, after what came so far of the call that the book keeps."""
        outcomes = [] if kept is None else self._outcomes_by_call.get(kept.id, [])
        return way_to_reach(owner, outcomes)

    def first_free_day(self, day: date) -> date:
        """The first open day from a day on with room for a promised call."""
        promised = Counter(call.promised_on for call in self._open if call.promised_on)
        return first_with_room(
            max(day, self._today),
            open_days=self._settings.open_days,
            limit=self._settings.calls_a_day,
            taken=promised,
        )

    def is_lapsed_round(
        self, owner: Owner, told: Iterable[CallOutcome], records: Iterable[MachineRecord]
    ) -> bool:
        """Whether with this outcome more two rounds have passed for an owner of these machines."""
        return is_lapsed_round(
            [*self._outcomes.get(owner.id, []), *told], _visited(records).get(owner.id)
        )

    def _settling_calls(self, standings: Iterable[Standing]) -> list[PlannedCall]:
        calls = []
        for each in standings:
            freed = each.schedule.machine.freed
            if freed is None or (each.record.id, freed) in self._answered:
                continue
            day = settling_call(freed, today=self._today, open_days=self._settings.open_days)
            promised = self._promised.get((CallAbout.SETTLING_IN, each.record.id))
            if day is not None:
                about = WantedService(owner=each.record.owner.id, machine=each.record.id, on=freed)
                calls.append(
                    PlannedCall(
                        owner=about.owner,
                        about=CallAbout.SETTLING_IN,
                        on=max(day, promised or day),
                        services=(about,),
                    )
                )
        return calls

    def _share_the_bench(self, standings: Sequence[Standing]) -> list[Standing]:
        """Place the next services in weeks that hold only so many, less those already done or
        booked."""
        limit = self._settings.services_a_week
        if limit is None:
            return list(standings)
        wanted = [
            Wanted(
                key=each.record.id,
                deadline=each.schedule.services[0].deadline,
                fixed=each.schedule.booked,
            )
            for each in standings
            if each.schedule.services and each.record.open_job is None
        ]
        done = Counter(
            service.on - timedelta(days=service.on.weekday())
            for each in standings
            for service in each.record.services
        )
        placed = place_by_week(
            wanted, today=self._today, open_days=self._settings.open_days, limit=limit, taken=done
        )
        days = {place.key: place.on for place in placed}
        shared = []
        for each in standings:
            day = days.get(each.record.id)
            moved = day is not None and day != each.schedule.services[0].on
            shared.append(
                replace(each, schedule=each.reckoning.schedule(self._today, day)) if moved else each
            )
        return shared


def _visited(records: Iterable[MachineRecord]) -> dict[int, date]:
    """The day on which any machine of an owner was last in the shop, by the owner's id."""
    days: dict[int, date] = {}
    for record in records:
        if record.visited is not None:
            days[record.owner.id] = max(record.visited, days.get(record.owner.id, date.min))
    return days


def with_calls(standings: Iterable[Standing], calls: Iterable[PlannedCall]) -> list[Standing]:
    """Machines with the calls that are planned for them."""
    planned = {(call.about, service.machine): call for call in calls for service in call.services}
    return [
        replace(
            each,
            schedule=replace(
                each.schedule,
                call=planned.get((CallAbout.SERVICE, each.record.id)),
                settling_call=planned.get((CallAbout.SETTLING_IN, each.record.id)),
            ),
        )
        for each in standings
    ]


def open_call(
    call: CallRecord, records: Mapping[int, MachineRecord], told: Sequence[CallOutcome]
) -> OpenCall:
    """A call of the book with the machines and the owner it is for.

    Args:
        records: the machines by their number in the book.
        told: what came of the call so far.
    """
    owner = records[call.services[0][0]].owner
    return OpenCall(
        id=call.id,
        owner=owner,
        about=call.about,
        on=call.on,
        made_on=call.made_on,
        changed_on=call.changed_on,
        changes=call.changes,
        services=tuple((records[machine_id], on) for machine_id, on in call.services),
        promised_on=call.promised_on,
        way=way_to_reach(owner, told),
        outcomes=tuple(told),
    )
