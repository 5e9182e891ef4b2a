"""Making a shop folder."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.shop.folder import make_shop


@click.command("init")
@click.argument("folder", type=click.Path(path_type=Path))
@pass_app
def init_command(app: AppContext, folder: Path) -> None:
    """Make a new shop folder: settings, shop book, lists and templates of your own, papers.

    Example: oilchart init my-shop
    """
    shop = make_shop(folder, app.today)
    click.echo(
        f"made {folder}: fill in {folder / 'shop.toml'}, then: "
        f"oilchart --shop {shlex.quote(str(folder))} owner add NAME"
    )
    if not shop.keeps_modes():
        click.echo(
            f"{folder}: this disk does not keep who may read a file: whoever can open the folder, "
            "or holds the stick, can read the shop",
            err=True,
        )
