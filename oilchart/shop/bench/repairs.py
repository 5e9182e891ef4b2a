"""Repairs of the shop's machines without a service."""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter

from oilchart.core.records.job import Repair
from oilchart.core.records.machine_record import MachineRecord
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.shop.points_named import point_named
from oilchart.sources.book.file.opening import Book


def record(book: Book, shop: Shop, machine: str, repair: Repair) -> MachineRecord:
    """Keep what was put right at a machine; the part it waited for is there, if that was fitted.

    Args:
        repair: its points as they were named.

    Raises:
        UnknownName: no such machine or point; WrongValue: the day is after today.
    """
    shop.refuse_day_to_come(repair.on, "the day of the repair")
    before = named(book, machine)
    point_list = shop.list_for_owner_of(before)
    left = tuple((point_named(point_list, before, name), word) for name, word in repair.left)
    repair = replace(repair, left=left, by=repair.by or shop.settings_in(book).work_by)
    repair = replace(repair, id=book.repairs.add(before.id, repair))
    repairs = sorted((*before.repairs, repair), key=attrgetter("on"))
    after = replace(before, repairs=tuple(repairs))
    job = after.open_job
    if repair.part and job is not None and job.waiting_for and job.covers(repair.on):
        job = replace(job, waiting_for="")
        book.jobs.edit(job)
        after = replace(
            after, jobs=tuple(job if each.id == job.id else each for each in after.jobs)
        )
    return after
