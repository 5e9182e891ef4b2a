"""Knows how a drawing is written: a display list of paths, circles and boxes, each with a role, or
a photo of the shop's own."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from oilchart.core.lists.point_list import Shape, View
from oilchart.errors import FaultyList
from oilchart.sources.files.toml_table import Table, read_toml

if TYPE_CHECKING:
    from oilchart.sources.files.photos import PhotoFile

ROLES = ("body", "part", "shade", "dark", "detail", "fine", "hidden", "wood", "tint")
MOST_ITEMS = 500
_NUMBERS = {"M": 2, "L": 2, "C": 6, "Z": 0}
_TOKEN = re.compile(r"[A-Za-z]|[-+]?\d*\.?\d+")


def read_view(path: Path, faults: list[str]) -> tuple[View, str | None, str | None]:
    """Read one drawing.

    Returns:
        The drawing with its own shapes only; the id of the drawing it is like, whose shapes, size
        and places it takes; and the id of a drawing whose places are its own too, though it is
        drawn anew.
    """
    table = Table(read_toml(path), str(path), faults)
    like, places_of = table.optional("like"), table.optional("places_of")
    photo = _photo(table, path.parent)
    size: tuple[Fraction | float | None, ...] = photo.size if photo else ()
    if photo is None:
        size = tuple(
            table.number(key, default=None if like is None else Fraction(0))
            for key in ("width", "height")
        )
    width, height = size
    items = table.tables("item", lambda at, item: f"item {at}")
    if len(items) > MOST_ITEMS:
        table.fault("item", len(items), "has too many items", f"keep to {MOST_ITEMS}")
    view = View(
        id=path.stem,
        name=table.text("name"),
        alt=table.text("alt"),
        width=float(width or 0),
        height=float(height or 0),
        shapes=tuple(shape for item in items if (shape := _shape(item)) is not None),
        photo=photo,
    )
    table.finish()
    return view, like, places_of


def _photo(table: Table, folder: Path) -> PhotoFile | None:
    """The photo a drawing is made of, None, with a fault, where it cannot be read."""
    name = table.optional("photo")
    if name is None:
        return None
    # only a shop that has photos waits for the library that reads them
    from oilchart.sources.files.photos import PhotoFile

    photo = PhotoFile(folder / name)
    try:
        assert photo.size
    except FaultyList as broken:
        table.faults += broken.faults
        return None
    return photo


def _shape(table: Table) -> Shape | None:
    kind, role = table.text("shape"), table.known_text("role", ROLES, "role")
    if kind == "path":
        path = _path(table)
        shape = None if path is None else Shape(kind=kind, role=role, path=path)
    elif kind in ("circle", "box"):
        numbers = [table.number(key, above=-1e4) for key in ("x", "y")]
        numbers += [
            table.number(key) for key in (("r",) if kind == "circle" else ("width", "height"))
        ]
        numbers += [table.number("r", or_equal=True)] if kind == "box" else []
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
    words = table.text("d")
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
    if not all(math.isfinite(number) for _, numbers in parts for number in numbers):
        table.fault("d", words, "has a number that is none", "write plain numbers")
        return None
    return tuple((letter, tuple(numbers)) for letter, numbers in parts)
