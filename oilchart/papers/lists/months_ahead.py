"""Knows what comes up for a machine in the next months: occasions of its points, services and
calls, by month."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.days import add_months
from oilchart.core.lists.point_list import Point
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """A day on which a point's work is likely due, were it done each time on the day it falls
    due."""

    on: date
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """What comes up until a day, by day.

    Args:
        services: day and count of points of each service, each done as planned.
        calls: days on which the owner is to be rung, as planned today.
    """

    until: date
    occasions: tuple[Occasion, ...]
    services: tuple[tuple[date, int], ...]
    calls: tuple[date, ...]


def coming(schedule: Schedule, reckoning: Reckoning, months: int) -> Coming:
    """What comes up in so many months from the day of a schedule; the owner's points and the
    services of the bench."""
    until = add_months(schedule.as_of, months)
    bench = set(schedule.machine.bench_points())
    planned = [call for call in (schedule.call, schedule.settling_call) if call is not None]
    return Coming(
        until=until,
        occasions=tuple(
            Occasion(on=on, point=point)
            for on, point in reckoning.coming(schedule.as_of, until)
            if point not in bench
        ),
        services=tuple(
            (service.on, len(service.points))
            for service in reckoning.services_ahead(schedule, months)
            if service.on <= until
        ),
        calls=tuple(sorted(call.on for call in planned if call.on <= until)),
    )
