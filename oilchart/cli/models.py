"""Models and their point lists."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.context import NAME, STDOUT, Desk, json_option, out_option, pass_desk
from oilchart.errors import FaultyList

if TYPE_CHECKING:
    from oilchart.sources.points.library import Shelf


@click.group("models", invoke_without_command=True)
@json_option
@click.pass_context
def models_command(ctx: click.Context, as_json: bool) -> None:
    """List the models, show a model's point list, check lists for faults. A model with a faulty list is left out and its faults told.

    Example: oilchart models
    """
    if ctx.invoked_subcommand is not None:
        return
    from oilchart.papers.lists.as_json import models_json
    from oilchart.papers.lists.terminal import models_text

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
@click.argument("model", required=False)
@click.option("--diff", nargs=2, metavar="A B", help="Show in what two models' lists differ.")
@json_option
@pass_desk
def show(desk: Desk, model: str | None, diff: tuple[str, str] | None, as_json: bool) -> None:
    """Show a model's points in working order, with where each figure comes from; or in what the lists of two models differ.

    \b
    Examples: oilchart models show heron-3
              oilchart models show --diff heron-3 velmora-7
    """
    from oilchart.papers.lists.as_json import chart_json, differences_json
    from oilchart.papers.lists.terminal import chart_text, differences_text

    if (model is None) == (diff is None):
        raise click.UsageError("name one model, or give --diff and two of them")
    shelf = shelf_at(desk)
    if diff is not None:
        first, second = (shelf.chart(name) for name in diff)
        text = differences_json(first, second) if as_json else differences_text(first, second, desk.screen)
    else:
        chart = shelf.chart(model or "")
        text = chart_json(chart) if as_json else chart_text(chart, desk.screen)
    click.echo(text, nl=False)


@models_command.command("draft")
@click.argument("name", type=NAME)
@click.option(
    "--mechanism", "mechanisms", multiple=True, required=True, metavar="ID", help="What it is put together from; several may be given."
)
@out_option
@pass_desk
def draft(desk: Desk, name: str, mechanisms: tuple[str, ...], out: Path | None) -> None:
    """Begin the list of a model: a file that can be used as it is, with everything that its mechanisms bring as comments to change.

    Without -o it is written into the shop's points/models folder, or here. A list that is there already is never written over.

    \b
    Example: oilchart models draft "Wren 9" --mechanism straight-head --mechanism hand-crank
    """
    from oilchart.core.lists.mechanisms import going_together
    from oilchart.errors import CannotWrite, UnknownName, nearest
    from oilchart.papers.point_list.draft import draft_toml

    shelf = shelf_at(desk)
    known = shelf.mechanisms()
    for mechanism in mechanisms:
        if mechanism not in known:
            raise UnknownName(f'mechanism "{mechanism}": there is no such mechanism{nearest(mechanism, known)}')
    model = file_name_of(name)
    path = out or (desk.folder / "points" / "models" if (desk.folder / "shop.toml").is_file() else Path()) / f"{model}.toml"
    if path != STDOUT and path.exists():
        raise CannotWrite(f"{path}: there is a list already; nothing was changed; choose another name, or write to another file with -o")
    if out is None:
        path.parent.mkdir(parents=True, exist_ok=True)
    values = {
        "name": name, "maker": "Unknown", "about": "drafted", "mechanisms": list(dict.fromkeys(mechanisms)),
        "needle_system": "130/705 H", "needle_flat": "to the back", "source": "practice",
    }  # fmt: skip
    chart = shelf.draft(model, values)
    text = draft_toml(chart, going_together(known[mechanism] for mechanism in dict.fromkeys(mechanisms)))
    desk.deliver(text.encode(), path, path.name, in_shop=False)


def file_name_of(name: str) -> str:
    """A model's id from its name: small letters, digits and hyphens."""
    plain = "".join(char for char in unicodedata.normalize("NFKD", name.casefold()) if not unicodedata.combining(char))
    return "-".join(re.findall(r"[a-z0-9]+", plain)) or "model"


