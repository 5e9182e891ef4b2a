"""Stays in the shop, from check-in to collection, and checks of a machine's mains side."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import out_option
from oilchart.cli.papers import printed
from oilchart.cli.types import DAY, NAME, WORDS
from oilchart.core.records.job import ElectricalCheck

if TYPE_CHECKING:
    from oilchart.core.records.machine_record import MachineRecord
    from oilchart.sources.files.settings import Settings


@click.command("checkin")
@click.argument("machine")
@click.argument("complaint", type=NAME)
@click.option(
    "--left",
    "left_with",
    type=WORDS,
    default="",
    metavar="THINGS",
    help="What is left with it, like pedal,case,manual.",
)
@click.option("--serial", type=NAME, help="Its serial number.")
@click.option(
    "--use",
    "use",
    type=NAME,
    metavar="WORDS",
    help="What the owner says of their sewing, as for the command use.",
)
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@out_option
@pass_app
def checkin_command(
    app: AppContext,
    machine: str,
    complaint: str,
    left_with: str,
    serial: str | None,
    use: str | None,
    on: date | None,
    out: Path | None,
) -> None:
    """Note that a machine came into the shop, and what is wrong in its owner's words. There it
    rests, and nobody is rung about it.

    A tag is written for it, with its number as a code. On a screen the serial number, if it is not
    known, and the hours are asked for; an empty answer leaves them out.

    Example: oilchart checkin M-014 "makes loops underneath" --left pedal,case
    """
    from oilchart.shop import jobs, machines

    left = tuple(thing for thing in (part.strip() for part in left_with.split(",")) if thing)
    if sys.stdin.isatty() and sys.stdout.isatty():
        with app.shop.book() as book:
            record = machines.named(book, machine)
        if serial is None and not record.serial:
            serial = click.prompt("Serial number", default="", show_default=False) or None
        if use is None:
            use = click.prompt("How much do they sew", default="", show_default=False) or None
    told = jobs.CheckIn(
        on=on or app.today, complaint=complaint, left_with=left, serial=serial, use=use
    )
    with app.shop.book(writing=True) as book:
        settings = app.shop.settings_in(book)
        record, job = jobs.check_in(book, app.shop, machine, told)
    _tell(app, record, f"in the shop since {job.in_on}, job J-{job.id:03}: “{job.complaint}”")
    if job.left_with:
        click.echo(f"Left with it: {', '.join(job.left_with)}.")
    app.write_output(_tag(app, settings, record), out, f"{record.number}-tag.pdf", in_shop=True)
    open_questions = [
        *([] if record.serial else ["its serial number"]),
        *([] if use else ["the hours"]),
    ]
    if open_questions:
        click.echo(f"Still to ask: {' and '.join(open_questions)}.")


@click.command("waiting")
@click.argument("machine")
@click.argument("part", type=WORDS)
@pass_app
def waiting_command(app: AppContext, machine: str, part: str) -> None:
    """Note the part that a machine in the shop waits for; "" when it waits no more.

    Example: oilchart waiting M-012 "drive belt"
    """
    from oilchart.shop import jobs

    with app.shop.book(writing=True) as book:
        record = jobs.wait_for(book, machine, part)
    _tell(app, record, f"waits for: {part}" if part else "waits no more")


@click.command("ready")
@click.argument("machine")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def ready_command(app: AppContext, machine: str, on: date | None) -> None:
    """Note that a machine can be collected; whom to ring is said.

    Example: oilchart ready M-012
    """
    from oilchart.shop import jobs

    with app.shop.book(writing=True) as book:
        record = jobs.mark_ready(book, app.shop, machine, on or app.today)
    _tell(app, record, f"ready; ring {record.owner.name}, {record.owner.phone or 'no phone'}")
    _warn(record)


@click.command("collected")
@click.argument("machine")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@pass_app
def collected_command(app: AppContext, machine: str, on: date | None) -> None:
    """Note that a machine went back to its owner; its use starts again. What was left with it is
    said.

    Example: oilchart collected M-012
    """
    from oilchart.shop import jobs

    with app.shop.book(writing=True) as book:
        record = jobs.collect(book, app.shop, machine, on or app.today)
    job = record.jobs[-1]
    _tell(app, record, f"collected on {job.out_on}; its use starts again")
    if job.left_with:
        click.echo(f"To be handed back: {', '.join(job.left_with)}.")
    _warn(record)


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
@pass_app
def electrical_command(
    app: AppContext, machine: str, by: str, on: date | None, passed: bool
) -> None:
    """Record a check of a machine's mains side. A machine found unsafe gets its care card again
    once a check is passed.

    Example: oilchart electrical M-014 --by "R. Amsel" --pass
    """
    from oilchart.shop import jobs

    check = ElectricalCheck(on=on or app.today, by=by, passed=passed)
    with app.shop.book(writing=True) as book:
        record = jobs.record_check(book, app.shop, machine, check)
    _tell(
        app,
        record,
        f"electrical check {'passed' if passed else 'not passed: do not plug in'}, by {by}",
    )


def _tag(app: AppContext, settings: Settings, record: MachineRecord) -> bytes:
    from oilchart.papers.bench_tag.content import tag
    from oilchart.papers.bench_tag.pdf import tag_pdf, tag_words

    model = app.shop.list_of(record).name
    paper = tag(record, record.jobs[-1], model=model, shop=settings.shop_details)
    return printed(settings, f"tag {record.number}", tag_words(paper), lambda: tag_pdf(paper))


def _warn(record: MachineRecord) -> None:
    """Say of a machine found unsafe what goes with it."""
    if record.unsafe is not None:
        click.echo(
            f"Do not plug in: {record.unsafe.why}. "
            f"Hand the do-not-plug-in sheet over: oilchart card {record.number}"
        )


def _tell(app: AppContext, record: MachineRecord, words: str) -> None:
    click.echo(f"{record.number} {app.shop.list_of(record).name}, {record.owner.name}: {words}")
