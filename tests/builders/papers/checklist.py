"""Makes checklists from few words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from oilchart.papers.checklist.content import Checklist
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import checklist
from tests.builders.make import TODAY

SHELF = PointLibrary([packaged("points")])


def a_list(model: str = "heron-3", **changes: Any) -> Checklist:
    """The checklist of a machine of Ida Brandvold's."""
    return replace(
        checklist(SHELF.point_list(model), on=TODAY, owner="Ida Brandvold", serial="H3-20417"),
        **changes,
    )
