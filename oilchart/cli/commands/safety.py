"""Machines that could hurt someone, checks of their mains side, and repairs."""

from __future__ import annotations

from datetime import date

import click

from oilchart.cli.asking import at_terminal
from oilchart.cli.commands.jobs import tell
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.lifting import TAKE_OFF, lifted_by_words
from oilchart.cli.types import DAY, LINE, NAME, TOLD
from oilchart.cli.word_types import LEFT
from oilchart.core.records.findings import Left
from oilchart.core.records.job import Danger, ElectricalCheck, Repair
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.wanted_parts import wanted_parts
from oilchart.papers.danger_words import danger_line
from oilchart.shop import machines
from oilchart.shop.bench import repairs, safety
from oilchart.shop.bench.safety import WantsRepair


@click.command("unsafe")
@click.argument("machine")
@click.argument("why", type=TOLD)
@click.option("--mechanical", is_flag=True, help="Not its mains side: it must not be used at all.")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def unsafe_command(
    app: AppContext, machine: str, why: str, mechanical: bool, on: date | None
) -> None:
    """Note that a machine must not be plugged in, and why; with --mechanical, or where it has no
    plug, that it must not be used. Every paper and list says so until it is put right.

    \b
    Example: oilchart unsafe M-014 "the lead crumbles at the plug"
             oilchart unsafe M-014 "hinge pin cracked" --mechanical
    """
    danger = Danger.MECHANICAL if mechanical else None
    with app.shop.book(writing=True) as book:
        record = safety.mark_unsafe(book, app.shop, machine, why, on or app.today, danger)
        model = app.shop.list_of(record).name
    for mark in record.dangers:
        tell(record, model, danger_line(mark))
        click.echo(lifted_by_words(record, mark))
    click.echo(
        f"Hang the warning on it: oilchart card {record.number}"
        + (f", and its tag anew: oilchart tag {record.number}" if record.open_job else "")
    )


@click.command("safe")
@click.argument("machine")
@click.argument("put_right", type=TOLD)
@click.option("--by", type=NAME, required=True, metavar="NAME", help="Who put it right.")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def safe_command(app: AppContext, machine: str, put_right: str, by: str, on: date | None) -> None:
    """Note that a machine that must not be used was put right, and how. One that must not be
    plugged in is lifted by the command electrical alone.

    Example: oilchart safe M-014 --by "J. Tarn" "new hinge pin fitted"
    """
    with app.shop.book(writing=True) as book:
        before = machines.named(book, machine)
        record = safety.make_safe(book, app.shop, machine, put_right, by, on or app.today)
        model = app.shop.list_of(record).name
    tell(record, model, f"put right by {by}: {put_right}")
    _tell_lifted(before, record)


@click.command("fixed")
@click.argument("machine")
@click.argument("put_right", type=TOLD)
@click.option("--part", type=LINE, default="", help="What was fitted; it waits for it no more.")
@click.option(
    "--point",
    "points",
    multiple=True,
    type=LEFT,
    metavar="POINT=WORD",
    help="How a point was left by it, like belt-inspect=good.",
)
@click.option("--by", type=NAME, metavar="NAME", help="Who did the work.")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def fixed_command(
    app: AppContext,
    machine: str,
    put_right: str,
    part: str,
    points: tuple[tuple[str, Left], ...],
    by: str | None,
    on: date | None,
) -> None:
    """Record what was put right at a machine: a repair, which is no service and moves no day.

    Example: oilchart fixed M-012 "winder runs again" --part "winder tyre"
    """
    repair = Repair(id=0, on=on or app.today, words=put_right, part=part, left=points, by=by or "")
    with app.shop.book(writing=True) as book:
        record, waited = repairs.record(book, app.shop, machine, repair)
        wanted = wanted_parts(record, app.shop.list_of(record))
        model = app.shop.list_of(record).name
    fitted = f"; fitted: {part}" if part else ""
    tell(record, model, f"put right: {put_right}{fitted}")
    if waited is not None:
        click.echo(f"It waits no more for: {waited.words}.")
    elif waits := [each.words for each in wanted if not each.point]:
        click.echo(f"Still wanted for it: {', '.join(waits)}.")
    ordered = [each.point for each in wanted if each.point]
    if part and ordered:
        click.echo(
            f"Still on order: {', '.join(ordered)}; if it was that: --point {ordered[0]}=good"
        )
    for mark in record.dangers:
        click.echo(f"{danger_line(mark)}. {lifted_by_words(record, mark)}")


@click.command("electrical")
@click.argument("machine")
@click.option(
    "--by",
    "by",
    type=NAME,
    required=True,
    metavar="NAME",
    help="Who checked it: a person qualified for mains work.",
)
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@click.option("--pass/--fail", "passed", required=True, help="Whether it passed.")
@click.option(
    "--reading", type=LINE, default="", metavar="WORDS", help='What was measured: "2.1 megohm".'
)
@click.option(
    "--before",
    is_flag=True,
    help="Before it was first plugged in: a finding, no proof of the work.",
)
@click.option(
    "--put-right",
    type=LINE,
    default="",
    metavar="WORDS",
    help="Of a machine found unsafe: what was put right, where the command fixed did not say it.",
)
@pass_app
def electrical_command(
    app: AppContext,
    machine: str,
    by: str,
    on: date | None,
    passed: bool,
    reading: str,
    before: bool,
    put_right: str,
) -> None:
    """Record a check of a machine's mains side. The one after closing is the electrical test that a
    service asks for. A machine found unsafe may be plugged in again once something was put right
    and a check after that was passed.

    \b
    Example: oilchart electrical M-014 --by "R. Amsel" --pass --reading "2.1 megohm"
             oilchart electrical M-014 --by "R. Amsel" --fail --before
    """
    check = ElectricalCheck(
        on=on or app.today, by=by, passed=passed, reading=reading, before=before
    )

    def keep(put_right: str) -> tuple[MachineRecord, MachineRecord, str]:
        with app.shop.book(writing=True) as book:
            known = machines.named(book, machine)
            record = safety.record_check(book, app.shop, machine, check, put_right)
            return known, record, app.shop.list_of(record).name

    try:
        known, record, model = keep(put_right)
    except WantsRepair as error:
        if not at_terminal():
            raise click.UsageError(f"{error}, by --put-right") from None
        click.echo(f"{error}.", err=True)
        known, record, model = keep(click.prompt("What was put right", type=TOLD, err=True))
    told = f"electrical check {'passed' if passed else 'not passed: do not plug in'}, by {by}"
    first = " before it was first plugged in" if before else ""
    tell(record, model, f"{told}{first}{f'; {reading}' if reading else ''}")
    _tell_lifted(known, record)


def _tell_lifted(before: MachineRecord, after: MachineRecord) -> None:
    """Say what is to be done once a danger was lifted, and what still holds."""
    if len(after.dangers) < len(before.dangers):
        click.echo(TAKE_OFF)
    for mark in after.dangers:
        click.echo(f"{danger_line(mark)}. {lifted_by_words(after, mark)}")
