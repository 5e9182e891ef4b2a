"""One machine as its schedule sees it: its list, what was said of it, its services and stays."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from oilchart.core.days import Span
from oilchart.core.point_lists.conditions import FAST_WORK, NOT_OILED, Condition
from oilchart.core.point_lists.point_list import Keeper, Point, PointList, Runs
from oilchart.core.records.job import UnsafeMark
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.units import NEEDLE_SHARE, Speed
from oilchart.core.use.report import Oiling, Report, SewingPace

# shares of the hours at the machine; common practice, no source
ZIGZAG_SHARE = Fraction(3, 10)
WINDING_SHARE = Fraction(1, 20)
# sewing speed against the model's working speed; common practice, no source
SPEED_FACTORS = {
    SewingPace.SLOW: Fraction(1, 2),
    SewingPace.NORMAL: Fraction(1),
    SewingPace.FLAT_OUT: Fraction(3, 2),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """Work recorded on one day: the points done, both the bench's and the owner's.

    Args:
        freed: the machine had been seized and was freed; steps of intervals begin anew.
        left_out: bench points that were planned for it and not done.
        whole: false for work at named points only: nothing is left out of it, and it is neither a
            first service nor begins steps anew.
        knew: the bench points its list had; None where it had all.
        back_on: the day on which the machine is wanted back for what was left out and cannot wait.
    """

    on: date
    done: frozenset[str]
    freed: bool = False
    left_out: frozenset[str] = frozenset()
    whole: bool = True
    knew: frozenset[str] | None = None
    back_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """One machine as the schedule sees it.

    Args:
        number: None for a machine that is in no book.
        reports: in the order they were said.
        services: in the order of their days.
        stays: spans in the shop.
        in_shop: whether it is there now.
        booked: the day on the bench agreed with its owner; None where none is.
        conditions: under which it works.
        speed_factor: how its sewing speed compares with the model's working speed.
        own_intervals: why intervals of its list are shorter than its model's; the list has them
            already.
        dangers: what makes it unsafe now, the mains side first.
        struck: ids of the points that cannot be done while it is unsafe; they do not count.
        handed_on: the day on which its owner had it from another; None where it always was theirs.
    """

    point_list: PointList
    number: str | None = None
    reports: tuple[Report, ...] = ()
    services: tuple[Service, ...] = ()
    stays: tuple[Span, ...] = ()
    in_shop: bool = False
    booked: date | None = None
    zigzag_share: Fraction = ZIGZAG_SHARE
    needle_share: Fraction = NEEDLE_SHARE
    speed_factor: Fraction = Fraction(1)
    conditions: tuple[Condition, ...] = ()
    own_intervals: tuple[OwnInterval, ...] = ()
    dangers: tuple[UnsafeMark, ...] = ()
    struck: frozenset[str] = frozenset()
    handed_on: date | None = None

    @property
    def speed(self) -> Speed:
        """How its hours turn into needle hours and stitches."""
        return Speed(
            needle_share=self.needle_share,
            stitches_a_minute=self.point_list.stitches_a_minute * self.speed_factor,
        )

    @property
    def whole_services(self) -> tuple[Service, ...]:
        """Those that were not work at named points only."""
        return tuple(service for service in self.services if service.whole)

    @property
    def freed(self) -> date | None:
        """The day it was freed from being seized, if that was its latest service."""
        whole = self.whole_services
        return whole[-1].on if whole and whole[-1].freed else None

    @property
    def served(self) -> date | None:
        """Day of the latest service, None where there was none."""
        whole = self.whole_services
        return whole[-1].on if whole else None

    @property
    def first_served(self) -> date | None:
        """Day of the first service, None where there was none."""
        whole = self.whole_services
        return whole[0].on if whole else None

    @property
    def first_work(self) -> date | None:
        """Day of the first work, at single points, too; None where there was none."""
        return self.services[0].on if self.services else None

    @property
    def used_since(self) -> date | None:
        """The first day whose use counts: of the first service, or on which it was handed on after
        it; None where there was no service."""
        first = self.first_served
        return first if first is None or self.handed_on is None else max(first, self.handed_on)

    def use_is_unknown_since(self, done: date) -> bool:
        """Whether it was handed on after a day, so that its use since then is not all known."""
        return self.handed_on is not None and done < self.handed_on

    @property
    def back_on(self) -> date | None:
        """The day on which the latest service wants it back."""
        whole = self.whole_services
        return whole[-1].back_on if whole else None

    def days_done(self) -> dict[str, date]:
        """Day on which each point's work was last done, by id."""
        days: dict[str, date] = {}
        for service in self.services:
            days.update(dict.fromkeys(service.done, service.on))
        return days

    def counts_from(self, point: Point) -> date | None:
        """The day from which a point counts that was never done: that of the latest service whose
        list had not got it yet, else of the first; None where there was none."""
        before = [
            service.on
            for service in self.whole_services
            if service.knew is not None and point.id not in service.knew
        ]
        return before[-1] if before else self.first_served

    def carried_over(self) -> dict[str, date]:
        """The bench points that were planned for a service and not done there nor since, each with
        the day of the latest service that left it out."""
        since: dict[str, date] = {}
        for service in self.services:
            if service.whole:
                since.update(dict.fromkeys(service.left_out, service.on))
            for point in service.done:
                since.pop(point, None)
        return since

    def times_done(self, point: Point, more: int = 0) -> int:
        """How often a point's work was done since its interval's steps began; at least 1.

        Args:
            more: how often it is done from now on, counted in.
        """
        began = max((service.on for service in self.whole_services if service.freed), default=None)
        days = {
            service.on
            for service in self.services
            if point.id in service.done and (began is None or service.on >= began)
        }
        return max(len(days) + more, 1)

    def share(self, point: Point) -> Fraction:
        """Share of the machine's use in which a point moves."""
        if point.runs is Runs.ZIGZAG:
            return self.zigzag_share
        return WINDING_SHARE if point.runs is Runs.WINDING else Fraction(1)

    def own_interval(self, point: Point) -> OwnInterval | None:
        """Since when and why a point's interval is shorter here; None where it is not."""
        return next(
            (limit for limit in self.own_intervals if limit.point == point.id and point.every.here),
            None,
        )

    def bench_points(self) -> tuple[Point, ...]:
        """The points that are the shop's and can be done as it is now, in list order."""
        bench = self.point_list.kept_by(Keeper.BENCH)
        if not self.struck:
            return bench
        return tuple(point for point in bench if point.id not in self.struck)


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """How an owner sews: of each habit what was said last.

    Args:
        conditions: ids of the conditions that follow from what was said.
    """

    zigzag_share: Fraction = ZIGZAG_SHARE
    speed_factor: Fraction = Fraction(1)
    conditions: tuple[str, ...] = ()


def habits(reports: Iterable[Report]) -> Habits:
    """The habits that hold after all reports; one value each, for all days."""
    share, pace, oiling = ZIGZAG_SHARE, SewingPace.NORMAL, Oiling.YES
    for report in reports:
        share = share if report.zigzag_share is None else report.zigzag_share
        pace = report.pace or pace
        oiling = report.oiling or oiling
    conditions = []
    if pace is SewingPace.FLAT_OUT:
        conditions.append(FAST_WORK)
    if oiling is Oiling.NEVER:
        conditions.append(NOT_OILED)
    return Habits(
        zigzag_share=share, speed_factor=SPEED_FACTORS[pace], conditions=tuple(conditions)
    )
