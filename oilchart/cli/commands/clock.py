"""Days in the book that a clock which ran ahead has left."""

from __future__ import annotations

from datetime import date

import click

from oilchart.cli.asking import make_sure
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.types import DAY
from oilchart.papers.wording import counted
from oilchart.shop.clock import set_back
from oilchart.shop.folder import Shop


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
    days = f"{counted(len(found), 'day')} after today, {app.today}"
    if not found or day is None:
        mend = "; to set them back: oilchart clock --set-to DATE" if found else ""
        click.echo(f"{days}{mend}", err=True)
        return
    if not yes:
        make_sure(f"{days}: all of them become {day}", "set them back?")
    with shop.book(writing=True) as book:
        found = set_back(book, shop, day)
    click.echo(f"{counted(len(found), 'day')} set to {day}.", err=True)