@models_command.command("place")
@click.argument("model")
@click.argument("view")
@out_option
@pass_desk
def place(desk: Desk, model: str, view: str, out: Path | None) -> None:
    """Make a page on which one clicks the places of a model's points on a drawing or photo, and gets the lines to paste into the list.

    Example: oilchart models place heron-3 underside -o place.html
    """
    from oilchart.papers.point_list.placing_html import placing_page
    from oilchart.papers.point_list.placing import placing_sheet
    from oilchart.sources.files.packaged import packaged

    shelf = shelf_at(desk)
    sheet = placing_sheet(shelf.chart(model), shelf.view(view), shelf.changed(model))
    text = placing_page(sheet, [desk.folder / "templates", packaged("templates")])
    desk.deliver(text.encode(), out, f"{model}-{view}-place.html", in_shop=False)


@models_command.command("mechanisms")
@json_option
@pass_desk
def mechanisms_list(desk: Desk, as_json: bool) -> None:
    """List the mechanisms of which lists are put together, with the names by which a list calls them.

    Example: oilchart models mechanisms
    """
    from oilchart.papers.lists.as_json import rows_json
    from oilchart.papers.lists.terminal import Column, table

    rows = [
        {"id": each.id, "kind": each.kind, "name": each.name, "about": each.about, "has": list(each.has)}
        for each in sorted(shelf_at(desk).mechanisms().values(), key=lambda each: (each.kind, each.id))
    ]
    if as_json:
        click.echo(rows_json(rows), nl=False)
        return
    columns = [Column("Mechanism"), Column("Kind"), Column("Name", wraps=True), Column("How one tells it", wraps=True, spare=True)]
    click.echo(table(columns, [[str(row[key]) for key in ("id", "kind", "name", "about")] for row in rows], desk.screen), nl=False)


@models_command.command("views")
@json_option
@out_option
@pass_desk
def views(desk: Desk, as_json: bool, out: Path | None) -> None:
    """List the drawings that models show; with -o a page with all of them and the places on them.

    \b
    Examples: oilchart models views
              oilchart models views -o views.html
    """
    from oilchart.papers.lists.as_json import rows_json
    from oilchart.papers.point_list.drawings_sheet_html import sheet_page
    from oilchart.papers.lists.terminal import Column, table
    from oilchart.papers.point_list.drawings_sheet import drawings
    from oilchart.sources.files.packaged import packaged

    shelf = shelf_at(desk)
    drawn = drawings(shelf.chart(model) for model in shelf.model_ids())
    if out is not None:
        text = sheet_page(drawn, [desk.folder / "templates", packaged("templates")])
        desk.deliver(text.encode(), out, "views.html", in_shop=False)
        return
    rows = [{"view": each.view.id, "name": each.view.name, "places": len(each.spots), "models": list(each.models)} for each in drawn]
    if as_json:
        click.echo(rows_json(rows), nl=False)
        return
    columns = [Column("Drawing"), Column("Name", wraps=True), Column("Places", right=True), Column("Models", right=True)]
    cells = [[each.view.id, each.view.name, str(len(each.spots)), str(len(each.models))] for each in drawn]
    click.echo(table(columns, cells, desk.screen), nl=False)


@models_command.command("check")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path), metavar="[PATH]...")
@pass_desk
def check(desk: Desk, paths: tuple[Path, ...]) -> None:
    """Tell every fault of the lists at once, and then what is doubtful in them: of files or folders, or of all lists at hand.

    A fault must be mended before the list can be used. A doubt need not: an interval far from the published ones, a point that a do-not
    point forbids, a place on no drawing.

    Example: oilchart models check my-shop/points
    """
    from oilchart.cli.unregistered import settings_at
    from oilchart.papers.wording import counted

    shelf = shelf_at(desk)
    faults = shelf.faults(paths)
    if faults:
        raise FaultyList(faults)
    doubtful = shelf.doubts(paths, least_days=settings_at(desk).least_days)
    for line in doubtful:
        click.echo(line)
    click.echo(f"no faults, {counted(len(doubtful), 'doubt')}" if doubtful else "no faults, no doubts")


def shelf_at(desk: Desk) -> Shelf:
    """The shipped lists and, where one stands in a shop, the shop's own."""
    from oilchart.sources.files.packaged import packaged
    from oilchart.sources.points.library import Shelf

    own = [desk.folder / "points"] if (desk.folder / "shop.toml").is_file() else []
    return Shelf([packaged("points"), *own])
