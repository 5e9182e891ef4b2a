"""The drawings of a model: display lists and photos, and where a list's points lie on them.

A point list names its drawings by id only; they are read by what draws them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

from oilchart.core.point_lists.point_list import Place, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One element of a drawing: a path of absolute M, L, C and Z, a circle, or a round-cornered
    box.

    Args:
        path: letters and their numbers, for `kind` "path".
        numbers: x, y, r of a circle; x, y, width, height, r of a box.
        role: which look it has: body, part, shade, dark, detail, fine, hidden, wood or tint.
    """

    kind: str
    role: str
    path: tuple[tuple[str, tuple[float, ...]], ...] = ()
    numbers: tuple[float, ...] = ()


class Photo(Protocol):
    """A photo of the shop's own, read when it is wanted."""

    def jpeg(self) -> bytes:
        """The picture as the bytes of a JPEG file."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A drawing of a machine as a display list, in its own units; y grows downwards.

    Args:
        places_of: ids of other drawings whose places are its own too.
        photo: a picture of the shop's own that stands below the shapes.
    """

    id: str
    name: str
    alt: str
    width: float
    height: float
    shapes: tuple[Shape, ...]
    places_of: tuple[str, ...] = ()
    photo: Photo | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelDrawings:
    """The drawings of a model, the front first."""

    views: tuple[View, ...] = ()

    def view(self, view_id: str) -> View:
        """The drawing of that id, which must be one of the model's."""
        return next(view for view in self.views if view.id == view_id)

    def places(self, point: Point) -> tuple[Place, ...]:
        """Where a point lies on these drawings, the best first: once on each that shows it."""
        places = {
            view.id: replace(place, view=view.id)
            for place in reversed(point.places)
            for view in reversed(self.views)
            if place.view == view.id or place.view in view.places_of
        }
        return tuple(reversed(places.values()))

    def place(self, point: Point) -> Place | None:
        """Where a point is seen best, None where no drawing shows it."""
        places = self.places(point)
        return places[0] if places else None
