"""What one reads out on the telephone."""

from __future__ import annotations

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.papers.tables.history import story_text
from oilchart.papers.tables.telling import telling
from oilchart.shop import standings


@click.command("tell")
@click.argument("machine")
@pass_app
def tell_command(app: AppContext, machine: str) -> None:
    """Tell what to read out to an owner who rings: what to oil with and how often, the needles and
    which side the flat faces, what never to do, what was done last and what comes next.

    Example: oilchart tell M-014
    """
    with app.shop.book() as book:
        standing = standings.of_machine(book, app.shop, machine)
    click.echo(story_text(telling(standing), app.screen), nl=False)
