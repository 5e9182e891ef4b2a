"""Cards on office sheets: as many as fit, marks where a printer reaches, each back behind its
front, and a booklet that folds."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import pypdf
import pytest
from reportlab.pdfgen.canvas import Canvas

from oilchart.core.records.paper_style import CardSize, OfficeSheet
from oilchart.errors import OilchartError
from oilchart.papers.imposition import SHEET_SIZES, UNPRINTED, grid, sheets_pdf
from oilchart.papers.pdf.card_sizes import CARD_FORMATS
from oilchart.papers.pdf.leaflets import Leaflet, Side, leaflets_pdf
from oilchart.papers.pdf.page import Page
from tests.builders.ink_checks import Ink, inked, sizes_of


def a_leaflet(name: str, sides: int, size: CardSize) -> Leaflet:
    """A card whose every side says which it is, in its top left and its bottom right corner."""
    width, height = CARD_FORMATS[size].size

    def side(number: int) -> Side:
        def draw(page: Page) -> None:
            page.text(8, 8, f"{name}{number}", 12)
            page.right(width - 8, height - 14, f"end{name}{number}", 12)

        return draw

    return Leaflet(
        title=name,
        subject="",
        author="",
        sides=tuple(side(at) for at in range(1, sides + 1)),
    )


def laid(
    cards: Sequence[Leaflet], size: CardSize, sheet: OfficeSheet
) -> tuple[bytes, dict[str, Ink]]:
    with inked() as ink:
        pdf = sheets_pdf(cards, CARD_FORMATS[size], sheet)
    return pdf, {piece.words: piece for piece in ink}


@pytest.mark.parametrize(
    ("size", "sheet", "across", "down", "turned"),
    [
        (CardSize.A5, OfficeSheet.A4, 1, 2, True),
        (CardSize.A6, OfficeSheet.A4, 2, 2, False),
        (CardSize.HALF_LETTER, OfficeSheet.LETTER, 1, 2, True),
        (CardSize.FOUR_BY_SIX, OfficeSheet.LETTER, 1, 2, True),
        # paper of one half of the world in the printers of the other
        (CardSize.HALF_LETTER, OfficeSheet.A4, 1, 1, False),
        (CardSize.FOUR_BY_SIX, OfficeSheet.A4, 1, 2, True),
    ],
)
def test_as_many_cards_as_fit_lie_on_a_sheet(
    size: CardSize, sheet: OfficeSheet, across: int, down: int, turned: bool
) -> None:
    found = grid(CARD_FORMATS[size], sheet)
    assert (found.across, found.down) == (across, down)
    if across * down > 1:
        assert found.turned is turned
    for left, top in found.places:
        assert left >= -0.01
        assert top >= -0.01
        assert left + found.width <= SHEET_SIZES[sheet][0] + 0.01
        assert top + found.height <= SHEET_SIZES[sheet][1] + 0.01


@pytest.mark.parametrize(
    ("size", "sheet"),
    [
        (CardSize.A4, OfficeSheet.A4),
        (CardSize.LETTER, OfficeSheet.LETTER),
        (CardSize.A4, OfficeSheet.LETTER),
    ],
)
def test_a_card_as_large_as_the_sheet_is_refused(size: CardSize, sheet: OfficeSheet) -> None:
    with pytest.raises(
        OilchartError, match=f"^sheet {sheet}: a card of size {size} cannot be cut from it"
    ):
        grid(CARD_FORMATS[size], sheet)


@pytest.mark.parametrize("sheet", OfficeSheet)
@pytest.mark.parametrize(
    "size", [CardSize.A5, CardSize.HALF_LETTER, CardSize.A6, CardSize.FOUR_BY_SIX]
)
def test_all_words_and_marks_lie_where_a_printer_reaches(
    size: CardSize, sheet: OfficeSheet, monkeypatch: pytest.MonkeyPatch
) -> None:
    marks: list[tuple[float, float]] = []
    shape = Page.shape

    def marked(page: Page, spots: Sequence[tuple[float, float]], **look: Any) -> None:
        marks.extend(spots)
        shape(page, spots, **look)

    monkeypatch.setattr(Page, "shape", marked)
    pdf, found = laid([a_leaflet("a", 6, size), a_leaflet("b", 4, size)], size, sheet)
    width, height = SHEET_SIZES[sheet]
    assert sizes_of(pdf) == {(round(width), round(height))}
    assert marks
    for x, y in marks:
        assert UNPRINTED <= x <= width - UNPRINTED
        assert UNPRINTED <= y <= height - UNPRINTED
    assert sorted(found) == sorted(
        f"{begin}{name}{at}"
        for name, last in (("a", 6), ("b", 4))
        for at in range(1, last + 1)
        for begin in ("", "end")
    )
    assert [piece for piece in found.values() if not piece.within(UNPRINTED)] == []


def middle(piece: Ink) -> tuple[float, float]:
    return (piece.left + piece.right) / 2, (piece.top + piece.bottom) / 2


@pytest.mark.parametrize("sheet", OfficeSheet)
@pytest.mark.parametrize(
    "size", [CardSize.A5, CardSize.HALF_LETTER, CardSize.A6, CardSize.FOUR_BY_SIX]
)
def test_a_back_lies_behind_its_front_when_the_sheet_is_turned_over_its_long_edge(
    size: CardSize, sheet: OfficeSheet
) -> None:
    """A spot at x on the front is at the sheet's width less x on the back; a card is turned over
    like a page."""
    _, found = laid(
        [a_leaflet("a", 2, size), a_leaflet("b", 2, size), a_leaflet("c", 6, size)], size, sheet
    )
    width = SHEET_SIZES[sheet][0]
    card_wide = CARD_FORMATS[size].size[0]
    for name, front, back in (("a", 1, 2), ("b", 1, 2), ("c", 1, 2), ("c", 3, 4), ("c", 5, 6)):
        one, other = found[f"{name}{front}"], found[f"{name}{back}"]
        assert other.number == one.number + 1
        assert one.number % 2 == 1
        x, y = middle(one)
        behind_x, behind_y = width - middle(other)[0], middle(other)[1]
        # both words stand in the top left corner of their sides: seen through the paper, in two
        # corners of one edge of the card
        apart = ((behind_x - x) ** 2 + (behind_y - y) ** 2) ** 0.5
        assert card_wide - 32 <= apart <= card_wide
        assert min(abs(behind_x - x), abs(behind_y - y)) < 0.2


@pytest.mark.parametrize(
    ("size", "sheet"), [(CardSize.A5, OfficeSheet.A4), (CardSize.HALF_LETTER, OfficeSheet.LETTER)]
)
def test_a_card_of_four_sides_folds_into_a_booklet(size: CardSize, sheet: OfficeSheet) -> None:
    """Outside the last side before the first, inside the second before the third, all in one
    direction."""
    pdf, found = laid([a_leaflet("a", 4, size), a_leaflet("b", 4, size)], size, sheet)
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 4
    assert [found[f"a{side}"].number for side in (1, 2, 3, 4)] == [1, 2, 2, 1]
    fold = SHEET_SIZES[sheet][1] / 2
    # on the front words run upwards: the first side, right of the last, is above it; on the back
    # they run downwards
    assert found["a1"].top < fold < found["a4"].top
    assert found["a2"].top < fold < found["a3"].top
    assert found["a1"].left < SHEET_SIZES[sheet][0] / 2 < found["a2"].left


def test_cards_that_do_not_fill_a_sheet_share_it() -> None:
    pdf, found = laid(
        [a_leaflet(name, 2, CardSize.A6) for name in "abcde"], CardSize.A6, OfficeSheet.A4
    )
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 4
    assert [found[f"{name}1"].number for name in "abcde"] == [1, 1, 1, 1, 3]


def test_cards_one_after_another_each_begin_on_a_leaf_of_their_own() -> None:
    with inked() as ink:
        pdf = leaflets_pdf(
            [
                a_leaflet("a", 3, CardSize.A5),
                a_leaflet("b", 1, CardSize.A5),
                a_leaflet("c", 2, CardSize.A5),
            ],
            CARD_FORMATS[CardSize.A5],
        )
    starts = {piece.words: piece.number for piece in ink}
    assert [starts[f"{name}1"] for name in "abc"] == [1, 5, 7]
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 8


def test_each_card_is_drawn_before_the_next_is_asked_for() -> None:
    told: list[str] = []

    def cards() -> Iterator[Leaflet]:
        for name in "abc":
            told.append(f"asked for {name}")

            def draw(page: Page, name: str = name) -> None:
                told.append(f"drew {name}")

            yield replace(a_leaflet(name, 1, CardSize.A5), sides=(draw,))

    leaflets_pdf(cards(), CARD_FORMATS[CardSize.A5])
    assert told == [f"{did} {name}" for name in "abc" for did in ("asked for", "drew")]


def test_words_are_as_large_on_a_sheet_as_on_a_card() -> None:
    sizes: list[float] = []
    with pytest.MonkeyPatch.context() as patch:
        put = Canvas.drawString

        def watched(
            canvas: Canvas, x: float, y: float, words: str, *more: object, **named: object
        ) -> object:
            (left, low), (right, height) = (
                canvas.absolutePosition(0, 0),
                canvas.absolutePosition(0, canvas._fontsize),
            )
            sizes.append(((right - left) ** 2 + (height - low) ** 2) ** 0.5)
            return put(canvas, x, y, words, *more, **named)

        patch.setattr(Canvas, "drawString", watched)
        sheets_pdf([a_leaflet("a", 4, CardSize.A5)], CARD_FORMATS[CardSize.A5], OfficeSheet.A4)
    assert sizes == pytest.approx([12.0] * 8)
