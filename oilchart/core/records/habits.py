"""How a machine is worked, day by day: what its owner told of zigzag, speed and oiling, and the
conditions it works under.

What is told acts from its day on. Only what is told on the day the machine was written down, or
with its first statement of hours, acts backwards, too; and that it was never oiled acts back to the
last other answer. Nothing that a present owner told acts back beyond the day they had the machine.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TypeVar

from oilchart.core.point_lists.conditions import FAST_WORK, NOT_OILED, Condition
from oilchart.core.records.machine import ZIGZAG_SHARE, Earlier, Machine
from oilchart.core.use.report import Oiling, Report, SewingPace

# sewing speed against the model's working speed; common practice, no source
SPEED_FACTORS = {
    SewingPace.SLOW: Fraction(1, 2),
    SewingPace.NORMAL: Fraction(1),
    SewingPace.FLAT_OUT: Fraction(3, 2),
}
FROM_HABITS = (FAST_WORK, NOT_OILED)  # conditions that follow from what an owner told
_T = TypeVar("_T")
Changes = list[tuple[date, _T]]  # what holds from a day on, in the order of the days


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedUnder:
    """A condition a machine works under.

    Args:
        condition: its id.
        since: the first day; None where it always did, or nobody knows.
        until: the first day on which it does no more; None while it does.
    """

    condition: str
    since: date | None = None
    until: date | None = None


def with_habits(
    machine: Machine,
    worked_under: Sequence[WorkedUnder],
    known: Mapping[str, Condition],
    entered: date | None = None,
) -> Machine:
    """A machine as it was worked on each day, by what was told of that.

    Args:
        machine: with nothing of that yet.
        known: all conditions by id, all of `worked_under` among them.
        entered: the day it was written down; None for a machine that is in no book.
    """
    backwards = {entered, _first_hours(machine.reports)}
    share = _told(machine.reports, ZIGZAG_SHARE, backwards, lambda report: report.zigzag_share)
    pace = _told(machine.reports, SewingPace.NORMAL, backwards, lambda report: report.pace)
    not_oiled = _not_oiled(machine.reports)
    told_before = {
        each: any(
            other.condition == each.condition and _is_before(other, each) for other in worked_under
        )
        for each in worked_under
    }
    under = [
        replace(each, since=None) if each.since in backwards and not told_before[each] else each
        for each in worked_under
    ]
    handed_on = machine.handed_on or date.min
    days = sorted(
        {
            day
            for day in (
                handed_on,
                *(day for day, _ in (*share, *pace)),
                *(day for span in not_oiled for day in span),
                *(day for each in under for day in (each.since, each.until)),
            )
            if day is not None and day > date.min and day >= handed_on
        }
    )

    def as_worked(day: date) -> Machine:
        if day < handed_on:
            return machine
        paced = _held(pace, day)
        ids = {each.condition: None for each in under if _holds(each.since, each.until, day)}
        if paced is SewingPace.FLAT_OUT:
            ids[FAST_WORK] = None
        if any(_holds(since, until, day) for since, until in not_oiled):
            ids[NOT_OILED] = None
        return replace(
            machine,
            zigzag_share=_held(share, day),
            speed_factor=SPEED_FACTORS[paced],
            conditions=tuple(known[condition] for condition in ids),
        )

    worked = as_worked(date.min)
    earlier: list[Earlier] = []
    for day in days:
        after = as_worked(day)
        if after != worked:
            earlier.append(
                Earlier(
                    until=day,
                    zigzag_share=worked.zigzag_share,
                    speed_factor=worked.speed_factor,
                    conditions=worked.conditions,
                )
            )
            worked = after
    return replace(worked, earlier=tuple(earlier))


def _is_before(other: WorkedUnder, each: WorkedUnder) -> bool:
    """Whether one note of a condition was told on an earlier day than another."""
    return each.since is not None and (other.since is None or other.since < each.since)


def _first_hours(reports: Sequence[Report]) -> date | None:
    """The day of the first statement of hours; a lone reading of a meter is none."""
    read = False
    for report in reports:
        pair = read and report.reading is not None and not report.reading.new_meter
        if report.rate is not None or report.total is not None or pair:
            return report.said
        read = read or report.reading is not None
    return None


def _told(
    reports: Sequence[Report],
    untold: _T,
    backwards: set[date | None],
    what: Callable[[Report], _T | None],
) -> Changes[_T]:
    """What was told of something, from the beginning on.

    Args:
        backwards: the days of which what is told first acts backwards.
    """
    told: Changes[_T] = [
        (report.said, value) for report in reports if (value := what(report)) is not None
    ]
    first = untold
    if told and told[0][0] in backwards:
        first = [value for day, value in told if day == told[0][0]][-1]
    return [(date.min, first), *told]


def _not_oiled(reports: Sequence[Report]) -> list[tuple[date | None, date | None]]:
    """The spans in which nobody oiled it."""
    spans: list[tuple[date | None, date | None]] = []
    since: date | None = None  # the last other answer
    never = False
    for report in reports:
        if report.oiling is Oiling.NEVER:
            never = True
        elif report.oiling is not None:
            if never:
                spans.append((since, report.said))
            since, never = report.said, False
    if never:
        spans.append((since, None))
    return spans


def _held(changes: Changes[_T], day: date) -> _T:
    """What held on a day."""
    return [value for since, value in changes if since <= day][-1]


def _holds(since: date | None, until: date | None, day: date) -> bool:
    return (since is None or since <= day) and (until is None or day < until)
