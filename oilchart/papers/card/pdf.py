"""Knows the care card as a PDF, a page a side."""

from __future__ import annotations

from oilchart.core.records.paper_style import Accent, CardSize
from oilchart.papers.card.content import CareCard
from oilchart.papers.card.pages import card_leaflet
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, setting
from oilchart.papers.pdf.leaflets import leaflets_pdf


def card_pdf(card: CareCard, size: CardSize = CardSize.A5, accent: Accent = Accent.BLUE) -> bytes:
    """Write a card alone.

    Raises:
        TooSmall: the drawing would be too small on this size.
    """
    return leaflets_pdf([card_leaflet(card, setting(size, accent))], CARD_FORMATS[size])


def card_words(card: CareCard) -> list[str]:
    """All words of the card that come from the shop and the owner."""
    return [
        card.title,
        card.machine,
        *card.how,
        card.footer,
        card.shop.name,
        card.shop.phone,
        *card.shop.address,
    ]
