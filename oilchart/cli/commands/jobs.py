"""Stays in the shop after check-in, and checks of a machine's mains side."""

from __future__ import annotations

from datetime import date

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import DAY, NAME, WORDS
from oilchart.core.records.job import ElectricalCheck
from oilchart.core.records.machine_record import MachineRecord
from oilchart.shop import jobs


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
@pass_app
def ready_command(app: AppContext, machine: str, on: date | None) -> None:
    """Note that a machine can be collected; whom to ring is said.

    Example: oilchart ready M-012
    """
    with app.shop.book(writing=True) as book:
        record = jobs.mark_ready(book, app.shop, machine, on or app.today)
        model = app.shop.list_of(record).name
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
    check = ElectricalCheck(on=on or app.today, by=by, passed=passed)
    with app.shop.book(writing=True) as book:
        record = jobs.record_check(book, app.shop, machine, check)
        model = app.shop.list_of(record).name
    tell(
        record,
        model,
        f"electrical check {'passed' if passed else 'not passed: do not plug in'}, by {by}",
    )


def _warn(record: MachineRecord) -> None:
    """Say of a machine found unsafe what goes with it."""
    if record.unsafe is not None:
        click.echo(
            f"Do not plug in: {record.unsafe.why}. "
            f"Hand the do-not-plug-in sheet over: oilchart card {record.number}"
        )


def tell(record: MachineRecord, model: str, words: str) -> None:
    """Say what was noted of a machine.

    Args:
        model: the name of its model.
    """
    click.echo(f"{record.number} {model}, {record.owner.name}: {words}")
