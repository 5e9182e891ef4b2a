"""The stay of a machine that is in the shop, and how it is changed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from oilchart.core.records.job import Job, Stage
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, WrongValue
from oilchart.sources.book.file.opening import Book


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


def changed_stay(book: Book, record: MachineRecord, after: Job) -> MachineRecord:
    """A machine with a stay of it as it is now, in the book, too."""
    if after in record.jobs:
        return record
    book.jobs.edit(after)
    jobs = tuple(after if job.id == after.id else job for job in record.jobs)
    return replace(record, jobs=jobs)


def worked_on(book: Book, record: MachineRecord) -> MachineRecord:
    """A machine at which work was recorded: it soaks no more."""
    job = record.open_job
    if job is None or job.stage is not Stage.SOAKING:
        return record
    return changed_stay(book, record, replace(job, stage=Stage.ON_THE_BENCH))


def not_before(job: Job, on: date) -> date:
    """The day, which must not lie before the check-in.

    Raises:
        WrongValue
    """
    if on < job.in_on:
        raise WrongValue("on", on, f"is before the machine came in, {job.in_on}; give a later day")
    return on
