"""Services: what was done, found and left, and the shorter intervals this proposes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from oilchart.cli.asking import at_terminal
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
from oilchart.errors import OilchartError
from oilchart.papers.wording import (
    counted,
    day_words,
    proposal_words,
    service_words,
    settling_words,
)
from oilchart.shop import machines, services
from oilchart.shop.services import KeptAlready, ServiceKept, WantsDayBack
from oilchart.sources.files.findings_file import read_findings

# the options by which a part of what is told of a service is given
NOTES_OPTIONS = {
    NotesPart.EXCEPTED: "--except",
    NotesPart.ALSO: "--also",
    NotesPart.ONLY: "--only",
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
    "--only",
    multiple=True,
    metavar="POINT",
    help="A point at which alone there was work: no whole service.",
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
@click.option(
    "--back-on",
    type=DAY,
    metavar="DATE",
    help="The day it comes back for what was left out and cannot wait.",
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
    only: tuple[str, ...],
    found: tuple[tuple[str, tuple[Found, ...]], ...],
    left: tuple[tuple[str, Left], ...],
    back_on: date | None,
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
             oilchart serviced M-014 --found 32=DG --except 44
             oilchart serviced M-014 --only 36
             oilchart serviced M-014 --from M-014-2026-11-25-findings.json
    """
    notes = ServiceNotes(
        excepted=excepted,
        also=also,
        only=only,
        found=found,
        left=left,
        note=note,
        freed=freed,
        unsafe=unsafe or "",
        accept=accept,
        back_on=back_on,
    )
    if only and (freed or file is not None):
        other = "--freed" if freed else "--from"
        raise click.UsageError(f"--only is no whole service: leave out --only or {other}")
    try:
        kept, day, notes = _recorded(app, machine, on, notes, file)
    except WantsDayBack as error:
        if not at_terminal():
            raise click.UsageError(f"{error}, by --back-on") from None
        click.echo(f"{error}.", err=True)
        back = click.prompt("Back on", type=DAY, err=True)
        kept, day, notes = _recorded(app, machine, on, replace(notes, back_on=back), file)
    _tell_service(kept, day, notes)


def _recorded(
    app: AppContext, machine: str, on: date | None, said: ServiceNotes, file: Path | None
) -> tuple[ServiceKept, date, ServiceNotes]:
    """Keep a service by what the command line and a file of findings say; where these differ is
    told on stderr.

    Returns:
        What was kept, its day and all that was told of it.
    """
    day = on or app.today
    overruled: tuple[Overruled, ...] = ()
    with app.shop.book(writing=True) as book:
        served = machines.found(book, machine)
        notes = services.named(app.shop, served.record, said)
        if file is not None:
            saved = read_findings(file, app.today)
            saved.check_belongs(served.record.number, served.record.model, on)
            day = saved.on
            notes, overruled = told_besides(saved.told, notes)
        try:
            kept = services.record(book, app.shop, served, day, notes)
        except ContradictoryNotes as error:
            raise OilchartError(_contradiction_words(error)) from None
        except KeptAlready as error:
            raise OilchartError(f"{error} by --note") from None
    for each in overruled:
        click.echo(f"{served.record.number}: {overruled_words(each)}", err=True)
    return kept, day, notes


def _tell_service(kept: ServiceKept, day: date, notes: ServiceNotes) -> None:
    """Say what was kept of a service, and what follows from it."""
    record, schedule = kept.standing.record, kept.standing.schedule
    done = sum(finding.done for finding in kept.findings)
    served = f"served {day_words(day)}, {counted(done, 'point')} done."
    click.echo(f"{record.number} {record.owner.name}: {served}")
    if notes.ticked is not None and any(each.planned > each.done for each in kept.findings):
        not_done = ", ".join(
            finding.point for finding in kept.findings if finding.planned and not finding.done
        )
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
