"""Knows a machine's whole schedule on a day: each point's window, state and rhythm, the next service and what must be said about it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from oilchart.core.calls import PlannedCall
from oilchart.core.chart import Keeper, Point
from oilchart.core.conditions import Acting, acting
from oilchart.core.curve import Curves
from oilchart.core.days import OpenDays, add_months
from oilchart.core.due import NEVER, State, Window, first_window, state, window
from oilchart.core.interval import Allowance, allowance
from oilchart.core.machine import Machine
from oilchart.core.report import hours_a_week
from oilchart.core.rhythm import choose, most_use
from oilchart.core.services import PlannedService, next_service, points_at
from oilchart.core.use import UseHistory, likely_between

REPORT_AGES_MONTHS = 12


class Notice(StrEnum):
    """What a paper must say about how its dates came about."""

    NO_REPORT = "no report"
    ASSUMED_BACKWARDS = "assumed backwards"
    OLD_REPORT = "old report"


@dataclass(frozen=True, slots=True, kw_only=True)
class UseSummary:
    """What goes on at the day of the schedule.

    Args:
        words: the owner's, as said last.
        low, likely, high: hours a week averaged over a year, rests ignored.
        assumed: whether some day since the first work lies before all that was told.
    """

    words: str
    said: date
    low: Fraction
    likely: Fraction
    high: Fraction
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PointPlan:
    """How one point stands.

    Args:
        acting: what the machine's conditions leave of the interval.
        every_hours: the book limit in hours at the machine, before the factor; None without a limit of use.
        allowed: what the interval comes to; None for an occasion.
        due: None for an occasion and on a machine never served.
        state: None for an owner's point, an occasion and on a machine never served.
        rhythm: an owner's point's rhythm or occasion; None for the bench's, and where none fits.
    """

    point: Point
    done: date | None
    share: Fraction
    acting: Acting
    every_hours: Fraction | None
    every_months: int | None
    every_days: int | None
    allowed: Allowance | None
    due: Window | None
    state: State | None
    rhythm: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """A machine's schedule as of a day; `due` is the machine's own window, over its bench points."""

    machine: Machine
    as_of: date
    state: State
    due: Window
    use: UseSummary | None
    points: tuple[PointPlan, ...]
    services: tuple[PlannedService, ...]
    notices: tuple[Notice, ...]
    call: PlannedCall | None = None

    def plan(self, point_id: str) -> PointPlan | None:
        """How the point of that id stands."""
        return next((plan for plan in self.points if plan.point.id == point_id), None)


class Reckoning:
    """All that can be reckoned about one machine; the use curves are built once.

    Args:
        open_days: the days on which the bench works.
        lead_days: a machine counts as due soon so many days ahead.
    """

    def __init__(self, machine: Machine, *, open_days: OpenDays, lead_days: int) -> None:
        self._machine = machine
        self._open_days = open_days
        self._lead_days = lead_days
        self._history: UseHistory | None = None
        self._curves: Curves | None = None
        start = machine.first_served or min((report.said for report in machine.reports), default=None)
        if start is not None:
            history = UseHistory(machine.reports, machine.stays, start)
            if history.is_known:
                self._history, self._curves = history, history.curves()

    def allowed(self, point: Point) -> Allowance | None:
        """What a point's present interval comes to; None for an occasion."""
        machine = self._machine
        if point.every.occasion:
            return None
        step = point.every.step(machine.times_done(point))
        factors = acting(machine.conditions, point.work).factors
        return allowance(step, speed=machine.speed, share=machine.share(point), factors=factors)

    def due_if_done(self, point: Point, done: date) -> Window | None:
        """A point's window were its work done on a day; None for an occasion."""
        allowed = self.allowed(point)
        return None if allowed is None else window(self._curves, done, allowed)

    def due(self, point: Point) -> Window | None:
        """A point's window as things stand; None for an occasion and on a machine never served."""
        done = self._machine.done(point)
        return None if done is None else self.due_if_done(point, done)

    def points_at(self, day: date) -> tuple[Point, ...]:
        """The bench points of a service on a day."""
        bench = self._machine.bench_points()
        if self._machine.served is None:
            return bench
        due = {point.id: self.due(point) for point in bench}
        return points_at(bench, due, self.due_if_done, day=day, open_days=self._open_days)

    def schedule(self, as_of: date) -> Schedule:
        """The machine's schedule as of a day."""
        machine = self._machine
        rhythms = self._rhythms(as_of)
        plans = tuple(self._plan(point, as_of, rhythms.get(point.id)) for point in machine.chart.points)
        bench = machine.bench_points()
        due = {plan.point.id: plan.due for plan in plans}
        whole = first_window(window for point in bench if (window := due[point.id]) is not None) if machine.served else NEVER
        service = next_service(bench, due, self.due_if_done, today=as_of, open_days=self._open_days, served=machine.served is not None)
        use = self._use(as_of)
        return Schedule(
            machine=machine,
            as_of=as_of,
            state=self._state(whole, as_of),
            due=whole,
            use=use,
            points=plans,
            services=() if service is None else (service,),
            notices=self._notices(use, as_of),
        )

    def _plan(self, point: Point, as_of: date, rhythm: str | None) -> PointPlan:
        machine = self._machine
        step = None if point.every.occasion else point.every.step(machine.times_done(point))
        due = self.due(point)
        return PointPlan(
            point=point,
            done=machine.done(point),
            share=machine.share(point),
            acting=acting(machine.conditions, point.work),
            every_hours=None if step is None else step.limit_hours(machine.speed),
            every_months=None if step is None else step.months,
            every_days=None if step is None else step.days,
            allowed=self.allowed(point),
            due=due,
            state=None if due is None or point.keeper is Keeper.OWNER else state(due, as_of, self._lead_days),
            rhythm=rhythm,
        )

    def _rhythms(self, as_of: date) -> dict[str, str | None]:
        """Each owner's point's rhythm by id: its occasion, or the one chosen for it."""
        owner = self._machine.chart.kept_by(Keeper.OWNER)
        timed = [(point, allowed) for point in owner if (allowed := self.allowed(point)) is not None]
        day = max([as_of, *([self._machine.first_served] if self._machine.first_served else [])])
        most = None if self._curves is None else most_use(self._curves.high, day)
        chosen = choose([allowed for _, allowed in timed], most)
        rhythms = {point.id: point.every.occasion for point in owner}
        for (point, _), rhythm in zip(timed, chosen, strict=True):
            rhythms[point.id] = None if rhythm is None else rhythm.name
        return rhythms

    def _state(self, due: Window, as_of: date) -> State:
        if self._machine.in_shop:
            return State.IN_THE_SHOP
        return State.FIRST_SERVICE if self._machine.served is None else state(due, as_of, self._lead_days)

    def _use(self, as_of: date) -> UseSummary | None:
        history = self._history
        if history is None:
            return None
        last = self._machine.reports[-1]
        low, high = history.average_on(as_of)
        first = self._machine.first_served
        return UseSummary(
            words=last.words,
            said=last.said,
            low=hours_a_week(low),
            likely=hours_a_week(likely_between(low, high)),
            high=hours_a_week(high),
            assumed=first is not None and first < history.first_told(),
        )

    def _notices(self, use: UseSummary | None, as_of: date) -> tuple[Notice, ...]:
        if use is None:
            return (Notice.NO_REPORT,)
        old = as_of > add_months(use.said, REPORT_AGES_MONTHS)
        return (*((Notice.ASSUMED_BACKWARDS,) if use.assumed else ()), *((Notice.OLD_REPORT,) if old else ()))
