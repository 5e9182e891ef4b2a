"""Knows how a machine's schedule is reckoned: use, intervals, due dates, rhythms and services, put
together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import partial
from itertools import takewhile

from oilchart.core.days import ONE_DAY, OpenDays, add_months
from oilchart.core.due.allowances import Limits, StepAllowance, after
from oilchart.core.due.due_dates import (
    NEVER,
    State,
    Window,
    due_by_use,
    first_window,
    state,
    window,
)
from oilchart.core.due.rhythm import Rhythm, choose, most_use
from oilchart.core.due.risk import Risk, chance_past, greatest, use_since
from oilchart.core.lists.interval import Allowance
from oilchart.core.lists.point_list import Keeper, Point
from oilchart.core.lists.settling_in import SETTLING_POINTS, is_settling
from oilchart.core.planning.schedule import (
    Derivation,
    Notice,
    PointPlan,
    Schedule,
    Stretch,
    UseSummary,
)
from oilchart.core.planning.services import (
    MONTHS_AHEAD,
    PlannedService,
    next_service,
    points_at,
    services_from,
)
from oilchart.core.records.machine import Machine
from oilchart.core.units import Ticks, hours_a_week
from oilchart.core.use.curve import Curve, Curves
from oilchart.core.use.history import UseHistory, likely_between
from oilchart.core.use.meter import contradicts

REPORT_AGES_MONTHS = 12
SETTLING_IDS = frozenset(point.id for point in SETTLING_POINTS)


class Reckoning:
    """All that can be reckoned about one machine; the use curves are built once.

    Args:
        open_days: the days on which the bench works.
        lead_days: a machine counts as due soon so many days ahead.
        limits: of machines like this one, where there are others; reckoned anew if left out.
    """

    def __init__(
        self, machine: Machine, *, open_days: OpenDays, lead_days: int, limits: Limits | None = None
    ) -> None:
        self._machine = machine
        self._limits = limits or Limits(machine)
        self._days_done = machine.days_done()
        self._windows: dict[tuple[date, Allowance], Window] = {}
        self._open_days = open_days
        self._lead_days = lead_days
        self._history: UseHistory | None = None
        self._start: date | None = None
        self._curves: Curves | None = None
        start = machine.first_served or min(
            (report.said for report in machine.reports), default=None
        )
        if start is not None:
            history = UseHistory(machine.reports, machine.stays, start, machine.speed)
            if history.is_known:
                self._history, self._curves, self._start = history, history.curves(), start

    @property
    def machine(self) -> Machine:
        """The machine that is reckoned about."""
        return self._machine

    def likely_use(self, first: date, end: date) -> Ticks | None:
        """Likely use from a day, not before the first service, up to the start of another; None
        where no use is known."""
        if self._curves is None:
            return None
        likely = self._curves.likely
        return likely.used_before(end.toordinal()) - likely.used_before(first.toordinal())

    def done(self, point: Point) -> date | None:
        """Day on which a point's work was last done; one never done counts from the first service;
        settling in begins with the freeing."""
        return (
            self._machine.freed
            if point.id in SETTLING_IDS
            else self._days_done.get(point.id, self._machine.first_served)
        )

    def allowed(self, point: Point) -> Allowance | None:
        """What a point's present interval comes to; None for an occasion."""
        return self._limits_of(point).allowed

    def _limits_of(self, point: Point, more: int = 0) -> StepAllowance:
        """A point's limits once it is done so many more times; how often it was done matters only
        where there are steps."""
        limits = self._limits.of(point)
        return (
            limits[0] if len(limits) == 1 else after(limits, self._machine.times_done(point, more))
        )

    def due_if_done(self, point: Point, done: date, nth: int = 1) -> Window | None:
        """A point's window were its work done on a day, for the n-th time from now, 0 being the
        last time it was; None for an occasion."""
        allowed = self._limits_of(point, nth).allowed
        return None if allowed is None else self._due_after(done, allowed)

    def _due_after(self, done: date, allowed: Allowance) -> Window:
        """The window of work done on a day; the points of a machine have few days and limits, so
        most is found again."""
        found = self._windows.get((done, allowed))
        if found is None:
            found = self._windows[done, allowed] = window(self._curves, done, allowed)
        return found

    def due(self, point: Point) -> Window | None:
        """A point's window as things stand; None for an occasion and on a machine never served."""
        done = self.done(point)
        return None if done is None else self.due_if_done(point, done, 0)

    def points_at(self, day: date) -> tuple[Point, ...]:
        """The bench points of a service on a day."""
        bench = self._machine.bench_points()
        if self._machine.served is None:
            return bench
        due = {point.id: self.due(point) for point in bench}
        return points_at(bench, due, self.due_if_done, day=day, open_days=self._open_days)

    def schedule(self, as_of: date, service_on: date | None = None) -> Schedule:
        """The machine's schedule as of a day.

        Args:
            service_on: the day the bench has for its next service; the day booked, or else the
                latest day in time, if left out.
        """
        machine = self._machine
        bench = machine.bench_points()
        due = {point.id: self.due(point) for point in bench}
        whole = (
            first_window(window for window in due.values() if window is not None)
            if machine.served
            else NEVER
        )
        service = next_service(
            bench,
            due,
            self.due_if_done,
            today=as_of,
            open_days=self._open_days,
            served=machine.served is not None,
            given=service_on or self._booked(as_of),
        )
        use = self._use(as_of)
        return Schedule(
            machine=machine,
            as_of=as_of,
            state=self._state(whole, as_of),
            due=whole,
            risk=self._risk(bench, due, as_of),
            use=use,
            plans=partial(self._plans, as_of),
            services=() if service is None else (service,),
            notices=self._notices(use, as_of),
            settling=is_settling(machine.freed, as_of),
            booked=self._booked(as_of),
        )

    def _booked(self, as_of: date) -> date | None:
        """The day agreed with the owner, unless it has gone by."""
        booked = self._machine.booked
        return booked if booked is not None and booked >= as_of else None

    def coming(self, as_of: date, until: date) -> list[tuple[date, Point]]:
        """The coming occasions of all points that were ever done, each done on its likely due date,
        from a day to another, by day."""
        found = []
        for point in self._machine.point_list.points:
            done, times = self.done(point), self._machine.times_done(point)
            while (
                done is not None
                and (allowed := after(self._limits.of(point), times).allowed) is not None
            ):
                due = self._due_after(done, allowed).likely
                done = None if due is None or due > until else max(due, done + ONE_DAY)
                times += 1
                if done is not None and done >= as_of:
                    found.append((done, point))
        return sorted(found, key=lambda occasion: occasion[0])

    def services_ahead(
        self, schedule: Schedule, months: int = MONTHS_AHEAD
    ) -> tuple[PlannedService, ...]:
        """The services up to so many months from the day of a schedule of this machine; its next
        service whenever that is."""
        if not schedule.services:
            return ()
        first, until = schedule.services[0], add_months(schedule.as_of, months)
        bench = self._machine.bench_points()
        due = {point.id: self.due(point) for point in bench}
        services = services_from(first, bench, due, self.due_if_done, open_days=self._open_days)
        return tuple(takewhile(lambda service: service is first or service.on <= until, services))

    def reckoned(self, point: Point) -> tuple[Derivation, ...]:
        """How a point's due dates by use came about, for high, likely and low use; empty without a
        limit of use, use, or work done."""
        done, allowed = self.done(point), self.allowed(point)
        if done is None or allowed is None or allowed.use is None or self._curves is None:
            return ()
        curves = {"high": self._curves.high, "likely": self._curves.likely, "low": self._curves.low}
        return tuple(_reckoned(case, curve, done, allowed.use) for case, curve in curves.items())

    def _plans(self, as_of: date) -> tuple[PointPlan, ...]:
        """How each point stands, those of settling in last."""
        rhythms = self._rhythms(as_of)
        settling = SETTLING_POINTS if is_settling(self._machine.freed, as_of) else ()
        return tuple(
            self._plan(point, as_of, rhythms.get(point.id))
            for point in (*self._machine.point_list.points, *settling)
        )

    def _plan(self, point: Point, as_of: date, rhythm: str | None) -> PointPlan:
        limits, due = self._limits_of(point), self.due(point)
        step = limits.step
        return PointPlan(
            point=point,
            done=self.done(point),
            share=limits.share,
            acting=limits.acting,
            step=step,
            every_hours=limits.every_hours,
            every_months=None if step is None else step.at_rest[0],
            every_days=None if step is None else step.at_rest[1],
            allowed=limits.allowed,
            due=due,
            state=None
            if due is None or point.keeper is Keeper.OWNER
            else state(due, as_of, self._lead_days),
            rhythm=rhythm,
        )

    def most_use(self, as_of: date) -> dict[Rhythm, Ticks] | None:
        """The most use in any stretch of each rhythm's length in the year from a day, or from the
        first day known; None without use."""
        if self._curves is None or self._start is None:
            return None
        return most_use(self._curves.high, max(as_of, self._start))

    def _rhythms(self, as_of: date) -> dict[str, str | None]:
        """Each owner's point's rhythm by id: its occasion, or the one chosen for it."""
        owner = self._machine.point_list.kept_by(Keeper.OWNER)
        timed = [
            (point, allowed) for point in owner if (allowed := self.allowed(point)) is not None
        ]
        chosen = choose([allowed for _, allowed in timed], self.most_use(as_of))
        rhythms = {point.id: point.every.occasion for point in owner}
        for (point, _), rhythm in zip(timed, chosen, strict=True):
            rhythms[point.id] = None if rhythm is None else rhythm.name
        return rhythms

    def _state(self, due: Window, as_of: date) -> State:
        if self._machine.in_shop:
            return State.IN_THE_SHOP
        return (
            State.FIRST_SERVICE
            if self._machine.served is None
            else state(due, as_of, self._lead_days)
        )

    def _risk(
        self, bench: Iterable[Point], due: Mapping[str, Window | None], as_of: date
    ) -> Risk | None:
        """The machine's risk; of bench points that weigh the same the one likely due first
        decides."""
        known: dict[tuple[date, Allowance], float] = {}
        used: dict[date, tuple[Ticks, Ticks, Ticks]] = {}
        chances = []
        for point in bench:
            done, allowed, its_due = self.done(point), self.allowed(point), due[point.id]
            if done is None or allowed is None or its_due is None:
                continue
            if done not in used and self._curves is not None:
                used[done] = use_since(self._curves, done, as_of)
            if (done, allowed) not in known:
                known[done, allowed] = chance_past(used.get(done), done, allowed, as_of)
            chances.append((its_due.likely or date.max, point, known[done, allowed]))
        return greatest(
            (point, chance) for _, point, chance in sorted(chances, key=lambda each: each[0])
        )

    def _use(self, as_of: date) -> UseSummary | None:
        history = self._history
        if history is None:
            return None
        last = self._machine.reports[-1]
        low, high = history.average_on(as_of)
        first = self._machine.first_served
        return UseSummary(
            words=last.words,
            conversion=last.conversion,
            said=last.said,
            low=hours_a_week(low),
            likely=hours_a_week(likely_between(low, high)),
            high=hours_a_week(high),
            assumed=first is not None and first < history.first_told(),
        )

    def _notices(self, use: UseSummary | None, as_of: date) -> tuple[Notice, ...]:
        if use is None:
            return (Notice.NO_REPORT,)
        told = {
            Notice.ASSUMED_BACKWARDS: use.assumed,
            Notice.OLD_REPORT: as_of > add_months(use.said, REPORT_AGES_MONTHS),
            Notice.CONTRADICTS_METER: contradicts(self._machine.reports, self._machine.speed),
        }
        return tuple(notice for notice, holds in told.items() if holds)


def _reckoned(case: str, curve: Curve, done: date, limit: Ticks) -> Derivation:
    """The stretches of use from the work to the first day that is too late; for a date that never
    comes, the first year."""
    first = done.toordinal()
    due = due_by_use(curve, done, limit)
    end = first + REPORT_AGES_MONTHS * 31 if due is None or due == date.max else due.toordinal() + 1
    stretches = tuple(
        Stretch(first=date.fromordinal(start), end=date.fromordinal(stop), ticks_a_day=rate)
        for start, stop, rate in curve.stretches(first, end)
    )
    return Derivation(case=case, due=due, stretches=stretches)
