"""Numbers round a drawing: no two leaders cross, no two discs touch, and the layout is always the
same."""

from __future__ import annotations

from itertools import combinations
from math import dist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.point_lists.drawings import View
from oilchart.papers.drawing.callouts import Spot
from oilchart.papers.drawing.picture import DISC, Picture, picture
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.drawn import checklist
from tests.builders.make import TODAY
from tests.counts import counted

FRAME = View(id="frame", name="Frame", alt="An empty frame.", width=1000, height=640, shapes=())
spots = st.tuples(st.integers(40, 960), st.integers(40, 600))


def cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether the leaders a-b and c-d cross, beyond merely touching."""

    def side(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < -1e-6 and side(c, d, a) * side(c, d, b) < -1e-6


def crossings(drawn: Picture) -> int:
    return sum(cross(a.place, a.disc, b.place, b.disc) for a, b in combinations(drawn.callouts, 2))


@counted
@given(
    st.lists(spots, min_size=1, max_size=12, unique=True).filter(
        lambda some: all(dist(a, b) >= 25 for a, b in combinations(some, 2))
    )
)
def test_up_to_12_places_have_discs_apart_inside_and_no_leaders_that_cross(
    places: list[Spot],
) -> None:
    drawn = picture(
        FRAME, [(number, float(x), float(y)) for number, (x, y) in enumerate(places, start=1)]
    )
    assert crossings(drawn) == 0
    for a, b in combinations(drawn.callouts, 2):
        assert dist(a.disc, b.disc) > 2 * DISC
    for callout in drawn.callouts:
        assert DISC <= callout.disc[0] <= drawn.width - DISC
        assert DISC <= callout.disc[1] <= drawn.height - DISC


def test_the_same_places_give_the_same_layout() -> None:
    places = [(1, 200.0, 100.0), (2, 220.0, 300.0), (3, 600.0, 500.0)]
    assert picture(FRAME, places) == picture(FRAME, places)


@pytest.mark.parametrize("model", PointLibrary([packaged("points")]).model_ids())
def test_the_shipped_checklists_have_no_leaders_that_cross(model: str) -> None:
    whole = checklist(PointLibrary([packaged("points")]).point_list(model), on=TODAY)
    assert sum(len(drawn.callouts) for drawn in whole.pictures) == len(
        [step for step in whole.steps if step.view is not None]
    )
    assert [crossings(drawn) for drawn in whole.pictures] == [0] * len(whole.pictures)
