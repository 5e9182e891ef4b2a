"""A table on a screen, or in a pipe; with words and signs for states."""

from __future__ import annotations

import io
import os
import shutil
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from rich.cells import cell_len

from oilchart.core.due.due_dates import State
from oilchart.papers.cleaning import printable

# a sign and a colour beside the word, never instead of it
STATE_SIGNS = {
    State.OVERDUE: ("▲", "bold red"),
    State.FIRST_SERVICE: ("■", "bold red"),
    State.LIKELY_OVERDUE: ("▲", "red"),
    State.MAYBE_OVERDUE: ("△", "yellow"),
    State.DUE_SOON: ("◆", "yellow"),
    State.IN_TIME: ("○", "green"),
    State.IN_THE_SHOP: ("□", "cyan"),
    State.GONE: ("-", "dim"),
}
# before what makes a machine unsafe, in the place of its state's sign
DANGER_SIGN, DANGER_STYLE = "✗", "bold red"
STATE_WIDE = max(cell_len(f"{sign} {state}") for state, (sign, _) in STATE_SIGNS.items())
LATE, LATE_STYLE = "late", "red"
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
        spare: left out where the screen is too narrow for it; the last one first.
        optional: left out where it says nothing in any row.
        narrowest: letters of it that stand beside each other, where it may wrap.
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
    are left out, then columns that may wrap become narrow; nothing is ever cut: what still does not
    fit is wider than the screen.
    """
    cells = [[plain_cell(cell) for cell in row] for row in rows]
    kept = _fitting(columns, cells, screen.columns)
    shown = [columns[at] for at in kept]
    rows_shown = [[row[at] for at in kept] for row in cells]
    write = _in_pipe if screen == PIPE else _on_screen
    return "\n".join(line.rstrip() for line in write(shown, rows_shown, screen)) + "\n"


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

    widths = [_width(column, [row[at] for row in rows]) for at, column in enumerate(columns)]
    # on a screen the box adds a blank between columns
    gap = (0, 1 if screen.columns else COLUMN_GAP, 0, 0)
    look = box.SIMPLE_HEAD if screen.columns else None
    made = Table(box=look, pad_edge=False, header_style="bold", show_edge=False, padding=gap)
    for column, wide in zip(columns, widths, strict=True):
        justify: Literal["left", "right"] = "right" if column.right else "left"
        made.add_column(
            column.heading,
            justify=justify,
            no_wrap=not column.wraps,
            overflow="fold",
            min_width=wide,
        )
    for row in rows:
        made.add_row(*(Text(cell, style=_style(cell)) for cell in row))
    out = io.StringIO()
    console = Console(
        file=out,
        width=max(screen.columns, sum(widths) + COLUMN_GAP * len(widths))
        if screen.columns
        else 10_000,
        color_system="standard" if screen.colour else None,
        force_terminal=screen.colour,
        legacy_windows=False,
    )
    console.print(made)
    yield from out.getvalue().splitlines()


def _fitting(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], room: int | None
) -> list[int]:
    """Which columns are shown: all, less the optional ones that say nothing and the spare ones that
    the screen has no room for."""
    kept = [
        at
        for at, column in enumerate(columns)
        if not column.optional or any(row[at] for row in rows)
    ]
    widths = [_width(column, [row[at] for row in rows]) for at, column in enumerate(columns)]
    while room is not None and sum(widths[at] for at in kept) + COLUMN_GAP * (len(kept) - 1) > room:
        spare = [at for at in kept if columns[at].spare]
        if not spare:
            break
        kept.remove(spare[-1])
    return kept


def _width(column: Column, cells: Sequence[str]) -> int:
    """The least width of a column: its widest cell, or a few letters where it may wrap; its
    heading's longest word."""
    widest = max([0, *map(cell_len, cells)])
    least = min(widest, column.narrowest) if column.wraps else widest
    heading = (
        max(map(cell_len, column.heading.split()), default=0)
        if column.wraps
        else cell_len(column.heading)
    )
    return max(least, heading)


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
        if cell == LATE
        else next(
            (
                style
                for state, (_, style) in STATE_SIGNS.items()
                if cell.partition(",")[0] == state_cell(state)
            ),
            "",
        )
    )
