"""A table on a screen, or in a pipe; with words and signs for states."""

from __future__ import annotations

import io
import math
import os
import shutil
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from rich.cells import cell_len

from oilchart.core.due.due_dates import State, Timing
from oilchart.papers.cleaning import printable

# a sign and a colour beside the word, never instead of it
STATE_SIGNS = {
    State.OVERDUE: ("▲", "bold red"),
    State.FIRST_SERVICE: ("■", "bold red"),
    State.LIKELY_OVERDUE: ("▲", "red"),
    State.MAYBE_OVERDUE: ("△", "yellow"),
    State.DUE_SOON: ("◆", "yellow"),
    State.IN_TIME: ("○", "green"),
    State.NOT_SEEN_YET: ("◌", "cyan"),
    State.IN_THE_SHOP: ("□", "cyan"),
    State.GONE: ("-", "dim"),
}
# before what makes a machine unsafe, in the place of its state's sign
DANGER_SIGN, DANGER_STYLE = "✗", "bold red"
STATE_WIDE = max(cell_len(f"{sign} {state}") for state, (sign, _) in STATE_SIGNS.items())
LATE_STYLE = "red"
COLUMN_GAP = 2
NARROWEST = 12  # letters of a column that may wrap
PLAIN_TERMINALS, PLAIN_COLUMNS = ("dumb", "unknown"), 80  # whose width cannot be asked


@dataclass(frozen=True, slots=True)
class Screen:
    """Where text goes.

    Args:
        columns: width; None for a pipe, where nothing is wrapped or cut.
        colour: whether colours may be used.
    """

    columns: int | None
    colour: bool


PIPE = Screen(columns=None, colour=False)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table.

    Args:
        right: set to the right.
        wraps: may be wrapped, but never cut; the others keep their width.
        spare: left out where the screen is too narrow for it, which is told; the last one first.
        optional: left out where it says nothing in any row.
        narrowest: letters of it that stand beside each other, where it may wrap and there is room.
    """

    heading: str
    right: bool = False
    wraps: bool = False
    spare: bool = False
    optional: bool = False
    narrowest: int = NARROWEST


def table(columns: Sequence[Column], rows: Iterable[Sequence[str]], screen: Screen) -> str:
    """A table; in a pipe every row is one line, its cells two blanks apart.

    Optional columns are left out where they are empty. On a screen too narrow for it spare columns
    are left out, which a line below says; then columns that may wrap become as narrow as their
    longest word. Where even that is too wide, each row is a block, its cells below each other with
    their headings. Nothing is ever cut, and no line is wider than the screen.
    """
    cells = [[plain_cell(cell) for cell in row] for row in rows]
    told = [at for at, column in enumerate(columns) if not column.optional or _says(cells, at)]
    kept = shown_columns(columns, cells, screen)
    if _least_wide(columns, cells, kept) > (screen.columns or math.inf):
        return _lines_of(_blocks([columns[at].heading for at in told], cells, told, screen))
    write = _in_pipe if screen == PIPE else _on_screen
    rows_shown = [[row[at] for at in kept] for row in cells]
    text = _lines_of(write([columns[at] for at in kept], rows_shown, screen))
    return text + not_shown([columns[at].heading for at in told if at not in kept], screen)


def shown_columns(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], screen: Screen
) -> list[int]:
    """Which columns are shown: all, less the optional ones that say nothing and the spare ones that
    the screen has no room for."""
    kept = [at for at, column in enumerate(columns) if not column.optional or _says(rows, at)]
    while screen.columns is not None and _wide(columns, rows, kept) > screen.columns:
        spare = [at for at in kept if columns[at].spare]
        if not spare:
            break
        kept.remove(spare[-1])
    return kept


def not_shown(headings: Sequence[str], screen: Screen) -> str:
    """A line that says which columns a screen has no room for; empty where it has for all."""
    if not headings:
        return ""
    return filled(f"Not shown, the window is too narrow: {', '.join(headings)}.", screen) + "\n"


def filled(words: str, screen: Screen) -> str:
    """Words on lines that the screen has room for, broken between words; in a pipe on one."""
    if screen.columns is None or cell_len(words) <= screen.columns:
        return words
    lines = [""]
    for word in words.split(" "):
        line = f"{lines[-1]} {word}" if lines[-1] else word
        if lines[-1] and cell_len(line) > screen.columns:
            lines.append(word)
        else:
            lines[-1] = line
    return "\n".join(lines)


def _lines_of(lines: Iterable[str]) -> str:
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _says(rows: Iterable[Sequence[str]], at: int) -> bool:
    """Whether a column says anything in any row."""
    return any(row[at] for row in rows)


def _in_pipe(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], _screen: Screen
) -> Iterator[str]:
    """The lines of a table whose columns are as wide as what stands in them."""
    lines = [[column.heading for column in columns], *rows]
    widths = [max(map(cell_len, cells)) for cells in zip(*lines, strict=True)]
    for line in lines:
        set_out = []
        for column, cell, width in zip(columns, line, widths, strict=True):
            text = cell.rstrip() if column.right else cell
            blanks = " " * (width - cell_len(text))
            set_out.append(blanks + text if column.right else text + blanks)
        yield (" " * COLUMN_GAP).join(set_out)


def _on_screen(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], screen: Screen
) -> Iterator[str]:
    """The lines of a table that fits a screen, states in their colours.

    What sets it is loaded here alone: a pipe does without.
    """
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    widths = _widths(columns, rows, screen.columns)
    # on a screen the box adds a blank between columns
    gap = (0, 1 if screen.columns else COLUMN_GAP, 0, 0)
    look = box.SIMPLE_HEAD if screen.columns else None
    made = Table(box=look, pad_edge=False, header_style="bold", show_edge=False, padding=gap)
    for column, wide in zip(columns, widths, strict=True):
        justify: Literal["left", "right"] = "right" if column.right else "left"
        made.add_column(column.heading, justify=justify, overflow="fold", width=wide)
    for row in rows:
        made.add_row(*(Text(cell, style=_style(cell)) for cell in row))
    out = io.StringIO()
    console = Console(
        file=out,
        width=sum(widths) + COLUMN_GAP * len(widths),
        color_system="standard" if screen.colour else None,
        force_terminal=screen.colour,
        legacy_windows=False,
    )
    console.print(made)
    yield from out.getvalue().splitlines()


def _blocks(
    headings: Sequence[str], rows: Sequence[Sequence[str]], told: Sequence[int], screen: Screen
) -> Iterator[str]:
    """Rows of a screen that is too narrow for a table: each cell that says something on lines of
    its own, beside its heading; the rows parted by an empty line."""
    columns = (Column("", narrowest=0), Column("", wraps=True, narrowest=1))
    for number, row in enumerate(rows):
        pairs = [[heading, row[at]] for heading, at in zip(headings, told, strict=True) if row[at]]
        lines = list(_on_screen(columns, pairs, screen))
        yield from lines[2:] if number == 0 else ["", *lines[2:]]


def _widths(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], room: int | None
) -> list[int]:
    """The width of each column: what it wants, as far as there is room for it. Each is brought to
    its width at ease, the first ones first, then the narrowest is widened."""
    of_each = [[row[at] for row in rows] for at in range(len(columns))]
    wanted = [
        max([cell_len(column.heading), *map(cell_len, cells)])
        for column, cells in zip(columns, of_each, strict=True)
    ]
    if room is None:
        return wanted
    pairs = list(zip(columns, of_each, strict=True))
    widths = [_least_width(column, cells) for column, cells in pairs]
    left = room - COLUMN_GAP * (len(widths) - 1) - sum(widths)
    for at, (column, cells) in enumerate(pairs):
        more = min(left, max(0, _width(column, cells) - widths[at]))
        widths[at] += more
        left -= more
    while left > 0 and widths != wanted:
        narrow = [at for at in range(len(widths)) if widths[at] < wanted[at]]
        widths[min(narrow, key=widths.__getitem__)] += 1
        left -= 1
    return widths


def _wide(columns: Sequence[Column], rows: Sequence[Sequence[str]], kept: Sequence[int]) -> int:
    """How wide a table is that has these columns, at ease."""
    widths = [_width(columns[at], [row[at] for row in rows]) for at in kept]
    return sum(widths) + COLUMN_GAP * (len(kept) - 1)


def _least_wide(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], kept: Sequence[int]
) -> int:
    """How wide a table is that has these columns, as narrow as they can be."""
    widths = [_least_width(columns[at], [row[at] for row in rows]) for at in kept]
    return sum(widths) + COLUMN_GAP * (len(kept) - 1)


def _width(column: Column, cells: Sequence[str]) -> int:
    """The width of a column at ease: its widest cell, or a few letters where it may wrap; its
    heading's longest word."""
    widest = max([0, *map(cell_len, cells)])
    least = min(widest, column.narrowest) if column.wraps else widest
    return max(least, _heading_width(column))


