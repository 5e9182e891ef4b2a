"""The sheet of all drawings as a value: each with the places of all points that lie on it, numbered
and named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from oilchart.core.point_lists.drawings import ModelDrawings, View
from oilchart.core.point_lists.point_list import Place, PointList

BAND = 120  # height of a band in drawing units


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberedPlace:
    """One place on a drawing, and the points that lie there in one model or another."""

    number: int
    place: Place
    where: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingUse:
    """A drawing with its places.

    Args:
        models: ids of the models that show it.
    """

    view: View
    spots: tuple[NumberedPlace, ...]
    models: tuple[str, ...]


def drawings_sheet(
    models_drawn: Iterable[tuple[PointList, ModelDrawings]],
) -> tuple[DrawingUse, ...]:
    """All drawings of models, in the order in which the models show them."""
    views: dict[str, View] = {}
    models: dict[str, list[str]] = {}
    places: dict[str, dict[Place, list[str]]] = {}
    for point_list, drawings in models_drawn:
        for view in drawings.views:
            views.setdefault(view.id, view)
            models.setdefault(view.id, []).append(point_list.id)
        for point in point_list.points:
            for place in drawings.places(point):
                names = places.setdefault(place.view, {}).setdefault(place, [])
                if point.where not in names:
                    names.append(point.where)
    return tuple(
        DrawingUse(view=view, spots=_spots(places.get(view.id, {})), models=tuple(models[view.id]))
        for view in views.values()
    )


def _spots(places: dict[Place, list[str]]) -> tuple[NumberedPlace, ...]:
    """Places numbered in the order in which one reads: by bands from above, in each from the
    left."""
    ordered = sorted(places.items(), key=lambda item: (item[0].y // BAND, item[0].x))
    return tuple(
        NumberedPlace(number=number, place=place, where=tuple(where))
        for number, (place, where) in enumerate(ordered, start=1)
    )
