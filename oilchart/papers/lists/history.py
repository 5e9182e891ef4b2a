"""Knows the whole story of a machine, and all that is known of an owner, as words in the order of
the days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.due.due_dates import State
from oilchart.core.lists.point_list import PointList
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import Told
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.findings import Finding
from oilchart.core.records.job import ElectricalCheck, Job, Unsafe
from oilchart.core.records.owner import Owner, Way
from oilchart.core.use.report import Report
from oilchart.papers.lists.due import talks
from oilchart.papers.wording import (
    counted,
    joined,
    limit_words,
    service_words,
    short_day,
    since_words,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PastService:
    """A service as it was recorded."""

    on: date
    findings: tuple[Finding, ...]
    note: str
    freed: bool


# How what happened on one day is told.
ORDER = (
    "came to us",
    "call",
    "said",
    "came in",
    "service",
    "electrical check",
    "ready",
    "collected",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedTalk:
    """A call to come."""

    on: date
    about: CallAbout
    way: Way
    machines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """What happened on a day, or will: its kind in one word or two, and the lines that tell it."""

    on: date
    kind: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """A title, what is known, what happened, and what comes.

    Args:
        facts: label and words.
    """

    title: str
    facts: tuple[tuple[str, str], ...]
    past: tuple[Event, ...]
    ahead: tuple[Event, ...]


def machine_story(
    schedule: Schedule,
    owner: Owner,
    *,
    serial: str,
    note: str,
    added_on: date,
    unsafe: Unsafe | None,
    reports: Iterable[Report],
    jobs: Iterable[Job],
    services: Iterable[PastService],
    checks: Iterable[ElectricalCheck],
    told: Sequence[Told],
    calls: Iterable[PlannedTalk],
) -> Story:
    """Tell a machine's story: what its owner said, its stays, its services as found and as left,
    checks, calls, and what comes."""
    machine = schedule.machine
    facts = [
        ("Owner", f"{owner.number} {owner.name}, {owner.phone or 'no phone'}"),
        ("Serial number", serial or "not known"),
        ("State", schedule.state),
        ("Do not plug in", f"{unsafe.why}, since {short_day(unsafe.on)}" if unsafe else ""),
        ("Works under", ", ".join(condition.name for condition in machine.conditions)),
        *(
            (
                "Shorter interval",
                f"{_place(machine.point_list, limit.point)}: every {limit_words(limit)}, {since_words(limit)}",
            )
            for limit in machine.own_intervals
        ),
        ("Note", note),
    ]
    past = [
        Event(on=added_on, kind="came to us", lines=(f"{machine.point_list.name}, {owner.name}'s",))
    ]
    past += [Event(on=report.said, kind="said", lines=(f"“{report.words}”",)) for report in reports]
    past += [event for job in jobs for event in _stay(job)]
    past += [_service(service, machine.point_list) for service in services]
    past += [
        Event(
            on=check.on,
            kind="electrical check",
            lines=(f"{'passed' if check.passed else 'not passed'}, by {check.by}",),
        )
        for check in checks
    ]
    past += _talks([each for each in told if each.is_about(machine.number or "")])
    ahead = [_call(call) for call in calls]
    if schedule.state is not State.IN_THE_SHOP and schedule.services:
        ahead.append(
            Event(on=schedule.services[0].on, kind="service", lines=(service_words(schedule),))
        )
    return _story(f"{machine.number} {machine.point_list.name}", facts, past, ahead)


def owner_story(
    owner: Owner,
    machines: Iterable[Schedule],
    *,
    told: Sequence[Told],
    calls: Iterable[PlannedTalk],
) -> Story:
    """Tell what is known of an owner: how to reach them, their machines, what came of calls, and
    which come.

    Args:
        machines: those that are looked after.
    """
    reached = [owner.phone or "no phone", *([owner.email] if owner.email else [])]
    facts = [
        (
            "Reach by",
            joined(
                [
                    f"{owner.reached_by}{', the number is wrong' if owner.phone_wrong else ''}: {', '.join(reached)}"
                ]
            ),
        ),
        ("Address", ", ".join(owner.address)),
        ("Best time", owner.best_time),
        (
            "Left alone",
            f"since {short_day(owner.do_not_contact.on)}: {owner.do_not_contact.why}"
            if owner.do_not_contact
            else "",
        ),
        ("Can do at home", ", ".join(owner.can)),
    ]
    facts += [
        (
            "Machine",
            f"{each.machine.number} {each.machine.point_list.name}: {each.state}. {service_words(each)}",
        )
        for each in machines
    ]
    return _story(
        f"{owner.number} {owner.name}", facts, _talks(told), [_call(call) for call in calls]
    )


def _story(
    title: str, facts: Iterable[tuple[str, str]], past: Iterable[Event], ahead: Iterable[Event]
) -> Story:
    return Story(
        title=title,
        facts=tuple((label, words) for label, words in facts if words),
        past=tuple(sorted(past, key=lambda event: (event.on, ORDER.index(event.kind)))),
        ahead=tuple(sorted(ahead, key=lambda event: event.on)),
    )


def _stay(job: Job) -> list[Event]:
    left = f"left with it: {', '.join(job.left_with)}" if job.left_with else ""
    waits = f"waits for: {job.waiting_for}" if job.waiting_for else ""
    events = [
        Event(
            on=job.in_on,
            kind="came in",
            lines=tuple(line for line in (f"“{job.complaint}”", left, waits) if line),
        )
    ]
    if job.ready_on is not None:
        events.append(Event(on=job.ready_on, kind="ready", lines=("to be collected",)))
    if job.out_on is not None:
        events.append(Event(on=job.out_on, kind="collected", lines=("back with its owner",)))
    return events


def _service(service: PastService, point_list: PointList) -> Event:
    done = sum(finding.done for finding in service.findings)
    lines = [f"{counted(done, 'point')} done{', freed from being seized' if service.freed else ''}"]
    for finding in service.findings:
        words = [
            *([] if finding.done else ["not done"]),
            *([f"found {', '.join(finding.found)}"] if finding.found else []),
            *([f"left: {finding.left}"] if finding.left else []),
        ]
        if words:
            lines.append(f"{_place(point_list, finding.point)}: {'; '.join(words)}")
    if service.note:
        lines.append(f"Note: {service.note}")
    return Event(on=service.on, kind="service", lines=tuple(lines))


def _place(point_list: PointList, point_id: str) -> str:
    """Where a point lies; its id where the list has it no more."""
    point = point_list.point(point_id)
    return point_id if point is None else point.where


def _talks(told: Sequence[Told]) -> list[Event]:
    return [
        Event(
            on=each.on,
            kind="call",
            lines=tuple(
                line
                for line in (
                    f"{each.outcome}{f' {short_day(each.day)}' if each.day else ''}{_which(each)}",
                    each.note,
                )
                if line
            ),
        )
        for each in talks(told)
    ]


def _which(told: Told) -> str:
    return f" ({', '.join(told.machines)})" if told.machines else ""


def _call(call: PlannedTalk) -> Event:
    way = "" if call.way is Way.PHONE else f" by {call.way}"
    return Event(on=call.on, kind="call", lines=(f"about {'its service' if call.about is CallAbout.SERVICE else call.about}{way}: "
                                                  f"{', '.join(call.machines)}",))  # fmt: skip
