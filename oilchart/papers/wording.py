"""Dates, intervals, amounts, rhythms and what was heard put into words, for technicians and for
owners."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction

from oilchart.core.days import MONTHS, WEEKDAYS
from oilchart.core.days import day_words as day_words  # beside the other words for days
from oilchart.core.planning.own_interval_proposals import Proposal
from oilchart.core.planning.schedule import Notice, PointPlan, Schedule, UseSummary
from oilchart.core.point_lists.lubricants import CONSISTENCY_CLASSES, grade_limits, millilitres
from oilchart.core.point_lists.point_list import Lubricant, Point, PointList, Runs, Work
from oilchart.core.records.machine_record import MachineRecord, machine_number
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.units import HOUR

MOST_CALLED = 4  # machines that are named one by one
INVENTED = "Demonstration: shop, people, makers and machines are all invented."
TESTED_ELSEWHERE = "Mains test not made by us."
TO_BE_TOLD = {
    Notice.NO_REPORT: (
        "Nothing is known of its use: only the limits at rest count. Ask the owner about the hours."
    ),
    Notice.ASSUMED_BACKWARDS: "The use before the first report is assumed to have been the same.",
    Notice.HANDED_ON: (
        "What it was used for before it was handed on is not known, and not counted. Look at it."
    ),
    Notice.OLD_REPORT: "The last report of use is more than 12 months old. Ask again.",
    Notice.CONTRADICTS_METER: (
        "The meter and the owner's words are far apart; the meter is believed. Ask again."
    ),
    Notice.WIDE_RANGE: (
        "The most that was told is more than ten times the least: the dates lie far apart. Ask "
        "again."
    ),
    Notice.FEW_DAYS: (
        "Hours of a few days are all that was told, and taken to go on. Ask: is it always so?"
    ),
    Notice.NOTHING_LATELY: (
        "Nothing was sewn of late; what was told before that is taken to go on. Ask: and from now "
        "on?"
    ),
    Notice.NOT_UNDERSTOOD: (
        "What was said last is not understood, and changes nothing yet. Ask again."
    ),
    Notice.CORRECTED_TOTAL: (
        "Hours told in total do not fit those told later of the same days: what is left of them is "
        "not counted."
    ),
}
TOLD_TO_OWNER = {
    Notice.NO_REPORT: (
        "You have not told us yet how much you sew: please ring us, so that we can set the "
        "times right."
    ),
    Notice.ASSUMED_BACKWARDS: "We took it that you sewed as much before you told us.",
    Notice.HANDED_ON: (
        "How much it was sewn on before it was yours we do not know, and did not count."
    ),
    Notice.OLD_REPORT: (
        "You last told us more than a year ago: please tell us how much you sew now."
    ),
    Notice.CONTRADICTS_METER: (
        "Your machine's meter says otherwise, so we went by the meter: please ring us about it."
    ),
    Notice.WIDE_RANGE: "From little to much is a long way: please tell us again how much you sew.",
    Notice.FEW_DAYS: "You told us of a few days only: please tell us whether it is always so.",
    Notice.NOTHING_LATELY: "Please tell us how much you sew from now on.",
    Notice.NOT_UNDERSTOOD: (
        "What you told us last we have not understood yet: please tell us again how much you sew."
    ),
    Notice.CORRECTED_TOTAL: "The hours you told us last are those that we went by.",
}


def capital(words: str) -> str:
    """Words that begin with a capital letter."""
    return words[:1].upper() + words[1:]


def lubricant_words(lubricant: Lubricant) -> str:
    """An oil or a grease with what its grade or class means."""
    if lubricant.iso_vg is not None:
        least, most = grade_limits(lubricant.iso_vg)
        drop = millilitres(1)[1]
        return (
            f"{lubricant.name} ({plain_number(least)} to {plain_number(most)} mm²/s at 40 "
            f"°C; a drop is about {plain_number(drop)} mL)"
        )
    if lubricant.nlgi is not None:
        soft, stiff = CONSISTENCY_CLASSES[lubricant.nlgi]
        return f"{lubricant.name} (worked penetration {soft} to {stiff})"
    return lubricant.name


def needle_words(point_list: PointList) -> str:
    """A model's needles: their system and which way the flat faces, or how a round shank stands."""
    way = (
        point_list.needle_flat
        if point_list.needle_flat.startswith("round shank")
        else f"flat side {point_list.needle_flat}"
    )
    return f"{point_list.needle_system}, {way}"


def machine_words(point_list: PointList, record: MachineRecord) -> str:
    """A machine as the papers of its owner name it: its model, number and serial number."""
    serial = f"serial {record.serial}" if record.serial else ""
    return " · ".join(part for part in (point_list.name, record.number, serial) if part)


