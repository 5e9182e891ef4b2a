"""Knows how to put ink on a PDF page: lines of type, boxes, discs, pictures; measured from the top left, in millimetres."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from oilchart.core.chart import View
from oilchart.papers.ink.lettering import BOLD, LEADING, REGULAR, Line, Run, broken, clean, faces, on_paper, stretches, width
from oilchart.papers.looks import BLUE, CASING, DETAIL, INK, LEADER, NUMBER_DISC, NUMBER_SIZE, ROLES, SPOT, SPOT_RADIUS, WHITE, Look
from oilchart.papers.picture import Picture

POINT_MM: float = 1 / mm  # one point in millimetres


class Page:
    """A PDF being written, one page after another.

    Args:
        size: width and height of the sheet in millimetres.
        one_sided: a printer that follows such wishes leaves the backs of the sheets empty.
    """

    def __init__(self, size: tuple[float, float], *, title: str, author: str, subject: str, language: str, one_sided: bool = False) -> None:
        faces()
        self.width, self.height = size
        self._bytes = io.BytesIO()
        self._canvas: Any = Canvas(
            self._bytes, pagesize=(size[0] * mm, size[1] * mm), invariant=1, pageCompression=1, initialFontName=REGULAR, lang=language
        )
        self._canvas.setTitle(clean(title))
        self._canvas.setAuthor(clean(author))
        self._canvas.setSubject(clean(subject))
        self._canvas.setCreator("oilchart")
        if one_sided:
            self._canvas.setViewerPreference("Duplex", "Simplex")

    def turn(self, pages: int = 1) -> None:
        """Begin the next page, or the one after it and leave one empty."""
        for _ in range(pages):
            self._canvas.showPage()

    def finish(self) -> bytes:
        """The whole file."""
        self._canvas.showPage()
        self._canvas.save()
        return self._bytes.getvalue()

    def lines(self, x: float, top: float, lines: Sequence[Line], size: float, *, colour: str = INK) -> None:
        """Set lines of type, the first one's top at `top`."""
        for at, line in enumerate(lines):
            baseline = top + (at * LEADING + 0.95) * size * POINT_MM
            along = x * mm
            for word in stretches(line):
                self._letters(along, baseline, word.text.rstrip(), word.face, size, colour)
                along += word.width

    def text(self, x: float, top: float, words: str, size: float, *, bold: bool = False, colour: str = INK) -> None:
        """Set one line of type as it is."""
        self._letters(x * mm, top + 0.95 * size * POINT_MM, clean(words), BOLD if bold else REGULAR, size, colour)

    def right(self, x: float, top: float, words: str, size: float, *, bold: bool = False, colour: str = INK) -> None:
        """Set one line of type that ends at `x`."""
        wide = width(clean(words), size, bold=bold) * POINT_MM
        self.text(x - wide, top, words, size, bold=bold, colour=colour)

    def box(
        self,
        x: float,
        top: float,
        wide: float,
        high: float,
        *,
        fill: str | None = None,
        stroke: str | None = INK,
        line: float = 0.8,
        radius: float = 0,
    ) -> None:
        """Draw a box, round-cornered where a radius is given; the line's width is in points."""
        self._style(fill, stroke, line)
        self._canvas.roundRect(
            x * mm,
            (self.height - top - high) * mm,
            wide * mm,
            high * mm,
            radius * mm,
            stroke=int(stroke is not None),
            fill=int(fill is not None),
        )

    def rule(self, x: float, top: float, wide: float, *, colour: str = INK, line: float = 0.5) -> None:
        """Draw a level line."""
        self._style(None, colour, line)
        y = (self.height - top) * mm
        self._canvas.line(x * mm, y, (x + wide) * mm, y)

    def shape(self, spots: Sequence[tuple[float, float]], *, fill: str | None, stroke: str | None, line: float = 0.8) -> None:
        """Draw a closed figure through spots."""
        self._style(fill, stroke, line)
        path = self._canvas.beginPath()
        for at, (x, top) in enumerate(spots):
            (path.lineTo if at else path.moveTo)(x * mm, (self.height - top) * mm)
        path.close()
        self._canvas.drawPath(path, stroke=int(stroke is not None), fill=int(fill is not None))

    def cells(self, x: float, top: float, rows: Sequence[Sequence[bool]], side: float) -> None:
        """Fill the cells of a grid that are True, all of them as one path, so that no seam shows between neighbours."""
        self._style(INK, None, 0)
        path = self._canvas.beginPath()
        for down, row in enumerate(rows):
            y = (self.height - top - (down + 1) * side) * mm
            at = 0
            for dark, stretch in groupby(row):
                count = sum(1 for _ in stretch)
                if dark:
                    path.rect((x + at * side) * mm, y, count * side * mm, side * mm)
                at += count
        self._canvas.drawPath(path, stroke=0, fill=1)

    def number(self, x: float, top: float, number: int, size: float) -> None:
        """Draw a number in a disc as it stands on the picture; `x`, `top` are the disc's middle."""
        self._style(WHITE, BLUE, 1.1)
        self._canvas.circle(x * mm, (self.height - top) * mm, 0.7 * size, stroke=1, fill=1)
        wide = width(str(number), size * 0.85, bold=True)
        self._letters(x * mm - wide / 2, top + 0.31 * size * POINT_MM, str(number), BOLD, size * 0.85, INK)

    def picture(self, x: float, top: float, picture: Picture, wide: float) -> None:
        """Draw a picture with its callouts, scaled to a width; its height follows."""
        canvas = self._canvas
        scale = wide * mm / picture.width
        canvas.saveState()
        canvas.translate(x * mm, (self.height - top) * mm)
        canvas.scale(scale, -scale)
        canvas.setLineJoin(1)
        canvas.setLineCap(1)
        self._drawing(picture)
        self._details(picture)
        for look in (CASING, LEADER):
            self._look(look, picture.grain)
            for callout in picture.callouts:
                canvas.line(*callout.place, *callout.disc)
        for callout in picture.callouts:
            self._look(SPOT, picture.spot_grain)
            canvas.circle(*callout.place, SPOT_RADIUS * picture.spot_grain, stroke=1, fill=1)
            self._look(NUMBER_DISC, picture.grain)
            canvas.circle(*callout.disc, picture.disc, stroke=1, fill=1)
        canvas.restoreState()
        for callout in picture.callouts:
            self._in_disc(x, top, callout.disc, str(callout.number), NUMBER_SIZE * picture.grain * scale, scale)
        for detail in picture.details:
            self._in_disc(x, top, detail.corner(picture), detail.letter, NUMBER_SIZE * picture.grain * scale, scale)

    def _drawing(self, picture: Picture) -> None:
        """Draw what a picture shows of its drawing, cut at its frame where that is a part."""
        canvas, frame = self._canvas, picture.frame
        canvas.saveState()
        canvas.translate(picture.margin, picture.margin)
        canvas.scale(picture.zoom, picture.zoom)
        if picture.letter:
            window = canvas.beginPath()
            window.rect(0, 0, frame.wide, frame.high)
            canvas.clipPath(window, stroke=0, fill=0)
        canvas.translate(-frame.x, -frame.y)
        if picture.view.photo is not None:
            self._photo(picture.view)
        for shape in picture.view.shapes:
            look = ROLES[shape.role]
            self._look(look, picture.zoom**-0.5)
            ink = {"stroke": int(look.stroke is not None), "fill": int(look.fill is not None)}
            if shape.kind == "path":
                canvas.drawPath(_path(canvas.beginPath(), shape.path), **ink)
            elif shape.kind == "circle":
                canvas.circle(*shape.numbers, **ink)
            else:
                canvas.roundRect(*shape.numbers, **ink)
        canvas.restoreState()

    def _details(self, picture: Picture) -> None:
        """Draw frames round the parts that are shown enlarged elsewhere, and round one that is such a part itself."""
        canvas = self._canvas
        frames = [detail.box(picture) for detail in picture.details]
        if picture.letter:
            frames.append((picture.margin, picture.margin, picture.width - 2 * picture.margin, picture.height - 2 * picture.margin))
        for look in (CASING, DETAIL):
            self._look(look, picture.grain)
            for box in frames:
                canvas.rect(*box, stroke=1, fill=0)
        for detail in picture.details:
            self._look(NUMBER_DISC, picture.grain)
            canvas.circle(*detail.corner(picture), picture.disc, stroke=1, fill=1)

    def _in_disc(self, x: float, top: float, disc: tuple[float, float], label: str, size: float, scale: float) -> None:
        """Set a number or a letter in its disc; the type size is in points."""
        middle = x * mm + disc[0] * scale - width(label, size, bold=True) / 2
        self._letters(middle, top + disc[1] * scale * POINT_MM + 0.36 * size * POINT_MM, label, BOLD, size, INK)

    @contextmanager
    def card(self, x: float, top: float, size: tuple[float, float], *, turned: int = 0) -> Iterator[None]:
        """Draw a card of its own size on a larger sheet: within, all is measured from the card's top left.

        Args:
            x, top: of the room it takes on the sheet.
            size: width and height of the card as it is read.
            turned: quarter turns to the left: 0, 1 or 3.
        """
        sheet = self.width, self.height
        wide, high = size
        corners = {0: (x, top + high), 1: (x + high, top + wide), 3: (x, top)}  # of the card's own bottom left
        along, down = corners[turned]
        self._canvas.saveState()
        self._canvas.translate(along * mm, (self.height - down) * mm)
        self._canvas.rotate(90 * turned)
        self.width, self.height = size
        yield
        self.width, self.height = sheet
        self._canvas.restoreState()

    def _photo(self, view: View) -> None:
        """Put a photo where the drawing stands, whose y grows downwards."""
        assert view.photo is not None
        self._canvas.saveState()
        self._canvas.translate(0, view.height)
        self._canvas.scale(1, -1)
        self._canvas.drawImage(ImageReader(io.BytesIO(view.photo.jpeg())), 0, 0, view.width, view.height)
        self._canvas.restoreState()

    def _letters(self, along: float, baseline: float, text: str, face: str, size: float, colour: str) -> None:
        self._canvas.setFillColor(HexColor(colour))
        pieces = on_paper(text, face)
        for at, (letters, name) in enumerate(pieces):
            along += pdfmetrics.stringWidth(*pieces[at - 1], size) if at else 0
            self._canvas.setFont(name, size)
            self._canvas.drawString(along, (self.height - baseline) * mm, letters)

    def _style(self, fill: str | None, stroke: str | None, line: float) -> None:
        if fill is not None:
            self._canvas.setFillColor(HexColor(fill))
        if stroke is not None:
            self._canvas.setStrokeColor(HexColor(stroke))
            self._canvas.setLineWidth(line)
        self._canvas.setDash()

    def _look(self, look: Look, grain: float = 1.0) -> None:
        self._style(look.fill, look.stroke, look.width * grain)
        if look.dash:
            self._canvas.setDash(*[[length * grain for length in look.dash]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A piece of a document that is not broken between pages.

    Args:
        height: in millimetres, its space below included.
        draw: puts its ink on a page, its top left at x and top.
        with_next: stays on one page with the block after it.
        again: goes before it where it begins a page: the heading it belongs to.
    """

    height: float
    draw: Callable[[Page, float, float], None]
    with_next: bool = False
    again: Block | None = None


def flow(blocks: Sequence[Block], rooms: Callable[[int], float]) -> list[list[Block]]:
    """Lay blocks out on pages.

    Args:
        rooms: the height in millimetres that a page, counted from 0, has for blocks.
    """
    pages: list[list[Block]] = [[]]
    used = 0.0
    at = 0
    while at < len(blocks):
        end = at
        while blocks[end].with_next and end + 1 < len(blocks):
            end += 1
        chain = blocks[at : end + 1]
        height = sum(block.height for block in chain)
        if pages[-1] and used + height > rooms(len(pages) - 1):
            pages.append([] if chain[0].again is None else [chain[0].again])
            used = sum(block.height for block in pages[-1])
        pages[-1] += chain
        used += height
        at = end + 1
    return pages


def place(page: Page, blocks: Sequence[Block], x: float, top: float) -> float:
    """Draw blocks one below the other; the bottom of the last is given back."""
    for block in blocks:
        block.draw(page, x, top)
        top += block.height
    return top


def paragraph(
    runs: Sequence[Run],
    size: float,
    wide: float,
    *,
    below: float = 0,
    indent: float = 0,
    colour: str = INK,
    with_next: bool = False,
) -> Block:
    """A block of type of a width, in millimetres."""
    lines = broken(runs, size, (wide - indent) * mm)
    return Block(
        height=len(lines) * LEADING * size * POINT_MM + below,
        draw=lambda page, x, top: page.lines(x + indent, top, lines, size, colour=colour),
        with_next=with_next,
    )


def space(height: float) -> Block:
    """An empty block."""
    return Block(height=height, draw=lambda page, x, top: None)


def framed(
    inner: Sequence[Block], wide: float, *, fill: str | None, stroke: str, line: float = 1.2, pad: float = 3.0, below: float = 3.0
) -> Block:
    """A block of blocks in a round-cornered box; the inner ones are `wide` less twice the padding."""
    high = sum(block.height for block in inner) + 2 * pad

    def draw(page: Page, x: float, top: float) -> None:
        page.box(x, top, wide, high, fill=fill, stroke=stroke, line=line, radius=2.2)
        place(page, inner, x + pad, top + pad)

    return Block(height=high + below, draw=draw)


def _path(path: Any, parts: Sequence[tuple[str, tuple[float, ...]]]) -> Any:
    draw = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}
    for letter, numbers in parts:
        draw[letter](*numbers)
    return path
