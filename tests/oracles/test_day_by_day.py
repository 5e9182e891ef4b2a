"""The day-by-day simulation gives what a few cases worked out by hand come to."""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from fractions import Fraction
from typing import Literal

import pytest

from tests.oracles.day_by_day import (
    DayByDay,
    Rate,
    Span,
    Statement,
    Total,
    add_months_plainly,
    due_by_time,
)

HOUR = 36_792_000
ONE = Fraction(1)
FAR = date(2400, 1, 1)

Per = Literal["day", "week", "month", "year"]


def said(
    day: date,
    rate: Rate | None = None,
    total: Total | None = None,
    reading: int | None = None,
    new_meter: bool = False,
    idle_months: AbstractSet[int] | None = None,
    weights: Sequence[int] | None = None,
    idle_spans: Sequence[Span] = (),
) -> Statement:
    return {
        "said": day,
        "rate": rate,
        "total": total,
        "reading": None if reading is None else Fraction(reading),
        "new_meter": new_meter,
        "idle_months": idle_months,
        "weights": weights,
        "idle_spans": idle_spans,
    }


def rate(low: int, high: int, per: Per) -> Rate:
    return {"low": Fraction(low), "high": Fraction(high), "per": per}


def total(low: int, high: int, since: date) -> Total:
    return {"low": Fraction(low), "high": Fraction(high), "since": since}


def seasons(**weights: int) -> tuple[int, ...]:
    """Weights by month, 0 for a month not named."""
    names = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
    return tuple(weights.get(name, 0) for name in names)


def hours(low: int, likely: int, high: int) -> tuple[int, int, int]:
    return low * HOUR, likely * HOUR, high * HOUR


# --- rates
# --------------------------------------------------------------------------------------------------


def test_six_hours_a_week_use_up_twelve_hours_in_fourteen_days() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(6, 6, "week"))])
    # 6 x 36,792,000 / 7 = 220,752,000 / 7 = 31,536,000 exactly.
    assert machine.ticks_on(date(2024, 3, 1)) == (31_536_000, 31_536_000, 31_536_000)
    # 14 x 31,536,000 = 441,504,000 = 12 x 36,792,000: after 14 days the limit is reached, not
    # exceeded.
    # 1 March + 14 days = 15 March.
    due = date(2024, 3, 15)
    assert machine.due_by_use(date(2024, 3, 1), Fraction(12), ONE, ONE, FAR) == (due, due, due)


def test_low_and_high_are_reckoned_apart_and_likely_is_their_geometric_mean() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(4, 9, "week"))])
    # 1 hour a week = 5,256,000 a day: low 4 x that = 21,024,000, high 9 x that = 47,304,000,
    # likely sqrt(4 x 9) = 6 x that = 31,536,000.
    assert machine.ticks_on(date(2024, 3, 1)) == (21_024_000, 31_536_000, 47_304_000)
    # 12 h = 84 x 5,256,000. High: 84 / 9 = 9.33, 9 days. Likely: 84 / 6 = 14 days. Low: 84 / 4 = 21
    # days.
    assert machine.due_by_use(date(2024, 3, 1), Fraction(12), ONE, ONE, FAR) == (
        date(2024, 3, 10),
        date(2024, 3, 15),
        date(2024, 3, 22),
    )


def test_likely_is_half_the_high_when_the_low_is_nothing() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(0, 12, "week"))])
    # High 12 x 5,256,000 = 63,072,000; half of it 31,536,000.
    assert machine.ticks_on(date(2024, 3, 1)) == (0, 31_536_000, 63_072_000)
    # 12 h = 84: high 84 / 12 = 7 days, likely 84 / 6 = 14 days, low never.
    assert machine.due_by_use(date(2024, 3, 1), Fraction(12), ONE, ONE, date(2030, 1, 1)) == (
        date(2024, 3, 8),
        date(2024, 3, 15),
        None,
    )


@pytest.mark.parametrize(
    ("per", "ticks"),
    [
        ("day", 36_792_000),
        ("week", 5_256_000),  # 36,792,000 / 7
        ("month", 1_209_600),  # 36,792,000 x 12 / 365 = 100,800 x 12
        ("year", 100_800),  # 36,792,000 / 365
    ],
)
def test_an_hour_a_period(per: Per, ticks: int) -> None:
    assert DayByDay([said(date(2024, 1, 1), rate=rate(1, 1, per))]).ticks_on(date(2024, 2, 1)) == (
        ticks,
        ticks,
        ticks,
    )