def tested_elsewhere_words(point_list: PointList) -> tuple[str, ...]:
    """What papers say of a machine with a plug in a shop whose electrical tests others make; empty
    for every other."""
    says_so = point_list.has_plug and not point_list.tested_here
    return (TESTED_ELSEWHERE,) if says_so else ()


def edition_words(point_list: PointList) -> str:
    """Which edition of its list a paper was made by: list 4f2a91 of 30 November 2026."""
    told = point_list.edition
    return f"list {told.code}{f' of {plain_day(told.day)}' if told.day else ''}"


def month_words(day: date) -> str:
    """October 2026."""
    return f"{MONTHS[day.month - 1]} {day.year}"


def plain_day(day: date) -> str:
    """14 October 2026."""
    return f"{day.day} {month_words(day)}"


def short_day(day: date) -> str:
    """14 Oct 2026."""
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def weekday_words(day: date) -> str:
    """Wed 14 Oct 2026."""
    return f"{WEEKDAYS[day.weekday()][:3]} {short_day(day)}"


def plain_number(number: Fraction, decimals: int = 2) -> str:
    """A number rounded half to even, without needless zeros: 5, 6.32, 0.5."""
    return (
        f"{float(round(number, decimals)):.{decimals}f}".rstrip("0").rstrip(".")
        if number.denominator != 1
        else str(number)
    )


def counted(number: int, one: str, many: str | None = None) -> str:
    """1 point, 2 points."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def minutes_words(minutes: Fraction) -> str:
    """About 55 min; about 1 h 35 min; a whole service rounded up to 5 minutes."""
    whole = math.ceil(minutes / 5) * 5
    hours, rest = divmod(whole, 60)
    return (
        f"about {rest} min"
        if not hours
        else f"about {hours} h {rest} min"
        if rest
        else f"about {hours} h"
    )


def hours_words(allowed: int) -> str:
    """About every 10 hours of sewing: an allowance in ticks, rounded down to whole hours, or
    minutes below one."""
    hours = allowed // HOUR
    if hours:
        return f"about every {counted(hours, 'hour')} of sewing"
    return f"about every {max(1, allowed * 60 // HOUR)} minutes of sewing"


def chance_words(chance: float) -> str:
    """9 in 10: rounded to tenths, half upwards; "sure" from 19 in 20 on, "unlikely" below 1 in
    20."""
    tenths = math.floor(chance * 10 + 0.5)
    return "unlikely" if tenths < 1 else "sure" if tenths > 9 else f"{tenths} in 10"


def sureness(use: UseSummary | None) -> str:
    """What the dates hang on where the owner said one plain number; else empty."""
    return "" if use is None or use.low != use.high else "; sure if what was told holds"


def range_words(low: Fraction, high: Fraction, decimals: int = 2) -> str:
    """5 to 8, or just 6."""
    first, last = plain_number(low, decimals), plain_number(high, decimals)
    return first if first == last else f"{first} to {last}"


def sewing_words(use: UseSummary) -> str:
    """5 to 8 hours a week, likely 6.32."""
    if use.high == 0:
        return "no sewing"
    likely = "" if use.low == use.high else f", likely {plain_number(use.likely)}"
    return f"{range_words(use.low, use.high)} hours a week{likely}"


def joined(words: Sequence[str]) -> str:
    """A, B and C."""
    return (
        words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""
    )


def machine_numbers(machine_ids: Iterable[int]) -> list[str]:
    """Machines by their numbers, those in a row together: M-001, M-005 to M-008, M-011."""
    runs: list[list[int]] = []
    for machine_id in machine_ids:
        if runs and machine_id == runs[-1][-1] + 1:
            runs[-1].append(machine_id)
        else:
            runs.append([machine_id])
    words = []
    for run in runs:
        numbers = [machine_number(each) for each in run]
        words += [f"{numbers[0]} to {numbers[-1]}"] if len(run) > 2 else numbers
    return words


def machines_called(machines: Iterable[tuple[MachineRecord, PointList]]) -> str:
    """Machines with their names and numbers: Heron 3 M-014 and Marlett Fifty M-015; of many that
    are called the same the name once: Heron 3 M-001 to M-020."""
    named = [(point_list.name, record) for record, point_list in machines]
    if len(named) <= MOST_CALLED:
        return joined([f"{name} {record.number}" for name, record in named])
    alike: dict[str, list[int]] = {}
    for name, record in named:
        alike.setdefault(name.removesuffix(f" ({record.mark})"), []).append(record.id)
    return joined([f"{name} {', '.join(machine_numbers(ids))}" for name, ids in alike.items()])


def drawing_words(name: str, places: Iterable[tuple[int, str]]) -> str:
    """What is said in the place of a drawing to those who cannot see it: its name, and each
    numbered place on it."""
    numbered = "; ".join(f"{number} {place}" for number, place in places)
    return f"Drawing: {name}. Numbered on it: {numbered}." if numbered else f"Drawing: {name}."


def interval_words(plan: PointPlan) -> str:
    """An interval, and what the machine's conditions leave of it: "8-10 hours or 3 months; 10 h x
    0.5 (fast work) = 5 h"."""
    acting = plan.acting
    parts = [plan.point.every.words]
    if acting.use_from and plan.every_hours is not None:
        parts.append(_shortened(plan.every_hours, "h", acting.factors.use, acting.use_from))
    if acting.time_from and (plan.every_months or plan.every_days):
        unit = "months" if plan.every_months else "days"
        parts.append(
            _shortened(
                Fraction(plan.every_months or plan.every_days or 0),
                unit,
                acting.factors.time,
                acting.time_from,
            )
        )
    return "; ".join(parts)


