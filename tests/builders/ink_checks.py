"""Looks at a PDF from outside: its words, sizes and faces, and where its ink lies."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any

import pypdf
import pytest
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from oilchart.papers.pdf.drawing import AROUND

# Names that have broken papers elsewhere: markup, entities, quotes, line ends, controls, no glyph,
# right to left, no blank, no letter.
HOSTILE = (
    "<b>bold</b> & </para> &lt; &amp;",
    "\"double\" 'single' “curly” {{ name }} %s \\",
    "first line\nsecond\r\nthird\ttab\x00\x0c\u202ereversed",
    "Zoë 🧵🪡 👩\u200d🔧 \ud83d",
    "שרה כהן / فاطمة الزهراء",
    "W" * 300,
    "many words " * 300,
    " ",
)


@dataclass(frozen=True, slots=True)
class Ink:
    """Words or a box on a page, in millimetres from its top left; the size of the type is in
    points."""

    words: str
    left: float
    top: float
    right: float
    bottom: float
    page: tuple[float, float]
    number: int = 1
    size: float = 0.0

    def within(self, margin: float) -> bool:
        """Whether it keeps a margin on all sides of its page."""
        wide, high = self.page
        return (
            self.left >= margin
            and self.top >= margin
            and self.right <= wide - margin + 0.01
            and self.bottom <= high - margin + 0.01
        )


@contextmanager
def inked() -> Iterator[list[Ink]]:
    """Watch all words and boxes that are put on pages meanwhile; a drawing counts as one box."""
    seen: list[Ink] = []
    set_words, draw_box, begin, end, put = (
        Canvas.drawString,
        Canvas.roundRect,
        Canvas.beginForm,
        Canvas.endForm,
        Canvas.doForm,
    )
    drawings: dict[str, tuple[float, ...]] = {}
    open_drawings: list[str] = []

    def note(canvas: Any, words: str, left: float, low: float, right: float, high: float) -> None:
        page = canvas._pagesize
        (left, low), (right, high) = (
            canvas.absolutePosition(*corner) for corner in ((left, low), (right, high))
        )
        left, right, low, high = min(left, right), max(left, right), min(low, high), max(low, high)
        size = canvas._fontsize if words else 0.0
        box = left / mm, (page[1] - high) / mm, right / mm, (page[1] - low) / mm
        seen.append(Ink(words, *box, (page[0] / mm, page[1] / mm), canvas._pageNumber, size))

    def watched_words(canvas: Any, x: float, y: float, words: str, *more: Any, **named: Any) -> Any:
        size = canvas._fontsize
        seen_words = words.rstrip()  # the space between two words is set with the first of them
        note(
            canvas,
            seen_words,
            x,
            y - 0.24 * size,
            x + stringWidth(seen_words, canvas._fontname, size),
            y + 0.76 * size,
        )
        return set_words(canvas, x, y, words, *more, **named)

    def watched_box(
        canvas: Any, x: float, y: float, wide: float, high: float, *more: Any, **named: Any
    ) -> Any:
        if not open_drawings:
            note(canvas, "", x, y, x + wide, y + high)
        return draw_box(canvas, x, y, wide, high, *more, **named)

    def watched_begin(
        canvas: Any, name: str, left: float, low: float, right: float, high: float
    ) -> Any:
        drawings[name] = (left + AROUND, low + AROUND, right - AROUND, high - AROUND)
        open_drawings.append(name)
        return begin(canvas, name, left, low, right, high)

    def watched_end(canvas: Any) -> Any:
        open_drawings.pop()
        return end(canvas)

    def watched_put(canvas: Any, name: str) -> Any:
        note(canvas, "", *drawings[name])
        return put(canvas, name)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Canvas, "drawString", watched_words)
        patch.setattr(Canvas, "roundRect", watched_box)
        patch.setattr(Canvas, "beginForm", watched_begin)
        patch.setattr(Canvas, "endForm", watched_end)
        patch.setattr(Canvas, "doForm", watched_put)
        yield seen


def pages_of(pdf: bytes) -> list[str]:
    """The words of each page, on one line."""
    return [
        " ".join(page.extract_text().split())
        for page in pypdf.PdfReader(io.BytesIO(pdf), strict=True).pages
    ]


def words_in(pdf: bytes) -> str:
    """All its words, on one line."""
    return " ".join(pages_of(pdf))


def sizes_of(pdf: bytes) -> set[tuple[int, int]]:
    """The sizes of its pages in whole millimetres."""
    boxes = [page.mediabox for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    return {(round(float(box.width) / mm), round(float(box.height) / mm)) for box in boxes}


def fonts_of(pdf: bytes) -> list[Any]:
    """The fonts of each of its pages, as pypdf has them: dictionaries by PDF's own names."""
    resources: list[Any] = [page["/Resources"] for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    return [font.get_object() for each in resources for font in each["/Font"].values()]


def embedded_faces(pdf: bytes) -> set[str]:
    """The faces it uses; one that is not embedded fails the test."""
    fonts = fonts_of(pdf)
    assert [
        font["/BaseFont"] for font in fonts if "/FontFile2" not in font["/FontDescriptor"]
    ] == []
    return {font["/BaseFont"].rpartition("+")[2] for font in fonts}


def not_counted(pdf: bytes) -> list[int]:
    """The numbers of pages that do not say "page x of y"."""
    pages = pages_of(pdf)
    return [
        at for at, words in enumerate(pages, start=1) if f"page {at} of {len(pages)}" not in words
    ]


def contrast(one: str, other: str) -> float:
    """Between two colours like #0b4f8a.

    Source: WCAG 2.2, the definitions of relative luminance and contrast ratio.
    """
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@cache
def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
