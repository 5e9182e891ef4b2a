"""Knows how words of any length keep within their room: cut with a mark, set in the size that fits,
or line by line over pages."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm

from oilchart.papers.drawing.colours import INK
from oilchart.papers.pdf.blocks import Block, grouped, typed
from oilchart.papers.pdf.fonts import BOLD, Line, Run, Word, broken, clean, text_width
from oilchart.papers.pdf.structure_parts import Role

MORE = "…"
SEE_THE_BOOK = "… see the book"  # where the rest can be read


def cut(lines: Sequence[Line], most: int, size: float, room: float, end: str = MORE) -> list[Line]:
    """The first lines of type; where there are more, the last one gives up words for the mark that
    says so.

    Args:
        room: width of a line in points.
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
    below: float = 0,
    colour: str = INK,
    role: Role = "P",
) -> Block:
    """A block of type of at most so many lines."""
    return typed(
        cut(broken(runs, size, width * mm), most, size, width * mm, end),
        size,
        below=below,
        colour=colour,
        role=role,
    )


def largest_fitting(
    words: str,
    sizes: Sequence[tuple[float, int]],
    width: float,
    *,
    bold: bool = False,
    below: float = 0,
    colour: str = INK,
    role: Role = "P",
) -> Block:
    """A block of type in the first size in which the words take no more than its lines; in the last
    one they are cut.

    Args:
        sizes: pairs of type size and lines, the largest first.
    """
    runs = [Run(words, bold=bold)]
    size, most = next(
        (each for each in sizes if len(broken(runs, each[0], width * mm)) <= each[1]), sizes[-1]
    )
    return capped(runs, size, width, most, below=below, colour=colour, role=role)


def short(words: str, size: float, width: float, *, bold: bool = False) -> str:
    """Words on one line, cut with a mark where they are wider."""
    text = clean(words)
    if text_width(text, size, bold=bold) <= width * mm:
        return text
    while text and text_width(text + MORE, size, bold=bold) > width * mm:
        text = text[:-1].rstrip()
    return text + MORE


def flowing(
    runs: Sequence[Run],
    size: float,
    width: float,
    *,
    below: float = 0,
    colour: str = INK,
    role: Role = "P",
) -> list[Block]:
    """A block a line, so that words of any length may go on over pages."""
    lines = broken(runs, size, width * mm)
    return grouped(
        role,
        [
            typed([line], size, below=below if line is lines[-1] else 0, colour=colour, role=None)
            for line in lines
        ],
    )
