"""Words as a QR code of level M that a telephone reads, with what it does under it."""

from __future__ import annotations

from functools import cache

import segno

from oilchart.papers.pdf.blocks import Block
from oilchart.papers.pdf.card_sizes import Setting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import Page, words_width
from oilchart.papers.scan_words import Scan

QUIET = 4  # modules left white on each side, as the standard asks
LEAST_MODULE = 0.4  # millimetres; smaller, an office printer's dots are too coarse for it
MOST_MODULE = 0.6
# millimetres of clear print a code takes at most while its modules are large enough
CODE_SIDE = 27.0

Rows = tuple[tuple[bool, ...], ...]


@cache
def rows_of(words: str) -> Rows:
    """The rows of a code without its quiet zone, True for a dark module.

    Its size depends on the length of the words alone.
    """
    code = segno.make(words, error="m", micro=False, boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def side_of(rows: Rows, module: float) -> float:
    """How wide a code is, in the unit of its module, quiet zone included."""
    return (len(rows) + 2 * QUIET) * module


def code_block(scan: Scan, settings: Setting) -> tuple[Block, float]:
    """A code with the line under it that says what it does.

    Returns:
        The block, and its width in millimetres.
    """
    scale = settings.form.scale
    rows = rows_of(scan.words)
    module = max(LEAST_MODULE, min(MOST_MODULE * scale, CODE_SIDE * scale / side_of(rows, 1)))
    side = side_of(rows, module)
    longest = max(words_width(word, settings.form.type_size) for word in scan.does.split(" "))
    quiet = QUIET * module
    width = max(side, longest + quiet + 0.5)
    words = settings.words([Run(scan.does)], width - quiet)

    def draw(page: Page, x: float, top: float) -> None:
        with page.figure(f"QR code: {scan.does}", x, top, side, side):
            page.cells(x + quiet, top + quiet, rows, module)
        words.draw(page, x + quiet, top + side)

    return Block(height=side + words.height, draw=draw), width
