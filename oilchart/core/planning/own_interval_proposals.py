"""Knows when a point found dry or gummed before its limit asks for a shorter interval on its
machine, and for which.

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
from oilchart.core.lists.conditions import Acting, acting
from oilchart.core.lists.interval import DAYS_A_MONTH_PART, Step, allowance
from oilchart.core.lists.point_list import Point
from oilchart.core.lists.settling_in import is_settling
from oilchart.core.planning.reckoning import Reckoning
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
    """A shorter interval for one point of one machine, and what asks for it; at least one of the
    two does.

    Args:
        on: the day of the service at which it was found.
        acting: what the machine's conditions leave of it, as of every interval.
    """

    point: Point
    on: date
    by_use: EarlyByUse | None
    by_rest: EarlyByRest | None
    acting: Acting

    def own_intervals(self, since: date) -> OwnInterval:
        """The limits proposed, accepted on a day."""
        use, rest = self.by_use, self.by_rest
        return OwnInterval(
            point=self.point.id,
            hours=None if use is None else use.hours,
            days=None if rest is None else rest.days,
            since=since,
            found=(*(() if use is None else (Found.DRY,)), *(() if rest is None else rest.found)),
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
    since. What is not shorter than what holds for the machine now is not proposed.

    A service at which a seized machine was freed, one while it settles in, and a point whose work
    was never done before propose nothing: what was found there is no wear of oil that ran its
    interval.

    Args:
        before: of the machine as it was before the service, its shortened intervals taken in.
        freed: the service freed a machine that had been seized.
    """
    if freed or is_settling(before.machine.freed, on):
        return ()
    asked = (
        (before.machine.point_list.point(finding.point), finding.found) for finding in findings
    )
    return tuple(
        each
        for point, found in asked
        if point is not None and (each := _proposal(before, point, found, on)) is not None
    )


def _proposal(
    before: Reckoning, point: Point, found: tuple[Found, ...], on: date
) -> Proposal | None:
    machine = before.machine
    done = max(
        (
            service.on
            for service in machine.services
            if service.on < on and point.id in service.done
        ),
        default=None,
    )
    if point.every.occasion or done is None:
        return None
    step = point.every.step(machine.times_done(point))
    acts = acting(machine.conditions, point.work)
    ran = _hours_ran(before, point, step, done, on)
    told_by_rest = tuple(
        word
        for word in (Found.DRY, Found.GUMMED)
        if word in found and (word is Found.GUMMED or ran is None)
    )
    by_use = (
        _early_by_use(machine, step, acts, ran) if ran is not None and Found.DRY in found else None
    )
    by_rest = (
        _early_by_rest(machine, point, step, acts, told_by_rest, done, on) if told_by_rest else None
    )
    return (
        None
        if by_use is None and by_rest is None
        else Proposal(point=point, on=on, by_use=by_use, by_rest=by_rest, acting=acts)
    )


def _hours_ran(
    before: Reckoning, point: Point, step: Step, done: date, on: date
) -> Fraction | None:
    """Hours in which a point likely ran between two days; None where hours do not tell."""
    used, share = before.likely_use(done, on), before.machine.share(point)
    if step.limit is None or not share or not used:
        return None
    return hours_in(used) * share


def _early_by_use(machine: Machine, step: Step, acts: Acting, ran: Fraction) -> EarlyByUse | None:
    limit, holds = step.book_hours(machine.speed), step.limit_hours(machine.speed)
    counted = ran / acts.factors.use
    if limit is None or holds is None or counted >= limit:
        return None
    hours = max(Fraction(floor(counted * SHORTER * TENTHS), TENTHS), limit * LEAST)
    return EarlyByUse(after=ran, limit=limit, hours=hours) if hours < holds else None


def _early_by_rest(
    machine: Machine,
    point: Point,
    step: Step,
    acts: Acting,
    found: tuple[Found, ...],
    done: date,
    on: date,
) -> EarlyByRest | None:
    factors = acts.factors
    due = allowance(
        step.in_book, speed=machine.speed, share=machine.share(point), factors=factors
    ).due_by_time(done)
    if due is None or on > due:
        return None
    ran = (on - done).days
    # in the book
    until = (add_days(add_months(done, step.months or 0), step.days or 0) - done).days
    days = max(floor(ran / factors.time * SHORTER), ceil(until * LEAST))
    return (
        EarlyByRest(found=found, after=ran, step=step, days=days)
        if days < _days(*step.at_rest)
        else None
    )


def _days(months: int | None, days: int | None) -> int:
    """A limit at rest in days that are never more than it, whichever months they are."""
    return (days or 0) if months is None else months * DAYS_A_MONTH_PART
