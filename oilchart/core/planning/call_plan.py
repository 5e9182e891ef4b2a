"""The day on which an owner is rung about the services of their machines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from oilchart.core.days import OpenDays, add_days
from oilchart.core.planning.capacity import Wanted, place_by_day
from oilchart.core.records.owner import Way

TOGETHER_DAYS = 60  # one call serves an owner's services within so many days of the first
LEAD_DAYS = 14


class CallAbout(StrEnum):
    """What a call is about."""

    SERVICE = "service"
    SETTLING_IN = "settling in"
    COME_BACK = "come back"  # for what a service left out that cannot wait
    QUESTION = "question"  # what the owner of a machine in the shop is to answer
    PART_HERE = "part is here"  # that a machine went home without
    READY = "ready"  # to be collected
    OTHER = "other"  # a talk while no call was planned; never of a call

    @property
    def is_for_service(self) -> bool:
        """Whether the owner is to bring the machine."""
        return self in (CallAbout.SERVICE, CallAbout.COME_BACK)

    @property
    def is_of_a_stay(self) -> bool:
        """Whether it follows from what a machine came for, not from how it is used."""
        return self in (CallAbout.QUESTION, CallAbout.PART_HERE, CallAbout.READY)


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedService:
    """A planned service of a machine, and whose machine it is, by their ids in the book.

    Args:
        wanted_by: the day that decides when it is served, though the bench may have no room then;
            None where that is its day.
        weight: its chance of being past a limit times the harm of that.
        ring_on: the day on which the owner was promised to be rung about it; where it has gone by,
            the call is due today; None for no promise.
        declined: the owner wants it left until then; it shares no call with others.
        known_since: nobody could be rung about it before this day.
    """

    owner: int
    machine: int
    on: date
    wanted_by: date | None = None
    weight: float = 0
    ring_on: date | None = None
    declined: bool = False
    known_since: date = date.min


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCall:
    """A call to an owner, by their id, and the services it is for, the first one first; about
    settling in, the day the machine was freed; of a stay, the day from which they are rung.

    Args:
        deadline: the last open day in time for it; it waits since then where that has gone by.
        way: how the owner is reached; planning days alone does not look at it.
    """

    owner: int
    about: CallAbout
    on: date
    services: tuple[WantedService, ...]
    deadline: date | None = None
    way: Way = Way.PHONE

    @property
    def waits_since(self) -> date | None:
        """Its last day in time, where it is made after that; None where it is not."""
        return None if self.deadline is None or self.deadline >= self.on else self.deadline


def first_with_room(
    day: date, *, open_days: OpenDays, limit: int | None, taken: Mapping[date, int]
) -> date:
    """The first open day, not before this one, on which so few calls are promised that there is
    room for one more; `date.max` where there is none."""
    day = open_days.first_open(day)
    while limit is not None and taken.get(day, 0) >= limit and day < date.max:
        day = open_days.first_open(add_days(day, 1))
    return day


def plan_calls(
    services: Iterable[WantedService],
    *,
    today: date,
    open_days: OpenDays,
    lead_days: int,
    limit: int | None = None,
    taken: Mapping[date, int] = {},
    about: CallAbout = CallAbout.SERVICE,
) -> list[PlannedCall]:
    """Plan the calls for all services, by day and owner; services of one owner within 60 days of
    the first share a call, but those that were declined have one of their own.

    A call is in time up to the latest open day that lies the lead before the first of the days that
    decide, or before the day of the service where the bench has room only sooner; or up to the day
    on which the owner was promised to be rung. Never is it put off because the bench has room late.
    Of equal ones the one with the most weight goes first, then that of the owner with the lower
    number.

    No call is told to wait since a day before one of its machines was known, and not here.

    Args:
        limit: how many calls a day holds; None for any number.
        taken: how many other calls are made on a day.
        about: what they are about.
    """
    by_owner: dict[tuple[int, bool], list[WantedService]] = defaultdict(list)
    for service in services:
        by_owner[service.owner, service.declined].append(service)
    shared: dict[tuple[int, int], list[WantedService]] = {}
    for (owner, _), wanted in by_owner.items():
        groups: list[list[WantedService]] = []
        for service in sorted(wanted, key=lambda service: (service.on, service.machine)):
            if groups and (service.on - groups[-1][0].on).days <= TOGETHER_DAYS:
                groups[-1].append(service)
            else:
                groups.append([service])
        shared.update({(owner, group[0].machine): group for group in groups})
    jobs = []
    deadlines: dict[tuple[int, int], date] = {}
    for key, group in shared.items():
        stays = max(
            (service.ring_on for service in group if service.ring_on is not None),
            default=None,
        )
        first = min(min(service.on, service.wanted_by or service.on) for service in group)
        deadlines[key] = open_days.latest_open(stays or add_days(first, -lead_days))
        jobs.append(
            Wanted(
                key=key,
                deadline=deadlines[key],
                fixed=stays if stays is not None and stays >= today else None,
                rank=-max(service.weight for service in group),
            )
        )
    placed = place_by_day(jobs, today=today, open_days=open_days, limit=limit, taken=taken)
    calls = [
        PlannedCall(
            owner=place.key[0],
            about=about,
            on=place.on,
            services=tuple(shared[place.key]),
            deadline=max(deadlines[place.key], min(each.known_since for each in shared[place.key])),
        )
        for place in placed
    ]
    return sorted(calls, key=lambda call: (call.on, call.owner))
