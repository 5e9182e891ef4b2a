"""Knows the bench checklist as a PDF of A4 or Letter size: working order, boxes to tick, as found, as left, legend, parts and sign-off."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from oilchart.core.chart import Avoid, WearPart
from oilchart.papers.checklist import Blank, Checklist, ChecklistStage, LegendLine, Step, change_words, stock_words
from oilchart.papers.ink.blocks import Block, flow, framed, paragraph, place, space
from oilchart.papers.ink.letterhead import accent, footed, head_wide, headed
from oilchart.papers.ink.lettering import LEADING, Run
from oilchart.papers.ink.page import POINT_MM, Page
from oilchart.papers.ink.room import flowing, short
from oilchart.papers.looks import ACCENT, CAUTION, INK, LINE_GREY, RUST
from oilchart.papers.picture import Picture
from oilchart.papers.wording import INVENTED, counted, day_words, plain_number

EDGE = 12.0
TYPE = 10.0
SMALL = 9.0
LINE: float = LEADING * TYPE * POINT_MM
TICK = 4.6
NUMBER_AT, WORDS_AT = 10.0, 15.0  # from the left edge of the list, in millimetres
AMOUNT_WIDE, FOUND_WIDE, LEFT_WIDE, MINUTES_WIDE, GAP = 29.0, 24.0, 20.0, 10.0, 3.0
HEAD_ROOM = 2 * LINE + 4  # for title and column headings on every page after the first
LEAST_PICTURE = 70.0  # high; a first drawing with less room gets a page of its own
WIDEST_PICTURE = 168.0
NOTE_LINES = 3
ROOM_TO_WRITE = 9.0  # the height of a line that is written on


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A sheet of paper with the list's columns on it, all in millimetres, the columns from the left edge of the list."""

    width: float
    height: float

    @property
    def wide(self) -> float:
        """Between the margins."""
        return self.width - 2 * EDGE

    @property
    def room(self) -> float:
        """Height for what stands on a page under its running head."""
        return self.room_of(1)

    def room_of(self, page: int) -> float:
        """Height for what stands on a page, counted from 0; the first one has no running head."""
        return self.height - 2 * EDGE - LINE - (HEAD_ROOM if page else 0)

    @property
    def left_at(self) -> float:
        """Column for how a point was left."""
        return self.wide - MINUTES_WIDE - LEFT_WIDE

    @property
    def found_at(self) -> float:
        """Column for how a point was found."""
        return self.left_at - GAP - FOUND_WIDE

    @property
    def amount_at(self) -> float:
        """Column for amount and lubricant."""
        return self.found_at - GAP - AMOUNT_WIDE


SHEETS = {"a4": Sheet(width=210.0, height=297.0), "letter": Sheet(width=215.9, height=279.4)}


def checklist_pdf(checklist: Checklist, sheet: str = "a4") -> bytes:
    """Write the checklist, with page x of y on every page.

    Args:
        sheet: one of SHEETS.
    """
    paper = SHEETS[sheet]
    size = paper.width, paper.height
    style = checklist.style
    page = Page(size, title=checklist.title, author="", subject="Bench checklist", language="en-GB", accent=accent(style))
    front, pictures = _front(checklist, paper)
    drawings = _drawings(pictures, paper)
    tables = [_legend(checklist.lubricants, paper), _parts(checklist.wear_parts, paper)]
    tables_after = _fill(drawings[-1], tables, paper) if drawings else [block for table in tables for block in table]
    list_blocks = [block for stage in checklist.stages for block in _stage(stage, paper)]
    listed_and_after = flow([*list_blocks, *_last(checklist, tables_after, paper)], lambda at: paper.room)
    pages = footed([*flow(front, paper.room_of), *drawings, *listed_and_after], style, SMALL, paper.wide, paper.room_of)
    listed = {id(block) for block in list_blocks}
    head = short(" · ".join([checklist.title, *checklist.heading[:1]]), TYPE, paper.wide)
    for at, blocks in enumerate(pages):
        if at:
            page.turn()
            page.text(EDGE, EDGE, head, TYPE, colour=ACCENT)
        if any(id(block) in listed for block in blocks):
            _column_headings(page, paper)
        place(page, blocks, EDGE, EDGE + (HEAD_ROOM if at else 0))
        _foot(page, checklist, paper, f"page {at + 1} of {len(pages)}")
    return page.finish()


def checklist_words(checklist: Checklist) -> list[str]:
    """All words of the checklist that come from the shop and the owner."""
    return [checklist.title, *checklist.heading, *checklist.notes, checklist.style.footer]


