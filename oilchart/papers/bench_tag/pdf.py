"""The bench tag as a PDF: A7 upright, the machine's number large and as a code; a long list
goes on on the back."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext

from oilchart.papers.bench_tag.content import (
    COMPLAINT_HEADING,
    LEFT_WITH_HEADING,
    LEFT_WITH_NOTHING,
    NO_COMPLAINT,
    UNPLUGGED,
    Tag,
)
from oilchart.papers.drawing.colours import BLUE, CAUTION, INK, LINE_GREY, RUST, Look
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    flow,
    framed,
    grouped,
    paragraph,
    place,
    under_heading,
)
from oilchart.papers.pdf.fit_text import SEE_THE_BOOK, capped, largest_fitting, short
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import Page, line_height, words_width
from oilchart.papers.pdf.scan_code import QUIET, rows_of, side_of
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.wording import INVENTED

A7 = (74.0, 105.0)
EDGE = 4.0
WIDE = A7[0] - 2 * EDGE
TYPE = 11.0
SMALL = 8.0
LINE = line_height(TYPE)
SMALL_LINE = line_height(SMALL)
TICK_SIDE = 3.8
MODULE = 0.6  # of the code, in millimetres
NUMBER_SIZES = tuple((size, 1) for size in range(48, 14, -2))
OWNER_SIZES = ((16.0, 1), (13.0, 2), (11.0, 4))
COMPLAINT_LINES = 5
DANGER_SIZES = tuple((size, 1) for size in range(24, 14, -1))
DANGER_PAD = 1.6
WHY_LINES = 4  # of one warning, shared by two
WARNING = TextStyle(colour=RUST, role="H1")
THING_LINES = 2
HALF = (WIDE - 3) / 2
COUNT_AT = 40.0  # in the last line, right of the shop's telephone


def tag_pdf(tag: Tag) -> bytes:
    """Write the tag; what it was left with goes on on further pages where it is long, so that
    nothing is missed at collection."""
    page = Page(
        A7,
        DocumentInfo(
            title=f"Bench tag {tag.machine}",
            author=tag.shop.name,
            subject="Bench tag",
        ),
    )
    head, foot = [*_dangers(tag), _head(tag)], _foot(tag)
    head_height = sum(block.height for block in head)
    foot_top = A7[1] - EDGE - sum(block.height for block in foot)
    room = foot_top - EDGE - head_height
    pages = flow([*_who(tag), *_complaint(tag), *_left_with(tag)], lambda at: room)
    for at, blocks in enumerate(pages):
        if at:
            page.turn()
        with page.artifact() if at else nullcontext():
            place(page, head, EDGE, EDGE)
        place(page, blocks, EDGE, EDGE + head_height)
        with page.artifact() if at else nullcontext():
            place(page, foot, EDGE, foot_top)
        if len(pages) > 1:
            count = (
                f"{at + 1} of {len(pages)}"
                if at + 1 == len(pages)
                else f"goes on: {at + 1} of {len(pages)}"
            )
            with page.artifact():
                page.right(EDGE + WIDE, A7[1] - EDGE - SMALL_LINE, count, SMALL, bold=True)
    return page.finish()


def tag_words(tag: Tag) -> list[str]:
    """All words of the tag that come from the shop and the owner."""
    return [
        *(why for warned in tag.warnings for why in warned.reasons),
        tag.machine,
        tag.owner,
        tag.model,
        tag.complaint,
        *tag.left_with,
        tag.shop.name,
        tag.shop.phone,
    ]


def _dangers(tag: Tag) -> list[Block]:
    """What makes the machine unsafe, on every side; each heading as large as one line takes. The
    code below keeps its quiet zone."""
    if not tag.warnings:
        return []
    inner, lines = WIDE - 2 * DANGER_PAD, WHY_LINES // len(tag.warnings)
    words = [
        block
        for warned in tag.warnings
        for block in (
            largest_fitting(warned.heading, DANGER_SIZES, inner, bold=True, style=WARNING),
            capped(
                [Run("; ".join(warned.reasons), bold=True)], TYPE, inner, lines, end=SEE_THE_BOOK
            ),
        )
    ]
    look = Look(fill=CAUTION, stroke=RUST, width=2.4)
    return [framed(words, WIDE, look=look, pad=DANGER_PAD, below=QUIET * MODULE)]


def _head(tag: Tag) -> Block:
    """The number as large as it can be beside its code, whose quiet zone reaches into the margin,
    which is white too."""
    rows = rows_of(tag.machine)
    side = side_of(rows, MODULE)
    quiet = QUIET * MODULE
    inner = side - 2 * quiet
    beside = WIDE - inner - quiet
    size = next(
        (size for size, _ in NUMBER_SIZES if words_width(tag.machine, size, bold=True) <= beside),
        NUMBER_SIZES[-1][0],
    )
    number = largest_fitting(
        tag.machine, [(size, 1), (size, 2)], beside, bold=True, style=TextStyle(role="H1")
    )

    def draw(page: Page, x: float, top: float) -> None:
        number.draw(page, x, top + (inner - number.height) / 2)
        with page.figure(
            f"QR code of the number {tag.machine}", x + WIDE - inner, top, inner, inner
        ):
            page.cells(x + WIDE - inner, top, rows, MODULE)

    return Block(height=inner + quiet, draw=draw)


def _who(tag: Tag) -> list[Block]:
    return [
        largest_fitting(tag.owner, OWNER_SIZES, WIDE, bold=True),
        largest_fitting(tag.model, [(TYPE, 2)], WIDE),
        paragraph([Run(tag.came)], TYPE, WIDE, style=TextStyle(below=1.2)),
    ]


def _complaint(tag: Tag) -> list[Block]:
    words = f"“{tag.complaint}”" if tag.complaint.strip() else NO_COMPLAINT
    return [
        paragraph(
            [Run(COMPLAINT_HEADING, bold=True)],
            SMALL,
            WIDE,
            style=TextStyle(colour=BLUE, with_next=True, role="H2"),
        ),
        capped(
            [Run(words)], TYPE, WIDE, COMPLAINT_LINES, end=SEE_THE_BOOK, style=TextStyle(below=1.2)
        ),
    ]


def _left_with(tag: Tag) -> list[Block]:
    """What came with it: two in a row where both are short."""
    rows: list[list[str]] = []
    for thing in tag.left_with:
        if rows and len(rows[-1]) == 1 and _is_short(rows[-1][0]) and _is_short(thing):
            rows[-1].append(thing)
        else:
            rows.append([thing])
    listed = grouped("L", [_row(row) for row in rows])
    nothing = paragraph([Run(LEFT_WITH_NOTHING)], TYPE, WIDE)
    style = TextStyle(colour=BLUE, below=0.4, role="H2")
    return under_heading(LEFT_WITH_HEADING, listed or [nothing], SMALL, WIDE, style)


def _is_short(thing: str) -> bool:
    return short(thing, TYPE, HALF - TICK_SIDE - 1.5) == thing


def _row(things: Sequence[str]) -> Block:
    """A box to tick before each thing."""
    width = HALF if len(things) > 1 else WIDE
    cells = [
        capped([Run(thing)], TYPE, width - TICK_SIDE - 1.5, THING_LINES, end=SEE_THE_BOOK)
        for thing in things
    ]

    def draw(page: Page, x: float, top: float) -> None:
        for at, cell in enumerate(cells):
            left = x + at * (HALF + 3)
            with page.tag("LI"), page.tag("LBody"):
                page.tick(left, top + 0.5, TICK_SIDE)
                cell.draw(page, left + TICK_SIDE + 1.5, top)

    return Block(height=max(cell.height for cell in cells) + 0.6, draw=draw)


def _foot(tag: Tag) -> list[Block]:
    """The box for a machine that has not been run yet, the shop, and that all is invented where it
    is."""
    tick = framed(
        [Block(height=LINE, draw=_unplugged)],
        WIDE,
        look=Look(fill=CAUTION, stroke=RUST, width=1.6),
        pad=1.2,
        below=1,
    )
    return [
        *([] if tag.warnings else [tick]),
        *(
            [paragraph([Run(INVENTED)], SMALL, WIDE, style=TextStyle(colour=LINE_GREY))]
            if tag.shop.invented
            else []
        ),
        capped([Run(tag.shop.name)], SMALL, WIDE, 1),
        capped([Run(tag.shop.phone)], SMALL, COUNT_AT, 1),
    ]


def _unplugged(page: Page, x: float, top: float) -> None:
    with page.tag("P"):
        page.tick(x + 0.6, top + 0.5, TICK_SIDE, colour=INK)
        page.text(x + TICK_SIDE + 2.4, top, UNPLUGGED, TYPE, bold=True)
