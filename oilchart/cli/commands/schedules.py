"""Schedules of one machine, and the machines that are due."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option, model_options
from oilchart.cli.types import NAME, STRETCH
from oilchart.cli.unregistered import machine_of
from oilchart.core.due.due_dates import DUE, PRESSING, State
from oilchart.core.planning.standing import Standing
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.papers.tables.due import due_csv, due_json, due_text, summary
from oilchart.papers.tables.explain import explanation
from oilchart.papers.tables.months_ahead import months_ahead, months_ahead_text
from oilchart.papers.tables.schedule import schedule_json, schedule_text
from oilchart.papers.tables.services_ahead import service_lines
from oilchart.papers.wording import counted
from oilchart.shop import standings

FOUND_SOME = 3  # exit code of `due --exit-code`


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
    type=click.IntRange(1, 120),
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
        click.echo("\n".join(explanation(schedule, reckoning, point)))
    elif as_json:
        click.echo(schedule_json(schedule, services, ahead), nl=False)
    else:
        lines = service_lines(services, schedule.booked)
        text = schedule_text(schedule, app.screen, owner=of_whom.owner_name, services=lines)
        click.echo(text, nl=False)
        if ahead is not None:
            click.echo("\n" + months_ahead_text(ahead, app.screen), nl=False)


@click.command("due")
@click.option(
    "--within",
    type=STRETCH,
    metavar="DAYS",
    help="Machines likely due within these days, like 30d or 4w.",
)
@click.option("--model", metavar="MODEL", help="Machines of this model only.")
@click.option(
    "--owner",
    type=NAME,
    metavar="OWNER",
    help="This owner's machines only: number, or part of name or phone.",
)
@click.option("--all", "everything", is_flag=True, help="All machines, those in time too.")
@click.option(
    "--lapsed",
    is_flag=True,
    help="The machines of owners who let two rounds of calls pass; they are on no other list.",
)
@json_option
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV: commas, with a header line.")
@click.option(
    "--exit-code",
    "exits",
    is_flag=True,
    help="Exit 3 if one listed is overdue, likely or maybe overdue, or wants its first service; "
    "with --within also if one is due soon.",
)
@pass_app
def due_command(
    app: AppContext, /, lapsed: bool, as_json: bool, as_csv: bool, exits: bool, **asked: Any
) -> None:
    """List the machines that are overdue and due soon, the worst first.

    Within one state those come first whose chance of being past a limit, times the harm that
    running dry does there, is greatest.

    \b
    Example: oilchart due --within 30d
             oilchart due --model heron-3 --csv
             oilchart due --lapsed
    """
    if as_json and as_csv:
        raise click.UsageError("--json and --csv: give one of them")
    within, everything = asked["within"], asked["everything"]
    with app.shop.book() as book:
        worst = standings.worst(book, app.shop, within, model=asked["model"], owner=asked["owner"])
    on_list = [
        each
        for each in worst
        if (each.lapsed_on is not None) is lapsed or (everything and not lapsed)
    ]
    listed = [
        each
        for each in on_list
        if everything or each.record.unsafe or each.schedule.state is not State.IN_TIME
    ]
    if as_json or as_csv:
        click.echo(due_json(listed) if as_json else due_csv(listed), nl=False)
    else:
        if listed:
            click.echo(due_text(listed, app.screen), nl=False)
        _sum_up(on_list, others=len(worst) - len(on_list), lapsed=lapsed)
    pressing = PRESSING if within is None else DUE
    if exits and any(each.schedule.state in pressing for each in listed):
        raise click.exceptions.Exit(FOUND_SOME)


def _sum_up(machines: Sequence[Standing], *, others: int, lapsed: bool) -> None:
    """Count the machines by state, and those that are on the other list, so that none is overdue in
    silence."""
    states = f": {summary([machine.schedule for machine in machines])}" if machines else ""
    of_whom = " of owners who let two rounds of calls pass" if lapsed else ""
    click.echo(f"{counted(len(machines), 'machine')}{of_whom}{states}.", err=True)
    if others and not lapsed:
        click.echo(
            f"{counted(others, 'machine')} more of owners who let two rounds of calls pass: "
            "oilchart due --lapsed",
            err=True,
        )
