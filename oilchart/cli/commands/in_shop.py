"""What stands in the shop, and the parts that are wanted."""

from __future__ import annotations

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option
from oilchart.papers.tables.in_shop import (
    in_shop_json,
    in_shop_summary,
    in_shop_text,
    parts_json,
    parts_text,
    things_text,
)
from oilchart.papers.wording import counted
from oilchart.shop.bench import in_shop


@click.command("in-shop")
@json_option
@pass_app
def in_shop_command(app: AppContext, as_json: bool) -> None:
    """List the machines in the shop: in what state each is, since when it is here, by when it is to
    be ready, how many of its points are done, and its complaint. Below them stands what was left
    with machines that went home and is here still.

    Example: oilchart in-shop
    """
    with app.shop.book() as book:
        here = in_shop.in_shop(book, app.shop)
    if as_json:
        click.echo(in_shop_json(here.stays), nl=False)
        return
    if here.stays:
        click.echo(in_shop_text(here.stays, app.screen), nl=False)
    if here.stays and here.things_of:
        click.echo()
    if here.things_of:
        click.echo(things_text(here.things_of, app.screen), nl=False)
    click.echo(in_shop_summary(here.stays), err=True)


@click.command("parts")
@json_option
@pass_app
def parts_command(app: AppContext, as_json: bool) -> None:
    """List the parts that are wanted: to order, ordered, or here; also for machines that went home
    without them.

    Example: oilchart parts
    """
    with app.shop.book() as book:
        wanted = in_shop.parts(book, app.shop)
    if as_json:
        click.echo(parts_json(wanted), nl=False)
        return
    if wanted:
        click.echo(parts_text(wanted, app.screen), nl=False)
    click.echo(f"{counted(len(wanted), 'part')} wanted.", err=True)
