"""Days in the book that a clock which ran ahead has left."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import click

from oilchart.cli.asking import make_sure
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import DAY
from oilchart.papers.wording import counted
from oilchart.shop.clock import set_back
from oilchart.shop.folder import Shop
from oilchart.sources.book.days_to_come import DayToCome


@click.command("clock")
@click.option("--set-to", "day", type=DAY, metavar="DATE", help="Give all of it this day.")
@click.option("--yes", is_flag=True, help="Do it without asking.")
@pass_app
def clock_command(app: AppContext, day: date | None, yes: bool) -> None:
    """List what the book has of days after today, as a clock that ran ahead leaves it; with
    --set-to it gets the day that was meant.

    Services, reports of use, stays, checks and calls that were made lie on no day to come. Where
    another day contradicts the rest of the book it is told, and nothing is changed.

    \b
    Example: oilchart clock
             oilchart clock --set-to 2026-11-25
    """
    if yes and day is None:
        raise click.UsageError("--yes: only with --set-to")
    shop = Shop(app.folder, app.today)
    with shop.book() as book:
        found = book.days_to_come.all(app.today)
    for each in found:
        click.echo(f"{each.on}  {each.whose:<7} {each.what}")
    if not found:
        click.echo(f"Nothing is recorded as done after today, {app.today}.", err=True)
        return
    is_one = len(found) == 1
    them = "it" if is_one else "them"
    done = f"{_entries(found)} recorded as done after today, {app.today}"
    if day is None:
        click.echo(f"{done}; to set {them} back: oilchart clock --set-to DATE", err=True)
        return
    if not yes:
        become = "it becomes" if is_one else "all of them become"
        make_sure(f"{done}: {become} {day}", f"set {them} back?")
    with shop.book(writing=True) as book:
        found = set_back(book, shop, day)
    click.echo(f"{_entries(found)} set to {day}.", err=True)


def _entries(found: Sequence[DayToCome]) -> str:
    return counted(len(found), "entry", "entries")
