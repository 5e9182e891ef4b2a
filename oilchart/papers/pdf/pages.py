"""The pages of a paper: blocks between a running head and the foot with the number of the page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass

from oilchart.papers.drawing.colours import ACCENT, LINE_GREY
from oilchart.papers.pdf.blocks import Block, place
from oilchart.papers.pdf.fit_text import short
from oilchart.papers.pdf.page import Page, line_height
from oilchart.papers.wording import INVENTED


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFrame:
    """Where things stand on the pages of a paper, in millimetres from the left and the top of the
    sheet; sizes of type in points.

    Args:
        left, width: of all that stands on a page.
        first_top: where the blocks of the first page begin.
        later_top: where those of every page after it begin.
        bottom: where the blocks end.
        head_top, head_size: of the running head, on every page but the first.
        foot_top, foot_size: of the number of the page.
        numbers_one: a page that is the only one has its number, too.
    """

    left: float
    width: float
    first_top: float
    later_top: float
    bottom: float
    head_top: float
    head_size: float
    foot_top: float
    foot_size: float
    numbers_one: bool = True

    def top(self, at: int) -> float:
        """Where the blocks of a page, counted from 0, begin."""
        return self.later_top if at else self.first_top

    def room(self, at: int) -> float:
        """The height that a page, counted from 0, has for blocks."""
        return self.bottom - self.top(at)


def even_frame(
    sheet: tuple[float, float], *, edge: float, type_size: float, gap: float
) -> PageFrame:
    """The frame of a paper with one edge all round, its head and foot in one size of type.

    Args:
        gap: between the blocks and the foot, in millimetres.
    """
    width, height = sheet
    line = line_height(type_size)
    foot_top = height - edge - line
    return PageFrame(
        left=edge,
        width=width - 2 * edge,
        first_top=edge,
        later_top=edge + line + 3,
        bottom=foot_top - gap,
        head_top=edge,
        head_size=type_size,
        foot_top=foot_top,
        foot_size=type_size,
    )


def draw_pages(
    page: Page,
    pages: Sequence[Sequence[Block]],
    frame: PageFrame,
    *,
    head: str,
    invented: bool,
    above: Callable[[int], None] | None = None,
    head_colour: str = ACCENT,
) -> None:
    """Draw the pages of a paper, the first on the page that is begun.

    Args:
        head: stands above every page but the first, cut where it is too wide.
        invented: the foot says that all is invented.
        above: draws what else stands above the blocks of a page, counted from 0.
    """
    running = short(head, frame.head_size, frame.width)
    for at, blocks in enumerate(pages):
        if at:
            page.turn()
            with page.artifact():
                page.text(frame.left, frame.head_top, running, frame.head_size, colour=head_colour)
        if above is not None:
            above(at)
        place(page, blocks, frame.left, frame.top(at))
        if invented:
            with page.artifact() if at else nullcontext():
                page.text(frame.left, frame.foot_top, INVENTED, frame.foot_size, colour=LINE_GREY)
        if len(pages) > 1 or frame.numbers_one:
            count = f"page {at + 1} of {len(pages)}"
            right = frame.left + frame.width
            with page.artifact():
                page.right(right, frame.foot_top, count, frame.foot_size, colour=LINE_GREY)
