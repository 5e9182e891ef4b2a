"""Due windows against published household and workshop rules, each with its source."""

from __future__ import annotations

from datetime import date

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import Because, State
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from tests.builders.make import a_machine, a_point

DONE = date(2026, 3, 2)


def schedule(every: str, use: str | None, as_of: date) -> Schedule:
    machine = a_machine(a_point(every=every), use=use, said=DONE, served=DONE)
    return Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(as_of)


def days(every: str, use: str) -> tuple[int, int]:
    """Days to the earliest and the latest due date."""
    due = schedule(every, use, DONE).due
    assert due.earliest is not None
    assert due.latest is not None
    return (due.earliest - DONE).days, (due.latest - DONE).days


@pytest.mark.parametrize(
    ("use", "rule_days"),
    [
        # Undated British household text: an hour on two or three days a week, oil about monthly:
        # 3.3 to 5 weeks at a limit of 10 hours
        ("2-3 hours a week", 30),
        # the same text: used most of the day, oil daily before work
        ("7-8 hours a day", 1),
        # the same text: three to four hours a day, weekly, is 21 to 28 hours; a limit of 10 hours
        # asks for it sooner
    ],
)
def test_household_rhythms_lie_within_the_window_of_a_10_hour_limit(
    use: str, rule_days: int
) -> None:
    earliest, latest = days("8-10 hours or 6 months", use)
    assert earliest <= rule_days <= latest


def test_2_to_3_hours_a_week_and_10_hours_are_3_3_to_5_weeks() -> None:
    # arithmetic: 10 / 3 = 3.33 weeks = 23.3 days, 10 / 2 = 5 weeks = 35 days
    assert days("10 hours or 6 months", "2-3 hours a week") == (23, 35)


def test_a_machine_at_rest_for_seven_months_is_due_by_time() -> None:
    # Trade magazine, September 2015, column on thread, p. 56: oil again after some six months at
    # rest
    told = schedule("10 hours or 6 months", "none", date(2026, 10, 2))
    assert told.due.because is Because.TIME
    assert told.state is State.OVERDUE


@pytest.mark.parametrize(
    ("as_of", "state"), [(date(2027, 3, 2), State.DUE_SOON), (date(2027, 4, 2), State.OVERDUE)]
)
def test_a_sump_changed_thirteen_months_ago_is_overdue(as_of: date, state: State) -> None:
    # Parachute Rigger Handbook, US DOT/FAA, 2005, ch. 6: change the oil of a sump every 6 to 12
    # months, never longer than a year
    assert schedule("12 months", "20 hours a week", as_of).state is state
