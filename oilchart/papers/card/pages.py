"""A care card laid out on its pages: the words are measured first, the drawing takes what is left,
and no type is ever made smaller.

Of all ways to lay it out one with the fewest leaves of paper is taken, and of these the one with
the larger drawings and the more months to tick.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from oilchart.errors import OilchartError
from oilchart.papers.card.blocks import (
    Gap,
    do_not,
    gap,
    group,
    head,
    leave_to_us,
    next_service_box,
    rules,
    runner,
    small_print,
    stop,
)
from oilchart.papers.card.content import CareCard
from oilchart.papers.card.month_boxes_pdf import rows_in, ticks_block, ticks_height
from oilchart.papers.card.paginate import abreast, height_of, poured, spread
from oilchart.papers.card.picture_sizes import (
    Fitted,
    fitted,
    in_the_middle,
    named_picture,
    planned_number_scale,
)
from oilchart.papers.drawing.numbering import elsewhere
from oilchart.papers.drawing.picture import redrawn_at
from oilchart.papers.pdf.blocks import Block, TextStyle, space
from oilchart.papers.pdf.card_sizes import CARD_FORMATS, Setting, setting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.leaflets import Leaflet, Side, side_of_blocks
from oilchart.papers.pdf.page import Page

LEAST_DRAWING = 48.0  # millimetres; lower, the places on a drawing cannot be told apart
WIDE_FORM = 120.0  # millimetres of clear print in which two pictures may stand beside each other
ABREAST = 0.485  # of the width: what each of the two takes
SIDES_OF_A_LEAF = 2
NOTES = "For your notes, and what to tell us next time"
NOTE_LINE = 9.0  # millimetres from one line to write on to the next


MOST_LETTERS = 60  # of a machine that is named in an error


class TooSmall(OilchartError):
    """A size of card on which the drawing could not be read.

    Args:
        sizes: of cards that would do.
    """

    def __init__(self, wrong: str, sizes: Sequence[str]) -> None:
        self.wrong, self.sizes = wrong, sizes
        super().__init__(self.line("size"))

    def line(self, size: str) -> str:
        """The refusal, with the size under a name that the user gives it by."""
        if not self.sizes:
            return f"{self.wrong}; shorten the words above the drawing"
        return f"{self.wrong}; choose {size} {' or '.join(self.sizes)}"


@dataclass(frozen=True, slots=True)
class Arrangement:
    """How the room is shared out.

    Args:
        drawing, close_up: the share of the width that the drawing and each further picture take at
            most.
        rows: the least months to tick.
    """

    drawing: float
    close_up: float
    rows: int


# The best first. The last one says how small drawings may become to save a page.
ARRANGEMENTS = (
    Arrangement(1.0, 0.8, 8),
    Arrangement(1.0, 0.65, 6),
    Arrangement(0.9, 0.65, 6),
    Arrangement(0.9, ABREAST, 6),
    Arrangement(0.8, 0.65, 5),
    Arrangement(0.8, ABREAST, 5),
    Arrangement(0.75, ABREAST, 4),
    Arrangement(0.65, ABREAST, 3),
)


def card_leaflet(card: CareCard, settings: Setting) -> Leaflet:
    """Lay a card out on a size.

    Raises:
        TooSmall: the drawing would be too small on this size.
    """
    layout = _Layout(card, settings)
    if layout.drawing_height < LEAST_DRAWING:
        raise _too_small(card, settings)
    pages, chosen = _best(layout)
    return Leaflet(
        title=f"{card.title}, {card.machine}",
        subject="Care card",
        author=card.shop.name,
        sides=tuple(layout.sides(pages)),
        faults=layout.faults(chosen),
    )


def _best(layout: _Layout) -> tuple[list[list[Block]], Arrangement]:
    """The first of the ways with the fewest leaves, looked for no further than no other one can
    have fewer."""
    tried: list[tuple[list[list[Block]], Arrangement]] = []
    for way in ARRANGEMENTS:
        tried.append((layout.pages(way), way))
        if _leaves(len(tried[-1][0])) <= _leaves(layout.least_pages):
            break
    return min(tried, key=lambda each: _leaves(len(each[0])))


def _leaves(pages: int) -> int:
    return -(-pages // SIDES_OF_A_LEAF)


def _too_small(card: CareCard, settings: Setting) -> TooSmall:
    """The refusal of a size, with those that would do."""
    form = settings.form
    fits = [
        other.name
        for other in CARD_FORMATS.values()
        if other.inner > form.inner
        and _Layout(card, setting(other.name)).drawing_height >= LEAST_DRAWING
    ]
    whose = card.machine if len(card.machine) <= MOST_LETTERS else f"{card.machine[:MOST_LETTERS]}…"
    return TooSmall(
        f"card {whose}: on {form.words} the drawing would be less than {LEAST_DRAWING:g} "
        "mm high and could not be read",
        fits,
    )


class _Layout:
    """A card on one form, its pieces measured once."""

    def __init__(self, card: CareCard, settings: Setting) -> None:
        self._card, self._settings = card, settings
        form = settings.form
        shown = (
            redrawn_at(card.pictures, planned_number_scale(card.pictures[0], form.inner, settings))
            if card.pictures
            else ()
        )
        self._first, self._close_ups = shown[:1], shown[1:]
        self._places = {
            line.number: line.place
            for each in card.groups
            for line in each.lines
            if line.number is not None
        }
        self._head = head(card, settings)
        self._caption = (
            [settings.words([Run(words)], style=TextStyle(below=1.6))]
            if (words := elsewhere(shown))
            else []
        )
        self._foot = small_print(card, settings)
        self._high = form.size[1] - 2 * form.edge
        self._first_room = self._high - height_of([*self._head, *self._caption])
        self._later_room = self._high - runner(card, "1", settings).height
        self._drawings: dict[float, Fitted] = {}
        self._floats: dict[float, list[list[Block]]] = {}

    @cached_property
    def _pieces(self) -> list[Block]:
        """All that stands between the drawing and the boxes to tick."""
        card, settings = self._card, self._settings
        groups = [group(each, settings) for each in card.groups]
        pieces = [
            *groups,
            rules(card, settings),
            do_not(card, settings),
            leave_to_us(card, settings),
        ]
        pieces += [[stop(card, settings)], [next_service_box(card, settings)]]
        return [block for piece in pieces if piece for block in (*piece, gap(settings))]

    @property
    def drawing_height(self) -> float:
        """How high the drawing is at the most."""
        if self._first and self._first_room < LEAST_DRAWING:
            return self._first_room
        return fit.height if (fit := self.drawing(1.0)) is not None else LEAST_DRAWING

    def drawing(self, share: float) -> Fitted | None:
        """The drawing at a share of the width, as far as the first page has room, and no lower than
        can be read."""
        if not self._first:
            return None
        if share not in self._drawings:
            fit = fitted(
                self._first[0], self._settings.form.inner * share, self._first_room, self._settings
            )
            self._drawings[share] = (
                fit if fit.height >= LEAST_DRAWING or share == 1 else self.drawing(1.0) or fit
            )
        return self._drawings[share]

    def faults(self, way: Arrangement) -> tuple[str, ...]:
        """What is wrong with the numbers as they are printed, by drawing."""
        fit = self.drawing(way.drawing)
        shown = [*([fit.picture] if fit is not None else []), *self._close_ups]
        return tuple(
            f"{each.name}: numbers {one} and {other}: {what}"
            for each in shown
            for one, other, what in each.faults
        )

    def _above(self, way: Arrangement) -> list[list[Block]]:
        """What stands above the words on each page, under its head: the drawing with what it says
        of the others, then those."""
        fit = self.drawing(way.drawing)
        first = (
            []
            if fit is None
            else [
                in_the_middle(fit, self._settings.form.inner, self._places),
                *self._caption,
                gap(self._settings),
            ]
        )
        if way.close_up not in self._floats:
            self._floats[way.close_up] = self._close_up_pages(way.close_up)
        return [first, *self._floats[way.close_up]]

    def _close_up_pages(self, share: float) -> list[list[Block]]:
        """The further pictures by page, in rows of two where each takes half the width."""
        form, settings = self._settings.form, self._settings
        is_wide = form.inner >= WIDE_FORM * form.scale
        most = self._later_room / 2 - 2 * gap(settings).height
        if share > ABREAST or len(self._close_ups) == 1 or not is_wide:
            width = form.inner * (max(share, 0.6) if is_wide else 1.0)
            rows = [
                named_picture(each, width, most, form.inner, settings, self._places)
                for each in self._close_ups
            ]
        else:
            room = form.inner * ABREAST
            each_alone = [
                named_picture(each, room, most, room, settings, self._places)
                for each in self._close_ups
            ]
            rows = [
                abreast(each_alone[at : at + 2], form.inner - room)
                for at in range(0, len(each_alone), 2)
            ]
        pages: list[list[Block]] = []
        for row in rows:
            if not pages or height_of(pages[-1]) + row.height > self._later_room:
                pages.append([])
            pages[-1] += [row, gap(settings)]
        return pages

    def pages(self, way: Arrangement) -> list[list[Block]]:
        """The pages under their heads; the last block stands for the boxes to tick and the small
        print."""
        closing = Block(height=self._closing_height(way.rows), draw=lambda page, x, top: None)
        rooms = [self._high - height_of(self._head), self._later_room]
        return poured([*self._pieces, closing], self._above(way), rooms)

    @cached_property
    def least_pages(self) -> int:
        """As many pages as all of it fills, where nothing is lost at the end of any."""
        way = ARRANGEMENTS[-1]  # the smallest drawings and the fewest months
        blocks = [block for page in self._above(way) for block in page] + self._pieces
        filled = sum(block.height for block in blocks if not isinstance(block, Gap))
        filled += height_of(self._head) + self._closing_height(way.rows)
        return max(1, math.ceil(filled / self._high - 0.001))

    def _closing_height(self, rows: int) -> float:
        table = self._card.ticks
        ticks = (
            ticks_height(table, min(rows, len(table.rows)), self._settings)
            + gap(self._settings).height
            if table
            else 0.0
        )
        return ticks + height_of(self._foot)

    def sides(self, pages: Sequence[Sequence[Block]]) -> list[Side]:
        """The pages as they are drawn; the small print stands on the page before the last where the
        boxes have the last to themselves."""
        settings = self._settings
        heads = [
            self._head,
            *(
                [runner(self._card, f"{at} of {len(pages)}", settings)]
                for at in range(2, len(pages) + 1)
            ),
        ]
        rooms = [self._high - height_of(above) for above in heads]
        bodies = [list(page) for page in pages]
        bodies[-1].pop()
        foot = [gap(settings), *self._foot]
        if not bodies[-1] and len(bodies) > 1 and height_of([*bodies[-2], *foot]) <= rooms[-2]:
            bodies[-2] += foot
            foot = []
        shown = [
            spread(body, room, settings) for body, room in zip(bodies[:-1], rooms, strict=False)
        ]
        shown.append([*bodies[-1], *self._closing(rooms[-1] - height_of(bodies[-1]), foot)])
        edge = settings.form.edge
        return [
            side_of_blocks([*above, *body], edge, at)
            for at, (above, body) in enumerate(zip(heads, shown, strict=True))
        ]

    def _closing(self, room: float, foot: Sequence[Block]) -> list[Block]:
        """The boxes to tick, as many months as there is room for; lines for notes where room is
        left over; the small print at the foot."""
        settings, table = self._settings, self._card.ticks
        left = room - height_of(foot)
        blocks: list[Block] = []
        if table is not None:
            blocks = [ticks_block(table, rows_in(table, left, settings), left, settings)]
        left -= height_of(blocks)
        if left > 3.5 * NOTE_LINE * settings.form.scale:
            blocks += [gap(settings), _notes(left - gap(settings).height, settings)]
        return [*blocks, space(room - height_of([*blocks, *foot])), *foot]


def _notes(room: float, settings: Setting) -> Block:
    """Lines to write on."""
    form = settings.form
    heading = settings.words(
        [Run(NOTES, bold=True)], style=TextStyle(colour=settings.colour, role="H2")
    )
    step = NOTE_LINE * form.scale
    count = int((room - heading.height) // step)

    def draw(page: Page, x: float, top: float) -> None:
        heading.draw(page, x, top)
        with page.tag("P"):
            for at in range(count):
                page.blank(x, top + heading.height + (at + 1) * step, form.inner, line=0.4)

    return Block(height=heading.height + count * step, draw=draw)
