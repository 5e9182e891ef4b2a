"""What the ink of a PDF belongs to - a heading, a list, decoration - and the order it is read in.

For a paper's author. What is read is read in the order it is drawn; blocks and the page's own
methods do most of it:

* Words without more are a paragraph, lines and boxes decoration: nothing is to be done for them.
* A heading is a block with a role, `paragraph(words, 13, width, TextStyle(role="H2"))`. A document
  begins with its H1, and no level is left out. The bookmarks are made of its headings.
* Where one file holds many documents, as letters or cards, all ink of each stands `with
  page.tag(part)`, the same `Part(role="Sect")` on all its pages; each then has an H1 of its own,
  and with a `title` a bookmark above it. Pages that are not drawn in the order they are read, as
  those of a sheet that is folded, say their turn: `with page.tag(part), page.read_in_turn(3)`.
* A list is its blocks, grouped: `grouped(Part(role="L", numbering="Disc"), blocks)`. Each of them
  is an item with what stands before it: `list_item("•", words, TYPE)`.

* A table is its rows, grouped: `grouped("Table", rows)`, so that it goes on over pages; a row is
  drawn `with page.tag("TR")`, a cell in it `with page.tag("TD")`, or of a header `with
  page.tag(Part(role="TH", scope="Column"))`. A cell that is empty is tagged too.
* A drawing says what it shows and lists its points: `with page.figure(drawing_words(name, points),
  x, top, width, height): page.picture(...)`.
* What is filled in by hand is a drawing too: `page.tick` and `page.blank` say so of themselves. The
  words that say what for stand beside them in the same part: `with page.tag("P")` round both.
* What is read once but printed on every page, as a header, a repeated heading or the number of the
  page, stands `with page.artifact()`.

reportlab writes no structure. This adds it through the operators of a page, and the tests read the
structure back with other programs.

Source: ISO 32000-1:2008, 14.6 marked content, 14.8.2.2 real content and artifacts, 14.9.4
replacement text.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from typing import Any, Literal

from oilchart.papers.pdf.structure import key_page, write_operator, write_tree
from oilchart.papers.pdf.structure_parts import (
    HEADINGS,
    HOLDERS,
    INLINE,
    MAY_BE_EMPTY,
    Element,
    Mark,
    Part,
)


class Tags:
    """The structure of one PDF, made while its pages are drawn.

    Args:
        canvas: the reportlab canvas that is drawn on.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._root = Element(Part(role="Document"), None)
        self._within = [self._root]
        self._kept: dict[Part, Element] = {}
        self._artifacts: list[str] = []
        self._turn = 0.0
        self._open: Element | str | None = None  # what the ink now drawn is marked as
        self._marks: list[list[Element]] = [[]]  # for each page the element of each of its marks
        self._bookmarks: dict[Element, str] = {}  # the key of each

    @contextmanager
    def part(self, part: Part) -> Iterator[None]:
        """All ink meanwhile belongs to a part.

        Decoration has no parts, and what holds words has no paragraph.
        """
        now = self._within[-1]
        if self._artifacts or (part.role == "P" and now.part.role in INLINE):
            yield
            return
        if part not in self._kept:
            self._kept[part] = Element(part, now)
            now.kids.append(self._kept[part])
        self._within.append(self._kept[part])
        if part.role in MAY_BE_EMPTY:
            self._take_turn()
        try:
            yield
        finally:
            self._within.pop()

    @contextmanager
    def paragraph(self) -> Iterator[None]:
        """Words meanwhile that stand in no part of their own are a paragraph."""
        if self._within[-1].part.role in HOLDERS:
            with self.part(Part(role="P")):
                yield
        else:
            yield

    @contextmanager
    def artifact(self, kind: Literal["Layout", "Pagination"]) -> Iterator[None]:
        """All ink meanwhile is decoration, or what only the turn of the page brings with it."""
        self._artifacts.append(kind)
        try:
            yield
        finally:
            self._artifacts.pop()

    def lines(self) -> None:
        """Mark the lines that are drawn next: decoration, except in a drawing."""
        now = self._within[-1]
        if self._artifacts:
            self._mark(self._artifacts[-1])
        else:
            self._mark(now if now.part.role == "Figure" else "Layout")

    def words(self, words: str, top: float, *, as_set: bool) -> None:
        """Mark the words that are set next.

        Args:
            top: in points, as the canvas has it.
            as_set: their letters are set as they are stored, in this order.
        """
        if self._artifacts:
            self._mark(self._artifacts[-1])
            return
        with (
            self.paragraph(),
            nullcontext() if as_set else self.part(Part(role="Span", read_as=words)),
        ):
            for element in self._within:
                if not element.words and (element.part.role in HEADINGS or element.part.title):
                    self._bookmarks[element] = f"bookmark{len(self._bookmarks)}"
                    self._canvas.bookmarkHorizontal(self._bookmarks[element], 0, top)
                element.words.append(words)
            self._mark(self._within[-1])

    @contextmanager
    def read_in_turn(self, turn: float) -> Iterator[None]:
        """All ink meanwhile is read before ink of the same part with a higher number."""
        before, self._turn = self._turn, turn
        try:
            yield
        finally:
            self._turn = before

    def close(self) -> None:
        """Close the mark that is open, so that what is drawn next begins one of its own."""
        if self._open is not None:
            write_operator(self._canvas, "EMC")
        self._open = None

    def turn(self) -> None:
        """Turn the page."""
        self.close()
        self._canvas.showPage()
        key_page(self._canvas, len(self._marks) - 1)
        self._marks.append([])

    def finish(self) -> None:
        """Write the tree and the bookmarks; to be called after the last page was turned."""
        for element in self._root.all():
            if element in self._bookmarks:
                level = HEADINGS.get(element.part.role, 1) - 1 + element.sections
                self._canvas.addOutlineEntry(
                    element.part.title or element.said, self._bookmarks[element], level=level
                )
        write_tree(self._canvas, self._root, self._marks[:-1])

    def _mark(self, what: Element | str) -> None:
        """Begin a mark, unless the same one is open."""
        if what == self._open:
            return
        self.close()
        self._open = what
        if isinstance(what, str):
            write_operator(self._canvas, f"/Artifact <</Type /{what}>> BDC")
            return
        self._take_turn()
        marks = self._marks[-1]
        what.kids.append(Mark(len(self._marks) - 1, len(marks), self._turn))
        write_operator(self._canvas, f"/{what.part.role} <</MCID {len(marks)}>> BDC")
        marks.append(what)

    def _take_turn(self) -> None:
        for element in self._within:
            element.turn = min(element.turn, self._turn)
