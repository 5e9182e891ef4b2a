"""Blocks poured over the pages of a card: beside pictures that stand there already, with the room
that is left shared out."""

from __future__ import annotations

from collections.abc import Sequence

from oilchart.papers.card.blocks import Gap
from oilchart.papers.pdf.blocks import Block, repeated, space
from oilchart.papers.pdf.card_sizes import Setting
from oilchart.papers.pdf.page import Page

MOST_STRETCH = 3.0  # millimetres that the room between two pieces may grow


def poured(
    blocks: Sequence[Block], above: Sequence[Sequence[Block]], rooms: Sequence[float]
) -> list[list[Block]]:
    """Lay blocks out on pages below what stands on each already; the last room is that of all pages
    after it.

    What begins a page gets the heading it belongs to before it; a gap does not begin one.
    """
    pages = [list(above[0])]
    for chain in _chains(blocks):
        room = rooms[min(len(pages), len(rooms)) - 1]
        if pages[-1] and height_of(pages[-1]) + height_of(chain) > room + 0.01:
            if _is_gap(chain):
                continue
            again = [] if chain[0].again is None else [repeated(chain[0].again)]
            begun = list(above[len(pages)]) if len(pages) < len(above) else []
            # a page full of pictures
            while begun and height_of([*begun, *again, *chain]) > rooms[-1]:
                pages.append(begun)
                begun = list(above[len(pages)]) if len(pages) < len(above) else []
            pages.append([*begun, *again])
        if not _is_gap(chain) or pages[-1]:
            pages[-1] += chain
    return pages


def _chains(blocks: Sequence[Block]) -> list[list[Block]]:
    """The blocks in runs that stay on one page."""
    chains: list[list[Block]] = [[]]
    for block in blocks:
        chains[-1].append(block)
        if not block.with_next:
            chains.append([])
    return [chain for chain in chains if chain]


def _is_gap(chain: Sequence[Block]) -> bool:
    return all(isinstance(block, Gap) for block in chain)


def spread(blocks: Sequence[Block], room: float, settings: Setting) -> list[Block]:
    """The blocks of a page with the room that is left over shared out between its pieces, as far as
    that looks well."""
    kept = list(blocks)
    while kept and isinstance(kept[-1], Gap):
        kept.pop()
    gaps = sum(isinstance(block, Gap) for block in kept)
    more = (
        min(MOST_STRETCH * settings.form.scale, max(0.0, room - height_of(kept)) / gaps)
        if gaps
        else 0.0
    )
    return [space(block.height + more) if isinstance(block, Gap) else block for block in kept]


def abreast(blocks: Sequence[Block], apart: float) -> Block:
    """Blocks beside each other, the top of each at the same height."""

    def draw(page: Page, x: float, top: float) -> None:
        for at, block in enumerate(blocks):
            block.draw(page, x + at * apart, top)

    return Block(height=max(block.height for block in blocks), draw=draw)


def height_of(blocks: Sequence[Block]) -> float:
    return sum(block.height for block in blocks)
