"""Knows how words become a QR code that a telephone reads: level M, its quiet zone around it."""

from __future__ import annotations

from functools import cache

import segno

QUIET = 4  # modules left white on each side, as the standard asks
LEAST_MODULE = 0.4  # millimetres; smaller, an office printer's dots are too coarse for it

Rows = tuple[tuple[bool, ...], ...]


@cache
def rows_of(words: str) -> Rows:
    """The rows of a code without its quiet zone, True for a dark module; its size depends on the length of the words alone."""
    code = segno.make(words, error="m", micro=False, boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def side_of(rows: Rows, module: float) -> float:
    """How wide a code is, in the unit of its module, quiet zone included."""
    return (len(rows) + 2 * QUIET) * module
