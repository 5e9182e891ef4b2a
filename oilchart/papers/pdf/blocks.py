"""A document as blocks, one below the other, and how they are laid out on pages.

A block says what part of the document it is: a paragraph or a heading by its role, an item of a
list by the parts it is grouped in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace

from reportlab.lib.units import mm

from oilchart.papers.drawing.colours import INK, Look
from oilchart.papers.pdf.fonts import BOLD, LEADING, Line, Run, broken, text_width
from oilchart.papers.pdf.page import POINT_MM, Page, line_height
from oilchart.papers.pdf.structure_parts import Part, Role, as_part


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A piece of a document that is not broken between pages.

    Args:
        height: in millimetres, its space below included.
        draw: puts its ink on a page, its top left at x and top.
        inside: the parts of the document that it is a piece of, the outermost first; see `grouped`.
        with_next: stays on one page with the block after it.
        again: goes before it where it begins a page: the heading it belongs to.
    """

    height: float
    draw: Callable[[Page, float, float], None]
    with_next: bool = False
    again: Block | None = None
    inside: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TextStyle:
    """How a block of type is set and what it is, but for its size and width.

    Args:
        below: white space under it, in millimetres.
        indent: from its left edge, in millimetres.
        with_next: it stays on one page with the block after it.
        role: None for a piece of the part round it.
        struck: a line goes through its words.
    """

    below: float = 0.0
    indent: float = 0.0
    colour: str = INK
    with_next: bool = False
    role: Role | None = "P"
    struck: bool = False


PLAIN = TextStyle()
STRIKE = 0.68  # of the type size, from the top of a line down to where it is struck through
CONTINUED = Run("– continued")  # behind a heading that stood on the page before


def grouped(part: Part | Role, blocks: Sequence[Block]) -> list[Block]:
    """Blocks that are one part of the document together: a list, a table, a long paragraph."""
    whole = as_part(part)
    return [replace(block, inside=(whole, *block.inside)) for block in blocks]


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
            pages.append([] if chain[0].again is None else [repeated(chain[0].again)])
            used = sum(block.height for block in pages[-1])
        pages[-1] += chain
        used += height
        at = end + 1
    return pages


def place(page: Page, blocks: Sequence[Block], x: float, top: float) -> float:
    """Draw blocks one below the other.

    Returns:
        The bottom of the last one, in millimetres from the top of the page.
    """
    for block in blocks:
        with page.inside(block.inside) if block.inside else nullcontext():
            block.draw(page, x, top)
        top += block.height
    return top


def paragraph(runs: Sequence[Run], size: float, width: float, style: TextStyle = PLAIN) -> Block:
    """A paragraph, a heading or an item of a list.

    Args:
        size: of the type, in points.
        width: of the block, in millimetres, its indent included.
    """
    return typed(broken(runs, size, (width - style.indent) * mm), size, style)


def typed(lines: Sequence[Line], size: float, style: TextStyle = PLAIN) -> Block:
    """A block of lines of type that are broken already."""

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag(style.role) if style.role else nullcontext():
            page.lines(x + style.indent, top, lines, size, colour=style.colour)
        if style.struck:
            for at, line in enumerate(lines):
                words = "".join(word.text for word in line)
                blank = text_width(words[len(words.rstrip()) :], size, bold=line[-1].face == BOLD)
                wide = (sum(word.width for word in line) - blank) / mm
                middle = (at * LEADING + STRIKE) * size * POINT_MM
                page.rule(x + style.indent, top + middle, wide, colour=style.colour, line=0.8)

    return Block(
        height=len(lines) * line_height(size) + style.below,
        draw=draw,
        with_next=style.with_next,
    )


def under_heading(
    words: str, rows: Sequence[Block], size: float, width: float, style: TextStyle
) -> list[Block]:
    """A heading that stays with the first of the rows under it, and stands again where others of
    them begin a page.

    Args:
        rows: at least one.
        size: of the heading's type, in points.
        width: in millimetres.
    """
    bold = Run(words, bold=True)
    heading = paragraph([bold], size, width, style=replace(style, with_next=True))
    again = paragraph([bold, CONTINUED], size, width, style=replace(style, role="P"))
    first, *others = rows
    return [heading, first, *(replace(row, again=again) for row in others)]


def list_item(mark: str, words: Block, size: float, *, at: float = 0.0) -> Block:
    """An item of a list: words behind a mark.

    Args:
        words: indented by the room for the mark.
        size: of the mark's type, in points.
        at: how far the mark stands from the left, in millimetres.
    """

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("LI"):
            with page.tag("Lbl"):
                page.text(x + at, top, mark, size)
            with page.tag("LBody"):
                words.draw(page, x, top)

    return Block(height=words.height, draw=draw)


def space(height: float) -> Block:
    """An empty block."""
    return Block(height=height, draw=lambda page, x, top: None)


def padded_alike(columns: Sequence[Sequence[Block]]) -> list[list[Block]]:
    """Columns of blocks with room below, so that all are as high as the highest."""
    heights = [sum(block.height for block in column) for column in columns]
    return [
        [*column, space(max(heights) - height)]
        for column, height in zip(columns, heights, strict=True)
    ]


def side_by_side(blocks: Sequence[Block], pitch: float) -> Block:
    """Blocks in one row.

    Args:
        pitch: from the left of one to the left of the next, in millimetres.
    """

    def draw(page: Page, x: float, top: float) -> None:
        for at, block in enumerate(blocks):
            block.draw(page, x + at * pitch, top)

    return Block(height=max(block.height for block in blocks), draw=draw)


def framed(
    inner: Sequence[Block],
    width: float,
    *,
    look: Look,
    pad: float = 3.0,
    below: float = 3.0,
) -> Block:
    """A block of blocks in a round-cornered box, in millimetres.

    Args:
        inner: as wide as the box less twice its padding.
        look: the outline's width is in points.
    """
    height = sum(block.height for block in inner) + 2 * pad

    def draw(page: Page, x: float, top: float) -> None:
        page.box(x, top, width, height, look=look, radius=2.2)
        place(page, inner, x + pad, top + pad)

    return Block(height=height + below, draw=draw)


def repeated(heading: Block) -> Block:
    """A heading that stood on the page before too: it is not read twice."""

    def draw(page: Page, x: float, top: float) -> None:
        with page.artifact():
            heading.draw(page, x, top)

    return replace(heading, draw=draw)
