"""How the next service is told to an owner: the month, or the day that is booked, and after how
many hours at the latest."""

from __future__ import annotations

import math
from fractions import Fraction

from oilchart.core.due.due_dates import LATE, State
from oilchart.core.planning.carried_over import cannot_wait
from oilchart.core.planning.schedule import PointPlan, Schedule
from oilchart.core.point_lists.point_list import Keeper, PointList
from oilchart.core.records.findings import Left
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.units import HOUR, WEEK_DAYS
from oilchart.papers.wording import counted, day_words, month_words

WE_RING = "We will ring you to find a day."
RING_US = "Ring us and we find a day."
BOOKED = "This day is booked for you; ring us if you cannot come."
LATEST_HOURS = "or after {hours} of sewing"
FINE_HOURS = 30  # above, hours are told in tens


def service_when(schedule: Schedule) -> str:
    """October 2026, or the day that is booked, or what takes its place."""
    if schedule.booked is not None:
        return day_words(schedule.booked)
    if schedule.state is State.FIRST_SERVICE:
        return "as soon as you can bring it"
    return (
        month_words(schedule.services[0].on) if schedule.services else "when something troubles you"
    )


def service_note(schedule: Schedule) -> str:
    """Who rings whom about the day."""
    if schedule.booked is not None:
        return BOOKED
    return RING_US if not schedule.services or schedule.state is State.FIRST_SERVICE else WE_RING


def undone_places(record: MachineRecord, point_list: PointList) -> list[str]:
    """The places that the latest service left out though they cannot wait, in the owner's words."""
    service = next((each for each in reversed(record.services) if each.whole), None)
    if service is None:
        return []
    left_out = {
        each.point
        for each in service.findings
        if each.planned and not each.done and each.left is not Left.DECLINED
    }
    tested = record.is_tested(service)
    return [
        point.home or point.where
        for point in point_list.points
        if point.id in left_out and cannot_wait(point) and not (tested and point.proof is not None)
    ]


def service_hours(schedule: Schedule) -> str:
    """After about how many hours of sewing it is wanted, however few months have passed; empty
    where nothing can be said.

    The least that is left of a bench point's limit of use, at the use told last; told in whole tens
    above 30, rounded down. Rests are not looked at, so it is "about".
    """
    if schedule.state in LATE or not schedule.services or schedule.booked is not None:
        return ""
    left = [_hours_left(plan, schedule) for plan in schedule.points]
    least = min((each for each in left if each is not None), default=Fraction(0))
    hours = math.floor(least / 10) * 10 if least > FINE_HOURS else math.floor(least)
    return LATEST_HOURS.format(hours=f"about {counted(hours, 'hour')}") if hours > 0 else ""


def _hours_left(plan: PointPlan, schedule: Schedule) -> Fraction | None:
    """Hours at the machine until a bench point's limit; None without one, and where what was used
    since the work is not known."""
    if (
        plan.point.keeper is not Keeper.BENCH
        or plan.allowed is None
        or plan.allowed.use is None
        or plan.done is None
    ):
        return None
    allowed = Fraction(plan.allowed.use, HOUR)
    days = max(0, (schedule.as_of - plan.done).days)
    if days and schedule.use is None:
        return None
    return allowed - (
        schedule.use.likely * days / WEEK_DAYS if days and schedule.use is not None else 0
    )
