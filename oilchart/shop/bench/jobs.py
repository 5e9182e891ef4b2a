"""Stays of machines in the shop: one comes in, waits, is ready, is collected."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.job import Danger, Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, UnknownName, WrongValue, shortened
from oilchart.shop import reports
from oilchart.shop.bench import safety
from oilchart.shop.bench.stay import changed_stay, not_before, stay_of
from oilchart.shop.bench.waiting import with_here_parts_fitted
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named, refuse_earlier_owners_day
from oilchart.shop.reports import Told
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckIn:
    """A machine coming into the shop.

    Args:
        complaint: what is wrong, in the owner's words.
        left_with: what is left with it: pedal, case.
        ready_by: the day by which it was promised.
        serial: its serial number, where it was not known or is another.
        use: what the owner says of their sewing, where they were asked.
        unsafe: why it must not be plugged in or used; empty where nothing is known against it.
        danger: of which kind that is; None where the machine itself tells.
    """

    on: date
    complaint: str
    left_with: tuple[str, ...] = ()
    ready_by: date | None = None
    serial: str | None = None
    use: str | None = None
    use_as_said: bool = False
    unsafe: str = ""
    danger: Danger | None = None


class NothingRecorded(OilchartError):
    """A machine is to be ready after a stay in which nothing was recorded."""

    def __init__(self, machine: str, job: Job) -> None:
        super().__init__(
            f"{machine}: nothing was recorded in its stay since {job.in_on}: no service, no "
            "repair, no check"
        )


def check_in(
    book: Book, shop: Shop, machine: str, told: CheckIn
) -> tuple[MachineRecord, Job, Told | None]:
    """Note that a machine came into the shop; its booked day is over.

    Raises:
        UnknownName, UnreadableWords; OilchartError: it is in the shop already, or the day is after
        today, or one on which it was another owner's, or it is promised for one before it came.
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
    heard = None
    if told.use is not None:
        heard = reports.keep(book, shop, record, told.use, told.on, as_said=told.use_as_said)
        record = heard.record
    if told.ready_by is not None and told.ready_by < told.on:
        raise WrongValue(
            "ready-by", told.ready_by, f"is before the day it came in, {told.on}; give a later day"
        )
    job = Job(
        id=0,
        in_on=told.on,
        complaint=told.complaint,
        left_with=told.left_with,
        ready_by=told.ready_by,
    )
    job = replace(job, id=book.jobs.add(record.id, job))
    book.bookings.close(record.id, on=told.on, by=BookingEnd.CHECK_IN)
    jobs = sorted((*record.jobs, job), key=attrgetter("in_on"))
    record = record.with_booking_closed(told.on, BookingEnd.CHECK_IN)
    return replace(record, jobs=tuple(jobs)), job, heard


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
    job = stay_of(record)
    is_empty = _is_empty(record, job)
    if is_empty and not nothing_done:
        raise NothingRecorded(record.number, job)
    record = with_here_parts_fitted(book, record, job, on)
    after = replace(job, ready_on=not_before(job, on), stage=None, nothing_done=is_empty)
    return changed_stay(book, record, after)


def _is_empty(record: MachineRecord, job: Job) -> bool:
    """Whether nothing was recorded in a stay."""
    days = (
        *(repair.on for repair in record.repairs),
        *(check.on for check in record.checks),
        *(mark.on for mark in record.unsafe_marks),
        *(mark.lifted_on for mark in record.unsafe_marks if mark.lifted_on is not None),
    )
    return not record.services_of(job) and not any(job.covers(day) for day in days)


def collect(
    book: Book, shop: Shop, machine: str, on: date, *, kept: tuple[str, ...] = ()
) -> MachineRecord:
    """Note that a machine went back to its owner; its use starts again.

    Args:
        kept: what of the things left with it was not handed back, each by its name or a part of it.

    Raises:
        UnknownName: no such thing was left with it; OilchartError: it is not in the shop, or not on
            such a day.
    """
    shop.refuse_day_to_come(on, "the day of collection")
    record = named(book, machine)
    job = stay_of(record)
    still_here = _things(record, job.left_with, kept)
    return changed_stay(
        book, record, replace(job, out_on=not_before(job, on), still_here=still_here)
    )


def hand_back(
    book: Book, machine: str, kept: tuple[str, ...] = ()
) -> tuple[MachineRecord, tuple[str, ...]]:
    """Note that what was still here of a machine that went home was handed back; with those things.

    Args:
        kept: what of it is here even now.

    Raises:
        UnknownName: no such thing is here; OilchartError: nothing of it is.
    """
    record = named(book, machine)
    here = [job for job in record.jobs if job.still_here]
    if not here:
        stay_of(record)
        raise OilchartError(f"{record.number}: nothing that was left with it is here")
    things = tuple(thing for job in here for thing in job.still_here)
    stays = _things(record, things, kept)
    for job in here:
        left = tuple(thing for thing in job.still_here if thing in stays)
        record = changed_stay(book, record, replace(job, still_here=left))
    return record, tuple(thing for thing in things if thing not in stays)


def _things(
    record: MachineRecord, there: tuple[str, ...], named_so: tuple[str, ...]
) -> tuple[str, ...]:
    """Those things that are named, in the order in which they were told.

    Raises:
        UnknownName: one is not among them, or more than one is called so.
    """
    meant = set()
    for name in named_so:
        word = name.casefold()
        found = [each for each in there if each.casefold() == word]
        found = found or [each for each in there if word in each.casefold()]
        if len(found) != 1:
            raise UnknownName(
                f"{record.number}: {shortened(name)} is {len(found) or 'none'} of what was left "
                f"with it: {', '.join(there) or 'nothing'}"
            )
        meant.add(found[0])
    return tuple(each for each in there if each in meant)


def _refuse_before_earlier_stays(record: MachineRecord, on: date) -> None:
    before = max((job.out_on for job in record.jobs if job.out_on is not None), default=None)
    if before is not None and on < before:
        raise WrongValue(
            "on", on, f"{record.number} was in the shop until {before}; give a day from then on"
        )
