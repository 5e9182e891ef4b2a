"""The whole story of a machine, and all that is known of an owner, in the order of the days."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import zip_longest

from oilchart.core.due.due_dates import State
from oilchart.core.planning.call_plan import CallAbout, PlannedCall
from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.handing_on import AN_EARLIER_OWNER
from oilchart.core.records.job import Danger, ElectricalCheck, Job, Repair, UnsafeMark
from oilchart.core.records.machine import Machine
from oilchart.core.records.machine_record import MachineRecord, machine_number
from oilchart.core.records.note import Note
from oilchart.core.records.owner import Owner, Way
from oilchart.core.records.photo import Photo
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.waiting import Part, PartEnd, Question
from oilchart.papers.contact_words import ENDED, moved_words, talks
from oilchart.papers.danger_words import DANGER_HEADINGS, danger_line
from oilchart.papers.screen import DANGER_SIGN, Column, Screen, filled, plain_cell, table
from oilchart.papers.stay_words import state_words
from oilchart.papers.wording import (
    counted,
    limit_words,
    machine_numbers,
    service_words,
    short_day,
    since_words,
)

# How what happened on one day is told, unless the day tells otherwise: `_in_its_day`.
ORDER = (
    "came to us",
    "call",
    "booking",
    "said",
    "came in",
    "note",
    "photo",
    "found unsafe",
    "question",
    "answer",
    "part",
    "service",
    "repair",
    "electrical check",
    "put right",
    "ready",
    "collected",
    "handed on",
    "gone",
)
ON_THE_TELEPHONE = ("call", "booking", "said")


# What a planned call is said to be about.
ABOUT = {
    CallAbout.SERVICE: "its service",
    CallAbout.SETTLING_IN: "settling in",
    CallAbout.COME_BACK: "what its service left out and cannot wait",
    CallAbout.QUESTION: "what its owner is asked",
    CallAbout.PART_HERE: "a part that is here",
    CallAbout.READY: "that it is ready",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """What happened on a day, or will: its kind in one word or two, and the lines that tell it.

    Args:
        after: of the same day, the kind after which it happened; empty where it has its usual
            place.
    """

    on: date
    kind: str
    lines: tuple[str, ...]
    after: str = ""

    @property
    def place(self) -> tuple[int, bool, int]:
        """Its place in its day."""
        return ORDER.index(self.after or self.kind), bool(self.after), ORDER.index(self.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """A title, what is known, what happened, and what comes.

    Args:
        dangers: what makes a machine unsafe, a line each; they stand before all else.
        facts: label and words.
    """

    dangers: tuple[str, ...]
    title: str
    facts: tuple[tuple[str, str], ...]
    past: tuple[Event, ...]
    ahead: tuple[Event, ...]


def machine_story(standing: Standing) -> Story:
    """Tell a machine's story: what its owner said, its stays, its services as found and as left,
    checks, calls, and what comes."""
    schedule, record = standing.schedule, standing.record
    point_list = schedule.machine.point_list
    ahead = _planned_calls([standing])
    if schedule.state is not State.IN_THE_SHOP and schedule.services:
        on = schedule.services[0].on
        ahead.append(Event(on=on, kind="service", lines=(service_ahead(standing),)))
    return _story(
        f"{record.number} {point_list.name}",
        _machine_facts(standing),
        _past(record, point_list, standing.outcomes, schedule.as_of),
        ahead,
        record.dangers,
    )


def gone_machine_story(
    record: MachineRecord, point_list: PointList, outcomes: Iterable[CallOutcome]
) -> Story:
    """Tell the story of a machine that is not looked after any more; nothing comes.

    Args:
        outcomes: what came of all calls to its owner.
    """
    facts = [
        ("Owner", _owner_words(record.owner)),
        ("Serial number", record.serial or "not known"),
        *_list_facts(record),
        ("State", "gone" if record.gone is None else f"gone: {record.gone.why}"),
    ]
    title = f"{record.number} {point_list.name}"
    as_of = record.gone.on if record.gone else record.added_on
    return _story(title, facts, _past(record, point_list, outcomes, as_of), (), record.dangers)


def _past(
    record: MachineRecord, point_list: PointList, outcomes: Iterable[CallOutcome], as_of: date
) -> list[Event]:
    """What happened with a machine; of one that was handed on, nothing that an earlier owner
    said."""
    handed_on, gone = record.handed_on, record.gone
    whose = record.owner.name if handed_on is None else AN_EARLIER_OWNER
    past = [
        Event(on=record.added_on, kind="came to us", lines=(f"{point_list.name}, {whose}'s",)),
        *(Event(on=each.said, kind="said", lines=(f"“{each.words}”",)) for each in record.reports),
        *(
            event
            for job in record.jobs
            for event in _stay(job, theirs=record.is_present_owners(job.in_on))
        ),
        *(
            _service(service, point_list, tested=record.is_tested(service))
            for service in record.services
        ),
        *(event for part in record.parts for event in _part(part)),
        *(event for question in record.questions for event in _question(question)),
        *_photos(record.photos),
        *(_check(check) for check in record.checks),
        *(event for mark in record.unsafe_marks for event in _danger(mark)),
        *(_repair(repair, point_list) for repair in record.repairs),
        *(_note(note) for note in record.notes),
        *_talks(
            each
            for each in outcomes
            if each.is_about(record.id) and record.is_present_owners(each.on)
        ),
        *_bookings(record, as_of),
    ]
    if handed_on is not None:
        past.append(Event(on=handed_on, kind="handed on", lines=(f"to {record.owner.name}",)))
    if gone is not None:
        past.append(Event(on=gone.on, kind="gone", lines=(gone.why,)))
    return [_in_its_day(event, record) for event in past]


def _in_its_day(event: Event, record: MachineRecord) -> Event:
    """An event in its place of the day: the owner of a machine that is ready, or was worked on, is
    rung after that; of one that comes in they are rung before, and tell its use when they bring
    it."""
    if event.kind not in ON_THE_TELEPHONE:
        return event
    stays = [job for job in record.jobs if job.covers(event.on)]
    work_days = {each.on for each in record.services} | {each.on for each in record.repairs}
    after = ""
    if any(event.on in (job.ready_on, job.out_on) for job in stays):
        after = "ready"
    elif any(event.on == job.in_on for job in stays):
        after = "came in" if event.kind == "said" else ""
    elif stays or event.on in work_days:
        after = "put right"
    return replace(event, after=after)


def _works_under(record: MachineRecord, machine: Machine) -> list[str]:
    """The conditions that act now, each with the day since when it is known to, where it is not
    since the machine came."""
    since = {
        each.condition: each.since
        for each in record.worked_under
        if each.until is None and each.since is not None and each.since > record.added_on
    }
    return [
        f"{condition.name} (since {short_day(day)})"
        if (day := since.get(condition.id)) is not None
        else condition.name
        for condition in machine.conditions
    ]


def _machine_facts(standing: Standing) -> list[tuple[str, str]]:
    record, machine = standing.record, standing.schedule.machine
    shorter = [
        (
            "Shorter interval",
            f"{_place(machine.point_list, limit.point)}: every {limit_words(limit)}, "
            f"{since_words(limit)}",
        )
        for limit in machine.own_intervals
    ]
    return [
        ("Owner", _owner_words(record.owner)),
        ("Serial number", record.serial or "not known"),
        *_list_facts(record),
        ("State", _state(standing)),
        ("Works under", ", ".join(_works_under(record, machine))),
        *shorter,
        *(
            ("Has no", f"{each.point}{f': {each.why}' if each.why else ''}")
            for each in record.without
        ),
    ]


def _list_facts(record: MachineRecord) -> list[tuple[str, str]]:
    """The list of a machine that is called by a name of its own."""
    return [("List", record.model)] if record.name else []


def _state(standing: Standing) -> str:
    record = standing.record
    if record.open_job is None:
        return standing.schedule.state
    return f"{standing.schedule.state}: {state_words(record, record.open_job)}"


def _owner_words(owner: Owner) -> str:
    return f"{owner.number} {owner.name}, {owner.phone_words or 'no phone'}"


def owner_story(
    owner: Owner, standings: Sequence[Standing], outcomes: Iterable[CallOutcome]
) -> Story:
    """Tell what is known of an owner: how to reach them, their machines, what came of calls, and
    which come.

    Args:
        standings: their machines that are looked after.
        outcomes: what came of all calls to them.
    """
    wrong = ", the number is wrong" if owner.phone_wrong else ""
    numbers = [
        f"{each.words}{', wrong' if each.wrong and not wrong else ''}"
        for each in owner.phones_in_turn
    ]
    reached = ", ".join(words for words in ("; ".join(numbers) or "no phone", owner.email) if words)
    alone = owner.do_not_contact
    facts = [
        ("Reach by", f"{owner.reached_by}{wrong}: {reached}"),
        ("Address", ", ".join(owner.address)),
        ("Best time", owner.best_time),
        ("Left alone", f"since {short_day(alone.on)}: {alone.why}" if alone else ""),
        ("Can do at home", ", ".join(owner.can)),
        *(("Machine", _machine_words(standing)) for standing in standings),
    ]
    title = f"{owner.number} {owner.name}"
    past = [
        *_talks(outcomes),
        *(
            event
            for each in standings
            for event in _bookings(each.record, each.schedule.as_of, named=True)
        ),
        *(_note(note) for note in owner.notes),
    ]
    return _story(title, facts, past, _planned_calls(standings))


def _machine_words(standing: Standing) -> str:
    schedule = standing.schedule
    name = f"{standing.record.number} {schedule.machine.point_list.name}"
    unsafe = "".join(f"{danger_line(mark)}; " for mark in standing.record.dangers)
    return f"{name}: {unsafe}{schedule.state}. {service_ahead(standing)}"


def service_ahead(standing: Standing) -> str:
    """The next service in one sentence; until when its owner has declined it, or from which day it
    was moved, in another."""
    words = service_words(standing.schedule)
    if standing.declined_until is not None:
        return f"Declined until {short_day(standing.declined_until)}. {words}"
    if standing.schedule.booked is not None and (moved := moved_words(standing.record)):
        return f"{words} It was{moved.removeprefix(',')}."
    return words


def _check(check: ElectricalCheck) -> Event:
    result = "passed" if check.passed else "not passed"
    first = ", before it was first plugged in" if check.before else ""
    reading = f"; {check.reading}" if check.reading else ""
    return Event(
        on=check.on, kind="electrical check", lines=(f"{result}, by {check.by}{first}{reading}",)
    )


def _danger(mark: UnsafeMark) -> list[Event]:
    heading = DANGER_HEADINGS[mark.danger]
    events = [Event(on=mark.on, kind="found unsafe", lines=(f"{heading}: {mark.why}",))]
    if mark.lifted_on is not None:
        by = f"check passed by {mark.lifted_by}"
        if mark.danger is Danger.MECHANICAL:
            by = f"by {mark.lifted_by}"
        words = (f"{mark.put_right}; {by}", f"no longer: {heading.lower()}")
        events.append(Event(on=mark.lifted_on, kind="put right", lines=words))
    return events


def _repair(repair: Repair, point_list: PointList) -> Event:
    lines = (
        f"{repair.words}{f', by {repair.by}' if repair.by else ''}",
        f"fitted: {repair.part}" if repair.part else "",
        *(f"{_place(point_list, point)}: left: {left}" for point, left in repair.left),
    )
    return Event(on=repair.on, kind="repair", lines=tuple(line for line in lines if line))


def _note(note: Note) -> Event:
    lines = (note.words, *(("the owner reads it on the record",) if note.for_owner else ()))
    return Event(on=note.on, kind="note", lines=lines)


def story_text(story: Story, screen: Screen) -> str:
    """What makes a machine unsafe, the title and what is known, what happened by day, and what
    comes."""
    known = table(
        [Column(story.title), Column("", wraps=True)],
        [[label, words] for label, words in story.facts],
        screen,
    )
    dangers = "".join(
        filled(f"{DANGER_SIGN} {plain_cell(words)}.", screen) + "\n" for words in story.dangers
    )
    parts = [
        dangers + known,
        _events("So far", story.past, screen),
        _events("To come", story.ahead, screen),
    ]
    return "\n".join(part for part in parts if part)


def _events(heading: str, events: Sequence[Event], screen: Screen) -> str:
    """Events by day; an event's further lines stand below its first."""
    rows = [
        ["" if at else short_day(event.on), "" if at else event.kind, line]
        for event in events
        for at, line in enumerate(event.lines)
    ]
    return (
        table([Column(heading), Column("What"), Column("", wraps=True)], rows, screen)
        if rows
        else ""
    )


