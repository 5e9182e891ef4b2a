"""Schedules of one machine."""

from __future__ import annotations

import click

from oilchart import bounds
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option, model_options
from oilchart.cli.unregistered import machine_of
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.papers.tables.explain import explanation
from oilchart.papers.tables.months_ahead import months_ahead, months_ahead_text
from oilchart.papers.tables.schedule import schedule_json, schedule_text
from oilchart.papers.tables.services_ahead import service_lines


@click.command("schedule")
@click.argument("machine", required=False)
@model_options
@click.option(
    "--explain",
    "point",
    metavar="POINT",
    help="Print the whole reckoning of one point, step by step.",
)
@click.option(
    "--months",
    type=click.IntRange(1, bounds.MONTHS_LISTED),
    metavar="N",
    help="List what comes up in the next N months, too.",
)
@json_option
@pass_app
def schedule_command(
    app: AppContext,
    machine: str | None,
    unregistered: UnregisteredMachine,
    point: str | None,
    months: int | None,
    as_json: bool,
) -> None:
    """Show a machine's interval schedule: of a machine in the book, or of any machine of a model.

    \b
    Example: oilchart schedule M-014
             oilchart schedule M-014 --explain hook-race-oil
             oilchart schedule --model heron-3 --use "5-8 hours a week" --serviced 2026-11-20
    """
    if point is not None and (as_json or months is not None):
        raise click.UsageError(
            "--explain prints words about one point; leave out --json and --months"
        )
    of_whom, _ = machine_of(app, machine, unregistered)
    schedule, reckoning = of_whom.schedule, of_whom.reckoning
    ahead = None if months is None else months_ahead(schedule, reckoning, months)
    services = reckoning.services_ahead(schedule)
    if point is not None:
        back = f"machine edit {schedule.machine.number} --book-interval {point}"
        click.echo("\n".join(explanation(schedule, reckoning, point, way_back=back)))
    elif as_json:
        click.echo(schedule_json(schedule, services, ahead), nl=False)
    else:
        lines = service_lines(services, schedule.booked)
        text = schedule_text(schedule, app.screen, owner=of_whom.owner_name, services=lines)
        click.echo(text, nl=False)
        if ahead is not None:
            click.echo("\n" + months_ahead_text(ahead, app.screen), nl=False)