def _front(checklist: Checklist, sheet: Sheet) -> tuple[list[Block], Sequence[Picture]]:
    """What stands on the first page, with the first drawing as large as there is room, and the drawings left for pages of their own."""
    wide = sheet.wide
    planned = sum(step.later is None for step in checklist.steps)
    counts = f"{day_words(checklist.on)} · {counted(planned, 'point')}, {checklist.minutes} · needle {checklist.needle}"
    beside = head_wide(checklist.style, wide)
    blocks = flowing([Run(checklist.title, bold=True)], 18, beside, colour=ACCENT, below=1)
    for line in (*checklist.heading, counts, *checklist.notes):
        blocks += flowing([Run(line)], 11, beside, below=0.5)
    blocks = [*headed(blocks, checklist.style, wide), space(2)]
    after = [_avoids(checklist.avoids, sheet)] if checklist.avoids else []
    if any(step.view is None for step in checklist.steps):
        words = "Numbers that are on no drawing are found where the list says."
        after.insert(0, paragraph([Run(words)], SMALL, wide, colour=LINE_GREY, below=3))
    after.append(paragraph([Run(checklist.defers, bold=True)], TYPE, wide))
    left = sheet.room_of(0) - sum(block.height for block in [*blocks, *after]) - 1
    if not checklist.pictures or left < LEAST_PICTURE:
        return [*blocks, *after], checklist.pictures
    first, *others = checklist.pictures
    return [*blocks, _picture(first, sheet, min(WIDEST_PICTURE, left * first.width / first.height)), *after], others


def _drawings(pictures: Sequence[Picture], sheet: Sheet) -> list[list[Block]]:
    """Drawings, two on a page, each under its name."""
    blocks = []
    for picture in pictures:
        name = paragraph([Run(picture.name, bold=True)], 12, sheet.wide, colour=ACCENT, below=1)
        wide = min(sheet.wide, (sheet.room / 2 - name.height - 4) * picture.width / picture.height)
        drawn = _picture(picture, sheet, wide)
        blocks.append(Block(height=name.height + drawn.height + 3, draw=_stacked(name, drawn)))
    return [blocks[at : at + 2] for at in range(0, len(blocks), 2)]


def _fill(page: list[Block], tables: Sequence[list[Block]], sheet: Sheet) -> list[Block]:
    """Add tables to a page as long as each has room on it whole, and give back the blocks of those that have not."""
    left: list[Block] = []
    for table in tables:
        fits = sum(block.height for block in [*page, *table]) <= sheet.room
        (page if fits else left).extend(table)
    return left


def _stacked(first: Block, second: Block) -> Callable[[Page, float, float], None]:
    def draw(page: Page, x: float, top: float) -> None:
        place(page, [first, second], x, top)

    return draw


def _picture(picture: Picture, sheet: Sheet, wide: float) -> Block:
    high = wide * picture.height / picture.width
    return Block(height=high + 1, draw=lambda page, x, top: page.picture(x + (sheet.wide - wide) / 2, top, picture, wide))


def _avoids(avoids: Sequence[Avoid], sheet: Sheet) -> Block:
    """The do-not points in two columns."""
    column = (sheet.wide - 12) / 2
    cells = [paragraph([Run(f"{avoid.where}:", bold=True), Run(f"{avoid.do_not}.")], SMALL, column, below=0.9) for avoid in avoids]
    half = (len(cells) + 1) // 2
    high = max(sum(cell.height for cell in part) for part in (cells[:half], cells[half:]))

    def draw(page: Page, x: float, top: float) -> None:
        place(page, cells[:half], x, top)
        place(page, cells[half:], x + column + 4, top)

    heading = paragraph([Run("Never", bold=True)], 12, sheet.wide - 8, colour=RUST, below=1)
    return framed([heading, Block(height=high, draw=draw)], sheet.wide, fill=None, stroke=RUST, line=2.2, pad=4)


def _stage(stage: ChecklistStage, sheet: Sheet) -> list[Block]:
    heading = paragraph([Run(stage.name, bold=True)], 13, sheet.wide, colour=ACCENT, below=1, with_next=True)
    blocks = [space(2), heading]
    if stage.caution:
        words = [Run("Caution.", bold=True), Run(stage.caution)]
        box = framed([paragraph(words, TYPE, sheet.wide - 5)], sheet.wide, fill=CAUTION, stroke=RUST, pad=2.5, below=1.5)
        blocks.append(Block(height=box.height, draw=box.draw, with_next=True))
    rows = [_chore(words, sheet) for words in stage.open]
    rows += [_step(step, sheet) for step in stage.steps]
    rows += [_chore(words, sheet) for words in stage.close]
    again = paragraph([Run(stage.name, bold=True), Run("– continued")], TYPE, sheet.wide, colour=ACCENT, below=1)
    return blocks + [replace(row, again=again) for row in rows]