def _story(
    title: str,
    facts: Iterable[tuple[str, str]],
    past: Iterable[Event],
    ahead: Iterable[Event],
    dangers: Iterable[UnsafeMark] = (),
) -> Story:
    return Story(
        dangers=tuple(danger_line(mark) for mark in dangers),
        title=title,
        facts=tuple((label, words) for label, words in facts if words),
        past=tuple(sorted(past, key=lambda event: (event.on, event.place))),
        ahead=tuple(sorted(ahead, key=lambda event: event.on)),
    )


def _stay(job: Job, *, theirs: bool) -> list[Event]:
    """A stay; of one of an earlier owner not what they said."""
    said = f"“{job.complaint}”" if theirs else f"{AN_EARLIER_OWNER}'s"
    left = f"left with it: {', '.join(job.left_with)}" if job.left_with else ""
    by = f"to be ready by {short_day(job.ready_by)}" if job.ready_by is not None else ""
    events = [
        Event(
            on=job.in_on,
            kind="came in",
            lines=tuple(line for line in (said, left, by) if line),
        )
    ]
    if job.ready_on is not None:
        events.append(Event(on=job.ready_on, kind="ready", lines=("to be collected",)))
    if job.out_on is not None:
        here = f"still here: {', '.join(job.still_here)}" if job.still_here else ""
        lines = tuple(line for line in ("back with its owner", here) if line)
        events.append(Event(on=job.out_on, kind="collected", lines=lines))
    return events


