"""Where numbers stand round a drawing: the posts on its frame, which number takes which, and what
faults a layout has.

The posts are given out so that the leaders are shortest together, a leader that passes too near
another place counting as far longer.
With shortest leaders alone no two can cross: two that cross change posts and get shorter. Where the
price of passing leaves a fault, a local search moves and swaps numbers until none is left or
nothing gets better.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import dist, hypot, inf

Spot = tuple[float, float]

PASSING = 400.0  # what a leader that passes too near a place costs, in units of length
ENTANGLED = 4_000.0  # what leaders that cross, or one that runs through another's number, cost
SLACK = 1e-9
MOST_LAYOUTS = 4_096  # that are kept: cards of one model have the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The frame of a drawing and the sizes of what stands round it, in drawing units.

    Args:
        width, height: of the drawing.
        margin: round it, for the numbers.
        disc: radius of a number.
        gap: between the middles of neighbouring numbers.
        near: a leader keeps this far from places that are not its own.
    """

    width: float
    height: float
    margin: float
    disc: float
    gap: float
    near: float


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong between two numbers, counted from 0 in the order of their places."""

    what: str
    one: int
    other: int


def posts_of(room: Room) -> tuple[Spot, ...]:
    """Places for numbers, evenly round the frame; the drawing starts at `margin`, `margin`."""
    left, top = room.margin / 2, room.margin / 2
    right, bottom = room.width + 1.5 * room.margin, room.height + 1.5 * room.margin
    across, down = max(1, int((right - left) // room.gap)), max(1, int((bottom - top) // room.gap))
    along = [left + (right - left) * step / across for step in range(across + 1)]
    upright = [top + (bottom - top) * step / down for step in range(1, down)]
    return (
        *((x, y) for y in (top, bottom) for x in along),
        *((x, y) for x in (left, right) for y in upright),
    )


@lru_cache(maxsize=MOST_LAYOUTS)
def placed(room: Room, sites: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """Where the number of each site stands; there must be no more sites than posts.

    Args:
        sites: places on the drawing, its margin added.
    """
    posts = posts_of(room)
    priced = [[_price(site, post, sites, room.near) for post in posts] for site in sites]
    chosen = cheapest(priced)
    if _tangles(chosen, sites, posts, room):
        searched = _searched(chosen, priced, sites, posts, room)
        plain = cheapest([[dist(site, post) for post in posts] for site in sites])
        chosen = min((searched, plain), key=lambda some: _rank(some, sites, posts, room))
    return tuple(posts[post] for post in chosen)


def _rank(
    chosen: Sequence[int], sites: Sequence[Spot], posts: Sequence[Spot], room: Room
) -> tuple[int, int]:
    """How bad a layout is: leaders that cross, then all faults."""
    found = faults(room, sites, [posts[post] for post in chosen])
    return sum(fault.what == CROSS for fault in found), len(found)


CROSS = "their leaders cross"
TOUCH = "the numbers touch"
THROUGH = "the leader runs through the other's number"
OVER = "the leader runs over the other's place"


def faults(room: Room, sites: Sequence[Spot], discs: Sequence[Spot]) -> list[Fault]:
    """All faults of a layout: what must not be on a paper, and what is looked at whenever one is
    made."""
    return list(_faults(room, tuple(sites), tuple(discs)))


@lru_cache(maxsize=MOST_LAYOUTS)
def _faults(room: Room, sites: tuple[Spot, ...], discs: tuple[Spot, ...]) -> tuple[Fault, ...]:
    found = []
    for a, b in combinations(range(len(sites)), 2):
        if crossing(sites[a], discs[a], sites[b], discs[b]):
            found.append(Fault(CROSS, a, b))
        if dist(discs[a], discs[b]) < 2 * room.disc:
            found.append(Fault(TOUCH, a, b))
        for one, other in ((a, b), (b, a)):
            if from_leader(discs[other], sites[one], discs[one]) < room.disc:
                found.append(Fault(THROUGH, one, other))
            if from_leader(sites[other], sites[one], discs[one]) < room.near:
                found.append(Fault(OVER, one, other))
    return tuple(found)


def cheapest(cost: Sequence[Sequence[float]]) -> list[int]:
    """Give each row a column of its own so that the costs together are least.

    Source: Kuhn, "The Hungarian method for the assignment problem", Naval Research Logistics
    Quarterly 2 (1955) 83-97, in the form with
    potentials and shortest augmenting paths: Jonker and Volgenant, Computing 38 (1987) 325-340.

    Args:
        cost: no more rows than columns.
    """
    columns = len(cost[0]) if cost else 0
    row_price, column_price = [0.0] * (len(cost) + 1), [0.0] * (columns + 1)
    # the row of each column, both counted from 1; the row at column 0 looks for one
    taken_by = [0] * (columns + 1)
    for row in range(1, len(cost) + 1):
        taken_by[0] = row
        came_from, at = _shortest_path(cost, taken_by, row_price, column_price)
        while at:
            taken_by[at] = taken_by[came_from[at]]
            at = came_from[at]
    column_of = {row: column - 1 for column, row in enumerate(taken_by) if column and row}
    return [column_of[row] for row in range(1, len(cost) + 1)]


def _shortest_path(
    cost: Sequence[Sequence[float]],
    taken_by: Sequence[int],
    row_price: list[float],
    column_price: list[float],
) -> tuple[list[int], int]:
    """The cheapest chain of changes to a free column: from where each column was reached, and that
    one; prices are brought up."""
    columns = range(1, len(column_price))
    least, came_from = [inf] * len(column_price), [0] * len(column_price)
    seen: list[int] = []
    at = 0
    while taken_by[at]:
        seen.append(at)
        open_columns = [column for column in columns if column not in seen]
        row = taken_by[at]
        for column in open_columns:
            reduced = cost[row - 1][column - 1] - row_price[row] - column_price[column]
            if reduced < least[column]:
                least[column], came_from[column] = reduced, at
        at = min(open_columns, key=lambda column: least[column])
        step = least[at]
        for column in seen:
            row_price[taken_by[column]] += step
            column_price[column] -= step
        for column in open_columns:
            least[column] -= step
    return came_from, at


def _searched(
    chosen: Sequence[int],
    priced: Sequence[Sequence[float]],
    sites: Sequence[Spot],
    posts: Sequence[Spot],
    room: Room,
) -> list[int]:
    """Move a number to a free post or swap two for as long as that makes the layout cheaper."""
    best = list(chosen)
    known: dict[tuple[int, int, int, int], int] = {}

    def tangles(a: int, b: int, layout: Sequence[int]) -> int:
        key = (a, layout[a], b, layout[b])
        if key not in known:
            known[key] = _tangled(sites[a], posts[layout[a]], sites[b], posts[layout[b]], room)
        return known[key]

    def share(moved: Sequence[int], layout: Sequence[int]) -> float:
        """What some numbers cost in a layout, with all that they are tangled with."""
        pairs = {(min(a, b), max(a, b)) for a in moved for b in range(len(layout)) if a != b}
        return sum(priced[at][layout[at]] for at in moved) + ENTANGLED * sum(
            tangles(a, b, layout) for a, b in pairs
        )

    better = True
    while better:
        better = False
        for moved, trial in _neighbours(best, len(posts)):
            if share(moved, trial) < share(moved, best) - SLACK:
                best, better = trial, True
                break
    return best


def _neighbours(chosen: list[int], posts: int) -> Iterator[tuple[tuple[int, ...], list[int]]]:
    """Every layout that differs by one move or one swap, and which numbers it moves."""
    free = [post for post in range(posts) if post not in chosen]
    for at in range(len(chosen)):
        for post in free:
            yield (at,), [*chosen[:at], post, *chosen[at + 1 :]]
    for a, b in combinations(range(len(chosen)), 2):
        swapped = list(chosen)
        swapped[a], swapped[b] = swapped[b], swapped[a]
        yield (a, b), swapped


def _tangles(
    chosen: Sequence[int], sites: Sequence[Spot], posts: Sequence[Spot], room: Room
) -> int:
    """How often leaders cross, or run through another's number."""
    pairs = combinations(range(len(chosen)), 2)
    return sum(
        _tangled(sites[a], posts[chosen[a]], sites[b], posts[chosen[b]], room) for a, b in pairs
    )


