"""Models and their point lists."""

from __future__ import annotations

import click

from oilchart.cli.context import AppContext, pass_app
from oilchart.cli.lazy import Lazy, LazyGroup
from oilchart.cli.options import json_option
from oilchart.errors import FaultyList
from oilchart.papers.tables.models import (
    mechanisms_json,
    mechanisms_text,
    models_json,
    models_text,
)

# loaded when they are run: they rest on drawings, pages and checks, which a list does without
LAZY = {
    "show": Lazy(
        "point_lists",
        "Show a model's points in working order, with where each figure comes from; or in "
        "what the lists of two models differ.",
    ),
    "draft": Lazy(
        "point_lists",
        "Begin the list of a model: a file that can be used as it is, with everything that its "
        "mechanisms bring as comments to change.",
    ),
    "place": Lazy(
        "point_lists",
        "Make a page on which one clicks the places of a model's points on a drawing or photo, "
        "and gets the lines to paste into the list.",
    ),
    "views": Lazy(
        "point_lists",
        "List the drawings that models show; with -o a page with all of them and the places on "
        "them.",
    ),
    "numbers": Lazy(
        "point_lists",
        "Write the numbers of a model's points into its list, so that each keeps its own.",
    ),
    "check": Lazy(
        "point_lists",
        "Tell every fault of the lists at once, and then what is doubtful in them: of files "
        "or folders, or of all lists at hand.",
    ),
}


@click.group("models", cls=LazyGroup, lazy=LAZY, invoke_without_command=True)
@json_option
@pass_app
def models_command(app: AppContext, as_json: bool) -> None:
    """List the models, show a model's point list, check lists for faults. A model with a faulty
    list is left out and its faults told.

    Example: oilchart models
    """
    if click.get_current_context().invoked_subcommand is not None:
        return
    point_lists = []
    faults: list[str] = []
    for model in app.library.model_ids():
        try:
            point_lists.append(app.library.point_list(model))
        except FaultyList as faulty:
            faults += faulty.faults
    click.echo(
        models_json(point_lists) if as_json else models_text(point_lists, app.screen), nl=False
    )
    if faults:
        raise FaultyList(faults)


@models_command.command("mechanisms")
@json_option
@pass_app
def mechanisms_list(app: AppContext, as_json: bool) -> None:
    """List the mechanisms of which lists are put together, with the names by which a list calls
    them.

    Example: oilchart models mechanisms
    """
    known = app.library.mechanisms().values()
    mechanisms = sorted(known, key=lambda each: (each.kind, each.id))
    text = mechanisms_json(mechanisms) if as_json else mechanisms_text(mechanisms, app.screen)
    click.echo(text, nl=False)
