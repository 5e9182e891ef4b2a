"""What owners say of their machines' use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.days import add_days
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.meter import check_reading
from oilchart.core.use.report import Report
from oilchart.errors import OilchartError
from oilchart.shop import standings
from oilchart.shop.folder import Shop
from oilchart.shop.habits import terms
from oilchart.shop.machines import all_of, named, refuse_earlier_owners_day
from oilchart.shop.reckonings import machine_of
from oilchart.sources.book.file.opening import Book
from oilchart.sources.words.phrase import Terms
from oilchart.sources.words.reader import hear, report_as_said


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What an owner said, as it is kept.

    Args:
        record: the machine, with it.
        before: what it stands in the place of; None where it is new.
        left_aside: words of it that say nothing of how much.
        schedule_before: the machine's as it was, and then as it is with it.
    """

    record: MachineRecord
    report: Report
    before: Report | None = None
    left_aside: tuple[str, ...] = ()
    schedule_before: Schedule | None = None
    schedule: Schedule | None = None


HOURS_HOLD_DAYS = 28  # before an owner is asked again; common practice, no source
MOST_DAYS = 6  # on which something was said, that a refusal names


def add(
    book: Book, shop: Shop, machine: str, words: str, on: date, *, as_said: bool = False
) -> Told:
    """Keep what an owner said about a machine's use.

    Args:
        as_said: words that are not clear are kept, with what is to be asked of them.

    Raises:
        UnreadableWords, UnknownName, OilchartError: the day is after today.
    """
    shop.refuse_day_to_come(on, "the day it was said")
    record = named(book, machine)
    return keep(book, shop, record, words, on, as_said=as_said)


def add_for_all(
    book: Book, shop: Shop, owner: str, words: str, on: date, *, as_said: bool = False
) -> list[Told]:
    """Keep what an owner said about the use of each of their machines.

    Raises:
        UnreadableWords, UnknownName; OilchartError: the day is after today, they have no machine.
    """
    shop.refuse_day_to_come(on, "the day it was said")
    return [keep(book, shop, each, words, on, as_said=as_said) for each in all_of(book, owner)]


def add_for_those(
    book: Book,
    shop: Shop,
    owner: str,
    named: Sequence[str],
    words: str,
    on: date,
    *,
    as_said: bool = False,
) -> list[Told]:
    """Keep what an owner said about the use of the machines that are named, or of each of theirs.

    Raises:
        UnreadableWords, UnknownName; OilchartError: the day is after today, they have no machine.
    """
    if not named:
        return add_for_all(book, shop, owner, words, on, as_said=as_said)
    return [add(book, shop, each, words, on, as_said=as_said) for each in named]


def correct(
    book: Book, shop: Shop, machine: str, words: str, on: date, *, as_said: bool = False
) -> Told:
    """Put what an owner said on a day in the place of what was written down then: of several the
    last of its kind, a meter's for a meter's.

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
    known = terms(settled, shop.settings_in(book), shop.word_list, on)
    after, aside = _listened(words, on, known, as_said=as_said)
    alike = [each for each in of_day if (each.reading is None) is (after.reading is None)]
    before = (alike or of_day)[-1]
    others = tuple(each for each in record.reports if each is not before)
    check_reading(after, others, settled.speed)
    book.reports.put(record.id, before, after)
    reports = tuple(after if each is before else each for each in record.reports)
    corrected = replace(record, reports=reports)
    return _told(
        book, shop, record, Told(record=corrected, report=after, before=before, left_aside=aside)
    )


def hours_told(record: MachineRecord, on: date) -> bool:
    """Whether an owner need not be asked for the hours on a day: they told them then or not long
    before."""
    return any(
        report.tells_hours and report.said >= add_days(on, -HOURS_HOLD_DAYS)
        for report in record.reports
    )


def keep(
    book: Book,
    shop: Shop,
    record: MachineRecord,
    words: str,
    on: date,
    *,
    as_said: bool = False,
) -> Told:
    """Read what was said of a machine, and keep it.

    Raises:
        UnreadableWords; OilchartError: the meter cannot show that, or the machine was another
            owner's that day.
    """
    refuse_earlier_owners_day(record, on)
    machine = machine_of(shop, record)
    known = terms(machine, shop.settings_in(book), shop.word_list, add_days(on, 1))
    report, aside = _listened(words, on, known, as_said=as_said)
    check_reading(report, record.reports, machine.speed)
    book.reports.add(record.id, report)
    reports = tuple(sorted((*record.reports, report), key=attrgetter("said")))
    told = Told(record=replace(record, reports=reports), report=report, left_aside=aside)
    return _told(book, shop, record, told)


def _listened(
    words: str, on: date, known: Terms, *, as_said: bool
) -> tuple[Report, tuple[str, ...]]:
    """What was understood of words, and those of them that were left aside.

    Raises:
        UnreadableWords
    """
    if as_said:
        return report_as_said(words, on, known), ()
    heard = hear(words, on, known)
    return heard.clear, heard.left_aside


def _told(book: Book, shop: Shop, before: MachineRecord, told: Told) -> Told:
    """What was told, with the machine's schedule before and with it."""
    if not told.record.model:
        return told
    was, now = standings.alone(shop, shop.settings_in(book), [before, told.record])
    return replace(told, schedule_before=was.schedule, schedule=now.schedule)