def _tangled(site: Spot, post: Spot, other_site: Spot, other_post: Spot, room: Room) -> int:
    """The same between two numbers."""
    through = (
        from_leader(other_post, site, post) < room.disc,
        from_leader(post, other_site, other_post) < room.disc,
    )
    return crossing(site, post, other_site, other_post) + sum(through)


def _price(site: Spot, post: Spot, sites: Sequence[Spot], near: float) -> float:
    """Length of a leader, and more for every other site it passes too near."""
    passed = sum(1 for other in sites if other != site and from_leader(other, site, post) < near)
    return dist(site, post) + PASSING * passed


def crossing(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether a-b and c-d cross in a point that is no end of either."""
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(start: Spot, end: Spot, spot: Spot) -> float:
    """On which side of a line a spot lies: the sign of this, 0 on it."""
    return (end[0] - start[0]) * (spot[1] - start[1]) - (end[1] - start[1]) * (spot[0] - start[0])


def from_leader(spot: Spot, start: Spot, end: Spot) -> float:
    """Distance of a spot from a leader."""
    along_x, along_y = end[0] - start[0], end[1] - start[1]
    length = hypot(along_x, along_y) or 1.0
    share = ((spot[0] - start[0]) * along_x + (spot[1] - start[1]) * along_y) / length**2
    share = max(0.0, min(1.0, share))
    return hypot(start[0] + share * along_x - spot[0], start[1] + share * along_y - spot[1])
