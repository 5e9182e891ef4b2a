"""The record of a visit as a PDF of A4 pages: all that is told in 11 point type or more, the places
worked on, which the bench reads, smaller on the back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from oilchart.papers.drawing.colours import ACCENT, CAUTION, RUST, Look
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    flow,
    framed,
    paragraph,
    side_by_side,
    space,
)
from oilchart.papers.pdf.fit_text import flowing, largest_fitting, short
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.home_boxes import home_boxes
from oilchart.papers.pdf.letterhead import accent, footed, head_width, headed
from oilchart.papers.pdf.page import A4, Page, line_height
from oilchart.papers.pdf.pages import draw_pages
from oilchart.papers.pdf.photo import photo_block
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.photos import ShownPhoto
from oilchart.papers.record.blocks import (
    COLUMN,
    FRAME,
    GUTTER,
    LINE,
    LONG,
    PITCH,
    TYPE,
    WIDE,
    ended,
    heading,
    item,
    listed,
    places_blocks,
    said,
    section,
    told_runs,
)
from oilchart.papers.record.content import (
    FOUND_HEADING,
    NOTE_HEADING,
    NOTHING_SERVICED,
    PUT_RIGHT_HEADING,
    RECEIVED_HEADING,
    REMAINING_HEADING,
    SERVICED_HEADING,
    WORK_BY,
    DangerTold,
    ServiceSheet,
)
from oilchart.papers.record.serviced import Remaining
from oilchart.papers.record.story import Told
from oilchart.papers.wording import capital

PHOTOS_HEADING = "Photos of your machine"
NEXT_AT = 30.0  # from the left of the words "Next service" to when that is
SIGN_ROW = 11.0
SIGNED_AT = 44.0  # from the left of a label to its line
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
        footed(_pages(sheet), sheet.style, FRAME),
        FRAME,
        head=f"{sheet.title} · {sheet.machine}",
        invented=sheet.shop.invented,
    )
    return page.finish()


def record_words(sheet: ServiceSheet) -> list[str]:
    """All words of the record that come from the shop and the owner."""
    shop, serviced = sheet.shop, sheet.serviced
    told = [*sheet.found, *sheet.put_right, *filter(None, [sheet.mains_test])]
    return [
        sheet.title,
        sheet.machine,
        *(danger.why for danger in sheet.dangers),
        sheet.received,
        *(words for each in told for words in (each.heading, each.words)),
        serviced.when,
        *(words for each in serviced.remaining for words in (*each.places, each.note)),
        *(place for kind in serviced.places for place in kind.places),
        *sheet.notes,
        sheet.back_on,
        sheet.by,
        shop.name,
        shop.phone,
        shop.email,
        *shop.address,
        sheet.style.footer,
    ]


def _pages(sheet: ServiceSheet) -> list[list[Block]]:
    """What the owner reads, on one page where it fits; what the bench reads under it, on the back
    where there is no room."""
    front, back = _front(sheet), places_blocks(sheet.serviced)
    pages = flow([*front, *back], FRAME.room)
    first = flow(front, FRAME.room)
    if len(first) == 1 and len(pages) > 1:
        pages = [*first, *flow(back, lambda at: FRAME.room(at + 1))]
    photos = _photos(sheet.photos)
    more = flow(photos, lambda at: FRAME.room(at + len(pages))) if photos else []
    return [*pages, *more]


def _photos(photos: Sequence[ShownPhoto]) -> list[Block]:
    """The photos that were asked for, two a page; nothing where there are none."""
    if not photos:
        return []
    title = heading(PHOTOS_HEADING)
    room = (FRAME.room(1) - sum(block.height for block in title)) / 2
    return [*title, *(photo_block(photo, TYPE, (WIDE, room)) for photo in photos)]


def _front(sheet: ServiceSheet) -> list[Block]:
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
        paragraph([Run(sheet.days)], 12, beside, style=TextStyle(below=3)),
    ]
    told = f"“{sheet.received}”" if sheet.received else sheet.no_complaint
    found = listed([_told(each) for each in sheet.found]) or said(sheet.nothing_found)
    return [
        *headed(head, sheet.style, WIDE),
        *(block for danger in sheet.dangers for block in _danger(danger)),
        *section(RECEIVED_HEADING, said(told)),
        *section(FOUND_HEADING, found),
        *section(PUT_RIGHT_HEADING, listed([_told(each) for each in sheet.put_right])),
        *section(SERVICED_HEADING, _serviced(sheet)),
        *section(
            REMAINING_HEADING, listed([_remaining(each) for each in sheet.serviced.remaining])
        ),
        *section(NOTE_HEADING, [block for note in sheet.notes for block in said(note)]),
        *_settling(sheet.settling),
        _at_home(sheet),
        _next_service(sheet),
        _sign_off(sheet.signed, sheet.by),
    ]


def _danger(danger: DangerTold) -> list[Block]:
    """The box that nobody overlooks; a very long reason stands below it."""
    reason = paragraph([Run(danger.why, bold=True)], 12, WIDE - 8, style=TextStyle(below=1))
    fits = reason.height <= LONG * line_height(12)
    inner = [
        paragraph(
            [Run(danger.heading, bold=True)],
            18,
            WIDE - 8,
            style=TextStyle(colour=RUST, below=1, role="H2"),
        ),
        *([reason] if fits else []),
        paragraph([Run(danger.what_to_do)], 12, WIDE - 8),
    ]
    box = framed(inner, WIDE, look=Look(fill=CAUTION, stroke=RUST, width=2.6), pad=4)
    below = TextStyle(below=3)
    return [box, *([] if fits else flowing([Run(danger.why, bold=True)], 12, WIDE, style=below))]


def _serviced(sheet: ServiceSheet) -> list[Block]:
    """What was serviced, with the mains test, or that there was no work."""
    serviced, test = sheet.serviced, sheet.mains_test
    if sheet.nothing_done:
        blocks = said(sheet.nothing_done)
    elif serviced.whole:
        runs = [Run(f"{serviced.whole}.", bold=True), Run(f"{serviced.kinds} {serviced.when}")]
        blocks = flowing(runs, TYPE, WIDE, style=TextStyle(below=0.8))
    else:
        blocks = said(f"{NOTHING_SERVICED} {serviced.when}".strip())
    if test is not None:
        blocks += flowing(told_runs(test), TYPE, WIDE, style=TextStyle(below=0.8))
    return blocks


def _told(told: Told) -> list[Block]:
    return item(told_runs(told))


def _remaining(remaining: Remaining) -> list[Block]:
    """What was left for later: its places, and what follows from it."""
    places = ended(capital("; ".join(remaining.places)))
    note = [Run(remaining.note)] if remaining.note else []
    return item([Run(f"{remaining.heading}:", bold=True), Run(places), *note])


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
    heading = TextStyle(colour=ACCENT, role="H2")
    when = [Run(sheet.next_service, bold=True), Run(f"– {sheet.next_service_note}")]
    inner = [
        side_by_side(
            [
                paragraph([Run("Next service")], 13, NEXT_AT, style=heading),
                paragraph(when, 13, WIDE - 6 - NEXT_AT, style=TextStyle(below=0.6)),
            ],
            NEXT_AT,
        )
    ]
    if sheet.back_on:
        inner.append(paragraph([Run(sheet.back_on, bold=True)], TYPE, WIDE - 6))
    if shop.name:
        inner.append(paragraph([Run(", ".join([shop.name, *shop.address]))], TYPE, WIDE - 6))
    reached = [
        words for words in (f"Ring us: {shop.phone}" if shop.phone else "", shop.email) if words
    ]
    if reached:
        inner.append(paragraph([Run(" · ".join(reached), bold=True)], TYPE, WIDE - 6))
    return replace(framed(inner, WIDE, look=Look(stroke=ACCENT, width=1.6)), with_next=True)


def _sign_off(labels: Sequence[str], by: str) -> Block:
    """Lines to sign on; who did the work stands on theirs where that is known."""
    rows = -(-len(labels) // 2)
    room = COLUMN - SIGNED_AT

    def draw(page: Page, x: float, top: float) -> None:
        for at, label in enumerate(labels):
            left = x + (at % 2) * PITCH
            line = top + (at // 2 + 1) * SIGN_ROW - 3
            with page.tag("P"):
                page.text(left, line - LINE, label, TYPE)
                if label == WORK_BY and by:
                    page.text(left + SIGNED_AT, line - LINE, short(by, TYPE, room), TYPE)
                page.blank(left + SIGNED_AT, line, room, line=0.6)

    return Block(height=rows * SIGN_ROW, draw=draw)
