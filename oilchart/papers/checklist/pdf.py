"""The bench checklist as a PDF of A4 or Letter size: working order, boxes to tick, as found, as
left, legend, parts and sign-off."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from oilchart.core.point_lists.point_list import Avoid
from oilchart.core.records.findings import FOUND_SIGNS, LEFT_SIGNS, Found, Left
from oilchart.papers.checklist.content import Blank, Checklist, signed_words
from oilchart.papers.checklist.rows import (
    CHECKLIST_SHEETS,
    LINE,
    SMALL,
    TYPE,
    ChecklistSheet,
    column_headings,
    heading,
    legend_rows,
    parts_rows,
    stage_rows,
)
from oilchart.papers.drawing.colours import ACCENT, CAUTION, LINE_GREY, RUST, Look
from oilchart.papers.drawing.picture import Picture
from oilchart.papers.pdf.blocks import (
    Block,
    TextStyle,
    flow,
    framed,
    grouped,
    paragraph,
    place,
    space,
)
from oilchart.papers.pdf.fit_text import SEE_THE_BOOK, capped, flowing, short
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.letterhead import accent, footed, head_width, headed
from oilchart.papers.pdf.page import Page
from oilchart.papers.pdf.pages import draw_pages
from oilchart.papers.pdf.structure import DocumentInfo
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.wording import counted, day_words, drawing_words

LEAST_PICTURE = 70.0  # high; a first drawing with less room gets a page of its own
WIDEST_PICTURE = 168.0
NOTE_LINES = 3
DANGER_SHARE = 0.75  # of the running head, so that the machine stands there too
ROOM_TO_WRITE = 9.0  # the height of a line that is written on


def checklist_pdf(checklist: Checklist, sheet: str = "a4") -> bytes:
    """Write the checklist, with page x of y on every page.

    Args:
        sheet: one of CHECKLIST_SHEETS.
    """
    paper, style = CHECKLIST_SHEETS[sheet], checklist.style
    size = paper.width, paper.height
    page = Page(
        size,
        DocumentInfo(title=checklist.title, author="", subject="Bench checklist"),
        accent=accent(style),
    )
    table = Part(role="Table")
    before, listed = _pages(checklist, table, paper)
    pages = footed([*before, *listed], style, paper.frame)

    def columns(at: int) -> None:
        if any(table in block.inside for block in pages[at]):
            with page.tag(table) if at == len(before) else page.artifact():
                column_headings(page, paper)

    draw_pages(
        page,
        pages,
        paper.frame,
        head=_running_head(checklist, paper),
        head_colour=RUST if checklist.dangers else ACCENT,
        invented=checklist.invented,
        above=columns,
    )
    return page.finish()


def checklist_words(checklist: Checklist) -> list[str]:
    """All words of the checklist that come from the shop and the owner."""
    return [
        *checklist.dangers,
        checklist.title,
        *checklist.heading,
        *(words for _, words in checklist.stay),
        *checklist.notes,
        checklist.style.footer,
    ]


def _running_head(checklist: Checklist, sheet: ChecklistSheet) -> str:
    """What makes the machine unsafe, where anything does, and whose list it is."""
    whose = " · ".join([checklist.title, *checklist.heading[:1]])
    if not checklist.dangers:
        return whose
    room = DANGER_SHARE * sheet.inner_width / len(checklist.dangers)
    dangers = [short(words, TYPE, room) for words in checklist.dangers]
    return " · ".join([*dangers, *filter(None, [checklist.machine]), checklist.title])


def _pages(
    checklist: Checklist, table: Part, sheet: ChecklistSheet
) -> tuple[list[list[Block]], list[list[Block]]]:
    """The pages before the list, which is a table, and those from the list on."""
    places = {step.number: step.where for step in checklist.steps}
    front, pictures = _front(checklist, places, sheet)
    drawings = _drawings(pictures, places, sheet)
    tables = [legend_rows(checklist.lubricants, sheet), parts_rows(checklist.wear_parts, sheet)]
    tables_after = (
        _fill(drawings[-1], tables, sheet)
        if drawings
        else [block for rows in tables for block in rows]
    )
    rows = grouped(
        table, [block for stage in checklist.stages for block in stage_rows(stage, sheet)]
    )
    listed = flow([*rows, *_last(checklist, tables_after, sheet)], lambda at: sheet.room)
    return [*flow(front, sheet.frame.room), *drawings], listed


def _front(
    checklist: Checklist, places: Mapping[int, str], sheet: ChecklistSheet
) -> tuple[list[Block], Sequence[Picture]]:
    """What stands on the first page, with the first drawing as large as there is room, and the
    drawings left for pages of their own."""
    width = sheet.inner_width
    planned = sum(step.planned for step in checklist.steps)
    counts = (
        f"{day_words(checklist.on)} · {counted(planned, 'point')}, {checklist.minutes} "
        f"· needle {checklist.needle}"
    )
    beside = head_width(checklist.style, width)
    blocks = flowing(
        [Run(checklist.title, bold=True)],
        18,
        beside,
        style=TextStyle(colour=ACCENT, below=1, role="H1"),
    )
    for line in checklist.heading[:1]:
        blocks += flowing([Run(line)], 11, beside, style=TextStyle(below=0.5))
    for label, words in checklist.stay:
        blocks += flowing(
            [Run(f"{label}: ", bold=True), Run(words)], 11, beside, style=TextStyle(below=0.5)
        )
    for line in (*checklist.heading[1:], counts, *checklist.notes):
        blocks += flowing([Run(line)], 11, beside, style=TextStyle(below=0.5))
    blocks = [
        *_dangers(checklist.dangers, sheet),
        *headed(blocks, checklist.style, width),
        space(2),
    ]
    after = [_avoids(checklist.avoids, sheet)] if checklist.avoids else []
    if any(step.view is None for step in checklist.steps):
        words = "Numbers that are on no drawing are found where the list says."
        after.insert(
            0, paragraph([Run(words)], SMALL, width, style=TextStyle(colour=LINE_GREY, below=3))
        )
    after.append(paragraph([Run(checklist.defers, bold=True)], TYPE, width))
    left = sheet.frame.room(0) - sum(block.height for block in [*blocks, *after]) - 1
    if not checklist.pictures or left < LEAST_PICTURE:
        return [*blocks, *after], checklist.pictures
    first, *others = checklist.pictures
    return [
        *blocks,
        _picture(first, places, sheet, min(WIDEST_PICTURE, left * first.width / first.height)),
        *after,
    ], others


def _dangers(dangers: Sequence[str], sheet: ChecklistSheet) -> list[Block]:
    """What makes the machine unsafe, before all else on the first page."""
    if not dangers:
        return []
    inner, style = sheet.inner_width - 8, TextStyle(colour=RUST, below=1)
    return [
        framed(
            [
                capped([Run(words, bold=True)], 16, inner, 4, end=SEE_THE_BOOK, style=style)
                for words in dangers
            ],
            sheet.inner_width,
            look=Look(fill=CAUTION, stroke=RUST, width=3),
            pad=4,
        )
    ]


def _drawings(
    pictures: Sequence[Picture], places: Mapping[int, str], sheet: ChecklistSheet
) -> list[list[Block]]:
    """Drawings, two on a page, each under its name."""
    blocks = []
    for picture in pictures:
        name = paragraph(
            [Run(picture.name, bold=True)],
            12,
            sheet.inner_width,
            style=TextStyle(colour=ACCENT, below=1, role="H2"),
        )
        width = min(
            sheet.inner_width, (sheet.room / 2 - name.height - 4) * picture.width / picture.height
        )
        drawn = _picture(picture, places, sheet, width)
        blocks.append(Block(height=name.height + drawn.height + 3, draw=_stacked(name, drawn)))
    return [blocks[at : at + 2] for at in range(0, len(blocks), 2)]


def _fill(page: list[Block], tables: Sequence[list[Block]], sheet: ChecklistSheet) -> list[Block]:
    """Add tables to a page as long as each has room on it whole, and give back the blocks of those
    that have not."""
    left: list[Block] = []
    for table in tables:
        fits = sum(block.height for block in [*page, *table]) <= sheet.room
        (page if fits else left).extend(table)
    return left


def _stacked(first: Block, second: Block) -> Callable[[Page, float, float], None]:
    def draw(page: Page, x: float, top: float) -> None:
        place(page, [first, second], x, top)

    return draw


def _picture(
    picture: Picture, places: Mapping[int, str], sheet: ChecklistSheet, width: float
) -> Block:
    """A drawing in the middle of the sheet; in its place is read which places its numbers are
    at."""
    height = width * picture.height / picture.width
    words = drawing_words(
        picture.name, [(callout.number, places[callout.number]) for callout in picture.callouts]
    )

    def draw(page: Page, x: float, top: float) -> None:
        left = x + (sheet.inner_width - width) / 2
        with page.figure(words, left, top, width, height):
            page.picture(left, top, picture, width)

    return Block(height=height + 1, draw=draw)


def _avoids(avoids: Sequence[Avoid], sheet: ChecklistSheet) -> Block:
    """The do-not points in two columns."""
    column = (sheet.inner_width - 12) / 2
    cells = [
        paragraph(
            [Run(f"{avoid.where}:", bold=True), Run(f"{avoid.do_not}.")],
            SMALL,
            column,
            style=TextStyle(below=0.9),
        )
        for avoid in avoids
    ]
    half = (len(cells) + 1) // 2
    height = max(sum(cell.height for cell in part) for part in (cells[:half], cells[half:]))

    def draw(page: Page, x: float, top: float) -> None:
        place(page, cells[:half], x, top)
        place(page, cells[half:], x + column + 4, top)

    heading = paragraph(
        [Run("Never", bold=True)],
        12,
        sheet.inner_width - 8,
        style=TextStyle(colour=RUST, below=1, role="H2"),
    )
    return framed(
        [heading, Block(height=height, draw=draw)],
        sheet.inner_width,
        look=Look(stroke=RUST, width=2.2),
        pad=4,
    )


def _last(checklist: Checklist, tables: Sequence[Block], sheet: ChecklistSheet) -> list[Block]:
    """What follows the list: words for the columns, tables that had no room beside a drawing,
    documents, notes and sign-off."""
    width = sheet.inner_width
    blocks = [space(4)]
    blocks.append(
        paragraph(
            [Run("As found:", bold=True), Run(f"{signed_words(Found, FOUND_SIGNS)}.")],
            TYPE,
            width,
            style=TextStyle(below=1),
        )
    )
    blocks.append(
        paragraph(
            [Run("As left:", bold=True), Run(f"{signed_words(Left, LEFT_SIGNS)}.")],
            TYPE,
            width,
            style=TextStyle(below=1),
        )
    )
    blocks += tables
    if checklist.documents:
        blocks.append(heading("Documents", sheet))
        blocks += [
            paragraph([Run(f"{each.title}: {each.address}")], TYPE, width, style=TextStyle(below=1))
            for each in checklist.documents
        ]
    return [*blocks, *_sign_off(checklist.sign_off, sheet)]


def _sign_off(blanks: Sequence[Blank], sheet: ChecklistSheet) -> list[Block]:
    """Lines for notes, and what is filled in and signed; each label above its line."""
    rows: list[list[Blank]] = []
    for blank in blanks:
        if blank.wide or not rows or rows[-1][0].wide or len(rows[-1]) == 2:
            rows.append([])
        rows[-1].append(blank)
    inner = [_lines_to_write(row, sheet.inner_width - 8) for row in rows]
    notes = [heading("Notes", sheet), _note_lines(sheet)]
    return [
        *notes,
        heading("Sign-off", sheet),
        framed(inner, sheet.inner_width, look=Look(stroke=ACCENT, width=1.2), pad=4),
    ]


def _note_lines(sheet: ChecklistSheet) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("P"):
            for at in range(1, NOTE_LINES + 1):
                page.blank(
                    x, top + at * ROOM_TO_WRITE - 1, sheet.inner_width, colour=LINE_GREY, line=0.4
                )

    return Block(height=NOTE_LINES * ROOM_TO_WRITE, draw=draw)


def _lines_to_write(blanks: Sequence[Blank], width: float) -> Block:
    """Two lines side by side, each under its label; a wide one is a choice of words, of which one
    is ringed."""
    column = width / 2

    def draw(page: Page, x: float, top: float) -> None:
        for at, blank in enumerate(blanks):
            with page.tag("P"):
                page.text(
                    x + at * column,
                    top,
                    blank.label,
                    TYPE if blank.wide else SMALL,
                    bold=blank.wide,
                )
                if not blank.wide:
                    page.blank(
                        x + at * column, top + LINE + ROOM_TO_WRITE - 2, column - 6, line=0.6
                    )

    return Block(height=LINE + (3.0 if blanks[0].wide else ROOM_TO_WRITE), draw=draw)
