"""How an interval is written, how it turns into hours at the machine, and what it comes to for one
machine."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.point_lists.interval import Allowance, Factors, Interval, Step, allowance
from oilchart.core.units import HOUR, Speed, Unit
from oilchart.sources.points.intervals import read_interval
from tests.counts import counted

SPEED = Speed(needle_share=Fraction(1, 4), stitches_a_minute=Fraction(800))


def allowed(words: str, *, share: str = "1", use: str = "1", time: str = "1") -> Allowance:
    """What the first step of an interval comes to."""
    factors = Factors(use=Fraction(use), time=Fraction(time))
    return allowance(
        read_interval(words).step(1), speed=SPEED, share=Fraction(share), factors=factors
    )


# --- how it is written
# ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "step"),
    [
        # use and time: an aim, a limit, a limit at rest
        ("8-10 hours or 3 months", Step(aim=Fraction(8), limit=Fraction(10), months=3)),
        ("8 – 10 hours or 3 months", Step(aim=Fraction(8), limit=Fraction(10), months=3)),
        ("8 hours or 1 month", Step(aim=Fraction(8), limit=Fraction(8), months=1)),
        ("1 hour or 7 days", Step(aim=Fraction(1), limit=Fraction(1), days=7)),
        ("0.5-1.25 hours or 1 day", Step(aim=Fraction(1, 2), limit=Fraction(5, 4), days=1)),
        ("  8-10   hours or  3 months ", Step(aim=Fraction(8), limit=Fraction(10), months=3)),
        # three units
        (
            "4 needle hours or 6 months",
            Step(aim=Fraction(4), limit=Fraction(4), unit=Unit.NEEDLE_HOURS, months=6),
        ),
        (
            "1 needle hour or 1 week",
            Step(aim=Fraction(1), limit=Fraction(1), unit=Unit.NEEDLE_HOURS, days=7),
        ),
        (
            "1000000 stitches or 1 year",
            Step(aim=Fraction(10**6), limit=Fraction(10**6), unit=Unit.STITCHES, months=12),
        ),
        ("1 stitch or 1 day", Step(aim=Fraction(1), limit=Fraction(1), unit=Unit.STITCHES, days=1)),
        # time alone; weeks are days, years are months
        ("10 days", Step(days=10)),
        ("1 week", Step(days=7)),
        ("12 months", Step(months=12)),
        ("2 years", Step(months=24)),
        # the longest there is
        ("50 years", Step(months=600)),
        ("18000 days", Step(days=18000)),
    ],
)
def test_an_interval_has_an_aim_a_limit_and_a_limit_at_rest(words: str, step: Step) -> None:
    assert read_interval(words) == Interval(words=" ".join(words.split()), steps=(step,))


@pytest.mark.parametrize("words", ["each bobbin", "each sewing day", "each service"])
def test_an_occasion_has_no_steps(words: str) -> None:
    assert read_interval(f" {words}  ") == Interval(words=words, occasion=words)


def test_steps_follow_each_other_and_the_last_one_repeats() -> None:
    interval = read_interval("1 week, then 4 weeks,then 100 hours or 3 months")
    assert interval.steps == (
        Step(days=7),
        Step(days=28),
        Step(aim=Fraction(100), limit=Fraction(100), months=3),
    )
    assert [interval.step(times).days for times in (1, 2)] == [7, 28]
    assert [interval.step(times).months for times in (3, 4, 99)] == [3, 3, 3]


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        # not in the grammar
        ("often", "cannot be read"),
        ("8 hrs or 3 months", "cannot be read"),
        ("8hours or 3 months", "cannot be read"),
        ("Eight hours or 3 months", "cannot be read"),
        ("3 months or 8 hours", "cannot be read"),
        ("3 months or 1 year", "cannot be read"),
        ("8 hours or 1.5 months", "cannot be read"),
        ("8 hours or soon", "cannot be read"),
        ("-8 hours or 3 months", "cannot be read"),
        ("1 week, then", "cannot be read"),
        ("1 week, then each bobbin", "cannot be read"),
        ("", "cannot be read"),
        # an occasion that is none
        (
            "each sewing",
            "is not an occasion; there are: each bobbin, each sewing day, each service",
        ),
        # use alone: a machine at rest would never fall due
        ("8 hours", 'has a limit of use but none at rest; add "or N months"'),
        ("8 hours or 3 months or 1 year", "has more than one limit of use and one of time"),
        # numbers that cannot be
        ("10-8 hours or 3 months", "has an aim above its limit, or no use at all"),
        ("0 hours or 3 months", "has an aim above its limit, or no use at all"),
        ("0-8 hours or 3 months", "has an aim above its limit, or no use at all"),
        ("8 hours or 0 months", "has no time at all"),
        ("0 weeks", "has no time at all"),
        ("51 years", "is longer than 50 years"),
        ("601 months", "is longer than 50 years"),
        ("18001 days", "is longer than 50 years"),
        ("2572 weeks", "is longer than 50 years"),
        # thousands of digits are more than Python turns into a number
        ("9" * 5000 + " hours or 3 months", "cannot be read"),
        ("9" * 5000 + " months", "cannot be read"),
    ],
)
def test_an_interval_that_cannot_be_is_refused(words: str, wrong: str) -> None:
    with pytest.raises(ValueError) as caught:
        read_interval(words)
    assert str(caught.value) == wrong


WORDS = (
    "8",
    "10",
    "-",
    "hours",
    "needle",
    "stitches",
    "or",
    "3",
    "0",
    "months",
    "years",
    ",",
    "then",
    "each",
    "bobbin",
)


@counted
@given(st.text(max_size=40) | st.lists(st.sampled_from(WORDS)).map(" ".join))
def test_any_words_are_an_interval_or_refused_in_one_line(words: str) -> None:
    try:
        interval = read_interval(words)
    except ValueError as refused:
        assert len(str(refused).splitlines()) == 1
        return
    assert (interval.occasion is None) == bool(interval.steps)
    assert all((step.months is None) != (step.days is None) for step in interval.steps)


# --- hours at the machine, needle hours, stitches
# -------------------------------------------------------------------


def test_the_textbook_seam_of_50_inches_takes_500_stitches_and_15_seconds() -> None:
    # IE textbook formula: machine time = stitches an inch x length / rpm.
    # Its worked example: 10 stitches an inch x 50 inches = 500 stitches; at 2,000 rpm 15 s, at
    # 1,000 rpm 30 s.
    stitches = Fraction(10 * 50)
    assert stitches == 500
    for rpm, seconds in ((2000, 15), (1000, 30)):
        needle_moving = Speed(needle_share=Fraction(1), stitches_a_minute=Fraction(rpm))
        assert needle_moving.hours(stitches, Unit.STITCHES) * 3600 == seconds


def test_a_million_stitches_at_800_a_minute_are_20_83_needle_hours() -> None:
    # arithmetic: 1,000,000 / 800 / 60
    hours = Speed(needle_share=Fraction(1), stitches_a_minute=Fraction(800)).hours(
        Fraction(10**6), Unit.STITCHES
    )
    assert hours == Fraction(125, 6)
    assert round(float(hours), 2) == 20.83


@pytest.mark.parametrize(
    ("words", "hours"),
    [
        # hours at the machine are as they are said
        ("8-10 hours or 3 months", Fraction(10)),
        # the needle moves a quarter of the time: 4 needle hours are 16 hours at the machine
        ("4 needle hours or 6 months", Fraction(16)),
        # 1,000,000 stitches at 800 a minute: 20.83 needle hours, four times that at the machine
        ("1000000 stitches or 2 years", Fraction(250, 3)),
        ("12 months", None),
    ],
)
def test_a_limit_of_use_turns_into_hours_at_the_machine(words: str, hours: Fraction | None) -> None:
    assert read_interval(words).step(1).limit_hours(SPEED) == hours


# --- what it comes to
# -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "share", "factor", "ticks"),
    [
        # the limit counts, not the aim
        ("8-10 hours or 3 months", "1", "1", 10 * HOUR),
        # a point that moves in a part of the time lasts longer
        ("10 hours or 3 months", "0.05", "1", 200 * HOUR),
        ("9 hours or 3 months", "0.3", "1", 30 * HOUR),
        # a condition shortens
        ("10 hours or 3 months", "1", "0.5", 5 * HOUR),
        ("10 hours or 3 months", "0.05", "0.25", 50 * HOUR),
        # 36,792,000 x 13 / 11 = 43,481,454.5...; floored
        ("1 hour or 3 months", "11/13", "1", 43_481_454),
        ("1 stitch or 3 months", "1", "1", 3_066),
        # share 0, or no limit of use: none
        ("10 hours or 3 months", "0", "1", None),
        ("12 months", "1", "0.5", None),
    ],
)
def test_the_limit_of_use_is_limit_times_factor_over_share_floored_to_ticks(
    words: str, share: str, factor: str, ticks: int | None
) -> None:
    assert allowed(words, share=share, use=factor).use == ticks


@pytest.mark.parametrize(
    ("words", "factor", "months", "days"),
    [
        # no condition
        ("3 months", "1", 3, 0),
        ("2 years", "1", 24, 0),
        ("1 week", "1", None, 7),
        # whole months stay whole
        ("12 months", "0.5", 6, 0),
        # a part of a month counts 28ths, floored: 0.5 -> 14 days, 2.1 months -> 2 months and 2.8
        # days
        ("3 months", "0.5", 1, 14),
        ("3 months", "0.7", 2, 2),
        ("1 month", "0.25", 0, 7),
        ("1 month", "0.99", 0, 27),
        ("8 hours or 6 months", "0.75", 4, 14),
        # days are floored
        ("1 week", "0.5", None, 3),
        ("10 days", "0.75", None, 7),
    ],
)
def test_a_time_limit_is_its_whole_months_and_then_28ths(
    words: str, factor: str, months: int | None, days: int
) -> None:
    limit = allowed(words, time=factor)
    assert (limit.months, limit.days) == (months, days)


@pytest.mark.parametrize(
    ("words", "factor", "done", "due"),
    [
        ("3 months", "1", date(2026, 11, 30), date(2027, 2, 28)),
        ("10 days", "1", date(2026, 12, 25), date(2027, 1, 4)),
        # 2.1 months: two months to 31 March, then two days
        ("3 months", "0.7", date(2026, 1, 31), date(2026, 4, 2)),
        ("1 month", "0.5", date(2026, 1, 31), date(2026, 2, 14)),
        ("50 years", "1", date(9990, 1, 1), date.max),
    ],
)
def test_the_calendar_runs_from_the_day_of_the_work(
    words: str, factor: str, done: date, due: date
) -> None:
    assert allowed(words, time=factor).due_by_time(done) == due


def test_an_allowance_without_time_never_falls_due_by_the_calendar() -> None:
    assert Allowance(use=HOUR, months=None, days=None).due_by_time(date(2026, 1, 1)) is None


factors = st.integers(1, 100).map(lambda n: Fraction(n, 100))


@counted
@given(st.integers(1, 48), factors, factors, st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_a_harder_condition_never_moves_the_calendar_later(
    months: int, one: Fraction, other: Fraction, done: date
) -> None:
    gentle, hard = (
        allowed(f"{months} months", time=str(factor)).due_by_time(done)
        for factor in (max(one, other), min(one, other))
    )
    assert gentle is not None
    assert hard is not None
    assert done <= hard <= gentle


@counted
@given(st.integers(1, 1000), factors, factors)
def test_the_allowance_of_use_is_less_than_a_tick_below_the_exact_one(
    hours: int, factor: Fraction, share: Fraction
) -> None:
    use = allowed(f"{hours} hours or 1 year", share=str(share), use=str(factor)).use
    assert use is not None
    assert use <= hours * HOUR * factor / share < use + 1
