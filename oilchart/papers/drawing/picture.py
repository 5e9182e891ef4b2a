"""A drawing with its numbered places as a picture: where each number stands, and what is shown
enlarged beside it.

A picture is laid out for the size it is shown in: the smaller it is, the larger its numbers are
against the drawing, so that they stay readable. A drawing on which places lie too close for their
numbers shows them on a detail of its own, enlarged. The same layout serves paper and screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import dist
from operator import attrgetter

from oilchart.core.point_lists.drawings import ModelDrawings, View
from oilchart.core.point_lists.point_list import Point
from oilchart.papers.drawing.callouts import Room, Spot, faults, placed, posts_of

MARGIN = 62.0  # round the drawing, for the numbers, in drawing units at number scale 1
DISC = 25.0  # radius of a number's disc
POST_GAP = 64.0  # between neighbouring numbers, so that no two discs touch
NEAR = 12.0  # a leader keeps this far from places that are not its own
MOST_SPOT = 1.4  # a place's dot grows no further than so much, else neighbours run together
MOST_NUMBERS = 20  # round one picture; more are not found again
ENLARGED = 3.0  # how much larger a detail is
SMALLER = 0.95  # by which numbers shrink until all have a post
LEAST_DETAIL = 20.0  # narrowest part of a drawing that is enlarged

Numbered = tuple[int, float, float]  # a number and its place, in the drawing's units


@dataclass(frozen=True, slots=True, kw_only=True)
class Callout:
    """A number, the place it stands for and where its disc stands."""

    number: int
    place: Spot
    disc: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A part of a drawing, in its units."""

    x: float
    y: float
    width: float
    height: float

    def holds(self, x: float, y: float) -> bool:
        """Whether a place lies in it."""
        return self.x <= x <= self.x + self.width and self.y <= y <= self.y + self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """A part of a picture that is shown enlarged in another, under a letter."""

    letter: str
    frame: Frame

    def box(self, on: Picture) -> tuple[float, float, float, float]:
        """Left, top, width and height on a picture, in its units."""
        zoom = on.zoom
        left, top = (
            (self.frame.x - on.frame.x) * zoom + on.margin,
            (self.frame.y - on.frame.y) * zoom + on.margin,
        )
        return left, top, self.frame.width * zoom, self.frame.height * zoom

    def corner(self, on: Picture) -> Spot:
        """Where its letter stands on a picture: on that corner of its box that is furthest from the
        places."""
        left, top, width, height = self.box(on)
        corners = [(x, y) for y in (top, top + height) for x in (left, left + width)]
        taken = [spot for callout in on.callouts for spot in (callout.place, callout.disc)]
        return max(
            corners, key=lambda corner: min((dist(corner, spot) for spot in taken), default=0.0)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing, or a part of it, with its callouts.

    Places and discs are in the picture's units: the drawing's, less the corner of the frame, times
    the zoom, moved by the margin. With the margin it is `width` by `height` units.

    Args:
        frame: the part of the drawing that is shown.
        zoom: picture units to one of the drawing's.
        number_scale: how large numbers, dots and leaders are against the drawing; 1 suits a picture
            of some 170 mm.
        details: parts of it that are shown enlarged elsewhere.
        letter: of the detail that this picture is; empty for a whole drawing.
    """

    view: View
    callouts: tuple[Callout, ...]
    frame: Frame
    zoom: float = 1.0
    number_scale: float = 1.0
    details: tuple[Detail, ...] = ()
    letter: str = ""

    @property
    def margin(self) -> float:
        """Round the drawing."""
        return MARGIN * self.number_scale

    @property
    def disc(self) -> float:
        """Radius of a number's disc."""
        return DISC * self.number_scale

    @property
    def spot_scale(self) -> float:
        """How large a place's dot is."""
        return min(self.number_scale, MOST_SPOT)

    @property
    def width(self) -> float:
        """Of the picture with its margin."""
        return self.frame.width * self.zoom + 2 * self.margin

    @property
    def height(self) -> float:
        """Of the picture with its margin."""
        return self.frame.height * self.zoom + 2 * self.margin

    @property
    def name(self) -> str:
        """What it shows."""
        return f"{self.view.name}, {self.letter} enlarged" if self.letter else self.view.name

    @property
    def alt(self) -> str:
        """The same for those who cannot see it."""
        return (
            f"{self.view.alt} Part {self.letter} of it, enlarged." if self.letter else self.view.alt
        )

    @property
    def numbers(self) -> tuple[int, ...]:
        """The numbers on it, in order."""
        return tuple(sorted(callout.number for callout in self.callouts))

    @property
    def faults(self) -> list[tuple[int, int, str]]:
        """Pairs of numbers with what is wrong between them; empty where the layout is as it should
        be."""
        room = _room(self.frame, self.zoom, self.number_scale)
        found = faults(
            room,
            [callout.place for callout in self.callouts],
            [callout.disc for callout in self.callouts],
        )
        return [
            (self.callouts[fault.one].number, self.callouts[fault.other].number, fault.what)
            for fault in found
        ]

    def at_number_scale(self, number_scale: float) -> Picture:
        """The same picture laid out anew for another size; its details stay, and numbers that found
        no room stay smaller."""
        while len(self.callouts) > len(posts_of(_room(self.frame, self.zoom, number_scale))):
            number_scale *= SMALLER
        return replace(
            _laid_out(self.view, self.frame, self._places(), number_scale),
            details=self.details,
            letter=self.letter,
        )

    def _places(self) -> list[Numbered]:
        """The places in the drawing's units."""
        frame, margin, zoom = self.frame, self.margin, self.zoom
        return [
            (
                callout.number,
                (callout.place[0] - margin) / zoom + frame.x,
                (callout.place[1] - margin) / zoom + frame.y,
            )
            for callout in self.callouts
        ]


def picture(view: View, places: Sequence[Numbered], number_scale: float = 1.0) -> Picture:
    """Lay out the numbers of places on a whole drawing.

    Args:
        places: number, x and y in the drawing's units.
    """
    return _laid_out(view, _whole(view), places, number_scale)


def pictures(
    drawings: ModelDrawings, points: Iterable[Point], number_scale: float = 1.0
) -> tuple[Picture, ...]:
    """Each drawing on which a point is seen best, with the points' own numbers, in the order of the
    drawings, followed by its details."""
    by_view: dict[str, list[Numbered]] = {}
    for point in sorted(points, key=attrgetter("number")):
        if (place := drawings.place(point)) is not None:
            by_view.setdefault(place.view, []).append((point.number, place.x, place.y))
    return tuple(
        shown
        for view in drawings.views
        if view.id in by_view
        for shown in with_details(view, by_view[view.id], number_scale)
    )


def with_details(
    view: View, places: Sequence[Numbered], number_scale: float = 1.0
) -> tuple[Picture, ...]:
    """A drawing with its numbers, followed by a detail for each crowd of places that leaves a fault
    in the layout."""
    letters = iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    return tuple(_split(view, _whole(view), list(places), number_scale, "", letters))


def redrawn_at(shown: Sequence[Picture], number_scale: float) -> tuple[Picture, ...]:
    """Pictures laid out anew for a size: which places need a detail is asked again."""
    by_view: dict[str, tuple[View, list[Numbered]]] = {}
    for each in shown:
        by_view.setdefault(each.view.id, (each.view, []))[1].extend(each._places())
    return tuple(
        new
        for view, places in by_view.values()
        for new in with_details(view, sorted(places), number_scale)
    )


def _split(
    view: View,
    frame: Frame,
    places: list[Numbered],
    number_scale: float,
    letter: str,
    letters: Iterator[str],
) -> list[Picture]:
    """A part of a drawing, and the details that its crowds need."""
    details: list[tuple[Detail, list[Numbered]]] = []
    while True:
        room = _room(frame, _zoom(view, frame), number_scale)
        too_many = len(places) > min(MOST_NUMBERS, len(posts_of(room)))
        laid = None if too_many else _laid_out(view, frame, places, number_scale)
        crowd = (
            None
            if laid is not None and not laid.faults
            else _crowd(frame, places, _entangled(laid, places))
        )
        if crowd is None:
            laid = laid or _laid_out(view, frame, places, number_scale)
            break
        inside = [place for place in places if crowd.holds(place[1], place[2])]
        places = [place for place in places if place not in inside]
        details.append((Detail(letter=next(letters), frame=crowd), inside))
    own = replace(laid, details=tuple(detail for detail, _ in details), letter=letter)
    return [
        own,
        *(
            shown
            for detail, inside in details
            for shown in _split(view, detail.frame, inside, number_scale, detail.letter, letters)
        ),
    ]


def _entangled(laid: Picture | None, places: Sequence[Numbered]) -> list[Numbered]:
    """The places between which something is wrong; all of them where there are too many to be laid
    out."""
    if laid is None:
        return list(places)
    wrong = {number for one, other, _ in laid.faults for number in (one, other)}
    return [place for place in places if place[0] in wrong]


def _crowd(frame: Frame, places: Sequence[Numbered], wrong: Sequence[Numbered]) -> Frame | None:
    """The part round one of the wrong places that holds most of them, then most of all; None where
    nothing is gained by enlarging."""
    width, height = frame.width / ENLARGED, frame.height / ENLARGED
    if width < LEAST_DETAIL:
        return None
    parts = []
    for _, x, y in wrong:
        for across in (0.2, 0.5, 0.8):
            for down in (0.2, 0.5, 0.8):
                left = min(max(x - across * width, frame.x), frame.x + frame.width - width)
                top = min(max(y - down * height, frame.y), frame.y + frame.height - height)
                parts.append(Frame(x=left, y=top, width=width, height=height))

    def held(part: Frame) -> tuple[int, int]:
        return tuple(sum(part.holds(x, y) for _, x, y in some) for some in (wrong, places))  # type: ignore[return-value]

    best = max(parts, key=held)
    return best if held(best)[1] > 1 else None


def _laid_out(view: View, frame: Frame, places: Sequence[Numbered], number_scale: float) -> Picture:
    zoom = _zoom(view, frame)
    room = _room(frame, zoom, number_scale)
    sites = tuple(
        ((x - frame.x) * zoom + room.margin, (y - frame.y) * zoom + room.margin)
        for _, x, y in places
    )
    callouts = tuple(
        Callout(number=number, place=site, disc=disc)
        for (number, _, _), site, disc in zip(places, sites, placed(room, sites), strict=True)
    )
    return Picture(view=view, callouts=callouts, frame=frame, zoom=zoom, number_scale=number_scale)


def _whole(view: View) -> Frame:
    return Frame(x=0.0, y=0.0, width=view.width, height=view.height)


def _zoom(view: View, frame: Frame) -> float:
    """What makes a part as wide as the whole drawing."""
    return view.width / frame.width


def _room(frame: Frame, zoom: float, number_scale: float) -> Room:
    return Room(
        width=frame.width * zoom,
        height=frame.height * zoom,
        margin=MARGIN * number_scale,
        disc=DISC * number_scale,
        gap=POST_GAP * number_scale,
        near=NEAR * min(number_scale, MOST_SPOT),
    )
