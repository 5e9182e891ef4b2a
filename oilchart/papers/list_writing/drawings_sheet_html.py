"""The page with all drawings and their places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from markupsafe import Markup

from oilchart.papers.drawing.svg import drawing_svg
from oilchart.papers.html.page import page
from oilchart.papers.list_writing.drawings_sheet import DrawingUse


def sheet_page(drawings: Sequence[DrawingUse], templates: Sequence[Path]) -> str:
    """Write the page.

    Args:
        templates: folders with sheet.html, sheet.css and sheet.js; an earlier one wins, file by
            file.

    Raises:
        FaultyList: a template that cannot be used, with file and line.
    """
    return page(
        "sheet",
        templates,
        drawings=tuple(
            (
                replace(each, view=replace(each.view, photo=None)),
                Markup(drawing_svg(each.view)),
            )
            for each in drawings
        ),
    )
