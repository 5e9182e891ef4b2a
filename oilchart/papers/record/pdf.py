"""The service record as a PDF: A4, 11 point type or more, as many pages as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from oilchart.papers.drawing.colours import ACCENT, CAUTION, RUST, Look
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    flow,
    framed,
    grouped,
    list_item,
    paragraph,
    side_by_side,
    space,
    under_heading,
)
from oilchart.papers.pdf.fit_text import flowing, largest_fitting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.home_boxes import home_boxes
from oilchart.papers.pdf.letterhead import accent, footed, head_width, headed
from oilchart.papers.pdf.page import A4, Page, line_height
from oilchart.papers.pdf.pages import draw_pages, even_frame
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.record.content import (
    DONE_HEADING,
    FOUND_HEADING,
    NO_COMPLAINT,
    NOTE_HEADING,
    NOTHING_DONE,
    NOTHING_FOUND,
    RECEIVED_HEADING,
    Remaining,
    ServiceSheet,
)

TYPE = 11.0
FRAME = even_frame(A4, edge=15.0, type_size=TYPE, gap=3)
WIDE = FRAME.width
LINE = line_height(TYPE)
GUTTER = 6.0
COLUMN = (WIDE - GUTTER) / 2
PITCH = COLUMN + GUTTER
MARK = 4.0  # before a place in a list, for its dash
LONG = 12  # lines; a reason longer than that does not stand in a box, which cannot go on over pages
SIGN_ROW = 13.0
TITLE_SIZES = ((18.0, 2), (13.0, 20))


def record_pdf(sheet: ServiceSheet) -> bytes:
    """Write the record, with page x of y on every page."""
    page = Page(
        A4,
        DocumentInfo(
            title=f"{sheet.title}, {sheet.machine}",
            author=sheet.shop.name,
            subject="Service record",
        ),
        accent=accent(sheet.style),
    )
    draw_pages(
        page,
        footed(flow(_blocks(sheet), FRAME.room), sheet.style, FRAME),
        FRAME,
        head=f"{sheet.title} · {sheet.machine}",
        invented=sheet.shop.invented,
    )
    return page.finish()


def record_words(sheet: ServiceSheet) -> list[str]:
    """All words of the record that come from the shop and the owner."""
    shop = sheet.shop
    words = [sheet.title, sheet.machine, *sheet.unsafe, sheet.received, sheet.note]
    return [*words, shop.name, shop.phone, shop.email, *shop.address, sheet.style.footer]


def _blocks(sheet: ServiceSheet) -> list[Block]:
    beside = head_width(sheet.style, WIDE)
    head = [
        largest_fitting(
            sheet.title,
            TITLE_SIZES,
            beside,
            bold=True,
            style=TextStyle(colour=ACCENT, below=1, role="H1"),
        ),
        paragraph([Run(sheet.machine)], 12, beside, style=TextStyle(below=0.5)),
        paragraph([Run(f"Service of {sheet.day}")], 12, beside, style=TextStyle(below=3)),
    ]
    return [
        *headed(head, sheet.style, WIDE),
        *_unsafe(sheet.unsafe),
        *_received(sheet),
        *_found(sheet),
        *_done(sheet),
        *_note(sheet.note),
        *(block for remaining in sheet.remaining for block in _remaining(remaining)),
        *_settling(sheet.settling),
        _at_home(sheet),
        _next_service(sheet),
        _sign_off(sheet.signed),
    ]


def _heading(words: str) -> list[Block]:
    return [
        space(1.5),
        paragraph(
            [Run(words, bold=True)],
            13,
            WIDE,
            style=TextStyle(colour=ACCENT, below=1, with_next=True, role="H2"),
        ),
    ]


def _unsafe(words: Sequence[str]) -> list[Block]:
    """The box that nobody overlooks; a very long reason stands below it."""
    if not words:
        return []
    heading, why, what_to_do = words
    reason = paragraph([Run(why, bold=True)], 12, WIDE - 8, style=TextStyle(below=1))
    fits = reason.height <= LONG * line_height(12)
    inner = [
        paragraph(
            [Run(heading, bold=True)],
            18,
            WIDE - 8,
            style=TextStyle(colour=RUST, below=1, role="H2"),
        ),
        *([reason] if fits else []),
        paragraph([Run(what_to_do)], 12, WIDE - 8),
    ]
    box = framed(inner, WIDE, look=Look(fill=CAUTION, stroke=RUST, width=2.6), pad=4)
    return [
        box,
        *([] if fits else flowing([Run(why, bold=True)], 12, WIDE, style=TextStyle(below=3))),
    ]


def _received(sheet: ServiceSheet) -> list[Block]:
    words = f"“{sheet.received}”" if sheet.received.strip() else NO_COMPLAINT
    return [
        *_heading(RECEIVED_HEADING),
        *flowing([Run(words)], TYPE, WIDE, style=TextStyle(below=1.5)),
    ]


def _found(sheet: ServiceSheet) -> list[Block]:
    rows = _list(
        [
            _marked([Run(f"{found.place}:", bold=True), Run(f"{found.how}.")], WIDE)
            for found in sheet.found
        ]
    )
    return [
        *_heading(FOUND_HEADING),
        *(rows or [paragraph([Run(NOTHING_FOUND)], TYPE, WIDE)]),
        space(1.5),
    ]


def _done(sheet: ServiceSheet) -> list[Block]:
    blocks = _heading(DONE_HEADING)
    if sheet.freed or not sheet.done:
        blocks.append(
            paragraph([Run(sheet.freed or NOTHING_DONE)], TYPE, WIDE, style=TextStyle(below=1.5))
        )
    for kind in sheet.done:
        style = TextStyle(below=0.6, role="H3")
        blocks += under_heading(kind.heading, _listed(kind.places), TYPE, WIDE, style)
        blocks.append(space(1.6))
    return blocks


def _note(note: str) -> list[Block]:
    return (
        [*_heading(NOTE_HEADING), *flowing([Run(note)], TYPE, WIDE, style=TextStyle(below=1.5))]
        if note.strip()
        else []
    )


def _remaining(remaining: Remaining) -> list[Block]:
    """What was left for later: its places, and what follows from it."""
    words = [
        Run(remaining.heading, bold=True),
        *([Run(f"– {remaining.note}")] if remaining.note else []),
    ]
    heading = paragraph(
        words, TYPE, WIDE, style=TextStyle(colour=ACCENT, below=0.8, with_next=True, role="H2")
    )
    return [space(1.5), heading, *_listed(remaining.places), space(1)]


def _listed(places: Sequence[str]) -> list[Block]:
    """Places in two columns, read from left to right."""
    return _list(
        [
            side_by_side([_marked([Run(place)], COLUMN) for place in places[at : at + 2]], PITCH)
            for at in range(0, len(places), 2)
        ]
    )


def _list(rows: Sequence[Block]) -> list[Block]:
    return grouped(Part(role="L", numbering="Disc"), rows)


def _marked(runs: Sequence[Run], width: float) -> Block:
    """An item of a list: words behind a dash."""
    words = paragraph(runs, TYPE, width, style=TextStyle(indent=MARK, below=0.6))
    return list_item("–", words, TYPE, at=0.6)


def _settling(words: Sequence[str]) -> list[Block]:
    if not words:
        return []
    heading, *lines = words
    inner = [
        paragraph(
            [Run(heading, bold=True)],
            12,
            WIDE - 6,
            style=TextStyle(colour=ACCENT, below=0.6, role="H2"),
        )
    ]
    inner += [paragraph([Run(line)], TYPE, WIDE - 6, style=TextStyle(below=0.6)) for line in lines]
    return [space(2), framed(inner, WIDE, look=Look(stroke=ACCENT, width=1.2))]


def _at_home(sheet: ServiceSheet) -> Block:
    """When to stop, and what is never done at home."""
    ring = sheet.home.stop_and_ring(sheet.shop.phone)

    def heading(inside: float) -> list[Block]:
        style = TextStyle(below=0.6, role="H2")
        return [paragraph([Run(ring, bold=True)], TYPE + 1, inside, style=style)]

    boxes = home_boxes(sheet.home, heading, type_size=TYPE, width=WIDE, gutter=GUTTER)
    return Block(height=boxes.height + 5, draw=lambda page, x, top: boxes.draw(page, x, top + 2))


def _next_service(sheet: ServiceSheet) -> Block:
    shop = sheet.shop
    inner = [
        paragraph([Run("Next service")], TYPE, WIDE - 6, style=TextStyle(colour=ACCENT, role="H2")),
        paragraph(
            [Run(sheet.next_service, bold=True), Run(f"– {sheet.next_service_note}")],
            15,
            WIDE - 6,
            style=TextStyle(below=0.6),
        ),
    ]
    if shop.name:
        inner.append(paragraph([Run(", ".join([shop.name, *shop.address]))], TYPE, WIDE - 6))
    reached = [
        words for words in (f"Ring us: {shop.phone}" if shop.phone else "", shop.email) if words
    ]
    if reached:
        inner.append(paragraph([Run(" · ".join(reached), bold=True)], TYPE, WIDE - 6))
    return replace(framed(inner, WIDE, look=Look(stroke=ACCENT, width=1.6)), with_next=True)


def _sign_off(labels: Sequence[str]) -> Block:
    rows = -(-len(labels) // 2)

    def draw(page: Page, x: float, top: float) -> None:
        for at, label in enumerate(labels):
            left = x + (at % 2) * PITCH
            line = top + (at // 2 + 1) * SIGN_ROW - 3
            with page.tag("P"):
                page.text(left, line - LINE, label, TYPE)
                page.blank(left + 44, line, COLUMN - 44, line=0.6)

    return Block(height=rows * SIGN_ROW, draw=draw)
