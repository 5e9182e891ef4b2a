"""What is taken from the shop's own calendar program: calls and services that were moved there, and
days the shop is shut."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart import bounds
from oilchart.core.calendar.ledger import LedgerEntry
from oilchart.core.calendar.uids import call_uid, owners_machine, service_uid
from oilchart.core.days import OpenDays
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import FarAhead
from oilchart.shop import calls
from oilchart.shop.calendar.exporting import FEEDS
from oilchart.shop.folder import Shop
from oilchart.sources.book.closures import Closure
from oilchart.sources.book.file.opening import Book
from oilchart.sources.files.calendar_file import ReadEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A call or service moved to another day; `key` is the number of the call, or the machine's
    number in the book."""

    key: int
    to: date
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarChanges:
    """What a calendar file comes to.

    Args:
        refused: what was moved, but cannot be; each with the reason.
        as_they_were: how many entries of the shop's own there are of which nothing is taken.
        others: how many other entries there are.
    """

    calls: tuple[Move, ...]
    services: tuple[Move, ...]
    closures: tuple[Closure, ...]
    refused: tuple[str, ...]
    as_they_were: int
    others: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Written:
    """The shop's entries as its calendar files last had them.

    Args:
        calls, services: number of the call, and of the machine in the book, by the uid of its
            entry.
        ledger: the entries as last written, by uid.
    """

    calls: Mapping[str, int]
    services: Mapping[str, int]
    ledger: Mapping[str, LedgerEntry]

    def has(self, uid: str) -> bool:
        """Whether an entry is one of the shop's own."""
        return uid in self.calls or uid in self.services or uid in self.ledger


def read_in(
    book: Book,
    shop: Shop,
    entries: Sequence[ReadEntry],
    *,
    category: str | None,
    only_look: bool,
    keep_far: bool = False,
) -> CalendarChanges:
    """Take what was moved in the shop's own calendar program: a call becomes promised for its day,
    a service booked.

    Args:
        category: of entries that are closures, in place of those read before; None leaves closures
            as they are.
        only_look: change nothing.
        keep_far: days years ahead are meant.

    Raises:
        FarAhead: moved entries or closures that lie years ahead.
    """
    plan = calls.plan(book, shop)
    changes = _changes(
        entries, _written(book, plan.records), shop.today, plan.settings.limits.open_days, category
    )
    if only_look:
        return changes
    if not keep_far:
        _refuse_far_days(changes, shop)
    for move in changes.calls:
        book.calls.promise(move.key, move.to, shop.today)
    for move in changes.services:
        book.bookings.add(move.key, day=move.to, made_on=shop.today)
    if category is not None:
        book.closures.replace(changes.closures, since=shop.today)
    return changes


def _refuse_far_days(changes: CalendarChanges, shop: Shop) -> None:
    """Refuse days years ahead: of one its entry is named, of several how many there are.

    Raises:
        FarAhead
    """
    latest = bounds.latest_day(shop.today)
    moves = [(move.to, move.title) for move in (*changes.calls, *changes.services)]
    moved = sorted(each for each in moves if each[0] > latest)
    shut = sorted((each.last, each.why) for each in changes.closures if each.last > latest)
    far = [*moved, *shut]
    if not far:
        return
    last, title = max(far)
    if len(far) == 1:
        raise FarAhead(f"“{title}” on {last} is {bounds.years_ahead(last, shop.today)} years ahead")
    raise FarAhead(
        f"{len(far)} entries ({len(moved)} moved, {len(shut)} closures) are more than "
        f"{bounds.YEARS_AHEAD} years ahead, the last on {last}"
    )


def _written(book: Book, records: Iterable[MachineRecord]) -> _Written:
    services = {}
    for record in records:
        served = record.services[-1].on if record.services else None
        if record.open_job is None:
            machine = owners_machine(record.number, record.handed_on)
            services[service_uid(book.namespace, machine, served)] = record.id
    return _Written(
        calls={call_uid(book.namespace, call.id): call.id for call in book.calls.open()},
        services=services,
        ledger={entry.uid: entry for feed in FEEDS for entry in book.calendar_ledger.read(feed)},
    )


def _changes(
    entries: Sequence[ReadEntry],
    written: _Written,
    today: date,
    open_days: OpenDays,
    category: str | None,
) -> CalendarChanges:
    """What is taken from the entries of a calendar file.

    An entry of ours counts as moved if it lies on another day than it was last written with, and is
    not older than that: a calendar program that has not read the latest file yet moves nothing.
    """
    moved_calls: list[Move] = []
    moved_services: list[Move] = []
    closures: list[Closure] = []
    refused: list[str] = []
    newest = _newest(entries)
    taken: set[int] = set()  # by their places in memory, since two may be alike
    for entry in newest:
        is_call = entry.uid in written.calls
        key = written.calls.get(entry.uid, written.services.get(entry.uid))
        if key is not None and _is_moved(entry, written.ledger.get(entry.uid)):
            taken.add(id(entry))
            why = _cannot_be(entry, today, open_days)
            if why:
                refused.append(f"“{entry.title}” on {entry.first}: {why}: left as it was")
            else:
                move = Move(key=key, to=entry.first, title=entry.title)
                (moved_calls if is_call else moved_services).append(move)
        elif key is None and category is not None and _closes(entry, category, today):
            taken.add(id(entry))
            closures.append(
                Closure(uid=entry.uid, first=entry.first, last=entry.last, why=entry.title)
            )
    left = [entry for entry in entries if id(entry) not in taken]
    as_they_were = sum(written.has(entry.uid) for entry in left)
    return CalendarChanges(
        calls=tuple(moved_calls),
        services=tuple(moved_services),
        closures=tuple(closures),
        refused=tuple(refused),
        as_they_were=as_they_were,
        others=len(left) - as_they_were,
    )


def _newest(entries: Iterable[ReadEntry]) -> list[ReadEntry]:
    """The entries without those of which the file has a later state under the same uid: the one of
    the highest number counts, of equal ones the last; those of a series are several under one."""
    by_uid: dict[object, ReadEntry] = {}
    for at, entry in enumerate(entries):
        key = at if entry.recurs else entry.uid
        before = by_uid.get(key)
        if before is None or entry.sequence >= before.sequence:
            by_uid[key] = entry
    return list(by_uid.values())


def _is_moved(entry: ReadEntry, written: LedgerEntry | None) -> bool:
    if written is None or entry.cancelled or entry.sequence < written.sequence:
        return False
    return entry.first != written.content.last_day


def _cannot_be(entry: ReadEntry, today: date, open_days: OpenDays) -> str:
    if entry.first < today:
        return f"is before today, {today}"
    if open_days.is_open(entry.first):
        return ""
    return f"the shop is shut then; the next open day is {open_days.first_open(entry.first)}"


def _closes(entry: ReadEntry, category: str, today: date) -> bool:
    wanted = category.casefold()
    return (
        entry.whole_days
        and not entry.recurs
        and not entry.cancelled
        and wanted in (name.casefold() for name in entry.categories)
        and (entry.last - entry.first).days < bounds.READ_CLOSURE_DAYS
        and entry.first >= bounds.earliest_day(today)
    )