def _part(part: Part) -> list[Event]:
    """What became of a part, day by day."""
    whence = f" from {part.ordered_from}" if part.ordered_from else ""
    end = "fitted" if part.end is PartEnd.FITTED else "not wanted any more"
    told = (
        (part.wanted_on, "wanted"),
        (part.ordered_on, f"ordered{whence}"),
        (part.here_on, "here"),
        (part.ended_on, end),
    )
    return [
        Event(on=on, kind="part", lines=(f"{words}: {part.words}",))
        for on, words in told
        if on is not None
    ]


def _question(question: Question) -> list[Event]:
    """What an owner was asked, and what they said."""
    events = [Event(on=question.asked_on, kind="question", lines=(f"“{question.words}”",))]
    if question.answered_on is not None:
        words = f"“{question.answer}”, {question.answered_by}" if question.answer else "none needed"
        events.append(Event(on=question.answered_on, kind="answer", lines=(words,)))
    return events


def _photos(photos: Sequence[Photo]) -> list[Event]:
    """How many photos were added on each day."""
    counts = Counter((photo.on, photo.as_received) for photo in photos)
    return [
        Event(
            on=on,
            kind="photo",
            lines=(f"{counted(count, 'photo')}{', as received' if received else ''}",),
        )
        for (on, received), count in counts.items()
    ]


