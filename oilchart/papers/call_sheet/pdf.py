"""The call sheet as a PDF: A4, a box for each call, to be ticked and written on by the
telephone."""

from __future__ import annotations

from collections.abc import Sequence

from oilchart.papers.call_sheet.content import CallBlock, CallSheet
from oilchart.papers.drawing.colours import BLUE, CAUTION, LINE_GREY, RUST, Look
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    flow,
    framed,
    paragraph,
    space,
    under_heading,
)
from oilchart.papers.pdf.fit_text import SEE_THE_BOOK, capped, largest_fitting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import A4, Page, line_height, words_width
from oilchart.papers.pdf.pages import draw_pages, even_frame
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.wording import capital

TYPE = 11.0
LINE = line_height(TYPE)
FRAME = even_frame(A4, edge=12.0, type_size=TYPE, gap=2)
WIDE = FRAME.width
PAD = 2.5
INSIDE = WIDE - 2 * PAD
PHONE_WIDE = 62.0
OWNER_WIDE = INSIDE - PHONE_WIDE - 4
LABEL_WIDE = 17.0  # of "Say", "Ask", "Bring" before the words
TICK_SIDE = 4.2
ROW = 6.0  # of boxes to tick
PHONE_SIZES = ((19.0, 1), (14.0, 2), (11.0, 2))
OWNER_SIZES = ((14.0, 1), (12.0, 3))
MACHINE_LINES = 10
WORDS_LINES = 3
SAY_LINES = 6
WARNING = TextStyle(colour=RUST, below=0.8)


def call_sheet_pdf(sheet: CallSheet) -> bytes:
    """Write the sheet, with page x of y on every page; a call is never split between two."""
    page = Page(
        A4,
        DocumentInfo(title=sheet.title, author=sheet.shop.name, subject="Call sheet"),
    )
    draw_pages(
        page,
        flow(_blocks(sheet), FRAME.room),
        FRAME,
        head=f"{sheet.title} · {sheet.shop.name}",
        invented=sheet.shop.invented,
    )
    return page.finish()


def call_sheet_words(sheet: CallSheet) -> list[str]:
    """All words of the sheet that come from the shop and the owners."""
    calls = [call for day in sheet.days for call in day.calls]
    return [
        sheet.shop.name,
        *(
            words
            for call in calls
            for words in (
                *call.dangers,
                call.owner,
                call.phone,
                call.about,
                call.last_use,
                call.unclear,
                call.wishes,
            )
        ),
    ]


def _blocks(sheet: CallSheet) -> list[Block]:
    blocks = [
        paragraph(
            [Run(sheet.title, bold=True)],
            18,
            WIDE,
            style=TextStyle(colour=BLUE, below=0.5, role="H1"),
        ),
        paragraph(
            [Run(" · ".join(words for words in (sheet.shop.name, sheet.written) if words))],
            TYPE,
            WIDE,
            style=TextStyle(below=2),
        ),
    ]
    if sheet.danger:
        blocks.append(
            framed(
                [paragraph([Run(sheet.danger)], TYPE, WIDE - 6)],
                WIDE,
                look=Look(fill=CAUTION, stroke=RUST, width=2.2),
            )
        )
    for day in sheet.days:
        calls = [_call(call, sheet) for call in day.calls]
        style = TextStyle(colour=BLUE, below=1, role="H2")
        blocks += [*under_heading(day.heading, calls, 13, WIDE, style), space(1)]
    return blocks


