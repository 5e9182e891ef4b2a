"""How a drawing is written, a display list or a photo of the shop's own; and which of them are a
model's."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from oilchart import bounds
from oilchart.core.point_lists.drawings import ModelDrawings, Shape, View
from oilchart.core.point_lists.point_list import PointList
from oilchart.errors import FaultyList, nearest
from oilchart.sources.files.photos import PhotoFile
from oilchart.sources.files.toml_table import Table, lies_within, shown
from oilchart.sources.points.folders import VIEWS, PointFolders

ROLES = ("body", "part", "shade", "dark", "detail", "fine", "hidden", "wood", "tint")
_NUMBERS = {"M": 2, "L": 2, "C": 6, "Z": 0}
_TOKEN = re.compile(r"[A-Za-z]|[-+]?\d*\.?\d+")


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingFile:
    """One drawing's file.

    Args:
        view: with its own shapes only.
        like: the id of the drawing whose shapes, size and places it takes.
        places_of: the id of a drawing whose places are its own too, though it is drawn anew.
    """

    view: View
    like: str | None
    places_of: str | None
    faults: tuple[str, ...]


class DrawingFiles:
    """The drawings of points folders, each file read once, when it is asked for."""

    def __init__(self, folders: PointFolders) -> None:
        self._folders = folders
        self._read: dict[Path, DrawingFile] = {}

    def view(self, file: Path, above: tuple[str, ...] = ()) -> tuple[View, tuple[str, ...]]:
        """A drawing, with the size and after the shapes of the one it is like.

        Args:
            above: ids of the drawings that are like this one.

        Returns:
            The drawing and every fault of it and of those it is like.

        Raises:
            FaultyList: a file that cannot be read at all.
        """
        if file not in self._read:
            self._read[file] = read_drawing(file, Table(self._folders.read(file), str(file)))
        read, known = self._read[file], self._folders.files(VIEWS)
        view = read.view
        if read.places_of is not None:
            others = [other for other in known if other != view.id]
            if read.places_of in others:
                return replace(view, places_of=(read.places_of,)), read.faults
            fault = f"places_of: there is no such drawing: {shown(read.places_of)}"
            return view, (*read.faults, f"{file}: {fault}{nearest(read.places_of, others)}")
        if read.like is None:
            return view, read.faults
        below = (*above, view.id)
        others = [other for other in known if other not in below]
        if read.like not in others:
            in_circle = read.like in below
            wrong = "the drawing would be like itself" if in_circle else "there is no such drawing"
            fault = f"like: {wrong}: {shown(read.like)}{nearest(read.like, others)}"
            return view, (*read.faults, f"{file}: {fault}")
        base, faults = self.view(known[read.like], below)
        whole = replace(
            view,
            shapes=base.shapes + view.shapes,
            places_of=(base.id, *base.places_of),
            width=base.width,
            height=base.height,
            photo=base.photo,
        )
        return whole, (*read.faults, *faults)

    def of_model(self, point_list: PointList, place: str) -> tuple[ModelDrawings, tuple[str, ...]]:
        """The drawings of a model: the front, and each that shows one of its points.

        Args:
            place: where a point outside its drawing is told.

        Returns:
            The drawings and every fault of them and of the points' places.
        """
        views: list[View] = []
        faults: list[str] = []
        for view_id in point_list.view_ids:
            try:
                view, told = self.view(self._folders.files(VIEWS)[view_id])
                views.append(view)
            except FaultyList as broken:
                told = broken.faults
            faults += told
        everything = ModelDrawings(views=tuple(views))
        places = [(point, everything.places(point)) for point in point_list.points]
        used = {each.view for _, on in places for each in on}
        drawings = ModelDrawings(
            views=tuple(view for at, view in enumerate(views) if at == 0 or view.id in used)
        )
        table = Table({}, place)
        for point, on in places:
            for each in on:
                view = drawings.view(each.view)
                has_size = view.width and view.height  # without, that is told already
                if has_size and not (0 <= each.x <= view.width and 0 <= each.y <= view.height):
                    table.fault(
                        f'point "{point.id}": at',
                        f"{each.x:g}, {each.y:g}",
                        "lies outside the drawing",
                        f"{view.id} is {view.width:g} wide and {view.height:g} high",
                    )
        return drawings, (*faults, *table.faults)


def covering(point_list: PointList, drawings: ModelDrawings) -> list[str]:
    """Ids of drawings that together show all points that any drawing shows, the one that shows most
    first."""
    unseen = {
        point.id: {place.view for place in places}
        for point in point_list.points
        if (places := drawings.places(point))
    }
    chosen: list[str] = []
    while unseen:
        shown_by = Counter(view for views in unseen.values() for view in views)
        chosen.append(max(sorted(shown_by), key=shown_by.__getitem__))
        unseen = {point: views for point, views in unseen.items() if chosen[-1] not in views}
    return chosen


def read_drawing(file: Path, table: Table) -> DrawingFile:
    """Read one drawing."""
    like, places_of, name = (table.optional(key) for key in ("like", "places_of", "photo"))
    photo, width, height = None, 0.0, 0.0
    if name is not None:
        photo, (width, height) = _photo(table, file, name)
    else:
        default = None if like is None else Fraction(0)
        width, height = (
            float(table.number(key, below=bounds.DRAWING_SIDE + 1, default=default) or 0)
            for key in ("width", "height")
        )
        if width and height and not bounds.in_proportion(width, height):
            table.fault(
                "height",
                f"{width:g} by {height:g}",
                f"a side is more than {bounds.PROPORTION} times the other",
                "show a part of it",
            )
    items = table.tables("item", lambda at, item: f"item {at}")
    if len(items) > bounds.DRAWING_ITEMS:
        table.fault("item", len(items), "has too many items", f"keep to {bounds.DRAWING_ITEMS}")
    view = View(
        id=file.stem,
        name=table.text("name", most=bounds.NAME_LETTERS),
        alt=table.text("alt"),
        width=width,
        height=height,
        shapes=tuple(shape for item in items if (shape := _shape(item)) is not None),
        photo=photo,
    )
    table.finish()
    return DrawingFile(view=view, like=like, places_of=places_of, faults=tuple(table.faults))


def _photo(table: Table, file: Path, name: str) -> tuple[PhotoFile | None, tuple[float, float]]:
    """The photo a drawing is made of, with its width and height; None, with a fault, where it
    cannot be read, or lies outside of the points folder."""
    path = file.parent / name
    if not lies_within(path, file.parent.parent):
        table.fault(
            "photo", name, "lies outside of the points folder", "put it beside the drawing's file"
        )
        return None, (0.0, 0.0)
    photo = PhotoFile(path)
    try:
        return photo, photo.size
    except FaultyList as broken:
        table.faults += broken.faults
        return None, (0.0, 0.0)


def _shape(table: Table) -> Shape | None:
    kind, role = table.text("shape"), table.known_text("role", ROLES, "role")
    if kind == "path":
        path = _path(table)
        shape = None if path is None else Shape(kind=kind, role=role, path=path)
    elif kind in ("circle", "box"):
        side = bounds.DRAWING_SIDE
        numbers = [table.number(key, above=-side, below=side) for key in ("x", "y")]
        numbers += [
            table.number(key, below=side)
            for key in (("r",) if kind == "circle" else ("width", "height"))
        ]
        numbers += [table.number("r", below=side, or_equal=True)] if kind == "box" else []
        shape = Shape(
            kind=kind,
            role=role,
            numbers=tuple(float(number) for number in numbers if number is not None),
        )
    else:
        if kind:
            table.fault("shape", kind, "is not known", "write path, circle or box")
        return None  # which keys it may have is not known either
    table.finish()
    return shape


def _path(table: Table) -> tuple[tuple[str, tuple[float, ...]], ...] | None:
    """Letters with their numbers; None, with a fault, where the path cannot be drawn."""
    words = table.text("d", most=bounds.PATH_LETTERS)
    if not words:
        return None
    parts: list[tuple[str, list[float]]] = []
    for token in _TOKEN.findall(words):
        if token.isalpha():
            parts.append((token, []))
        elif parts:
            parts[-1][1].append(float(token))
    leftover = _TOKEN.sub("", words).replace(",", " ").strip()
    whole = parts and parts[0][0] == "M" and not leftover
    if not whole or any(
        letter not in _NUMBERS or len(numbers) != _NUMBERS[letter] for letter, numbers in parts
    ):
        table.fault(
            "d",
            words,
            "is not a path",
            'write it like "M 10 20 L 30 40 C 1 2 3 4 5 6 Z", a letter for every step',
        )
        return None
    if any(abs(number) > bounds.DRAWING_SIDE for _, numbers in parts for number in numbers):
        most = f"write numbers up to {bounds.DRAWING_SIDE}"
        table.fault("d", words, "has a number far outside of any drawing", most)
        return None
    return tuple((letter, tuple(numbers)) for letter, numbers in parts)
