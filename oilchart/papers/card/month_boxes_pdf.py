"""The boxes to tick in a PDF: a row a month, large enough for a pen, the Monday of each week in its
box."""

from __future__ import annotations

from functools import lru_cache

from oilchart.papers.card.blocks import TICK_SIDE
from oilchart.papers.card.month_boxes import TickRow, TickTable, months_shown
from oilchart.papers.drawing.colours import INK, LINE_GREY, Look
from oilchart.papers.pdf.blocks import Block, TextStyle
from oilchart.papers.pdf.card_sizes import Setting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import TICKED, Page, words_width
from oilchart.papers.pdf.structure_parts import Part

BETWEEN = 1.0  # boxes, in millimetres of clear print
LEAST_PITCH, MOST_PITCH = 6.2, 9.4  # from one box to the next
AIR, MOST_AIR = 2.0, 8.0  # between columns
ROW = TICK_SIDE + 1.2
MOST_ROW = 10.0
MOST_TABLES = 64  # whose measure is kept: the cards of a run have few that differ


def ticks_height(table: TickTable, rows: int, settings: Setting) -> float:
    """The least height of a table with so many of its rows."""
    return _heads_height(table, settings) + rows * ROW * settings.form.scale


def rows_in(table: TickTable, room: float, settings: Setting) -> int:
    """How many rows a height has room for."""
    return min(
        len(table.rows),
        int((room - _heads_height(table, settings) + 0.01) // (ROW * settings.form.scale)),
    )


def ticks_block(table: TickTable, rows: int, room: float, settings: Setting) -> Block:
    """So many rows of the table, drawn apart as far as the height lets them."""
    table = months_shown(table, rows) if rows else table
    title, head = _title(table, settings), _head(table, settings)
    above = title.height + head.height
    height = min(MOST_ROW * settings.form.scale, (room - above) / rows) if rows else 0.0
    columns = _columns(table, settings)

    def draw(page: Page, x: float, top: float) -> None:
        title.draw(page, x, top)
        with page.tag("Table"):
            head.draw(page, x, top + title.height)
            for at, row in enumerate(table.rows if rows else ()):
                with page.tag("TR"):
                    drawn = _row(row, height, columns, settings)
                    drawn.draw(page, x, top + above + at * height)

    return Block(height=above + rows * height, draw=draw)


def _row(
    row: TickRow, height: float, columns: tuple[list[float], float], settings: Setting
) -> Block:
    """A month and its boxes."""
    form, (lefts, pitch) = settings.form, columns
    size = min(TICK_SIDE * form.scale, pitch - BETWEEN * form.scale)

    def draw(page: Page, x: float, top: float) -> None:
        middle = top + (height - form.line) / 2
        page.rule(x, top, form.inner, colour=LINE_GREY, line=0.4)
        with page.tag(Part(role="TH", scope="Row")):
            page.text(x, middle, row.month, form.type_size)
        for left, boxes in zip(lefts, row.boxes, strict=True):
            with page.tag("TD"):
                for step, words in enumerate(boxes):
                    box_left, box_top = x + left + step * pitch, top + (height - size) / 2
                    across = words_width(words, form.type_size)
                    with page.figure(f"{TICKED} {words}".strip(), box_left, box_top, size, size):
                        look = Look(stroke=INK, width=1.0)
                        page.box(box_left, box_top, size, size, look=look, radius=0.8)
                        inside = box_left + (size - across) / 2
                        page.text(inside, middle, words, form.type_size, colour=LINE_GREY)

    return Block(height=height, draw=draw)


def _heads_height(table: TickTable, settings: Setting) -> float:
    return _title(table, settings).height + _head(table, settings).height


@lru_cache(maxsize=MOST_TABLES)
def _columns(table: TickTable, settings: Setting) -> tuple[list[float], float]:
    """Where each column of boxes begins, and how far apart its boxes stand: as far as the width
    lets them."""
    form, scale = settings.form, settings.form.scale
    months = max(words_width(row.month, form.type_size) for row in table.rows) + 1.6 * scale
    most = [max(1, *(len(row.boxes[at]) for row in table.rows)) for at in range(len(table.columns))]
    words = [
        max(words_width(word, form.type_size, bold=True) for word in column.split(" ")) + scale
        for column in table.columns
    ]

    def wides(pitch: float) -> list[float]:
        return [max(count * pitch, least) for count, least in zip(most, words, strict=True)]

    pitches = [
        tenths / 10 * scale
        for tenths in range(round(10 * MOST_PITCH), round(10 * LEAST_PITCH) - 1, -1)
    ]
    room = form.inner - months
    airy = len(table.columns) * AIR * scale
    pitch = next((each for each in pitches if sum(wides(each)) + airy <= room), pitches[-1])
    between = max(0.0, min(MOST_AIR * scale, (room - sum(wides(pitch))) / max(1, len(most))))
    return [months + sum(wides(pitch)[:at]) + between * at for at in range(len(most))], pitch


@lru_cache(maxsize=MOST_TABLES)
def _title(table: TickTable, settings: Setting) -> Block:
    """The table's heading, and what its numbers mean."""
    note = [Run(table.note)] if table.note else []
    return settings.words(
        [Run(table.heading, bold=True), *note],
        style=TextStyle(below=1.2, colour=settings.colour, role="H2"),
    )


@lru_cache(maxsize=MOST_TABLES)
def _head(table: TickTable, settings: Setting) -> Block:
    """The headings of its columns; that of the months goes without words."""
    form = settings.form
    lefts, _ = _columns(table, settings)
    ends = [*lefts[1:], form.inner]
    columns = [
        settings.words([Run(words, bold=True)], end - left)
        for words, left, end in zip(table.columns, lefts, ends, strict=True)
    ]
    height = max(block.height for block in columns)

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("TR"):
            with page.tag("TD"):
                pass
            for left, block in zip(lefts, columns, strict=True):
                with page.tag(Part(role="TH", scope="Column")):
                    block.draw(page, x + left, top + height - block.height)

    return Block(height=height + 0.8 * form.scale, draw=draw)
