"""Recurrence rules: every library gives the dates that months reckoned from the first day give."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import rrulestr

from oilchart.core.calendar.recurrence import every_months

ANCHORS = [date(2026, 1, 1) + timedelta(days=at) for at in range(0, 366 * 2, 1)]
UNTIL = date(2037, 12, 31)


def expanded(anchor: date, months: int, until: date = UNTIL) -> list[date]:
    """The dates of all rules together, by dateutil."""
    days: list[date] = []
    for rule in every_months(anchor, months):
        start = datetime.combine(rule.first, datetime.min.time())
        days += [
            each.date() for each in rrulestr(f"{rule.words};UNTIL={until:%Y%m%d}", dtstart=start)
        ]
    return sorted(days)


def clamped(anchor: date, months: int, until: date = UNTIL) -> list[date]:
    """The dates reckoned from the anchor, by dateutil's relativedelta."""
    days: list[date] = []
    for at in range(1, 1_000):
        day = anchor + relativedelta(months=months * at)
        if day > until:
            return days
        days.append(day)
    raise AssertionError("never ends")


@pytest.mark.parametrize("months", range(1, 25))
def test_the_rules_give_the_clamped_months_for_every_day_of_two_years_and_ten_years_on(
    months: int,
) -> None:
    month_ends = [anchor for anchor in ANCHORS if anchor.day >= 28]
    for anchor in [*month_ends, *ANCHORS[:: 7 + months]]:
        assert expanded(anchor, months) == clamped(anchor, months), anchor


@pytest.mark.parametrize("months", [1, 2, 3, 6, 12])
def test_each_rule_begins_on_a_day_of_its_own_and_uses_nothing_that_programs_read_wrongly(
    months: int,
) -> None:
    for anchor in ANCHORS:
        for rule in every_months(anchor, months):
            start = datetime.combine(rule.first, datetime.min.time())
            assert next(iter(rrulestr(rule.words, dtstart=start))).date() == rule.first
            assert rule.words.startswith("FREQ=")
            assert "BYSETPOS" not in rule.words
            assert "FREQ=YEARLY" not in rule.words or "BYMONTH=" in rule.words


def test_the_last_of_august_every_half_year_is_the_last_of_february_too() -> None:
    [rule] = every_months(date(2026, 8, 31), 6)
    assert (rule.first, rule.words) == (date(2027, 2, 28), "FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=-1")
    assert expanded(date(2026, 8, 31), 6, date(2028, 12, 31)) == [
        date(2027, 2, 28), date(2027, 8, 31), date(2028, 2, 29), date(2028, 8, 31),
    ]  # fmt: skip


# Source: RFC 5545 (2009) section 3.8.5.3, the examples whose rule shapes are used here or lie
# nearest; dates at 09:00 New York time there.
RFC_EXAMPLES = [
    (
        "19970928",
        "FREQ=MONTHLY;BYMONTHDAY=-3",
        ["1997-09-28", "1997-10-29", "1997-11-28", "1997-12-29", "1998-01-29", "1998-02-26"],
    ),
    (
        "19970930",
        "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
        [
            "1997-09-30", "1997-10-01", "1997-10-31", "1997-11-01", "1997-11-30",
            "1997-12-01", "1997-12-31", "1998-01-01", "1998-01-31", "1998-02-01",
        ],
    ),
    (
        "20070115",
        "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
        ["2007-01-15", "2007-01-30", "2007-02-15", "2007-03-15", "2007-03-30"],
    ),
    (
        "19970610",
        "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
        [f"{year}-{month}-10" for year in range(1997, 2002) for month in ("06", "07")],
    ),
    (
        "19970310",
        "FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3",
        [
            "1997-03-10",
            *(f"{year}-{month}-10" for year in (1999, 2001, 2003) for month in ("01", "02", "03")),
        ],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("start", "rule", "days"), RFC_EXAMPLES)
def test_the_library_that_expands_rules_in_these_tests_keeps_to_the_examples_of_the_standard(
    start: str, rule: str, days: list[str]
) -> None:
    found = rrulestr(rule, dtstart=datetime.strptime(start, "%Y%m%d"))  # noqa: DTZ007 - a day has no zone
    assert [each.date().isoformat() for each, _ in zip(found, days, strict=False)] == days
