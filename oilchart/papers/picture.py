"""Knows a drawing with its numbered places: where the numbers stand round it, and which leader goes to which place.

The numbers stand on even posts round the frame. Moves and swaps make the leaders short and keep them off places that are not their
own; last, leaders that cross change posts until none do, which comes to an end since it makes them shorter every time. The same layout
serves paper and screen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import dist, hypot

from oilchart.core.chart import Point, View

Spot = tuple[float, float]

MARGIN = 62.0  # round the drawing, for the numbers, in drawing units
DISC = 25.0  # radius of a number's disc
POST_GAP = 64.0  # between neighbouring posts, so that no two discs touch
NEAR = 12.0  # a leader keeps this far from places that are not its own
PASSING = 400.0  # what a leader that passes too near costs, in units of length


@dataclass(frozen=True, slots=True, kw_only=True)
class Callout:
    """A number, the place it stands for and where its disc stands."""

    number: int
    place: Spot
    disc: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing with its callouts; with the margin it is `width` by `height` units, the drawing starting at `MARGIN`, `MARGIN`."""

    view: View
    callouts: tuple[Callout, ...]

    @property
    def width(self) -> float:
        """Of the picture with its margin."""
        return self.view.width + 2 * MARGIN

    @property
    def height(self) -> float:
        """Of the picture with its margin."""
        return self.view.height + 2 * MARGIN


def picture(view: View, places: Sequence[tuple[int, float, float]]) -> Picture:
    """Lay out the numbers of places on a drawing.

    Args:
        places: number, x and y in the drawing's units.

    Returns:
        Callouts in the picture's units: the drawing's, moved by the margin.
    """
    sites = [(x + MARGIN, y + MARGIN) for _, x, y in places]
    posts = _posts(view)
    chosen = _assign(sites, posts)
    return Picture(
        view=view,
        callouts=tuple(
            Callout(number=number, place=site, disc=posts[post]) for (number, _, _), site, post in zip(places, sites, chosen, strict=True)
        ),
    )


def pictures(views: Iterable[View], numbered: Iterable[tuple[int, Point]]) -> tuple[Picture, ...]:
    """One picture for each drawing on which a numbered point is seen best, in the order of the drawings."""
    by_view: dict[str, list[tuple[int, float, float]]] = {}
    for number, point in numbered:
        if point.place is not None:
            by_view.setdefault(point.place.view, []).append((number, point.place.x, point.place.y))
    return tuple(picture(view, by_view[view.id]) for view in views if view.id in by_view)


def _posts(view: View) -> list[Spot]:
    """Places for discs, evenly round the frame."""
    left, top = MARGIN / 2, MARGIN / 2
    right, bottom = view.width + 1.5 * MARGIN, view.height + 1.5 * MARGIN
    across, down = int((right - left) // POST_GAP), int((bottom - top) // POST_GAP)
    along = [left + (right - left) * step / across for step in range(across + 1)]
    upright = [top + (bottom - top) * step / down for step in range(1, down)]
    return [(x, y) for y in (top, bottom) for x in along] + [(x, y) for x in (left, right) for y in upright]


def _assign(sites: Sequence[Spot], posts: Sequence[Spot]) -> list[int]:
    """Choose a post for each site: from the nearest free ones by moves and swaps until nothing gets shorter."""
    cost = [[_cost(site, post, sites) for post in posts] for site in sites]
    chosen: list[int] = []
    for row in cost:
        chosen.append(min((post for post in range(len(posts)) if post not in chosen), key=lambda post: (row[post], post)))
    better = True
    while better:
        better = False
        for at, row in enumerate(cost):
            free = min((post for post in range(len(posts)) if post not in chosen), key=lambda post: (row[post], post), default=chosen[at])
            if row[free] < row[chosen[at]] - 1e-9:
                chosen[at] = free
                better = True
        for a, b in combinations(range(len(sites)), 2):
            now = cost[a][chosen[a]] + cost[b][chosen[b]]
            if cost[a][chosen[b]] + cost[b][chosen[a]] < now - 1e-9:
                chosen[a], chosen[b] = chosen[b], chosen[a]
                better = True
    _uncross(chosen, sites, posts)
    return chosen


def _uncross(chosen: list[int], sites: Sequence[Spot], posts: Sequence[Spot]) -> None:
    """Let leaders that cross change posts until none do."""
    crossing = True
    while crossing:
        crossing = False
        for a, b in combinations(range(len(sites)), 2):
            if _cross(sites[a], posts[chosen[a]], sites[b], posts[chosen[b]]):
                chosen[a], chosen[b] = chosen[b], chosen[a]
                crossing = True


def _cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether a-b and c-d cross in a point that is no end of either."""
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(start: Spot, end: Spot, spot: Spot) -> float:
    """On which side of a line a spot lies: the sign of this, 0 on it."""
    return (end[0] - start[0]) * (spot[1] - start[1]) - (end[1] - start[1]) * (spot[0] - start[0])


def _cost(site: Spot, post: Spot, sites: Sequence[Spot]) -> float:
    """Length of a leader, and more for every other site it passes too near."""
    passed = sum(1 for other in sites if other != site and _distance(other, site, post) < NEAR)
    return dist(site, post) + PASSING * passed


def _distance(spot: Spot, start: Spot, end: Spot) -> float:
    """Distance of a spot from a leader."""
    along_x, along_y = end[0] - start[0], end[1] - start[1]
    length = hypot(along_x, along_y) or 1.0
    share = ((spot[0] - start[0]) * along_x + (spot[1] - start[1]) * along_y) / length**2
    share = max(0.0, min(1.0, share))
    return hypot(start[0] + share * along_x - spot[0], start[1] + share * along_y - spot[1])
