"""The parts of a document that a PDF can tell of: headings, lists, tables, drawings.

Source: ISO 32000-1:2008, 14.8.4 standard structure types, 14.8.5 standard structure attributes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

Role = Literal[
    "Document",
    "Sect",
    "P",
    "H1",
    "H2",
    "H3",
    "L",
    "LI",
    "Lbl",
    "LBody",
    "Table",
    "TR",
    "TH",
    "TD",
    "Figure",
    "Span",
]
HEADINGS: dict[Role, int] = {"H1": 1, "H2": 2, "H3": 3}
INLINE = frozenset({"P", "Lbl", *HEADINGS})  # hold words, and no paragraph of their own
HOLDERS = frozenset({"Document", "Sect", "L", "LI", "Table", "TR"})  # hold parts, never words
# a row has all its cells, also those that are left to be written on
MAY_BE_EMPTY = frozenset({"TH", "TD"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """A part of a document; met again, on a later page too, it goes on where it was left.

    Args:
        alt: what is said in the place of a drawing.
        box: left, bottom, right and top of a drawing, in points from the page's bottom left.
        scope: what a header cell is the header of.
        across: how many columns a cell takes.
        numbering: what stands before the items of a list; "" for nothing.
        read_as: the words of letters that stand in another order or shape on paper.
        title: of a section that has a bookmark of its own, above those of its headings.
    """

    role: Role
    alt: str = ""
    box: tuple[float, float, float, float] | None = None
    scope: Literal["", "Column", "Row"] = ""
    across: int = 1
    numbering: Literal["", "Decimal", "Disc"] = ""
    title: str = ""
    read_as: str = ""


def as_part(part: Part | Role) -> Part:
    """A new part of a role, or the part itself."""
    return part if isinstance(part, Part) else Part(role=part)


class Mark(NamedTuple):
    """Ink of one part without a break.

    Args:
        page, number: the page, and which mark on it, both counted from 0.
        turn: when it is read among the ink of its part.
    """

    page: int
    number: int
    turn: float


@dataclass(slots=True, eq=False)
class Element:
    """A part as it stands in the tree.

    Args:
        kids: elements, and the marks of its own ink, as they were drawn.
        words: set in it and in its kids so far.
        turn: the earliest of its ink and its kids; infinite for one that has none and is no cell.
    """

    part: Part
    parent: Element | None
    kids: list[Element | Mark] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    turn: float = math.inf

    @property
    def read(self) -> list[Element | Mark]:
        """Its kids in the order they are read; those without ink are left out."""
        return sorted((kid for kid in self.kids if kid.turn < math.inf), key=lambda kid: kid.turn)

    @property
    def said(self) -> str:
        """Its words on one line."""
        return " ".join("".join(self.words).split())

    @property
    def sections(self) -> int:
        """How many sections with bookmarks of their own it is in."""
        return 0 if self.parent is None else self.parent.sections + bool(self.parent.part.title)

    def all(self) -> Iterator[Element]:
        """It and all below it, in the order they are read."""
        yield self
        for kid in self.read:
            if isinstance(kid, Element):
                yield from kid.all()