def test_the_latest_rate_holds_and_the_first_holds_backwards() -> None:
    machine = DayByDay(
        [
            said(date(2024, 1, 1), rate=rate(1, 1, "day")),
            said(date(2024, 2, 1), rate=rate(2, 2, "day")),
            said(date(2024, 2, 1), rate=rate(3, 3, "day")),
        ]
    )
    assert machine.ticks_on(date(2023, 12, 31)) == hours(1, 1, 1)  # before the first
    assert machine.ticks_on(date(2024, 1, 31)) == hours(1, 1, 1)
    # the later position of two on one day
    assert machine.ticks_on(date(2024, 2, 1)) == hours(3, 3, 3)
    # 30 January: 1, 31 January: 1, 1 February: 3; together 5.
    assert machine.used(date(2024, 1, 30), date(2024, 2, 2)) == hours(5, 5, 5)


def test_factor_and_share_move_the_limit() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(1, 1, "day"))])
    # 12 x 3/4 / (1/2) = 9 x 2 = 18 h, at 1 h a day 18 days: 1 March + 18 = 19 March.
    due = date(2024, 3, 19)
    assert machine.due_by_use(
        date(2024, 3, 1), Fraction(12), Fraction(3, 4), Fraction(1, 2), FAR
    ) == (due, due, due)


def test_a_day_after_the_last_day_is_given_as_none() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(6, 6, "week"))])
    # Due on 15 March, as above.
    done, due = date(2024, 3, 1), date(2024, 3, 15)
    assert machine.due_by_use(done, Fraction(12), ONE, ONE, date(2024, 3, 15)) == (due, due, due)
    assert machine.due_by_use(done, Fraction(12), ONE, ONE, date(2024, 3, 14)) == (None, None, None)


def test_no_use_is_known_without_a_use_statement() -> None:
    for statements in ([], [said(date(2024, 1, 1), reading=100, idle_months={1})]):
        machine = DayByDay(statements)
        assert machine.ticks_on(date(2024, 1, 1)) is None
        assert machine.used(date(2024, 1, 1), date(2024, 2, 1)) is None
        assert machine.used(date(2024, 1, 1), date(2024, 1, 1)) is None
        assert machine.due_by_use(date(2024, 1, 1), Fraction(12), ONE, ONE, FAR) is None


# --- rests
# --------------------------------------------------------------------------------------------------


def test_a_flat_stretch_runs_to_its_end() -> None:
    machine = DayByDay([said(date(2023, 1, 1), rate=rate(1, 1, "day"), idle_months={7, 8})])
    # 20 to 30 June are 11 days, so H(1 July) - H(20 June) = 11 h, and it stays 11 h to the start of
    # 1 September;
    # in the course of 1 September it becomes 12 h.
    due = date(2023, 9, 1)
    assert machine.due_by_use(date(2023, 6, 20), Fraction(11), ONE, ONE, FAR) == (due, due, due)
    # With 10 h: H(30 June) = 10 h, H(1 July) = 11 h.
    due = date(2023, 6, 30)
    assert machine.due_by_use(date(2023, 6, 20), Fraction(10), ONE, ONE, FAR) == (due, due, due)


def test_stays_and_dated_rests_of_a_later_statement_rest() -> None:
    statements = [
        said(date(2024, 1, 1), rate=rate(1, 1, "day")),
        said(date(2024, 6, 1), idle_spans=[(date(2024, 1, 7), date(2024, 1, 8))]),
    ]
    machine = DayByDay(statements, [(date(2024, 1, 3), date(2024, 1, 5))])
    # Use on 1, 2, 5, 6, 8 January; rest on 3, 4 (shop) and 7 (dated). H(7) = H(8) = 4 h, H(9) = 5
    # h.
    assert machine.used(date(2024, 1, 1), date(2024, 1, 9)) == hours(5, 5, 5)
    due = date(2024, 1, 8)
    assert machine.due_by_use(date(2024, 1, 1), Fraction(4), ONE, ONE, FAR) == (due, due, due)


