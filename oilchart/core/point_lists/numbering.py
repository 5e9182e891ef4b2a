"""The number of each point: its own in the model's list, whatever is done on a day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import count

from oilchart.core.point_lists.point_list import Point, PointList


def numbered(point_list: PointList, kept: Sequence[str]) -> PointList:
    """Give each point of a list its number.

    Args:
        kept: ids of the points that have a number of their own, the first has 1; of one that was
            taken out too, or empty in its place: nothing gets its number. Points that are not among
            them come after, in working order.
    """
    own = {point_id: number for number, point_id in enumerate(kept, start=1) if point_id}
    after = count(len(kept) + 1)
    others = {
        point.id: next(after) for point in in_working_order(point_list) if point.id not in own
    }
    numbers = own | others
    points = tuple(replace(point, number=numbers[point.id]) for point in point_list.points)
    return replace(point_list, points=points)


def in_working_order(point_list: PointList) -> list[Point]:
    """All points, stage by stage, as they are done; of a list with faults, those that name no stage
    there is stand last."""
    ordered = [point for stage in point_list.stages for point in point_list.at_stage(stage.id)]
    met = {point.id for point in ordered}
    return [*ordered, *(point for point in point_list.points if point.id not in met)]


def numbers_to_keep(point_list: PointList, kept: Sequence[str]) -> tuple[str, ...]:
    """What the list keeps of its numbers from now on: all it had, and after them those of its new
    points."""
    had = set(kept)
    new = [point.id for point in in_working_order(point_list) if point.id not in had]
    return (*kept, *new)
