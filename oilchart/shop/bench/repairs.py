"""Repairs of the shop's machines without a service."""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter

from oilchart.core.records.job import Repair
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.waiting import Part
from oilchart.shop.bench.stay import worked_on
from oilchart.shop.bench.waiting import fitted
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.shop.points_named import point_named
from oilchart.sources.book.file.opening import Book


def record(
    book: Book, shop: Shop, machine: str, repair: Repair
) -> tuple[MachineRecord, Part | None]:
    """Keep what was put right at a machine; a part it waited for is wanted no more, if that was
    fitted.

    Args:
        repair: its points as they were named.

    Returns:
        Also the part that is wanted no more.

    Raises:
        UnknownName: no such machine or point; WrongValue: the day is after today.
    """
    shop.refuse_day_to_come(repair.on, "the day of the repair")
    before = named(book, machine)
    point_list = shop.list_for_owner_of(before)
    left = tuple((point_named(point_list, before, name), word) for name, word in repair.left)
    repair = replace(repair, left=left, by=repair.by or shop.settings_in(book).work_by)
    after, part = worked_on(book, before), None
    if repair.part:
        after, part = fitted(book, shop, after, repair.part, repair.on)
    repair = replace(repair, id=book.repairs.add(before.id, repair))
    repairs = sorted((*after.repairs, repair), key=attrgetter("on"))
    return replace(after, repairs=tuple(repairs)), part
