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
        ring_on: the day on which the owner was promised to be rung about it; where it has gone by,
            the call is due today; None for no promise.
        declined: the owner wants it left until then; it shares no call with others.
    """

    owner: int
    machine: int
    on: date
    ring_on: date | None = None
    declined: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCall:
    """A call to an owner, by their id, and the services it is for, the first one first; about
    settling in, the day the machine was freed; of a stay, the day from which they are rung.

    Args:
        way: how the owner is reached; planning days alone does not look at it.
    """

    owner: int
    about: CallAbout
    on: date
    services: tuple[WantedService, ...]
    way: Way = Way.PHONE


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
    for key, group in shared.items():
        stays = max(
            (service.ring_on for service in group if service.ring_on is not None),
            default=None,
        )
        deadline = open_days.latest_open(stays or add_days(group[0].on, -lead_days))
        jobs.append(
            Wanted(
                key=key,
                deadline=deadline,
                fixed=stays if stays is not None and stays >= today else None,
            )
        )
    placed = place_by_day(jobs, today=today, open_days=open_days, limit=limit, taken=taken)
    calls = [
        PlannedCall(
            owner=place.key[0],
            about=about,
            on=place.on,
            services=tuple(shared[place.key]),
        )
        for place in placed
    ]
    return sorted(calls, key=lambda call: (call.on, call.owner))
