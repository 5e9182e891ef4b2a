"""What stands at the head and at the foot of a shop's papers: its colour, its logo, its line."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from oilchart.core.point_lists.drawings import View
from oilchart.core.records.paper_style import Logo, PaperStyle
from oilchart.papers.drawing.colours import ACCENTS, LINE_GREY
from oilchart.papers.drawing.picture import Picture, picture
from oilchart.papers.pdf.blocks import Block, TextStyle, paragraph, place, space
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import Page
from oilchart.papers.pdf.pages import PageFrame

LOGO = (50.0, 20.0)  # the room it has at most, in millimetres
LOGO_TOLD = "The shop's logo."  # what is read in its place
BESIDE = 4.0  # between it and the words


def accent(style: PaperStyle) -> str:
    """The colour of headings and frames."""
    return ACCENTS[style.colour]


def head_width(style: PaperStyle, width: float) -> float:
    """The width that is left for words at the head of a paper, in millimetres."""
    return width if style.logo is None else width - logo_size(style.logo)[0] - BESIDE


def headed(blocks: Sequence[Block], style: PaperStyle, width: float) -> list[Block]:
    """Set the logo to the right of as many first blocks of a paper as stand beside it.

    Args:
        blocks: no wider than `head_width`.
    """
    if style.logo is None:
        return list(blocks)
    logo_wide, logo_high = logo_size(style.logo)
    at, height = 0, 0.0
    while at < len(blocks) and (height < logo_high or blocks[at - 1].with_next):
        height += blocks[at].height
        at += 1
    drawn = logo_block(style.logo)

    def draw(page: Page, x: float, top: float) -> None:
        place(page, blocks[:at], x, top)
        drawn.draw(page, x + width - logo_wide, top)

    return [Block(height=max(height, logo_high + 1), draw=draw), *blocks[at:]]


def logo_block(logo: Logo, room: tuple[float, float] = LOGO) -> Block:
    """The logo as large as its room lets it be."""
    width, height = logo_size(logo, room)
    shown = _as_picture(logo)
    margin = shown.margin * width / logo.width

    def draw(page: Page, x: float, top: float) -> None:
        with page.figure(LOGO_TOLD, x, top, width, height):
            page.picture(x - margin, top - margin, shown, width + 2 * margin)

    return Block(height=height, draw=draw)


@cache
def _as_picture(logo: Logo) -> Picture:
    """The logo as a drawing without numbers; always the same one, so that a file has it once."""
    return picture(
        View(
            id="logo",
            name="Logo",
            alt=LOGO_TOLD,
            width=logo.width,
            height=logo.height,
            shapes=(),
            photo=logo.photo,
        ),
        (),
    )


def footed(pages: Sequence[list[Block]], style: PaperStyle, frame: PageFrame) -> list[list[Block]]:
    """Set the shop's line at the foot of the last page, on one more where there is no room."""
    if not style.footer.strip():
        return list(pages)
    grey = TextStyle(colour=LINE_GREY)
    line = paragraph([Run(style.footer)], frame.foot_size, frame.width, style=grey)
    *before, last = pages
    left = frame.room(len(before)) - sum(block.height for block in last) - line.height
    if left >= 0:
        return [*before, [*last, space(left), line]]
    return [*pages, [space(frame.room(len(pages)) - line.height), line]]


def logo_size(logo: Logo, room: tuple[float, float] = LOGO) -> tuple[float, float]:
    """The logo's width and height on paper, in millimetres."""
    share = min(room[0] / logo.width, room[1] / logo.height)
    return logo.width * share, logo.height * share
