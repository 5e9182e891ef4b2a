"""Days in the book after today, as a clock that ran ahead leaves them, set to the day that was
meant."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from operator import attrgetter

from oilchart.core.days import add_days
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.meter import check_reading
from oilchart.errors import OilchartError, UnreadableWords
from oilchart.shop.folder import Shop
from oilchart.shop.reckonings import machine_of
from oilchart.sources.book.days_to_come import DayToCome
from oilchart.sources.book.file.opening import Book


def set_back(book: Book, shop: Shop, day: date) -> list[DayToCome]:
    """Give all that was done after today another day; calls that were promised from there on come
    as many days sooner.

    Returns:
        What was set back, by its day as it was.

    Raises:
        OilchartError: that day is after today, or something else in the book contradicts it.
    """
    if day > shop.today:
        raise OilchartError(f"{day}: is after today, {shop.today}; give a day that has been")
    found = book.days_to_come.all(shop.today)
    open_days = shop.settings_in(book).limits.open_days
    promised = book.days_to_come.promised(shop.today)
    book.days_to_come.set_to(day, shop.today)
    for call in promised:
        sooner = add_days(call.promised_on, -(call.made_on - day).days)
        book.calls.promise(call.id, open_days.first_open(max(sooner, day)), day)
    changed = {each.whose for each in found}
    for record in book.machines.all():
        if record.number in changed:
            _check(shop, record)
    return found


def _check(shop: Shop, record: MachineRecord) -> None:
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
