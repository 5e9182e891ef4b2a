"""The sheet of all drawings shows every place of every model once, and names it."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

from oilchart.core.point_lists.drawings import ModelDrawings, View
from oilchart.core.point_lists.point_list import Place, PointList
from oilchart.papers.list_writing.drawings_sheet import drawings_sheet
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.html_page import HtmlPage, policy_faults
from tests.builders.make import a_chart, a_point
from tests.conftest import Run

SHELF = PointLibrary([packaged("points")])


@cache
def every_model() -> list[tuple[PointList, ModelDrawings]]:
    """Each model's list with its drawings."""
    lists = [SHELF.point_list(model) for model in SHELF.model_ids()]
    return [(point_list, SHELF.drawings(point_list)) for point_list in lists]


def test_every_place_of_every_model_is_on_the_sheet() -> None:
    drawn = drawings_sheet(every_model())
    shown = {spot.place: spot.where for drawing in drawn for spot in drawing.spots}
    for point_list, drawings in every_model():
        for point in point_list.points:
            for place in drawings.places(point):
                assert point.where in shown[place], (point_list.id, point.id)
    assert {drawing.view.id for drawing in drawn} == {
        view.id for _, drawings in every_model() for view in drawings.views
    }


def test_every_shipped_drawing_is_shown_by_a_model() -> None:
    files = {file.stem for file in (packaged("points") / "views").glob("*.toml")}
    assert {drawing.view.id for drawing in drawings_sheet(every_model())} == files


def test_places_are_numbered_as_one_reads() -> None:
    view = View(id="v", name="V", alt="v", width=1000, height=640, shapes=())
    spots = {"a": (500.0, 20.0), "b": (20.0, 90.0), "c": (10.0, 300.0)}
    points = [a_point(name, places=(Place(view="v", x=x, y=y),)) for name, (x, y) in spots.items()]
    [drawing] = drawings_sheet([(a_chart(*points), ModelDrawings(views=(view,)))])
    assert [(spot.number, spot.where) for spot in drawing.spots] == [
        (1, ("Place of b",)),
        (2, ("Place of a",)),
        (3, ("Place of c",)),
    ]


def test_the_sheet_is_a_page_of_its_own_and_a_list(run: Run, tmp_path: Path) -> None:
    assert run("models", "views", "-o", "views.html").exit_code == 0
    page = (tmp_path / "views.html").read_text(encoding="utf-8")
    rows = json.loads(run("models", "views", "--json").stdout)
    assert page.count('<svg class="picture"') == len(rows) >= 10
    assert not re.search(r'(?:src|href)="(?!data:)', page)
    assert policy_faults(HtmlPage(page)) == []
    assert run("models", "views").stdout.count("\n") == len(rows) + 1


def test_the_page_for_clicking_places_is_one_style_and_one_script_that_its_policy_names(
    run: Run,
) -> None:
    page = run("models", "place", "heron-3", "underside", "-o", "-").stdout
    assert policy_faults(HtmlPage(page)) == []
