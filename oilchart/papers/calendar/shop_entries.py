"""Knows what stands in the shop's calendars: whom to ring, when, about what, and the services that
are planned and booked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from oilchart.core.days import add_days
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.owner import Owner, Way
from oilchart.papers.calendar.entry import Entry
from oilchart.papers.lists.contact import outcome_words
from oilchart.papers.scan_words import dialled
from oilchart.papers.wording import (
    counted,
    day_words,
    joined,
    minutes_words,
    month_words,
    short_day,
)

TITLES = {Way.PHONE: "Call", Way.TEXT: "Text", Way.EMAIL: "E-mail", Way.LETTER: "Write to"}
CALL, SERVICE = "Follow-up call", "Service"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueMachine:
    """A machine a call is about; `service_on` is the day its service is planned for, or it was
    freed, `words` what its owner said."""

    number: str
    model: str
    service_on: date
    words: str | None


def call_entry(
    *,
    on: date,
    owner: Owner,
    machines: Sequence[DueMachine],
    about: CallAbout = CallAbout.SERVICE,
    way: Way = Way.PHONE,
    told: Sequence[CallOutcome] = (),
    private: bool = False,
    alarm_hours: int | None = None,
) -> Entry:
    """Put a call into words.

    Args:
        told: what came of it so far.
        private: leave out the owner's name, number and words; they are called by their number in
            the book.
    """
    names = joined([f"{machine.model} {machine.number}" for machine in machines])
    what = names if len(machines) < 3 else counted(len(machines), "machine")
    whom = owner.number if private else owner.name
    lines = _about(machines, about)
    if not private:
        lines += [
            f"Their words ({machine.number}): {machine.words}"
            for machine in machines
            if machine.words
        ]
    lines.append(
        f"Ask: how much they sew now, and whether they have been oiling {'it' if len(machines) == 1 else 'them'}."
    )
    lines += [f"So far: {outcome_words(each)}" for each in told]
    if not private:
        lines += _reached(owner)
    return Entry(
        first=on,
        end=add_days(on, 1),
        title=f"{TITLES[way]} {whom}: {what}{', settling in' if about is CallAbout.SETTLING_IN else ''}",
        lines=tuple(lines),
        category=CALL,
        alarm_hours=alarm_hours,
    )


def service_entry(
    schedule: Schedule, owner: Owner, *, private: bool = False, alarm_hours: int | None = None
) -> Entry | None:
    """The next service of a machine: on the day booked, or on the day planned, with the window it
    is due in; None where none is."""
    if not schedule.services:
        return None
    service, machine = schedule.services[0], schedule.machine
    whose = owner.number if private else owner.name
    minutes = sum((point.minutes for point in service.points), start=Fraction(0))
    lines = [f"{counted(len(service.points), 'point')}, {minutes_words(minutes)}."]
    booked = schedule.booked is not None
    if not booked:
        lines.append(_window(schedule))
    if not private:
        lines += _reached(owner)
    return Entry(
        first=service.on,
        end=add_days(service.on, 1),
        title=f"{'Service booked' if booked else 'Service due'}: {machine.number} {machine.point_list.name}, {whose}",
        lines=tuple(lines),
        category=SERVICE,
        alarm_hours=alarm_hours,
    )


def _about(machines: Sequence[DueMachine], about: CallAbout) -> list[str]:
    if about is CallAbout.SETTLING_IN:
        lines = [
            f"It was freed on {day_words(each.service_on)}: {each.model}, {each.number}."
            for each in machines
        ]
        return [
            *lines,
            "Ask: does it turn as lightly as then, and was it oiled after 2 and after 5 hours?",
        ]
    return [
        f"Time for its service: {each.model}, {each.number}, wanted in {month_words(each.service_on)}."
        for each in machines
    ]


def _window(schedule: Schedule) -> str:
    """In which days it falls due, in words that stay the same from day to day."""
    due = schedule.due
    if schedule.machine.served is None:
        return "Never served here: wanted as soon as it can be."
    if due.earliest == due.latest and due.likely is not None:
        return f"Falls due on {short_day(due.likely)}."
    words = (("from ", due.earliest), ("likely ", due.likely), ("at the latest ", due.latest))
    return f"Falls due {', '.join(f'{when}{short_day(day)}' for when, day in words if day is not None)}."


def _reached(owner: Owner) -> list[str]:
    lines = [f"Best time: {owner.best_time}"] if owner.best_time else []
    if owner.phone:
        lines += [
            f"Phone: {owner.phone}{' (wrong number)' if owner.phone_wrong else ''}",
            f"tel:{dialled(owner.phone)}",
        ]
    return lines
