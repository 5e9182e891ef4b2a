"""How the due dates of one point came about, step by step, with numbers that can be redone on
paper."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

from oilchart.core.days import ONE_DAY, add_months
from oilchart.core.due.rhythm import AFTER_REST, RHYTHMS, SEWING_DAY, YEAR
from oilchart.core.planning.carried_over import WAITS_MONTHS, cannot_wait
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Derivation, PointPlan, Schedule
from oilchart.core.point_lists.point_list import IfDry, Runs
from oilchart.core.units import Ticks, Unit, hours_in
from oilchart.errors import UnknownName, nearest, quoted
from oilchart.papers.danger_words import NOT_WHILE_UNSAFE, danger_line
from oilchart.papers.wording import (
    TO_BE_TOLD,
    counted,
    plain_number,
    sewing_words,
    short_day,
    since_words,
)

PRACTICE = "common practice, no source"


def explanation(
    schedule: Schedule, reckoning: Reckoning, point_id: str, *, way_back: str
) -> list[str]:
    """Explain a point's dates, line by line.

    Args:
        way_back: how a point with an interval of its own is given the book's again.

    Raises:
        UnknownName: the list has no such point.
    """
    plan = schedule.plan(point_id)
    if plan is None:
        ids = [each.point.id for each in schedule.points]
        raise UnknownName(
            f"point {quoted(point_id)}: {schedule.machine.point_list.name} has no such "
            f"point{nearest(point_id, ids)}"
        )
    point = plan.point
    lines = [
        *(f"{danger_line(mark)}." for mark in schedule.machine.dangers),
        f"{point.where} ({point.id}): {point.work}, by the {point.keeper}.",
        f"Book interval: {point.every.book_words}. {_source(schedule, plan)}",
        *_own_interval(schedule, plan, way_back),
    ]
    if point.id in schedule.machine.struck:
        lines.append(f"It needs current: {NOT_WHILE_UNSAFE}.")
    if point.every.occasion:
        return [*lines, f"An occasion, {point.every.occasion}: it has no due date."]
    lines.append(
        "Last done: never; the first service does it."
        if plan.done is None
        else f"Last done: {short_day(plan.done)}."
    )
    if plan.carried_over is not None:
        lines += _carried_over(plan, plan.carried_over)
    lines += [*_limit_of_use(schedule, plan), *_limit_at_rest(plan)]
    if plan.done is not None:
        lines += _use(schedule, reckoning, plan)
        lines += _result(schedule, plan)
    return lines + _rhythm(schedule, reckoning, plan)


def _carried_over(plan: PointPlan, since: date) -> list[str]:
    """That a service left it out, and how it counts for the next one."""
    left_out = f"Left out at the service of {short_day(since)} though it was planned"
    if plan.declined:
        left_out = f"Declined by the owner at the service of {short_day(since)}"
    if cannot_wait(plan.point) and not plan.declined:
        return [
            f"{left_out}.",
            "  It cannot wait: it counts with its own day, or that on which the machine is wanted "
            "back.",
        ]
    waits = add_months(since, WAITS_MONTHS)
    return [
        f"{left_out}: it is carried over.",
        f"  For the next service it counts with the later of its own day and {short_day(waits)}, "
        f"{WAITS_MONTHS} months after.",
    ]


def _source(schedule: Schedule, plan: PointPlan) -> str:
    key = dict(plan.point.sources).get("every", "practice")
    return f"Source: {dict(schedule.machine.point_list.sources).get(key, PRACTICE)}."


def _own_interval(schedule: Schedule, plan: PointPlan, way_back: str) -> list[str]:
    """That the interval is this machine's own, since when and why, and the way back."""
    limit = schedule.machine.own_interval(plan.point)
    if limit is None:
        return []
    return [
        f"Its own interval: {plan.point.every.here}, {since_words(limit)}.",
        f"  back to the book's: {way_back}",
    ]


