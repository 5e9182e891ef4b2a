"""What stands at the head and at the foot of a shop's papers: its colour, its logo, its line, the
number of the page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from functools import cache

from oilchart.core.point_lists.drawings import View
from oilchart.core.records.paper_style import Logo, PaperStyle
from oilchart.papers.drawing.colours import ACCENTS, LINE_GREY
from oilchart.papers.drawing.picture import Picture, picture
from oilchart.papers.pdf.blocks import Block, TextStyle, paragraph, place, space
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import Page
from oilchart.papers.wording import INVENTED

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


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFoot:
    """The foot of each page of a paper: its number on the right; on the left that all is invented,
    where it is.

    Args:
        left, width, top: where it stands, in millimetres.
        size: of its type, in points.
    """

    left: float
    width: float
    top: float
    size: float
    invented: bool

    def draw(self, page: Page, number: int, of: int) -> None:
        """Draw the foot of one page of so many."""
        if self.invented:
            with page.artifact() if number > 1 else nullcontext():
                page.text(self.left, self.top, INVENTED, self.size, colour=LINE_GREY)
        with page.artifact():
            right = self.left + self.width
            page.right(right, self.top, f"page {number} of {of}", self.size, colour=LINE_GREY)


def footed(
    pages: Sequence[list[Block]],
    style: PaperStyle,
    size: float,
    width: float,
    room: Callable[[int], float],
) -> list[list[Block]]:
    """Set the shop's line at the foot of the last page, on one more where there is no room.

    Args:
        room: the height in millimetres that a page, counted from 0, has for blocks.
    """
    if not style.footer.strip():
        return list(pages)
    line = paragraph([Run(style.footer)], size, width, style=TextStyle(colour=LINE_GREY))
    *before, last = pages
    left = room(len(before)) - sum(block.height for block in last) - line.height
    if left >= 0:
        return [*before, [*last, space(left), line]]
    return [*pages, [space(room(len(pages)) - line.height), line]]


def logo_size(logo: Logo, room: tuple[float, float] = LOGO) -> tuple[float, float]:
    """The logo's width and height on paper, in millimetres."""
    share = min(room[0] / logo.width, room[1] / logo.height)
    return logo.width * share, logo.height * share