def test_yearly_rests_in_force_are_the_latest_said_and_before_all_the_first() -> None:
    machine = DayByDay(
        [
            said(date(2022, 3, 1), rate=rate(1, 1, "day"), idle_months={1}),
            said(date(2023, 3, 1), idle_months={2}),
            said(date(2023, 3, 1), rate=rate(2, 2, "day")),  # says nothing about rests
            said(date(2024, 3, 1), idle_months=set()),
        ]
    )
    # Before 1 March 2022 what the first says: rest in January.
    assert machine.ticks_on(date(2022, 1, 31)) == hours(0, 0, 0)
    assert machine.ticks_on(date(2022, 2, 1)) == hours(1, 1, 1)
    # To 1 March 2023 still.
    assert machine.ticks_on(date(2023, 1, 31)) == hours(0, 0, 0)
    # From 1 March 2023 rest in February only.
    assert machine.ticks_on(date(2024, 1, 31)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2024, 2, 29)) == hours(0, 0, 0)
    # From 1 March 2024 no rests.
    assert machine.ticks_on(date(2025, 2, 1)) == hours(2, 2, 2)


def test_before_the_first_statement_nothing_said_is_no_rests() -> None:
    machine = DayByDay(
        [
            said(date(2023, 3, 1), rate=rate(1, 1, "day")),
            said(date(2023, 3, 1), idle_months={2}, weights=seasons(mar=1)),
        ]
    )
    # The first of the two on 1 March says nothing: no rests, weights all 1 before that day.
    assert machine.ticks_on(date(2023, 2, 28)) == hours(1, 1, 1)
    # From that day the second holds: rest in February; weight 1 in March of S = 31.
    assert machine.ticks_on(date(2024, 2, 28)) == hours(0, 0, 0)
    # 36,792,000 x 1 x 365 / 31 = 13,429,080,000 / 31; 31 x 433,196,129 = 13,429,079,999, 1 over:
    # 433,196,129.
    assert machine.ticks_on(date(2023, 3, 1)) == (433_196_129, 433_196_129, 433_196_129)


# --- seasons
# --------------------------------------------------------------------------------------------------


def test_season_weights_keep_the_average_of_the_year() -> None:
    weights = seasons(apr=1, may=1, jun=1, jul=1, aug=1, sep=1)
    machine = DayByDay([said(date(2022, 1, 1), rate=rate(1, 1, "day"), weights=weights)])
    # S = 30 + 31 + 30 + 31 + 31 + 30 = 183. 36,792,000 x 365 / 183 = 13,429,080,000 / 183;
    # 183 x 73,382,950 = 13,429,079,850, 150 over: 73,382,950 a day from April to September, nothing
    # else.
    assert machine.ticks_on(date(2023, 3, 31)) == (0, 0, 0)
    assert machine.ticks_on(date(2023, 4, 1)) == (73_382_950, 73_382_950, 73_382_950)
    # The year: the 365 h of the rate, less the 150 ticks over.
    year = 365 * HOUR - 150
    assert machine.used(date(2023, 1, 1), date(2024, 1, 1)) == (year, year, year)


def test_the_lengths_of_months_are_fixed_in_leap_years_too() -> None:
    machine = DayByDay([said(date(2022, 1, 1), rate=rate(1, 1, "day"), weights=seasons(feb=5))])
    # S = 5 x 28 = 140; 36,792,000 x 5 x 365 / 140 = 36,792,000 x 365 / 28 = 13,429,080,000 / 28 =
    # 479,610,000.
    day = 479_610_000
    assert machine.ticks_on(date(2024, 2, 29)) == (day, day, day)
    # 28 such days are 365 h; a leap year has one more.
    assert machine.used(date(2023, 1, 1), date(2024, 1, 1)) == hours(365, 365, 365)
    leap = 365 * HOUR + day
    assert machine.used(date(2024, 1, 1), date(2025, 1, 1)) == (leap, leap, leap)


def test_season_weights_in_force_are_the_latest_said_and_before_all_the_first() -> None:
    machine = DayByDay(
        [
            said(date(2023, 3, 10), rate=rate(1, 1, "day"), weights=seasons(feb=5)),
            said(date(2023, 6, 1), weights=(1,) * 12),
        ]
    )
    # Before 10 March 2023 already what the first says: 479,610,000 a day in February (as above),
    # nothing in March.
    assert machine.ticks_on(date(2023, 2, 1)) == (479_610_000, 479_610_000, 479_610_000)
    assert machine.ticks_on(date(2023, 3, 1)) == (0, 0, 0)
    # From 1 June all 1, which changes nothing.
    assert machine.ticks_on(date(2023, 5, 31)) == (0, 0, 0)
    assert machine.ticks_on(date(2023, 6, 1)) == hours(1, 1, 1)
    assert machine.ticks_on(date(2024, 2, 1)) == hours(1, 1, 1)


