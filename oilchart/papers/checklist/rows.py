"""The rows of the bench checklist's tables on paper: the list with its columns, the lubricants, the
parts to look at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from oilchart.core.point_lists.point_list import WearPart
from oilchart.papers.checklist.content import (
    ChecklistStage,
    ChecklistStep,
    LegendLine,
    change_words,
    stock_words,
)
from oilchart.papers.danger_words import NOT_WHILE_UNSAFE
from oilchart.papers.drawing.colours import ACCENT, CAUTION, INK, LINE_GREY, RUST, Look
from oilchart.papers.pdf.blocks import (
    CONTINUED,
    Block,
    TextStyle,
    framed,
    grouped,
    paragraph,
    place,
    space,
)
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import A4, US_LETTER, Page, line_height
from oilchart.papers.pdf.pages import PageFrame
from oilchart.papers.pdf.structure_parts import Part
from oilchart.papers.wording import capital, plain_number

EDGE = 12.0
TYPE = 10.0
SMALL = 9.0
LINE = line_height(TYPE)
TICK_SIDE = 4.6
NUMBER_AT, WORDS_AT = 10.0, 15.0  # from the left edge of the list, in millimetres
AMOUNT_WIDE, FOUND_WIDE, LEFT_WIDE, MINUTES_WIDE, GAP = 29.0, 24.0, 20.0, 10.0, 3.0
HEAD_ROOM = 2 * LINE + 4  # for title and column headings on every page after the first


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistSheet:
    """A sheet of paper with the list's columns on it, all in millimetres, the columns from the left
    edge of the list."""

    width: float
    height: float

    @property
    def inner_width(self) -> float:
        """Between the margins."""
        return self.width - 2 * EDGE

    @property
    def room(self) -> float:
        """Height for what stands on a page under its running head."""
        return self.frame.room(1)

    @property
    def frame(self) -> PageFrame:
        """What stands where on its pages."""
        return PageFrame(
            left=EDGE,
            width=self.inner_width,
            first_top=EDGE,
            later_top=EDGE + HEAD_ROOM,
            bottom=self.height - EDGE - LINE,
            head_top=EDGE,
            head_size=TYPE,
            foot_top=self.height - EDGE - 2.5,
            foot_size=SMALL,
        )

    @property
    def columns(self) -> tuple[tuple[float, str], ...]:
        """The columns of the list, with their headings; the last one, minutes, ends at the
        right."""
        return (
            (WORDS_AT, "Place and work"),
            (self.amount_at, "Amount"),
            (self.found_at, "As found"),
            (self.left_at, "As left"),
            (self.inner_width, "Min"),
        )

    @property
    def left_at(self) -> float:
        """Column for how a point was left."""
        return self.inner_width - MINUTES_WIDE - LEFT_WIDE

    @property
    def found_at(self) -> float:
        """Column for how a point was found."""
        return self.left_at - GAP - FOUND_WIDE

    @property
    def amount_at(self) -> float:
        """Column for amount and lubricant."""
        return self.found_at - GAP - AMOUNT_WIDE


CHECKLIST_SHEETS = {
    "a4": ChecklistSheet(width=A4[0], height=A4[1]),
    "letter": ChecklistSheet(width=US_LETTER[0], height=US_LETTER[1]),
}


def heading(words: str, sheet: ChecklistSheet) -> Block:
    """The heading of what follows the list, or stands beside a drawing."""
    title = paragraph(
        [Run(words, bold=True)],
        12,
        sheet.inner_width,
        style=TextStyle(colour=ACCENT, below=1, role="H2"),
    )
    return Block(
        height=title.height + 3,
        draw=lambda page, x, top: title.draw(page, x, top + 3),
        with_next=True,
    )


def column_headings(page: Page, sheet: ChecklistSheet) -> None:
    """Set the headings of the list's columns at the head of a page."""
    *columns, (right, last) = sheet.columns
    top = EDGE + LINE + 1
    with page.tag("TR"):
        for at, words in columns:
            with page.tag(Part(role="TH", scope="Column")):
                page.text(EDGE + at, top, words, SMALL, bold=True)
        with page.tag(Part(role="TH", scope="Column")):
            page.right(EDGE + right, top, last, SMALL, bold=True)
    page.rule(EDGE, EDGE + 2 * LINE + 1.5, sheet.inner_width)


