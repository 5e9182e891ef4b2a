"""The settling-in of a machine that was seized and has been freed: oil again after 2 and after 5
hours, a call after three weeks.

Common practice, no source: penetrating oil left in the bearings gums again within days, and plain
oil worked in by running does not.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from oilchart.core.days import OpenDays, add_days
from oilchart.core.point_lists.interval import Interval, Step
from oilchart.core.point_lists.point_list import IfDry, Keeper, Point, Runs, Work

SETTLING_DAYS = 21
CALLED_FOR_DAYS = 42  # after so many days nobody is rung about it any more


def _point(hours: int, days: int, when: str) -> Point:
    return Point(
        id=f"settling-in-{hours}-hours",
        mechanism="settling-in",
        where=f"All oil points, {when}",
        home=f"every place that takes oil, {when}",
        work=Work.OIL,
        do="Oil them all and wipe; the wheel must turn as lightly by hand as on the day you "
        "took it home, else ring us",
        every=Interval(
            words=f"once, after {hours} hours or {days} days",
            steps=(Step(aim=Fraction(hours), limit=Fraction(hours), days=days),),
        ),
        keeper=Keeper.OWNER,
        lubricant=None,
        amount=None,
        access="settling-in",
        places=(),
        runs=Runs.ALWAYS,
        needs=(),
        deep=False,
        if_dry=IfDry.SEIZES,
        minutes=Fraction(5),
        material=None,
        why="What freed it washes out with the first oil",
        caution=None,
        sources=(("every", "practice"), ("minutes", "practice")),
    )


SETTLING_POINTS = (
    _point(2, 7, "after the first 2 hours"),
    _point(5, SETTLING_DAYS, "again after 5 hours"),
)


def is_settling(freed: date | None, as_of: date) -> bool:
    """Whether a machine freed on a day is still settling in."""
    return freed is not None and freed <= as_of <= add_days(freed, SETTLING_DAYS)


def settling_call(freed: date | None, *, today: date, open_days: OpenDays) -> date | None:
    """The day to ring the owner of a machine that was freed: the latest open day within three
    weeks, but not before today."""
    if freed is None or today > add_days(freed, CALLED_FOR_DAYS):
        return None
    day = open_days.latest_open(add_days(freed, SETTLING_DAYS))
    return day if day >= today else open_days.first_open(today)
