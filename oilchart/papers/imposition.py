"""Several cards on an office sheet: which way round, on both sides, with marks to cut and to fold
by.

All sheets are printed upright on both sides and turned over their long edge: what lies left on the
front lies right on the back. A card of four sides that fill half a sheet each is laid so that the
sheet may be folded in the middle or cut there, as one likes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from oilchart.core.records.paper_style import OfficeSheet
from oilchart.errors import OilchartError
from oilchart.papers.drawing.colours import LINE_GREY, Look
from oilchart.papers.pdf.card_sizes import CardFormat
from oilchart.papers.pdf.leaflets import Leaflet, Side, begun, part_of
from oilchart.papers.pdf.page import A4, US_LETTER, Page

SHEET_SIZES = {OfficeSheet.A4: A4, OfficeSheet.LETTER: US_LETTER}
UNPRINTED = 7.0  # millimetres at each edge that no office printer is sure to reach
MARK = 5.0  # length of a cutting mark
# beside cards that do not fill the sheet: marks must find room there
LEAST_OFFCUT = UNPRINTED + 3.0
# by which a card may be smaller than its share of the sheet: half of A4 is 148.5, A5 is 148
SLACK = 1.0
FOLDED = 4  # sides of a card that may be folded

Leaf = tuple[Side, Side | None]  # front and back


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """How cards lie on a sheet.

    Args:
        turned: whether they lie on their side.
        left, top: of the first card; width, height: of each card's room, as it lies.
    """

    sheet: tuple[float, float]
    across: int
    down: int
    turned: bool
    left: float
    top: float
    width: float
    height: float

    @property
    def places(self) -> list[tuple[float, float]]:
        """Left and top of each card's room, row by row."""
        return [
            (self.left + column * self.width, self.top + row * self.height)
            for row in range(self.down)
            for column in range(self.across)
        ]

    def behind(self, place: tuple[float, float]) -> tuple[float, float]:
        """Where the back of what lies at a place lies on the other side of the sheet, turned over
        its long edge."""
        return self.sheet[0] - place[0] - self.width, place[1]


class CardTooLarge(OilchartError):
    """A size of card that cannot be cut from a sheet."""

    def __init__(self, form: CardFormat, sheet: OfficeSheet) -> None:
        self.form, self.sheet = form, sheet
        super().__init__(f"sheet {sheet}: a card of size {form.name} cannot be cut from it")


def grid(form: CardFormat, sheet: OfficeSheet) -> Grid:
    """The way that gets most cards on a sheet; of equal ones the upright.

    Raises:
        CardTooLarge: it is as large as the sheet, or larger.
    """
    ways = [
        way
        for turned in (False, True)
        if (way := _grid(form.size, SHEET_SIZES[sheet], turned)) is not None
    ]
    best = max(ways, key=lambda way: len(way.places), default=None)
    if best is None or max(form.size) + SLACK >= max(SHEET_SIZES[sheet]):
        raise CardTooLarge(form, sheet)
    return best


def _grid(card: tuple[float, float], sheet: tuple[float, float], turned: bool) -> Grid | None:
    width, height = (card[1], card[0]) if turned else card
    across, down = _count(width, sheet[0]), _count(height, sheet[1])
    if not across or not down:
        return None
    room = [
        _share(side, whole, count)
        for side, whole, count in ((width, sheet[0], across), (height, sheet[1], down))
    ]
    left, top = (
        (whole - count * side) / 2
        for side, whole, count in ((room[0], sheet[0], across), (room[1], sheet[1], down))
    )
    return Grid(
        sheet=sheet,
        across=across,
        down=down,
        turned=turned,
        left=left,
        top=top,
        width=room[0],
        height=room[1],
    )


