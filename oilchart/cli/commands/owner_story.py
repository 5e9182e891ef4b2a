"""All that is known of an owner."""

from __future__ import annotations

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.papers.tables.history import owner_story, story_text
from oilchart.shop import standings


@click.command("show")
@click.argument("owner")
@pass_app
def show_command(app: AppContext, owner: str) -> None:
    """Tell all that is known of an owner: how to reach them, their machines, the calls planned, and
    what came of earlier ones.

    Example: oilchart owner show Brandvold
    """
    with app.shop.book() as book:
        found, machines, outcomes = standings.of_owner(book, app.shop, owner)
    click.echo(story_text(owner_story(found, machines, outcomes), app.screen), nl=False)