def _service(service: ServiceRecord, point_list: PointList, *, tested: bool) -> Event:
    proofs = {point.id for point in point_list.points if point.proof is not None and tested}
    done = sum(finding.done or finding.point in proofs for finding in service.findings)
    freed = ", freed from being seized" if service.freed else ""
    by = f", by {service.by}" if service.by else ""
    lines = [f"{counted(done, 'point')} done{freed}{by}"]
    if not service.whole:
        lines[0] += ", work at these only"
    if service.back_on is not None:
        lines.append(f"wanted back on {short_day(service.back_on)} for what was left out")
    for finding in service.findings:
        words = [
            *(
                ["not done"]
                if finding.planned and not finding.done and finding.point not in proofs
                else []
            ),
            *([f"because: {finding.why}"] if finding.why else []),
            *([f"found {', '.join(finding.found)}"] if finding.found else []),
            *([f"left: {finding.left}"] if finding.left else []),
        ]
        if words:
            lines.append(f"{_place(point_list, finding.point)}: {'; '.join(words)}")
    return Event(on=service.on, kind="service", lines=tuple(lines))


def _place(point_list: PointList, point_id: str) -> str:
    """Where a point lies; its id where the list has it no more."""
    point = point_list.point(point_id)
    return point_id if point is None else point.where


def _talks(outcomes: Iterable[CallOutcome]) -> list[Event]:
    events = []
    for each in talks(outcomes):
        day = f" {short_day(each.day)}" if each.day else ""
        which = f" ({', '.join(map(machine_number, each.machines))})" if each.machines else ""
        lines = (f"{each.outcome}{day}{which}", each.note)
        events.append(Event(on=each.on, kind="call", lines=tuple(line for line in lines if line)))
    return events


def _bookings(record: MachineRecord, as_of: date, *, named: bool = False) -> list[Event]:
    """What became of the days booked for a machine: moved, called off, missed.

    Args:
        named: the machine's number is told.
    """
    which = f"{record.number}: " if named else ""
    events = []
    for booking, then in zip_longest(record.bookings, record.bookings[1:]):
        day = short_day(booking.day)
        if booking.was_missed(as_of):
            on, words = booking.day, f"{day} as booked: did not come"
        elif booking.closed_by is BookingEnd.MOVED and then is not None:
            on, words = then.made_on, f"booked for {short_day(then.day)}, moved from {day}"
        elif booking.closed_by in ENDED and booking.closed_on is not None:
            on, words = booking.closed_on, f"booked for {day}: {ENDED[booking.closed_by]}"
        else:
            continue
        events.append(Event(on=on, kind="booking", lines=(f"{which}{words}",)))
    return events


def _planned_calls(standings: Iterable[Standing]) -> list[Event]:
    """The calls planned about machines, each once."""
    calls = dict.fromkeys(
        call
        for each in standings
        for call in (each.schedule.stay_call, each.schedule.call, each.schedule.settling_call)
        if call is not None
    )
    return [_planned_call(call) for call in calls]


def _planned_call(call: PlannedCall) -> Event:
    about = ABOUT[call.about]
    way = "" if call.way is Way.PHONE else f" by {call.way}"
    machines = ", ".join(machine_numbers(service.machine for service in call.services))
    return Event(on=call.on, kind="call", lines=(f"about {about}{way}: {machines}",))
