"""The owner's words: every form that is understood, to the tick, and every refusal with its marked place and its remedy."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oilchart.core.report import Rate, Report, Total
from oilchart.errors import UnreadableWords
from oilchart.sources.phrases import LONGEST_PHRASE, read_report

SAID = date(2026, 11, 25)
HOUR = 36_792_000  # ticks
A_DAY, A_WEEK, A_MONTH, A_YEAR = HOUR, 5_256_000, 1_209_600, 100_800  # ticks a day of one hour a day, week, 365/12 days, 365 days
PERIOD_DAYS = {"day": Fraction(1), "week": Fraction(7), "month": Fraction(365, 12), "year": Fraction(365)}


def read(words: str) -> Report:
    return read_report(words, SAID)


def refusal(words: str) -> str:
    with pytest.raises(UnreadableWords) as caught:
        read(words)
    message = str(caught.value)
    assert len(message.splitlines()) == 1
    return message


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
        # "about" adds no width
        ("about 300 hours a year", 300 * A_YEAR, 300 * A_YEAR),
        ("about 5-8 hours a week", 5 * A_WEEK, 8 * A_WEEK),
        # minutes
        ("40 minutes a day", 24_528_000, 24_528_000),
        ("30-45 minutes a day", HOUR // 2, HOUR * 3 // 4),
        ("90 minutes a week", 7_884_000, 7_884_000),
        # decimals of an hour are exact to the hundredth; a thousandth of an hour a year is 100.8 ticks, floored
        ("1.5 hours a day", 55_188_000, 55_188_000),
        ("0.01 hours a year", 1_008, 1_008),
        ("0.001 hours a year", 100, 100),
        # the most there is
        ("24 hours a day", 24 * A_DAY, 24 * A_DAY),
        ("168 hours a week", 24 * A_DAY, 24 * A_DAY),
        ("730 hours a month", 24 * A_DAY, 24 * A_DAY),
        ("8760 hours a year", 24 * A_DAY, 24 * A_DAY),
    ],
)
def test_a_rate_is_read_to_the_tick(words: str, low: int, high: int) -> None:
    assert read(words).rate == Rate(low=low, high=high)


@pytest.mark.parametrize(
    "words",
    [
        # hours
        "6 hour a week", "6 hrs a week", "6 hr a week", "6 h a week", "6h a week", "6.0 hours a week", "360 min a week", "360 mins a week",
        # a week
        "6 hours per week", "6 hours each week", "6 hours every week", "6 hours / week", "6h/week", "6 hours an week",
        # letters and blanks
        "6 HOURS A WEEK", "  6   hours\ta \n week  ", "6\u00a0hours a\u2028week", "6\u200bhours a week", "6 hours a\x00week",
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
        # any day there is
        ("5 hours since 0001-01-01", 5 * HOUR, 5 * HOUR, date(1, 1, 1)),
    ],
)
def test_a_total_is_read_with_the_day_it_runs_from(words: str, low: int, high: int, since: date) -> None:
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
        ("idle Mar-Feb", set(range(1, 13))),
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
    assert read(f"idle {name}").idle_months == read(f"idle {name[:3]}").idle_months == {month}


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
    assert (report.total, report.reading, report.idle_months, report.weights, report.idle_spans) == (None, None, None, None, ())


@pytest.mark.parametrize(
    ("words", "marked", "wrong"),
    [
        # words that are not in the grammar
        ("lots", ">>>lots", 'cannot be read; expected a number of hours, "idle" and months, or "none"'),
        ("about lots", "about >>>lots", "cannot be read; expected a number of hours"),
        ("6 lots a week", "6 >>>lots a week", "cannot be read; expected hours or minutes"),
        ("6 hours now", "6 hours >>>now", 'cannot be read; expected "a week", "a day", "a month", "a year" or "since" and a date'),
        ("6 hours a fortnight", "6 hours a >>>fortnight", "cannot be read; expected day, week, month or year"),
        ("6 hours a week idle Jul", "6 hours a week >>>idle Jul", 'cannot be read; expected ";" or the end'),
        ("1,5 hours a day", "1>>>,5 hours a day", "cannot be read; expected hours or minutes"),
        ("5-6-7 hours a week", "5-6>>>-7 hours a week", "cannot be read; expected hours or minutes"),
        ("idle soon", "idle >>>soon", "cannot be read; expected a month, like Jul or July"),
        ("idle Jul-soon", "idle Jul->>>soon", "cannot be read; expected a month, like Jul or July"),
        ("none at all", "none >>>at all", 'cannot be read; expected ";" or the end'),
        ("120 hours since March", "120 hours since >>>March", "cannot be read; expected a day, like 2026-03-01"),
        ("120 hours since 1.3.2026", "120 hours since >>>1.3.2026", "cannot be read; expected a day, like 2026-03-01"),
        # words that break off
        ("6", "6>>>", "ends too soon at >>>; expected hours or minutes"),
        ("6 hours", "6 hours>>>", 'ends too soon at >>>; expected "a week"'),
        ("6 hours a", "6 hours a>>>", "ends too soon at >>>; expected day, week, month or year"),
        ("5-", "5->>>", "ends too soon at >>>; expected a number of hours"),
        ("120 hours since", "120 hours since>>>", "ends too soon at >>>; expected a day, like 2026-03-01"),
        ("6 hours a week; idle", "6 hours a week; idle>>>", "ends too soon at >>>; expected a month, like Jul or July"),
        # negative numbers, with whatever stands for a minus
        ("-5 hours a week", ">>>-5 hours a week", "is a number below 0; say how many hours it was, 0 or more"),
        ("−5 hours a week", ">>>−5 hours a week", "is a number below 0"),
        ("5--8 hours a week", "5->>>-8 hours a week", "is a number below 0"),
        # ranges that run backwards
        ("8-5 hours a week", ">>>8-5 hours a week", "runs backwards; say the smaller number first"),
        ("about 8-5 hours since 2026-03-01", "about >>>8-5 hours since 2026-03-01", "runs backwards; say the smaller number first"),
        # more than a day has
        ("24.01 hours a day", ">>>24.01 hours a day", "is more than 24 hours a day; ask again"),
        ("5-25 hours a day", ">>>5-25 hours a day", "is more than 24 hours a day; ask again"),
        ("1441 minutes a day", ">>>1441 minutes a day", "is more than 24 hours a day; ask again"),
        ("169 hours a week", ">>>169 hours a week", "is more than 24 hours a day; ask again"),
        ("731 hours a month", ">>>731 hours a month", "is more than 24 hours a day; ask again"),
        ("idle Jul; about 8761 hours a year", "idle Jul; >>>about 8761 hours a year", "is more than 24 hours a day; ask again"),
        ("25 hours since 2026-11-24", ">>>25 hours since 2026-11-24", "is more than 24 hours a day since then; ask again"),
        ("5-25 hours since 2026-11-24", ">>>5-25 hours since 2026-11-24", "is more than 24 hours a day since then; ask again"),
        # days that cannot be
        ("5 hours since 2026-11-25", "5 hours since >>>2026-11-25", "is not before the day it was said, 2026-11-25"),
        ("5 hours since 2027-01-01", "5 hours since >>>2027-01-01", "is not before the day it was said, 2026-11-25"),
        ("5 hours since 2026-02-30", "5 hours since >>>2026-02-30", "cannot be read; expected a day that exists, like 2026-03-01"),
        ("5 hours since 2026-13-01", "5 hours since >>>2026-13-01", "cannot be read; expected a day that exists, like 2026-03-01"),
        ("5 hours since 0000-00-00", "5 hours since >>>0000-00-00", "cannot be read; expected a day that exists, like 2026-03-01"),
        # two statements of one kind
        ("6 hours a week; 1 hour a day", "6 hours a week; >>>1 hour a day", "is the second rate in one phrase; keep one of them"),
        ("6 hours a week; none", "6 hours a week; >>>none", "is the second rate in one phrase; keep one of them"),
        (
            "5 hours since 2026-03-01; 6 hours since 2026-04-01",
            "5 hours since 2026-03-01; >>>6 hours since 2026-04-01",
            "is the second total in one phrase; keep one of them",
        ),
    ],
)  # fmt: skip
def test_a_refusal_marks_the_place_and_says_what_to_write(words: str, marked: str, wrong: str) -> None:
    message = refusal(words)
    assert f'use: "{marked}": ' in message
    assert wrong in message
    assert message.endswith('; write it like "5-8 hours a week", "40 minutes a day", "120 hours since 2026-03-01; idle Jul-Aug"')


@pytest.mark.parametrize("words", ["", "   ", "\n\t", ";", " ; ; ", "\x00\u200b"])
def test_saying_nothing_is_refused(words: str) -> None:
    assert refusal(words) == 'use: nothing was said; write it like "5-8 hours a week", or "none"'


def test_at_most_300_letters_are_read() -> None:
    rests = "; ".join(["idle Jul"] * 30)
    assert len(rests) == 298
    assert read(f"{rests};;").idle_months == {7}
    assert refusal(f"{rests};;;") == "use: too long: 301 letters; say it in at most 300"
    assert "; idle Jul" in read("6 hours a week" + " " * LONGEST_PHRASE + "; idle Jul").words  # blanks do not count


hundredths = st.integers(0, 2400).map(lambda n: Fraction(n, 100))


@given(st.tuples(hundredths, hundredths).map(sorted), st.sampled_from(sorted(PERIOD_DAYS)))
def test_every_rate_to_the_hundredth_of_an_hour_is_a_whole_number_of_ticks_a_day(ends: list[Fraction], period: str) -> None:
    rate = read(f"{float(ends[0])}-{float(ends[1])} hours a {period}").rate
    assert rate is not None
    assert [Fraction(rate.low), Fraction(rate.high)] == [end * HOUR / PERIOD_DAYS[period] for end in ends]


@given(st.integers(1, 4000), st.integers(0, 24 * 60))
def test_a_total_holds_its_minutes_and_its_days(days: int, minutes: int) -> None:
    since = SAID - timedelta(days=days)
    assert read(f"{minutes} min since {since}").total == Total(low=minutes * HOUR // 60, high=minutes * HOUR // 60, since=since)


WORDS = (
    "a", "per", "/", "hours", "h", "minutes", "min", "day", "week", "month", "year", "since", "idle", "none", "about", "to", "-", "–", ";",
    "Jul", "August", "0", "5", "8.5", "24", "999", "2026-03-01", "2026-02-30", "2027-01-01", ".", ",", "x", "²", "٣", "½", "\n", "\x1b",
)  # fmt: skip
STATEMENTS = ("5-8 hours a week", "9 h/day", "none", "5 hours since 2026-03-01", "idle Jul-Aug", "idle", "about", "20 min a", "")
grammar_words = st.lists(st.sampled_from(WORDS), max_size=14)
mixtures = grammar_words.map(" ".join) | grammar_words.map("".join) | st.lists(st.sampled_from(STATEMENTS), max_size=5).map(";".join)


@settings(max_examples=1000)
@given(st.text(max_size=LONGEST_PHRASE + 20) | mixtures)
def test_any_words_are_understood_or_refused_in_one_line(words: str) -> None:
    try:
        report = read(words)
    except UnreadableWords as refused:
        message = str(refused)
        assert message.startswith("use: ")
        assert len(message.splitlines()) == 1
        assert message.isprintable()
        return
    assert report.rate is not None or report.total is not None or report.idle_months
    assert report.rate is None or 0 <= report.rate.low <= report.rate.high <= 24 * HOUR
    assert report.total is None or 0 <= report.total.low <= report.total.high <= 24 * HOUR * (SAID - report.total.since).days
    assert report.idle_months is None or report.idle_months <= set(range(1, 13))
    assert read(report.words) == report
