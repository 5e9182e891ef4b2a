"""The page on which the places of points are clicked on a drawing, and which gives the lines to
paste into the list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from markupsafe import Markup

from oilchart.core.point_lists.point_list import Place
from oilchart.papers.drawing.svg import drawing_svg
from oilchart.papers.html.page import page
from oilchart.papers.list_writing.placing import PlacingSheet


def placing_page(sheet: PlacingSheet, templates: Sequence[Path]) -> str:
    """Write the page.

    Args:
        templates: folders with place.html, place.css and place.js; an earlier one wins, file by
            file.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    return page(
        "place",
        templates,
        functions={"written": _written},
        sheet=replace(sheet, view=replace(sheet.view, photo=None)),
        drawing=Markup(drawing_svg(sheet.view)),
    )


def _written(places: Sequence[Place]) -> str:
    """Places as a list has them."""
    return ", ".join(f'["{place.view}", {place.x:g}, {place.y:g}]' for place in places)