def _limit_of_use(schedule: Schedule, plan: PointPlan) -> list[str]:
    """From the book's limit to hours at the machine, one operation a line."""
    if plan.every_hours is None or plan.step is None:
        return ["Limit of use: none."]
    step, speed = plan.step, schedule.machine.speed
    book_hours = step.book_hours(speed)
    lines = [
        f"Limit of use: {plain_number(step.limit or Fraction(0))} {step.unit}."
        if step.limit
        else "Limit of use in the book: none."
    ]
    share = plain_number(speed.needle_share * 100)
    if step.unit is Unit.STITCHES:
        needle = (step.limit or Fraction(0)) / (60 * speed.stitches_a_minute)
        lines.append(
            f"  / {plain_number(60 * speed.stitches_a_minute)} stitches an hour = "
            f"{plain_number(needle)} needle hours"
        )
    if step.unit is not Unit.HOURS:
        lines.append(
            f"  / {share} % needle time = {plain_number(book_hours or Fraction(0))} "
            f"hours at the machine"
        )
    hours = plan.every_hours
    if hours != book_hours:
        lines.append(f"  shorter on this machine: {plain_number(hours)} hours")
    if plan.acting.use_from:
        hours *= plan.acting.factors.use
        lines.append(
            f"  x {plain_number(plan.acting.factors.use)} ({plan.acting.use_from}) = "
            f"{plain_number(hours)} hours"
        )
    if plan.point.runs is not Runs.ALWAYS:
        if not plan.share:
            return [*lines, f"  it does not run at all (no {plan.point.runs}): no limit by use"]
        hours /= plan.share
        lines.append(
            f"  / {plain_number(plan.share)} (runs in {plan.point.runs} only) = "
            f"{plain_number(hours)} hours at the machine"
        )
    return lines


def _limit_at_rest(plan: PointPlan) -> list[str]:
    allowed = plan.allowed
    if allowed is None or (allowed.months is None and allowed.days is None):
        return ["Limit at rest: none."]
    book = (
        counted(plan.every_days or 0, "day")
        if plan.every_months is None
        else counted(plan.every_months, "month")
    )
    if plan.step is not None and plan.step.most_days is not None:
        book += " on this machine"
    acting = plan.acting
    own_intervals = ""
    if acting.time_from:
        left = [counted(allowed.months, "month")] if allowed.months else []
        left += [counted(allowed.days or 0, "day")] if allowed.days or not left else []
        own_intervals = (
            f" x {plain_number(acting.factors.time)} ({acting.time_from}) = {' and '.join(left)}"
        )
    due = "" if plan.done is None else f": {_iso(plan.due_at_rest)}"
    lines = [f"Limit at rest: {book}{own_intervals}{due}."]
    if plan.limits_since is not None:
        lines.append(
            f"Its limits are so since {short_day(plan.limits_since)}; each day before used up its "
            "share of those of then."
        )
    return lines


def _use(schedule: Schedule, reckoning: Reckoning, plan: PointPlan) -> list[str]:
    """How the use adds up to the limit, for high, likely and low use."""
    use = schedule.use
    if use is None:
        return [f"Use: {TO_BE_TOLD[notice]}" for notice in schedule.notices]
    lines = [f"Use as told on {short_day(use.said)}: “{use.words}”: {sewing_words(use)}."]
    lines += [f"Reckoned: {use.conversion}."] if use.conversion else []
    lines += [f"Note: {TO_BE_TOLD[notice]}" for notice in schedule.notices]
    for derivation in reckoning.derivations(plan.point):
        limits = {stretch.limit for stretch in derivation.stretches}
        lines += _case(derivation, limits.pop() or 0) if len(limits) == 1 else _changing(derivation)
    return lines


