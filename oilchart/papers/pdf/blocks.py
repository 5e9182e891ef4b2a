"""Knows a document as blocks, one below the other: paragraphs, headings, framed boxes, and how they
are laid out on pages.

A block says what part of the document it is: a paragraph or a heading by its role, an item of a
list by the parts it is grouped in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace

from reportlab.lib.units import mm

from oilchart.papers.drawing.colours import INK
from oilchart.papers.pdf.fonts import LEADING, Line, Run, broken
from oilchart.papers.pdf.page import POINT_MM, Page
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


def grouped(part: Part | Role, blocks: Sequence[Block]) -> list[Block]:
    """Blocks that are one part of the document together, on one page or over pages: a list, a
    table, a long paragraph."""
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
    """Draw blocks one below the other; the bottom of the last is given back."""
    for block in blocks:
        with page.inside(block.inside) if block.inside else nullcontext():
            block.draw(page, x, top)
        top += block.height
    return top


def paragraph(
    runs: Sequence[Run],
    size: float,
    width: float,
    *,
    below: float = 0,
    indent: float = 0,
    colour: str = INK,
    with_next: bool = False,
    role: Role = "P",
) -> Block:
    """A block of type of a width, in millimetres: a paragraph, a heading, an item of a list."""
    return typed(
        broken(runs, size, (width - indent) * mm),
        size,
        below=below,
        indent=indent,
        colour=colour,
        with_next=with_next,
        role=role,
    )


def typed(
    lines: Sequence[Line],
    size: float,
    *,
    below: float = 0,
    indent: float = 0,
    colour: str = INK,
    with_next: bool = False,
    role: Role | None = "P",
) -> Block:
    """A block of lines of type; without a role it is a piece of the part round it."""

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag(role) if role else nullcontext():
            page.lines(x + indent, top, lines, size, colour=colour)

    return Block(
        height=len(lines) * LEADING * size * POINT_MM + below, draw=draw, with_next=with_next
    )


def space(height: float) -> Block:
    """An empty block."""
    return Block(height=height, draw=lambda page, x, top: None)


def framed(
    inner: Sequence[Block],
    width: float,
    *,
    fill: str | None,
    stroke: str,
    line: float = 1.2,
    pad: float = 3.0,
    below: float = 3.0,
) -> Block:
    """A block of blocks in a round-cornered box; the inner ones are `width` less twice the
    padding."""
    height = sum(block.height for block in inner) + 2 * pad

    def draw(page: Page, x: float, top: float) -> None:
        page.box(x, top, width, height, fill=fill, stroke=stroke, line=line, radius=2.2)
        place(page, inner, x + pad, top + pad)

    return Block(height=height + below, draw=draw)


def repeated(heading: Block) -> Block:
    """A heading that stood on the page before too: it is not read twice."""

    def draw(page: Page, x: float, top: float) -> None:
        with page.artifact():
            heading.draw(page, x, top)

    return replace(heading, draw=draw)
