"""Stays of machines in the shop: one comes in, waits, is ready, is collected."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.job import Danger, Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, WrongValue
from oilchart.shop import reports
from oilchart.shop.bench import safety
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named, refuse_earlier_owners_day
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckIn:
    """A machine coming into the shop.

    Args:
        complaint: what is wrong, in the owner's words.
        left_with: what is left with it: pedal, case.
        serial: its serial number, where it was not known or is another.
        use: what the owner says of their sewing, where they were asked.
        unsafe: why it must not be plugged in or used; empty where nothing is known against it.
        danger: of which kind that is; None where the machine itself tells.
    """

    on: date
    complaint: str
    left_with: tuple[str, ...] = ()
    serial: str | None = None
    use: str | None = None
    unsafe: str = ""
    danger: Danger | None = None


class NothingRecorded(OilchartError):
    """A machine is to be ready after a stay in which nothing was recorded."""

    def __init__(self, machine: str, job: Job) -> None:
        super().__init__(
            f"{machine}: nothing was recorded in its stay since {job.in_on}: no service, no "
            "repair, no check"
        )


def check_in(book: Book, shop: Shop, machine: str, told: CheckIn) -> tuple[MachineRecord, Job]:
    """Note that a machine came into the shop; its booked day is over.

    Raises:
        UnknownName, UnreadableWords; OilchartError: it is in the shop already, or the day is after
        today, or one on which it was another owner's.
    """
    shop.refuse_day_to_come(told.on, "the day it came in")
    record = named(book, machine)
    if record.open_job is not None:
        raise OilchartError(
            f"{record.number}: is in the shop already, since {record.open_job.in_on}; "
            "note its collection first: oilchart collected"
        )
    refuse_earlier_owners_day(record, told.on)
    _refuse_before_earlier_stays(record, told.on)
    if told.serial is not None:
        record = replace(record, serial=told.serial)
        book.machines.edit(record)
    if told.unsafe:
        marked = safety.with_mark(shop, record, told.unsafe, told.on, told.danger)
        record = safety.keep(book, record, marked)
    if told.use is not None:
        report = reports.keep(book, shop, record, told.use, told.on)
        said = sorted((*record.reports, report), key=attrgetter("said"))
        record = replace(record, reports=tuple(said))
    job = Job(id=0, in_on=told.on, complaint=told.complaint, left_with=told.left_with)
    job = replace(job, id=book.jobs.add(record.id, job))
    book.bookings.close(record.id, on=told.on, by=BookingEnd.CHECK_IN)
    jobs = sorted((*record.jobs, job), key=attrgetter("in_on"))
    record = record.with_booking_closed(told.on, BookingEnd.CHECK_IN)
    return replace(record, jobs=tuple(jobs)), job


def stay_of(record: MachineRecord) -> Job:
    """The stay of a machine that is in the shop.

    Raises:
        OilchartError: it is not.
    """
    if record.open_job is None:
        raise OilchartError(
            f"{record.number}: is not in the shop; note that it came in first: oilchart checkin"
        )
    return record.open_job


def wait_for(book: Book, machine: str, part: str) -> MachineRecord:
    """Note the part that a machine in the shop waits for; nothing, that it waits no more.

    Raises:
        UnknownName; OilchartError: it is not in the shop.
    """
    return _change(book, machine, lambda job: replace(job, waiting_for=part, ready_on=None))


def mark_ready(
    book: Book, shop: Shop, machine: str, on: date, *, nothing_done: bool = False
) -> MachineRecord:
    """Note that a machine can be collected.

    Args:
        nothing_done: said where nothing was recorded in its stay.

    Raises:
        UnknownName; NothingRecorded; OilchartError: it is not in the shop, or not on such a day.
    """
    shop.refuse_day_to_come(on, "the day it was ready")
    record = named(book, machine)
    is_empty = _is_empty(record, stay_of(record))
    if is_empty and not nothing_done:
        raise NothingRecorded(record.number, stay_of(record))
    return _change(
        book,
        machine,
        lambda job: replace(
            job, waiting_for="", ready_on=_not_before(job, on), nothing_done=is_empty
        ),
    )


def _is_empty(record: MachineRecord, job: Job) -> bool:
    """Whether nothing was recorded in a stay."""
    days = (
        *(repair.on for repair in record.repairs),
        *(check.on for check in record.checks),
        *(mark.on for mark in record.unsafe_marks),
        *(mark.lifted_on for mark in record.unsafe_marks if mark.lifted_on is not None),
    )
    return not any(record.job_of(each) == job for each in record.services) and not any(
        job.covers(day) for day in days
    )


def collect(book: Book, shop: Shop, machine: str, on: date) -> MachineRecord:
    """Note that a machine went back to its owner; its use starts again.

    Raises:
        UnknownName; OilchartError: it is not in the shop, or not on such a day.
    """
    shop.refuse_day_to_come(on, "the day of collection")
    return _change(
        book, machine, lambda job: replace(job, waiting_for="", out_on=_not_before(job, on))
    )


def _change(book: Book, machine: str, change: Callable[[Job], Job]) -> MachineRecord:
    """Change the stay of a machine that is in the shop."""
    record = named(book, machine)
    after = change(stay_of(record))
    book.jobs.edit(after)
    jobs = tuple(after if job.id == after.id else job for job in record.jobs)
    return replace(record, jobs=jobs)


def _refuse_before_earlier_stays(record: MachineRecord, on: date) -> None:
    before = max((job.out_on for job in record.jobs if job.out_on is not None), default=None)
    if before is not None and on < before:
        raise WrongValue(
            "on", on, f"{record.number} was in the shop until {before}; give a day from then on"
        )


def _not_before(job: Job, on: date) -> date:
    """The day, which must not lie before the check-in."""
    if on < job.in_on:
        raise WrongValue("on", on, f"is before the machine came in, {job.in_on}; give a later day")
    return on