def test_a_total_is_spread_by_the_weights_of_when_it_was_said_its_mean_by_those_of_the_day() -> (
    None
):
    machine = DayByDay(
        [
            said(date(2022, 1, 1), weights=seasons(jan=5, feb=1)),
            said(
                date(2023, 2, 3),
                total=total(10, 10, date(2023, 1, 31)),
                weights=seasons(jan=1, feb=2),
            ),
            said(date(2023, 3, 1), weights=seasons(mar=4)),
        ]
    )
    # 31 January weighs 1, 1 and 2 February 2 each: W = 5. 10 x 1/5 = 2 h, 10 x 2/5 = 4 h.
    assert machine.ticks_on(date(2023, 1, 31)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 2, 1)) == hours(4, 4, 4)
    assert machine.ticks_on(date(2023, 2, 28)) == hours(4, 4, 4)
    # In March the new weight 4 over the old Wall 5, brought to one scale: S was 31 x 1 + 28 x 2 =
    # 87, is 31 x 4 = 124.
    # 10 x 4/5 x 87/124 = 174/31 h, x 36,792,000 = 206,509,935.48 ticks.
    assert machine.ticks_on(date(2023, 3, 1)) == (206_509_935, 206_509_935, 206_509_935)


# --- totals and readings
# --------------------------------------------------------------------------------------------------


def test_a_total_is_spread_over_its_days_that_do_not_rest_and_its_mean_goes_on() -> None:
    since, day = date(2023, 5, 2), date(2023, 9, 1)
    machine = DayByDay([said(day, total=total(120, 120, since), idle_months={7, 8})])
    # 2 to 31 May 30 days, June 30 days, July and August rest: 60 days, 120 / 60 = 2 h each.
    assert machine.ticks_on(date(2023, 5, 2)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 6, 30)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 7, 1)) == hours(0, 0, 0)
    assert machine.ticks_on(date(2023, 8, 31)) == hours(0, 0, 0)
    assert machine.used(since, day) == hours(120, 120, 120)
    # On from 1 September, and backwards before 2 May, at 2 h a day, resting in July.
    assert machine.ticks_on(date(2023, 9, 1)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 5, 1)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2024, 7, 15)) == hours(0, 0, 0)
    # 20 h at 2 h a day: 10 days.
    due = date(2023, 9, 11)
    assert machine.due_by_use(date(2023, 9, 1), Fraction(20), ONE, ONE, FAR) == (due, due, due)


def test_a_total_follows_the_season_weights() -> None:
    weights = seasons(jan=1, feb=2, mar=3)
    machine = DayByDay(
        [said(date(2023, 2, 3), total=total(10, 10, date(2023, 1, 31)), weights=weights)]
    )
    # 31 January weighs 1, 1 and 2 February 2 each: W = 5. 10 x 1/5 = 2 h, 10 x 2/5 = 4 h.
    assert machine.ticks_on(date(2023, 1, 31)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 2, 1)) == hours(4, 4, 4)
    assert machine.ticks_on(date(2023, 2, 2)) == hours(4, 4, 4)
    # The mean goes on: February 10 x 2/5 = 4 h, March 10 x 3/5 = 6 h, April nothing.
    assert machine.ticks_on(date(2023, 2, 3)) == hours(4, 4, 4)
    assert machine.ticks_on(date(2023, 3, 1)) == hours(6, 6, 6)
    assert machine.ticks_on(date(2023, 4, 1)) == hours(0, 0, 0)


def test_a_total_of_days_that_all_rest_is_spread_evenly_over_them() -> None:
    since, day = date(2023, 7, 1), date(2023, 9, 1)
    machine = DayByDay([said(day, total=total(62, 62, since), idle_months={7, 8})])
    # July and August 62 days, 1 h each.
    assert machine.ticks_on(date(2023, 7, 1)) == hours(1, 1, 1)
    assert machine.ticks_on(date(2023, 8, 31)) == hours(1, 1, 1)
    # The mean, 62 / 62 = 1 h, goes on but for the rests in force.
    assert machine.ticks_on(date(2023, 9, 1)) == hours(1, 1, 1)
    assert machine.ticks_on(date(2024, 7, 1)) == hours(0, 0, 0)


