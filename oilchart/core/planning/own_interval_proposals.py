"""Shorter intervals that a machine's points, found dry or gummed before their limits, ask for.

What ran until the finding is taken as the list counts it, before conditions: hours of use divided
by the factor on use, days by the factor on time. So the shorter interval, times the same factor, is
0.7 of what really ran.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil, floor

from oilchart.core.days import add_days, add_months
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.conditions import Acting, acting
from oilchart.core.point_lists.interval import DAYS_A_MONTH_PART, Step, allowance
from oilchart.core.point_lists.point_list import Point
from oilchart.core.point_lists.settling_in import is_settling
from oilchart.core.records.findings import Finding, Found
from oilchart.core.records.machine import Machine
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.units import hours_in

# common practice, no source
SHORTER = Fraction(7, 10)  # of what ran until the finding
LEAST = Fraction(1, 4)  # of the book's limit: below that it is not the interval that is wrong
TENTHS = 10  # hours are rounded down to a tenth


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlyByUse:
    """Found dry before the limit of use: all in hours in which the point runs.

    Args:
        after: likely use since its work was last done, as it really was.
        limit: the book's, before the factor.
        hours: proposed instead, before the factor.
    """

    after: Fraction
    limit: Fraction
    hours: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlyByRest:
    """Found gummed, or dry where hours do not tell, before the limit at rest.

    Args:
        after: days since the work was last done, as they really were.
        step: the interval that ran; it has the book's months or days, before the factor.
        days: proposed instead, before the factor.
    """

    found: tuple[Found, ...]
    after: int
    step: Step
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A shorter interval for one point of one machine, and what asks for it.

    Args:
        on: the day of the service at which it was found.
        by_use, by_rest: at least one of the two is there.
        acting: what the machine's conditions leave of it, as of every interval.
    """

    point: Point
    on: date
    by_use: EarlyByUse | None
    by_rest: EarlyByRest | None
    acting: Acting

    def own_interval(self, since: date) -> OwnInterval:
        """The limits proposed, accepted on a day."""
        use, rest = self.by_use, self.by_rest
        found: tuple[Found, ...] = () if use is None else (Found.DRY,)
        if rest is not None:
            found += rest.found
        return OwnInterval(
            point=self.point.id,
            hours=None if use is None else use.hours,
            days=None if rest is None else rest.days,
            since=since,
            found=found,
            found_on=self.on,
        )


def proposals(
    before: Reckoning, findings: Iterable[Finding], on: date, *, freed: bool = False
) -> tuple[Proposal, ...]:
    """The shorter intervals that the findings of a service propose, in the order of the findings.

    Of a point found dry, u is the likely use since its work was last done x its share / the factor
    on use. Where u is below the book's limit of the step that ran, 0.7 u is proposed, rounded down
    to a tenth of an hour, but never less than a quarter of that limit.

    Of a point found gummed, D is the days since / the factor on time. Where the day is in time by
    the book's limit at rest, 0.7 D is proposed, rounded down to whole days, but never less than a
    quarter of the days until that limit, rounded up.

    Dry goes by days, too, where hours do not tell: no limit of use, no use known, or none at all
    since, or the machine was handed on since then. What is not shorter than what holds for the
    machine now is not proposed.

    A service at which a seized machine was freed, one while it settles in, and a point whose work
    was never done before propose nothing: what was found there is no wear of oil that ran its
    interval.

    Args:
        before: of the machine as it was before the service, its shortened intervals taken in.
        freed: the service freed a machine that had been seized.
    """
    if freed or is_settling(before.machine.freed, on):
        return ()
    found = []
    for finding in findings:
        point = before.machine.point_list.point(finding.point)
        proposal = None if point is None else _proposal(before, point, finding.found, on)
        if proposal is not None:
            found.append(proposal)
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """The interval of one point of a machine that ran from its last work to the day it was found.

    Args:
        hours: in which the point likely ran; None where hours do not tell.
    """

    machine: Machine
    point: Point
    step: Step
    acting: Acting
    done: date
    on: date
    hours: Fraction | None


def _proposal(
    before: Reckoning, point: Point, found: tuple[Found, ...], on: date
) -> Proposal | None:
    run = _run(before, point, on)
    if run is None:
        return None
    by_days = [Found.GUMMED]
    by_use = None
    if run.hours is None:
        by_days.insert(0, Found.DRY)
    elif Found.DRY in found:
        by_use = _early_by_use(run, run.hours)
    told_by_rest = tuple(word for word in by_days if word in found)
    by_rest = _early_by_rest(run, told_by_rest) if told_by_rest else None
    if by_use is None and by_rest is None:
        return None
    return Proposal(point=point, on=on, by_use=by_use, by_rest=by_rest, acting=run.acting)


def _run(before: Reckoning, point: Point, on: date) -> _Run | None:
    """What ran until a day; None for an occasion, and where the work was never done before."""
    machine = before.machine
    days = [
        service.on for service in machine.services if service.on < on and point.id in service.done
    ]
    if point.every.occasion or not days:
        return None
    step, done = point.every.step(machine.times_done(point)), max(days)
    used = None if machine.use_is_unknown_since(done) else before.likely_use(done, on)
    share = machine.share(point)
    return _Run(
        machine=machine,
        point=point,
        step=step,
        acting=acting(machine.conditions, point.work),
        done=done,
        on=on,
        hours=hours_in(used) * share if step.limit is not None and share and used else None,
    )


def _early_by_use(run: _Run, hours: Fraction) -> EarlyByUse | None:
    """What is proposed of a point found dry; None where it is not early, or nothing shorter."""
    speed = run.machine.speed
    limit, holds = run.step.book_hours(speed), run.step.limit_hours(speed)
    counted = hours / run.acting.factors.use
    if limit is None or holds is None or counted >= limit:
        return None
    shorter = max(Fraction(floor(counted * SHORTER * TENTHS), TENTHS), limit * LEAST)
    return EarlyByUse(after=hours, limit=limit, hours=shorter) if shorter < holds else None


def _early_by_rest(run: _Run, found: tuple[Found, ...]) -> EarlyByRest | None:
    """What is proposed of a point found so; None where it is not early, or nothing shorter."""
    factors = run.acting.factors
    in_book = allowance(
        run.step.in_book,
        speed=run.machine.speed,
        share=run.machine.share(run.point),
        factors=factors,
    )
    due = in_book.due_by_time(run.done)
    if due is None or run.on > due:
        return None
    ran_days = (run.on - run.done).days
    last = add_days(add_months(run.done, run.step.months or 0), run.step.days or 0)
    book_days = (last - run.done).days
    days = max(floor(ran_days / factors.time * SHORTER), ceil(book_days * LEAST))
    if days >= _days(*run.step.at_rest):
        return None
    return EarlyByRest(found=found, after=ran_days, step=run.step, days=days)


def _days(months: int | None, days: int | None) -> int:
    """A limit at rest in days that are never more than it, whichever months they are."""
    return (days or 0) if months is None else months * DAYS_A_MONTH_PART