def _chore(words: str, sheet: Sheet) -> Block:
    """What is opened or closed: a box to tick and words."""
    line = paragraph([Run(words)], TYPE, sheet.wide - WORDS_AT)
    return _ruled(max(line.height, TICK) + 2.6, sheet, lambda page, x, top: line.draw(page, x + WORDS_AT, top + 1.2))


def _step(step: Step, sheet: Sheet) -> Block:
    """A point: box to tick, number, words, amount, lines for as found and as left, minutes."""
    words = paragraph(_step_runs(step), TYPE, (sheet.amount_at if step.amount else sheet.found_at) - WORDS_AT - GAP)
    dose = _dose(step)
    high = max(words.height, TICK, sum(block.height for block in dose)) + 2.6

    def draw(page: Page, x: float, top: float) -> None:
        words.draw(page, x + WORDS_AT, top + 1.2)
        place(page, dose, x + sheet.amount_at, top + 1.2)
        page.number(x + NUMBER_AT, top + 1.0 + TICK / 2, step.number, SMALL)
        for at, wide in ((sheet.found_at, FOUND_WIDE), (sheet.left_at, LEFT_WIDE)):
            page.rule(x + at, top + high - 1.6, wide, colour=LINE_GREY, line=0.4)
        page.right(x + sheet.wide, top + 1.2, plain_number(step.minutes), TYPE)

    return _ruled(high, sheet, draw)


def _step_runs(step: Step) -> list[Run]:
    told = ("owner’s point too" if step.owners else None, "dismantling" if step.deep else None, step.shorter, step.last_left, step.later)
    marks = [words for words in told if words]
    runs = [Run(f"{step.work}: {step.where}.", bold=True)]
    if step.what:
        runs.append(Run(f"{step.what}."))
    if step.amount is None and step.lubricant:
        runs.append(Run(f"With {step.lubricant}."))
    if marks:
        runs.append(Run(f"({'; '.join(marks)})"))
    if step.caution:
        runs += [Run("Caution.", bold=True), Run(step.caution)]
    return runs


def _dose(step: Step) -> list[Block]:
    """How much, and of what."""
    if step.amount is None:
        return []
    blocks = [paragraph([Run(step.amount, bold=True)], TYPE, AMOUNT_WIDE)]
    return blocks + ([paragraph([Run(step.lubricant)], SMALL, AMOUNT_WIDE)] if step.lubricant else [])


def _ruled(high: float, sheet: Sheet, draw: Callable[[Page, float, float], None]) -> Block:
    """A row with its box to tick, above a line."""

    def draw_all(page: Page, x: float, top: float) -> None:
        page.box(x, top + 0.9, TICK, TICK, stroke=INK, line=0.9, radius=0.6)
        draw(page, x, top)
        page.rule(x, top + high, sheet.wide, colour=LINE_GREY, line=0.25)

    return Block(height=high + 0.4, draw=draw_all)


def _column_headings(page: Page, sheet: Sheet) -> None:
    columns = ((WORDS_AT, "Place and work"), (sheet.amount_at, "Amount"), (sheet.found_at, "As found"), (sheet.left_at, "As left"))
    for at, heading in columns:
        page.text(EDGE + at, EDGE + LINE + 1, heading, SMALL, bold=True)
    page.right(EDGE + sheet.wide, EDGE + LINE + 1, "Min", SMALL, bold=True)
    page.rule(EDGE, EDGE + 2 * LINE + 1.5, sheet.wide)


def _foot(page: Page, checklist: Checklist, sheet: Sheet, count: str) -> None:
    top = sheet.height - EDGE - 2.5
    if checklist.invented:
        page.text(EDGE, top, INVENTED, SMALL, colour=LINE_GREY)
    page.right(EDGE + sheet.wide, top, count, SMALL, colour=LINE_GREY)


def _last(checklist: Checklist, tables: Sequence[Block], sheet: Sheet) -> list[Block]:
    """What follows the list: words for the columns, tables that had no room beside a drawing, documents, notes and sign-off."""
    wide = sheet.wide
    blocks = [space(4)]
    blocks.append(paragraph([Run("As found:", bold=True), Run(", ".join(checklist.found_words) + ".")], TYPE, wide, below=1))
    blocks.append(paragraph([Run("As left:", bold=True), Run(", ".join(checklist.left_words) + ".")], TYPE, wide, below=1))
    blocks += tables
    if checklist.documents:
        blocks.append(_heading("Documents", sheet))
        blocks += [paragraph([Run(f"{each.title}: {each.address}")], TYPE, wide, below=1) for each in checklist.documents]
    return [*blocks, *_sign_off(checklist.sign_off, sheet)]


