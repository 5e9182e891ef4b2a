"""The services of an owner's machines brought together: one visit, on as few days as there is room
for."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from oilchart.core.days import OpenDays, add_days
from oilchart.core.planning.call_plan import TOGETHER_DAYS
from oilchart.core.units import WEEK_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedService:
    """A machine's next service as it is planned by itself, and whose machine it is, by their ids in
    the book.

    Args:
        not_before: it waits for this day; it comes together only with those that wait for the same.
        fixed: it stays on its day: that is booked.
    """

    machine: int
    owner: int
    on: date
    not_before: date | None = None
    fixed: bool = False


def monday_of(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def brought_together(
    services: Iterable[PlannedService],
    *,
    open_days: OpenDays,
    limit: int | None,
    taken: Mapping[date, int] = {},
) -> dict[int, date]:
    """The day of each service, by its machine, once those of one owner within 60 days of the first
    are brought together.

    None is moved to a later day, none to before the first of its owner, and no week gets more than
    it holds, so nothing of anybody comes too late by it. Of such plans each owner's has the fewest
    days, one owner after the other by their first day: where the weeks chosen so far are full, the
    week with the most room is added. Every week up to a service's own is open to all services after
    it, too, so a week with less room would never do more.

    Args:
        limit: how many services a week from Monday to Sunday holds; None for any number.
        taken: by Monday, how many places are gone beside those of these services.
    """
    by_owner: dict[tuple[int, date | None], list[PlannedService]] = defaultdict(list)
    for service in sorted(services, key=lambda each: (each.on, each.machine)):
        by_owner[service.owner, service.not_before].append(service)
    places = Counter(taken)
    for theirs in by_owner.values():
        places.update(monday_of(each.on) for each in theirs)
    days: dict[int, date] = {}
    visits = [visit for theirs in by_owner.values() for visit in _within_days_of_first(theirs)]
    for visit in sorted(visits, key=lambda each: (each[0].on, each[0].owner)):
        days.update(_on_few_days(visit, _Weeks(open_days, limit, places)))
    return days


def _within_days_of_first(services: Sequence[PlannedService]) -> list[list[PlannedService]]:
    """Services of one owner in the order of their days, those that share a visit together."""
    visits: list[list[PlannedService]] = []
    for service in services:
        if visits and (service.on - visits[-1][0].on).days <= TOGETHER_DAYS:
            visits[-1].append(service)
        else:
            visits.append([service])
    return visits


@dataclass(frozen=True, slots=True)
class _Weeks:
    """Weeks by their Monday, and how many places are gone in each."""

    open_days: OpenDays
    limit: int | None
    places: Counter[date]

    def room(self, week: date) -> float:
        """How many places a week has."""
        return float("inf") if self.limit is None else self.limit - self.places[week]

    def day_in(self, week: date, service: PlannedService) -> date | None:
        """The last open day of a week, not after a service's own; None where there is none."""
        sunday = add_days(week, WEEK_DAYS - 1)
        if service.on <= sunday:
            return service.on
        day = self.open_days.latest_open(sunday)
        return day if day >= week else None


def _on_few_days(visit: Sequence[PlannedService], weeks: _Weeks) -> dict[int, date]:
    """The days of the services of one visit, by machine."""
    first = visit[0]
    days = {each.machine: each.on for each in visit if each.fixed or each is first}
    chosen = set(days.values())
    movable = [each for each in visit if each.machine not in days]
    weeks.places.subtract(monday_of(each.on) for each in movable)
    for service in movable:
        with_room = [day for day in chosen if day <= service.on and weeks.room(monday_of(day)) > 0]
        day = max(with_room) if with_room else _most_room(service, first.on, weeks)
        chosen.add(day)
        days[service.machine] = day
        weeks.places[monday_of(day)] += 1
    return days


def _most_room(service: PlannedService, first: date, weeks: _Weeks) -> date:
    """A day in the week with the most room of those after the first one's, up to a service's own,
    in the latest of several; its own day where none has any."""
    found, most = service.on, 0.0
    week = add_days(monday_of(first), WEEK_DAYS)
    while week <= service.on:
        room, day = weeks.room(week), weeks.day_in(week, service)
        if day is not None and room >= max(most, 1):
            found, most = day, room
        week = add_days(week, WEEK_DAYS)
    return found
