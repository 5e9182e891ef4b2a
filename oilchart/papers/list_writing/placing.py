"""The page on which a list's writer clicks the places of points on a drawing, as a value."""

from __future__ import annotations

from dataclasses import dataclass

from oilchart.core.point_lists.drawings import ModelDrawings, View
from oilchart.core.point_lists.point_list import Place, Point, PointList


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPoint:
    """One point, and where it lies so far.

    Args:
        here: on the drawing in hand, None where it does not lie there.
        others: its places on the model's other drawings, which a new place must not drive out.
        keeper: whose it is.
    """

    id: str
    where: str
    keeper: str
    here: Place | None
    others: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacingSheet:
    """A drawing, and the points of a model that may be placed on it; those that lie nowhere yet
    come first.

    Args:
        listed: ids of the points that the model's file changes already.
        is_new: whether the model has not got this drawing yet.
    """

    title: str
    model: str
    view: View
    points: tuple[PlacedPoint, ...]
    listed: tuple[str, ...]
    is_new: bool


def placing_sheet(
    point_list: PointList, drawings: ModelDrawings, view: View, listed: frozenset[str]
) -> PlacingSheet:
    """Write the sheet for a model and a drawing of it, or one that is to become its.

    Args:
        drawings: the model's.
        listed: ids of the points that the model's file changes already.
    """
    points = [_placed(point, drawings.places(point), view.id) for point in point_list.points]
    return PlacingSheet(
        title=f"Places on {view.name}: {point_list.name}",
        model=point_list.id,
        view=view,
        points=tuple(
            sorted(
                points,
                key=lambda point: (
                    point.here is None and bool(point.others),
                    point.here is not None,
                ),
            )
        ),
        listed=tuple(point.id for point in point_list.points if point.id in listed),
        is_new=view.id not in [mine.id for mine in drawings.views],
    )


def _placed(point: Point, places: tuple[Place, ...], view_id: str) -> PlacedPoint:
    return PlacedPoint(
        id=point.id,
        where=point.where,
        keeper=point.keeper,
        here=next((place for place in places if place.view == view_id), None),
        others=tuple(place for place in places if place.view != view_id),
    )
