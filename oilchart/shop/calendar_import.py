"""Knows what is taken from the shop's own calendar program: calls and services that were moved
there, and days the shop is shut."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from oilchart.core.calendar.ledger import LedgerEntry
from oilchart.core.days import OpenDays
from oilchart.sources.files.calendar_file import LONGEST_DAYS, ReadEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A call or service moved to another day; `key` is the number of the call, or the machine's
    number in the book."""

    key: int
    to: date
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shut:
    """A closure."""

    uid: str
    first: date
    last: date
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarChanges:
    """What a calendar file comes to.

    Args:
        refused: what was moved, but cannot be; each with the reason.
        others: how many other entries there are.
    """

    calls: tuple[Move, ...]
    services: tuple[Move, ...]
    closures: tuple[Shut, ...]
    refused: tuple[str, ...]
    others: int


def calendar_changes(
    entries: Iterable[ReadEntry],
    *,
    calls: Mapping[str, int],
    services: Mapping[str, int],
    ledger: Mapping[str, LedgerEntry],
    today: date,
    open_days: OpenDays,
    category: str | None,
) -> CalendarChanges:
    """What is taken from the entries of a calendar file.

    An entry of ours counts as moved if it lies on another day than it was last written with, and is
    not older than that: a calendar program that has not read the latest file yet moves nothing.

    Args:
        calls, services: number of the call, and of the machine in the book, by the uid of its
            entry.
        ledger: the entries as last written, by uid.
        category: of the entries that are closures; None for none.
    """
    moved: dict[str, list[Move]] = {"calls": [], "services": []}
    closures, refused, others = [], [], 0
    for entry in entries:
        kind, key = (
            ("calls", calls.get(entry.uid))
            if entry.uid in calls
            else ("services", services.get(entry.uid))
        )
        if key is not None and _is_moved(entry, ledger.get(entry.uid)):
            why = _cannot_be(entry, today, open_days)
            if why:
                refused.append(f"“{entry.title}” on {entry.first}: {why}: left as it was")
            else:
                moved[kind].append(Move(key=key, to=entry.first, title=entry.title))
        elif key is None and category is not None and _closes(entry, category):
            closures.append(
                Shut(uid=entry.uid, first=entry.first, last=entry.last, why=entry.title)
            )
        else:
            others += 1
    return CalendarChanges(
        calls=tuple(moved["calls"]),
        services=tuple(moved["services"]),
        closures=tuple(closures),
        refused=tuple(refused),
        others=others,
    )


def _is_moved(entry: ReadEntry, written: LedgerEntry | None) -> bool:
    if written is None or entry.cancelled or entry.sequence < written.sequence:
        return False
    return entry.first != written.content.last_day


def _cannot_be(entry: ReadEntry, today: date, open_days: OpenDays) -> str:
    if entry.first < today:
        return f"is before today, {today}"
    return (
        ""
        if open_days.is_open(entry.first)
        else f"the shop is shut then; the next open day is {open_days.first_open(entry.first)}"
    )


def _closes(entry: ReadEntry, category: str) -> bool:
    wanted = category.casefold()
    return (
        entry.whole_days
        and not entry.recurs
        and not entry.cancelled
        and wanted in (name.casefold() for name in entry.categories)
        and (entry.last - entry.first).days < LONGEST_DAYS
    )