def _call(call: CallBlock, sheet: CallSheet) -> Block:
    """The box of one call: whom, what to say and ask, and below it what is ticked and written."""
    inner = [
        *(
            capped([Run(words, bold=True)], TYPE + 1, INSIDE, WORDS_LINES, style=WARNING)
            for words in call.dangers
        ),
        _whom(call),
        capped(
            [Run(call.about)],
            TYPE,
            INSIDE,
            MACHINE_LINES,
            end=SEE_THE_BOOK,
            style=TextStyle(below=0.8),
        ),
        *_said("Said last", call.last_use),
        *_said("Not clear", call.unclear),
        *_said("So far", call.so_far),
        *_said("Wishes", call.wishes),
        _labelled(
            "Say",
            capped(
                [Run(f"“{call.say}”", bold=True)],
                TYPE,
                INSIDE - LABEL_WIDE,
                SAY_LINES,
                end=SEE_THE_BOOK,
                style=TextStyle(below=0.8),
            ),
        ),
        *(
            _question("Ask" if not at else "", question)
            for at, question in enumerate(call.questions)
        ),
        *([_answers(call.oiling, sheet.oiling_answers)] if call.oiling else []),
        *_said("Bring", f"{capital(call.bring)}." if call.bring else ""),
        _ticks(sheet.outcomes),
        _note_line(),
    ]
    return framed(inner, WIDE, look=Look(stroke=BLUE, width=1.2), pad=PAD, below=2)


def _whom(call: CallBlock) -> Block:
    """The owner, and on the right the number to ring, large enough to dial from."""
    owner = largest_fitting(
        call.owner, OWNER_SIZES, OWNER_WIDE, bold=True, style=TextStyle(role="H3")
    )
    phone = largest_fitting(call.phone, PHONE_SIZES, PHONE_WIDE, bold=True)

    def draw(page: Page, x: float, top: float) -> None:
        owner.draw(page, x, top)
        phone.draw(page, x + OWNER_WIDE + 4, top)

    return Block(height=max(owner.height, phone.height) + 0.6, draw=draw)


def _labelled(label: str, words: Block) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("P"):
            page.text(x, top, label, TYPE, colour=BLUE)
            words.draw(page, x + LABEL_WIDE, top)

    return Block(height=words.height, draw=draw)


def _said(label: str, words: str) -> list[Block]:
    if not words.strip():
        return []
    return [
        _labelled(
            label,
            capped(
                [Run(words)],
                TYPE,
                INSIDE - LABEL_WIDE,
                WORDS_LINES,
                end=SEE_THE_BOOK,
                style=TextStyle(below=0.8),
            ),
        )
    ]


def _question(label: str, question: str) -> Block:
    """A question with a line for the answer behind it."""
    width = words_width(question, TYPE)

    def draw(page: Page, x: float, top: float) -> None:
        left = LABEL_WIDE + width + 3
        with page.tag("P"):
            if label:
                page.text(x, top + 0.8, label, TYPE, colour=BLUE)
            page.text(x + LABEL_WIDE, top + 0.8, question, TYPE)
            page.blank(x + left, top + ROW - 1, INSIDE - left, colour=LINE_GREY, line=0.4)

    return Block(height=ROW, draw=draw)


def _answers(question: str, answers: Sequence[str]) -> Block:
    """A question with its answers to tick."""
    width = words_width(question, TYPE)

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("P"):
            page.text(x + LABEL_WIDE, top + 0.8, question, TYPE)
            _boxes(page, x + LABEL_WIDE + width + 4, top, answers)

    return Block(height=ROW + 0.4, draw=draw)


def _boxes(
    page: Page, x: float, top: float, words: Sequence[str], step: float | None = None
) -> None:
    """Boxes to tick in a row, each before its word, a step apart or as near as the words allow."""
    for word in words:
        page.tick(x, top + 0.9, TICK_SIDE)
        page.text(x + TICK_SIDE + 1.6, top + 0.8, word, TYPE)
        x += step or TICK_SIDE + 1.6 + words_width(word, TYPE) + 5


def _ticks(outcomes: Sequence[str]) -> Block:
    """What may come of the call, in two rows."""
    half = -(-len(outcomes) // 2)

    def draw(page: Page, x: float, top: float) -> None:
        page.rule(x, top, INSIDE, colour=LINE_GREY, line=0.25)
        for down, words in enumerate((outcomes[:half], outcomes[half:])):
            with page.tag("P"):
                _boxes(page, x, top + 0.6 + down * ROW, words, INSIDE / half)

    return Block(height=2 * ROW + 0.6, draw=draw)


def _note_line() -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("P"):
            page.text(x, top + 2, "Note", TYPE, colour=BLUE)
            page.blank(x + LABEL_WIDE, top + 2 + LINE, INSIDE - LABEL_WIDE)

    return Block(height=LINE + 3, draw=draw)
