"""What is said of each of a machine's services ahead: its day, what is done, and about how long it
takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.services import PlannedService
from oilchart.core.point_lists.point_list import Work
from oilchart.papers.wording import minutes_words


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceLine:
    """One service.

    Args:
        points: how many are done.
        work: how many of each kind of work, in the order in which they are done: "clean 9, inspect
            4, oil 14".
        deep: places of the deep work among them; empty where there is none.
        takes: bench time in words.
        timing: that it is late, or that now is the time; empty while it is in time.
        booked: its day was agreed with the owner.
    """

    on: date
    points: int
    work: str
    deep: str
    takes: str
    timing: str
    booked: bool = False


def service_lines(
    services: Iterable[PlannedService], booked: date | None = None
) -> tuple[ServiceLine, ...]:
    """Services as lines, in the order given; `booked` is the day that was agreed with the owner."""
    return tuple(_line(service, service.on == booked) for service in services)


def _line(service: PlannedService, booked: bool) -> ServiceLine:
    counts = Counter(point.work for point in service.points)
    return ServiceLine(
        on=service.on,
        points=len(service.points),
        work=", ".join(f"{work} {counts[work]}" for work in Work if counts[work]),
        deep="; ".join(point.where for point in service.points if point.deep),
        takes=minutes_words(service.minutes),
        timing=service.timing,
        booked=booked,
    )