def _least_width(column: Column, cells: Sequence[str]) -> int:
    """The least width of a column: its widest cell, or where it may wrap its longest word, up to
    the letters that stand beside each other."""
    if not column.wraps:
        return _width(column, cells)
    longest = max((cell_len(word) for cell in cells for word in cell.split()), default=0)
    return max(min(longest, column.narrowest), _heading_width(column))


def _heading_width(column: Column) -> int:
    words = column.heading.split() if column.wraps else [column.heading]
    return max(map(cell_len, words), default=0)


def screen_of(*, is_terminal: bool) -> Screen:
    """The screen text is written to: a terminal's width, and colours unless NO_COLOR or a plain
    terminal forbids them."""
    if not is_terminal:
        return PIPE
    is_plain = os.environ.get("TERM", "").lower() in PLAIN_TERMINALS
    return Screen(
        columns=PLAIN_COLUMNS if is_plain else shutil.get_terminal_size().columns,
        colour=not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb",
    )


def state_cell(state: State) -> str:
    """A state with its sign."""
    return f"{STATE_SIGNS[state][0]} {state}"


def day_cell(day: date | None) -> str:
    """A day like 2026-11-25; empty without one."""
    return day.isoformat() if day else ""


def plain_cell(words: str) -> str:
    """Words on one line, without control and direction characters."""
    return printable(words, instead=" ")


def _style(cell: str) -> str:
    if cell.startswith(DANGER_SIGN):
        return DANGER_STYLE
    return (
        LATE_STYLE
        if cell == Timing.LATE
        else next(
            (
                style
                for state, (_, style) in STATE_SIGNS.items()
                if cell.partition(",")[0] == state_cell(state)
            ),
            "",
        )
    )
