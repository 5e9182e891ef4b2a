"""Stays in the shop after check-in."""

from __future__ import annotations

from datetime import date

import click

from oilchart.cli.asking import at_terminal
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import DAY, WORDS
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError
from oilchart.papers.danger_words import danger_line
from oilchart.shop.bench import jobs
from oilchart.shop.bench.jobs import NothingRecorded


@click.command("waiting")
@click.argument("machine")
@click.argument("part", type=WORDS)
@pass_app
def waiting_command(app: AppContext, machine: str, part: str) -> None:
    """Note the part that a machine in the shop waits for; "" when it waits no more.

    Example: oilchart waiting M-012 "drive belt"
    """
    with app.shop.book(writing=True) as book:
        record = jobs.wait_for(book, machine, part)
        model = app.shop.list_of(record).name
    tell(record, model, f"waits for: {part}" if part else "waits no more")


@click.command("ready")
@click.argument("machine")
@click.option("--on", "on", type=DAY, metavar="DATE", help="The day; today if left out.")
@click.option(
    "--nothing-done", is_flag=True, help="Nothing was recorded of its stay, and that is right."
)
@pass_app
def ready_command(app: AppContext, machine: str, on: date | None, nothing_done: bool) -> None:
    """Note that a machine can be collected; whom to ring is said. Where nothing was recorded of its
    stay it is asked first.

    Example: oilchart ready M-012 --nothing-done
    """

    def mark(nothing_done: bool) -> tuple[MachineRecord, str]:
        with app.shop.book(writing=True) as book:
            record = jobs.mark_ready(
                book, app.shop, machine, on or app.today, nothing_done=nothing_done
            )
            return record, app.shop.list_of(record).name

    try:
        record, model = mark(nothing_done)
    except NothingRecorded as error:
        if not at_terminal():
            raise click.UsageError(f"{error}; if that is right, give --nothing-done") from None
        if not click.confirm(f"{error}; is that right?", err=True):
            raise OilchartError("nothing was changed") from None
        record, model = mark(True)
    tell(record, model, f"ready; ring {record.owner.name}, {record.owner.phone or 'no phone'}")
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
    with app.shop.book(writing=True) as book:
        record = jobs.collect(book, app.shop, machine, on or app.today)
        model = app.shop.list_of(record).name
    job = record.jobs[-1]
    tell(record, model, f"collected on {job.out_on}; its use starts again")
    if job.left_with:
        click.echo(f"To be handed back: {', '.join(job.left_with)}.")
    _warn(record)


def _warn(record: MachineRecord) -> None:
    """Say of a machine found unsafe what goes with it."""
    for mark in record.dangers:
        click.echo(
            f"{danger_line(mark)}. Hand the sheet that says so over: oilchart card {record.number}"
        )


def tell(record: MachineRecord, model: str, words: str) -> None:
    """Say what was noted of a machine.

    Args:
        model: the name of its model.
    """
    click.echo(f"{record.number} {model}, {record.owner.name}: {words}")
