"""What is kept of a machine, held against what is asked when it is told."""

from __future__ import annotations

from itertools import pairwise
from operator import attrgetter

from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.meter import check_reading
from oilchart.errors import OilchartError, UnreadableWords
from oilchart.shop.folder import Shop
from oilchart.shop.reckonings import machine_of


def check_record(shop: Shop, record: MachineRecord) -> None:
    """Hold what is kept of a machine against what is asked when it is told.

    Raises:
        OilchartError: what contradicts itself.
    """
    jobs = sorted(record.jobs, key=attrgetter("in_on", "id"))
    for job in jobs:
        ended = min((on for on in (job.ready_on, job.out_on) if on is not None), default=job.in_on)
        if ended < job.in_on:
            raise _in_the_way(record, f"the stay of {job.in_on} would end on {ended}")
    for before, after in pairwise(jobs):
        if before.out_on is None or after.in_on < before.out_on:
            until = "is open" if before.out_on is None else f"lasts until {before.out_on}"
            raise _in_the_way(record, f"the stay of {before.in_on} {until}")
    for first, second in pairwise(record.services):
        if (first.on, first.findings) == (second.on, second.findings):
            raise _in_the_way(record, f"the same service of {first.on} is in the book already")
    speed = machine_of(shop, record).speed
    for at, report in enumerate(record.reports):
        try:
            check_reading(report, record.reports[:at], speed)
        except UnreadableWords as refused:
            raise _in_the_way(record, str(refused).removeprefix("use: ")) from None


def _in_the_way(record: MachineRecord, why: str) -> OilchartError:
    return OilchartError(f"{record.number}: {why}; nothing was changed; give another day")
