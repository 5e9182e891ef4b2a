"""Making a shop folder."""

from __future__ import annotations

import shlex
from pathlib import Path

import click

from oilchart.cli.asking import at_terminal
from oilchart.cli.context import AppContext, pass_app
from oilchart.shop.folder import BOOK_FILE, make_shop
from oilchart.sources.files.settings import ElectricalTests, starting_settings


@click.command("init")
@click.argument("folder", type=click.Path(path_type=Path))
@pass_app
def init_command(app: AppContext, folder: Path) -> None:
    """Make a new shop folder: settings, shop book, lists and templates of your own, papers.

    On a terminal it asks whether you make the electrical tests yourself. Where others do, no list
    asks for one, and papers say so; electrical_tests in shop.toml says it later.

    Example: oilchart init my-shop
    """
    is_new = not (folder / BOOK_FILE).exists()
    question = "Do you make the electrical tests yourself?"
    here = not (is_new and at_terminal()) or click.confirm(question, default=True, err=True)
    tests = ElectricalTests.HERE if here else ElectricalTests.ELSEWHERE
    shop = make_shop(folder, app.today, settings=starting_settings(tests))
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
