"""Ink on the pages of a PDF: type, boxes, discs, pictures; in millimetres from the top left."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager, nullcontext
from dataclasses import replace
from itertools import groupby
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from oilchart.papers.drawing.colours import (
    ACCENT,
    BLUE,
    INK,
    LINE_GREY,
    NUMBER_SIZE,
    WHITE,
    Look,
)
from oilchart.papers.drawing.picture import Picture
from oilchart.papers.pdf import drawing
from oilchart.papers.pdf.compress import pack_page
from oilchart.papers.pdf.fonts import (
    BOLD,
    LEADING,
    REGULAR,
    Line,
    clean,
    faces,
    on_paper,
    stretches,
    text_width,
)
from oilchart.papers.pdf.structure import LANGUAGE, DocumentInfo, write_info
from oilchart.papers.pdf.structure_parts import Part, Role, as_part
from oilchart.papers.pdf.tagging import Tags
from oilchart.papers.pdf.untagged import Untagged

POINT_MM: float = 1 / mm  # one point in millimetres
A4, US_LETTER = (210.0, 297.0), (215.9, 279.4)  # width and height in millimetres
PDF_VERSION = (1, 7)  # that of ISO 32000-1
TICKED, WRITTEN_ON = "box to tick", "line to write on"  # what is read in their place
WRITING = 6.0  # millimetres above a line that are written in


def line_height(size: float) -> float:
    """From one line of type of a size in points to the next, in millimetres."""
    return LEADING * size * POINT_MM


def words_width(words: str, size: float, *, bold: bool = False) -> float:
    """How wide words of a size in points are on one line, in millimetres."""
    return text_width(words, size, bold=bold) * POINT_MM


class Page:
    """A PDF being written, one page after another.

    Args:
        size: width and height of the sheet in millimetres.
        one_sided: a printer that follows such wishes leaves the backs of the sheets empty.
        tagged: the file says what its ink belongs to, for those who have it read out.
        accent: the colour that is put in for ACCENT.
    """

    def __init__(
        self,
        size: tuple[float, float],
        info: DocumentInfo,
        *,
        one_sided: bool = False,
        tagged: bool = True,
        accent: str = BLUE,
    ) -> None:
        faces()
        self._accent = accent
        self._area = size  # of the sheet, or of the card that is drawn on it now
        self._drawings = drawing.Drawings()
        self._canvas: Any = Canvas(
            io.BytesIO(),
            pagesize=(size[0] * mm, size[1] * mm),
            invariant=1,
            pageCompression=1,
            initialFontName=REGULAR,
            lang=LANGUAGE,
            pdfVersion=PDF_VERSION,
        )
        info = replace(
            info, title=clean(info.title), author=clean(info.author), subject=clean(info.subject)
        )
        self._canvas.setTitle(info.title)
        self._canvas.setAuthor(info.author)
        self._canvas.setSubject(info.subject)
        self._canvas.setCreator("oilchart")
        self._canvas.setViewerPreference("DisplayDocTitle", "true")
        write_info(self._canvas, info)
        self._tags = Tags(self._canvas) if tagged else Untagged(self._canvas)
        if one_sided:
            self._canvas.setViewerPreference("Duplex", "Simplex")

    @property
    def width(self) -> float:
        """Of the sheet; of the card while one is drawn on it, see `card`."""
        return self._area[0]

    @property
    def height(self) -> float:
        """Likewise; all that is drawn is measured down from there."""
        return self._area[1]

    def turn(self, pages: int = 1) -> None:
        """Begin the next page, or the one after it and leave one empty."""
        for _ in range(pages):
            self._tags.turn()
            pack_page(self._canvas)

    def finish(self) -> bytes:
        """The whole file."""
        self.turn()
        self._tags.finish()
        return bytes(self._canvas.getpdfdata())

    def tag(self, part: Part | Role) -> AbstractContextManager[None]:
        """All ink meanwhile belongs to a part of the document."""
        return self._tags.part(as_part(part))

    @contextmanager
    def inside(self, parts: Iterable[Part]) -> Iterator[None]:
        """All ink meanwhile belongs to the last of these parts, nested, the outermost first."""
        with ExitStack() as within:
            for part in parts:
                within.enter_context(self.tag(part))
            yield

    def artifact(self) -> AbstractContextManager[None]:
        """All ink meanwhile is there because a page begins or ends: it is not read."""
        return self._tags.artifact("Pagination")

    def read_in_turn(self, turn: float) -> AbstractContextManager[None]:
        """All ink meanwhile is read before ink of the same part with a higher number."""
        return self._tags.read_in_turn(turn)

    def figure(
        self, alt: str, x: float, top: float, width: float, height: float
    ) -> AbstractContextManager[None]:
        """All ink meanwhile is a drawing, in the place of which `alt` is read."""
        if isinstance(self._tags, Untagged):
            return nullcontext()
        ends = ((x, top + height), (x + width, top))
        corners = [
            self._canvas.absolutePosition(across * mm, (self.height - down) * mm)
            for across, down in ends
        ]
        (left, right), (low, up) = (sorted(along) for along in zip(*corners, strict=True))
        return self.tag(Part(role="Figure", alt=clean(alt), box=(left, low, right, up)))

    def tick(self, x: float, top: float, side: float, *, colour: str = LINE_GREY) -> None:
        """Draw a box to tick."""
        with self.figure(TICKED, x, top, side, side):
            self.box(x, top, side, side, look=Look(stroke=colour, width=0.9), radius=0.6)

    def blank(
        self, x: float, top: float, width: float, *, colour: str = INK, line: float = 0.5
    ) -> None:
        """Draw a line to write on."""
        with self.figure(WRITTEN_ON, x, top - WRITING, width, WRITING):
            self.rule(x, top, width, colour=colour, line=line)

    def lines(
        self, x: float, top: float, lines: Sequence[Line], size: float, *, colour: str = INK
    ) -> None:
        """Set lines of type, the first one's top at `top`."""
        with self._tags.paragraph():
            for at, line in enumerate(lines):
                baseline = top + (at * LEADING + 0.95) * size * POINT_MM
                along = x * mm
                for word in stretches(line):
                    self._letters(along, baseline, word.text, word.face, size, colour)
                    along += word.width

    def text(
        self,
        x: float,
        top: float,
        words: str,
        size: float,
        *,
        bold: bool = False,
        colour: str = INK,
    ) -> None:
        """Set one line of type as it is."""
        self._letters(
            x * mm,
            top + 0.95 * size * POINT_MM,
            clean(words) + " ",
            BOLD if bold else REGULAR,
            size,
            colour,
        )

    def right(
        self,
        x: float,
        top: float,
        words: str,
        size: float,
        *,
        bold: bool = False,
        colour: str = INK,
    ) -> None:
        """Set one line of type that ends at `x`."""
        width = words_width(clean(words), size, bold=bold)
        self.text(x - width, top, words, size, bold=bold, colour=colour)

    def box(
        self,
        x: float,
        top: float,
        width: float,
        height: float,
        *,
        look: Look,
        radius: float = 0,
    ) -> None:
        """Draw a box, round-cornered where a radius is given; its outline's width is in points."""
        self._style(look)
        self._canvas.roundRect(
            x * mm,
            (self.height - top - height) * mm,
            width * mm,
            height * mm,
            radius * mm,
            stroke=int(look.stroke is not None),
            fill=int(look.fill is not None),
        )

    def rule(
        self, x: float, top: float, width: float, *, colour: str = INK, line: float = 0.5
    ) -> None:
        """Draw a level line."""
        self._style(Look(stroke=colour, width=line))
        y = (self.height - top) * mm
        self._canvas.line(x * mm, y, (x + width) * mm, y)

    def shape(self, corners: Sequence[tuple[float, float]], *, look: Look) -> None:
        """Draw a closed figure; its outline's width is in points."""
        self._style(look)
        path = self._canvas.beginPath()
        (first_x, first_top), *others = corners
        path.moveTo(first_x * mm, (self.height - first_top) * mm)
        for x, top in others:
            path.lineTo(x * mm, (self.height - top) * mm)
        path.close()
        self._canvas.drawPath(
            path, stroke=int(look.stroke is not None), fill=int(look.fill is not None)
        )

    def cells(self, x: float, top: float, rows: Sequence[Sequence[bool]], side: float) -> None:
        """Fill the cells of a grid that are True; as one path, so that no seam shows."""
        self._style(Look(fill=INK))
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
        self._style(Look(fill=WHITE, stroke=BLUE, width=1.1))
        self._canvas.circle(x * mm, (self.height - top) * mm, 0.7 * size, stroke=1, fill=1)
        width = text_width(str(number), size * 0.85, bold=True)
        self._letters(
            x * mm - width / 2, top + 0.31 * size * POINT_MM, str(number), BOLD, size * 0.85, INK
        )

    def picture(self, x: float, top: float, picture: Picture, width: float) -> None:
        """Draw a picture with its callouts, scaled to a width; its height follows."""
        scale = width * mm / picture.width
        self._tags.lines()
        drawing.draw_picture(
            self._canvas, x * mm, (self.height - top) * mm, picture, scale, self._drawings
        )
        labels = [(callout.disc, str(callout.number)) for callout in picture.callouts]
        labels += [(detail.corner(picture), detail.letter) for detail in picture.details]
        size = NUMBER_SIZE * picture.number_scale * scale
        for (across, down), label in labels:
            middle = x * mm + across * scale - text_width(label, size, bold=True) / 2
            # the space keeps two numbers apart for those who read the file
            self._letters(
                middle,
                top + down * scale * POINT_MM + 0.36 * size * POINT_MM,
                f"{label} ",
                BOLD,
                size,
                INK,
            )

    @contextmanager
    def card(
        self, x: float, top: float, size: tuple[float, float], *, turned: int = 0
    ) -> Iterator[None]:
        """Draw a card on a larger sheet: meanwhile the page is as large as the card.

        Args:
            x, top: of the room it takes on the sheet.
            size: width and height of the card as it is read.
            turned: quarter turns to the left: 0, 1 or 3.
        """
        sheet = self._area
        width, height = size
        # of the card's own bottom left
        corners = {0: (x, top + height), 1: (x + height, top + width), 3: (x, top)}
        along, down = corners[turned]
        self._tags.close()
        self._canvas.saveState()
        self._canvas.translate(along * mm, (self.height - down) * mm)
        self._canvas.rotate(90 * turned)
        self._area = size
        yield
        self._tags.close()
        self._area = sheet
        self._canvas.restoreState()

    def _letters(
        self, along: float, baseline: float, text: str, face: str, size: float, colour: str
    ) -> None:
        """Set letters; a space behind them keeps words apart for those who read the file."""
        if not text.strip():
            return
        y = (self.height - baseline) * mm
        pieces = on_paper(text, face)
        self._tags.words(text, y + size, as_set="".join(letters for letters, _ in pieces) == text)
        self._canvas.setFillColor(drawing.colour(self._chosen(colour)))
        for letters, name in pieces:
            self._canvas.setFont(name, size)
            self._canvas.drawString(along, y, letters)
            along += pdfmetrics.stringWidth(letters, name, size)

    def _style(self, look: Look) -> None:
        """Begin to draw lines and areas."""
        self._tags.lines()
        fill = None if look.fill is None else self._chosen(look.fill)
        stroke = None if look.stroke is None else self._chosen(look.stroke)
        drawing.style(self._canvas, fill, stroke, look.width)

    def _chosen(self, colour: str) -> str:
        """The colour itself, or what is put in for it."""
        return self._accent if colour == ACCENT else colour
