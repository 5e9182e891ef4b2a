"""A machine that was handed on to another owner: the story of its work is kept, what was an earlier
owner's ends."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.findings import Finding
from oilchart.core.records.job import Job, Repair, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner

AN_EARLIER_OWNER = "an earlier owner"
SHORTEST_NAME = 3  # letters of a part of a name that is looked for by itself


@dataclass(frozen=True, slots=True, kw_only=True)
class HandingOn:
    """When a machine was last handed on, and who had it before, the first one first."""

    on: date
    earlier: tuple[Owner, ...]


def for_present_owner(record: MachineRecord, handing: HandingOn) -> MachineRecord:
    """A machine as everything knows it from the day it was handed on.

    What an earlier owner told is left out: words of use, complaints, answers and what was left with
    the machine, booked days, and what was noted for them to read. What the shop wrote of its work
    up to that day is kept, and names nobody of them (`without_names`). So no date and no paper of
    the present owner depends on what was told before that day.

    Work, repairs, checks, dangers, points that it has not got and the intervals that were accepted
    for it are the machine's, and stay.
    """
    day = handing.on
    earlier_stays = {job.id for job in record.jobs if job.in_on < day}
    earlier = [owner for owner in handing.earlier if owner.id != record.owner.id]

    def cleared(text: str, on: date) -> str:
        return without_names(text, earlier, record.owner) if on <= day else text

    return replace(
        record,
        handed_on=day,
        name=without_names(record.name, earlier, record.owner),
        reports=tuple(report for report in record.reports if report.said >= day),
        worked_under=tuple(
            each for each in record.worked_under if each.until is None or each.until > day
        ),
        jobs=tuple(_wordless(job) if job.in_on < day else job for job in record.jobs),
        parts=tuple(
            replace(part, words=cleared(part.words, part.wanted_on)) for part in record.parts
        ),
        questions=tuple(each for each in record.questions if each.job not in earlier_stays),
        bookings=tuple(
            booking
            for booking in record.bookings
            if booking.made_on >= day and booking.closed_by is not BookingEnd.HANDED_ON
        ),
        notes=tuple(
            replace(note, words=cleared(note.words, note.on))
            for note in record.notes
            if note.on >= day or not note.for_owner
        ),
        services=tuple(
            replace(
                service,
                findings=tuple(
                    _finding(finding, finding.on or service.on, cleared)
                    for finding in service.findings
                ),
            )
            for service in record.services
        ),
        repairs=tuple(_repair(repair, cleared) for repair in record.repairs),
        checks=tuple(
            replace(check, reading=cleared(check.reading, check.on)) for check in record.checks
        ),
        unsafe_marks=tuple(_mark(mark, cleared) for mark in record.unsafe_marks),
        without=tuple(replace(each, why=cleared(each.why, each.since)) for each in record.without),
    )


def without_names(text: str, earlier: Iterable[Owner], present: Owner) -> str:
    """A text of the shop's with "an earlier owner" in place of everything by which an earlier one
    could be known: number, name, phone, e-mail and lines of the address, however cased; and each
    part of the name that begins with a capital and is not the present owner's, too."""
    kept = set(re.findall(r"\w+", present.name))
    for owner in earlier:
        numbers = (phone.number for phone in owner.phones)
        whole = [owner.name, owner.number, *numbers, owner.email, *owner.address]
        parts = [
            part
            for part in re.findall(r"\w+", owner.name)
            if len(part) >= SHORTEST_NAME and part[0] != part[0].lower() and part not in kept
        ]
        for words, flags in ((whole, re.IGNORECASE), (parts, re.NOFLAG)):
            found = "|".join(
                re.escape(each) for each in sorted(words, key=len, reverse=True) if each.strip()
            )
            if found:
                text = re.sub(rf"(?<!\w)(?:{found})(?!\w)", AN_EARLIER_OWNER, text, flags=flags)
    return re.sub(rf"{AN_EARLIER_OWNER}(?:[\s,]+{AN_EARLIER_OWNER})+", AN_EARLIER_OWNER, text)


def _wordless(job: Job) -> Job:
    return replace(job, complaint="", left_with=())


def _finding(finding: Finding, on: date, cleared: Callable[[str, date], str]) -> Finding:
    return replace(finding, why=cleared(finding.why, on)) if finding.why else finding


def _repair(repair: Repair, cleared: Callable[[str, date], str]) -> Repair:
    return replace(
        repair,
        words=cleared(repair.words, repair.on),
        part=cleared(repair.part, repair.on),
    )


def _mark(mark: UnsafeMark, cleared: Callable[[str, date], str]) -> UnsafeMark:
    return replace(
        mark,
        why=cleared(mark.why, mark.on),
        put_right=cleared(mark.put_right, mark.lifted_on or mark.on),
    )
