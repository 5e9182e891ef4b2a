"""What stands in the shop, and which parts are wanted."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.planning.standing import Standing
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.waiting import Part
from oilchart.core.records.wanted_parts import wanted_parts
from oilchart.shop.folder import Shop
from oilchart.shop.standings import alone
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class InShop:
    """What stands in the shop.

    Args:
        stays: the machines, the one that has been here longest first.
        things_of: machines that went home, of which something that was left with them is here.
    """

    stays: tuple[Standing, ...]
    things_of: tuple[MachineRecord, ...]


def in_shop(book: Book, shop: Shop) -> InShop:
    """The machines in the shop, and those of which something is here still, gone or not."""
    records = book.machines.all()
    here = [record for record in records if record.open_job is not None]
    stays = alone(shop, shop.settings_in(book), here)
    left = [*records, *book.machines.all_gone()]
    return InShop(
        stays=tuple(sorted(stays, key=lambda each: (-(each.days_here or 0), each.record.id))),
        things_of=tuple(each for each in left if any(job.still_here for job in each.jobs)),
    )


def parts(book: Book, shop: Shop) -> list[tuple[MachineRecord, str, Part]]:
    """All parts that are wanted, each with its machine and the name of that model, in the order in
    which they were."""
    found = [
        (record, shop.list_of(record), part)
        for record in book.machines.all()
        for part in wanted_parts(record, shop.list_of(record))
    ]
    found.sort(key=lambda each: (each[2].wanted_on, each[0].id, each[2].id))
    return [(record, point_list.name, part) for record, point_list, part in found]
