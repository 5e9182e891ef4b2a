"""The shop's week: its machines share its bench and its telephone, and what came of a call decides
what follows."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.days import add_days
from oilchart.core.planning.call_plan import (
    CallAbout,
    PlannedCall,
    WantedService,
    first_with_room,
    plan_calls,
)
from oilchart.core.planning.call_record import CallRecord, continued_calls
from oilchart.core.planning.capacity import Wanted, place_by_week
from oilchart.core.planning.follow_up import (
    TRIED_AGAIN_TOMORROW,
    CallOutcome,
    declined_until,
    has_lapsed,
    lapsed_on,
)
from oilchart.core.planning.standing import Standing
from oilchart.core.planning.stay_calls import rung_on, stay_calls
from oilchart.core.planning.visits import PlannedService, brought_together, monday_of
from oilchart.core.planning.ways_to_reach import way_to_reach
from oilchart.core.point_lists.settling_in import settling_call
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.wanted_parts import wanted_parts
from oilchart.sources.book.file.opening import Book
from oilchart.sources.files.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CallsSoFar:
    """The open calls of the book, and what came of calls.

    Args:
        outcomes: what came of all calls, by the owner's id.
        of_open: what came of each open call, by its id.
        answered_settling: machines, by id and the day they were freed, whose owners were rung about
            settling in with an end to it.
    """

    open: tuple[CallRecord, ...]
    outcomes: Mapping[int, Sequence[CallOutcome]]
    of_open: Mapping[int, Sequence[CallOutcome]]
    answered_settling: frozenset[tuple[int, date]]

    def promised(self, about: CallAbout) -> dict[int, date]:
        """The days on which owners are promised to be rung, by the id of the machine."""
        return {
            machine_id: call.promised_on
            for call in self.open
            if call.promised_on and call.about is about
            for machine_id, _ in call.services
        }

    def waits(self) -> tuple[dict[int, date], dict[int, date]]:
        """The days of the next calls to owners who know of them, since they were spoken to or
        written to: by the id of each machine that a call is for; and, where what came of it was
        told of all machines of the owner, by the owner's id."""
        machines: dict[int, date] = {}
        owners: dict[int, date] = {}
        for call in self.open:
            told = self.of_open.get(call.id)
            unheard = told and told[-1].outcome in TRIED_AGAIN_TOMORROW
            if call.promised_on is None or not call.about.is_for_service or unheard:
                continue
            machines.update(dict.fromkeys((each for each, _ in call.services), call.promised_on))
            heard = [
                each for each in self.outcomes.get(call.owner_id, ()) if each.about.is_for_service
            ]
            if heard and not heard[-1].machines:
                owners[call.owner_id] = call.promised_on
        return machines, owners


def read_calls(book: Book) -> CallsSoFar:
    """The calls of the book, and what came of them."""
    return CallsSoFar(
        open=tuple(book.calls.open()),
        outcomes=book.outcomes.by_owner(),
        of_open=book.outcomes.by_open_call(),
        answered_settling=frozenset(book.calls.answered_settling()),
    )


def share_bench_weeks(
    standings: Sequence[Standing], so_far: CallsSoFar, settings: Settings, today: date
) -> list[Standing]:
    """The machines with their next services in weeks that hold only so many, and with what came of
    the calls to their owners."""
    visited = _visited(each.record for each in standings)
    promised = {**so_far.promised(CallAbout.SERVICE), **so_far.promised(CallAbout.COME_BACK)}
    waits_for, waits_with_owner = so_far.waits()
    with_outcomes = []
    for each in standings:
        record = each.record
        outcomes = so_far.outcomes.get(record.owner.id, ())
        since = lapsed_on(outcomes, visited.get(record.owner.id))
        next_call = promised.get(record.id)
        until = declined_until(outcomes, record.id, record.visited)
        if until is not None:
            until = next_call or until
        not_before = waits_for.get(record.id) or waits_with_owner.get(record.owner.id) or until
        with_outcomes.append(
            replace(
                each,
                outcomes=tuple(outcomes),
                lapsed_on=since if since is not None and since <= today else None,
                declined_until=until if until is not None and until > today else None,
                not_before=not_before if not_before is not None and not_before > today else None,
                waits_for_nobody=(
                    record.owner.do_not_contact is not None
                    or has_lapsed(outcomes, visited.get(record.owner.id))
                ),
            )
        )
    return _share_bench(with_outcomes, settings, today)


