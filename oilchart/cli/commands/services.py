"""Services: what was done, found and left, and the shorter intervals this proposes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from oilchart.cli.asking import at_terminal, make_sure
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.lifting import TAKE_OFF, lifted_by_words
from oilchart.cli.options import all_option, danger_options
from oilchart.cli.service_types import CHECK, EXCEPT
from oilchart.cli.types import DAY_ANSWERED, DAY_TO_COME, LINE, NAME, TOLD, WORDS
from oilchart.cli.word_types import FOUND, LEFT
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import Danger, ElectricalCheck
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.service_notes import (
    ContradictoryNotes,
    NotesPart,
    Overruled,
    ServiceNotes,
    told_besides,
)
from oilchart.errors import OilchartError
from oilchart.papers.danger_words import danger_line
from oilchart.papers.wording import (
    counted,
    day_words,
    machine_numbers,
    proposal_words,
    service_words,
    settling_words,
)
from oilchart.shop import machines
from oilchart.shop.bench import services
from oilchart.shop.bench.safety import WantsRepair
from oilchart.shop.bench.services import ServiceKept, ToldService, WantsDayBack, WantsReason
from oilchart.shop.points_named import under_ids
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


MOST_NAMED = 12  # points that are named when they are added as a whole


@click.command("serviced")
@click.argument("machine")
@click.option(
    "--on", "on", type=DAY_ANSWERED, metavar="DATE", help="The day of the work; today if left out."
)
@click.option(
    "--ticked",
    type=WORDS,
    metavar="NUMBERS",
    help="Only these were done, by their numbers on the checklist, like 1-12,14.",
)
@click.option(
    "--edition",
    type=LINE,
    metavar="CODE",
    help="The list that the checklist names at its foot, like 4f2a91.",
)
@click.option(
    "--except",
    "excepted",
    multiple=True,
    type=EXCEPT,
    metavar="POINT[=WHY]",
    help="A point that was not done, and why.",
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
    "--check",
    type=CHECK,
    metavar="NAME=RESULT",
    help='The electrical test after closing, like "R. Amsel=pass, 2.1 megohm".',
)
@click.option(
    "--back-on",
    type=DAY_TO_COME,
    metavar="DATE",
    help="The day it comes back for what was left out and cannot wait.",
)
@click.option("--freed", is_flag=True, help="It had been seized and was freed: it settles in now.")
@danger_options
@click.option("--by", type=NAME, metavar="NAME", help="Who did the work.")
@click.option("--note", type=WORDS, default="", help="Anything worth keeping; it stays here.")
@click.option(
    "--for-owner", type=WORDS, default="", help="What the owner is to read on the record."
)
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
    help="Findings saved on the bench page: their day, and only what is ticked there was done. "
    "Where nothing is, what is noted is kept, and it is no service.",
)
@all_option
@click.option("--yes", is_flag=True, help="Write it unasked.")
@pass_app
def serviced_command(
    app: AppContext,
    machine: str,
    on: date | None,
    ticked: str | None,
    edition: str | None,
    excepted: tuple[tuple[str, str], ...],
    also: tuple[str, ...],
    only: tuple[str, ...],
    found: tuple[tuple[str, tuple[Found, ...]], ...],
    left: tuple[tuple[str, Left], ...],
    check: ElectricalCheck | None,
    back_on: date | None,
    freed: bool,
    unsafe: str | None,
    danger: Danger | None,
    by: str | None,
    note: str,
    for_owner: str,
    accept: bool,
    file: Path | None,
    of_all: bool,
    yes: bool,
) -> None:
    """Record a service, or more of the one of the same stay. With --ticked or --from what is ticked
    was done; with neither, every point planned for it, but those after --except: then it is asked
    first whether that is meant.

    \b
    as found  good, dry, gummed, seized, packed-with-lint, over-oiled, wrong-oil, rusty,
              worn, cracked, loose, out-of-time, missing, not-checked
    as left   good, watch, part-ordered, declined

    The electrical test counts as done by a named check alone: --check, or the command electrical. A
    point at which someone can be hurt is left out for a reason only: --except 3="no guard fitted".

    A point found dry or gummed before its limit asks for a shorter interval on this machine: 0.7 of
    what ran. The same command again with --accept says yes; the service is not recorded twice.

    \b
    Example: oilchart serviced M-014 --except lamp-inspect --check "R. Amsel=pass" --yes
             oilchart serviced M-014 --ticked 1-43,45-99 --found 32=DG
             oilchart serviced M-014 --only 44
             oilchart serviced M-014 --from M-014-2026-11-25-findings.json
             oilchart serviced OW-003 --all --check "R. Amsel=pass" --yes
    """
    _check_options(only, ticked, file, freed=freed)
    notes = ServiceNotes(
        excepted=tuple(point for point, _ in excepted),
        why=tuple((point, why) for point, why in excepted if why),
        also=also,
        only=only,
        found=found,
        left=left,
        note=note,
        for_owner=for_owner,
        ticked=None if ticked is None else tuple(_parts(ticked)),
        edition=edition or "",
        freed=freed,
        unsafe=unsafe or "",
        danger=danger,
        by=by or "",
        check=check,
        accept=accept,
        back_on=back_on,
    )
    if of_all:
        _check_for_all(notes, file)
        for each in _recorded_for_all(app, machine, on or app.today, notes, yes=yes):
            _tell_service(each, on or app.today, notes)
        return
    kept, day, notes = _recorded(app, machine, on, notes, file, yes=yes)
    _tell_service(kept, day, notes)


def _check_options(
    only: tuple[str, ...], ticked: str | None, file: Path | None, *, freed: bool
) -> None:
    """Raises click.UsageError where options contradict each other."""
    if only and (freed or file is not None or ticked is not None):
        other = "--freed" if freed else "--from" if file is not None else "--ticked"
        raise click.UsageError(f"--only is no whole service: leave out --only or {other}")
    if ticked is not None and not _parts(ticked):
        raise click.UsageError("--ticked: names no point; write numbers like 1-12,14")
    if file is not None and ticked is not None:
        raise click.UsageError("--from and --ticked: both tell what was ticked; leave one out")


def _check_for_all(notes: ServiceNotes, file: Path | None) -> None:
    """Raises click.UsageError where something is told of all machines that is of one of them."""
    of_one = (
        ("--from", file is not None),
        ("--ticked", notes.ticked is not None),
        ("--found", bool(notes.found)),
        ("--left", bool(notes.left)),
        ("--freed", notes.freed),
        ("--unsafe", bool(notes.unsafe)),
        ("--check with what was measured", notes.check is not None and bool(notes.check.reading)),
    )
    for option, given in of_one:
        if given:
            raise click.UsageError(f"{option}: is of one machine; tell it there, without --all")


def _recorded_for_all(
    app: AppContext, owner: str, day: date, said: ServiceNotes, *, yes: bool
) -> list[ServiceKept]:
    """Keep a service of each machine of an owner, all or none; where they are told as a whole it is
    asked first whether that is meant.

    Raises:
        click.UsageError: nobody is there to be asked; OilchartError
    """
    with app.shop.book() as book:
        theirs = machines.all_of(book, owner)
    if said.as_a_whole and not yes:
        numbers = ", ".join(machine_numbers(each.id for each in theirs))
        whose = f"{numbers}, {theirs[0].owner.name}"
        make_sure(f"{whose}: each service is told as a whole", "write them?")
    kept = []
    try:
        with _refusals(), app.shop.book(writing=True) as book:
            for each in theirs:
                served = machines.found(book, each.number)
                notes = services.named(app.shop, served.record, said)
                kept.append(services.record(book, app.shop, served, day, notes))
    except (WantsReason, WantsDayBack) as error:
        raise click.UsageError(
            f"{error}: for all by --except, --check and --back-on, or tell each by itself"
        ) from None
    return kept


def _parts(words: str) -> list[str]:
    return [part.strip() for part in words.replace(";", ",").split(",") if part.strip()]


def _recorded(
    app: AppContext,
    machine: str,
    on: date | None,
    said: ServiceNotes,
    file: Path | None,
    *,
    yes: bool,
) -> tuple[ServiceKept, date, ServiceNotes]:
    """Keep a service by what the command line and a file of findings say; with its day and all that
    was told of it. What is missing is asked for on a terminal, and refused without one; one that is
    told as a whole is shown first."""
    while True:
        try:
            expected = None
            if said.as_a_whole and file is None and not yes:
                expected = _shown(app, machine, on or app.today, said)
            with _refusals(), app.shop.book(writing=True) as book:
                served = machines.found(book, machine)
                day = on or app.today
                lines: list[str] = []
                notes = services.named(app.shop, served.record, said)
                if file is not None:
                    day, notes, lines = _from_file(app, served.record, file, on, notes)
                kept = services.record(book, app.shop, served, day, notes, expected=expected)
            for line in lines:
                click.echo(f"{served.record.number}: {line}", err=True)
            return kept, day, notes
        except WantsReason as error:
            if not at_terminal():
                first = error.points[0].number
                raise click.UsageError(f'{error}, by --except {first}="..."') from None
            said = _with_reasons(said, error)
        except WantsDayBack as error:
            if not at_terminal():
                tested = 'if it was tested, by --check "NAME=pass"; else ' * bool(error.tests)
                raise click.UsageError(f"{error}: {tested}by --back-on") from None
            said = _with_check_or_day(said, error)


def _shown(app: AppContext, machine: str, day: date, notes: ServiceNotes) -> ToldService:
    """A service as it is about to be written, once it was shown and meant."""
    with _refusals(), app.shop.book() as book:
        served = machines.found(book, machine)
        named = services.named(app.shop, served.record, notes)
        told = services.tell(book, app.shop, served, day, named)
    if any(not each.ticked for each in told.new):
        for line in _preview(told, day):
            click.echo(line, err=True)
        make_sure(f"{told.machine.number}: this is told as a whole", "write it?")
    return told


def _with_reasons(notes: ServiceNotes, error: WantsReason) -> ServiceNotes:
    """What is told of a service with the reasons that are asked for."""
    why = list(notes.why)
    for point in error.points:
        question = f"Why was {point.number} {point.where} left out"
        why.append((point.id, click.prompt(question, type=TOLD, err=True)))
    return replace(notes, why=tuple(why))


def _with_check_or_day(notes: ServiceNotes, error: WantsDayBack) -> ServiceNotes:
    """What is told of a service with the electrical check that is asked for, or the day on which
    the machine comes back."""
    tests = {name for each in error.tests for name in (each.id, str(each.number))}
    if tests and notes.check is None and tests.isdisjoint(notes.excepted):
        by = click.prompt(
            "Electrical test made by (empty: not made)",
            type=LINE,
            default="",
            show_default=False,
            err=True,
        )
        if by:
            passed = click.confirm("Was it passed", err=True)
            reading = click.prompt(
                "What was measured", type=LINE, default="", show_default=False, err=True
            )
            check = ElectricalCheck(on=date.min, by=by, passed=passed, reading=reading)
            return replace(notes, check=check)
    click.echo(f"{error}.", err=True)
    return replace(notes, back_on=click.prompt("Back on", type=DAY_TO_COME, err=True))


@contextmanager
def _refusals() -> Iterator[None]:
    """Refusals of what is told of a service, with the options named by which it is told."""
    try:
        yield
    except ContradictoryNotes as error:
        raise OilchartError(_contradiction_words(error)) from None
    except WantsRepair as error:
        raise OilchartError(f"{error} first: oilchart fixed MACHINE WHAT") from None


def _preview(told: ToldService, day: date) -> list[str]:
    """What a service told as a whole is about to write: the machine, what would count as done, what
    not and why."""
    record = told.machine
    named = sum(each.ticked for each in told.new)
    whole = counted(len(told.new) - named, "point")
    if told.told_before is not None and len(told.new) <= MOST_NAMED:
        whole = "; ".join(_left_out_words(told, each) for each in told.new if not each.ticked)
    more = f", and {counted(named, 'point')} named singly" if named else ""
    adds = ""
    if told.told_before is not None:
        adds = f", added to the service of {day_words(told.told_before.on)}"
    out = "; ".join(_left_out_words(told, each) for each in told.left_out) or "nothing"
    wait = f"; {counted(told.could_wait, 'point')} could wait" if told.could_wait else ""
    return [
        f"{record.number} {told.point_list.name}, {record.owner.name}: service of "
        f"{day_words(day)}{adds}",
        f"As done: {whole} as a whole{more}",
        f"Left out: {out}{wait}",
    ]


def _left_out_words(told: ToldService, finding: Finding) -> str:
    """A point that was left out, with why."""
    point = told.point_list.point(finding.point)
    if point is None:
        return finding.point
    why = finding.why or ("no named check" if point.proof is not None else "")
    return f"{point.number} {point.where}{f' ({why})' if why else ''}"


def _tell_service(kept: ServiceKept, day: date, notes: ServiceNotes) -> None:
    """Say what was kept of a service, and what follows from it."""
    record, schedule, told = kept.standing.record, kept.standing.schedule, kept.told
    done = sum(finding.done for finding in told.service.findings) + told.proven
    first = told.service.on
    since = f", first on {day_words(first)}" if first != day else ""
    served = f"served {day_words(day)}{since}, {counted(done, 'point')} done"
    if not done:
        served = f"nothing done on {day_words(day)}; what was noted is kept"
    click.echo(f"{record.number} {record.owner.name}: {served}.")
    if told.left_out:
        not_done = "; ".join(_left_out_words(told, each) for each in told.left_out)
        click.echo(f"Not done: {not_done}.")
    click.echo(service_words(schedule))
    _tell_proposals(kept, accepted=notes.accept)
    if notes.freed:
        click.echo(settling_words(schedule))
    if notes.check is not None and any(mark.lifted_on == day for mark in record.unsafe_marks):
        click.echo(TAKE_OFF)
    for mark in record.dangers:
        click.echo(f"{danger_line(mark)}. Instead of a card it gets a sheet that says so.")
        click.echo(lifted_by_words(record, mark))


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
    app: AppContext, record: MachineRecord, file: Path, on: date | None, said: ServiceNotes
) -> tuple[date, ServiceNotes, list[str]]:
    """The day and what is told of a service by a file of findings and the command line, and lines
    that say where these differ, and that the list was changed since."""
    saved = read_findings(file, app.today)
    saved.check_belongs(record.number, record.model, on)
    point_list = app.shop.list_for_owner_of(record)
    lines = []
    if saved.edition not in ("", point_list.edition.code):
        lines.append(
            f"its list was changed since this page was made, {saved.edition} then and "
            f"{point_list.edition.code} now; make the page anew for the next service"
        )
    notes, overruled = told_besides(under_ids(point_list, record, saved.told), said)
    return saved.on, notes, [*lines, *map(overruled_words, overruled)]


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
