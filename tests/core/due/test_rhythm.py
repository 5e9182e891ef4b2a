"""The few rhythms of a card: what fits, and that the choice of three is the best there is."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays
from oilchart.core.due.rhythm import AFTER_REST, RHYTHMS, SEWING_DAY, Rhythm, choose, fits, most_use
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.interval import Allowance
from oilchart.core.units import ticks
from oilchart.core.use.history import UseHistory
from oilchart.sources.words.reader import read_report
from tests.builders.make import TODAY, a_machine, a_point
from tests.counts import counted


def rhythms_of(use: str | None, *every: str) -> list[str | None]:
    points = [a_point(f"p{at}", every=words, keeper="owner") for at, words in enumerate(every)]
    schedule = Reckoning(
        a_machine(*points, use=use, served=TODAY), open_days=OpenDays(), lead_days=14
    ).schedule(TODAY)
    return [plan.rhythm for plan in schedule.points]


@pytest.mark.parametrize(
    ("use", "every", "rhythm"),
    [
        # by use: the most in any such stretch on the high curve stays within the limit
        ("7 hours a week", "8 hours or 3 months", "week"),
        ("9 hours a week", "8 hours or 3 months", "each sewing day"),
        ("5-8 hours a week", "8 hours or 3 months", "week"),
        ("3.5 hours a week", "7 hours or 3 months", "2 weeks"),
        ("3.5 hours a week", "15.4 hours or 3 months", "2 weeks"),  # 31 days hold 15.5 hours
        ("3.5 hours a week", "15.5 hours or 3 months", "month"),
        # a week of 45 hours has five sewing days of 9 hours: more than the limit, so no rhythm fits
        ("45 hours a week", "8 hours or 3 months", None),
        ("40 hours a week", "8 hours or 3 months", "each sewing day"),
        # by time
        ("1 hours a month", "8 hours or 3 months", "3 months"),
        ("1 hours a month", "8 hours or 5 months", "3 months"),
        # less than one limit in the coming year: where it stands still oil ages all the same
        ("none", "8 hours or 6 months", AFTER_REST),
        ("7.9 hours a year", "8 hours or 6 months", AFTER_REST),
        ("8.1 hours a year", "8 hours or 6 months", "6 months"),
        ("1-8.1 hours a year", "8 hours or 6 months", "6 months"),
        ("none", "12 months", "year"),
        (None, "8 hours or 3 months", "3 months"),
        (None, "12 months", "year"),
        (None, "10 days", "week"),
        # occasions are their own rhythm
        ("7 hours a week", "each bobbin", "each bobbin"),
    ],
)
def test_a_single_point_takes_the_longest_rhythm_that_fits(
    use: str | None, every: str, rhythm: str | None
) -> None:
    assert rhythms_of(use, every) == [rhythm]


def test_the_busiest_stretch_of_the_coming_year_decides() -> None:
    # at rest in July and August, yet a week in September is as full as any other
    assert rhythms_of("7 hours a week; idle Jul-Aug", "7 hours or 3 months") == ["week"]


def test_a_card_never_has_more_than_three_timed_rhythms() -> None:
    chosen = rhythms_of(
        "7 hours a week",
        "2 hours or 1 month",
        "7 hours or 3 months",
        "14 hours or 3 months",
        "31 hours or 6 months",
        "12 months",
    )
    assert len(set(chosen)) == 3
    # sewing days and weeks are wanted by the first two; for the rest 2 weeks come to 26 + 26 + 26
    # occasions, a month to 52 + 12 + 12,
    # a year to 52 + 52 + 1
    assert chosen == ["each sewing day", "week", "week", "month", "month"]


hours = st.integers(1, 400).map(lambda tenths: ticks(Fraction(tenths, 10)))
allowances = st.builds(
    Allowance,
    use=st.none() | hours,
    months=st.none() | st.integers(0, 13),
    days=st.none() | st.integers(1, 40),
)


def brute_force(fitting: list[set[Rhythm]]) -> tuple[int, int, list[int]]:
    """The best there is: fewest occasions a year, then fewer rhythms, then longer ones."""
    wanted = [some for some in fitting if some]
    best = None
    for size in range(4):
        for chosen in combinations(RHYTHMS, size):
            if all(some & set(chosen) for some in wanted):
                occasions = sum(
                    min(rhythm.a_year for rhythm in some & set(chosen)) for some in wanted
                )
                rank = (occasions, size, sorted(366 - rhythm.days for rhythm in chosen))
                best = rank if best is None or rank < best else best
    assert best is not None
    return best


@counted
@given(st.lists(allowances, max_size=6), st.integers(1, 60))
def test_the_choice_of_rhythms_is_the_best_by_brute_force(
    allowed: list[Allowance], hours_a_week: int
) -> None:
    history = UseHistory([read_report(f"{hours_a_week} hours a week", TODAY)], [], TODAY)
    most = most_use(history.curves().high, TODAY)
    fitting = [{rhythm for rhythm in RHYTHMS if fits(rhythm, each, most)} for each in allowed]
    chosen = choose(allowed, most)
    for rhythm, some in zip(chosen, fitting, strict=True):
        assert (rhythm in some) if some else (rhythm is None)
    used = {rhythm for rhythm in chosen if rhythm}
    rank = (
        sum(rhythm.a_year for rhythm in chosen if rhythm),
        len(used),
        sorted(366 - rhythm.days for rhythm in used),
    )
    assert rank == brute_force(fitting)


@counted
@given(
    st.integers(0, 400),
    st.sampled_from(["", "; idle Jul-Aug", "; idle Dec-Feb", "; idle Mar"]),
    st.dates(date(2024, 1, 1), date(2028, 1, 1)),
)
def test_the_most_use_of_a_stretch_equals_a_sum_day_by_day(
    tenths: int, rest: str, as_of: date
) -> None:
    history = UseHistory([read_report(f"{tenths / 10} hours a week{rest}", as_of)], [], as_of)
    curve = history.curves().high
    first = as_of.toordinal()
    daily = [
        curve.used_before(first + day + 1) - curve.used_before(first + day) for day in range(366)
    ]
    most = most_use(curve, as_of)
    for rhythm in RHYTHMS[1:]:
        assert most[rhythm] == max(
            sum(daily[day : day + rhythm.days]) for day in range(367 - rhythm.days)
        )


def test_the_use_of_a_sewing_day_is_a_fifth_of_the_fullest_week_rounded_up() -> None:
    # 0.011 hours a year are 1,108 ticks a day, 7,756 a week: five days of 1,551 are one too few
    history = UseHistory([read_report("0.011 hours a year", TODAY)], [], TODAY)
    most = most_use(history.curves().high, TODAY)
    assert most[RHYTHMS[1]] == 7_756
    assert most[SEWING_DAY] == 1_552