def planned_calls(
    standings: Sequence[Standing], so_far: CallsSoFar, settings: Settings, today: date
) -> list[PlannedCall]:
    """The calls before services, those about machines that settle in, and those of stays; to nobody
    who is left alone, and about services to nobody who is lapsed, unless a machine could hurt
    someone."""
    visited = _visited(each.record for each in standings)
    lapsed = {
        owner_id
        for owner_id in {each.record.owner.id for each in standings}
        if has_lapsed(so_far.outcomes.get(owner_id, ()), visited.get(owner_id))
    }
    not_left_alone = [each for each in standings if each.record.owner.do_not_contact is None]
    may_be_rung = [each for each in not_left_alone if each.record.open_job is None]
    calls = _stay_calls(not_left_alone, so_far, settings, today)
    calls += _settling_calls(may_be_rung, so_far, settings, today)
    to_be_served = [
        each
        for each in may_be_rung
        if each.schedule.services
        and each.schedule.booked is None
        and (each.record.owner.id not in lapsed or each.record.dangers)
    ]
    # those that cannot wait have the first choice of days
    for about in (CallAbout.COME_BACK, CallAbout.SERVICE):
        promised = so_far.promised(about)
        wanted = [
            WantedService(
                owner=each.record.owner.id,
                machine=each.record.id,
                on=each.schedule.services[0].on,
                wanted_by=_call_wanted_by(each, settings.lead_days),
                weight=0 if each.schedule.risk is None else each.schedule.risk.weight,
                ring_on=promised.get(each.record.id),
                declined=each.declined_until is not None,
                known_since=_known_since(each),
            )
            for each in to_be_served
            if _comes_back(each, settings) is (about is CallAbout.COME_BACK)
        ]
        calls += plan_calls(
            wanted,
            today=today,
            open_days=settings.limits.open_days,
            lead_days=settings.lead_days,
            limit=settings.limits.calls_a_day,
            taken=Counter(call.on for call in calls),
            about=about,
        )
    owners = {each.record.owner.id: each.record.owner for each in not_left_alone}
    return [
        replace(
            call,
            way=way_to_reach(
                owners[call.owner], () if kept is None else so_far.of_open.get(kept.id, ())
            ),
        )
        for call, kept in continued_calls(_by_day(calls), so_far.open)
    ]


def _known_since(standing: Standing) -> date:
    """The day from which somebody could be rung about a machine: it was written down, and went home
    from its last stay, and did not come on a day that was agreed."""
    record = standing.record
    stays = [job.out_on for job in record.jobs if job.out_on is not None]
    return max(record.added_on, standing.schedule.machine.missed or date.min, *stays)


def _call_wanted_by(standing: Standing, lead_days: int) -> date:
    """The day that decides when the owner is rung: for a machine that could hurt someone the call
    is due on the day that was found."""
    wanted = standing.schedule.services[0].wanted_by
    found = min((mark.on for mark in standing.record.dangers), default=date.max)
    return min(wanted, add_days(found, lead_days))


def _by_day(calls: Iterable[PlannedCall]) -> list[PlannedCall]:
    """Calls in the order of their days, those about services first."""
    return sorted(calls, key=lambda call: (not call.about.is_for_service, call.on, call.owner))


def _comes_back(standing: Standing, settings: Settings) -> bool:
    """Whether the next service is the day on which the machine is wanted back for what the last one
    left out."""
    back_on = standing.schedule.machine.back_on
    if back_on is None:
        return False
    deadline = settings.limits.open_days.latest_open(back_on)
    return standing.schedule.services[0].deadline == deadline


def first_free_day(day: date, so_far: CallsSoFar, settings: Settings, today: date) -> date:
    """The first open day from a day on with room for a promised call."""
    return first_with_room(
        max(day, today),
        open_days=settings.limits.open_days,
        limit=settings.limits.calls_a_day,
        taken=Counter(call.promised_on for call in so_far.open if call.promised_on),
    )


def lapses_with(
    outcome: CallOutcome, so_far: CallsSoFar, owner_id: int, records: Sequence[MachineRecord]
) -> bool:
    """Whether with one outcome more two rounds have passed for the owner of these machines."""
    outcomes = [*so_far.outcomes.get(owner_id, ()), outcome]
    return has_lapsed(outcomes, _visited(records).get(owner_id))


