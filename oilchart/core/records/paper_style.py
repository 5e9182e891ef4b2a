"""How a shop may have its papers: their size, colour, code, logo and footer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from oilchart.core.point_lists.drawings import Photo


class CardSize(StrEnum):
    """The sizes of a card; on the two largest it is set in large print."""

    A5 = "a5"
    HALF_LETTER = "half-letter"
    A6 = "a6"
    FOUR_BY_SIX = "4x6"
    A4 = "a4"
    LETTER = "letter"


class OfficeSheet(StrEnum):
    """Office sheets on which several cards are laid out."""

    A4 = "a4"
    LETTER = "letter"


class Accent(StrEnum):
    """The colours a shop may choose for headings and frames; what warns keeps its own."""

    BLUE = "blue"
    GREEN = "green"
    PLUM = "plum"
    BROWN = "brown"
    BLACK = "black"


class CodeFor(StrEnum):
    """What the code on a card is for."""

    PHONE = "phone"
    CALENDAR = "calendar"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Logo:
    """A shop's own picture.

    Args:
        width, height: in any unit; they tell its shape.
    """

    photo: Photo
    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperStyle:
    """A shop's wishes for the papers its owners keep.

    Args:
        code: the shop's telephone; or the booked service as a calendar entry, for as long as a day
            is booked, else the telephone; or none.
        footer: words of the shop's own at the foot of the last page.
    """

    size: CardSize = CardSize.A5
    colour: Accent = Accent.BLUE
    code: CodeFor = CodeFor.PHONE
    logo: Logo | None = None
    footer: str = ""
