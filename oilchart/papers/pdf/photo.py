"""A photo of a machine on a page, with what is said of it below."""

from __future__ import annotations

from dataclasses import replace

from oilchart.core.point_lists.drawings import View
from oilchart.papers.drawing.picture import picture
from oilchart.papers.pdf.blocks import Block, TextStyle, paragraph
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import Page
from oilchart.papers.photos import ShownPhoto


def photo_block(shown: ShownPhoto, size: float, room: tuple[float, float]) -> Block:
    """A photo as large as its room lets it be.

    Args:
        size: of its words, in points.
        room: width and height in millimetres.
    """
    words = paragraph([Run(shown.words)], size, room[0], style=TextStyle(below=3))
    share = min(room[0] / shown.width, (room[1] - words.height) / shown.height)
    width, height = shown.width * share, shown.height * share
    view = View(
        id="photo",
        name="Photo",
        alt=shown.words,
        width=shown.width,
        height=shown.height,
        shapes=(),
        photo=shown.photo,
    )
    drawn = picture(view, ())
    margin = drawn.margin * share

    def draw(page: Page, x: float, top: float) -> None:
        with page.figure(shown.words, x, top, width, height):
            page.picture(x - margin, top - margin, drawn, width + 2 * margin)
        words.draw(page, x, top + height + 1)

    return replace(words, height=height + 1 + words.height, draw=draw)
