"""Numbers round drawings: leaders never cross, no number touches another, none runs over another's
place; a crowd is shown enlarged."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations, permutations
from math import dist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.point_lists.drawings import View
from oilchart.core.records.paper_style import CardSize
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.card.pages import card_leaflet
from oilchart.papers.drawing.callouts import Fault, Room, Spot, cheapest, faults, placed, posts_of
from oilchart.papers.drawing.picture import MOST_NUMBERS, Picture, picture, with_details
from oilchart.papers.drawing.svg import picture_svg
from oilchart.papers.pdf.card_sizes import setting
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import care_card, checklist
from tests.builders.make import TODAY, loose_schedule
from tests.counts import counted

SHELF = PointLibrary([packaged("points")])
FRAME = View(id="frame", name="Frame", alt="An empty frame.", width=1000, height=640, shapes=())
ROOM = Room(width=1000, height=640, margin=62, disc=25, gap=64, near=12)
APART = 25.0  # between places that can be told apart on paper: 4 mm on a drawing as wide as A4
spots = st.tuples(st.integers(40, 960), st.integers(40, 600))


def spread(most: int, apart: float = APART) -> st.SearchStrategy[list[tuple[int, int]]]:
    """Places at least so far from each other."""

    def thinned(found: list[tuple[int, int]]) -> list[tuple[int, int]]:
        kept: list[tuple[int, int]] = []
        for spot in found:
            if all(dist(spot, other) >= apart for other in kept):
                kept.append(spot)
        return kept

    return st.lists(spots, min_size=1, max_size=most).map(thinned)


def crowded(most: int) -> st.SearchStrategy[list[tuple[int, int]]]:
    """Places close together in one part of the drawing."""
    near = st.tuples(st.integers(0, 220), st.integers(0, 180))
    corner = st.tuples(st.integers(40, 700), st.integers(40, 400))
    cluster = st.tuples(corner, st.lists(near, min_size=4, max_size=most, unique=True))
    return cluster.map(lambda made: [(made[0][0] + x, made[0][1] + y) for x, y in made[1]])


def numbered(places: list[tuple[int, int]]) -> list[tuple[int, float, float]]:
    return [(number, float(x), float(y)) for number, (x, y) in enumerate(places, start=1)]


# --- what is wrong with a layout, told without the code under test


def cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether a-b and c-d have a point in common that is no end of either: both parameters of the
    intersection lie within."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = a, b, c, d
    turn = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(turn) < 1e-9:
        return False
    along = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / turn
    across = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / turn
    return 1e-9 < along < 1 - 1e-9 and 1e-9 < across < 1 - 1e-9


def away(spot: Spot, start: Spot, end: Spot) -> float:
    """How far a spot is from a leader, found by walking along it."""
    steps = [
        (start[0] + (end[0] - start[0]) * step / 400, start[1] + (end[1] - start[1]) * step / 400)
        for step in range(401)
    ]
    return min(dist(spot, step) for step in steps)


def wrong(shown: Picture) -> list[str]:
    """Everything that must not be seen on a picture."""
    found = []
    disc = shown.disc
    near = 12 * min(shown.number_scale, 1.4)
    for a, b in combinations(shown.callouts, 2):
        if cross(a.place, a.disc, b.place, b.disc):
            found.append(f"{a.number} and {b.number} cross")
        if dist(a.disc, b.disc) < 2 * disc:
            found.append(f"{a.number} and {b.number} touch")
        for one, other in ((a, b), (b, a)):
            if away(other.disc, one.place, one.disc) < disc - 1:
                found.append(f"{one.number} runs through the number {other.number}")
            if away(other.place, one.place, one.disc) < near - 1:
                found.append(f"{one.number} runs over the place of {other.number}")
    room = (disc, shown.width - disc), (disc, shown.height - disc)
    out = [
        each.number
        for each in shown.callouts
        if not all(low <= at <= height for at, (low, height) in zip(each.disc, room, strict=True))
    ]
    return [*found, *(f"{number} lies outside" for number in out)]


# --- any layout


@counted
@given(spread(12))
def test_up_to_12_places_are_told_apart(places: list[tuple[int, int]]) -> None:
    shown = with_details(FRAME, numbered(places))
    assert [wrong(each) for each in shown] == [[]] * len(shown)
    assert sorted(number for each in shown for number in each.numbers) == list(
        range(1, len(places) + 1)
    )


@counted
@given(st.one_of(crowded(12), st.lists(spots, min_size=1, max_size=16, unique=True)))
def test_leaders_cross_nowhere_even_in_a_crowd(places: list[tuple[int, int]]) -> None:
    shown = picture(FRAME, numbered(places))
    assert [
        words
        for words in wrong(shown)
        if "cross" in words or "touch" in words or "outside" in words
    ] == []


@counted
@given(crowded(12))
def test_a_crowd_is_shown_enlarged_until_it_can_be_told_apart(
    places: list[tuple[int, int]],
) -> None:
    shown = with_details(FRAME, numbered(places))
    assert sorted(number for each in shown for number in each.numbers) == list(
        range(1, len(places) + 1)
    )
    close = min((dist(a, b) for a, b in combinations(places, 2)), default=99)
    if close >= 12:
        assert [wrong(each) for each in shown] == [[]] * len(shown)


@counted
@given(spread(12), st.floats(1.0, 2.4))
def test_the_layout_depends_on_nothing_but_the_places_and_the_size(
    places: list[tuple[int, int]], number_scale: float
) -> None:
    assert with_details(FRAME, numbered(places), number_scale) == with_details(
        FRAME, numbered(places), number_scale
    )


@counted
@given(spread(12))
def test_faults_are_what_an_eye_would_find(places: list[tuple[int, int]]) -> None:
    """Numbers at random posts: whatever the eye finds wrong, the check at run time finds too, and
    nothing else."""
    shown = picture(FRAME, numbered(places))
    posts = posts_of(ROOM)
    shuffled = replace(
        shown,
        callouts=tuple(
            replace(callout, disc=posts[callout.number * 7 % len(posts)])
            for callout in shown.callouts
        ),
    )
    told = {frozenset(pair[:2]) for pair in shuffled.faults}
    seen = {
        frozenset(int(word) for word in words.split() if word.isdigit())
        for words in wrong(shuffled)
        if "outside" not in words
    }
    assert seen <= told


@counted
@given(st.lists(st.lists(st.integers(0, 50), min_size=6, max_size=6), min_size=1, max_size=5))
def test_the_cheapest_way_is_that_of_all_ways(cost: list[list[int]]) -> None:
    chosen = cheapest(cost)
    assert len(set(chosen)) == len(cost)
    best = min(
        sum(cost[row][column] for row, column in enumerate(columns))
        for columns in permutations(range(6), len(cost))
    )
    assert sum(cost[row][column] for row, column in enumerate(chosen)) == best


def test_no_places_need_no_posts() -> None:
    assert cheapest([]) == []
    assert placed(ROOM, ()) == ()
    assert faults(ROOM, [], []) == []


def test_each_kind_of_fault_is_named() -> None:
    crossed = faults(ROOM, [(200, 300), (400, 300)], [(400, 30), (200, 30)])
    assert crossed == [Fault("their leaders cross", 0, 1)]
    assert Fault("the numbers touch", 0, 1) in faults(
        ROOM, [(200, 300), (400, 300)], [(300, 30), (340, 30)]
    )
    assert Fault("the leader runs through the other's number", 0, 1) in faults(
        ROOM, [(200, 300), (400, 300)], [(200, 30), (210, 100)]
    )
    assert Fault("the leader runs over the other's place", 0, 1) in faults(
        ROOM, [(200, 300), (205, 200)], [(200, 30), (600, 30)]
    )


def test_more_numbers_than_an_eye_finds_go_on_pictures_of_their_own() -> None:
    places = [(60 + 110 * (at % 9), 60 + 130 * (at // 9)) for at in range(36)]
    shown = with_details(FRAME, numbered(places))
    assert max(len(each.callouts) for each in shown) <= MOST_NUMBERS
    assert sorted(number for each in shown for number in each.numbers) == list(range(1, 37))


# --- what is shipped


@cache
def shown_on_checklist(model: str) -> tuple[Picture, ...]:
    return checklist(SHELF.point_list(model), on=TODAY).pictures


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_the_drawings_of_every_checklist_are_without_a_fault(model: str) -> None:
    assert [(each.name, wrong(each)) for each in shown_on_checklist(model) if wrong(each)] == []


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_the_drawings_of_every_card_are_without_a_fault_however_large_it_is(
    model: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from oilchart.papers.pdf.leaflets import leaflets_pdf
    from oilchart.papers.pdf.page import Page

    seen: list[Picture] = []
    monkeypatch.setattr(Page, "picture", lambda page, x, top, shown, width: seen.append(shown))
    schedule = loose_schedule(
        SHELF.point_list(model), "5 hours a week", TODAY, TODAY, WITHOUT_A_SHOP
    )
    card = care_card(
        schedule, shop=ShopDetails(name="Tidelane", phone="01632 960100"), owner="Ida Brandvold"
    )
    for size in (CardSize.FOUR_BY_SIX, CardSize.A5, CardSize.A4):
        seen.clear()
        settings_of = setting(size)
        leaflet = card_leaflet(card, settings_of)
        leaflets_pdf([leaflet], settings_of.form)
        assert leaflet.faults == ()
        assert sorted(number for each in seen for number in each.numbers) == sorted(
            n for each in card.pictures for n in each.numbers
        )
        assert [(each.name, wrong(each)) for each in seen if wrong(each)] == []


def test_a_fault_that_is_left_is_told_to_the_technician() -> None:
    card = care_card(
        loose_schedule(SHELF.point_list("heron-3"), None, TODAY, TODAY, WITHOUT_A_SHOP),
        shop=ShopDetails(name="Tidelane", phone=""),
        owner=None,
    )
    first = card.pictures[0]
    same = replace(card, pictures=(picture(first.view, [(1, 300.0, 300.0), (2, 300.0, 300.0)]),))
    told = card_leaflet(same, setting(CardSize.A5)).faults
    assert [line.partition("numbers ")[2] for line in told] == [
        "1 and 2: the leader runs over the other's place",
        "2 and 1: the leader runs over the other's place",
    ]
    assert all(line.startswith(first.view.name) for line in told)


def test_paper_and_screen_show_the_same_layout() -> None:
    for each in shown_on_checklist("heron-3"):
        svg = picture_svg(each)
        for callout in each.callouts:
            x, y = callout.disc
            assert f'cx="{round(x, 2):.10g}" cy="{round(y, 2):.10g}"' in svg
