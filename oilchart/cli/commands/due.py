"""The machines that are due."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option
from oilchart.cli.types import NAME, STRETCH
from oilchart.core.due.due_dates import DUE, PRESSING
from oilchart.core.planning.standing import Standing
from oilchart.core.planning.tally import tally, wants_nothing
from oilchart.papers.screen import filled
from oilchart.papers.tables.due import due_csv, due_json, due_text, summary
from oilchart.papers.wording import counted
from oilchart.shop import standings

FOUND_SOME = 3  # exit code of `due --exit-code`


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
    sorted_out = tally(worst)
    on_list = sorted_out.lapsed if lapsed else worst if everything else sorted_out.listed
    listed = [each for each in on_list if everything or not wants_nothing(each)]
    if as_json or as_csv:
        click.echo(due_json(listed) if as_json else due_csv(listed), nl=False)
    else:
        if listed:
            click.echo(due_text(listed, app.screen), nl=False)
        apart = 0 if everything else len(sorted_out.lapsed)
        for line in _sum_up(on_list, others=apart, lapsed=lapsed):
            click.echo(filled(line, app.screen), err=True)
    pressing = PRESSING if within is None else DUE
    if exits and any(each.schedule.state in pressing for each in listed):
        raise click.exceptions.Exit(FOUND_SOME)


def _sum_up(machines: Sequence[Standing], *, others: int, lapsed: bool) -> Iterator[str]:
    """Count the machines by state, and those that are on the other list, so that none is overdue in
    silence."""
    states = f": {summary(machines)}" if machines else ""
    of_whom = " of owners who let two rounds of calls pass" if lapsed else ""
    yield f"{counted(len(machines), 'machine')}{of_whom}{states}."
    if others and not lapsed:
        yield (
            f"{counted(others, 'machine')} more of owners who let two rounds of calls pass: "
            "oilchart due --lapsed"
        )
