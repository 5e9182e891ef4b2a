"""Knows the amounts, stretches and days of an owner's words: numbers, hours, how often, days and
months."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction

from oilchart.core.days import add_months
from oilchart.core.units import PERIOD_DAYS
from oilchart.sources.words.cursor import Cursor

Range = tuple[Fraction, Fraction]  # low, high

HOURS = ("hours", "hour", "hrs", "hr", "h")
MINUTES = ("minutes", "minute", "mins", "min")
MINUS = ("-", "–", "−")
SITTINGS = ("evening", "morning", "afternoon", "night", "day", "time", "sitting", "session")
DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
NUMBER = re.compile(r"\d+(?:\.\d+)?")

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_LONG_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december", "sept",
)  # fmt: skip
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_PERIODS = {
    **PERIOD_DAYS,
    **dict.fromkeys(("evening", "morning", "afternoon", "night"), Fraction(1)),
    **dict.fromkeys(("weekend", *_WEEKDAYS), Fraction(7)),
    "fortnight": Fraction(14),
}
_YEAR = re.compile(r"(?:19|20)\d\d")


class Quantities(Cursor):
    """A phrase read for amounts and days.

    Args:
        pieces: hours at the machine for one piece of each kind of work, by its name in the
            singular.
    """

    _said: date
    _pieces: Mapping[str, Range]

    def _hours(self) -> Range:
        """Hours, or minutes turned into hours: low and high."""
        number = self._number()
        if self._take(*HOURS):
            return number
        if self._take(*MINUTES):
            return number[0] / 60, number[1] / 60
        self._stop("hours or minutes")

    def _number(self) -> Range:
        """A number, a range, "a" for one, "half" or "half an" for a half."""
        first = self._at
        if self._take("half"):
            self._take("a", "an")
            return Fraction(1, 2), Fraction(1, 2)
        if self._take("a", "an", "one"):
            return Fraction(1), Fraction(1)
        low = high = self._plain_number()
        if self._take(*MINUS, "to"):
            high = self._plain_number()
        if high < low:
            self._refuse(first, "runs backwards; say the smaller number first")
        return low, high

    def _plain_number(self) -> Fraction:
        if self._next in MINUS:
            self._refuse(self._at, "is a number below 0; say how many hours it was, 0 or more")
        if not NUMBER.fullmatch(self._next):
            self._stop(
                'a number of hours, bobbins or pieces, or one of "idle", "busy", "meter", "none"'
            )
        number = Fraction(self._next)
        self._at += 1
        return number

    def _often(self, expected: str) -> Fraction:
        """How often: in how many days once."""
        if self._take("every"):
            if self._take("other"):
                return 2 * self._period()
            count = self._plain_number() if NUMBER.fullmatch(self._next) else Fraction(1)
            if not count:
                self._refuse(self._at - 1, "is no stretch of time")
            return count * self._period()
        if not self._take("a", "an", "per", "each", "/"):
            self._stop(expected)
        return self._period()

    def _period(self) -> Fraction:
        """Days of a period."""
        name = self._singular(self._next)
        if name not in _PERIODS:
            self._stop("day, week, weekend, month or year")
        self._at += 1
        return _PERIODS[name]

    def _back(self, count: Fraction, days: Fraction) -> date:
        """The day so many periods before it was said: whole months and years by the calendar."""
        for months, name in ((1, "month"), (12, "year")):
            if days == _PERIODS[name] and count.denominator == 1:
                return add_months(self._said, -months * int(count))
        return self._said - timedelta(days=min(math.ceil(count * days), self._said.toordinal() - 1))

    def _day(self) -> date:
        """A day, or the first of a month: the latest one before the day it was said unless its year
        is named."""
        if DATE.fullmatch(self._next):
            return self._date()
        month = self._month("a day like 2026-03-01, or a month")
        if _YEAR.fullmatch(self._next):
            self._at += 1
            return date(int(self._tokens[self._at - 1][1]), month, 1)
        this_year = date(self._said.year, month, 1)
        return this_year if this_year < self._said else date(self._said.year - 1, month, 1)

    def _date(self) -> date:
        if not DATE.fullmatch(self._next):
            self._stop("a day, like 2026-03-01")
        try:
            day = date.fromisoformat(self._next)
        except ValueError:
            self._stop("a day that exists, like 2026-03-01")
        self._at += 1
        return day

    def _months(self) -> frozenset[int]:
        first = last = self._month("a month, like Jul or July")
        if self._take(*MINUS, "to"):
            last = self._month("a month, like Jul or July")
        return frozenset((first + step - 1) % 12 + 1 for step in range((last - first) % 12 + 1))

    def _month(self, expected: str) -> int:
        if self._next not in _MONTHS and self._next not in _LONG_MONTHS:
            self._stop(expected)
        word = self._next
        self._at += 1
        return _MONTHS.index(word[:3]) + 1

    def _singular(self, word: str) -> str:
        """A word without its plural: evenings, dresses, quilts."""
        names = {*_PERIODS, *SITTINGS, *(name.rpartition(" ")[2] for name in self._pieces)}
        forms = (
            word,
            word.removesuffix("s"),
            word.removesuffix("es"),
            word.removesuffix("ies") + "y",
        )
        return next((form for form in forms if form in names), word)
