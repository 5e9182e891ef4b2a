"""The sizes of cards, the measures that follow from their type, and words set in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from oilchart.core.records.paper_style import Accent, CardSize
from oilchart.papers.drawing.colours import ACCENTS, BLUE
from oilchart.papers.pdf.blocks import PLAIN, Block, TextStyle, paragraph
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import A4, US_LETTER, line_height

# UKAAF G003 (2019), "Creating clear print and large print documents": 16 at the least
LARGE_PRINT = 17.0
CLEAR_PRINT = 12.0  # likewise: the least for print that most can read
INCH = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFormat:
    """One size of card.

    Args:
        size: width and height in millimetres.
        type_size: of all words, in points; nothing is set smaller.
        edge: white margin in millimetres; no office printer reaches into the outer 7.
    """

    name: CardSize
    words: str
    size: tuple[float, float]
    type_size: float = CLEAR_PRINT
    edge: float = 7.5

    @property
    def inner(self) -> float:
        """Width between the margins."""
        return self.size[0] - 2 * self.edge

    @property
    def line(self) -> float:
        """From one line of type to the next, in millimetres."""
        return line_height(self.type_size)

    @property
    def scale(self) -> float:
        """A factor: how much larger than clear print the type is, and all that follows from it."""
        return self.type_size / CLEAR_PRINT


CARD_FORMATS = {
    form.name: form
    for form in (
        CardFormat(name=CardSize.A5, words="A5", size=(148.0, 210.0)),
        CardFormat(name=CardSize.HALF_LETTER, words="half letter", size=(5.5 * INCH, 8.5 * INCH)),
        CardFormat(name=CardSize.A6, words="A6", size=(105.0, 148.0), edge=7.0),
        CardFormat(
            name=CardSize.FOUR_BY_SIX, words="4 x 6 in", size=(4 * INCH, 6 * INCH), edge=7.0
        ),
        CardFormat(name=CardSize.A4, words="A4", size=A4, type_size=LARGE_PRINT, edge=9.0),
        CardFormat(
            name=CardSize.LETTER,
            words="Letter",
            size=US_LETTER,
            type_size=LARGE_PRINT,
            edge=9.0,
        ),
    )
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A size of card and a colour to set words in."""

    form: CardFormat
    colour: str = BLUE

    def words(
        self,
        runs: Sequence[Run],
        width: float | None = None,
        *,
        larger: float = 1.0,
        style: TextStyle = PLAIN,
    ) -> Block:
        """Words in the card's type.

        Args:
            width: in millimetres; the card's between its margins if left out.
            larger: a factor on the size of the type.
            style: its space below and its indent are those of clear print; they grow with the type.
        """
        form = self.form
        scaled = replace(style, below=style.below * form.scale, indent=style.indent * form.scale)
        width = form.inner if width is None else width
        return paragraph(runs, form.type_size * larger, width, scaled)


def setting(size: CardSize, accent: Accent = Accent.BLUE) -> Setting:
    """What a card of a size and a colour is set in."""
    return Setting(form=CARD_FORMATS[size], colour=ACCENTS[accent])