def stage_rows(stage: ChecklistStage, sheet: ChecklistSheet) -> list[Block]:
    """A stage of the list: its name, its caution, what is opened, its points, what is closed."""
    name = paragraph(
        [Run(stage.name, bold=True)],
        13,
        sheet.inner_width,
        style=TextStyle(colour=ACCENT, below=1, with_next=True, role="H2", struck=stage.is_struck),
    )
    blocks = [space(2), _across(name, sheet)]
    if stage.caution and not stage.is_struck:
        words = [Run("Caution.", bold=True), Run(stage.caution)]
        box = framed(
            [paragraph(words, TYPE, sheet.inner_width - 5)],
            sheet.inner_width,
            look=Look(fill=CAUTION, stroke=RUST, width=1.2),
            pad=2.5,
            below=1.5,
        )
        blocks.append(_across(replace(box, with_next=True), sheet))
    rows = [_order(words, stage, sheet) for words in stage.open]
    rows += [_step(step, sheet) for step in stage.steps]
    rows += [_order(words, stage, sheet) for words in stage.close]
    again = paragraph(
        [Run(stage.name, bold=True), CONTINUED],
        TYPE,
        sheet.inner_width,
        style=TextStyle(colour=ACCENT, below=1),
    )
    return blocks + [replace(row, again=again) for row in rows]


def _across(block: Block, sheet: ChecklistSheet) -> Block:
    """A row of the list that is one cell."""
    [row] = grouped("TR", grouped(Part(role="TD", across=len(sheet.columns)), [block]))
    return row


def _order(words: str, stage: ChecklistStage, sheet: ChecklistSheet) -> Block:
    return _struck(words, sheet) if words in stage.struck else _chore(words, sheet)


def _struck(words: str, sheet: ChecklistSheet, number: int | None = None) -> Block:
    """What is not done while the machine is unsafe: struck through, without a box to tick."""
    width = sheet.inner_width - WORDS_AT
    lines = [
        paragraph([Run(f"{capital(NOT_WHILE_UNSAFE)}:")], SMALL, width),
        paragraph([Run(words)], TYPE, width, style=TextStyle(colour=LINE_GREY, struck=True)),
    ]
    height = sum(line.height for line in lines) + 2.6

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("TR"), page.tag(Part(role="TD", across=len(sheet.columns))):
            if number is not None:
                page.number(x + NUMBER_AT, top + 1.0 + TICK_SIDE / 2, number, SMALL)
            place(page, lines, x + WORDS_AT, top + 1.2)
        page.rule(x, top + height, sheet.inner_width, colour=LINE_GREY, line=0.25)

    return Block(height=height + 0.4, draw=draw)


def _chore(words: str, sheet: ChecklistSheet) -> Block:
    """What is opened or closed: a box to tick and words."""
    line = paragraph([Run(words)], TYPE, sheet.inner_width - WORDS_AT)
    cell = Part(role="TD", across=len(sheet.columns))
    return _ruled(
        max(line.height, TICK_SIDE) + 2.6,
        sheet,
        cell,
        lambda page, x, top: line.draw(page, x + WORDS_AT, top + 1.2),
    )


def _step(step: ChecklistStep, sheet: ChecklistSheet) -> Block:
    """A point: box to tick, number, words, amount, lines for as found and as left, minutes."""
    if step.struck:
        return _struck(_work(step), sheet, step.number)
    words = paragraph(
        _step_runs(step),
        TYPE,
        (sheet.amount_at if step.amount else sheet.found_at) - WORDS_AT - GAP,
    )
    dose = _dose(step)
    height = max(words.height, TICK_SIDE, sum(block.height for block in dose)) + 2.6

    def what(page: Page, x: float, top: float) -> None:
        page.number(x + NUMBER_AT, top + 1.0 + TICK_SIDE / 2, step.number, SMALL)
        words.draw(page, x + WORDS_AT, top + 1.2)

    def others(page: Page, x: float, top: float) -> None:
        with page.tag("TD"):
            place(page, dose, x + sheet.amount_at, top + 1.2)
        for at, width in ((sheet.found_at, FOUND_WIDE), (sheet.left_at, LEFT_WIDE)):
            with page.tag("TD"):
                page.blank(x + at, top + height - 1.6, width, colour=LINE_GREY, line=0.4)
        with page.tag("TD"):
            page.right(x + sheet.inner_width, top + 1.2, plain_number(step.minutes), TYPE)

    return _ruled(height, sheet, Part(role="TH", scope="Row"), what, others)


def _step_runs(step: ChecklistStep) -> list[Run]:
    told = (
        "owner’s point too" if step.owners else None,
        "dismantling" if step.deep else None,
        step.shorter,
        step.last_left,
        step.later,
    )
    marks = [words for words in told if words]
    runs = [Run(_work(step), bold=True)]
    if step.what:
        runs.append(Run(f"{step.what}."))
    if step.amount is None and step.lubricant:
        runs.append(Run(f"With {step.lubricant}."))
    if marks:
        runs.append(Run(f"({'; '.join(marks)})"))
    if step.caution:
        runs += [Run("Caution.", bold=True), Run(step.caution)]
    return runs


def _work(step: ChecklistStep) -> str:
    return f"{step.work}: {step.where}."


def _dose(step: ChecklistStep) -> list[Block]:
    """How much, and of what."""
    if step.amount is None:
        return []
    blocks = [paragraph([Run(step.amount, bold=True)], TYPE, AMOUNT_WIDE)]
    return blocks + (
        [paragraph([Run(step.lubricant)], SMALL, AMOUNT_WIDE)] if step.lubricant else []
    )


