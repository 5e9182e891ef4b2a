"""One machine as its schedule sees it: its list, what was said of it, its services and stays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from oilchart.core.days import Span
from oilchart.core.point_lists.conditions import Condition
from oilchart.core.point_lists.point_list import Keeper, Point, PointList, Runs
from oilchart.core.records.job import UnsafeMark
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.units import NEEDLE_SHARE, Speed
from oilchart.core.use.report import Report

# shares of the hours at the machine; common practice, no source
ZIGZAG_SHARE = Fraction(3, 10)
WINDING_SHARE = Fraction(1, 20)


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """Work recorded on one day: the points done, both the bench's and the owner's.

    Args:
        freed: the machine had been seized and was freed; steps of intervals begin anew.
        left_out: bench points that were planned for it and not done.
        declined: those of them that the owner did not want done.
        whole: false for work at named points only: nothing is left out of it, and it is neither a
            first service nor begins steps anew.
        knew: the bench points its list had; None where it had all.
        back_on: the day on which the machine is wanted back for what was left out and cannot wait.
    """

    on: date
    done: frozenset[str]
    freed: bool = False
    left_out: frozenset[str] = frozenset()
    declined: frozenset[str] = frozenset()
    whole: bool = True
    knew: frozenset[str] | None = None
    back_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """How a machine was worked up to a day, where it was told later that this has changed.

    Args:
        until: the first day on which it was not so any more.
    """

    until: date
    zigzag_share: Fraction
    speed_factor: Fraction
    conditions: tuple[Condition, ...]


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
        missed: the last day agreed, where it did not come and nothing was agreed since.
        came: the day it first came in, or else was written down; None for a machine that is in no
            book.
        conditions: under which it works now.
        zigzag_share: share of its use that is zigzag now.
        speed_factor: how its sewing speed compares with the model's working speed now.
        earlier: how it was worked before, in the order of the days; empty where nothing of that
            has changed.
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
    missed: date | None = None
    came: date | None = None
    zigzag_share: Fraction = ZIGZAG_SHARE
    needle_share: Fraction = NEEDLE_SHARE
    speed_factor: Fraction = Fraction(1)
    conditions: tuple[Condition, ...] = ()
    earlier: tuple[Earlier, ...] = ()
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

    def as_before(self, until: date | None) -> Machine:
        """It as it was worked before a day, one of those of `earlier`; as it is for None."""
        return next(
            (
                replace(
                    self,
                    zigzag_share=before.zigzag_share,
                    speed_factor=before.speed_factor,
                    conditions=before.conditions,
                    earlier=(),
                )
                for before in self.earlier
                if before.until == until
            ),
            self,
        )

    def as_on(self, day: date) -> Machine:
        """It as it was worked on a day."""
        return self.as_before(
            next((before.until for before in self.earlier if day < before.until), None)
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

    def declined(self) -> frozenset[str]:
        """Those of the points carried over that the owner declined at the service that left them
        out last."""
        by_day = {service.on: service.declined for service in self.whole_services}
        return frozenset(
            point for point, since in self.carried_over().items() if point in by_day[since]
        )

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
