"""Lines, areas and pictures drawn on a reportlab canvas, in the units of the canvas."""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import cache
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.utils import ImageReader

from oilchart.core.point_lists.drawings import Photo, View
from oilchart.papers.drawing.colours import (
    CASING,
    DETAIL,
    LEADER,
    NUMBER_DISC,
    ROLES,
    SPOT,
    SPOT_RADIUS,
    Look,
)
from oilchart.papers.drawing.picture import Picture

AROUND = 60.0  # drawing units round a drawing in which its lines may still be seen


@cache
def colour(code: str) -> Any:
    """A colour as the canvas wants it.

    Args:
        code: "#1f3a5f".
    """
    return HexColor(code)


class Drawings:
    """The drawings in one file: each is written once, however often it is shown."""

    def __init__(self) -> None:
        # by the view itself, which is kept, so that no other one gets its id
        self._names: dict[tuple[int, float], tuple[str, View]] = {}

    def written(self, canvas: Any, view: View, zoom: float) -> str:
        """Write a drawing, unless the file has it already, as what PDF calls a form XObject.

        Args:
            zoom: the enlargement that its lines are to suit.

        Returns:
            Its name in the file.
        """
        known = self._names.get((id(view), zoom))
        if known is not None:
            return known[0]
        name = f"drawing{len(self._names)}"
        self._names[id(view), zoom] = name, view
        canvas.beginForm(name, -AROUND, -AROUND, view.width + AROUND, view.height + AROUND)
        canvas.setLineJoin(1)
        canvas.setLineCap(1)
        _art(canvas, view, zoom)
        canvas.endForm()
        return name


def style(canvas: Any, fill: str | None, stroke: str | None, line: float) -> None:
    """What is drawn next has these colours, and unbroken lines of this width in points."""
    if fill is not None:
        canvas.setFillColor(colour(fill))
    if stroke is not None:
        canvas.setStrokeColor(colour(stroke))
        canvas.setLineWidth(line)
    canvas.setDash()


def draw_picture(
    canvas: Any, x: float, y: float, shown: Picture, scale: float, drawings: Drawings
) -> None:
    """Draw a picture with its callouts, but not the numbers and letters in its discs.

    Args:
        x, y: its top left.
        scale: points to one of the picture's units.
    """
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(scale, -scale)
    canvas.setLineJoin(1)
    canvas.setLineCap(1)
    _drawing(canvas, shown, drawings)
    _details(canvas, shown)
    for look in (CASING, LEADER):
        _look(canvas, look, shown.number_scale)
        for callout in shown.callouts:
            canvas.line(*callout.place, *callout.disc)
    for callout in shown.callouts:
        _look(canvas, SPOT, shown.spot_scale)
        canvas.circle(*callout.place, SPOT_RADIUS * shown.spot_scale, stroke=1, fill=1)
        _look(canvas, NUMBER_DISC, shown.number_scale)
        canvas.circle(*callout.disc, shown.disc, stroke=1, fill=1)
    canvas.restoreState()


def _drawing(canvas: Any, shown: Picture, drawings: Drawings) -> None:
    """Draw what a picture shows of its drawing, cut at its frame where that is a part."""
    frame = shown.frame
    canvas.saveState()
    canvas.translate(shown.margin, shown.margin)
    canvas.scale(shown.zoom, shown.zoom)
    if shown.letter:
        window = canvas.beginPath()
        window.rect(0, 0, frame.width, frame.height)
        canvas.clipPath(window, stroke=0, fill=0)
    canvas.translate(-frame.x, -frame.y)
    canvas.doForm(drawings.written(canvas, shown.view, shown.zoom))
    canvas.restoreState()


def _art(canvas: Any, view: View, zoom: float) -> None:
    """Draw a whole drawing, its photo below its shapes."""
    if view.photo is not None:
        _photo(canvas, view, view.photo)
    for shape in view.shapes:
        look = ROLES[shape.role]
        _look(canvas, look, zoom**-0.5)
        ink = {"stroke": int(look.stroke is not None), "fill": int(look.fill is not None)}
        if shape.kind == "path":
            canvas.drawPath(_path(canvas.beginPath(), shape.path), **ink)
        elif shape.kind == "circle":
            canvas.circle(*shape.numbers, **ink)
        else:
            canvas.roundRect(*shape.numbers, **ink)


def _details(canvas: Any, shown: Picture) -> None:
    """Draw frames round the parts that are shown enlarged elsewhere, or round such a part."""
    frames = [detail.box(shown) for detail in shown.details]
    if shown.letter:
        frames.append(
            (
                shown.margin,
                shown.margin,
                shown.width - 2 * shown.margin,
                shown.height - 2 * shown.margin,
            )
        )
    for look in (CASING, DETAIL):
        _look(canvas, look, shown.number_scale)
        for box in frames:
            canvas.rect(*box, stroke=1, fill=0)
    for detail in shown.details:
        _look(canvas, NUMBER_DISC, shown.number_scale)
        canvas.circle(*detail.corner(shown), shown.disc, stroke=1, fill=1)


def _photo(canvas: Any, view: View, photo: Photo) -> None:
    """Put a photo where the drawing stands, whose y grows downwards."""
    canvas.saveState()
    canvas.translate(0, view.height)
    canvas.scale(1, -1)
    canvas.drawImage(ImageReader(io.BytesIO(photo.jpeg())), 0, 0, view.width, view.height)
    canvas.restoreState()


def _look(canvas: Any, look: Look, scale: float = 1.0) -> None:
    style(canvas, look.fill, look.stroke, look.width * scale)
    if look.dash:
        canvas.setDash([length * scale for length in look.dash])


def _path(path: Any, parts: Sequence[tuple[str, tuple[float, ...]]]) -> Any:
    draw = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}
    for letter, numbers in parts:
        draw[letter](*numbers)
    return path
