"""Stays of machines in the shop: one comes in, waits, is ready, is collected, and its mains side is
checked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.records.job import ElectricalCheck, Job, Unsafe
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, WrongValue
from oilchart.shop import reports
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckIn:
    """A machine coming into the shop.

    Args:
        complaint: what is wrong, in the owner's words.
        left_with: what is left with it: pedal, case.
        serial: its serial number, where it was not known or is another.
        use: what the owner says of their sewing, where they were asked.
    """

    on: date
    complaint: str
    left_with: tuple[str, ...] = ()
    serial: str | None = None
    use: str | None = None


def check_in(book: Book, shop: Shop, machine: str, told: CheckIn) -> tuple[MachineRecord, Job]:
    """Note that a machine came into the shop; its booked day is over.

    Raises:
        UnknownName, UnreadableWords; OilchartError: it is in the shop already, or the day is after
        today.
    """
    shop.refuse_day_to_come(told.on, "the day it came in")
    record = named(book, machine)
    if record.open_job is not None:
        raise OilchartError(
            f"{record.number}: is in the shop already, since {record.open_job.in_on}; "
            "note its collection first: oilchart collected"
        )
    _refuse_before_earlier_stays(record, told.on)
    if told.serial is not None:
        record = replace(record, serial=told.serial)
        book.machines.edit(record)
    if told.use is not None:
        report = reports.keep(book, shop, record, told.use, told.on)
        said = sorted((*record.reports, report), key=attrgetter("said"))
        record = replace(record, reports=tuple(said))
    job = Job(id=0, in_on=told.on, complaint=told.complaint, left_with=told.left_with)
    job = replace(job, id=book.jobs.add(record.id, job))
    book.bookings.close(record.id, on=told.on, by="check-in")
    jobs = sorted((*record.jobs, job), key=attrgetter("in_on"))
    return replace(record, jobs=tuple(jobs), booked=None), job


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


def mark_ready(book: Book, shop: Shop, machine: str, on: date) -> MachineRecord:
    """Note that a machine can be collected.

    Raises:
        UnknownName; OilchartError: it is not in the shop, or not on such a day.
    """
    shop.refuse_day_to_come(on, "the day it was ready")
    return _change(
        book, machine, lambda job: replace(job, waiting_for="", ready_on=_not_before(job, on))
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


def record_check(book: Book, shop: Shop, machine: str, check: ElectricalCheck) -> MachineRecord:
    """Keep an electrical check; one that is passed lets a machine found unsafe be plugged in again.

    Raises:
        UnknownName; OilchartError: the day is after today, or before the machine was found unsafe.
    """
    shop.refuse_day_to_come(check.on, "the day of the check")
    record = named(book, machine)
    if record.unsafe is not None and check.on < record.unsafe.on:
        unsafe_on = f"was found unsafe, {record.unsafe.on}"
        raise WrongValue(
            "on", check.on, f"is before the day {record.number} {unsafe_on}; check it again"
        )
    book.jobs.add_check(record.id, check)
    unsafe = record.unsafe
    if check.passed:
        unsafe = None
    elif unsafe is None:
        unsafe = Unsafe(on=check.on, why=f"not passed by {check.by}")
    book.machines.set_unsafe(record.id, unsafe)
    checks = sorted((*record.checks, check), key=attrgetter("on"))
    return replace(record, unsafe=unsafe, checks=tuple(checks))


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
