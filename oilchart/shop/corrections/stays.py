"""A stay in the shop that was written down wrongly, mended: its complaint, what was left with the
machine, its days."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from operator import attrgetter

from oilchart.core.records.job import Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, UnknownName, WrongValue, shortened
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class StayChange:
    """What of a stay was otherwise than it was written down; None stays.

    Args:
        ready_by: the day by which it was promised.
        came, ready, collected: the days on which it came in, could be collected, and was.
    """

    complaint: str | None = None
    left_with: tuple[str, ...] | None = None
    ready_by: date | None = None
    came: date | None = None
    ready: date | None = None
    collected: date | None = None


def correct(
    book: Book, shop: Shop, machine: str, number: str | None, change: StayChange
) -> tuple[MachineRecord, Job, Job]:
    """Mend a stay of a machine: the latest, or that of a number.

    Returns:
        The machine, and the stay before and after it.

    Raises:
        UnknownName: there is no such stay; WrongValue: a day cannot be; OilchartError: it is
            written down so already.
    """
    record = named(book, machine)
    before = _stay(record, number)
    for name, day, known, command in (
        ("ready", change.ready, before.ready_on, "ready"),
        ("collected", change.collected, before.out_on, "collected"),
    ):
        if day is not None and known is None and before.is_open:
            raise WrongValue(
                name, day, f"nothing to mend is written down of it; note it: oilchart {command}"
            )
    words_told = change.complaint is not None or change.left_with is not None
    if words_told and not record.is_present_owners(before.in_on):
        raise OilchartError(
            f"{record.number}: its stay {before.number} was an earlier owner's; its words are not "
            "shown any more; nothing was changed"
        )
    after = replace(
        before,
        complaint=before.complaint if change.complaint is None else change.complaint,
        left_with=before.left_with if change.left_with is None else change.left_with,
        ready_by=change.ready_by or before.ready_by,
        in_on=change.came or before.in_on,
        ready_on=change.ready or before.ready_on,
        out_on=change.collected or before.out_on,
    )
    if after == before:
        raise OilchartError(
            f"{record.number}: its stay {before.number} is written down so already; nothing was "
            "changed"
        )
    jobs = tuple(after if job.id == after.id else job for job in record.jobs)
    mended = replace(record, jobs=tuple(sorted(jobs, key=attrgetter("in_on", "id"))))
    _check_days(shop, mended, after)
    book.jobs.correct(before, after)
    return mended, before, after


def _stay(record: MachineRecord, number: str | None) -> Job:
    """The latest stay of a machine, or that of a number: J-003, j-3, 3.

    Raises:
        UnknownName
    """
    if not record.jobs:
        raise UnknownName(f"{record.number}: was never checked in")
    if number is None:
        return record.jobs[-1]
    wanted = re.fullmatch(r"(?:J-?)?(\d{1,9})", number.strip(), re.IGNORECASE | re.ASCII)
    for job in record.jobs:
        if wanted and job.id == int(wanted[1]):
            return job
    there_are = ", ".join(f"{job.number} of {job.in_on}" for job in record.jobs)
    raise UnknownName(
        f"{record.number}: it has no stay {shortened(number)}; there are: {there_are}"
    )


def _check_days(shop: Shop, record: MachineRecord, job: Job) -> None:
    """The days of a stay follow each other, those of two do not overlap, and its services are in
    it.

    Raises:
        WrongValue: a day is after today, or out of turn; OilchartError
    """
    if job.ready_by is not None and job.ready_by < job.in_on:
        raise WrongValue(
            "ready-by", job.ready_by, f"is before {job.in_on}, the day it came in; give a later one"
        )
    told = (("came-in", job.in_on), ("ready", job.ready_on), ("collected", job.out_on))
    days = [(name, day) for name, day in told if day is not None]
    for name, day in days:
        if day > shop.today:
            raise WrongValue(name, day, f"is after today, {shop.today}; give a day that has been")
    for (first, before), (second, after) in pairwise(days):
        if after < before:
            raise WrongValue(
                second, after, f"is before {before}, the day told as {first}; give a later one"
            )
    for one, other in pairwise(record.jobs):
        if one.out_on is None or other.in_on < one.out_on:
            until = "is open" if one.out_on is None else f"lasts until {one.out_on}"
            raise OilchartError(
                f"{record.number}: the stay {one.number} of {one.in_on} {until}, and "
                f"{other.number} begins on {other.in_on}; nothing was changed; give another day"
            )
    for service in record.services:
        if service.job == job.id and not (job.covers(service.on) and job.covers(service.last_day)):
            raise OilchartError(
                f"{record.number}: its service of {service.on} would not be in the stay any more; "
                "nothing was changed; mend the day of the service first"
            )
