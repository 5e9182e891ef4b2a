"""Whole machines reckoned day by day: every date, chance and state of theirs."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from math import log
from statistics import NormalDist

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import State
from oilchart.core.due.limits import Limits
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import IfDry, Runs, Work
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.told_machine import ENTERED, ToldMachine, ToldPoint, drawn
from tests.oracles.day_by_day import HOUR, DayByDay, Worked, due_by_time

CONDITIONS = dict(PointLibrary([packaged("points")]).conditions())
LEAD = 14
YEARS_AHEAD = timedelta(days=4 * 366)


class ByHand:
    """A machine as the simulation reckons it."""

    def __init__(self, told: ToldMachine) -> None:
        self._told = told
        self.use = DayByDay(told.statements, told.stays)
        self.worked = Worked(
            told.habits, told.noted, entered=ENTERED, first_hours=self.use.first_hours()
        )
        self.windows = [self._window(point) for point in told.points]

    def factor(self, work: Work, day: date, what: str) -> Fraction:
        """The smallest factor of all conditions of a day, not below 1/2 for oil and grease, 1/4
        for the rest."""
        least = Fraction(1, 2) if work in (Work.OIL, Work.GREASE) else Fraction(1, 4)
        factors: list[Fraction] = [
            getattr(CONDITIONS[name].of(work), what) for name in self.worked.conditions_on(day)
        ]
        return max(least, min([Fraction(1), *factors]))

    def limit_on(self, told: ToldPoint) -> Callable[[date], int | None]:
        """The effective limit of a point in ticks, floored, by the day."""
        known: dict[date, int | None] = {}

        def limit(day: date) -> int | None:
            if told.hours is None:
                return None
            if day not in known:
                hours = Fraction(told.hours)
                if told.stitches:
                    hours /= self.worked.speed_on(day)
                share = {
                    Runs.ALWAYS: Fraction(1),
                    Runs.ZIGZAG: self.worked.zigzag_share_on(day),
                    Runs.WINDING: Fraction(1, 20),
                }[told.point.runs]
                factor = self.factor(told.point.work, day, "use")
                known[day] = None if not share else int(hours * HOUR * factor / share // 1)
            return known[day]

        return limit

    def by_time(self, told: ToldPoint) -> date | None:
        if told.months is None and told.days is None:
            return None
        return due_by_time(
            told.done,
            told.months or 0,
            told.days or 0,
            lambda day: self.factor(told.point.work, day, "time"),
        )

    def _window(self, told: ToldPoint) -> list[date | None]:
        """The last day in time at low, likely, careful and high use."""
        by_time, last_day = self.by_time(told), self._told.today + YEARS_AHEAD
        by_use: tuple[date | None, ...] | None = None
        if told.hours is not None:
            until = last_day if by_time is None else by_time
            by_use = self.use.due_by_use(told.done, self.limit_on(told), until)
        if by_use is None:
            return [by_time] * 4
        low, _, likely, careful, high = by_use
        return [
            min((day for day in (case, by_time) if day is not None), default=None)
            for case in (low, likely, careful, high)
        ]

    def first(self, case: int) -> date | None:
        return min(
            (day for window in self.windows if (day := window[case]) is not None), default=None
        )

    def wanted_by(self) -> date | None:
        """The careful day of points that seize, the likely one of the others, the first of all."""
        deciding = [
            window[2 if told.point.if_dry is IfDry.SEIZES else 1]
            for told, window in zip(self._told.points, self.windows, strict=True)
        ]
        return min((day for day in deciding if day is not None), default=None)

    def service(self) -> tuple[date, bool] | None:
        """The next service, and whether it is late: the latest open day by the day that decides,
        not before today."""
        wanted, likely = self.wanted_by(), self.first(1)
        if wanted is None:
            return None
        day = wanted
        while day.weekday() > 4:
            day -= timedelta(days=1)
        if day < self._told.today:
            day = self._told.today
            while day.weekday() > 4:
                day += timedelta(days=1)
        return day, likely is not None and day > likely

    def state(self) -> State:
        today, low, likely = self._told.today, self.first(0), self.first(1)
        wanted, service = self.wanted_by(), self.service()
        if low is not None and today > low:
            return State.OVERDUE
        if likely is not None and today > likely:
            return State.LIKELY_OVERDUE
        if wanted is not None and today > wanted:
            return State.MAYBE_OVERDUE
        soon = today + timedelta(days=LEAD)
        if (likely is not None and likely <= soon) or (service is not None and service[0] <= soon):
            return State.DUE_SOON
        return State.IN_TIME

    def chance(self) -> float:
        """The greatest chance of being past a limit: of a lognormal with a sigma for each side."""
        return max(self._chance(told) for told in self._told.points)

    def _chance(self, told: ToldPoint) -> float:
        by_time, today = self.by_time(told), self._told.today
        if by_time is not None and today > by_time:
            return 1
        if told.hours is None or not self.use.is_known():
            return 0
        _, least, likely, _, high = self.use.used_up(told.done, self.limit_on(told), today)
        end = high if likely <= 1 else least
        if least == 0 or end == likely:
            return float(likely > 1)
        sigma = abs(log(end / likely)) / NormalDist().inv_cdf(0.9)
        return NormalDist().cdf(log(likely) / sigma)


@pytest.mark.parametrize("part", range(10))
def test_every_date_and_state_of_a_machine_equals_the_day_by_day_simulation(
    part: int, tries: int
) -> None:
    hit: Counter[str] = Counter()
    for seed in range(part * tries, (part + 1) * tries):
        told = drawn(random.Random(seed))
        by_hand = ByHand(told)
        machine = told.machine(CONDITIONS)
        reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=LEAD)
        schedule = reckoning.schedule(told.today)
        last_day = told.today + YEARS_AHEAD
        for point, window in zip(told.points, by_hand.windows, strict=True):
            due = reckoning.due(point.point)
            assert due is not None
            found = [
                None if day is None or day > last_day else day
                for day in (due.latest, due.likely, due.careful, due.earliest)
            ]
            expected = [None if day is None or day > last_day else day for day in window]
            assert found == expected, f"machine {seed}, {point.point.id}"
            hit["changing"] += isinstance(reckoning.limits_of(point.point), Limits)
        service = schedule.next_service
        assert schedule.state is by_hand.state(), f"machine {seed}"
        wanted_by = schedule.wanted_by
        if wanted_by is not None and wanted_by > last_day:
            wanted_by = None
        assert wanted_by == by_hand.wanted_by(), f"machine {seed}"
        if wanted_by is not None:
            assert service is not None
            assert (service.on, service.late) == by_hand.service(), f"machine {seed}"
        assert schedule.risk is not None
        assert schedule.risk.chance == pytest.approx(by_hand.chance(), abs=1e-6), f"machine {seed}"
        if schedule.use is not None:
            days = (told.today - told.served).days + 1
            assert schedule.use.assumed is any(
                by_hand.use.is_assumed(told.served + timedelta(days=day)) for day in range(days)
            ), f"machine {seed}"
        hit["known"] += by_hand.use.is_known()
        hit["assumed"] += schedule.use is not None and schedule.use.assumed
        hit["dropped"] += bool(by_hand.use.dropped)
    assert hit["known"] > tries / 2
    assert hit["changing"] > tries / 4
    assert hit["assumed"] > tries / 8
