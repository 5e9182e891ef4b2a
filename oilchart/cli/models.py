"""Models and their point lists."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.desk import Desk, json_option, pass_desk
from oilchart.errors import FaultyList

if TYPE_CHECKING:
    from oilchart.sources.shelf import Shelf


@click.group("models", invoke_without_command=True)
@json_option
@click.pass_context
def models_command(ctx: click.Context, as_json: bool) -> None:
    """List the models, show a model's point list, check lists for faults. A model with a faulty list is left out and its faults told.

    Example: oilchart models
    """
    if ctx.invoked_subcommand is not None:
        return
    from oilchart.papers.ink.as_json import models_json
    from oilchart.papers.ink.terminal import models_text

    desk: Desk = ctx.obj
    shelf = shelf_at(desk)
    charts = []
    faults: list[str] = []
    for model in shelf.model_ids():
        try:
            charts.append(shelf.chart(model))
        except FaultyList as faulty:
            faults += faulty.faults
    click.echo(models_json(charts) if as_json else models_text(charts, desk.screen), nl=False)
    if faults:
        raise FaultyList(dict.fromkeys(faults))


@models_command.command("show")
@click.argument("model")
@pass_desk
def show(desk: Desk, model: str) -> None:
    """Show a model's points in working order, with where each figure comes from.

    Example: oilchart models show heron-3
    """
    from oilchart.papers.ink.terminal import chart_text

    click.echo(chart_text(shelf_at(desk).chart(model), desk.screen), nl=False)


@models_command.command("check")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path), metavar="[PATH]...")
@pass_desk
def check(desk: Desk, paths: tuple[Path, ...]) -> None:
    """Tell every fault of the lists at once: of files or folders, or of all lists at hand.

    Example: oilchart models check my-shop/points
    """
    faults = shelf_at(desk).faults(paths)
    if faults:
        raise FaultyList(faults)
    click.echo("no faults")


def shelf_at(desk: Desk) -> Shelf:
    """The shipped lists and, where one stands in a shop, the shop's own."""
    from oilchart.sources.folders import packaged
    from oilchart.sources.shelf import Shelf

    own = [desk.folder / "points"] if (desk.folder / "shop.toml").is_file() else []
    return Shelf([packaged("points"), *own])
