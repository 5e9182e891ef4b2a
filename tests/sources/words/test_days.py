"""Days as people write them: each form, what may be two days, and what is none."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.easter import easter
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import DayOrder, day_words
from oilchart.sources.words.days import (
    FORMS,
    Sense,
    UnreadableDay,
    day_in_words,
    read_day,
    rests_on_order,
)
from tests.counts import counted

TODAY = date(2026, 11, 25)  # a Wednesday
DAY_FIRST, MONTH_FIRST = DayOrder
DAYS = st.dates(date(1990, 1, 1), date(2060, 12, 31))


def read(words: str, sense: Sense = Sense.DONE, order: DayOrder | None = None) -> str:
    return read_day(words, TODAY, sense, order).isoformat()


@pytest.mark.parametrize(
    ("words", "done", "agreed"),
    [
        # in full
        ("2026-05-12", "2026-05-12", "2026-05-12"),
        ("2026/5/12", "2026-05-12", "2026-05-12"),
        ("12 May 2026", "2026-05-12", "2026-05-12"),
        ("12 MAY 2026", "2026-05-12", "2026-05-12"),
        ("12th of May, 2026", "2026-05-12", "2026-05-12"),
        ("May 12, 2026", "2026-05-12", "2026-05-12"),
        ("May 12th 2026", "2026-05-12", "2026-05-12"),
        ("12-May-2026", "2026-05-12", "2026-05-12"),
        ("12.May 2026", "2026-05-12", "2026-05-12"),
        ("12 May '26", "2026-05-12", "2026-05-12"),
        ("12 May 26", "2026-05-12", "2026-05-12"),
        ("3 Sept 1998", "1998-09-03", "1998-09-03"),
        ("3 Sep 98", "1998-09-03", "1998-09-03"),
        ("Tue 12 May 2026", "2026-05-12", "2026-05-12"),
        ("Tuesday, 12 May 2026", "2026-05-12", "2026-05-12"),
        ("on Tuesday the 12th of May 2026", "2026-05-12", "2026-05-12"),
        # in figures: with dots, or where there is one reading only
        ("12.5.2026", "2026-05-12", "2026-05-12"),
        ("12.05.26", "2026-05-12", "2026-05-12"),
        ("12. 5. 2026", "2026-05-12", "2026-05-12"),
        ("25/12/2025", "2025-12-25", "2025-12-25"),
        ("12/25/2025", "2025-12-25", "2025-12-25"),
        ("5/5/2026", "2026-05-05", "2026-05-05"),
        ("Tue 12/05/2026", "2026-05-12", "2026-05-12"),
        ("Sat 12/05/2026", "2026-12-05", "2026-12-05"),
        # without a year: the latest past one, the next one; today is both
        ("12 May", "2026-05-12", "2027-05-12"),
        ("May 12", "2026-05-12", "2027-05-12"),
        ("25 Dec", "2025-12-25", "2026-12-25"),
        ("25 Nov", "2026-11-25", "2026-11-25"),
        ("the 1st of May", "2026-05-01", "2027-05-01"),
        ("the first of May", "2026-05-01", "2027-05-01"),
        ("twenty-fourth of September", "2026-09-24", "2027-09-24"),
        ("12.5.", "2026-05-12", "2027-05-12"),
        ("25/12", "2025-12-25", "2026-12-25"),
        ("29 Feb", "2024-02-29", "2028-02-29"),
        ("12 May last year", "2025-05-12", "2025-05-12"),
        ("12 May next year", "2027-05-12", "2027-05-12"),
        ("the 12th", "2026-11-12", "2026-12-12"),
        ("the 31st", "2026-10-31", "2026-12-31"),
        ("the 12th of last month", "2026-10-12", "2026-10-12"),
        # beside today
        ("today", "2026-11-25", "2026-11-25"),
        ("yesterday", "2026-11-24", "2026-11-24"),
        ("Yesterday afternoon", "2026-11-24", "2026-11-24"),
        ("the day before yesterday", "2026-11-23", "2026-11-23"),
        ("tomorrow", "2026-11-26", "2026-11-26"),
        ("day after tomorrow", "2026-11-27", "2026-11-27"),
        ("3 days ago", "2026-11-22", "2026-11-22"),
        ("a week ago", "2026-11-18", "2026-11-18"),
        ("two months ago", "2026-09-25", "2026-09-25"),
        ("a fortnight ago", "2026-11-11", "2026-11-11"),
        ("in three weeks", "2026-12-16", "2026-12-16"),
        ("in a week's time", "2026-12-02", "2026-12-02"),
        ("2 weeks from now", "2026-12-09", "2026-12-09"),
        ("a week today", "2026-12-02", "2026-12-02"),
        ("tomorrow week", "2026-12-03", "2026-12-03"),
        # days of the week
        ("Friday", "2026-11-20", "2026-11-27"),
        ("on Friday", "2026-11-20", "2026-11-27"),
        ("Thurs", "2026-11-19", "2026-11-26"),
        ("last Friday", "2026-11-20", "2026-11-20"),
        ("last Wednesday", "2026-11-18", "2026-11-18"),
        ("next Tuesday", "2026-12-01", "2026-12-01"),
        ("this Friday", "2026-11-27", "2026-11-27"),
        ("this Monday", "2026-11-23", "2026-11-30"),
        ("this coming Friday", "2026-11-27", "2026-11-27"),
        ("this past Monday", "2026-11-23", "2026-11-23"),
        ("Monday last week", "2026-11-16", "2026-11-16"),
        ("Friday of next week", "2026-12-04", "2026-12-04"),
        ("Friday week", "2026-12-04", "2026-12-04"),
        ("a week on Friday", "2026-12-04", "2026-12-04"),
        ("Monday fortnight", "2026-12-14", "2026-12-14"),
        # feasts; Easter 2026 is 5 April, 2027 28 March
        ("Christmas", "2025-12-25", "2026-12-25"),
        ("last Christmas", "2025-12-25", "2025-12-25"),
        ("Christmas Eve 2024", "2024-12-24", "2024-12-24"),
        ("Boxing Day", "2025-12-26", "2026-12-26"),
        ("New Year’s Day", "2026-01-01", "2027-01-01"),
        ("Easter", "2026-04-05", "2027-03-28"),
        ("Easter Monday 2027", "2027-03-29", "2027-03-29"),
        ("Good Friday", "2026-04-03", "2027-03-26"),
        ("Whitsun", "2026-05-24", "2027-05-16"),
    ],
)
def test_a_day_is_read_as_people_write_it(words: str, done: str, agreed: str) -> None:
    assert (read(words), read(words, Sense.AGREED)) == (done, agreed)


@pytest.mark.parametrize(
    ("words", "days"),
    [
        # day and month in figures, and the shop does not say which is first
        ("12/05/2026", ("2026-05-12", "2026-12-05")),
        ("12-05-2026", ("2026-05-12", "2026-12-05")),
        ("12 05 2026", ("2026-05-12", "2026-12-05")),
        ("12/5/26", ("2026-05-12", "2026-12-05")),
        ("1/2/2026", ("2026-01-02", "2026-02-01")),
        ("11/12/1999", ("1999-11-12", "1999-12-11")),
        ("12/5", ("2025-12-05", "2026-05-12")),
        ("3-4", ("2026-03-04", "2026-04-03")),
        ("on 3/4/2026", ("2026-03-04", "2026-04-03")),
        ("Sunday 8/3/2020", None),  # the day of the week tells
        ("Monday 12/05/2026", ()),  # and here fits none
        # the coming one or next week's, the latest or last week's
        ("next Friday", ("2026-11-27", "2026-12-04")),
        ("next Thursday", ("2026-11-26", "2026-12-03")),
        ("next Sat", ("2026-11-28", "2026-12-05")),
        ("next Sunday", ("2026-11-29", "2026-12-06")),
        ("last Monday", ("2026-11-16", "2026-11-23")),
        ("last Tue", ("2026-11-17", "2026-11-24")),
        # today, or a week ago
        ("Wednesday", ("2026-11-18", "2026-11-25")),
        ("on Wed", ("2026-11-18", "2026-11-25")),
        ("the Wednesday", ("2026-11-18", "2026-11-25")),
        # another day of the week than that day is
        ("Monday 12 May 2026", ()),
        ("Fri 25 Dec", ()),
    ],
)
def test_what_may_be_two_days_is_refused_with_both(
    words: str, days: tuple[str, ...] | None
) -> None:
    if days is None:
        assert read(words) == "2020-03-08"
        return
    with pytest.raises(UnreadableDay) as refused:
        read(words)
    line = str(refused.value)
    assert f'"{words}"' in line
    for day in days:
        assert day in line
        assert day_words(date.fromisoformat(day)) in line
    assert ("may be" if days else "look at the day of the week") in line
    by_figures = any(sign in words for sign in "/-") or "05" in words
    assert ("day_order in shop.toml" in line) is (bool(days) and by_figures)


@pytest.mark.parametrize(
    ("words", "order", "read_as"),
    [
        ("12/05/2026", DAY_FIRST, "2026-05-12"),
        ("12/05/2026", MONTH_FIRST, "2026-12-05"),
        ("12-5-26", DAY_FIRST, "2026-05-12"),
        ("12/5", MONTH_FIRST, "2025-12-05"),
        ("25/12/2025", DAY_FIRST, "2025-12-25"),
        ("12/25/2025", MONTH_FIRST, "2025-12-25"),
        ("12.5.2026", DAY_FIRST, "2026-05-12"),
        ("25.12.2025", MONTH_FIRST, "2025-12-25"),
    ],
)
def test_figures_are_read_in_the_order_of_the_shop(
    words: str, order: DayOrder, read_as: str
) -> None:
    assert read(words, order=order) == read_as
    assert rests_on_order(words)


@pytest.mark.parametrize(
    ("words", "order", "told"),
    [
        ("12/25/2025", DAY_FIRST, "the shop writes the day first"),
        ("25/12/2025", MONTH_FIRST, "the shop writes the month first"),
        ("12.5.2026", MONTH_FIRST, "may be Tuesday 12 May 2026 or Saturday 5 December 2026"),
    ],
)
def test_figures_in_another_order_than_the_shops_are_never_swapped(
    words: str, order: DayOrder, told: str
) -> None:
    with pytest.raises(UnreadableDay, match=told) as refused:
        read(words, order=order)
    assert "2025-12-25" in str(refused.value) or "2026-05-12 or 2026-12-05" in str(refused.value)


@counted
@given(DAYS, st.sampled_from(DayOrder), st.sampled_from("/-."), st.sampled_from(["%Y", "%y"]))
def test_a_day_in_figures_is_read_in_its_order_or_refused_and_never_as_another(
    day: date, order: DayOrder, sign: str, year: str
) -> None:
    figures = ["%d", "%m"] if order is DAY_FIRST else ["%m", "%d"]
    words = day.strftime(sign.join([*figures, year]))
    today = day + timedelta(days=30)
    orders = [order, None] if sign != "." or order is DAY_FIRST else []
    for told in orders:
        try:
            assert read_day(words, today, Sense.DONE, told) == day
        except UnreadableDay as error:
            assert told is None
            assert str(day) in str(error)
    other = MONTH_FIRST if order is DAY_FIRST else DAY_FIRST
    if day.day > 12 and sign != ".":
        with pytest.raises(UnreadableDay):
            read_day(words, today, Sense.DONE, other)


@counted
@given(DAYS, DAYS)
def test_a_day_that_is_said_back_is_read_as_itself(day: date, today: date) -> None:
    for sense in Sense:
        assert read_day(day_words(day), today, sense) == day
        assert read_day(str(day), today, sense) == day


WITHOUT_A_YEAR = ("12 May", "29 Feb", "the 31st", "Friday", "Christmas", "Easter Monday", "25.12.")


@counted
@given(DAYS, st.sampled_from(WITHOUT_A_YEAR))
def test_without_a_year_what_was_done_is_past_and_what_is_agreed_is_to_come(
    today: date, words: str
) -> None:
    if words == "Friday" and today.weekday() == 4:
        return
    done, agreed = (read_day(words, today, sense) for sense in (Sense.DONE, Sense.AGREED))
    assert done <= today <= agreed
    between = [done + timedelta(days=at) for at in range(1, (agreed - done).days)]
    for day in between:  # none of the days between is one like it
        match words:
            case "Friday":
                assert day.weekday() != 4
            case "the 31st":
                assert day.day != 31
            case "Easter Monday":
                assert day != easter(day.year) + timedelta(days=1)
            case _:
                assert (day.month, day.day) != (done.month, done.day)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("soon", "is not a day; write it like 2026-11-25, 25 Nov or last Friday"),
        ("yesturday", "did you mean yesterday?"),
        ("last Fryday", "did you mean friday?"),
        ("20261125", "is not a day"),
        ("2026-W48", "is not a day"),
        ("May", "is not a day"),
        ("May 2026", "is not a day"),
        ("12", "is not a day"),
        ("Fridays", "is not a day"),
        ("3 weeks", "is not a day"),
        ("12 May 2026 at noon", "is not a day"),
        ("30 Feb 2026", "there is no such day"),
        ("31.11.", "there is no such day"),
        ("13/13/2026", "there is no such day"),
        ("9999 years ago", "there is no such day"),
        ("", "is not a day"),
        ("Friday " * 20_000, "is not a day"),
        ("1" * 100_000, "is not a day"),
    ],
)
def test_what_is_no_day_is_refused_in_one_line(words: str, told: str) -> None:
    with pytest.raises(UnreadableDay) as refused:
        read(words)
    assert told in str(refused.value)
    assert len(str(refused.value)) < 200


@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("since 25 Dec", "25 Dec"),
        ("since 25/12/2026; idle Jul", "25/12/2026"),
        ("since Christmas, she says", "Christmas"),
        ("since last Friday", "last Friday"),
        ("since 12.5. and more", "12.5."),
        ("since Mondays", ""),
        ("since 12.5 hours", ""),
        ("since May", ""),
        ("since May 2019", ""),
        ("since 12 May 10 hours a week", "12 May"),
        ("since 3 weeks ago", "3 weeks ago"),
        ("since 5%", ""),
    ],
)
def test_a_day_in_an_owners_words_ends_where_they_go_on(words: str, day: str) -> None:
    assert day_in_words(words, len("since ")) == day


def test_each_form_has_a_name_of_its_own() -> None:
    names = [form.name for form in FORMS]
    assert len(set(names)) == len(names)
