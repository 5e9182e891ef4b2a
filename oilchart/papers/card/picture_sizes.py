"""How large a picture can be in its room so that the numbers on it are as large as the words beside
it.

The margin round a drawing is only taken on those sides on which numbers stand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from oilchart.papers.drawing.colours import NUMBER_SIZE
from oilchart.papers.drawing.picture import MARGIN, Picture
from oilchart.papers.pdf.blocks import Block, TextStyle
from oilchart.papers.pdf.card_sizes import Setting
from oilchart.papers.pdf.fonts import Run
from oilchart.papers.pdf.page import POINT_MM, Page
from oilchart.papers.wording import drawing_words

BARE = 6.0  # drawing units left beside a drawing where no number stands
HALVINGS = 40  # far below what a printer shows


@dataclass(frozen=True, slots=True)
class Sides:
    """The sides of a drawing on which numbers stand."""

    left: bool = True
    top: bool = True
    right: bool = True
    bottom: bool = True

    def __or__(self, other: Sides) -> Sides:
        return Sides(
            self.left or other.left,
            self.top or other.top,
            self.right or other.right,
            self.bottom or other.bottom,
        )

    def across(self, margin: float) -> float:
        """The margins left and right together."""
        return (margin if self.left else BARE) + (margin if self.right else BARE)

    def upright(self, margin: float) -> float:
        """The margins above and below together."""
        return (margin if self.top else BARE) + (margin if self.bottom else BARE)


@dataclass(frozen=True, slots=True)
class Fitted:
    """A picture laid out for its size: `width` by `height` millimetres, `scale` millimetres to one
    of its units."""

    picture: Picture
    sides: Sides
    scale: float
    width: float
    height: float

    def draw(self, page: Page, x: float, top: float) -> None:
        """Draw it, its own top left at a place."""
        margin = self.picture.margin
        left = 0.0 if self.sides.left else (margin - BARE) * self.scale
        above = 0.0 if self.sides.top else (margin - BARE) * self.scale
        page.picture(x - left, top - above, self.picture, self.picture.width * self.scale)


def fitted(picture: Picture, width: float, height: float, settings: Setting) -> Fitted:
    """Lay a picture out as large as a width and a height let it be."""
    sides = _sides_used(picture)
    for _ in range(4):  # each time a side more, or it is done
        fit = _fitted(picture, sides, width, height, settings)
        used = _sides_used(fit.picture)
        if used | sides == sides:
            return fit
        sides = sides | used
    return _fitted(picture, Sides(), width, height, settings)


def _fitted(
    picture: Picture, sides: Sides, width: float, height: float, settings: Setting
) -> Fitted:
    """The same with numbers on the given sides at most."""
    number = settings.form.type_size * POINT_MM
    across, upright = picture.frame.width * picture.zoom, picture.frame.height * picture.zoom
    # in millimetres: where a number is as large as the type, so is what goes with it
    margin = MARGIN * number / NUMBER_SIZE

    def size(scale: float) -> tuple[float, float]:
        return across * scale + sides.across(
            margin / scale
        ) * scale, upright * scale + sides.upright(margin / scale) * scale

    low, top = 0.0, width / across
    for _ in range(HALVINGS):
        scale = (low + top) / 2
        fits = size(scale)[0] <= width and size(scale)[1] <= height
        low, top = (scale, top) if fits else (low, scale)
    scale = max(low, 1e-6)
    laid = picture.at_number_scale(number / (NUMBER_SIZE * scale))
    return Fitted(laid, sides, scale, *size(scale))


def _sides_used(picture: Picture) -> Sides:
    """The sides on which a picture's numbers stand."""
    margin, discs = picture.margin, [callout.disc for callout in picture.callouts]
    return Sides(
        left=any(x < margin for x, _ in discs),
        top=any(y < margin for _, y in discs),
        right=any(x > picture.width - margin for x, _ in discs),
        bottom=any(y > picture.height - margin for _, y in discs),
    )


def planned_number_scale(picture: Picture, width: float, settings: Setting) -> float:
    """How large numbers are against a drawing that is printed so wide, numbers on both sides."""
    number = settings.form.type_size * POINT_MM
    return number * picture.frame.width * picture.zoom / (NUMBER_SIZE * width - 2 * MARGIN * number)


def in_the_middle(fit: Fitted, room: float, places: Mapping[int, str]) -> Block:
    """A picture in the middle of a width.

    Args:
        places: what each number on it stands for, for those who cannot see it.
    """
    told = drawing_words(
        fit.picture.name, [(number, places[number]) for number in fit.picture.numbers]
    )

    def draw(page: Page, x: float, top: float) -> None:
        left = x + (room - fit.width) / 2
        with page.figure(told, left, top, fit.width, fit.height):
            fit.draw(page, left, top)

    return Block(height=fit.height, draw=draw)


def named_picture(
    picture: Picture,
    width: float,
    height: float,
    room: float,
    settings: Setting,
    places: Mapping[int, str],
) -> Block:
    """A picture under its name, both together no higher than said."""
    name = settings.words(
        [Run(picture.name, bold=True)],
        room,
        style=TextStyle(below=1.0, colour=settings.colour, role="H2"),
    )
    shown = in_the_middle(fitted(picture, width, height - name.height, settings), room, places)

    def draw(page: Page, x: float, top: float) -> None:
        name.draw(page, x, top)
        shown.draw(page, x, top + name.height)

    return Block(height=name.height + shown.height, draw=draw)
