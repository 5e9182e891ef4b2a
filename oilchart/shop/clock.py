"""Days in the book after today, as a clock that ran ahead leaves them, set to the day that was
meant."""

from __future__ import annotations

from datetime import date

from oilchart.core.days import add_days
from oilchart.errors import OilchartError
from oilchart.shop.entry_checks import check_record
from oilchart.shop.folder import Shop
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
            check_record(shop, record)
    return found
