"""Machines, what their owners say of their use, and services."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option
from oilchart.cli.types import DAY, FOUND, LEFT, NAME, WORDS
from oilchart.core.lists.mechanisms import MechanismChange
from oilchart.core.records.findings import (
    ContradictoryNotes,
    Found,
    Left,
    NotesPart,
    Overruled,
    ServiceNotes,
    told_besides,
)
from oilchart.core.records.machine_record import MachineChange
from oilchart.errors import OilchartError
from oilchart.sources.words.rules import written_examples, written_grammar

if TYPE_CHECKING:
    from oilchart.shop.services import ServiceKept
    from oilchart.sources.book.opening import Book

# the options by which a part of what is told of a service is given
NOTES_OPTIONS = {
    NotesPart.EXCEPTED: "--except",
    NotesPart.ALSO: "--also",
    NotesPart.FOUND: "--found",
    NotesPart.LEFT: "--left",
    NotesPart.NOTE: "--note",
}


@click.group("machine")
def machine_command() -> None:
    """Add, change, show and list machines."""


@machine_command.command("add")
@click.argument("owner")
@click.argument("model")
@click.option("--serial", type=WORDS, default="", help="Serial number.")
@click.option("--note", type=WORDS, default="", help="Anything worth knowing.")
@pass_app
def add(app: AppContext, owner: str, model: str, serial: str, note: str) -> None:
    """Add a machine of an owner. OWNER is a number, or any part of a name or phone that fits only
    one.

    Example: oilchart machine add Brandvold heron-3 --serial H3-20417
    """
    from oilchart.shop import machines

    with app.shop.book(writing=True) as book:
        record = machines.add(book, app.shop, owner=owner, model=model, serial=serial, note=note)
    click.echo(f"{record.number} {app.shop.list_of(record).name}, {record.owner.name}")


@machine_command.command("list")
@json_option
@pass_app
def list_machines(app: AppContext, as_json: bool) -> None:
    """List all machines.

    Example: oilchart machine list
    """
    from oilchart.papers.lists.machines import machines_json, machines_text

    with app.shop.book() as book:
        records = book.machines.all()
    text = machines_json(records) if as_json else machines_text(records, app.screen)
    click.echo(text, nl=False)


@machine_command.command("edit")
@click.argument("machine")
@click.option("--serial", type=WORDS, help="Serial number.")
@click.option("--note", type=WORDS, help="Anything worth knowing.")
@click.option(
    "--condition",
    "conditions",
    multiple=True,
    metavar="NAME",
    help="It works under this from now on, like lint or damp.",
)
@click.option(
    "--without", multiple=True, metavar="NAME", help="It does not work under this any more."
)
@click.option(
    "--drive",
    metavar="MECHANISM",
    help="This turns it now, instead of its model's motor, stand or crank.",
)
@click.option(
    "--add-mechanism", "added", multiple=True, metavar="MECHANISM", help="It has this besides."
)
@click.option(
    "--drop-mechanism", "dropped", multiple=True, metavar="MECHANISM", help="It has this no more."
)
@click.option("--as-model", is_flag=True, help="It has its model's mechanisms again.")
@click.option(
    "--book-interval",
    "by_book",
    multiple=True,
    metavar="POINT",
    help="The book's interval holds again, not the shorter one.",
)
@click.option(
    "--book-intervals",
    "all_by_book",
    is_flag=True,
    help="The book's intervals hold again for all its points.",
)
@pass_app
def edit(
    app: AppContext,
    machine: str,
    serial: str | None,
    note: str | None,
    conditions: tuple[str, ...],
    without: tuple[str, ...],
    drive: str | None,
    added: tuple[str, ...],
    dropped: tuple[str, ...],
    as_model: bool,
    by_book: tuple[str, ...],
    all_by_book: bool,
) -> None:
    """Change a machine's serial number or note, the conditions it works under (lint, dust, damp,
    heat, cold-room, fast-work), or the mechanisms in which it differs from its model; its list
    follows. Take back the shorter intervals that were accepted for it.

    \b
    Examples: oilchart machine edit M-014 --condition lint
              oilchart machine edit M-014 --drive treadle-stand
              oilchart machine edit M-014 --book-intervals
    """
    from oilchart.papers.wording import limit_words
    from oilchart.shop import machines

    if as_model and (drive or added or dropped):
        raise click.UsageError(
            "--as-model takes back what --drive, --add-mechanism and --drop-mechanism do: "
            "give one or the other"
        )
    change = MachineChange(
        serial=serial,
        note=note,
        conditions=conditions,
        without=without,
        mechanisms=MechanismChange(drive=drive, add=added, drop=dropped, as_model=as_model),
        by_book=by_book,
        all_by_book=all_by_book,
    )
    with app.shop.book(writing=True) as book:
        record = machines.edit(book, app.shop, machine, change)
    point_list = app.shop.list_of(record)
    under = f", works under: {', '.join(record.conditions)}" if record.conditions else ""
    click.echo(f"{record.number} {point_list.name}, {record.owner.name}{under}")
    if record.mechanisms or as_model:
        names = ", ".join(name for _, name in point_list.mechanisms)
        click.echo(f"Its {len(point_list.points)} points are now those of: {names}")
    if by_book or all_by_book:
        shorter = ", ".join(
            f"{limit.point} every {limit_words(limit)}" for limit in record.own_intervals
        )
        click.echo(
            f"Shorter on this machine: {shorter}."
            if shorter
            else "All its intervals are the book's."
        )


@machine_command.command("gone")
@click.argument("machine")
@click.argument("why", type=click.Choice(["sold", "scrapped", "moved-on"]))
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def gone(app: AppContext, machine: str, why: str, on: date | None) -> None:
    """Note that a machine is not looked after any more: sold, scrapped, or its owner moved on. Its
    history stays in the book.

    Example: oilchart machine gone M-014 sold
    """
    from oilchart.shop import machines

    with app.shop.book(writing=True) as book:
        record = machines.mark_gone(book, app.shop, machine, why, on or app.today)
    click.echo(
        f"{record.number} {record.owner.name}: gone ({why}); it falls due no more, "
        "and nobody is rung about it"
    )


@machine_command.command("back")
@click.argument("machine")
@pass_app
def back(app: AppContext, machine: str) -> None:
    """Look after a machine again that was noted as gone, by its number.

    Example: oilchart machine back M-014
    """
    from oilchart.shop import machines

    with app.shop.book(writing=True) as book:
        record = machines.restore(book, machine)
    name = app.shop.list_of(record).name
    click.echo(f"{record.number} {name}, {record.owner.name}: is looked after again")


@machine_command.command("show")
@click.argument("machine")
@pass_app
def show(app: AppContext, machine: str) -> None:
    """Tell a machine's whole story: what was said, its stays, its services as found and as left,
    calls, and what comes next.

    Example: oilchart machine show M-014
    """
    from oilchart.papers.lists.history import machine_story, story_text
    from oilchart.shop import standings

    with app.shop.book() as book:
        standing = standings.of_machine(book, app.shop, machine)
    click.echo(story_text(machine_story(standing), app.screen), nl=False)


@click.command(
    "use",
    epilog=f"\b\nWhat may be said:\n{written_examples()}\n\n\b\nHow:\n{written_grammar()}",
)
@click.argument("machine")
@click.argument("words", type=WORDS)
@click.option(
    "--on", "on", type=DAY, metavar="DATE", help="The day it was said; today if left out."
)
@pass_app
def use_command(app: AppContext, machine: str, words: str, on: date | None) -> None:
    """Record what an owner says about their sewing, in plain words; what was understood is said
    back.

    Several statements are split by ";".

    Example: oilchart use M-014 "5-8 hours a week; idle Jul-Aug"
    """
    from oilchart.papers.wording import heard
    from oilchart.shop import reports

    with app.shop.book(writing=True) as book:
        record, report = reports.add(book, app.shop, machine, words, on or app.today)
    click.echo(f"{record.number} {record.owner.name}: heard: {heard(report)}")
    if report.conversion:
        click.echo(f"Reckoned: {report.conversion}.")


@click.command("serviced")
@click.argument("machine")
@click.option(
    "--on", "on", type=DAY, metavar="DATE", help="The day of the work; today if left out."
)
@click.option(
    "--except", "excepted", multiple=True, metavar="POINT", help="A point that was not done."
)
@click.option(
    "--also", multiple=True, metavar="POINT", help="A point that was done besides those planned."
)
@click.option(
    "--found",
    multiple=True,
    type=FOUND,
    metavar="POINT=WORDS",
    help="As found, like hook-race-oil=dry,worn.",
)
@click.option(
    "--left",
    multiple=True,
    type=LEFT,
    metavar="POINT=WORD",
    help="As left, like belt-inspect=watch.",
)
@click.option("--freed", is_flag=True, help="It had been seized and was freed: it settles in now.")
@click.option(
    "--unsafe",
    type=NAME,
    metavar="WHY",
    help="It must not be plugged in: why. It gets no care card until checked.",
)
@click.option("--note", type=WORDS, default="", help="Anything worth keeping.")
@click.option(
    "--accept",
    is_flag=True,
    help="The shorter intervals proposed hold from now on, on this machine.",
)
@click.option(
    "--from",
    "file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Findings saved on the bench page: their day, and only what is ticked there was done.",
)
@pass_app
def serviced_command(
    app: AppContext,
    machine: str,
    on: date | None,
    excepted: tuple[str, ...],
    also: tuple[str, ...],
    found: tuple[tuple[str, tuple[Found, ...]], ...],
    left: tuple[tuple[str, Left], ...],
    freed: bool,
    unsafe: str | None,
    note: str,
    accept: bool,
    file: Path | None,
) -> None:
    """Record a service. Without --except every point planned for it was done; with --from, what was
    ticked on the bench page.

    \b
    as found  good, dry, gummed, seized, packed-with-lint, over-oiled, wrong-oil, rusty,
              worn, cracked, loose, out-of-time, missing, not-checked
    as left   good, watch, part-ordered, declined

    A point found dry or gummed before its limit asks for a shorter interval on this machine: 0.7 of
    what ran. The same command again with --accept says yes; the service is not recorded twice.

    \b
    Example: oilchart serviced M-014 --found hook-race-oil=dry --except lamp-inspect
             oilchart serviced M-014 --from M-014-2026-11-25-findings.json
    """
    from oilchart.shop import services

    notes = ServiceNotes(
        excepted=excepted,
        also=also,
        found=found,
        left=left,
        note=note,
        freed=freed,
        unsafe=unsafe or "",
        accept=accept,
    )
    day = on or app.today
    with app.shop.book(writing=True) as book:
        if file is not None:
            day, notes = _from_file(book, app, machine, file, on, notes)
        try:
            kept = services.record(book, app.shop, machine, day, notes)
        except ContradictoryNotes as error:
            raise OilchartError(_contradiction_words(error)) from None
    _tell_service(kept, day, notes)


def _tell_service(kept: ServiceKept, day: date, notes: ServiceNotes) -> None:
    """Say what was kept of a service, and what follows from it."""
    from oilchart.papers.wording import counted, day_words, service_words, settling_words

    record, schedule = kept.standing.record, kept.standing.schedule
    done = sum(finding.done for finding in kept.findings)
    served = f"served {day_words(day)}, {counted(done, 'point')} done."
    click.echo(f"{record.number} {record.owner.name}: {served}")
    if notes.ticked is not None and done < len(kept.findings):
        not_done = ", ".join(finding.point for finding in kept.findings if not finding.done)
        click.echo(f"Not done: {not_done}.")
    click.echo(service_words(schedule))
    _tell_proposals(kept, accepted=notes.accept)
    if notes.freed:
        click.echo(settling_words(schedule))
    if notes.unsafe:
        until = f"oilchart electrical {record.number} --by NAME --pass"
        click.echo(
            f"Do not plug in: {notes.unsafe}. Instead of a card it gets a sheet that says so, "
            f"until: {until}"
        )


def _tell_proposals(kept: ServiceKept, *, accepted: bool) -> None:
    from oilchart.papers.wording import proposal_words

    for proposal in kept.proposals:
        click.echo(proposal_words(proposal, accepted=accepted))
    if accepted and kept.proposals:
        number = kept.standing.record.number
        click.echo(f"Back to the book's: machine edit {number} --book-intervals")
    if accepted and not kept.proposals:
        click.echo(
            "No shorter interval is proposed: nothing was found dry or gummed before its limit, "
            "or a shorter one holds already."
        )


def _from_file(
    book: Book, app: AppContext, machine: str, file: Path, on: date | None, said: ServiceNotes
) -> tuple[date, ServiceNotes]:
    """The day and what is told of a service by a file of findings and the command line; where these
    differ is told on stderr."""
    from oilchart.shop import machines
    from oilchart.sources.files.findings_file import read_findings

    record = machines.named(book, machine)
    saved = read_findings(file, app.today)
    saved.check_belongs(record.number, record.model, on)
    notes, overruled = told_besides(saved.told, said)
    for each in overruled:
        click.echo(f"{record.number}: {overruled_words(each)}", err=True)
    return saved.on, notes


def _contradiction_words(error: ContradictoryNotes) -> str:
    """Which options contradict each other, at which point."""
    first, second = (NOTES_OPTIONS[part] for part in error.parts)
    given = f"{first} twice" if first == second else f"{first} and with {second}"
    return f'point "{error.point}": is given with {given}; keep one of them'


def overruled_words(overruled: Overruled) -> str:
    """In what an option differs from the list, and what counts."""
    option = NOTES_OPTIONS[overruled.part]
    if overruled.part is NotesPart.EXCEPTED:
        return f"{option} {overruled.point}: it is ticked on the list; it counts as not done"
    if overruled.part is NotesPart.ALSO:
        return f"{option} {overruled.point}: it is not ticked on the list; it counts as done"
    if overruled.part is NotesPart.NOTE:
        has = f"the list has another: {overruled.listed}"
        return f"{option}: {has}; that on the command line counts"
    has = f"on the list it is {overruled.listed}"
    return f"{option} {overruled.point}: {has}; {overruled.said} counts"
