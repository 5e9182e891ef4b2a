"""What comes up for a machine in the next months: occasions of its points, services and calls."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import Any

from oilchart.core.days import add_months
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.point_lists.point_list import Point
from oilchart.papers.screen import Column, Screen, table
from oilchart.papers.wording import counted, month_words, short_day

COLUMNS = (
    Column("Month"),
    Column("Bench and calls", wraps=True),
    Column("At home, at likely use", wraps=True),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """A day on which a point's work is likely due, were it done each time on the day it falls
    due."""

    on: date
    point: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthsAhead:
    """What comes up until a day, by day.

    Args:
        services: day and count of points of each service, each done as planned.
        calls: days on which the owner is to be rung, as planned today.
    """

    until: date
    occasions: tuple[Occasion, ...]
    services: tuple[tuple[date, int], ...]
    calls: tuple[date, ...]


def months_ahead(schedule: Schedule, reckoning: Reckoning, months: int) -> MonthsAhead:
    """What comes up in so many months from the day of a schedule; the owner's points and the
    services of the bench."""
    until = add_months(schedule.as_of, months)
    bench = set(schedule.machine.bench_points())
    planned = [call for call in (schedule.call, schedule.settling_call) if call is not None]
    return MonthsAhead(
        until=until,
        occasions=tuple(
            Occasion(on=on, point=point)
            for on, point in reckoning.occasions(schedule.as_of, until)
            if point not in bench
        ),
        services=tuple(
            (service.on, len(service.points))
            for service in reckoning.services_ahead(schedule, months)
            if service.on <= until
        ),
        calls=tuple(sorted(call.on for call in planned if call.on <= until)),
    )


def months_ahead_text(ahead: MonthsAhead, screen: Screen) -> str:
    """What comes up, a line a month: the owner's occasions counted, services and calls by their
    day."""
    months: dict[tuple[int, int], list[str]] = {}
    counts: dict[tuple[int, int], Counter[str]] = {}
    for occasion in ahead.occasions:
        counts.setdefault((occasion.on.year, occasion.on.month), Counter())[
            occasion.point.where
        ] += 1
    for on, points in ahead.services:
        months.setdefault((on.year, on.month), []).append(
            f"service {short_day(on)}, {counted(points, 'point')}"
        )
    for on in ahead.calls:
        months.setdefault((on.year, on.month), []).append(f"call {short_day(on)}")
    rows = [
        [
            month_words(date(*month, 1)),
            "; ".join(months.get(month, [])),
            "; ".join(
                f"{place} {count} x" if count > 1 else place
                for place, count in counts.get(month, Counter()).items()
            ),
        ]
        for month in sorted({*months, *counts})
    ]
    return table(COLUMNS, rows, screen)


def months_ahead_json(ahead: MonthsAhead) -> dict[str, Any]:
    """What comes up, for a schedule's JSON."""
    return {
        "until": ahead.until,
        "occasions": [
            {"on": occasion.on, "point": occasion.point.id} for occasion in ahead.occasions
        ],
        "services": [{"on": on, "points": points} for on, points in ahead.services],
        "calls": list(ahead.calls),
    }
