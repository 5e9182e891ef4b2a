"""Services: what was done, found and left, and the shorter intervals this proposes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import DAY, TOLD, WORDS
from oilchart.cli.word_types import FOUND, LEFT
from oilchart.core.records.findings import (
    ContradictoryNotes,
    Found,
    Left,
    NotesPart,
    Overruled,
    ServiceNotes,
    told_besides,
)
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError
from oilchart.papers.wording import (
    counted,
    day_words,
    proposal_words,
    service_words,
    settling_words,
)
from oilchart.shop import machines, services
from oilchart.shop.services import KeptAlready, ServiceKept
from oilchart.sources.files.findings_file import read_findings

# the options by which a part of what is told of a service is given
NOTES_OPTIONS = {
    NotesPart.EXCEPTED: "--except",
    NotesPart.ALSO: "--also",
    NotesPart.FOUND: "--found",
    NotesPart.LEFT: "--left",
    NotesPart.NOTE: "--note",
}


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
    type=TOLD,
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
        served = machines.found(book, machine)
        if file is not None:
            day, notes = _from_file(served.record, app.today, file, on, notes)
        try:
            kept = services.record(book, app.shop, served, day, notes)
        except ContradictoryNotes as error:
            raise OilchartError(_contradiction_words(error)) from None
        except KeptAlready as error:
            raise OilchartError(f"{error} by --note") from None
    _tell_service(kept, day, notes)


def _tell_service(kept: ServiceKept, day: date, notes: ServiceNotes) -> None:
    """Say what was kept of a service, and what follows from it."""
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
    say_yes = "" if accepted else " Say yes with the same command and --accept."
    for proposal in kept.proposals:
        click.echo(f"{proposal_words(proposal, accepted=accepted)}{say_yes}")
    if accepted and kept.proposals:
        number = kept.standing.record.number
        click.echo(f"Back to the book's: machine edit {number} --book-intervals")
    if accepted and not kept.proposals:
        click.echo(
            "No shorter interval is proposed: nothing was found dry or gummed before its limit, "
            "or a shorter one holds already."
        )


def _from_file(
    record: MachineRecord, today: date, file: Path, on: date | None, said: ServiceNotes
) -> tuple[date, ServiceNotes]:
    """The day and what is told of a service by a file of findings and the command line; where these
    differ is told on stderr."""
    saved = read_findings(file, today)
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
