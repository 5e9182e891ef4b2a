"""All that was recorded of a machine in one stay, or on one day of work without a stay."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from oilchart.core.records.findings import Finding, Left, together
from oilchart.core.records.job import ElectricalCheck, Job, Repair, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord, how_left
from oilchart.core.records.note import Note
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.waiting import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A stay, or a day on which there was work at a machine that was not checked in.

    Args:
        first, last: its days; `last` is None while the machine is in the shop.
        job: the stay; None where the machine was not checked in.
        marks: what made the machine unsafe at any time of it.
        notes: for the owner.
        parts: wanted in it, and not here yet.
    """

    first: date
    last: date | None
    job: Job | None
    services: tuple[ServiceRecord, ...]
    repairs: tuple[Repair, ...]
    checks: tuple[ElectricalCheck, ...]
    marks: tuple[UnsafeMark, ...]
    notes: tuple[Note, ...]
    parts: tuple[Part, ...] = ()

    @property
    def complaint(self) -> str:
        """What was wrong, in the owner's words; empty if nothing was said."""
        return "" if self.job is None else self.job.complaint.strip()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noted at the points, of all its services together."""
        found: tuple[Finding, ...] = ()
        for service in self.services:
            found = together(found, service.findings, self.services[0].on, service.on)
        return found

    @property
    def left(self) -> dict[str, Left]:
        """How points were left in the end, by id."""
        return how_left(self.services, self.repairs)

    @property
    def freed(self) -> bool:
        """Whether the machine was stuck and was freed."""
        return any(service.freed for service in self.services)

    @property
    def back_on(self) -> date | None:
        """The day on which it is wanted back for what was left out and cannot wait."""
        return self.services[-1].back_on if self.services else None

    @property
    def mains_test(self) -> ElectricalCheck | None:
        """The latest check that is no finding from before the first plug-in, nor older than the
        service; None where none was made."""
        begun = self.services[-1].on if self.services else self.first
        tests = [check for check in self.checks if not check.before and check.on >= begun]
        return tests[-1] if tests else None

    @property
    def lifted(self) -> tuple[UnsafeMark, ...]:
        """What made the machine unsafe and was put right in it."""
        return tuple(
            mark
            for mark in self.marks
            if mark.lifted_on is not None and (self.last is None or mark.lifted_on <= self.last)
        )

    @property
    def dangers(self) -> tuple[UnsafeMark, ...]:
        """What made the machine unsafe and was not put right in it."""
        return tuple(mark for mark in self.marks if mark not in self.lifted)


def latest_visit(record: MachineRecord) -> Visit | None:
    """The latest stay of a machine, or the latest day of a service or repair without one; None of a
    machine that was never there, or not since it was handed on to its owner."""
    stays = [job for job in record.jobs if record.is_present_owners(job.in_on)]
    job = stays[-1] if stays else None
    days = [
        *(service.on for service in record.services if record.job_of(service) is None),
        *(repair.on for repair in record.repairs if record.job_on(repair.on) is None),
    ]
    day = max((day for day in days if record.is_present_owners(day)), default=None)
    if job is not None and (day is None or day <= job.in_on):
        return _visit(record, job.in_on, job.out_on, job)
    return None if day is None else _visit(record, day, day, None)


def _visit(record: MachineRecord, first: date, last: date | None, job: Job | None) -> Visit:
    covers: Callable[[date], bool] = (
        (lambda day: day == first) if job is None else lambda day: record.job_on(day) == job
    )
    return Visit(
        first=first,
        last=last,
        job=job,
        services=tuple(
            service
            for service in record.services
            if record.job_of(service) == job and (job is not None or service.on == first)
        ),
        repairs=tuple(repair for repair in record.repairs if covers(repair.on)),
        checks=tuple(check for check in record.checks if covers(check.on)),
        marks=tuple(
            mark
            for mark in record.unsafe_marks
            if (last is None or mark.on <= last)
            and (mark.lifted_on is None or mark.lifted_on >= first)
        ),
        notes=tuple(note for note in record.notes if note.for_owner and covers(note.on)),
        parts=() if job is None else record.parts_of(job),
    )
