"""Point lists: shown, drafted, checked, their points placed on drawings."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path

import click

from oilchart.cli.batch import STDOUT
from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.options import json_option, out_option
from oilchart.cli.output import refuse_lasting_file
from oilchart.cli.types import NAME
from oilchart.cli.unregistered import settings_at
from oilchart.core.point_lists.mechanisms import going_together
from oilchart.core.point_lists.numbering import numbers_to_keep
from oilchart.errors import CannotWrite, FaultyList, UnknownName, nearest, quoted
from oilchart.papers.list_writing.draft import draft_toml
from oilchart.papers.list_writing.drawings_sheet import drawings_sheet
from oilchart.papers.list_writing.drawings_sheet_html import sheet_page
from oilchart.papers.list_writing.numbers import with_numbers
from oilchart.papers.list_writing.placing import placing_sheet
from oilchart.papers.list_writing.placing_html import placing_page
from oilchart.papers.tables.models import drawings_json, drawings_text
from oilchart.papers.tables.point_list import (
    differences_json,
    differences_text,
    point_list_json,
    point_list_text,
)
from oilchart.papers.wording import counted
from oilchart.sources.packaged import packaged
from oilchart.sources.points.checks import list_doubts, list_faults


@click.command("show")
@click.argument("model", required=False)
@click.option("--diff", nargs=2, metavar="A B", help="Show in what two models' lists differ.")
@json_option
@pass_app
def show_command(
    app: AppContext, model: str | None, diff: tuple[str, str] | None, as_json: bool
) -> None:
    """Show a model's points in working order, with where each figure comes from; or in what the
    lists of two models differ.

    \b
    Examples: oilchart models show heron-3
              oilchart models show --diff heron-3 velmora-7
    """
    if (model is None) == (diff is None):
        raise click.UsageError("name one model, or give --diff and two of them")
    library = app.library
    if diff is not None:
        first, second = (library.point_list(name) for name in diff)
        text = (
            differences_json(first, second)
            if as_json
            else differences_text(first, second, app.screen)
        )
    else:
        point_list = library.point_list(model or "")
        text = (
            point_list_json(point_list, library.drawings(point_list))
            if as_json
            else point_list_text(point_list, app.screen)
        )
    click.echo(text, nl=False)


@click.command("draft")
@click.argument("name", type=NAME)
@click.option(
    "--mechanism",
    "mechanisms",
    multiple=True,
    required=True,
    metavar="ID",
    help="What it is put together from; several may be given.",
)
@out_option
@pass_app
def draft_command(
    app: AppContext, name: str, mechanisms: tuple[str, ...], out: Path | None
) -> None:
    """Begin the list of a model: a file that can be used as it is, with everything that its
    mechanisms bring as comments to change.

    Without -o it is written into the shop's points/models folder, or here. A list that is there
    already is never written over.

    \b
    Example: oilchart models draft "Wren 9" --mechanism straight-head --mechanism hand-crank
    """
    library = app.library
    known = library.mechanisms()
    for mechanism in mechanisms:
        if mechanism not in known:
            none_such = f"there is no such mechanism{nearest(mechanism, known)}"
            raise UnknownName(f"mechanism {quoted(mechanism)}: {none_such}")
    model = file_name_of(name)
    path = out or (app.folder / "points" / "models" if app.is_in_shop else Path()) / f"{model}.toml"
    if path != STDOUT and path.is_file():
        refuse_lasting_file(path, app.folder)
        raise CannotWrite(
            path,
            "there is a file already",
            "choose another name, or write to another file with -o",
        )
    values = {
        "name": name,
        "maker": "Unknown",
        "about": "drafted",
        "mechanisms": list(dict.fromkeys(mechanisms)),
        "needle_system": "130/705 H",
        "needle_flat": "to the back",
        "source": "practice",
    }
    point_list, drawings = library.draft(model, values)
    text = draft_toml(
        point_list,
        drawings,
        going_together(known[mechanism] for mechanism in dict.fromkeys(mechanisms)),
    )
    app.write_output(text.encode(), path, path.name, in_shop=False)


def file_name_of(name: str) -> str:
    """A model's id from its name: small letters, digits and hyphens."""
    plain = "".join(
        char
        for char in unicodedata.normalize("NFKD", name.casefold())
        if not unicodedata.combining(char)
    )
    return "-".join(re.findall(r"[a-z0-9]+", plain)) or "model"


@click.command("place")
@click.argument("model")
@click.argument("view")
@out_option
@pass_app
def place_command(app: AppContext, model: str, view: str, out: Path | None) -> None:
    """Make a page on which one clicks the places of a model's points on a drawing or photo, and
    gets the lines to paste into the list.

    Example: oilchart models place heron-3 underside -o place.html
    """
    library = app.library
    point_list = library.point_list(model)
    drawings = library.drawings(point_list)
    sheet = placing_sheet(point_list, drawings, library.view(view), library.changed(point_list.id))
    text = placing_page(sheet, app.templates)
    app.write_output(text.encode(), out, f"{point_list.id}-{view}-place.html", in_shop=False)


@click.command("views")
@json_option
@out_option
@pass_app
def views_command(app: AppContext, as_json: bool, out: Path | None) -> None:
    """List the drawings that models show; with -o a page with all of them and the places on them.

    \b
    Examples: oilchart models views
              oilchart models views -o views.html
    """
    library = app.library
    lists = [library.point_list(model) for model in library.model_ids()]
    drawn = drawings_sheet((each, library.drawings(each)) for each in lists)
    if out is not None:
        text = sheet_page(drawn, app.templates)
        app.write_output(text.encode(), out, "views.html", in_shop=False)
        return
    click.echo(drawings_json(drawn) if as_json else drawings_text(drawn, app.screen), nl=False)


@click.command("numbers")
@click.argument("model")
@pass_app
def numbers_command(app: AppContext, model: str) -> None:
    """Write the numbers of a model's points into its list, so that each keeps its own. One that has
    a number keeps it; that of a point that is gone stays empty; new points come after.

    Only a list of the shop's own is written to.

    Example: oilchart models numbers wren-9
    """
    library = app.library
    point_list = library.point_list(model)
    file = library.file_of(point_list.id)
    if packaged("points") in file.parents:
        raise CannotWrite(
            file, "comes with oilchart and keeps its numbers", "name a list of your own"
        )
    kept = library.kept_numbers(point_list.id)
    after = numbers_to_keep(point_list, kept)
    if after == kept:
        click.echo(f"{point_list.name}: each of {counted(len(after), 'number')} is kept already.")
        return
    text = with_numbers(file.read_text(encoding="utf-8"), after)
    app.write_output(text.encode(), file, file.name, in_shop=False)


@click.command("check")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path), metavar="[PATH]...")
@pass_app
def check_command(app: AppContext, paths: tuple[Path, ...]) -> None:
    """Tell every fault of the lists at once, and then what is doubtful in them: of files or
    folders, or of all lists at hand.

    A fault must be mended before the list can be used. A doubt need not: an interval far from the
    published ones, a point that a do-not point forbids, a place on no drawing.

    Example: oilchart models check my-shop/points
    """
    faults = list_faults(app.library, paths)
    if faults:
        raise FaultyList(faults)
    doubtful = list_doubts(app.library, paths, least_days=settings_at(app).least_days)
    for line in doubtful:
        click.echo(line)
    click.echo(
        f"no faults, {counted(len(doubtful), 'doubt')}" if doubtful else "no faults, no doubts"
    )
