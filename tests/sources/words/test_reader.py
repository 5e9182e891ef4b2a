"""The owner's words: every form that is understood, to the tick, and every refusal with its marked
place and examples."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from math import gcd

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.bounds import PHRASE_LETTERS
from oilchart.core.days import Span
from oilchart.core.units import Unit
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Oiling, Rate, Reading, Report, SewingPace, Total
from oilchart.errors import UnreadableWords
from oilchart.sources.words.phrase import EXAMPLES, Terms
from oilchart.sources.words.reader import read_report
from oilchart.sources.words.report_json import recall, understood_json
from tests.builders.present import the
from tests.builders.say_report import say
from tests.counts import counted

SAID = date(2026, 11, 25)
HOUR = 36_792_000  # ticks
# ticks a day of one hour a day, week, 365/12 days, 365 days
A_DAY, A_WEEK, A_MONTH, A_YEAR = HOUR, 5_256_000, 1_209_600, 100_800
PERIOD_DAYS = {
    "day": Fraction(1),
    "week": Fraction(7),
    "month": Fraction(365, 12),
    "year": Fraction(365),
}


PIECES = {
    "quilt": (Fraction(20), Fraction(40)),
    "dress": (Fraction(4), Fraction(8)),
    "sail cover": (Fraction(12), Fraction(16)),
}
TERMS = Terms(bobbin=Bobbin(metres=Fraction(60)), pieces=PIECES)


def read(words: str) -> Report:
    return read_report(words, SAID, TERMS)


def refused(words: str) -> UnreadableWords:
    with pytest.raises(UnreadableWords) as caught:
        read(words)
    assert len(str(caught.value).splitlines()) == 1
    return caught.value


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        # one number; a month is 365/12 days, a year 365
        ("1 hour a day", A_DAY, A_DAY),
        ("6 hours a week", 6 * A_WEEK, 6 * A_WEEK),
        ("20 hours a month", 20 * A_MONTH, 20 * A_MONTH),
        ("300 hours a year", 300 * A_YEAR, 300 * A_YEAR),
        ("0 hours a week", 0, 0),
        ("none", 0, 0),
        # a range: its ends
        ("5-8 hours a week", 5 * A_WEEK, 8 * A_WEEK),
        ("5 – 8 hours a week", 5 * A_WEEK, 8 * A_WEEK),
        ("5 to 8 hours a week", 5 * A_WEEK, 8 * A_WEEK),
        ("6-6 hours a week", 6 * A_WEEK, 6 * A_WEEK),
        ("0-1 hours a week", 0, A_WEEK),
        # "about" is four fifths to five quarters of a single number
        ("about 300 hours a year", 240 * A_YEAR, 375 * A_YEAR),
        ("about 6 hours a week", 6 * A_WEEK * 4 // 5, 6 * A_WEEK * 5 // 4),
        ("about 5-8 hours a week", 5 * A_WEEK, 8 * A_WEEK),
        # minutes
        ("40 minutes a day", 24_528_000, 24_528_000),
        ("30-45 minutes a day", HOUR // 2, HOUR * 3 // 4),
        ("90 minutes a week", 7_884_000, 7_884_000),
        # decimals of an hour are exact to the hundredth; a thousandth of an hour a year is 100.8
        # ticks, floored
        ("1.5 hours a day", 55_188_000, 55_188_000),
        ("0.01 hours a year", 1_008, 1_008),
        ("0.001 hours a year", 100, 100),
        # the most there is
        ("24 hours a day, really", 24 * A_DAY, 24 * A_DAY),
        ("168 hours a week, yes", 24 * A_DAY, 24 * A_DAY),
        ("730 hours a month, yes", 24 * A_DAY, 24 * A_DAY),
        ("yes, 8760 hours a year", 24 * A_DAY, 24 * A_DAY),
    ],
)
def test_a_rate_is_read_to_the_tick(words: str, low: int, high: int) -> None:
    assert read(words).rate == Rate(low=low, high=high, yearly="a year" in words)


@pytest.mark.parametrize(
    "words",
    [
        # hours
        "6 hour a week", "6 hrs a week", "6 hr a week", "6 h a week", "6h a week",
        "6.0 hours a week", "360 min a week", "360 mins a week",
        # a week
        "6 hours per week", "6 hours each week", "6 hours every week", "6 hours / week", "6h/week",
        "6 hours an week",
        # letters and blanks
        "6 HOURS A WEEK", "  6   hours\ta \n week  ", "6\u00a0hours a\u2028week",
        "6\u200bhours a week", "6 hours a\x00week",
        # a statement may be empty, but not all of them
        "6 hours a week;", "; 6 hours a week", "6 hours a week ; ; ",
    ],
)  # fmt: skip
def test_six_hours_a_week_may_be_said_in_many_ways(words: str) -> None:
    assert read(words).rate == Rate(low=6 * A_WEEK, high=6 * A_WEEK)


def test_the_words_are_kept_as_they_were_said_on_one_line() -> None:
    assert read(" About  5 -8 Hours\na week;idle JUL ").words == "About 5 -8 Hours a week;idle JUL"


@pytest.mark.parametrize(
    ("words", "low", "high", "since"),
    [
        ("120 hours since 2026-03-01", 120 * HOUR, 120 * HOUR, date(2026, 3, 1)),
        ("about 100-120 hours since 2026-03-01", 100 * HOUR, 120 * HOUR, date(2026, 3, 1)),
        ("90 minutes since 2026-11-24", HOUR * 3 // 2, HOUR * 3 // 2, date(2026, 11, 24)),
        ("0 hours since 2024-02-29", 0, 0, date(2024, 2, 29)),
        # the most there is: 24 hours on each day from that day up to the day before it was said
        ("24 hours since 2026-11-24", 24 * HOUR, 24 * HOUR, date(2026, 11, 24)),
        ("48 hours since 2026-11-23", 48 * HOUR, 48 * HOUR, date(2026, 11, 23)),
        # as far back as is taken
        ("5 hours since 1876-11-25", 5 * HOUR, 5 * HOUR, date(1876, 11, 25)),
    ],
)
def test_a_total_is_read_with_the_day_it_runs_from(
    words: str, low: int, high: int, since: date
) -> None:
    report = read(words)
    assert report.total == Total(low=low, high=high, since=since)
    assert report.rate is None


@pytest.mark.parametrize(
    ("words", "months"),
    [
        ("idle Jul", {7}),
        ("idle Jul-Aug", {7, 8}),
        ("idle July to August", {7, 8}),
        ("idle july – august", {7, 8}),
        ("IDLE SEP", {9}),
        ("idle May", {5}),
        # over the turn of the year
        ("idle Nov-Feb", {11, 12, 1, 2}),
        ("idle Dec-Jan", {12, 1}),
        # several
        ("idle Jul; idle Dec-Jan", {7, 12, 1}),
        ("idle Jul-Aug; idle Aug-Sep", {7, 8, 9}),
    ],
)
def test_rests_come_back_every_year(words: str, months: set[int]) -> None:
    assert read(words) == Report(said=SAID, words=words, idle_months=frozenset(months))


@pytest.mark.parametrize("month", range(1, 13))
def test_every_month_is_known_by_its_short_and_its_full_name(month: int) -> None:
    name = date(2026, month, 1).strftime("%B")
    short, full = read(f"idle {name[:3]}"), read(f"idle {name}")
    assert short.idle_months == full.idle_months == frozenset({month})


def test_statements_of_different_kinds_stand_together() -> None:
    report = read("5-8 hours a week; 120 hours since 2026-03-01; idle Jul-Aug; idle Dec")
    assert report == Report(
        said=SAID,
        words="5-8 hours a week; 120 hours since 2026-03-01; idle Jul-Aug; idle Dec",
        rate=Rate(low=5 * A_WEEK, high=8 * A_WEEK),
        total=Total(low=120 * HOUR, high=120 * HOUR, since=date(2026, 3, 1)),
        idle_months=frozenset({7, 8, 12}),
    )


def test_what_was_not_said_stays_unsaid() -> None:
    report = read("6 hours a week")
    assert (
        report.total,
        report.reading,
        report.idle_months,
        report.weights,
        report.idle_spans,
    ) == (None, None, None, None, ())


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        # a, half
        ("an hour a day", A_DAY, A_DAY),
        ("half an hour a day", A_DAY // 2, A_DAY // 2),
        ("half an hour every other day", A_DAY // 4, A_DAY // 4),
        # how often first
        ("every weekend, 3 hours", 3 * A_WEEK, 3 * A_WEEK),
        ("every weekend 2-3 hours", 2 * A_WEEK, 3 * A_WEEK),
        ("every evening, half an hour", A_DAY // 2, A_DAY // 2),
        ("every 2 weeks, 3 hours", 3 * A_WEEK // 2, 3 * A_WEEK // 2),
        # every so many
        ("3 hours every 2 weeks", 3 * A_WEEK // 2, 3 * A_WEEK // 2),
        ("3 hours every weekend", 3 * A_WEEK, 3 * A_WEEK),
        ("3 hours a fortnight", 3 * A_WEEK // 2, 3 * A_WEEK // 2),
        ("2 hours every Tuesday", 2 * A_WEEK, 2 * A_WEEK),
        ("20 h/month", 20 * A_MONTH, 20 * A_MONTH),
        # sittings of so long
        ("2 evenings a week of 1-2 hours", 2 * A_WEEK, 4 * A_WEEK),
        ("2-3 evenings a week of 2 hours each", 4 * A_WEEK, 6 * A_WEEK),
        ("one evening a week, 90 minutes", A_WEEK * 3 // 2, A_WEEK * 3 // 2),
        ("3 times a month for 2 hours", 6 * A_MONTH, 6 * A_MONTH),
        # pieces of work, from the shop's settings: 20-40 hours a quilt, 4-8 a dress
        ("2 quilts a month", 40 * A_MONTH, 80 * A_MONTH),
        ("a quilt a year", 20 * A_YEAR, 40 * A_YEAR),
        ("1-2 quilts a year", 20 * A_YEAR, 80 * A_YEAR),
        ("2 sail covers a month", 24 * A_MONTH, 32 * A_MONTH),
        ("a dress every 6 weeks", 4 * HOUR // 42, 8 * HOUR // 42),
        # the same in other words
        ("one hour a day", A_DAY, A_DAY),
        ("every other week, 3 hours", 3 * A_WEEK // 2, 3 * A_WEEK // 2),
        ("3 hours every other weekend", 3 * A_WEEK // 2, 3 * A_WEEK // 2),
        ("2 evenings a week for 3 hours each", 6 * A_WEEK, 6 * A_WEEK),
        ("; ;5 hours a week; ;", 5 * A_WEEK, 5 * A_WEEK),
        # works are added up
        ("a quilt a year; 2 dresses a year", 28 * A_YEAR, 56 * A_YEAR),
    ],
)
def test_hours_are_understood_however_they_are_said(words: str, low: int, high: int) -> None:
    assert read(words).rate == Rate(low=low, high=high, yearly="a year" in words)


def test_bobbins_are_reckoned_as_hours_and_the_reckoning_is_shown() -> None:
    # 2.5 mm stitches are 10.16 an inch; bobbin thread a stitch: 2.5 x (2 + 2 x 0.01 x 10.16) / 2 =
    # 2.754 mm; 60,000 / 2.754 = 21,786 stitches; / 800 = 27.23 min of needle time;
    # / 0.25 = 1.8155 h; 3 a week = 5.4466 h
    report = read("3 bobbins a week")
    assert report.rate is not None
    assert report.rate.low == report.rate.high
    assert round(report.rate.low * 7 / HOUR, 3) == 5.447
    assert report.conversion == (
        "a bobbin holds 60 m; at 2.754 mm a stitch that is 21786 stitches; at 800 a minute, the "
        "needle moving 25 % of the time, 1.82 hours"
    )
    a_week = the(read("7 bobbins a week").rate, "rate")
    assert read("a bobbin a day").rate == Rate(low=a_week.low, high=a_week.high)
    assert read("2 quilts a month").conversion == "20-40 hours a quilt"


@pytest.mark.parametrize(
    ("words", "low", "high", "since"),
    [
        ("about 300 hours in the last year", 240, 375, date(2025, 11, 25)),
        ("20-30 hours in the last month", 20, 30, date(2026, 10, 25)),
        ("12 hours in the last 6 weeks", 12, 12, date(2026, 10, 14)),
        ("5 hours in the last 10 days", 5, 5, date(2026, 11, 15)),
        # as far back as is taken
        ("5 hours in the last 150 years", 5, 5, date(1876, 11, 25)),
        ("5 hours in the last 1800 months", 5, 5, date(1876, 11, 25)),
        # the latest May before the day it was said; a year may be named
        ("nothing since May", 0, 0, date(2026, 5, 1)),
        ("nothing since December", 0, 0, date(2025, 12, 1)),
        ("50 hours since March 2025", 50, 50, date(2025, 3, 1)),
        ("nothing since 2026-07-14", 0, 0, date(2026, 7, 14)),
        # days as people write them, and whole years
        ("50 hours since 25 Dec", 50, 50, date(2025, 12, 25)),
        ("about 50 hours since 25/12/2025", 40, Fraction(125, 2), date(2025, 12, 25)),
        ("nothing since Christmas", 0, 0, date(2025, 12, 25)),
        ("nothing since Easter Monday; none", 0, 0, date(2026, 4, 6)),
        ("40 hours since last Friday; mostly zigzag", 40, 40, date(2026, 11, 20)),
        ("nothing since 2019", 0, 0, date(2019, 1, 1)),
    ],
)
def test_totals_are_understood_with_the_day_they_run_from(
    words: str, low: int, high: int, since: date
) -> None:
    assert read(words).total == Total(low=low * HOUR, high=int(high * HOUR), since=since)


@pytest.mark.parametrize(
    "words",
    [
        "5 hours since 1876-11-24",
        "5 hours since 0001-01-01",
        "5 hours in the last 151 years",
        "5 hours in the last 1801 months",
        "5 hours in the last 7827 weeks",
        # as many as there are years, and more
        "120 hours in the last 2025 years",
        "120 hours in the last 2026 years",
        "120 hours in the last 24324 months",
        "120 hours in the last 9999999999 years",
        "120 hours in the last 999999 weeks",
    ],
)
def test_what_is_longer_ago_than_150_years_is_refused(words: str) -> None:
    with pytest.raises(UnreadableWords) as refusal:
        read(words)
    assert str(refusal.value) == (f'use: "{words}": goes back more than 150 years; say a later day')


@pytest.mark.parametrize(
    ("words", "reading"),
    [
        ("meter 412 hours", Reading(amount=Fraction(412))),
        ("meter 412.5 h", Reading(amount=Fraction(825, 2))),
        ("meter 1840000 stitches", Reading(amount=Fraction(1_840_000), unit=Unit.STITCHES)),
        ("new meter 0 hours", Reading(amount=Fraction(0), new_meter=True)),
    ],
)
def test_meters_are_read(words: str, reading: Reading) -> None:
    assert read(words).reading == reading


def test_rests_and_seasons_are_understood() -> None:
    assert read("idle 2026-01-10 to 2026-03-01").idle_spans == (
        Span(first=date(2026, 1, 10), end=date(2026, 3, 2)),
    )
    assert read("away until 2027-05-01").idle_spans == (Span(first=SAID, end=date(2027, 5, 1)),)
    assert read("no rests").idle_months == frozenset()
    assert read("no seasons").weights == (1,) * 12
    assert read("busy Oct-Dec x2").weights == (1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2)
    assert read("busy Nov-Jan x1.5").weights == (3, 2, 2, 2, 2, 2, 2, 2, 2, 2, 3, 3)
    assert read("busy Oct-Dec x2; busy Dec x2").weights == (1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 4)


@pytest.mark.parametrize(
    ("words", "field", "value"),
    [
        ("mostly zigzag", "zigzag_share", Fraction(7, 10)),
        ("a third zigzag", "zigzag_share", Fraction(1, 3)),
        ("one third zigzag", "zigzag_share", Fraction(1, 3)),
        ("about mostly zigzag", "zigzag_share", Fraction(7, 10)),
        ("half zigzag", "zigzag_share", Fraction(1, 2)),
        ("no zigzag", "zigzag_share", Fraction(0)),
        ("all zigzag", "zigzag_share", Fraction(1)),
        ("45% zigzag", "zigzag_share", Fraction(45, 100)),
        ("slow", "pace", SewingPace.SLOW),
        ("flat out", "pace", SewingPace.FLAT_OUT),
        ("normal speed", "pace", SewingPace.NORMAL),
        ("oils it", "oiling", Oiling.YES),
        ("sometimes oils it", "oiling", Oiling.SOMETIMES),
        ("Never oils it", "oiling", Oiling.NEVER),
    ],
)
def test_habits_are_understood(words: str, field: str, value: object) -> None:
    assert getattr(read(words), field) == value
    assert getattr(read(f"6 hours a week; {words}"), field) == value


@pytest.mark.parametrize(
    ("words", "caret", "wrong"),
    [
        # what is not understood
        ("5 hourz a week", 2, '"hourz" is not understood: hour?'),
        ("5 hours a wek", 10, '"wek" is not understood: week?'),
        ("5 hours a week; the belt squeaks", 20, '"belt" is not understood'),
        ("120 hours since 2026-02-30", 16, "there is no such day"),
        ("idle 0001-01-01 to last Friday", 19, "there is no such day"),
        # what is missing
        ("5 hours", 0, "5 hours: in what time, a day, a week, a month or a year?"),
        ("about 5", 0, '"4-6.25": of what, and in what time?'),
        ("every Tuesday", 0, "how long each time?"),
        ("an hour in the evening", 0, "1 hour: how many evenings a week?"),
        ("6 hours a week; idle", 16, "idle: in which months, or until which day?"),
        ("busy Oct-Dec", 0, "October to December: how much is it then, and how much otherwise?"),
        ("30 hours a week Oct-Dec", 0, "and in the other months, January to September"),
        ("meter 412", 0, "the meter shows 412: hours or stitches?"),
        ("2 shirts a week", 0, '"shirts": how long does one take? Say it like "2 hours each"'),
        ("2 hems a week", 0, '"hems": how long does one take?'),
        ("2 quilts", 0, '"quilt": how many a week, a month or a year?'),
        ("9 to 5", 0, "7-8 hours: on how many days a week?"),
        ("100 hours a week", 0, "100 hours a week is more than 80: is it really so?"),
        # which of two it is
        ("2/3 evenings a week", 0, '"2/3": two numbers, or a part?'),
        ("15 hours in November, otherwise 4", 0, "15 and 4 hours: so many a week, or in all"),
        ("50 hours last year", 9, '"last year": in the last year up to now, or in the calendar'),
        # what can be read but cannot be
        ("-5 hours a week", 0, "is a number below 0"),
        ("8-5 hours a week", 0, "runs backwards"),
        ("25 hours a day", 0, "is more than 24 hours a day; ask again"),
        ("169 hours a week", 0, "is more than 24 hours a day; ask again"),
        ("120 hours since 2026-11-24", 0, "is more than 24 hours a day since then; ask again"),
        ("5 hours since 2027-01-01", 0, "is not before the day it was said, 2026-11-25"),
        ("away until 2026-11-25", 0, "ends before"),
        ("idle 2026-03-02 to 2026-03-01", 0, "ends before it begins"),
        ("busy Oct x0.5", 0, "must be from x1 to x20"),
        ("meter 5-6 hours", 0, "is a range"),
        ("120% zigzag", 0, "more than all of it"),
        ("idle Jan-Dec", 0, "leaves no month to sew in"),
        ("9 hours since 2026-11-20; idle Nov", 0, "leaves no day to sew on"),
        # said twice, or against itself
        ("6 hours a week; 1 hour a day", 16, "is the second rate in one phrase"),
        ("6 hours a week; 2 quilts a month", 16, "is the second rate in one phrase"),
        ("nothing since May; 5 hours since 2026-06-01", 19, "is the second total"),
        ("meter 5 hours; meter 6 hours", 15, "is the second meter reading"),
        ("idle Jul; no rests", 10, "contradicts"),
        ("no seasons; busy Oct x2; no seasons", 25, "contradicts"),
        ("slow; flat out", 6, "is the second speed"),
        ("half zigzag; no zigzag", 13, "is the second share"),
        ("oils it; never oils it", 9, "said twice"),
    ],
)
def test_a_refusal_says_what_is_wrong_with_a_caret_under_the_place_and_three_examples(
    words: str, caret: int, wrong: str
) -> None:
    refusal = refused(words)
    assert str(refusal).startswith(f'use: "{words}": ')
    assert wrong in str(refusal)
    shown, marks, examples = refusal.below
    assert shown == f"    {words}"
    assert marks == f"    {' ' * caret}^"
    assert examples == "    write it like " + ", ".join(f'"{example}"' for example in EXAMPLES)
    assert len(EXAMPLES) == 3


def test_a_model_whose_bobbin_is_not_known_says_so() -> None:
    with pytest.raises(UnreadableWords, match="bobbin_metres"):
        read_report("3 bobbins a week", SAID)


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_examples_can_be_read(example: str) -> None:
    assert read(example).words == example


@pytest.mark.parametrize("words", ["", "   ", "\n\t", ";", " ; ; ", "\x00\u200b"])
def test_saying_nothing_is_refused(words: str) -> None:
    assert (
        str(refused(words)) == 'use: nothing was said; write it like "5-8 hours a week", or "none"'
    )


def test_at_most_500_letters_are_read() -> None:
    rests = "; ".join(["idle Jul"] * 50)
    assert len(rests) == 498
    assert read(f"{rests};;").idle_months == frozenset({7})
    assert str(refused(f"{rests};;;")) == "use: too long: 501 letters; say it in at most 500"
    # blanks do not count
    assert "; idle Jul" in read("6 hours a week" + " " * PHRASE_LETTERS + "; idle Jul").words


hundredths = st.integers(0, 2400).map(lambda n: Fraction(n, 100))


@counted
@given(st.tuples(hundredths, hundredths).map(sorted), st.sampled_from(sorted(PERIOD_DAYS)))
def test_every_rate_to_the_hundredth_of_an_hour_is_a_whole_number_of_ticks_a_day(
    ends: list[Fraction], period: str
) -> None:
    rate = read(f"{float(ends[0])}-{float(ends[1])} hours a {period}; yes").rate
    assert rate is not None
    assert [Fraction(rate.low), Fraction(rate.high)] == [
        end * HOUR / PERIOD_DAYS[period] for end in ends
    ]


@counted
@given(st.integers(1, 4000), st.integers(0, 24 * 60))
def test_a_total_holds_its_minutes_and_its_days(days: int, minutes: int) -> None:
    since = SAID - timedelta(days=days)
    assert read(f"{minutes} min since {since}").total == Total(
        low=minutes * HOUR // 60, high=minutes * HOUR // 60, since=since
    )


WORDS = (
    "a", "an", "per", "/", "each", "every", "other", "hours", "h", "minutes", "min", "day", "week",
    "weekend", "month", "year",
    "since", "in", "the", "last", "idle", "away", "until", "busy", "x", "none", "nothing", "no",
    "rests", "seasons", "zigzag",
    "mostly", "half", "third", "%", "slow", "flat", "out", "normal", "speed", "oils", "it", "never",
    "sometimes", "new", "meter",
    "stitches", "bobbins", "quilts", "dress", "evenings", "of", "about", "to", "-", "–", ";", ",",
    "Jul", "August", "0", "5", "8.5",
    "24", "999", "1e9", "2026-03-01", "2026-02-30", "2027-01-01", "9999-12-31", "0001-01-01",
    "2025", ".", "²", "٣", "½", "\n",
    "\x1b",
)  # fmt: skip
STATEMENTS = (
    "5-8 hours a week", "9 h/day", "none", "5 hours since 2026-03-01", "idle Jul-Aug", "idle",
    "about", "20 min a", "", "3 bobbins a week",
    "2 quilts a month", "busy Oct-Dec x2", "no rests", "mostly zigzag", "meter 5 hours",
    "away until 2027-01-01", "idle Jan-Jun",
)  # fmt: skip
grammar_words = st.lists(st.sampled_from(WORDS), max_size=14)
mixtures = (
    grammar_words.map(" ".join)
    | grammar_words.map("".join)
    | st.lists(st.sampled_from(STATEMENTS), max_size=5).map(";".join)
)


@counted
@given(st.text(max_size=PHRASE_LETTERS + 20) | mixtures)
def test_any_words_are_understood_or_refused_in_one_line(words: str) -> None:
    try:
        report = read(words)
    except UnreadableWords as error:
        message = str(error)
        assert message.startswith("use: ")
        assert message.isprintable()
        assert all(line.isprintable() for line in error.below)
        return
    assert report != Report(said=SAID, words="")
    assert report.rate is None or 0 <= report.rate.low <= report.rate.high <= 24 * HOUR
    assert (
        report.total is None
        or 0
        <= report.total.low
        <= report.total.high
        <= 24 * HOUR * (SAID - report.total.since).days
    )
    assert read_report(say(report), SAID) == recall(SAID, words, understood_json(report)) == report


day_ticks = st.integers(0, 24 * HOUR) | st.integers(0, 24 * 100).map(lambda n: n * HOUR // 100)
ranges = st.tuples(day_ticks, day_ticks).map(sorted)
readings = st.builds(
    Reading,
    amount=st.integers(0, 10**9).map(lambda n: Fraction(n, 100)),
    unit=st.sampled_from((Unit.HOURS, Unit.STITCHES)),
    new_meter=st.booleans(),
)
months = st.frozensets(st.integers(1, 12), max_size=11)
days_before = st.integers(30, 900).map(lambda days: SAID - timedelta(days=days))
spans = st.tuples(st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(1, 400)).map(
    lambda drawn: Span(first=drawn[0], end=drawn[0] + timedelta(days=drawn[1]))
)
plain_weights = (
    st.lists(st.integers(1, 20), min_size=12, max_size=12)
    .map(lambda weights: tuple(weight // gcd(*weights) for weight in weights))
    .filter(lambda weights: max(weights) <= 20 * min(weights))
)


def in_order(drawn: list[Span]) -> tuple[Span, ...]:
    """Rests as a report has them, whatever was said first."""
    return tuple(sorted(drawn, key=lambda span: (span.first, span.end)))


@st.composite
def reports(draw: st.DrawFn) -> Report:
    """Anything that the grammar can say."""
    rate, amount = draw(st.none() | ranges), draw(st.none() | ranges)
    no_rests = draw(st.booleans())
    return Report(
        said=SAID,
        words="",
        rate=None if rate is None else Rate(low=rate[0], high=rate[1]),
        total=None
        if amount is None
        else Total(low=amount[0], high=amount[1], since=draw(days_before)),
        reading=draw(st.none() | readings),
        idle_months=frozenset() if no_rests else None,
        weights=draw(st.none() | plain_weights),
        idle_spans=in_order(draw(st.lists(spans, max_size=2))) if amount is None else (),
        zigzag_share=draw(
            st.none()
            | st.integers(0, 100).map(lambda n: Fraction(n, 100))
            | st.just(Fraction(1, 3))
        ),
        pace=draw(st.none() | st.sampled_from(SewingPace)),
        oiling=draw(st.none() | st.sampled_from(Oiling)),
    )


@counted
@given(reports(), months)
def test_a_report_that_is_printed_and_read_again_is_the_same(
    report: Report, rests: frozenset[int]
) -> None:
    if report.total is None and rests and report.idle_months is None:
        report = replace(report, idle_months=rests)
    words = say(report)
    if words:
        assert read_report(words, SAID) == report
