"""Ink that does not say what it belongs to, in files of many papers for the printer alone.

The structure of one paper takes several times the room of its ink; that of a few hundred would take
most of the time and the memory of the whole run, for a file that nobody has read out. What such a
file has is a bookmark for each paper.
"""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from typing import Any, Literal

from oilchart.papers.pdf.structure_parts import Part


class Untagged:
    """Takes everything that `Tags` takes, and marks nothing.

    Args:
        canvas: the reportlab canvas that is drawn on.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._bookmarks: set[Part] = set()

    def part(self, part: Part) -> AbstractContextManager[None]:
        """A section with a title has a bookmark on the page where it begins."""
        if part.title and part not in self._bookmarks:
            self._bookmarks.add(part)
            key = f"bookmark{len(self._bookmarks)}"
            self._canvas.bookmarkPage(key)
            self._canvas.addOutlineEntry(part.title, key, level=0)
        return nullcontext()

    def paragraph(self) -> AbstractContextManager[None]:
        """Nothing is said of words."""
        return nullcontext()

    def artifact(self, kind: Literal["Layout", "Pagination"]) -> AbstractContextManager[None]:
        """Nothing is said of decoration."""
        return nullcontext()

    def read_in_turn(self, turn: float) -> AbstractContextManager[None]:
        """Nothing is read."""
        return nullcontext()

    def lines(self) -> None:
        """Nothing is said of lines."""

    def words(self, words: str, top: float, *, as_set: bool) -> None:
        """Nothing is said of words."""

    def close(self) -> None:
        """Nothing is open."""

    def turn(self) -> None:
        """Turn the page."""
        self._canvas.showPage()

    def finish(self) -> None:
        """Nothing is left to be written."""
