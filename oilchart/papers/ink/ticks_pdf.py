"""Knows how the boxes to tick are drawn: a row a month, large enough for a pen, the Monday of each week in its box."""

from __future__ import annotations

from functools import lru_cache

from oilchart.papers.ink.blocks import Block
from oilchart.papers.ink.card_blocks import TICK
from oilchart.papers.ink.forms import Setting
from oilchart.papers.ink.lettering import Run, width
from oilchart.papers.ink.page import POINT_MM, Page
from oilchart.papers.looks import LINE_GREY
from oilchart.papers.ticks import TickTable

BETWEEN = 0.4  # boxes, in millimetres of clear print
LEAST_PITCH, MOST_PITCH = 6.2, 9.4  # from one box to the next
AIR, MOST_AIR = 3.0, 8.0  # between columns
ROW = TICK + 1.2
MOST_ROW = 10.0
MOST_TABLES = 64  # whose measure is kept: the cards of a run have few that differ


def ticks_height(table: TickTable, rows: int, settings: Setting) -> float:
    """The least height of a table with so many of its rows."""
    return _head(table, settings).height + rows * ROW * settings.form.grow


def rows_in(table: TickTable, room: float, settings: Setting) -> int:
    """How many rows a height has room for."""
    return min(len(table.rows), int((room - _head(table, settings).height + 0.01) // (ROW * settings.form.grow)))


def ticks_block(table: TickTable, rows: int, room: float, settings: Setting) -> Block:
    """So many rows of the table, drawn apart as far as the height lets them."""
    head, grow = _head(table, settings), settings.form.grow
    row_high = min(MOST_ROW * grow, (room - head.height) / rows) if rows else 0.0
    lefts, pitch = _columns(table, settings)
    size = min(TICK * grow, pitch - BETWEEN * grow)

    def draw(page: Page, x: float, top: float) -> None:
        head.draw(page, x, top)
        for at, row in enumerate(table.rows[:rows]):
            y = top + head.height + at * row_high
            page.rule(x, y, settings.form.inner, colour=LINE_GREY, line=0.4)
            middle = y + (row_high - settings.form.line) / 2
            page.text(x, middle, row.month, settings.form.type_size)
            for left, boxes in zip(lefts, row.boxes, strict=True):
                for step, words in enumerate(boxes):
                    box_left = x + left + step * pitch
                    page.box(box_left, y + (row_high - size) / 2, size, size, line=1.0, radius=0.8)
                    across = width(words, settings.form.type_size) * POINT_MM
                    page.text(box_left + (size - across) / 2, middle, words, settings.form.type_size, colour=LINE_GREY)

    return Block(height=head.height + rows * row_high, draw=draw)


@lru_cache(maxsize=MOST_TABLES)
def _columns(table: TickTable, settings: Setting) -> tuple[list[float], float]:
    """Where each column of boxes begins, and how far apart its boxes stand: as far as the width lets them."""
    form, grow = settings.form, settings.form.grow
    months = max(width(row.month, form.type_size) for row in table.rows) * POINT_MM + 1.6 * grow
    most = [max(1, *(len(row.boxes[at]) for row in table.rows)) for at in range(len(table.columns))]
    words = [max(width(word, form.type_size, bold=True) for word in column.split(" ")) * POINT_MM + grow for column in table.columns]

    def wides(pitch: float) -> list[float]:
        return [max(count * pitch, least) for count, least in zip(most, words, strict=True)]

    pitches = [tenths / 10 * grow for tenths in range(round(10 * MOST_PITCH), round(10 * LEAST_PITCH) - 1, -1)]
    room = form.inner - months
    airy = len(table.columns) * AIR * grow
    pitch = next((each for each in pitches if sum(wides(each)) + airy <= room), pitches[-1])
    between = max(0.0, min(MOST_AIR * grow, (room - sum(wides(pitch))) / max(1, len(most))))
    return [months + sum(wides(pitch)[:at]) + between * at for at in range(len(most))], pitch


@lru_cache(maxsize=MOST_TABLES)
def _head(table: TickTable, settings: Setting) -> Block:
    """The table's heading, what its numbers mean, and the headings of its columns."""
    form = settings.form
    title = settings.words([Run(table.heading, bold=True), *([Run(table.note)] if table.note else [])], below=1.2, colour=settings.colour)
    lefts, _ = _columns(table, settings)
    ends = [*lefts[1:], form.inner]
    columns = [settings.words([Run(words, bold=True)], end - left) for words, left, end in zip(table.columns, lefts, ends, strict=True)]
    high = max(block.height for block in columns)

    def draw(page: Page, x: float, top: float) -> None:
        title.draw(page, x, top)
        for left, block in zip(lefts, columns, strict=True):
            block.draw(page, x + left, top + title.height + high - block.height)

    return Block(height=title.height + high + 0.8 * form.grow, draw=draw)