def with_calls(standings: Iterable[Standing], calls: Iterable[PlannedCall]) -> list[Standing]:
    """Machines with the calls that are planned for them."""
    planned = {(call.about, service.machine): call for call in calls for service in call.services}
    return [
        replace(
            each,
            schedule=replace(
                each.schedule,
                call=planned.get((CallAbout.COME_BACK, each.record.id))
                or planned.get((CallAbout.SERVICE, each.record.id)),
                settling_call=planned.get((CallAbout.SETTLING_IN, each.record.id)),
                stay_call=next(
                    (
                        call
                        for about in CallAbout
                        if about.is_of_a_stay
                        and (call := planned.get((about, each.record.id))) is not None
                    ),
                    None,
                ),
            ),
        )
        for each in standings
    ]


def _settling_calls(
    standings: Iterable[Standing], so_far: CallsSoFar, settings: Settings, today: date
) -> list[PlannedCall]:
    promised = so_far.promised(CallAbout.SETTLING_IN)
    calls = []
    for each in standings:
        record, freed = each.record, each.schedule.machine.freed
        if freed is None or (record.id, freed) in so_far.answered_settling:
            continue
        day = settling_call(freed, today=today, open_days=settings.limits.open_days)
        if day is not None:
            about = WantedService(owner=record.owner.id, machine=record.id, on=freed)
            calls.append(
                PlannedCall(
                    owner=about.owner,
                    about=CallAbout.SETTLING_IN,
                    on=max(day, promised.get(record.id, day)),
                    services=(about,),
                )
            )
    return calls


def _stay_calls(
    standings: Iterable[Standing], so_far: CallsSoFar, settings: Settings, today: date
) -> list[PlannedCall]:
    """The calls that stays ask for; one that was promised is made on that day. Machines of an owner
    share a call about the same."""
    open_days = settings.limits.open_days
    wanted: dict[tuple[int, CallAbout], list[tuple[date, WantedService]]] = defaultdict(list)
    for each in standings:
        record, outcomes = each.record, so_far.outcomes.get(each.record.owner.id, ())
        parts = wanted_parts(record, each.schedule.machine.point_list)
        for about, since, day in stay_calls(record, parts, outcomes):
            promised = so_far.promised(about).get(record.id)
            on = rung_on(promised or day, since, today=today, open_days=open_days)
            service = WantedService(owner=record.owner.id, machine=record.id, on=since)
            wanted[service.owner, about].append((on, service))
    return [
        PlannedCall(
            owner=owner,
            about=about,
            on=min(on for on, _ in together),
            services=tuple(service for _, service in together),
        )
        for (owner, about), together in wanted.items()
    ]


def _share_bench(standings: Sequence[Standing], settings: Settings, today: date) -> list[Standing]:
    """Place the next services in weeks that hold only so many, less those already done or booked,
    and bring those of one owner together. None takes a place before the day of the next call to its
    owner, where that is put off; and none at all whose owner nobody rings any more."""
    limits = settings.limits
    wanted = [
        each
        for each in standings
        if each.schedule.services
        and each.record.open_job is None
        and (each.schedule.booked is not None or not each.waits_for_nobody)
    ]
    done = Counter(
        monday_of(service.on)
        for each in standings
        for service in each.record.services
        if service.whole
    )
    placed = place_by_week(
        [
            Wanted(
                key=each.record.id,
                deadline=each.schedule.services[0].deadline,
                fixed=each.schedule.booked,
                not_before=each.not_before,
            )
            for each in wanted
        ],
        today=today,
        open_days=limits.open_days,
        limit=limits.services_a_week,
        taken=done,
    )
    by_themselves = {place.key: place.on for place in placed}
    days = brought_together(
        (
            PlannedService(
                machine=each.record.id,
                owner=each.record.owner.id,
                on=by_themselves[each.record.id],
                not_before=each.not_before,
                fixed=each.schedule.booked is not None,
            )
            for each in wanted
        ),
        open_days=limits.open_days,
        limit=limits.services_a_week,
        taken=done,
    )
    shared = []
    for each in standings:
        day = days.get(each.record.id)
        moved = day is not None and day != each.schedule.services[0].on
        shared.append(
            replace(each, schedule=each.reckoning.schedule(today, day)) if moved else each
        )
    return shared


def _visited(records: Iterable[MachineRecord]) -> dict[int, date]:
    """The day on which any machine of an owner was last in the shop, by the owner's id."""
    days: dict[int, date] = {}
    for record in records:
        if record.visited is not None:
            days[record.owner.id] = max(record.visited, days.get(record.owner.id, date.min))
    return days
