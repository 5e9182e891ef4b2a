"""Words of any length kept within their room: cut, set in a size that fits, or over pages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reportlab.lib.units import mm

from oilchart.papers.pdf.blocks import PLAIN, Block, TextStyle, grouped, typed
from oilchart.papers.pdf.fonts import (
    BOLD,
    Line,
    Run,
    Word,
    broken,
    clean,
    letters_that_fit,
    text_width,
)

MORE = "…"
SEE_THE_BOOK = "… see the book"  # where the rest can be read


def cut(lines: Sequence[Line], most: int, size: float, room: float, end: str = MORE) -> list[Line]:
    """The first lines of type; where there are more, the last one ends with a mark.

    Args:
        most: how many lines there may be.
        room: width of a line in points.
        end: the mark, for which the last line gives up words.
    """
    if len(lines) <= most:
        return list(lines)
    last = list(lines[most - 1])
    face = last[-1].face
    mark = Word(end, face, text_width(end, size, bold=face == BOLD))
    while last and sum(word.width for word in last) + mark.width > room:
        last.pop()
    return [*lines[: most - 1], (*last, mark)]


def capped(
    runs: Sequence[Run],
    size: float,
    width: float,
    most: int,
    *,
    end: str = MORE,
    style: TextStyle = PLAIN,
) -> Block:
    """A block of type of at most so many lines, of a width in millimetres."""
    lines = broken(runs, size, width * mm, most + 1)
    return typed(cut(lines, most, size, width * mm, end), size, style)


def largest_fitting(
    words: str,
    sizes: Sequence[tuple[float, int]],
    width: float,
    *,
    bold: bool = False,
    style: TextStyle = PLAIN,
) -> Block:
    """A block of type in the largest size in which the words fit; in the last one they are cut.

    Args:
        sizes: pairs of type size in points and lines it may take, the largest first.
        width: of the block, in millimetres.
    """
    runs = [Run(words, bold=bold)]
    size, most = next(
        (
            (size, most)
            for size, most in sizes
            if len(broken(runs, size, width * mm, most + 1)) <= most
        ),
        sizes[-1],
    )
    return capped(runs, size, width, most, style=style)


def short(words: str, size: float, width: float, *, bold: bool = False) -> str:
    """Words on one line, cut with a mark where they are wider than so many millimetres."""
    text, room = clean(words), width * mm
    if letters_that_fit(text, size, room, bold=bold) == len(text):
        return text
    return text[: letters_that_fit(text, size, room, bold=bold, end=MORE)].rstrip() + MORE


def flowing(
    runs: Sequence[Run],
    size: float,
    width: float,
    style: TextStyle = PLAIN,
) -> list[Block]:
    """A block a line, so that words of any length may go on over pages."""
    *before, last = broken(runs, size, width * mm)
    inner = replace(style, role=None)
    blocks = [typed([line], size, replace(inner, below=0)) for line in before]
    return grouped(style.role or "P", [*blocks, typed([last], size, inner)])