def _shortened(limit: Fraction, unit: str, factor: Fraction, condition: str) -> str:
    return (
        f"{plain_number(limit)} {unit} x {plain_number(factor)} ({condition}) = "
        f"{plain_number(limit * factor)} {unit}"
    )


def proposal_words(proposal: Proposal, *, accepted: bool) -> str:
    """A shorter interval proposed after a service, and what asks for it; or that it holds now.

    "hook-race-oil found dry after 6.2 of 10 hours: every 4.3 hours from now on?"; under a condition
    "found dry after 3.1 of 10 hours x 0.5
    (lint): every 4.3 hours x 0.5 (lint) from now on?"
    """
    acting, found, every = proposal.acting, [], []
    if proposal.by_use is not None:
        early = proposal.by_use
        runs = "hours" if proposal.point.runs is Runs.ALWAYS else f"{proposal.point.runs} hours"
        hours = f"{runs}{_factor(acting.factors.use, acting.use_from)}"
        found.append(
            f"dry after {plain_number(Fraction(math.floor(early.after * 10), 10))} of "
            f"{plain_number(early.limit)} {hours}"
        )
        every.append(f"{plain_number(early.hours)} {hours}")
    if proposal.by_rest is not None:
        rest, factor = proposal.by_rest, _factor(acting.factors.time, acting.time_from)
        limit = (
            counted(rest.step.days or 0, "day")
            if rest.step.months is None
            else counted(rest.step.months, "month")
        )
        found.append(f"{joined(rest.found)} after {counted(rest.after, 'day')} of {limit}{factor}")
        every.append(f"{counted(rest.days, 'day')}{factor}")
    asked = f"{proposal.point.id} found {joined(found)}: every {' or '.join(every)} from now on"
    return f"{asked}, on this machine." if accepted else f"{asked}?"


def _factor(factor: Fraction, condition: str) -> str:
    return f" x {plain_number(factor)} ({condition})" if condition else ""


def limit_words(limit: OwnInterval) -> str:
    """4.3 hours or 28 days."""
    hours = (
        []
        if limit.hours is None
        else [f"{plain_number(limit.hours)} {'hour' if limit.hours == 1 else 'hours'}"]
    )
    return " or ".join([*hours, *([] if limit.days is None else [counted(limit.days, "day")])])


def since_words(limit: OwnInterval) -> str:
    """Since when and why an interval is shorter: "since 25 Nov 2026, found dry before its limit
    that day"."""
    day = "that day" if limit.found_on == limit.since else f"on {short_day(limit.found_on)}"
    return f"since {short_day(limit.since)}, found {joined(limit.found)} before its limit {day}"


def settling_words(schedule: Schedule) -> str:
    """What follows for a machine that was freed."""
    call = (
        ""
        if schedule.settling_call is None
        else f" Ring the owner on {day_words(schedule.settling_call.on)}."
    )
    return (
        f"It settles in: the owner oils all points again after 2 and after 5 hours of sewing.{call}"
    )


def owner_task(point: Point) -> str:
    """What an owner does at a point, in plain words."""
    if point.do is not None:
        return (
            point.do
            if point.amount is None or point.amount in point.do
            else f"{point.do} ({point.amount})"
        )
    lubricant = point.lubricant.home if point.lubricant else "oil"
    return f"{point.amount} of {'oil' if point.work is Work.OIL else lubricant}"


def waits_since(since: date | None) -> str:
    """That a call waits, and since when, to stand behind its day; empty where it is in time."""
    return "" if since is None else f", waiting since {short_day(since)}"


def service_words(schedule: Schedule) -> str:
    """The next service in one sentence, for the technician."""
    if not schedule.services:
        return "No service falls due."
    service = schedule.services[0]
    if not schedule.machine.point_list.is_known:
        return f"Booked for {day_words(service.on)}, to be seen."
    late = f", {service.timing}" if service.timing else ""
    when = "Service booked for" if schedule.booked is not None else "Next service"
    return (
        f"{when} {day_words(service.on)}{late}: "
        f"{counted(len(service.points), 'point')}, {minutes_words(service.minutes)} of work."
    )