def _changing(derivation: Derivation) -> list[str]:
    """One case where the limit changes: each stretch of days, what share of its limit is used up in
    it, and where that is all."""
    lines = [f"At {derivation.case} use, the limit by how it was worked:"]
    spent = last = Fraction(0)
    for stretch in derivation.stretches:
        days = (stretch.end - stretch.first).days
        used = days * stretch.ticks_a_day
        head = (
            f"  {stretch.first} to {stretch.end - ONE_DAY}: {counted(days, 'day')} x "
            f"{_hours(stretch.ticks_a_day, 4)} h = {_hours(used)} h"
        )
        if stretch.limit is None:
            last = Fraction(0)
            lines.append(f"{head}; no limit by use then")
            continue
        last = Fraction(stretch.ticks_a_day, stretch.limit)
        spent += days * last
        lines.append(
            f"{head} of {_hours(stretch.limit)} h, together {plain_number(spent * 100)} % of it"
        )
    if derivation.due is None:
        return [*lines, "  the limit is never passed"]
    return [
        *lines,
        f"  {plain_number((spent - last) * 100)} % up to the start of {derivation.due}; "
        f"{plain_number(spent * 100)} % up to the start of the day after it: due by use "
        f"{derivation.due}",
    ]


def _case(derivation: Derivation, limit: Ticks) -> list[str]:
    """One case: each stretch of days, what is used in it, and where the limit is passed."""
    lines = [f"At {derivation.case} use:"]
    total = last = 0
    for stretch in derivation.stretches:
        days = (stretch.end - stretch.first).days
        total += days * stretch.ticks_a_day
        last = stretch.ticks_a_day
        lines.append(
            f"  {stretch.first} to {stretch.end - ONE_DAY}: {counted(days, 'day')} x "
            f"{_hours(stretch.ticks_a_day, 4)} h = "
            f"{_hours(days * stretch.ticks_a_day)} h, together {_hours(total)} h"
        )
    if derivation.due is None:
        return [*lines, f"  the limit of {_hours(limit)} h is never passed"]
    before = (
        f"{_hours(total - last)} h are used up to the start of {derivation.due}, within "
        f"{_hours(limit)} h"
    )
    after = f"up to the start of the day after it is {_hours(total)} h"
    return [*lines, f"  {before}; {after}: due by use {derivation.due}"]


def _result(schedule: Schedule, plan: PointPlan) -> list[str]:
    due = plan.due
    if due is None:
        return []
    lines = [
        (
            f"Due, the earlier of use and rest: earliest {_iso(due.earliest)}, careful "
            f"{_iso(due.careful)}, likely {_iso(due.likely)}, latest {_iso(due.latest)}."
        )
    ]
    if due.because is not None:
        lines.append(f"The likely date comes from {due.because}.")
    if plan.state is not None:
        decides = "careful" if plan.point.if_dry is IfDry.SEIZES else "likely"
        lines.append(f"It decides by the {decides} date when the machine is served.")
        lines.append(f"On {schedule.as_of}: {plan.state}.")
    return lines


def _rhythm(schedule: Schedule, reckoning: Reckoning, plan: PointPlan) -> list[str]:
    rhythm = next((rhythm for rhythm in RHYTHMS if rhythm.name == plan.rhythm), None)
    most = reckoning.most_use(schedule.as_of)
    if plan.rhythm == AFTER_REST and most is not None:
        use = f"{_hours(most[YEAR])} h in the coming year"
        return [f"On the card: {AFTER_REST}: {use} are less than one limit."]
    if rhythm is None:
        return []
    if most is None or plan.allowed is None or plan.allowed.use is None:
        return [f"Rhythm on the card: {rhythm.name}, by the limit at rest."]
    stretch = (
        "a sewing day, a fifth of the fullest week"
        if rhythm is SEWING_DAY
        else f"the fullest {rhythm.days} days of the coming year"
    )
    fits = f"{_hours(most[rhythm])} h in {stretch}, within {_hours(plan.allowed.use)} h"
    return [f"Rhythm on the card, of at most three for all points: {rhythm.name}: {fits}."]


def _hours(amount: Ticks, decimals: int = 2) -> str:
    return plain_number(hours_in(amount), decimals)


def _iso(day: object) -> str:
    return "never" if day is None else str(day)
