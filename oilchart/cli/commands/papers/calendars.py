"""Calendars: the shop's calls, its services, an owner's care, and a folder of them all."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import click

from oilchart.cli.asking import once_sure
from oilchart.cli.batch import STDOUT, Batch
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import out_option, yes_option
from oilchart.cli.types import HOURS, NAME
from oilchart.core.calendar.uids import call_uid, owners_machine, service_uid
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.errors import OilchartError
from oilchart.papers.calendar.care_entries import care_entries
from oilchart.papers.calendar.entry import Entry, Stamped, content, stamped
from oilchart.papers.calendar.ics import calendar_ics
from oilchart.papers.calendar.shop_entries import call_entry, service_entry
from oilchart.papers.danger_words import danger_lines
from oilchart.papers.wording import counted, day_words
from oilchart.shop import calls
from oilchart.shop.calendar import reading_back
from oilchart.shop.calendar.exporting import (
    CALLS,
    PRIVATE,
    SERVICES,
    calls_made,
    services_done,
    update_feed,
)
from oilchart.shop.calendar.reading_back import CalendarChanges
from oilchart.shop.calls import CallPlan
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import machine_named
from oilchart.sources.files.calendar_file import read_calendar

MOST_ENTRIES = 1_000
MOST_BYTES = 1_000_000  # some calendar programs take no more, or leave the rest out without a word


@click.command("calendar")
@click.argument("machine", required=False)
@click.option(
    "--services", is_flag=True, help="The services planned and booked, instead of the calls."
)
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Calls, services and every machine's care, into the folder named with -o.",
)
@click.option("--private", is_flag=True, help="Leave out owners' names, numbers and words.")
@click.option(
    "--alarm",
    "alarm_hours",
    type=HOURS,
    metavar="HOURS",
    help="Remind so long before the day begins, like 15h.",
)
@click.option("--split", is_flag=True, help="A file for each month: calls-2026-11.ics.")
@click.option(
    "--read",
    "file",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Take what was moved in your own calendar program.",
)
@click.option(
    "--closures",
    "category",
    type=NAME,
    metavar="CATEGORY",
    help="With --read: whole days of this category are closures.",
)
@click.option(
    "--check", "only_look", is_flag=True, help="With --read: only say what would be taken."
)
@yes_option
@out_option
@pass_app
def calendar_command(
    app: AppContext,
    machine: str | None,
    services: bool,
    everything: bool,
    private: bool,
    alarm_hours: int | None,
    split: bool,
    file: Path | None,
    category: str | None,
    only_look: bool,
    yes: bool,
    out: Path | None,
) -> None:
    """Write a calendar file (iCalendar) that any calendar program takes in, again and again: the
    follow-up calls, or with --services the services ahead, or of a machine what its owner does each
    month and more seldom, and its next service.

    \b
    Example: oilchart calendar -o calls.ics
             oilchart calendar M-014 -o care.ics
             oilchart calendar --all -o calendars

    With --read it takes back what was moved in the shop's own calendar program: a call moved is
    promised for that day, a service moved is booked, everything else is left alone and counted.
    """
    given = (
        ("MACHINE", machine),
        ("--services", services),
        ("--all", everything),
        ("--read", file),
    )
    chosen = [name for name, value in given if value]
    if (category or only_look or yes) and file is None:
        raise click.UsageError("--closures, --check, --yes: only with --read")
    if len(chosen) > 1:
        raise click.UsageError(f"{' and '.join(chosen)}: give one of them")
    if file is not None:
        _read(app, file, category=category, only_look=only_look, yes=yes)
    elif everything:
        with open_feeds(app, private=private, alarm_hours=alarm_hours) as feeds:
            _add_all(feeds, out)
    elif machine is not None:
        if private or split:
            raise click.UsageError("--private, --split: only for the shop's own calendars")
        with open_feeds(app, alarm_hours=alarm_hours) as feeds:
            _add_care(app, feeds, machine, out)
    else:
        with open_feeds(app, private=private, alarm_hours=alarm_hours) as feeds:
            told = _add_feed(app, feeds, out, services=services, split=split)
        for line in told:
            click.echo(line, err=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeds:
    """What calendar files are written from, within one transaction, and how.

    Args:
        files: takes the files that are written.
        private: owners' names, numbers and words are left out.
        alarm_hours: a reminder so long before the day begins; None for none.
    """

    shop: Shop
    book: Book
    files: Batch
    plan: CallPlan
    private: bool = False
    alarm_hours: int | None = None

    @property
    def shop_name(self) -> str:
        """As it stands in the title of a calendar."""
        return self.plan.settings.shop_details.name


@contextmanager
def open_feeds(
    app: AppContext, *, private: bool = False, alarm_hours: int | None = None
) -> Iterator[Feeds]:
    """Plan the calls and the services; what stands in the files is kept before they take their
    places."""
    with app.recording() as (book, files):
        yield Feeds(
            shop=app.shop,
            book=book,
            files=files,
            plan=calls.plan(book, app.shop),
            private=private,
            alarm_hours=alarm_hours,
        )


def calls_bytes(feeds: Feeds) -> bytes:
    """The calendar of follow-up calls."""
    return _ics(_calls(feeds), f"Follow-up calls, {feeds.shop_name}")


def _read(app: AppContext, file: Path, *, category: str | None, only_look: bool, yes: bool) -> None:
    """Take back what was moved, and say it."""
    entries, unread = read_calendar(file)

    def read_in(keep_far: bool) -> CalendarChanges:
        with app.shop.book(writing=True) as book:
            return reading_back.read_in(
                book,
                app.shop,
                entries,
                category=category,
                only_look=only_look,
                keep_far=keep_far,
            )

    found = once_sure(read_in, yes=yes)
    for move in found.calls:
        click.echo(f"call promised for {day_words(move.to)}: {move.title}")
    for move in found.services:
        click.echo(f"service booked for {day_words(move.to)}: {move.title}")
    for closure in found.closures:
        until = f" to {day_words(closure.last)}" if closure.last != closure.first else ""
        click.echo(f"shut {day_words(closure.first)}{until}: {closure.why}")
    for line in found.refused:
        click.echo(line)
    own, others = found.as_they_were, found.others
    rest = [f"{counted(own, 'entry', 'entries')} of the shop's own as before"] if own else []
    if others or unread or not own:
        broken = f", {unread} that cannot be read" if unread else ""
        rest.append(f"{counted(others, 'other entry', 'other entries')} left alone{broken}")
    looked = "Nothing was changed (--check). " if only_look else ""
    click.echo(f"{looked}{'; '.join(rest)}.", err=True)


def _add_feed(
    app: AppContext, feeds: Feeds, out: Path | None, *, services: bool, split: bool
) -> list[str]:
    """Write the calls or the services: to one file, or to one for each month; what there is to say
    of them."""
    name, title = ("services", "Services") if services else ("calls", "Follow-up calls")
    title = f"{title}, {feeds.shop_name}"
    stamped = _services(feeds) if services else _calls(feeds)
    path = out or app.place_in_shop(f"{name}.ics")
    told = []
    if split:
        _add_months(feeds.files, stamped, path, title)
    else:
        data = _ics(stamped, title)
        feeds.files.add(path, data)
        if len(stamped) > MOST_ENTRIES or len(data) > MOST_BYTES:
            told.append(
                f"{counted(len(stamped), 'entry', 'entries')}, {len(data)} bytes: some calendar "
                "programs leave what is beyond 1,000 entries or 1 MB out; "
                "--split writes a file for each month"
            )
    live = sum(each.ledger.withdrawn_on is None for each in stamped)
    return [*told, counted(live, "service" if services else "call")]


def _add_months(files: Batch, stamped: list[Stamped], out: Path, title: str) -> None:
    """A file for each month in which something stands."""
    if out == STDOUT:
        raise click.UsageError("--split writes several files: name a file with -o")
    months: dict[tuple[int, int], list[Stamped]] = {}
    for each in stamped:
        months.setdefault((each.entry.first.year, each.entry.first.month), []).append(each)
    for (year, month), entries in sorted(months.items()):
        path = out.with_name(f"{out.stem}-{year}-{month:02}{out.suffix or '.ics'}")
        _add_changed(files, path, _ics(entries, f"{title}, {year}-{month:02}"))


def _add_care(app: AppContext, feeds: Feeds, machine: str, out: Path | None) -> None:
    record = machine_named(feeds.plan.records, feeds.book.machines.gone(), machine)
    standing = next(each for each in feeds.plan.standings if each.record.id == record.id)
    path = out or app.place_in_shop(f"{record.number}-care.ics")
    feeds.files.add(path, _care(feeds, standing))


def _add_all(feeds: Feeds, out: Path | None) -> None:
    """Write every calendar into a folder; a file whose bytes are as before is not touched."""
    if out is None or out == STDOUT:
        raise click.UsageError("--all writes several files: name a folder with -o")
    files = {
        "calls.ics": calls_bytes(feeds),
        "services.ics": _ics(_services(feeds), f"Services, {feeds.shop_name}"),
    }
    for standing in feeds.plan.standings:
        if standing.schedule.machine.served is not None and standing.record.unsafe is None:
            files[f"care-{standing.record.number}.ics"] = _care(feeds, standing)
    for file_name, data in files.items():
        _add_changed(feeds.files, out / file_name, data)


def _add_changed(files: Batch, path: Path, data: bytes) -> None:
    """Write a file unless it holds these bytes already; who watches it sees only what changed."""
    if not (path.is_file() and path.read_bytes() == data):
        files.add(path, data)


def _calls(feeds: Feeds) -> list[Stamped]:
    namespace = feeds.book.namespace
    entries = {call_uid(namespace, call.id): _call(feeds, call) for call in feeds.plan.calls}
    feed = f"{CALLS}{PRIVATE if feeds.private else ''}"
    return _kept(feeds, feed, entries, done=calls_made(feeds.book))


def _services(feeds: Feeds) -> list[Stamped]:
    namespace, entries = feeds.book.namespace, {}
    for standing in feeds.plan.standings:
        record, schedule = standing.record, standing.schedule
        entry = service_entry(standing, private=feeds.private, alarm_hours=feeds.alarm_hours)
        if entry is not None and record.open_job is None:
            machine = owners_machine(record.number, record.handed_on)
            entries[service_uid(namespace, machine, schedule.machine.served)] = entry
    done = services_done(feeds.book, feeds.plan.standings, feeds.shop.today)
    return _kept(feeds, f"{SERVICES}{PRIVATE if feeds.private else ''}", entries, done=done)


def _care(feeds: Feeds, standing: Standing) -> bytes:
    """An owner's calendar of a machine."""
    number = standing.record.number
    if standing.record.unsafe is not None:
        raise OilchartError(
            f"{number}: {'; '.join(danger_lines(standing.record))}: "
            "it gets no reminders until it is put right"
        )
    entries = care_entries(
        standing.schedule,
        shop=feeds.plan.settings.shop_details,
        namespace=feeds.book.namespace,
        alarm_hours=feeds.alarm_hours,
    )
    name = f"Care of your {standing.schedule.machine.point_list.name}"
    feed = f"care {owners_machine(number, standing.record.handed_on)}"
    return _ics(_kept(feeds, feed, entries, whole=True), name)


def _kept(
    feeds: Feeds,
    feed: str,
    entries: Mapping[str, Entry],
    *,
    done: Collection[str] = (),
    whole: bool = False,
) -> list[Stamped]:
    """Entries with their numbers and stamps, as they stand in the file: by day, then by uid."""
    wanted = {uid: content(entry) for uid, entry in entries.items()}
    ledger = update_feed(feeds.book, feeds.shop, feed, wanted, done=done, whole=whole)
    return [stamped(entry) for entry in ledger]


def _ics(entries: list[Stamped], name: str) -> bytes:
    return calendar_ics(entries, name=name)


def _call(feeds: Feeds, call: OpenCall) -> Entry:
    point_lists = {record.id: feeds.shop.list_of(record) for record, _ in call.services}
    return call_entry(call, point_lists, private=feeds.private, alarm_hours=feeds.alarm_hours)
