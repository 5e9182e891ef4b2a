"""What stands in the shop's calendars: whom to ring, when, about what, and the services that are
planned and booked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from oilchart.core.days import add_days
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.schedule import Schedule
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner, Way
from oilchart.papers.calendar.entry import Entry
from oilchart.papers.contact_words import call_so_far, moved_from, outcome_words
from oilchart.papers.danger_words import danger_lines, warnings
from oilchart.papers.next_service import undone_places
from oilchart.papers.stay_words import call_reason
from oilchart.papers.wording import (
    counted,
    day_words,
    joined,
    machines_called,
    minutes_words,
    month_words,
    short_day,
)

TITLES = {Way.PHONE: "Call", Way.TEXT: "Text", Way.EMAIL: "E-mail", Way.LETTER: "Write to"}
# each a colour of its own, where a calendar program gives them colours
CALL, SERVICE, BOOKED_SERVICE = "Follow-up call", "Service", "Booked service"


def call_entry(
    call: OpenCall,
    point_lists: Mapping[int, PointList],
    *,
    private: bool = False,
    alarm_hours: int | None = None,
) -> Entry:
    """Put a call into words.

    Args:
        point_lists: of the machines it is about, by the machine's id.
        private: leave out the owner's name, number and words; they are called by their number in
            the book.
    """
    records = [record for record, _ in call.services]
    names = machines_called((record, point_lists[record.id]) for record in records)
    what = names if len(records) < 3 else counted(len(records), "machine")
    whom = call.owner.number if private else call.owner.name
    dangers = [f"{record.number}: {line}." for record in records for line in danger_lines(record)]
    lines = dangers + _about(call, point_lists, private=private)
    since = call.waits_since(call.on)
    lines += [f"Waiting since {short_day(since)}."] if since is not None else []
    if not private and not call.about.is_of_a_stay:
        lines += [
            f"Their words ({record.number}): {record.last_words}"
            for record in records
            if record.last_words
        ]
    them = "it" if len(records) == 1 else "them"
    if not call.about.is_of_a_stay and any(not record.dangers for record in records):
        lines.append(f"Ask: how much they sew now, and whether they have been oiling {them}.")
    so_far = call_so_far(call)
    told = [outcome_words(each) for each in call.outcomes]
    lines += [f"So far: {words}" for words in dict.fromkeys([*told, so_far]) if words]
    if not private:
        lines += _reached(call.owner)
    why = "" if call.about is CallAbout.SERVICE else f", {call.about}"
    return Entry(
        first=call.on,
        end=add_days(call.on, 1),
        title=f"{_marked(records)}{TITLES[call.way]} {whom}: {what}{why}",
        lines=tuple(lines),
        category=CALL,
        alarm_hours=alarm_hours,
    )


def service_entry(
    standing: Standing, *, private: bool = False, alarm_hours: int | None = None
) -> Entry | None:
    """The next service of a machine: on the day booked, or on the day planned, with the window it
    is due in; None where none is, and for one that its owner has declined."""
    schedule, owner = standing.schedule, standing.record.owner
    service, booked = schedule.next_service, schedule.booked is not None
    if service is None or standing.declined_until is not None:
        return None
    whose = owner.number if private else owner.name
    lines = [f"{line}." for line in danger_lines(standing.record)]
    if service.points:
        lines.append(f"{counted(len(service.points), 'point')}, {minutes_words(service.minutes)}.")
    before = moved_from(standing.record) if booked else None
    if before is not None:
        lines.append(f"Moved from {day_words(before.day)}.")
    if not booked:
        lines.append(_window(schedule))
    if not private:
        lines += _reached(owner)
    name = f"{standing.record.number} {schedule.machine.point_list.name}"
    return Entry(
        first=service.on,
        end=add_days(service.on, 1),
        title=f"{_marked([standing.record])}{'Service booked' if booked else 'Service due'}: "
        f"{name}, {whose}",
        lines=tuple(lines),
        category=BOOKED_SERVICE if booked else SERVICE,
        alarm_hours=alarm_hours,
    )


def _marked(records: Sequence[MachineRecord]) -> str:
    """What must not be done with machines, for the beginning of a title; empty where nothing makes
    one unsafe."""
    marks = [mark for record in records for mark in record.dangers]
    return "".join(f"{warned.heading}: " for warned in warnings(marks))


def _about(
    call: OpenCall, point_lists: Mapping[int, PointList], *, private: bool = False
) -> list[str]:
    machines = [
        (f"{point_lists[record.id].name}, {record.number}", day) for record, day in call.services
    ]
    if call.about.is_of_a_stay:
        return [
            f"{point_lists[record.id].name}, {record.number}: "
            f"{call.about if private else call_reason(call.about, record)}"
            for record, _ in call.services
        ]
    if call.about is CallAbout.SETTLING_IN:
        return [
            *(f"It was freed on {day_words(day)}: {name}." for name, day in machines),
            "Ask: does it turn as lightly as then, and was it oiled after 2 and after 5 hours?",
        ]
    if call.about is CallAbout.COME_BACK:
        return [
            f"Wanted back by {day_words(day)}: {point_lists[record.id].name}, {record.number}, for "
            f"{joined(undone_places(record, point_lists[record.id]))}."
            for record, day in call.services
        ]
    return [
        f"Time for its service: {name}, wanted in {month_words(day)}." for name, day in machines
    ]


def _window(schedule: Schedule) -> str:
    """In which days it falls due, in words that stay the same from day to day."""
    due = schedule.due
    if schedule.machine.served is None:
        return "Never served here: wanted as soon as it can be."
    if due.earliest == due.latest and due.likely is not None:
        return f"Falls due on {short_day(due.likely)}."
    words = (("from ", due.earliest), ("likely ", due.likely), ("at the latest ", due.latest))
    return (
        f"Falls due "
        f"{', '.join(f'{when}{short_day(day)}' for when, day in words if day is not None)}."
    )


def _reached(owner: Owner) -> list[str]:
    lines = [f"Best time: {owner.best_time}"] if owner.best_time else []
    for phone in owner.phones_in_turn:
        lines.append(f"Phone: {phone.words}{' (wrong number)' if phone.wrong else ''}")
        lines += [f"tel:{phone.digits}"] if phone.digits else []
    return lines
