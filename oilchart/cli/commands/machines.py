"""Machines, and what their owners say of their use."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import click

from oilchart import bounds
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.hearing import heard_out, tell_heard
from oilchart.cli.mending import tell_mended
from oilchart.cli.options import all_option, as_said_option, json_option
from oilchart.cli.serials import tell_alike
from oilchart.cli.service_types import EXCEPT
from oilchart.cli.types import CALLED, DAY, DAY_ANSWERED, LINE, WORDS
from oilchart.core.point_lists.mechanisms import MechanismChange
from oilchart.core.records.machine_record import MachineChange, MachineRecord, NewMachine
from oilchart.papers.danger_words import danger_line
from oilchart.papers.heard_words import effect_words, heard
from oilchart.papers.tables.history import gone_machine_story, machine_story, story_text
from oilchart.papers.tables.machines import gone_machines_text, machines_json, machines_text
from oilchart.papers.wording import (
    counted,
    day_words,
    limit_words,
    machine_numbers,
    plain_day,
)
from oilchart.shop import machines, reports, standings
from oilchart.shop.corrections import machines as corrections
from oilchart.shop.corrections.machines import ModelCorrected
from oilchart.shop.reports import Told
from oilchart.sources.words.grammar import HOW_THEY_JOIN, written_examples, written_grammar


@click.group("machine")
def machine_command() -> None:
    """Add, change, show and list machines."""


@machine_command.command("add")
@click.argument("owner")
@click.argument("model", default="")
@click.option("--serial", type=LINE, default="", help="Serial number.")
@click.option(
    "--as",
    "name",
    type=CALLED,
    default="",
    metavar="NAME",
    help="Its real name, as on its badge: every paper calls it so.",
)
@click.option("--mark", type=CALLED, default="", help='Which it is, like "Room 4, no. 7".')
@click.option("--note", type=WORDS, default="", help="Anything worth knowing.")
@click.option(
    "--count",
    type=click.IntRange(1, bounds.MACHINES_AT_ONCE),
    default=1,
    metavar="N",
    help="So many alike; their marks are numbered.",
)
@pass_app
def add(app: AppContext, owner: str, count: int, **told: str) -> None:
    """Add a machine of an owner, or several alike. OWNER is a number, or any part of a name or
    phone that fits only one; MODEL is a list's id or its printed name: one of models. Without it
    the machine is one not seen yet: it can be booked, and its model is decided on the bench.

    \b
    Example: oilchart machine add Brandvold heron-3 --serial H3-20417
             oilchart machine add Brandvold family-zigzag-motor --as "Marlett Fifty"
             oilchart machine add OW-003 --as "grandmother's treadle"
             oilchart machine add OW-003 "Heron 3" --count 20 --mark "Room 4"
    """
    if count > 1 and told["serial"]:
        raise click.UsageError(
            "--serial: is of one machine; leave out --count, or tell each its own later: "
            "machine edit --serial"
        )
    if not told["model"] and not told["name"]:
        raise click.UsageError("name a model, or by --as what its owner calls it")
    with app.shop.book(writing=True) as book:
        added = machines.add(book, app.shop, owner, NewMachine(**told), count)
        record = added[0]
        name = app.shop.list_of(record).name
        alike = machines.with_that_serial(book, record)
        twins = [] if count > 1 else machines.of_that_model(book, record)
    if count > 1:
        name = f"{app.shop.list_of(replace(record, mark='')).name}, {counted(count, 'machine')}"
    numbers = ", ".join(machine_numbers(each.id for each in added))
    click.echo(f"{numbers} {name}, {record.owner.name}")
    tell_alike(record.serial, alike)
    for twin in twins:
        click.echo(
            f"{twin.number} is a {app.shop.list_of(twin).name} of {twin.owner.name}, too; to tell "
            "them apart: oilchart machine edit MACHINE --mark or --serial",
            err=True,
        )


@machine_command.command("list")
@click.option("--gone", is_flag=True, help="Those that are not looked after any more.")
@json_option
@pass_app
def list_machines(app: AppContext, gone: bool, as_json: bool) -> None:
    """List all machines, or those that are gone.

    \b
    Examples: oilchart machine list
              oilchart machine list --gone
    """
    with app.shop.book() as book:
        records = book.machines.all_gone() if gone else book.machines.all()
    if as_json:
        text = machines_json(records)
    else:
        text = (gone_machines_text if gone else machines_text)(records, app.screen)
    click.echo(text, nl=False)


@machine_command.command("edit")
@click.argument("machine")
@click.option(
    "--owner", metavar="OWNER", help="It was another's all the time, and written down wrongly."
)
@click.option("--model", metavar="MODEL", help="It was of another model, and written down wrongly.")
@click.option("--serial", type=LINE, help="Serial number.")
@click.option(
    "--as",
    "name",
    type=CALLED,
    metavar="NAME",
    help='Its real name, as on its badge; "" for its list\'s.',
)
@click.option("--mark", type=CALLED, help='Which it is, like "Room 4, no. 7"; "" for none.')
@click.option("--note", type=WORDS, help="Anything worth knowing; added to its notes.")
@click.option(
    "--for-owner", type=WORDS, help="The same, for its owner to read on the record of the stay."
)
@click.option(
    "--has-no",
    "has_not",
    multiple=True,
    type=EXCEPT,
    metavar="POINT[=WHY]",
    help="A point of its list that it has not got, like a lamp.",
)
@click.option("--has", multiple=True, metavar="POINT", help="It has got that point after all.")
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
    owner: str | None,
    model: str | None,
    serial: str | None,
    name: str | None,
    mark: str | None,
    note: str | None,
    for_owner: str | None,
    has_not: tuple[tuple[str, str], ...],
    has: tuple[str, ...],
    conditions: tuple[str, ...],
    without: tuple[str, ...],
    drive: str | None,
    added: tuple[str, ...],
    dropped: tuple[str, ...],
    as_model: bool,
    by_book: tuple[str, ...],
    all_by_book: bool,
) -> None:
    """Change a machine's serial number, its real name or its mark, add a note, change the
    conditions it works under (lint, dust, damp, heat, cold-room, fast-work), the mechanisms in
    which it differs from its model, or the points that it has not got; its list follows. Take back
    the shorter intervals that were accepted for it. Mend the owner or the model that was written
    down wrongly: what it was and what it is now are said.

    \b
    Examples: oilchart machine edit M-014 --condition lint
              oilchart machine edit M-014 --as "Marlett Fifty" --mark "Room 4, no. 7"
              oilchart machine edit M-014 --drive treadle-stand
              oilchart machine edit M-014 --has-no lamp-inspect="none fitted"
              oilchart machine edit M-014 --book-intervals
    """
    if as_model and (drive or added or dropped):
        raise click.UsageError(
            "--as-model takes back what --drive, --add-mechanism and --drop-mechanism do: "
            "give one or the other"
        )
    change = MachineChange(
        serial=serial,
        name=name,
        mark=mark,
        note=note,
        for_owner=for_owner,
        has_not=has_not,
        has=has,
        conditions=conditions,
        without=without,
        mechanisms=MechanismChange(drive=drive, add=added, drop=dropped, as_model=as_model),
        by_book=by_book,
        all_by_book=all_by_book,
    )
    with app.shop.book(writing=True) as book:
        before = machines.named(book, machine)
        remodelled = None
        if owner is not None:
            corrections.correct_owner(book, app.shop, before.number, owner)
        if model is not None:
            remodelled = corrections.correct_model(book, app.shop, before.number, model)
        record = machines.edit(book, app.shop, before.number, change)
        point_list = app.shop.list_of(record)
        alike = [] if serial is None else machines.with_that_serial(book, record)
    _tell_corrected(before, record, remodelled)
    under = f", works under: {', '.join(record.conditions)}" if record.conditions else ""
    click.echo(f"{record.number} {point_list.name}, {record.owner.name}{under}")
    tell_alike(record.serial, alike)
    if record.mechanisms or as_model:
        names = ", ".join(name for _, name in point_list.mechanisms)
        click.echo(f"Its {len(point_list.points)} points are now those of: {names}")
    if record.without and (has_not or has):
        missing = "; ".join(
            f"{each.point}{f' ({each.why})' if each.why else ''}" for each in record.without
        )
        click.echo(f"Without: {missing}.")
    if by_book or all_by_book:
        shorter = ", ".join(
            f"{limit.point} every {limit_words(limit)}" for limit in record.own_intervals
        )
        click.echo(
            f"Shorter on this machine: {shorter}."
            if shorter
            else "All its intervals are the book's."
        )


def _tell_corrected(
    before: MachineRecord,
    record: MachineRecord,
    remodelled: ModelCorrected | None,
) -> None:
    """Say what of a machine was mended, a line each."""
    was, now = before.owner, record.owner
    tell_mended(record.number, "owner", f"{was.number} {was.name}", f"{now.number} {now.name}")
    tell_mended(record.number, "model", before.model, record.model)
    if before.name:
        tell_mended(record.number, "name", before.name, record.name)
    if before.mark:
        tell_mended(record.number, "mark", before.mark, record.mark)
    if before.serial:
        tell_mended(record.number, "serial number", before.serial, record.serial)
    if remodelled is None:
        return
    as_model = f"those of {remodelled.list_name}"
    tell_mended(record.number, "mechanisms", ", ".join(before.mechanisms) or as_model, as_model)
    for report, anew in remodelled.heard_anew:
        tell_mended(f"{record.number}: “{report.words}”", "heard", heard(report), heard(anew))
    dangers = {mark.id: danger_line(mark) for mark in before.dangers}
    for mark in remodelled.after.dangers:
        tell_mended(record.number, "danger", dangers[mark.id], danger_line(mark))
    if remodelled.lost:
        click.echo(
            f"Noted at its services, and not on the list of {remodelled.list_name}: "
            f"{', '.join(remodelled.lost)}: kept in the book, and counted for nothing."
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
    with app.shop.book(writing=True) as book:
        record = machines.restore(book, machine)
        name = app.shop.list_of(record).name
    click.echo(f"{record.number} {name}, {record.owner.name}: is looked after again")


@machine_command.command("handed-on")
@click.argument("machine")
@click.argument("owner")
@click.option("--on", "on", type=DAY_ANSWERED, metavar="DATE", help="The day; today if left out.")
@pass_app
def handed_on(app: AppContext, machine: str, owner: str, on: date | None) -> None:
    """Note that a machine has another owner now; one that is gone is looked after again. The story
    of its work is kept; the earlier owner's words, the conditions it worked under, bookings and
    calls end.

    Example: oilchart machine handed-on M-014 Tarrowby
    """
    with app.shop.book(writing=True) as book:
        handed = machines.hand_on(book, app.shop, machine, owner, on or app.today)
        after = handed.after
        name = app.shop.list_of(after).name
    click.echo(
        f"{after.number} {name}: handed on from {handed.before.owner.name} to "
        f"{after.owner.name}, {day_words(on or app.today)}"
    )
    if handed.before.conditions:
        click.echo(f"Works no more under: {', '.join(handed.before.conditions)}.")
    if handed.before.booked is not None:
        click.echo(f"The day booked, {day_words(handed.before.booked)}, is free again.")
    if not after.reports:
        click.echo(f"Still to ask: the hours: oilchart use {after.number} WORDS")


@machine_command.command("show")
@click.argument("machine")
@pass_app
def show(app: AppContext, machine: str) -> None:
    """Tell a machine's whole story: what was said, its stays, its services as found and as left,
    calls, and what comes next; of one that is gone, named by its number, too.

    Example: oilchart machine show M-014
    """
    with app.shop.book() as book:
        gone = machines.gone_machine(book, app.shop, machine)
        story = (
            machine_story(standings.of_machine(book, app.shop, machine))
            if gone is None
            else gone_machine_story(gone.record, gone.point_list, gone.outcomes)
        )
    click.echo(story_text(story, app.screen), nl=False)


@click.command(
    "use",
    epilog=f"\b\nWhat may be said:\n{written_examples()}\n\n{HOW_THEY_JOIN}\n\n"
    f"\b\nHow:\n{written_grammar()}",
)
@click.argument("machine")
@click.argument("words", type=WORDS)
@click.option(
    "--on", "on", type=DAY, metavar="DATE", help="The day it was said; today if left out."
)
@click.option(
    "--correct",
    is_flag=True,
    help="It was misheard, or a meter misread: in the place of what was written down on that day.",
)
@as_said_option
@all_option
@pass_app
def use_command(
    app: AppContext,
    machine: str,
    words: str,
    on: date | None,
    correct: bool,
    as_said: bool,
    of_all: bool,
) -> None:
    """Record what an owner says about their sewing, in their own words; what was understood is said
    back.

    It is said back by the week, with what it changes.
    What is missing is asked for. Nothing is guessed: words that are not clear are kept as they were
    said with --as-said, change nothing, and are asked about again.

    \b
    Example: oilchart use M-014 "5-8 hours a week; idle Jul-Aug"
             oilchart use M-014 "a couple of evenings a week, but nothing in July"
             oilchart use M-001 --correct "4-7 hours a week" --on 2025-11-20
             oilchart use OW-003 --all "6 hours a week; idle Jul-Aug"
    """
    day = on or app.today
    if of_all:
        if correct:
            raise click.UsageError("--correct: mends what was said of one machine; leave out --all")
        _record_for_all(app, machine, words, day, as_said=as_said)
        return

    def keep(said: str, is_as_said: bool) -> Told:
        with app.shop.book(writing=True) as book:
            if correct:
                return reports.correct(book, app.shop, machine, said, day, as_said=is_as_said)
            return reports.add(book, app.shop, machine, said, day, as_said=is_as_said)

    told = heard_out(words, keep, as_said=as_said)
    if told.before is not None:
        whose = f"{told.record.number}: said on {plain_day(day)}"
        tell_mended(whose, "words", f"“{told.before.words}”", f"“{told.report.words}”")
    tell_heard(f"{told.record.number} {told.record.owner.name}", told)


def _record_for_all(app: AppContext, owner: str, words: str, day: date, *, as_said: bool) -> None:
    """Record what an owner says of all their machines; what was understood is said back, once for
    those of which it is the same."""

    def keep(said: str, is_as_said: bool) -> list[Told]:
        with app.shop.book(writing=True) as book:
            return reports.add_for_all(book, app.shop, owner, said, day, as_said=is_as_said)

    alike: dict[tuple[str, str, str], list[Told]] = {}
    for told in heard_out(words, keep, as_said=as_said):
        said = (
            heard(told.report),
            told.report.conversion,
            effect_words(told.schedule_before, told.schedule),
        )
        alike.setdefault(said, []).append(told)
    for of_them in alike.values():
        numbers = ", ".join(machine_numbers(told.record.id for told in of_them))
        tell_heard(f"{numbers} {of_them[0].record.owner.name}", of_them[0])
