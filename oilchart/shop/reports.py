"""What owners say of their machines' use."""

from __future__ import annotations

from datetime import date

from oilchart.core.days import add_days
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.meter import check_reading
from oilchart.core.use.report import Report
from oilchart.shop.folder import Shop
from oilchart.shop.habits import terms
from oilchart.shop.machines import named, refuse_earlier_owners_day
from oilchart.shop.reckonings import machine_of
from oilchart.sources.book.file.opening import Book
from oilchart.sources.words.reader import read_report

HOURS_HOLD_DAYS = 28  # before an owner is asked again; common practice, no source


def add(book: Book, shop: Shop, machine: str, words: str, on: date) -> tuple[MachineRecord, Report]:
    """Keep what an owner said about a machine's use.

    Raises:
        UnreadableWords, UnknownName, OilchartError: the day is after today.
    """
    shop.refuse_day_to_come(on, "the day it was said")
    record = named(book, machine)
    return record, keep(book, shop, record, words, on)


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
