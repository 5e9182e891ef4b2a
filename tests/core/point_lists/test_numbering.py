"""The numbers of points: each keeps its own, whatever else changes in the list."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from oilchart.core.point_lists.edition import edition_code
from oilchart.core.point_lists.numbering import in_working_order, numbered, numbers_to_keep
from oilchart.core.point_lists.point_list import PointList
from oilchart.sources.points.library import PointLibrary
from tests.builders.make import a_chart, a_point


def numbers_of(point_list: PointList) -> dict[str, int]:
    return {point.id: point.number for point in point_list.points}


def test_points_without_numbers_of_their_own_are_numbered_in_working_order(
    library_read: PointLibrary,
) -> None:
    heron = library_read.point_list("heron-3")
    anew = numbered(heron, ())
    assert [point.number for point in in_working_order(anew)] == list(
        range(1, len(heron.points) + 1)
    )


def test_a_number_stays_empty_when_its_point_is_taken_out_and_new_points_come_after() -> None:
    kept = ("a", "b", "c")
    after = a_chart(a_point("c"), a_point("new"), a_point("a"))
    assert numbers_of(numbered(after, kept)) == {"a": 1, "c": 3, "new": 4}
    assert numbers_to_keep(after, kept) == ("a", "b", "c", "new")


def test_whatever_is_taken_out_and_put_in_no_number_is_ever_given_to_another_point(
    tries: int,
) -> None:
    for seed in range(tries):
        chance = random.Random(seed)
        names = [f"p{at}" for at in range(30)]
        kept: tuple[str, ...] = ()
        owners: dict[int, str] = {}
        for _ in range(8):
            points = a_chart(
                *[a_point(each) for each in chance.sample(names, chance.randint(1, 30))]
            )
            kept = numbers_to_keep(points, kept)
            for point, number in numbers_of(numbered(points, kept)).items():
                assert kept[number - 1] == point
                assert owners.setdefault(number, point) == point
        assert len(kept) >= len(owners)


@pytest.mark.parametrize(
    "changed",
    [
        {"where": "another place"},
        {"do": "something else"},
        {"amount": "3 drops"},
        {"caution": "Plug out first."},
        {"number": 9},
    ],
)
def test_the_code_of_a_list_changes_with_what_it_tells_to_do(changed: dict[str, object]) -> None:
    before = a_chart(a_point("a"), a_point("b"))
    first, second = before.points
    after = replace(before, points=(replace(first, **changed), second))  # type: ignore[arg-type]
    assert edition_code(after) != edition_code(before)
    assert edition_code(replace(before, about="other words")) == edition_code(before)
