"""The day-by-day simulation gives what a few cases worked out by hand come to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from fractions import Fraction

import pytest

from tests.oracles.day_by_day import (
    HOUR,
    DayByDay,
    Period,
    Rate,
    Span,
    Statement,
    Total,
    add_months_plainly,
    due_by_time,
)

ONE = Fraction(1)
FAR = date(2400, 1, 1)


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


def rate(low: float, high: float, per: Period) -> Rate:
    return {"low": Fraction(low), "high": Fraction(high), "per": per}


def total(low: int, high: int, since: date) -> Total:
    return {"low": Fraction(low), "high": Fraction(high), "since": since}


def seasons(**weights: int) -> tuple[int, ...]:
    """Weights by month, 0 for a month not named."""
    names = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
    return tuple(weights.get(name, 0) for name in names)


def ends(machine: DayByDay, day: date) -> tuple[float, float] | None:
    """The low and the high hours of a day."""
    ticks = machine.ticks_on(day)
    return None if ticks is None else (ticks.low / HOUR, ticks.high / HOUR)


def certain(machine: DayByDay, day: date) -> int:
    """The ticks of a day of which no range was told."""
    ticks = machine.ticks_on(day)
    assert ticks is not None
    assert len(set(ticks)) == 1
    return ticks.high


def limit(allowed: int) -> Callable[[date], int]:
    return lambda day: allowed * HOUR


def due(machine: DayByDay, done: date, allowed: int, last_day: date = FAR) -> list[date | None]:
    """The last days in time at low, likely, careful and high use."""
    found = machine.due_by_use(done, limit(allowed), last_day)
    assert found is not None
    low, _, likely, careful, high = found
    return [low, likely, careful, high]


# --- rates


def test_six_hours_a_week_use_up_twelve_hours_in_fourteen_days() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(6, 6, "week"))])
    # 6 x 36,792,000 / 7 = 220,752,000 / 7 = 31,536,000 exactly.
    assert certain(machine, date(2024, 3, 1)) == 31_536_000
    # 14 x 31,536,000 = 441,504,000 = 12 x 36,792,000: after 14 days the limit is reached, not
    # exceeded. 1 March + 14 days = 15 March.
    assert due(machine, date(2024, 3, 1), 12) == [date(2024, 3, 15)] * 4


def test_likely_and_careful_are_geometric_means() -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(4, 9, "week"))])
    # 1 hour a week = 5,256,000 a day. Low 4 x that = 21,024,000, high 9 x that = 47,304,000, likely
    # sqrt(4 x 9) = 6 x that = 31,536,000, careful sqrt(6 x 9) = 7.348469 x that = 38,623,554.
    ticks = machine.ticks_on(date(2024, 3, 1))
    assert ticks == (21_024_000, 21_024_000, 31_536_000, 38_623_554, 47_304_000)
    # 12 h = 84 x 5,256,000. High: 84 / 9 = 9.33, 9 days; careful 84 / 7.348 = 11.43, 11 days;
    # likely 14 days; low 21 days.
    days = [date(2024, 3, 1) + timedelta(days=each) for each in (21, 14, 11, 9)]
    assert due(machine, date(2024, 3, 1), 12) == days


def test_a_low_end_below_a_tenth_of_the_high_one_is_a_tenth_for_likely_but_not_for_low() -> None:
    # 0, 0.1 and 1 to 10 hours a week: likely sqrt(1 x 10) = 3.1623 x 5,256,000 = 16,620,931
    for low in (0, 0.1, 1):
        machine = DayByDay([said(date(2024, 1, 1), rate=rate(low, 10, "week"))])
        ticks = machine.ticks_on(date(2024, 3, 1))
        assert ticks is not None
        assert (ticks.least, ticks.likely) == (5_256_000, 16_620_931)
        assert ticks.low == low * 5_256_000
    assert (
        due(
            DayByDay([said(date(2024, 1, 1), rate=rate(0, 10, "week"))]),
            date(2024, 3, 1),
            12,
            date(2030, 1, 1),
        )[0]
        is None
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
def test_an_hour_a_period(per: Period, ticks: int) -> None:
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(1, 1, per))])
    assert certain(machine, date(2024, 2, 1)) == ticks


def test_the_latest_rate_holds_and_the_first_holds_backwards_assumed() -> None:
    machine = DayByDay(
        [
            said(date(2024, 1, 1), rate=rate(1, 1, "day")),
            said(date(2024, 2, 1), rate=rate(2, 2, "day")),
            said(date(2024, 2, 1), rate=rate(3, 3, "day")),
        ]
    )
    assert certain(machine, date(2023, 12, 31)) == HOUR
    assert machine.is_assumed(date(2023, 12, 31))
    assert certain(machine, date(2024, 1, 31)) == HOUR
    assert not machine.is_assumed(date(2024, 1, 1))
    # the later position of two on one day
    assert certain(machine, date(2024, 2, 1)) == 3 * HOUR


def test_hours_a_year_contain_the_rests_in_force_when_they_were_said() -> None:
    # 200 hours a year; idle January to June (181 days): 200 / 184 days from July to December
    machine = DayByDay(
        [
            said(date(2024, 1, 1), rate=rate(200, 200, "year"), idle_months={1, 2, 3, 4, 5, 6}),
            said(date(2026, 1, 1), idle_months={12}),
        ]
    )
    assert certain(machine, date(2024, 6, 30)) == 0
    # 200 x 100,800 = 20,160,000 a day of 365; x 365 / 184 = 39,991,304.3
    assert certain(machine, date(2024, 7, 1)) == 39_991_304
    # the rests may change, the rate stays as it was said
    assert certain(machine, date(2026, 1, 1)) == 39_991_304
    assert certain(machine, date(2026, 12, 1)) == 0
    # the same a week is a mean of the whole year
    weekly = DayByDay([said(date(2024, 1, 1), rate=rate(7, 7, "week"), idle_months={1, 2})])
    assert certain(weekly, date(2024, 3, 1)) == HOUR


def test_hours_a_year_follow_the_seasons_of_their_active_months() -> None:
    # idle but in November (30 days, weight 1) and December (31, weight 2): 30 + 62 = 92
    machine = DayByDay(
        [
            said(
                date(2024, 1, 1),
                rate=rate(92, 92, "year"),
                idle_months=set(range(1, 11)),
                weights=(1,) * 11 + (2,),
            )
        ]
    )
    # 92 x 100,800 = 9,273,600; x 365 / 92 = 36,792,000
    assert certain(machine, date(2024, 11, 1)) == HOUR
    assert certain(machine, date(2024, 12, 1)) == 2 * HOUR


def test_hours_a_year_without_an_active_day_are_none() -> None:
    machine = DayByDay(
        [said(date(2024, 1, 1), rate=rate(92, 92, "year"), idle_months=set(range(1, 13)))]
    )
    assert certain(machine, date(2024, 11, 1)) == 0


def test_no_use_is_known_without_a_use_statement() -> None:
    for statements in ([], [said(date(2024, 1, 1), reading=100, idle_months={1})]):
        machine = DayByDay(statements)
        assert machine.ticks_on(date(2024, 1, 1)) is None
        assert machine.used(date(2024, 1, 1), date(2024, 2, 1)) is None
        assert machine.due_by_use(date(2024, 1, 1), limit(12), FAR) is None


# --- rests and seasons


def test_a_flat_stretch_runs_to_its_end() -> None:
    machine = DayByDay([said(date(2023, 1, 1), rate=rate(1, 1, "day"), idle_months={7, 8})])
    # 20 to 30 June are 11 days, so H(1 July) - H(20 June) = 11 h, and it stays 11 h to the start of
    # 1 September; in the course of 1 September it becomes 12 h.
    assert due(machine, date(2023, 6, 20), 11) == [date(2023, 9, 1)] * 4
    # With 10 h: H(30 June) = 10 h, H(1 July) = 11 h.
    assert due(machine, date(2023, 6, 20), 10) == [date(2023, 6, 30)] * 4


def test_stays_and_dated_rests_of_a_later_statement_rest() -> None:
    statements = [
        said(date(2024, 1, 1), rate=rate(1, 1, "day")),
        said(date(2024, 6, 1), idle_spans=[(date(2024, 1, 7), date(2024, 1, 8))]),
    ]
    machine = DayByDay(statements, [(date(2024, 1, 3), date(2024, 1, 5))])
    # Use on 1, 2, 5, 6, 8 January; rest on 3, 4 (shop) and 7 (dated): H(7) = H(8) = 4, H(9) = 5 h.
    assert machine.used(date(2024, 1, 1), date(2024, 1, 9)) == (5 * HOUR,) * 5
    assert due(machine, date(2024, 1, 1), 4) == [date(2024, 1, 8)] * 4


def test_yearly_rests_in_force_are_the_latest_said() -> None:
    machine = DayByDay(
        [
            said(date(2022, 3, 1), rate=rate(1, 1, "day"), idle_months={1}),
            said(date(2023, 3, 1), idle_months={2}),
            said(date(2023, 3, 1), rate=rate(2, 2, "day")),  # says nothing about rests
            said(date(2024, 3, 1), idle_months=set()),
        ]
    )
    # Before 1 March 2022 what is said of them first, with the first hours: rest in January.
    assert certain(machine, date(2022, 1, 31)) == 0
    assert certain(machine, date(2022, 2, 1)) == HOUR
    # To 1 March 2023 still.
    assert certain(machine, date(2023, 1, 31)) == 0
    # From 1 March 2023 rest in February only.
    assert certain(machine, date(2024, 1, 31)) == 2 * HOUR
    assert certain(machine, date(2024, 2, 29)) == 0
    # From 1 March 2024 no rests.
    assert certain(machine, date(2025, 2, 1)) == 2 * HOUR


def test_rests_and_seasons_go_backwards_though_something_else_was_said_before_them() -> None:
    # Served 2025-07-01, told on 2026-06-01 "7 hours a week; busy Jul-Aug x3; idle Nov". Before: a
    # report of 2025-12-01 that says only "oils it" switched off the seasons backwards, due 27 days
    # later (2026-01-17 instead of 2025-12-21).
    weights = (1, 1, 1, 1, 1, 1, 3, 3, 1, 1, 1, 1)
    hours = said(date(2026, 6, 1), rate=rate(7, 7, "week"), weights=weights, idle_months={11})
    alone = DayByDay([hours])
    after = DayByDay([said(date(2025, 12, 1)), hours])
    meter = DayByDay([said(date(2025, 12, 1), reading=74), hours])
    # S = 365 + 2 x 62 = 489: 36,792,000 x 3 x 365 / 489 = 82,386,993.9
    for machine in (alone, after, meter):
        assert certain(machine, date(2025, 7, 1)) == 82_386_993
        assert certain(machine, date(2025, 11, 1)) == 0
    # but not where the first hours were said without them
    earlier = DayByDay([said(date(2025, 12, 1), rate=rate(7, 7, "week")), hours])
    assert certain(earlier, date(2025, 7, 1)) == HOUR
    assert certain(earlier, date(2025, 11, 1)) == HOUR


def test_season_weights_keep_the_average_of_the_year() -> None:
    weights = seasons(apr=1, may=1, jun=1, jul=1, aug=1, sep=1)
    machine = DayByDay([said(date(2022, 1, 1), rate=rate(1, 1, "day"), weights=weights)])
    # S = 30 + 31 + 30 + 31 + 31 + 30 = 183. 36,792,000 x 365 / 183 = 13,429,080,000 / 183;
    # 183 x 73,382,950 = 13,429,079,850, 150 over: 73,382,950 a day from April to September, nothing
    # else.
    assert certain(machine, date(2023, 3, 31)) == 0
    assert certain(machine, date(2023, 4, 1)) == 73_382_950
    # The year: the 365 h of the rate, less the 150 ticks over.
    assert machine.used(date(2023, 1, 1), date(2024, 1, 1)) == (365 * HOUR - 150,) * 5


def test_the_lengths_of_months_are_fixed_in_leap_years_too() -> None:
    machine = DayByDay([said(date(2022, 1, 1), rate=rate(1, 1, "day"), weights=seasons(feb=5))])
    # S = 5 x 28 = 140; 36,792,000 x 5 x 365 / 140 = 13,429,080,000 / 28 = 479,610,000.
    assert certain(machine, date(2024, 2, 29)) == 479_610_000
    # 28 such days are 365 h; a leap year has one more.
    leap = 365 * HOUR + 479_610_000
    assert machine.used(date(2023, 1, 1), date(2024, 1, 1)) == (365 * HOUR,) * 5
    assert machine.used(date(2024, 1, 1), date(2025, 1, 1)) == (leap,) * 5


# --- totals and readings


def test_a_total_is_spread_over_its_days_that_do_not_rest_and_its_mean_goes_on() -> None:
    since, day = date(2023, 5, 2), date(2023, 9, 1)
    machine = DayByDay([said(day, total=total(120, 120, since), idle_months={7, 8})])
    # 2 to 31 May 30 days, June 30 days, July and August rest: 60 days, 120 / 60 = 2 h each.
    assert certain(machine, date(2023, 5, 2)) == 2 * HOUR
    assert certain(machine, date(2023, 6, 30)) == 2 * HOUR
    assert certain(machine, date(2023, 7, 1)) == 0
    assert machine.used(since, day) == (120 * HOUR,) * 5
    # On from 1 September, and backwards before 2 May, at 2 h a day, resting in July.
    assert certain(machine, date(2023, 9, 1)) == 2 * HOUR
    assert not machine.is_assumed(date(2023, 9, 1))
    assert certain(machine, date(2023, 5, 1)) == 2 * HOUR
    assert machine.is_assumed(date(2023, 5, 1))
    assert certain(machine, date(2024, 7, 15)) == 0


def test_a_total_follows_the_season_weights_of_when_it_was_said() -> None:
    machine = DayByDay(
        [
            said(date(2022, 1, 1), weights=seasons(jan=5, feb=1)),
            said(
                date(2023, 3, 1),
                total=total(93, 93, date(2023, 1, 31)),
                weights=seasons(jan=1, feb=2),
            ),
            said(date(2023, 4, 1), weights=seasons(apr=4)),
        ]
    )
    # 31 January weighs 1, 28 days of February 2 each: W = 57. 93 / 57 h, twice that in February:
    # 93 x 36,792,000 / 57 = 60,029,052.6; x 2 = 120,058,105.2
    assert certain(machine, date(2023, 1, 31)) == 60_029_052
    assert certain(machine, date(2023, 2, 1)) == 120_058_105
    assert certain(machine, date(2024, 2, 1)) == 0
    # 29 active days go on. In April the new weight 4 over the old Wall 57, brought to one scale: S
    # was 31 + 2 x 28 = 87, is 4 x 30 = 120. 93 x 4/57 x 87/120 h = 174,084,252.6 ticks.
    assert certain(machine, date(2023, 4, 1)) == 174_084_252


def test_a_total_of_days_that_all_rest_is_spread_evenly_and_never_goes_on() -> None:
    since, day = date(2023, 7, 1), date(2023, 9, 1)
    resting = said(day, total=total(62, 62, since), idle_months={7, 8})
    # over no active day: no report, where nothing else was told
    assert DayByDay([resting]).ticks_on(date(2023, 7, 1)) is None
    machine = DayByDay([said(date(2023, 1, 1), rate=rate(3, 3, "day")), resting])
    # July and August 62 days, 1 h each; then the rate
    assert certain(machine, date(2023, 7, 1)) == HOUR
    assert certain(machine, date(2023, 8, 31)) == HOUR
    assert certain(machine, date(2023, 9, 1)) == 3 * HOUR
    assert certain(machine, date(2024, 7, 1)) == 0


def test_nothing_since_a_day_covers_those_days_and_never_goes_on() -> None:
    # 5 hours a week known, "nothing since May" told on 2026-11-20. Before: no use ever again, next
    # service 2027-11-24 on a head just freed.
    machine = DayByDay(
        [
            said(date(2026, 1, 1), rate=rate(7, 7, "week")),
            said(date(2026, 11, 20), total=total(0, 0, date(2026, 5, 1))),
        ]
    )
    assert certain(machine, date(2026, 4, 30)) == HOUR
    assert certain(machine, date(2026, 5, 1)) == 0
    assert certain(machine, date(2026, 11, 19)) == 0
    assert certain(machine, date(2026, 11, 20)) == HOUR
    # as all that was ever told: no report
    alone = DayByDay([said(date(2026, 11, 20), total=total(0, 0, date(2026, 5, 1)))])
    assert alone.ticks_on(date(2026, 6, 1)) is None


def test_two_readings_close_together_fix_their_own_days_only() -> None:
    # 100 h on 1 January, 220 h on 1 May (120 days, 1 h a day), 224 h on 2 May. Before: 28 h a week
    # for ever, from a day of 4 hours.
    machine = DayByDay(
        [
            said(date(2026, 1, 1), reading=100),
            said(date(2026, 5, 1), reading=220),
            said(date(2026, 5, 2), reading=224),
        ]
    )
    assert certain(machine, date(2026, 4, 30)) == HOUR
    assert certain(machine, date(2026, 5, 1)) == 4 * HOUR
    # newest first until they span 28 active days: 1 + 120 days, 124 h: 1.024793 h a day
    assert certain(machine, date(2026, 5, 2)) == 124 * HOUR // 121
    assert not machine.is_assumed(date(2026, 5, 2))


def test_readings_that_enclose_a_stay_do_not_end_the_rate_before_them() -> None:
    # 20 h a week; 570 h at check-in 2026-03-01 and again at hand-back 2026-03-11. Before: no
    # sewing for ever, next service 2027-03-10 instead of 2026-05-19.
    stay = (date(2026, 3, 1), date(2026, 3, 12))
    machine = DayByDay(
        [
            said(date(2026, 1, 1), rate=rate(21, 21, "week")),
            said(date(2026, 3, 1), reading=570),
            said(date(2026, 3, 11), reading=570),
        ],
        [stay],
    )
    assert certain(machine, date(2026, 3, 12)) == 3 * HOUR
    assert not machine.is_assumed(date(2026, 3, 12))


def test_a_mean_goes_back_to_the_last_rate_and_no_further() -> None:
    machine = DayByDay(
        [
            said(date(2026, 1, 1), reading=0),
            said(date(2026, 3, 1), reading=59),  # 59 days, 1 h a day
            said(date(2026, 3, 2), rate=rate(5, 5, "day")),
            said(date(2026, 3, 11), reading=79),  # 10 days, 2 h a day
        ]
    )
    assert certain(machine, date(2026, 3, 1)) == 2 * HOUR
    # 10 active days since the rate are too few: the rate
    assert certain(machine, date(2026, 3, 11)) == 5 * HOUR


def test_a_short_total_is_spread_and_then_what_else_was_told_holds() -> None:
    # "6 hours since 2026-11-24" on 2026-11-25, all there is: assumed, 42 h a week
    short = said(date(2026, 11, 25), total=total(6, 6, date(2026, 11, 24)))
    alone = DayByDay([short])
    assert certain(alone, date(2026, 12, 24)) == 6 * HOUR
    assert alone.is_assumed(date(2026, 12, 24))
    # a rate told later is assumed for the days between
    later = DayByDay([short, said(date(2026, 12, 25), rate=rate(7, 7, "week"))])
    assert certain(later, date(2026, 11, 24)) == 6 * HOUR
    assert certain(later, date(2026, 12, 24)) == HOUR
    assert later.is_assumed(date(2026, 12, 24))
    assert certain(later, date(2026, 6, 1)) == HOUR


def test_a_total_said_later_takes_the_days_it_shares_with_an_older_total() -> None:
    machine = DayByDay(
        [
            said(date(2023, 2, 1), total=total(61, 94, date(2023, 1, 1))),
            said(date(2023, 2, 11), total=total(20, 80, date(2023, 1, 22))),
        ]
    )
    # The newer covers 22 January to 10 February, 20 days: 1 to 4 h.
    assert ends(machine, date(2023, 1, 22)) == (1, 4)
    # Shared: 22 to 31 January, 10 days, low 10 h and high 40 h. The older's own days: 1 to 21
    # January, 21 days: low (61 - 40) / 21 = 1 h, high (94 - 10) / 21 = 4 h, but by itself it gives
    # 61 / 31 = 1.97 to 94 / 31 = 3.03 h a day, so no more than that.
    assert ends(machine, date(2023, 1, 1)) == (1, (94 * HOUR // 31) / HOUR)
    # 84 - 21 x 3.0323 = 20.32 h are dropped
    [dropped] = machine.dropped.values()
    assert dropped / HOUR == pytest.approx(84 - 21 * 94 / 31)


def test_an_earlier_total_that_does_not_fit_is_corrected() -> None:
    # "700 hours since 2026-01-01" on 2026-06-01, "5 hours since 2026-01-03" on 2026-07-01. Before:
    # 347.919 hours on each of the first two days of the year.
    machine = DayByDay(
        [
            said(date(2026, 6, 1), total=total(700, 700, date(2026, 1, 1))),
            said(date(2026, 7, 1), total=total(5, 5, date(2026, 1, 3))),
        ]
    )
    # 700 h in 151 days: 4.6358 h a day
    assert certain(machine, date(2026, 1, 2)) == 700 * HOUR // 151
    assert [each / HOUR for each in machine.dropped.values()] == [pytest.approx(686.57, abs=0.01)]


def test_an_older_total_is_never_left_with_less_than_nothing() -> None:
    machine = DayByDay(
        [
            said(date(2023, 2, 1), total=total(30, 52, date(2023, 1, 1))),
            said(date(2023, 2, 11), total=total(20, 80, date(2023, 1, 22))),
        ]
    )
    # As above, but low 30 - 40 is below 0: 0. High (52 - 10) / 21 = 2 h, by itself 52 / 31 = 1.68.
    assert ends(machine, date(2023, 1, 10)) == (0, (52 * HOUR // 31) / HOUR)


def test_a_pair_of_readings_inside_a_total() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 11), reading=100),
            said(date(2023, 1, 31), reading=160),
            said(date(2023, 3, 2), total=total(120, 120, date(2023, 1, 1))),
        ]
    )
    # The pair: 60 h over 11 to 30 January, 20 days, 3 h each.
    assert certain(machine, date(2023, 1, 11)) == 3 * HOUR
    # The total: 1 January to 1 March, 60 days, 40 of them its own: (120 - 60) / 40 = 1.5 h each.
    assert certain(machine, date(2023, 1, 10)) == 55_188_000
    assert machine.used(date(2023, 1, 1), date(2023, 3, 2)) == (120 * HOUR,) * 5
    # The pair spans 20 active days only; the total's mean, 120 / 60 = 2 h, goes on, and backwards.
    assert certain(machine, date(2023, 3, 2)) == 2 * HOUR
    assert certain(machine, date(2022, 12, 31)) == 2 * HOUR


def test_a_new_meter_makes_no_pair_with_the_old_one() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 1), reading=100),
            said(date(2023, 2, 1), reading=131),
            said(date(2023, 2, 11), reading=5, new_meter=True),
            said(date(2023, 3, 13), reading=125),
        ]
    )
    # 31 h in 31 days, 1 h a day; nothing between the meters, so that mean goes on; then 120 h in 30
    # days, 4 h a day, and on.
    assert certain(machine, date(2023, 1, 10)) == HOUR
    assert certain(machine, date(2023, 2, 10)) == HOUR
    assert certain(machine, date(2023, 2, 11)) == 4 * HOUR
    assert certain(machine, date(2023, 3, 13)) == 4 * HOUR


def test_a_rate_said_with_a_total_holds_forwards_and_the_mean_backwards() -> None:
    machine = DayByDay(
        [said(date(2023, 2, 11), rate=rate(5, 5, "day"), total=total(80, 80, date(2023, 1, 2)))]
    )
    # 80 h in 40 days: 2 h a day over the total and before it; from 11 February 5 h.
    assert certain(machine, date(2022, 12, 31)) == 2 * HOUR
    assert certain(machine, date(2023, 2, 10)) == 2 * HOUR
    assert certain(machine, date(2023, 2, 11)) == 5 * HOUR


def test_a_total_keeps_the_rests_and_weights_in_force_when_it_was_said() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 1), rate=rate(9, 9, "day"), idle_months={2}),
            said(date(2023, 3, 3), total=total(62, 62, date(2023, 1, 31)), idle_months={1}),
        ]
    )
    # On 3 March the rest in force is January, for all the total's days: 31 January rests though
    # January was no rest that day, and February does not: 28 + 2 = 30 days. 62 h / 30 = 76,036,800.
    assert certain(machine, date(2023, 1, 30)) == 9 * HOUR
    assert certain(machine, date(2023, 1, 31)) == 0
    assert certain(machine, date(2023, 2, 1)) == 76_036_800


def test_a_pair_comes_before_a_total_said_with_it() -> None:
    machine = DayByDay(
        [
            said(date(2023, 1, 6), reading=0),
            said(date(2023, 2, 5), reading=30, total=total(60, 60, date(2023, 1, 1))),
        ]
    )
    # The pair: 30 h over 30 days, 1 h a day. The total: (60 - 30) / 5 = 6 h on 1 to 5 January, but
    # by itself 60 / 35 a day.
    assert certain(machine, date(2023, 1, 6)) == HOUR
    assert certain(machine, date(2023, 1, 5)) == 60 * HOUR // 35
    # The pair's mean both ways, 1 h, not the total's.
    assert certain(machine, date(2023, 2, 5)) == HOUR
    assert certain(machine, date(2022, 12, 31)) == HOUR


# --- limits that change


def test_each_stretch_uses_up_its_share_of_the_limit_that_holds_in_it() -> None:
    # An hour a day, 10 hours, from the 9th day on 5: 8 days are 8/10, of the rest 1/5 is one day
    machine = DayByDay([said(date(2024, 1, 1), rate=rate(1, 1, "day"))])
    change = date(2024, 3, 9)

    def halved(day: date) -> int:
        return (5 if day >= change else 10) * HOUR

    assert machine.due_by_use(date(2024, 3, 1), halved, FAR) == (date(2024, 3, 10),) * 5
    assert machine.used_up(date(2024, 3, 1), halved, date(2024, 3, 11)) == (Fraction(6, 5),) * 5
    # no limit while it does not run
    assert (
        machine.due_by_use(date(2024, 3, 1), lambda day: None if day < change else 5 * HOUR, FAR)
        == (date(2024, 3, 14),) * 5
    )


# --- time


def at(factor: Fraction) -> Callable[[date], Fraction]:
    return lambda day: factor


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
    ],
)
def test_month_ends(day: date, months: int, expected: date) -> None:
    assert add_months_plainly(day, months) == expected
    assert due_by_time(day, months, 0, at(ONE)) == expected


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
        # 1 day x 1/2 is no day, but a day at least
        (0, 1, Fraction(1, 2), date(2023, 2, 1)),
    ],
)
def test_due_by_time(months: int, days: int, factor: Fraction, expected: date) -> None:
    assert due_by_time(date(2023, 1, 31), months, days, at(factor)) == expected


def test_a_condition_noted_today_leaves_the_days_before_it_as_they_were() -> None:
    # 12 months, served 2026-01-01, damp (half) from 2026-10-01: 273/365 are spent, which leaves
    # 0.252 of 181 days: 45. Before: due on 2026-07-01, 92 days overdue the moment it was noted.
    damp = date(2026, 10, 1)
    found = due_by_time(date(2026, 1, 1), 12, 0, lambda day: Fraction(1, 2) if day >= damp else ONE)
    assert found == date(2026, 11, 15)
    # and one that ends gives back nothing of what it took: 90/181 by 1 April, then 0.5028 of 365
    until = date(2026, 4, 1)
    found = due_by_time(date(2026, 1, 1), 12, 0, lambda day: Fraction(1, 2) if day < until else ONE)
    assert found == date(2026, 10, 1)