def _count(side: float, whole: float) -> int:
    """How many cards lie along a side of a sheet: they fill it, or leave room for marks at both
    ends."""
    most = int((whole + 0.01) // side)
    return next(
        (
            count
            for count in range(most, 0, -1)
            if _fills(side, whole, count) or whole - count * side >= 2 * LEAST_OFFCUT
        ),
        0,
    )


def _fills(side: float, whole: float, count: int) -> bool:
    return 0 <= whole / count - side + 0.01 <= SLACK


def _share(side: float, whole: float, count: int) -> float:
    """The room of one card: its share of the sheet where all fill it, else its own size."""
    return whole / count if _fills(side, whole, count) else side


def sheets_pdf(
    leaflets: Iterable[Leaflet], form: CardFormat, sheet: OfficeSheet, *, batch_title: str = ""
) -> bytes:
    """Lay cards out on sheets, fronts and backs in turn.

    Args:
        leaflets: at least one, all of the form; each is drawn before the next sheetful is asked
            for.
        batch_title: what many are called together; their file is not tagged, see `leaflets_pdf`.

    Raises:
        CardTooLarge
    """
    laid = grid(form, sheet)
    coming = iter(leaflets)
    first = next(coming)
    page = begun(first, SHEET_SIZES[sheet], batch_title)
    places = laid.places
    is_first = True
    for leaves in _sheetfuls(
        (_told(leaflet, batch_title) for leaflet in chain([first], coming)), laid
    ):
        for is_back in (False, True):
            if not is_first:
                page.turn()
            is_first = False
            for leaf, place in zip(leaves, places, strict=False):
                _lay(page, laid, form, leaf, place, is_back=is_back)
            _marks(page, laid)
    return page.finish()


def _told(leaflet: Leaflet, batch_title: str) -> list[Side]:
    """The sides of a leaflet as parts of their file."""
    whole = part_of(leaflet, batch_title)

    def told(side: Side) -> Side:
        def draw(page: Page) -> None:
            with page.inside(whole):
                side(page)

        return draw

    return [told(side) for side in leaflet.sides]


def _sheetfuls(cards: Iterable[Sequence[Side]], laid: Grid) -> Iterator[list[Leaf]]:
    """The leaves of each sheet; a card that may be folded has a sheet of its own."""
    each = laid.across * laid.down
    waiting: list[Leaf] = []
    for card in cards:
        if len(card) == FOLDED and can_be_folded(laid):
            yield [(card[0], card[1]), (card[3], card[2])]
            continue
        waiting += _leaves(card)
        while len(waiting) >= each:
            yield waiting[:each]
            waiting = waiting[each:]
    if waiting:
        yield waiting


def can_be_folded(laid: Grid) -> bool:
    """Whether two cards on their side fill the sheet, so that it folds into a booklet of four
    sides."""
    return laid.turned and (laid.across, laid.down) == (1, 2) and max(laid.left, laid.top) < SLACK


def _leaves(card: Sequence[Side]) -> list[Leaf]:
    return [
        (card[at], card[at + 1] if at + 1 < len(card) else None) for at in range(0, len(card), 2)
    ]


def _lay(
    page: Page,
    laid: Grid,
    form: CardFormat,
    leaf: Leaf,
    place: tuple[float, float],
    *,
    is_back: bool,
) -> None:
    """Draw one side of a leaf in the middle of its room; on its side, the tops of front and back
    point to the same edge of the sheet."""
    side = leaf[1] if is_back else leaf[0]
    if side is None:
        return
    left, top = laid.behind(place) if is_back else place
    width, height = (form.size[1], form.size[0]) if laid.turned else form.size
    turned = 0 if not laid.turned else 3 if is_back else 1
    with page.card(
        left + (laid.width - width) / 2, top + (laid.height - height) / 2, form.size, turned=turned
    ):
        side(page)


def _marks(page: Page, laid: Grid) -> None:
    """Marks at both ends of each line to cut along, within what a printer reaches."""
    uprights = [laid.left + column * laid.width for column in range(laid.across + 1)]
    levels = [laid.top + row * laid.height for row in range(laid.down + 1)]
    width, height = laid.sheet
    uprights = [x for x in uprights if UNPRINTED <= x <= width - UNPRINTED]
    levels = [y for y in levels if UNPRINTED <= y <= height - UNPRINTED]
    long_x = min(MARK, laid.left - UNPRINTED - 1) if laid.left > SLACK else MARK
    long_y = min(MARK, laid.top - UNPRINTED - 1) if laid.top > SLACK else MARK
    for x in uprights:
        for top in (UNPRINTED, height - UNPRINTED - long_y):
            page.shape([(x, top), (x, top + long_y)], look=Look(stroke=LINE_GREY, width=0.25))
    for y in levels:
        for left in (UNPRINTED, width - UNPRINTED - long_x):
            page.shape([(left, y), (left + long_x, y)], look=Look(stroke=LINE_GREY, width=0.25))
