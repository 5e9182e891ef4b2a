"""Calendars: the shop's calls, its services, an owner's care, and a folder of them all."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import STDOUT, AppContext, pass_app
from oilchart.cli.options import out_option
from oilchart.cli.output import write_whole
from oilchart.cli.types import HOURS, NAME
from oilchart.errors import OilchartError

if TYPE_CHECKING:
    from oilchart.core.planning.standing import OpenCall, Standing
    from oilchart.papers.calendar.entry import Entry, Stamped
    from oilchart.shop.calendar_export import CalendarSources

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
    if (category or only_look) and file is None:
        raise click.UsageError("--closures, --check: only with --read")
    if len(chosen) > 1:
        raise click.UsageError(f"{' and '.join(chosen)}: give one of them")
    if file is not None:
        _read(app, file, category=category, only_look=only_look)
    elif everything:
        _write_all(app, out, private=private, alarm_hours=alarm_hours)
    elif machine is not None:
        if private or split:
            raise click.UsageError("--private, --split: only for the shop's own calendars")
        _write_care(app, machine, out, alarm_hours)
    else:
        _write_feed(
            app, out, services=services, private=private, alarm_hours=alarm_hours, split=split
        )


def calendar_bytes(app: AppContext, calendars: CalendarSources) -> bytes:
    """The calendar of follow-up calls."""
    return _ics(
        _calls(app, calendars, private=False, alarm_hours=None),
        f"Follow-up calls, {app.shop.settings.shop_details.name}",
    )


def _read(app: AppContext, file: Path, *, category: str | None, only_look: bool) -> None:
    """Take back what was moved, and say it."""
    from oilchart.papers.wording import counted, day_words
    from oilchart.sources.files.calendar_file import read_calendar

    entries, unread = read_calendar(file)
    found = app.shop.read_calendar(entries, category=category, only_look=only_look)
    for move in found.calls:
        click.echo(f"call promised for {day_words(move.to)}: {move.title}")
    for move in found.services:
        click.echo(f"service booked for {day_words(move.to)}: {move.title}")
    for shut in found.closures:
        click.echo(
            f"shut {day_words(shut.first)}{f' to {day_words(shut.last)}' if shut.last != shut.first else ''}: {shut.why}"
        )
    for line in found.refused:
        click.echo(line)
    rest = f"{counted(found.others, 'other entry', 'other entries')} left alone"
    broken = f", {unread} that cannot be read" if unread else ""
    click.echo(f"{'Nothing was changed (--check). ' if only_look else ''}{rest}{broken}.", err=True)


def _write_feed(
    app: AppContext,
    out: Path | None,
    *,
    services: bool,
    private: bool,
    alarm_hours: int | None,
    split: bool,
) -> None:
    from oilchart.papers.wording import counted

    name, title = ("services", "Services") if services else ("calls", "Follow-up calls")
    with app.shop.calendars() as calendars:
        title = f"{title}, {app.shop.settings.shop_details.name}"
        stamped = (_services if services else _calls)(
            app, calendars, private=private, alarm_hours=alarm_hours
        )
        if split:
            _write_months(app, stamped, out or app.folder / "out" / f"{name}.ics", title)
        else:
            data = _ics(stamped, title)
            app.write_output(data, out, f"{name}.ics", in_shop=True)
            if len(stamped) > MOST_ENTRIES or len(data) > MOST_BYTES:
                click.echo(f"{counted(len(stamped), 'entry', 'entries')}, {len(data)} bytes: some calendar programs leave "
                           "what is beyond 1,000 entries or 1 MB out; --split writes a file for each month", err=True)  # fmt: skip
    live = sum(each.ledger.withdrawn_on is None for each in stamped)
    click.echo(counted(live, "service" if services else "call"), err=True)


def _write_months(app: AppContext, stamped: list[Stamped], out: Path, title: str) -> None:
    """A file for each month in which something stands."""
    if out == STDOUT:
        raise click.UsageError("--split writes several files: name a file with -o")
    months: dict[tuple[int, int], list[Stamped]] = {}
    for each in stamped:
        months.setdefault((each.entry.first.year, each.entry.first.month), []).append(each)
    for (year, month), entries in sorted(months.items()):
        path = out.with_name(f"{out.stem}-{year}-{month:02}{out.suffix or '.ics'}")
        _deliver_changed(path, _ics(entries, f"{title}, {year}-{month:02}"))


def _write_care(app: AppContext, machine: str, out: Path | None, alarm_hours: int | None) -> None:
    with app.shop.calendars() as calendars:
        number = app.shop.machine(machine).number
        standing = next(
            standing for standing in calendars.standings if standing.record.number == number
        )
        app.write_output(
            _care(app, calendars, standing, alarm_hours), out, f"{number}-care.ics", in_shop=True
        )


def _write_all(
    app: AppContext, out: Path | None, *, private: bool, alarm_hours: int | None
) -> None:
    """Write every calendar into a folder; a file whose bytes are as before is not touched."""
    if out is None or out == STDOUT:
        raise click.UsageError("--all writes several files: name a folder with -o")
    with app.shop.calendars() as calendars:
        name = app.shop.settings.shop_details.name
        files = {
            "calls.ics": _ics(
                _calls(app, calendars, private=private, alarm_hours=alarm_hours),
                f"Follow-up calls, {name}",
            ),
            "services.ics": _ics(
                _services(app, calendars, private=private, alarm_hours=alarm_hours),
                f"Services, {name}",
            ),
        }
        for standing in calendars.standings:
            if standing.schedule.machine.served is not None and standing.record.unsafe is None:
                files[f"care-{standing.record.number}.ics"] = _care(
                    app, calendars, standing, alarm_hours
                )
        for file_name, data in files.items():
            _deliver_changed(out / file_name, data)


def _deliver_changed(path: Path, data: bytes) -> None:
    """Write a file unless it holds these bytes already; who watches it sees only what changed."""
    if path.is_file() and path.read_bytes() == data:
        return
    write_whole(path, data)
    click.echo(f"wrote {path}", err=True)


def _calls(
    app: AppContext, calendars: CalendarSources, *, private: bool, alarm_hours: int | None
) -> list[Stamped]:
    from oilchart.core.calendar.uids import call_uid
    from oilchart.shop.calendar_export import CALLS, PRIVATE

    entries = {
        call_uid(calendars.namespace, call.id): _call(
            app, call, private=private, alarm_hours=alarm_hours
        )
        for call in calendars.calls
    }
    done = {call_uid(calendars.namespace, call_id) for call_id in calendars.handled}
    return _kept(calendars, f"{CALLS}{PRIVATE if private else ''}", entries, done=done)


def _services(
    app: AppContext, calendars: CalendarSources, *, private: bool, alarm_hours: int | None
) -> list[Stamped]:
    from oilchart.core.calendar.uids import service_uid
    from oilchart.papers.calendar.shop_entries import service_entry
    from oilchart.shop.calendar_export import PRIVATE, SERVICES

    entries = {}
    for standing in calendars.standings:
        record = standing.record
        entry = service_entry(standing, private=private, alarm_hours=alarm_hours)
        if entry is not None and record.open_job is None:
            entries[
                service_uid(calendars.namespace, record.number, standing.schedule.machine.served)
            ] = entry
    return _kept(
        calendars, f"{SERVICES}{PRIVATE if private else ''}", entries, done=calendars.served()
    )


def _care(
    app: AppContext, calendars: CalendarSources, standing: Standing, alarm_hours: int | None
) -> bytes:
    """An owner's calendar of a machine."""
    from oilchart.papers.calendar.care_entries import care_entries

    number = standing.record.number
    if standing.record.unsafe is not None:
        raise OilchartError(
            f"{number}: must not be plugged in ({standing.record.unsafe.why}): it gets no reminders until it is checked"
        )
    entries = care_entries(
        standing.schedule,
        shop=app.shop.settings.shop_details,
        namespace=calendars.namespace,
        alarm_hours=alarm_hours,
    )
    name = f"Care of your {standing.schedule.machine.point_list.name}"
    return _ics(_kept(calendars, f"care {number}", entries, whole=True), name)


def _kept(
    calendars: CalendarSources,
    feed: str,
    entries: Mapping[str, Entry],
    *,
    done: set[str] | None = None,
    whole: bool = False,
) -> list[Stamped]:
    """Entries with their numbers and stamps, as they stand in the file: by day, then by uid."""
    from oilchart.papers.calendar.entry import content, stamped

    wanted = {uid: content(entry) for uid, entry in entries.items()}
    return [stamped(entry) for entry in calendars.keep(feed, wanted, done=done or (), whole=whole)]


def _ics(entries: list[Stamped], name: str) -> bytes:
    from oilchart.papers.calendar.ics import feed_ics

    return feed_ics(entries, name=name)


def _call(app: AppContext, call: OpenCall, *, private: bool, alarm_hours: int | None) -> Entry:
    from oilchart.papers.calendar.shop_entries import call_entry

    point_lists = {record.id: app.shop.point_list(record.model) for record, _ in call.services}
    return call_entry(call, point_lists, private=private, alarm_hours=alarm_hours)
