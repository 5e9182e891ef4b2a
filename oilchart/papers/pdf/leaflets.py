"""The sides of cards as one file, a page a side."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from oilchart.papers.pdf.blocks import Block, place
from oilchart.papers.pdf.card_sizes import CardFormat
from oilchart.papers.pdf.fonts import clean
from oilchart.papers.pdf.page import Page
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.pdf.structure_parts import Part

Side = Callable[[Page], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaflet:
    """A card, or what takes its place, laid out on one size.

    Args:
        title: of a file of it alone.
        sides: in the order in which they are read.
        faults: what is wrong with the numbers on its drawings, for the technician; empty as it
            should be.
    """

    title: str
    subject: str
    author: str
    sides: tuple[Side, ...]
    faults: tuple[str, ...] = ()


def leaflets_pdf(leaflets: Iterable[Leaflet], form: CardFormat, *, batch_title: str = "") -> bytes:
    """Write leaflets one after another; printed on both sides, each begins on a leaf of its own.

    Args:
        leaflets: at least one; each is drawn before the next is asked for.
        batch_title: what many are called together. Their file is for the printer: it is not tagged,
            and has a bookmark for each of them.
    """
    coming = iter(leaflets)
    before = next(coming)
    page = begun(before, form.size, batch_title)
    _draw(page, before, batch_title)
    for leaflet in coming:
        page.turn(2 if len(before.sides) % 2 else 1)
        _draw(page, leaflet, batch_title)
        before = leaflet
    return page.finish()


def _draw(page: Page, leaflet: Leaflet, batch_title: str) -> None:
    """Draw the sides of a leaflet, the first on the page that is begun."""
    whole = part_of(leaflet, batch_title)
    for at, side in enumerate(leaflet.sides):
        if at:
            page.turn()
        with page.inside(whole):
            side(page)


def begun(first: Leaflet, size: tuple[float, float], batch_title: str) -> Page:
    """A file in the name of its only leaflet, or of the batch it begins."""
    return Page(
        size,
        DocumentInfo(
            title=batch_title or first.title,
            author=first.author,
            subject=first.subject,
        ),
        tagged=not batch_title,
    )


def part_of(leaflet: Leaflet, batch_title: str) -> tuple[Part, ...]:
    """What a leaflet is in its file: a section of a batch, or all of it."""
    return (Part(role="Sect", title=clean(leaflet.title)),) if batch_title else ()


def side_of_blocks(blocks: Sequence[Block], edge: float, number: int) -> Side:
    """A side of blocks within an edge.

    Each block says when it is read, since sheets have their sides in an order of their own.

    Args:
        edge: white margin in millimetres.
        number: of the side, as it is read.
    """

    def draw(page: Page) -> None:
        top = edge
        for at, block in enumerate(blocks):
            with page.read_in_turn(number + at / len(blocks)):
                top = place(page, [block], edge, top)

    return draw
