"""A machine's schedule worked out: use, intervals, due dates, rhythms and services together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import takewhile

from oilchart.core.days import OpenDays, add_days, add_months
from oilchart.core.due.allowances import AllowanceCache, PointAllowances, StepAllowance
from oilchart.core.due.due_dates import (
    NEVER,
    State,
    Window,
    deciding_day,
    first_window,
    state,
    window,
)
from oilchart.core.due.limits import Limits, limits
from oilchart.core.due.rhythm import AFTER_REST, Rhythm, choose, hardly_runs, most_use
from oilchart.core.due.risk import (
    Risk,
    chance_past,
    chance_past_changing,
    greatest,
    used_since,
)
from oilchart.core.planning.carried_over import WAITS_MONTHS, cannot_wait, counted_window
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
    BenchWork,
    PlannedService,
    next_service,
    points_at,
    services_from,
    wanted_by,
)
from oilchart.core.point_lists.interval import Allowance
from oilchart.core.point_lists.point_list import Keeper, Point
from oilchart.core.point_lists.settling_in import SETTLING_POINTS, is_settling
from oilchart.core.records.machine import Machine
from oilchart.core.units import Ticks, hours_a_week
from oilchart.core.use.curve import Curve, Curves
from oilchart.core.use.history import WIDEST_RANGE, UseHistory, likely_between
from oilchart.core.use.meter import contradicts
from oilchart.core.use.report import still_unclear

REPORT_AGES_MONTHS = 12
SETTLING_IDS = frozenset(point.id for point in SETTLING_POINTS)


class Reckoning:
    """All that follows from what is known of one machine; the use curves are built once.

    Args:
        open_days: the days on which the bench works.
        lead_days: a machine counts as due soon so many days ahead.
        allowances: of other machines, where there are any.
    """

    def __init__(
        self,
        machine: Machine,
        *,
        open_days: OpenDays,
        lead_days: int,
        allowances: AllowanceCache | None = None,
    ) -> None:
        self._machine = machine
        known_allowances = allowances or AllowanceCache()
        self._allowances = known_allowances.of(machine)
        # how it was worked before, each with the first day on which it was so
        self._earlier: list[tuple[date, PointAllowances]] = []
        first = date.min
        for before in machine.earlier:
            self._earlier.append((first, known_allowances.of(machine.as_before(before.until))))
            first = before.until
        self._worked_since = first
        self._steps: dict[str, tuple[StepAllowance, ...]] = {}  # by point id
        self._limits: dict[tuple[str, int], Limits] = {}
        self._days_done = machine.days_done()
        self._carried_over = machine.carried_over()
        self._declined = machine.declined() if self._carried_over else frozenset()
        self._windows: dict[tuple[date, Allowance | Limits], Window] = {}
        self._open_days = open_days
        self._lead_days = lead_days
        self._history: UseHistory | None = None
        self._start: date | None = None
        self._curves: Curves | None = None
        known = [] if machine.first_work is None else [machine.first_work]
        if machine.served is None:
            known += [report.said for report in machine.reports]
        start = min(known, default=None)
        if start is not None:
            history = UseHistory(
                machine.reports,
                machine.stays,
                start,
                lambda day: machine.as_on(day).speed,
                machine.handed_on,
            )
            if history.is_known:
                self._history, self._curves, self._start = history, history.curves(), start

    @property
    def machine(self) -> Machine:
        """The machine all this is about."""
        return self._machine

    def likely_use(self, first: date, end: date) -> Ticks | None:
        """Likely use from a day up to the start of another; None where no use is known.

        Args:
            first: not before the first service.
        """
        if self._curves is None:
            return None
        likely = self._curves.likely
        return likely.used_before(end.toordinal()) - likely.used_before(first.toordinal())

    def done(self, point: Point) -> date | None:
        """Day on which a point's work was last done; None on a machine never served.

        One never done counts from the latest service whose list had not got it, else from the
        first; settling in begins with the freeing.
        """
        if point.id in SETTLING_IDS:
            return self._machine.freed
        if self._machine.served is None:
            return None
        return self._days_done.get(point.id) or self._machine.counts_from(point)

    def _running_step(self, point: Point, more: int = 0) -> StepAllowance:
        """The step of a point's interval that runs once it is done so many more times, as the
        machine is worked now."""
        return self._steps_of(point)[self._step_number(point, more)]

    def _steps_of(self, point: Point) -> tuple[StepAllowance, ...]:
        steps = self._steps.get(point.id)
        if steps is None:
            steps = self._steps[point.id] = self._allowances.of(point)
        return steps

    def due_if_done(self, point: Point, done: date, nth: int = 1) -> Window | None:
        """A point's window were its work done on a day; None for an occasion.

        Args:
            nth: for the n-th time from now; 0 is the last time it was.
        """
        limits = self._limits_since(point, done, self._step_number(point, nth))
        return None if limits is None else self._due_after(done, limits)

    def _step_number(self, point: Point, more: int = 0) -> int:
        """Which step of a point's interval runs once it is done so many more times."""
        steps = self._steps_of(point)
        # how often it was done matters only where there are several
        if len(steps) == 1:
            return 0
        return min(self._machine.times_done(point, more), len(steps)) - 1

    def limits_of(self, point: Point) -> Allowance | Limits | None:
        """What a point's present interval comes to since its work was done; None for an occasion
        and on a machine never served."""
        done = self.done(point)
        return None if done is None else self._limits_since(point, done, self._step_number(point))

    def _limits_since(self, point: Point, done: date, step: int) -> Allowance | Limits | None:
        """What a step of a point's interval comes to from a day on; None for an occasion."""
        now = self._steps_of(point)[step].allowed
        if now is None or self._worked_since <= done:
            return now
        key = point.id, step
        found = self._limits.get(key)
        if found is None:
            earlier = [
                (first, allowed)
                for first, allowances in self._earlier
                if (allowed := allowances.of(point)[step].allowed) is not None
            ]
            found = self._limits[key] = limits([*earlier, (self._worked_since, now)])
        return found.since(done) or found

    def _due_after(self, done: date, allowed: Allowance | Limits) -> Window:
        """The window of work done on a day; most is found again, days and limits being few."""
        found = self._windows.get((done, allowed))
        if found is None:
            found = self._windows[done, allowed] = window(self._curves, done, allowed)
        return found

    def due(self, point: Point) -> Window | None:
        """A point's window as things stand; None for an occasion and on a machine never served."""
        done = self.done(point)
        return None if done is None else self.due_if_done(point, done, 0)

    def counted(self, point: Point) -> Window | None:
        """The window with which a bench point counts in the machine's: its own, unless it was
        carried over; None for an occasion and on a machine never served."""
        own, since = self.due(point), self._carried_over.get(point.id)
        if since is None or self._machine.served is None:
            return own
        return counted_window(point, own, since, self._machine.back_on, self._declined)

    def points_at(self, day: date) -> tuple[Point, ...]:
        """The bench points of a service on a day."""
        bench = self._machine.bench_points()
        if self._machine.served is None:
            return bench
        return points_at(self._bench_work(bench), day)

    def wanted_back(self, as_of: date) -> tuple[Point, ...]:
        """The points that were carried over, cannot wait, and fall due before the service that the
        other points want; a day that the machine is wanted back on is left aside.

        Args:
            as_of: the day of the service that left them out.
        """
        bench = self._machine.bench_points()
        left = [p for p in bench if p.id in self._carried_over and cannot_wait(p, self._declined)]
        others = replace(
            self._bench_work(bench), points=[point for point in bench if point not in left]
        )
        following = next_service(others, today=as_of)
        first = date.max if following is None else following.on
        wanted = [(point, deciding_day(point, self.due(point))) for point in left]
        return tuple(point for point, day in wanted if day is not None and day < first)

    def _bench_work(self, bench: tuple[Point, ...]) -> BenchWork:
        return BenchWork(
            points=bench,
            due={point.id: self.counted(point) for point in bench},
            if_done=self.due_if_done,
            open_days=self._open_days,
            carried_over=self._carried_over.keys(),
        )

    def schedule(self, as_of: date, service_on: date | None = None) -> Schedule:
        """The machine's schedule as of a day.

        Args:
            service_on: the day the bench has for its next service; the day booked, or else the
                latest day in time, if left out.
        """
        machine = self._machine
        work = self._bench_work(machine.bench_points())
        served = machine.served is not None
        whole = (
            first_window(window for window in work.due.values() if window is not None)
            if served
            else NEVER
        )
        first_due = None if served else add_days(machine.came or as_of, self._lead_days)
        service = (
            next_service(
                work,
                today=as_of,
                first_due=first_due,
                given=service_on or self._booked(as_of),
            )
            if machine.point_list.is_known
            else self._look_at_it(as_of)
        )
        decides = first_due or wanted_by(work)
        use = self._use(as_of)
        return Schedule(
            machine=machine,
            as_of=as_of,
            state=self._state(whole, decides, service, as_of),
            due=whole,
            risk=self._risk(work, as_of),
            use=use,
            planner=self,
            services=() if service is None else (service,),
            notices=self._notices(use, as_of),
            settling=is_settling(machine.freed, as_of),
            wanted_by=decides if machine.point_list.is_known else None,
            booked=self._booked(as_of),
        )

    def _look_at_it(self, as_of: date) -> PlannedService | None:
        """The booked day of a machine not seen yet, of whose points nothing is known; the next open
        one if it did not come on its day, or could hurt someone."""
        booked, missed = self._booked(as_of), self._machine.missed
        found = min((mark.on for mark in self._machine.dangers), default=None)
        wanted_by = booked or missed or found
        if wanted_by is None:
            return None
        on = booked or self._open_days.first_open(as_of)
        return PlannedService(
            on=on, points=(), wanted_by=wanted_by, deadline=wanted_by, late=booked is None
        )

    def _booked(self, as_of: date) -> date | None:
        """The day agreed with the owner, unless it has gone by."""
        booked = self._machine.booked
        return booked if booked is not None and booked >= as_of else None

    def occasions(self, as_of: date, until: date) -> list[tuple[date, Point]]:
        """The coming occasions of all points that were ever done, by day.

        Args:
            as_of, until: the first and the last day that count; each work is taken as done on its
                likely due date.
        """
        found = [
            (day, point)
            for point in self._machine.point_list.points
            for day in self._likely_days(point, until)
            if day >= as_of
        ]
        return sorted(found, key=lambda occasion: occasion[0])

    def _likely_days(self, point: Point, until: date) -> Iterator[date]:
        """Yield the days on which a point is likely due, each work done on its day.

        Two are never on one day.
        """
        done, more = self.done(point), 0
        while done is not None:
            limits = self._limits_since(point, done, self._step_number(point, more))
            due = None if limits is None else self._due_after(done, limits).likely
            if due is None or due > until:
                return
            done = max(due, add_days(done, 1))
            more += 1
            yield done

    def services_ahead(
        self, schedule: Schedule, months: int = MONTHS_AHEAD
    ) -> tuple[PlannedService, ...]:
        """The services of the months from a schedule's day; the next one whenever that is.

        Args:
            schedule: of this machine.
        """
        if not schedule.services:
            return ()
        first, until = schedule.services[0], add_months(schedule.as_of, months)
        services = services_from(first, self._bench_work(self._machine.bench_points()))
        return tuple(takewhile(lambda service: service is first or service.on <= until, services))

    def derivations(self, point: Point) -> tuple[Derivation, ...]:
        """How a point's due dates by use came about, for high, likely and low use.

        Returns:
            Empty without a limit of use, use, or work done.
        """
        done = self.done(point)
        allowed = self.limits_of(point)
        if done is None or allowed is None or self._curves is None:
            return ()
        changing = allowed if isinstance(allowed, Limits) else limits([(date.min, allowed)])
        if all(each.use is None for _, each in changing.stretches):
            return ()
        curves = {
            "high": self._curves.high,
            "careful": self._curves.careful,
            "likely": self._curves.likely,
            "low": self._curves.low,
        }
        return tuple(_derivation(case, curve, done, changing) for case, curve in curves.items())

    def plans(self, as_of: date) -> tuple[PointPlan, ...]:
        """How each point stands, those of settling in last."""
        rhythms = self._rhythms(as_of)
        settling = SETTLING_POINTS if is_settling(self._machine.freed, as_of) else ()
        return tuple(
            self._plan(point, as_of, rhythms.get(point.id))
            for point in (*self._machine.point_list.points, *settling)
        )

    def _plan(self, point: Point, as_of: date, rhythm: str | None) -> PointPlan:
        runs, due, done = self._running_step(point), self.due(point), self.done(point)
        limits_since = self.limits_of(point)
        step = runs.step
        stands = None
        if due is not None and point.keeper is not Keeper.OWNER:
            stands = self._point_state(point, due, as_of)
        return PointPlan(
            point=point,
            done=done,
            share=runs.share,
            acting=runs.acting,
            step=step,
            every_hours=runs.every_hours,
            every_months=None if step is None else step.at_rest[0],
            every_days=None if step is None else step.at_rest[1],
            allowed=runs.allowed,
            due=due,
            due_at_rest=None
            if limits_since is None or done is None
            else limits_since.due_by_time(done),
            state=stands,
            rhythm=rhythm,
            carried_over=self._carried_over.get(point.id),
            declined=point.id in self._declined,
            limits_since=limits_since.stretches[-1][0]
            if isinstance(limits_since, Limits)
            else None,
        )

    def _point_state(self, point: Point, due: Window, as_of: date) -> State:
        return state(
            due,
            wanted_by=deciding_day(point, due),
            service_on=deciding_day(point, due),
            today=as_of,
            lead_days=self._lead_days,
        )

    def most_use(self, as_of: date) -> dict[Rhythm, Ticks] | None:
        """The most ticks in any stretch of each rhythm's length in the coming year.

        Returns:
            None where no use is known. The year begins with the first day known where that is
            later.
        """
        if self._curves is None or self._start is None:
            return None
        return most_use(self._curves.high, max(as_of, self._start))

    def _rhythms(self, as_of: date) -> dict[str, str | None]:
        """Each owner's point's rhythm by id: its occasion, or the one chosen for it."""
        owner = self._machine.point_list.kept_by(Keeper.OWNER)
        most = self.most_use(as_of)
        timed = []
        rhythms = {point.id: point.every.occasion for point in owner}
        for point in owner:
            running = self._running_step(point)
            if running.allowed is None:
                continue
            if hardly_runs(running.every_hours, running.allowed, most):
                rhythms[point.id] = AFTER_REST
            else:
                timed.append((point, running.allowed))
        chosen = choose([allowed for _, allowed in timed], most)
        for (point, _), rhythm in zip(timed, chosen, strict=True):
            rhythms[point.id] = None if rhythm is None else rhythm.name
        return rhythms

    def _state(
        self, due: Window, decides: date | None, service: PlannedService | None, as_of: date
    ) -> State:
        if self._machine.in_shop:
            return State.IN_THE_SHOP
        if not self._machine.point_list.is_known:
            return State.NOT_SEEN_YET
        if self._machine.served is None:
            return State.FIRST_SERVICE
        return state(
            due,
            wanted_by=decides,
            service_on=None if service is None else service.on,
            today=as_of,
            lead_days=self._lead_days,
        )

    def _risk(self, work: BenchWork, as_of: date) -> Risk | None:
        """The machine's risk; of points that weigh the same the one likely due first decides."""
        known: dict[tuple[date, Allowance | Limits], float] = {}
        used: dict[date, tuple[Ticks, Ticks, Ticks]] = {}
        chances = []
        for point in work.points:
            done, its_due = self.done(point), work.due[point.id]
            allowed = self.limits_of(point)
            if done is None or allowed is None or its_due is None or self._waits(point, as_of):
                continue
            if (done, allowed) not in known:
                if isinstance(allowed, Limits):
                    chance = chance_past_changing(self._curves, done, allowed, as_of)
                else:
                    if done not in used and self._curves is not None:
                        used[done] = used_since(self._curves, done, as_of)
                    chance = chance_past(used.get(done), done, allowed, as_of)
                known[done, allowed] = chance
            chances.append((its_due.likely or date.max, point, known[done, allowed]))
        return greatest(
            (point, chance) for _, point, chance in sorted(chances, key=lambda each: each[0])
        )

    def _waits(self, point: Point, as_of: date) -> bool:
        """Whether a point was carried over and may still wait for the next service."""
        since = self._carried_over.get(point.id)
        if since is None or cannot_wait(point, self._declined):
            return False
        return as_of <= add_months(since, WAITS_MONTHS)

    def _use(self, as_of: date) -> UseSummary | None:
        history = self._history
        if history is None:
            return None
        last = self._machine.reports[-1]
        low, high = history.average_on(as_of)
        first = self._machine.used_since
        return UseSummary(
            words=last.words,
            conversion=last.conversion,
            said=last.said,
            low=hours_a_week(low),
            likely=hours_a_week(likely_between(low, high)),
            high=hours_a_week(high),
            assumed=first is not None and history.is_assumed(first, as_of),
        )

    def _notices(self, use: UseSummary | None, as_of: date) -> tuple[Notice, ...]:
        served, history = self._machine.served, self._history
        if use is None or history is None:
            is_unclear = still_unclear(self._machine.reports) is not None
            return (Notice.NO_REPORT, *([Notice.NOT_UNDERSTOOD] if is_unclear else []))
        told = {
            Notice.ASSUMED_BACKWARDS: use.assumed,
            Notice.HANDED_ON: served is not None and self._machine.use_is_unknown_since(served),
            Notice.OLD_REPORT: as_of > add_months(use.said, REPORT_AGES_MONTHS),
            Notice.WIDE_RANGE: use.high > WIDEST_RANGE * use.low,
            Notice.FEW_DAYS: history.is_of_few_days(as_of),
            Notice.NOTHING_LATELY: history.ends_in_nothing,
            Notice.CORRECTED_TOTAL: bool(history.corrected_totals),
            Notice.CONTRADICTS_METER: contradicts(
                self._machine.reports, lambda day: self._machine.as_on(day).speed
            ),
            Notice.NOT_UNDERSTOOD: still_unclear(self._machine.reports) is not None,
        }
        return tuple(notice for notice, holds in told.items() if holds)


def _derivation(case: str, curve: Curve, done: date, allowed: Limits) -> Derivation:
    """The stretches of use up to the due day; for a date that never comes, the first year."""
    first = done.toordinal()
    due = allowed.due_by_use(curve, done)
    end = first + REPORT_AGES_MONTHS * 31 if due is None or due == date.max else due.toordinal() + 1
    stretches = []
    for start, stop, limit in allowed.spans(done, date.fromordinal(end)):
        stretches += [
            Stretch(
                first=date.fromordinal(a), end=date.fromordinal(b), ticks_a_day=rate, limit=limit
            )
            for a, b, rate in curve.stretches(start.toordinal(), stop.toordinal())
        ]
    return Derivation(case=case, due=due, stretches=tuple(stretches))
