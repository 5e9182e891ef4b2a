"""Schedules of one machine, and the machines that are due."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import UnregisteredMachine, json_option, model_options
from oilchart.cli.types import NAME, STRETCH
from oilchart.cli.unregistered import subject_of
from oilchart.core.due.due_dates import PRESSING, State

if TYPE_CHECKING:
    from oilchart.core.planning.standing import Standing
    from oilchart.papers.lists.due import DueLine

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
    from oilchart.papers.lists.as_json import schedule_json
    from oilchart.papers.lists.explain import explanation
    from oilchart.papers.lists.months_ahead import coming
    from oilchart.papers.lists.services_ahead import service_lines
    from oilchart.papers.lists.terminal import coming_text, schedule_text

    if point is not None and (as_json or months is not None):
        raise click.UsageError(
            "--explain prints words about one point; leave out --json and --months"
        )
    subject = subject_of(app, machine, unregistered)
    ahead = None if months is None else coming(subject.schedule, subject.reckoning, months)
    services = subject.reckoning.services_ahead(subject.schedule)
    owner = None if subject.owner is None else subject.owner.name
    if point is not None:
        click.echo("\n".join(explanation(subject.schedule, subject.reckoning, point)))
    elif as_json:
        click.echo(schedule_json(subject.schedule, services, ahead), nl=False)
    else:
        click.echo(
            schedule_text(
                subject.schedule,
                app.screen,
                owner=owner,
                services=service_lines(services, subject.schedule.booked),
            ),
            nl=False,
        )
        if ahead is not None:
            click.echo("\n" + coming_text(ahead, app.screen), nl=False)


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
    help="Exit 3 if one listed is overdue, likely or maybe overdue, or wants its first service; with --within also if one is due soon.",
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
    from oilchart.papers.lists.as_csv import due_csv
    from oilchart.papers.lists.as_json import due_json
    from oilchart.papers.lists.terminal import due_text

    if as_json and as_csv:
        raise click.UsageError("--json and --csv: give one of them")
    within, everything = asked["within"], asked["everything"]
    standings = app.shop.standings(within, model=asked["model"], owner=asked["owner"])
    on_list = [
        each
        for each in standings
        if (each.lapsed_on is not None) is lapsed or (everything and not lapsed)
    ]
    lines = due_lines(
        each
        for each in on_list
        if everything or each.record.unsafe or each.schedule.state is not State.IN_TIME
    )
    if as_json or as_csv:
        click.echo(due_json(lines) if as_json else due_csv(lines), nl=False)
    else:
        if lines:
            click.echo(due_text(lines, app.screen, today=app.today), nl=False)
        _sum_up(on_list, others=len(standings) - len(on_list), lapsed=lapsed)
    pressing = PRESSING if within is None else PRESSING | {State.DUE_SOON}
    if exits and any(line.schedule.state in pressing for line in lines):
        raise click.exceptions.Exit(FOUND_SOME)


def due_lines(standings: Iterable[Standing]) -> list[DueLine]:
    """Machines of the book as lines of the list of due ones."""
    from oilchart.papers.lists.due import DueLine

    return [
        DueLine(
            schedule=standing.schedule,
            owner=standing.record.owner,
            told=standing.told,
            lapsed_on=standing.lapsed_on,
            unsafe=standing.record.unsafe.why if standing.record.unsafe else "",
        )
        for standing in standings
    ]


def _sum_up(standings: Sequence[Standing], *, others: int, lapsed: bool) -> None:
    """Count the machines by state, and those that are on the other list, so that none is overdue in
    silence."""
    from oilchart.papers.lists.terminal import summary
    from oilchart.papers.wording import counted

    states = f": {summary([standing.schedule for standing in standings])}" if standings else ""
    of_whom = " of owners who let two rounds of calls pass" if lapsed else ""
    click.echo(f"{counted(len(standings), 'machine')}{of_whom}{states}.", err=True)
    if others and not lapsed:
        click.echo(
            f"{counted(others, 'machine')} more of owners who let two rounds of calls pass: oilchart due --lapsed",
            err=True,
        )