def _heading(words: str, sheet: Sheet) -> Block:
    title = paragraph([Run(words, bold=True)], 12, sheet.wide, colour=ACCENT, below=1)
    return Block(height=title.height + 3, draw=lambda page, x, top: title.draw(page, x, top + 3), with_next=True)


def _legend(lines: Sequence[LegendLine], sheet: Sheet) -> list[Block]:
    """The lubricants: as the list names them, as they are bought, where they belong and where never."""
    columns = (30.0, 48.0, (sheet.wide - 78.0) / 2, (sheet.wide - 78.0) / 2)
    rows = [_cells((Run(line.short, bold=True), Run(line.full), Run(line.belongs), Run(line.never)), columns) for line in lines]
    titles = _cells([Run(words, bold=True) for words in ("In the list", "Lubricant", "Where it belongs", "Never on")], columns)
    return [_heading("Lubricants", sheet), replace(titles, with_next=True), *(_underlined(row, sheet) for row in rows)] if rows else []


def _parts(parts: Sequence[WearPart], sheet: Sheet) -> list[Block]:
    """The parts to look at, each with its box to tick and a line for how it was found."""
    looked_at = sheet.wide - FOUND_WIDE
    columns = (38.0, looked_at - WORDS_AT - 94.0, 32.0, 24.0)
    rows = []
    for part in parts:
        words = (Run(part.name, bold=True), Run(part.part), Run(change_words(part)), Run(stock_words(part)))
        rows.append(_part(_cells(words, columns), looked_at, sheet))
    names = ("Part", "What to order", "Change", "Keep in stock")
    titles = _cells([Run(words, bold=True) for words in names], columns)

    def draw(page: Page, x: float, top: float) -> None:
        titles.draw(page, x + WORDS_AT, top)
        page.text(x + looked_at, top, "As found", SMALL, bold=True)

    head = Block(height=titles.height, draw=draw, with_next=True)
    return [_heading("Parts to look at", sheet), head, *rows] if rows else []


def _part(cells: Block, looked_at: float, sheet: Sheet) -> Block:
    high = max(cells.height, TICK) + 2.6

    def draw(page: Page, x: float, top: float) -> None:
        cells.draw(page, x + WORDS_AT, top + 1.2)
        page.rule(x + looked_at, top + high - 1.6, FOUND_WIDE, colour=LINE_GREY, line=0.4)

    return _ruled(high, sheet, draw)


def _cells(words: Sequence[Run], columns: Sequence[float]) -> Block:
    """Words side by side, each in its column of a width."""
    cells = [paragraph([run], SMALL, wide - GAP) for run, wide in zip(words, columns, strict=True)]

    def draw(page: Page, x: float, top: float) -> None:
        for cell, wide in zip(cells, columns, strict=True):
            cell.draw(page, x, top)
            x += wide

    return Block(height=max(cell.height for cell in cells) + 0.6, draw=draw)


def _underlined(row: Block, sheet: Sheet) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        page.rule(x, top, sheet.wide, colour=LINE_GREY, line=0.25)
        row.draw(page, x, top + 0.8)

    return Block(height=row.height + 1.2, draw=draw)


def _sign_off(blanks: Sequence[Blank], sheet: Sheet) -> list[Block]:
    """Lines for notes, and what is filled in and signed; each label above its line."""
    rows: list[list[Blank]] = []
    for blank in blanks:
        if blank.wide or not rows or rows[-1][0].wide or len(rows[-1]) == 2:
            rows.append([])
        rows[-1].append(blank)
    inner = [_lines_to_write(row, sheet.wide - 8) for row in rows]
    notes = [_heading("Notes", sheet), _note_lines(sheet)]
    return [*notes, _heading("Sign-off", sheet), framed(inner, sheet.wide, fill=None, stroke=ACCENT, pad=4)]


def _note_lines(sheet: Sheet) -> Block:
    def draw(page: Page, x: float, top: float) -> None:
        for at in range(1, NOTE_LINES + 1):
            page.rule(x, top + at * ROOM_TO_WRITE - 1, sheet.wide, colour=LINE_GREY, line=0.4)

    return Block(height=NOTE_LINES * ROOM_TO_WRITE, draw=draw)


def _lines_to_write(blanks: Sequence[Blank], wide: float) -> Block:
    """Two lines side by side, each under its label; a wide one is a choice of words, of which one is ringed."""
    column = wide / 2

    def draw(page: Page, x: float, top: float) -> None:
        for at, blank in enumerate(blanks):
            page.text(x + at * column, top, blank.label, TYPE if blank.wide else SMALL, bold=blank.wide)
            if not blank.wide:
                page.rule(x + at * column, top + LINE + ROOM_TO_WRITE - 2, column - 6, line=0.6)

    return Block(height=LINE + (3.0 if blanks[0].wide else ROOM_TO_WRITE), draw=draw)
