"""Makes papers for tests with the drawings of the shipped lists, as the command line does."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from oilchart.core.lists.drawings import ModelDrawings
from oilchart.core.lists.point_list import PointList
from oilchart.core.planning.schedule import Schedule
from oilchart.papers.card import content as cards
from oilchart.papers.checklist import content as checklists
from oilchart.sources.files.packaged import packaged
from oilchart.sources.points.library import PointLibrary

LIBRARY = PointLibrary([packaged("points")])


@lru_cache(maxsize=64)
def drawings_of(point_list: PointList) -> ModelDrawings:
    """The shipped drawings of a list, which need not be a shipped one."""
    drawings, faults = LIBRARY.drawing_files.of_model(point_list, point_list.id)
    assert faults == ()
    return drawings


def care_card(schedule: Schedule, **options: Any) -> cards.CareCard:
    """The care card of a machine with its model's drawings."""
    drawings = drawings_of(schedule.machine.point_list)
    return cards.care_card(schedule, drawings=drawings, **options)


def checklist(point_list: PointList, **options: Any) -> checklists.Checklist:
    """The checklist of a model, or of a machine, with its drawings."""
    return checklists.checklist(point_list, drawings=drawings_of(point_list), **options)
