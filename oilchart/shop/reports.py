"""What owners say of their machines' use."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from oilchart.core.days import add_days
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.meter import check_reading
from oilchart.core.use.report import Report
from oilchart.errors import OilchartError
from oilchart.shop.folder import Shop
from oilchart.shop.habits import terms
from oilchart.shop.machines import all_of, named, refuse_earlier_owners_day
from oilchart.shop.reckonings import machine_of
from oilchart.sources.book.file.opening import Book
from oilchart.sources.words.reader import read_report

HOURS_HOLD_DAYS = 28  # before an owner is asked again; common practice, no source
MOST_DAYS = 6  # on which something was said, that a refusal names


def add(book: Book, shop: Shop, machine: str, words: str, on: date) -> tuple[MachineRecord, Report]:
    """Keep what an owner said about a machine's use.

    Raises:
        UnreadableWords, UnknownName, OilchartError: the day is after today.
    """
    shop.refuse_day_to_come(on, "the day it was said")
    record = named(book, machine)
    return record, keep(book, shop, record, words, on)


def add_for_all(
    book: Book, shop: Shop, owner: str, words: str, on: date
) -> list[tuple[MachineRecord, Report]]:
    """Keep what an owner said about the use of each of their machines.

    Raises:
        UnreadableWords, UnknownName; OilchartError: the day is after today, they have no machine.
    """
    shop.refuse_day_to_come(on, "the day it was said")
    return [(each, keep(book, shop, each, words, on)) for each in all_of(book, owner)]


def correct(
    book: Book, shop: Shop, machine: str, words: str, on: date
) -> tuple[MachineRecord, Report, Report]:
    """Put what an owner said on a day in the place of what was written down then: of several the
    last of its kind, a meter's for a meter's.

    Returns:
        The machine, and the report before and after it.

    Raises:
        UnreadableWords; UnknownName; OilchartError: nothing was said on that day, or the meter
            cannot show that.
    """
    record = named(book, machine)
    of_day = [each for each in record.reports if each.said == on]
    if not of_day:
        days = ", ".join(dict.fromkeys(str(each.said) for each in record.reports[-MOST_DAYS:]))
        there_are = f"; there are: {days}" if days else ""
        raise OilchartError(f"{record.number}: nothing was said on {on}{there_are}")
    settled = machine_of(shop, record)
    after = read_report(words, on, terms(settled, shop.settings_in(book)))
    alike = [each for each in of_day if (each.reading is None) is (after.reading is None)]
    before = (alike or of_day)[-1]
    others = tuple(each for each in record.reports if each is not before)
    check_reading(after, others, settled.speed)
    book.reports.put(record.id, before, after)
    reports = tuple(after if each is before else each for each in record.reports)
    return replace(record, reports=reports), before, after


def hours_told(record: MachineRecord, on: date) -> bool:
    """Whether an owner need not be asked for the hours on a day: they told them then or not long
    before."""
    return any(
        report.tells_hours and report.said >= add_days(on, -HOURS_HOLD_DAYS)
        for report in record.reports
    )


def keep(book: Book, shop: Shop, record: MachineRecord, words: str, on: date) -> Report:
    """Read what was said of a machine, and keep it.

    Raises:
        UnreadableWords; OilchartError: the meter cannot show that, or the machine was another
            owner's that day.
    """
    refuse_earlier_owners_day(record, on)
    machine = machine_of(shop, record)
    report = read_report(words, on, terms(machine, shop.settings_in(book)))
    check_reading(report, record.reports, machine.speed)
    book.reports.add(record.id, report)
    return report