def test_a_total_said_later_takes_the_days_it_shares_with_an_older_total() -> None:
    machine = DayByDay(
        [
            said(date(2023, 2, 1), total=total(61, 94, date(2023, 1, 1))),
            said(date(2023, 2, 11), total=total(20, 80, date(2023, 1, 22))),
        ]
    )
    # The newer covers 22 January to 10 February, 20 days: low 20 / 20 = 1 h, high 80 / 20 = 4 h,
    # likely sqrt(4) = 2 h.
    assert machine.ticks_on(date(2023, 1, 22)) == hours(1, 2, 4)
    assert machine.ticks_on(date(2023, 2, 10)) == hours(1, 2, 4)
    # Shared: 22 to 31 January, 10 days, low 10 h and high 40 h. The older's own days: 1 to 21
    # January, 21 days,
    # low (61 - 40) / 21 = 1 h, high (94 - 10) / 21 = 84 / 21 = 4 h, likely 2 h.
    assert machine.ticks_on(date(2023, 1, 1)) == hours(1, 2, 4)
    assert machine.ticks_on(date(2023, 1, 21)) == hours(1, 2, 4)
    # From 11 February the newer's mean, 1 to 4 h.
    assert machine.ticks_on(date(2023, 2, 11)) == hours(1, 2, 4)
    # Before 1 January the mean of the older, the whole of it over its whole span of 31 days.
    # Low 61 x 36,792,000 = 2,244,312,000; 31 x 72,397,161 = 2,244,311,991, 9 over.
    # High 94 x 36,792,000 = 3,458,448,000; 31 x 111,562,838 = 3,458,447,978, 22 over.
    before = machine.ticks_on(date(2022, 12, 31))
    assert before is not None
    assert (before[0], before[2]) == (72_397_161, 111_562_838)


def test_an_older_total_is_never_left_with_less_than_nothing() -> None:
    machine = DayByDay(
        [
            said(date(2023, 2, 1), total=total(30, 52, date(2023, 1, 1))),
            said(date(2023, 2, 11), total=total(20, 80, date(2023, 1, 22))),
        ]
    )
    # As above, but low 30 - 40 is below 0: 0. High (52 - 10) / 21 = 42 / 21 = 2 h. Likely (0 + 2) /
    # 2 = 1 h.
    assert machine.ticks_on(date(2023, 1, 10)) == hours(0, 1, 2)


def test_a_pair_of_readings_inside_a_total() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 11), reading=100),
            said(date(2023, 1, 31), reading=160),
            said(date(2023, 3, 2), total=total(120, 120, date(2023, 1, 1))),
        ]
    )
    # The pair: 60 h over 11 to 30 January, 20 days, 3 h each.
    assert machine.ticks_on(date(2023, 1, 11)) == hours(3, 3, 3)
    assert machine.ticks_on(date(2023, 1, 30)) == hours(3, 3, 3)
    # The total: 1 January to 1 March, 31 + 28 + 1 = 60 days, 40 of them its own: (120 - 60) / 40 =
    # 1.5 h each
    # = 36,792,000 + 18,396,000 = 55,188,000.
    assert machine.ticks_on(date(2023, 1, 10)) == (55_188_000, 55_188_000, 55_188_000)
    assert machine.ticks_on(date(2023, 1, 31)) == (55_188_000, 55_188_000, 55_188_000)
    assert machine.ticks_on(date(2023, 3, 1)) == (55_188_000, 55_188_000, 55_188_000)
    assert machine.used(date(2023, 1, 1), date(2023, 3, 2)) == hours(120, 120, 120)
    # From 2 March the total's mean, 120 / 60 = 2 h. Before 1 January the pair's mean, 3 h: it is
    # the first to hold,
    # from 31 January; the lone reading of 11 January is no use statement.
    assert machine.ticks_on(date(2023, 3, 2)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2022, 12, 31)) == hours(3, 3, 3)


def test_a_new_meter_makes_no_pair_with_the_old_one() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 1), reading=100),
            said(date(2023, 1, 11), reading=110),
            said(date(2023, 1, 21), reading=5, new_meter=True),
            said(date(2023, 1, 31), reading=45),
        ]
    )
    # 110 - 100 = 10 h in 10 days, 1 h a day; nothing between the meters, so the first mean goes on;
    # then 45 - 5 = 40 h in 10 days, 4 h a day, and on.
    assert machine.ticks_on(date(2023, 1, 10)) == hours(1, 1, 1)
    assert machine.ticks_on(date(2023, 1, 20)) == hours(1, 1, 1)
    assert machine.ticks_on(date(2023, 1, 21)) == hours(4, 4, 4)
    assert machine.ticks_on(date(2023, 1, 31)) == hours(4, 4, 4)