def _nothing(page: Page, x: float, top: float) -> None:
    """A row without further cells."""


def _ruled(
    height: float,
    sheet: ChecklistSheet,
    first: Part,
    what: Callable[[Page, float, float], None],
    others: Callable[[Page, float, float], None] = _nothing,
) -> Block:
    """A row with its box to tick, above a line: what stands in its first cell, and the other
    cells."""

    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("TR"):
            with page.tag(first):
                page.tick(x, top + 0.9, TICK_SIDE, colour=INK)
                what(page, x, top)
            others(page, x, top)
        page.rule(x, top + height, sheet.inner_width, colour=LINE_GREY, line=0.25)

    return Block(height=height + 0.4, draw=draw)


def legend_rows(lines: Sequence[LegendLine], sheet: ChecklistSheet) -> list[Block]:
    """The lubricants under their heading: as the list names them, as they are bought, where they
    belong and where never."""
    if not lines:
        return []
    columns = (30.0, 48.0, (sheet.inner_width - 78.0) / 2, (sheet.inner_width - 78.0) / 2)
    rows = [
        _underlined(_row(line.short, (line.full, line.belongs, line.never), columns), sheet)
        for line in lines
    ]
    return [
        heading("Lubricants", sheet),
        *_table(
            _titles(("In the list", "Lubricant", "Where it belongs", "Never on"), columns), rows
        ),
    ]


def parts_rows(parts: Sequence[WearPart], sheet: ChecklistSheet) -> list[Block]:
    """The parts to look at under their heading, each with its box to tick and a line for how it was
    found."""
    if not parts:
        return []
    looked_at = sheet.inner_width - FOUND_WIDE
    columns = (38.0, looked_at - WORDS_AT - 94.0, 32.0, 24.0, FOUND_WIDE)
    rows = [_part(part, columns, sheet) for part in parts]
    titles = _titles(("Part", "What to order", "Change", "Keep in stock", "As found"), columns)
    indented = replace(titles, draw=lambda page, x, top: titles.draw(page, x + WORDS_AT, top))
    return [heading("Parts to look at", sheet), *_table(indented, rows)]


def _table(titles: Block, rows: Sequence[Block]) -> list[Block]:
    return grouped("Table", [replace(titles, with_next=True), *rows])


def _part(part: WearPart, columns: Sequence[float], sheet: ChecklistSheet) -> Block:
    name, *cells = (
        _cell(words, width, bold=not at)
        for at, (words, width) in enumerate(zip(_part_words(part), columns, strict=False))
    )
    height = max(TICK_SIDE, name.height, *(cell.height for cell in cells)) + 2.6

    def others(page: Page, x: float, top: float) -> None:
        at = x + WORDS_AT + columns[0]
        for cell, width in zip(cells, columns[1:], strict=False):
            with page.tag("TD"):
                cell.draw(page, at, top + 1.2)
            at += width
        with page.tag("TD"):
            page.blank(
                x + sheet.inner_width - FOUND_WIDE,
                top + height - 1.6,
                FOUND_WIDE,
                colour=LINE_GREY,
                line=0.4,
            )

    return _ruled(
        height,
        sheet,
        Part(role="TH", scope="Row"),
        lambda page, x, top: name.draw(page, x + WORDS_AT, top + 1.2),
        others,
    )


def _part_words(part: WearPart) -> tuple[str, ...]:
    return part.name, part.part, change_words(part), stock_words(part)


def _cell(words: str, width: float, *, bold: bool = False) -> Block:
    return paragraph([Run(words, bold=bold)], SMALL, width - GAP)


def _titles(words: Sequence[str], columns: Sequence[float]) -> Block:
    """The headings of columns, each as wide as said."""
    return _side_by_side(
        [_cell(each, width, bold=True) for each, width in zip(words, columns, strict=True)],
        columns,
        "Column",
    )


def _row(first: str, others: Sequence[str], columns: Sequence[float]) -> Block:
    """A row whose first cell says what it is of."""
    cells = [
        _cell(first, columns[0], bold=True),
        *(_cell(words, width) for words, width in zip(others, columns[1:], strict=True)),
    ]
    return _side_by_side(cells, columns, "Row")


def _side_by_side(
    cells: Sequence[Block], columns: Sequence[float], headers: Literal["Column", "Row"]
) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        with page.tag("TR"):
            for at, (cell, width) in enumerate(zip(cells, columns, strict=True)):
                header = headers == "Column" or at == 0
                with page.tag(Part(role="TH", scope=headers) if header else "TD"):
                    cell.draw(page, x, top)
                x += width

    return Block(height=max(cell.height for cell in cells) + 0.6, draw=draw)


def _underlined(row: Block, sheet: ChecklistSheet) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        page.rule(x, top, sheet.inner_width, colour=LINE_GREY, line=0.25)
        row.draw(page, x, top + 0.8)

    return Block(height=row.height + 1.2, draw=draw)
