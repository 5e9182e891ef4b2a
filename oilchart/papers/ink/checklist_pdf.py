"""Knows the bench checklist as a PDF: A4, in working order, with boxes to tick, as found, as left and sign-off."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from oilchart.core.chart import Avoid
from oilchart.papers.checklist import Checklist, ChecklistStage, Step, step_line
from oilchart.papers.ink.lettering import LEADING, Run
from oilchart.papers.ink.page import POINT_MM, Block, Page, flow, framed, paragraph, place, space
from oilchart.papers.looks import BLUE, CAUTION, LINE_GREY, RUST
from oilchart.papers.picture import Picture
from oilchart.papers.wording import INVENTED, counted, day_words, plain_number

A4 = (210.0, 297.0)
EDGE = 12.0
WIDE = A4[0] - 2 * EDGE
TYPE = 10.0
SMALL = 9.0
LINE = LEADING * TYPE * POINT_MM
TICK = 4.6
# columns, in millimetres from the left edge of the list
NUMBER_AT, WORDS_AT, FOUND_AT, LEFT_AT, MINUTES_AT = 10.0, 15.0, 122.0, 151.0, 176.0
WORDS_WIDE = FOUND_AT - WORDS_AT - 3
HEADINGS = ((WORDS_AT, "Place and work"), (FOUND_AT, "As found"), (LEFT_AT, "As left"), (MINUTES_AT, "Min"))
HEAD_ROOM = 2 * LINE + 4  # for title and column headings on every page after the first
SIGNED = ("Tested by sewing", "Work done by", "Date")
SIGNED_ELECTRIC = ("Plugged in and tested", "Electrical check by", "Work done by", "Date")


def checklist_pdf(checklist: Checklist) -> bytes:
    """Write the checklist, with page x of y on every page."""
    page = Page(A4, title=checklist.title, author="", subject="Bench checklist", language="en-GB")
    first = _first_page(checklist)
    drawings = _drawings(checklist)
    list_blocks = [block for stage in checklist.stages for block in _stage(stage)]
    last = _last(checklist)
    room = A4[1] - 2 * EDGE - LINE
    pages = [first, *drawings, *flow([*list_blocks, *last], lambda at: room - HEAD_ROOM)]
    for at, blocks in enumerate(pages):
        if at:
            page.turn()
            _running_head(page, checklist)
        if at > len(drawings):
            _column_headings(page)
        place(page, blocks, EDGE, EDGE + (HEAD_ROOM if at else 0))
        _foot(page, checklist, at + 1, len(pages))
    return page.finish()


def checklist_words(checklist: Checklist) -> list[str]:
    """All words of the checklist that come from the shop and the owner."""
    return [checklist.title, *checklist.heading, *checklist.notes]


def _first_page(checklist: Checklist) -> list[Block]:
    blocks = [paragraph([Run(checklist.title, bold=True)], 18, WIDE, colour=BLUE, below=1)]
    blocks += [paragraph([Run(line)], 11, WIDE, below=0.5) for line in checklist.heading]
    planned = sum(step.later is None for step in checklist.steps)
    counts = f"{day_words(checklist.on)} · {counted(planned, 'point')}, {checklist.minutes} · needle {checklist.needle}"
    blocks.append(paragraph([Run(counts)], 11, WIDE, below=0.5))
    blocks += [paragraph([Run(note)], 11, WIDE, below=0.5) for note in checklist.notes]
    blocks.append(space(2))
    blocks += [_picture(picture, 168) for picture in checklist.pictures[:1]]
    if any(step.view is None for step in checklist.steps):
        words = "Numbers that are on no drawing are found where the list says."
        blocks.append(paragraph([Run(words)], SMALL, WIDE, colour=LINE_GREY, below=3))
    blocks.append(_avoids(checklist.avoids))
    blocks.append(paragraph([Run(checklist.defers, bold=True)], TYPE, WIDE))
    return blocks


def _drawings(checklist: Checklist) -> list[list[Block]]:
    """The further drawings, two on a page, each under its name."""
    room = A4[1] - 2 * EDGE - LINE - HEAD_ROOM
    blocks = []
    for picture in checklist.pictures[1:]:
        name = paragraph([Run(picture.name, bold=True)], 12, WIDE, colour=BLUE, below=1)
        wide = min(WIDE, (room / 2 - name.height - 4) * picture.width / picture.height)
        drawn = _picture(picture, wide)
        blocks.append(Block(height=name.height + drawn.height + 3, draw=_stacked(name, drawn)))
    return flow(blocks, lambda at: room) if blocks else []


def _stacked(first: Block, second: Block) -> Callable[[Page, float, float], None]:
    def draw(page: Page, x: float, top: float) -> None:
        place(page, [first, second], x, top)

    return draw


def _picture(picture: Picture, wide: float) -> Block:
    high = wide * picture.height / picture.width
    return Block(height=high + 1, draw=lambda page, x, top: page.picture(x + (WIDE - wide) / 2, top, picture, wide))


def _avoids(avoids: Sequence[Avoid]) -> Block:
    """The do-not points in two columns."""
    column = (WIDE - 12) / 2
    cells = [paragraph([Run(f"{avoid.where}:", bold=True), Run(f"{avoid.do_not}.")], SMALL, column, below=0.9) for avoid in avoids]
    half = (len(cells) + 1) // 2
    high = max(sum(cell.height for cell in part) for part in (cells[:half], cells[half:]))

    def draw(page: Page, x: float, top: float) -> None:
        place(page, cells[:half], x, top)
        place(page, cells[half:], x + column + 4, top)

    heading = paragraph([Run("Never", bold=True)], 12, WIDE - 8, colour=RUST, below=1)
    return framed([heading, Block(height=high, draw=draw)], WIDE, fill=None, stroke=RUST, line=2.2, pad=4)


def _stage(stage: ChecklistStage) -> list[Block]:
    heading = paragraph([Run(stage.name, bold=True)], 13, WIDE, colour=BLUE, below=1, with_next=True)
    blocks = [space(2), heading]
    if stage.caution:
        words = [Run("Caution.", bold=True), Run(stage.caution)]
        box = framed([paragraph(words, TYPE, WIDE - 5)], WIDE, fill=CAUTION, stroke=RUST, pad=2.5, below=1.5)
        blocks.append(Block(height=box.height, draw=box.draw, with_next=True))
    rows = [_row(None, [Run(step)], None) for step in stage.open]
    rows += [_step(step) for step in stage.steps]
    rows += [_row(None, [Run(step)], None) for step in stage.close]
    again = paragraph([Run(stage.name, bold=True), Run("– continued")], TYPE, WIDE, colour=BLUE, below=1)
    return blocks + [replace(row, again=again) for row in rows]


def _step(step: Step) -> Block:
    told = ("owner’s point too" if step.owners else None, "dismantling" if step.deep else None, step.shorter, step.last_left, step.later)
    marks = [words for words in told if words]
    runs = [Run(f"{step.work}: {step.where}.", bold=True), Run(f"{step_line(step)}.")]
    if marks:
        runs.append(Run(f"({'; '.join(marks)})"))
    if step.caution:
        runs += [Run("Caution.", bold=True), Run(step.caution)]
    return _row(step.number, runs, plain_number(step.minutes))


def _row(number: int | None, runs: Sequence[Run], minutes: str | None) -> Block:
    """A row: box to tick, number, words and, for a point, lines for as found and as left."""
    room = WORDS_WIDE if number is not None else WIDE - WORDS_AT
    words = paragraph(runs, TYPE, room)
    high = max(words.height, TICK) + 2.6

    def draw(page: Page, x: float, top: float) -> None:
        page.box(x, top + 0.9, TICK, TICK, stroke=LINE_GREY, line=0.9, radius=0.6)
        words.draw(page, x + WORDS_AT, top + 1.2)
        if number is not None:
            page.number(x + NUMBER_AT, top + 1.0 + TICK / 2, number, SMALL)
            for at, wide in ((FOUND_AT, 26.0), (LEFT_AT, 22.0)):
                page.rule(x + at, top + high - 1.6, wide, colour=LINE_GREY, line=0.4)
            page.right(x + WIDE, top + 1.2, minutes or "", TYPE)
        page.rule(x, top + high, WIDE, colour=LINE_GREY, line=0.25)

    return Block(height=high + 0.4, draw=draw)


def _running_head(page: Page, checklist: Checklist) -> None:
    page.text(EDGE, EDGE, " · ".join([checklist.title, *checklist.heading[:1]])[:110], TYPE, colour=BLUE)


def _column_headings(page: Page) -> None:
    for at, heading in HEADINGS[:-1]:
        page.text(EDGE + at, EDGE + LINE + 1, heading, SMALL, bold=True)
    page.right(EDGE + WIDE, EDGE + LINE + 1, HEADINGS[-1][1], SMALL, bold=True)
    page.rule(EDGE, EDGE + 2 * LINE + 1.5, WIDE)


def _foot(page: Page, checklist: Checklist, number: int, of: int) -> None:
    top = A4[1] - EDGE - 1
    if checklist.invented:
        page.text(EDGE, top, INVENTED, SMALL, colour=LINE_GREY)
    page.right(EDGE + WIDE, top, f"page {number} of {of}", SMALL, colour=LINE_GREY)


def _last(checklist: Checklist) -> list[Block]:
    """What follows the list: words for the columns, lubricants, wear parts and sign-off."""
    blocks = [space(4)]
    blocks.append(paragraph([Run("As found:", bold=True), Run(", ".join(checklist.found_words) + ".")], TYPE, WIDE, below=1))
    blocks.append(paragraph([Run("As left:", bold=True), Run(", ".join(checklist.left_words) + ".")], TYPE, WIDE, below=3))
    for name, belongs, never in checklist.lubricants:
        runs = [Run(f"{name[:1].upper()}{name[1:]}:", bold=True), Run(f"{belongs}."), Run("Never:", bold=True), Run(f"{never}.")]
        blocks.append(paragraph(runs, TYPE, WIDE, below=1.2))
    parts = [f"{part.name} ({_stock(part.stock_minimum)})" for part in checklist.wear_parts]
    if parts:
        blocks.append(paragraph([Run("Wear parts to look at:", bold=True), Run("; ".join(parts) + ".")], TYPE, WIDE, below=3))
    documents = "; ".join(f"{document.title}: {document.address}" for document in checklist.documents)
    if documents:
        blocks.append(paragraph([Run("Documents:", bold=True), Run(documents + ".")], TYPE, WIDE, below=3))
    blocks.append(_sign_off(SIGNED_ELECTRIC if checklist.electric else SIGNED))
    return blocks


def _stock(minimum: int | None) -> str:
    return f"order at {minimum} left" if minimum else "order when wanted"


def _sign_off(labels: Sequence[str]) -> Block:
    rows = 12.0

    def draw(page: Page, x: float, top: float) -> None:
        for at, label in enumerate(labels):
            left = x + (at % 2) * (WIDE / 2)
            down = top + (at // 2) * rows
            page.text(left, down + 5, label, TYPE)
            page.rule(left + 40, down + 9, WIDE / 2 - 46, line=0.6)

    return framed([Block(height=2 * rows, draw=draw)], WIDE, fill=None, stroke=BLUE, pad=4)
