"""The pieces that a record is put together of: sections, lists, and the places worked on in small
type."""

from __future__ import annotations

from collections.abc import Sequence

from oilchart.papers.drawing.colours import ACCENT
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    grouped,
    list_item,
    paragraph,
    side_by_side,
    space,
    under_heading,
)
from oilchart.papers.pdf.fit_text import flowing
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import A4, line_height
from oilchart.papers.pdf.pages import even_frame
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.record.serviced import SINGLY, Serviced
from oilchart.papers.record.story import Told

TYPE = 11.0
SMALL = 9.0  # of what the bench reads
FRAME = even_frame(A4, edge=15.0, type_size=TYPE, gap=3)
WIDE = FRAME.width
LINE = line_height(TYPE)
GUTTER = 6.0
COLUMN = (WIDE - GUTTER) / 2
PITCH = COLUMN + GUTTER
MARK = 4.0  # before an item of a list, for its dash
LONG = 12  # lines; a longer item of a list may go on over pages
FEW = 6  # places that stand in one sentence


def section(words: str, blocks: Sequence[Block]) -> list[Block]:
    """What is told under a heading; nothing where there is nothing to tell."""
    return [*heading(words), *blocks] if blocks else []


def heading(words: str) -> list[Block]:
    """A heading that stays with what is under it."""
    return [
        space(1.5),
        paragraph(
            [Run(words, bold=True)],
            13,
            WIDE,
            style=TextStyle(colour=ACCENT, below=0.6, with_next=True, role="H2"),
        ),
    ]


def said(words: str) -> list[Block]:
    """Words of any length as a paragraph; nothing where there are none."""
    return flowing([Run(words)], TYPE, WIDE, style=TextStyle(below=0.8)) if words.strip() else []


def listed(items: Sequence[Sequence[Block]]) -> list[Block]:
    """A list of items."""
    return grouped(Part(role="L", numbering="Disc"), [block for item in items for block in item])


def item(runs: Sequence[Run]) -> list[Block]:
    """An item of a list: words behind a dash; very long ones may go on over pages."""
    style = TextStyle(indent=MARK, below=0.6)
    words = paragraph(runs, TYPE, WIDE, style=style)
    if words.height <= LONG * LINE:
        return [list_item("–", words, TYPE, at=0.6)]
    lines = flowing(runs, TYPE, WIDE - MARK, style=style)
    return grouped("LI", grouped("LBody", lines))


def told_runs(told: Told) -> list[Run]:
    """A heading with its words, as a sentence."""
    if not told.heading:
        return [Run(ended(told.words))]
    if not told.words:
        return [Run(ended(told.heading), bold=True)]
    return [Run(f"{told.heading}:", bold=True), Run(ended(told.words))]


def ended(words: str) -> str:
    """Words as a sentence, with a full stop unless they have an end of their own."""
    return words if words.endswith((".", "!", "?", "…")) else f"{words}."


def places_blocks(serviced: Serviced) -> list[Block]:
    """The places by themselves, for the bench; a few of them in one sentence."""
    if not serviced.places:
        return []
    others = paragraph([Run(serviced.others)], SMALL, WIDE) if serviced.others else space(0)
    if sum(len(kind.places) for kind in serviced.places) <= FEW:
        runs = [Run(f"{SINGLY}:", bold=True)]
        for kind in serviced.places:
            runs += [Run(f"{kind.heading}:", bold=True), Run(ended("; ".join(kind.places)))]
        return [space(1.5), paragraph(runs, SMALL, WIDE), others]
    blocks = heading(SINGLY)
    for kind in serviced.places:
        style = TextStyle(below=0.4, role="H3")
        rows = _in_columns(kind.places)
        blocks += [*under_heading(kind.heading, rows, SMALL, WIDE, style), space(1)]
    return [*blocks, others]


def _in_columns(places: Sequence[str]) -> list[Block]:
    """Places in two columns, in small type, read from left to right."""
    items = [_small_item(place) for place in places]
    return listed([[side_by_side(items[at : at + 2], PITCH)] for at in range(0, len(items), 2)])


def _small_item(place: str) -> Block:
    words = paragraph([Run(place)], SMALL, COLUMN, style=TextStyle(indent=MARK, below=0.3))
    return list_item("–", words, SMALL, at=0.6)