def test_a_rate_said_with_a_total_holds_forwards_and_the_mean_backwards() -> None:
    machine = DayByDay(
        [said(date(2023, 1, 11), rate=rate(5, 5, "day"), total=total(20, 20, date(2023, 1, 1)))]
    )
    # 20 h in 10 days: 2 h a day over the total and before it; from 11 January 5 h.
    assert machine.ticks_on(date(2022, 12, 31)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 1, 10)) == hours(2, 2, 2)
    assert machine.ticks_on(date(2023, 1, 11)) == hours(5, 5, 5)


def test_a_total_keeps_the_rests_and_weights_in_force_when_it_was_said() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 1), rate=rate(9, 9, "day"), idle_months={2}),
            said(date(2023, 3, 3), total=total(62, 62, date(2023, 1, 31)), idle_months={1}),
        ]
    )
    # On 3 March the rest in force is January, for all the total's days: 31 January rests though
    # January was no rest
    # that day, and February does not: 28 + 2 = 30 days. 62 x 36,792,000 = 2,281,104,000; / 30 =
    # 76,036,800.
    assert machine.ticks_on(date(2023, 1, 30)) == hours(9, 9, 9)
    assert machine.ticks_on(date(2023, 1, 31)) == hours(0, 0, 0)
    assert machine.ticks_on(date(2023, 2, 1)) == (76_036_800, 76_036_800, 76_036_800)


def test_a_pair_comes_before_a_total_said_with_it() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 6), reading=0),
            said(date(2023, 1, 11), reading=15, total=total(20, 20, date(2023, 1, 1))),
        ]
    )
    # The pair: 15 h over 6 to 10 January, 3 h a day. The total: (20 - 15) / 5 = 1 h on 1 to 5
    # January.
    assert machine.ticks_on(date(2023, 1, 5)) == hours(1, 1, 1)
    assert machine.ticks_on(date(2023, 1, 6)) == hours(3, 3, 3)
    # The pair's mean both ways, 3 h, not the total's 20 / 10 = 2 h.
    assert machine.ticks_on(date(2023, 1, 11)) == hours(3, 3, 3)
    assert machine.ticks_on(date(2022, 12, 31)) == hours(3, 3, 3)


# --- time
# --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2023, 1, 31), 1, date(2023, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2023, 8, 31), 6, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2023, 3, 31), 1, date(2023, 4, 30)),
        (date(2023, 2, 28), 1, date(2023, 3, 28)),
        (date(2023, 12, 15), 1, date(2024, 1, 15)),
        (date(2023, 11, 30), 13, date(2024, 12, 30)),
        (date(2023, 5, 31), 0, date(2023, 5, 31)),
    ],
)
def test_month_ends(day: date, months: int, expected: date) -> None:
    assert add_months_plainly(day, months) == expected
    assert due_by_time(day, months, 0, ONE) == expected


@pytest.mark.parametrize(
    ("months", "days", "factor", "expected"),
    [
        # From 31 January 2023. 10 days: 10 February.
        (0, 10, ONE, date(2023, 2, 10)),
        # 1 month to 28 February, and 1 day: 1 March.
        (1, 1, ONE, date(2023, 3, 1)),
        # 6 x 3/4 = 4.5: 4 months to 31 May, 28 x 1/2 = 14 days: 14 June.
        (6, 0, Fraction(3, 4), date(2023, 6, 14)),
        # 1 x 2/3: no whole month, 28 x 2/3 = 18.67, 18 days: 18 February.
        (1, 0, Fraction(2, 3), date(2023, 2, 18)),
        # 10 x 3/4 = 7.5, 7 days: 7 February.
        (0, 10, Fraction(3, 4), date(2023, 2, 7)),
        # 2 x 3/4 = 1.5: 28 February, 14 days to 14 March; 10 x 3/4 = 7.5, 7 days: 21 March.
        (2, 10, Fraction(3, 4), date(2023, 3, 21)),
    ],
)
def test_due_by_time(months: int, days: int, factor: Fraction, expected: date) -> None:
    assert due_by_time(date(2023, 1, 31), months, days, factor) == expected
