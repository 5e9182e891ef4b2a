"""Knows the owner's words: a little grammar of plain English that turns what was said about sewing into a report.

    phrase    = [ statement ] { ";" [ statement ] }, with one statement at least
    statement = rate | total | rest | "none"
    rate      = [ "about" ] hours ( "a" | "per" | "each" | "every" | "/" ) ( "day" | "week" | "month" | "year" )
    total     = [ "about" ] hours "since" DATE
    rest      = "idle" month [ "-" month ]
    hours     = number [ "-" number ] ( "hours" | "minutes" )

"none" is a rate of 0 hours. A rest comes back every year. Two statements of one kind in a phrase contradict each other, rests excepted.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import NoReturn

from oilchart.core.report import DAY_HOURS, HOUR, PERIOD_DAYS, Rate, Report, Total, ticks, ticks_a_day
from oilchart.errors import UnreadableWords, one_line

EXAMPLES = ("5-8 hours a week", "40 minutes a day", "120 hours since 2026-03-01; idle Jul-Aug")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
LONGEST_PHRASE = 300

_FULL_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_HOURS = ("hours", "hour", "hrs", "hr", "h")
_MINUTES = ("minutes", "minute", "mins", "min")
_MINUS = ("-", "–", "−")
_TOKEN = re.compile(r"\s*(\d{4}-\d{2}-\d{2}|\d+(?:\.\d+)?|[^\W\d_]+|\S)")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


def read_report(words: str, said: date) -> Report:
    """Read what an owner said on a day.

    Raises:
        UnreadableWords: names the place, what was expected there, and examples.
    """
    plain = one_line(words)
    if not plain.strip("; "):
        raise UnreadableWords(f'use: nothing was said; write it like "{EXAMPLES[0]}", or "none"')
    if len(plain) > LONGEST_PHRASE:
        raise UnreadableWords(f"use: too long: {len(plain)} letters; say it in at most {LONGEST_PHRASE}")
    return _Phrase(plain, said).read()


class _Phrase:
    """One phrase being read, token by token."""

    def __init__(self, words: str, said: date) -> None:
        self._words = words
        self._said = said
        self._tokens = [(found.start(1), found[1]) for found in _TOKEN.finditer(words)]
        self._at = 0
        self._report = Report(said=said, words=words)

    def read(self) -> Report:
        if self._next != ";":
            self._statement()
        while self._take(";"):
            if self._next not in (None, ";"):
                self._statement()
        if self._next is not None:
            self._stop('";" or the end')
        return self._report

    def _statement(self) -> None:
        first = self._at
        if self._take("idle"):
            months = self._months() | (self._report.idle_months or frozenset())
            self._report = replace(self._report, idle_months=months)
        elif self._take("none"):
            self._set_rate(Rate(low=0, high=0), first)
        else:
            self._take("about")
            self._rate_or_total(first)

    def _rate_or_total(self, first: int) -> None:
        low, high = self._hours()
        if self._take("since"):
            self._set_total(low, high, first)
            return
        if not self._take("a", "an", "per", "each", "every", "/"):
            self._stop('"a week", "a day", "a month", "a year" or "since" and a date')
        period = self._take(*PERIOD_DAYS)
        if period is None:
            self._stop("day, week, month or year")
        if high / PERIOD_DAYS[period] > DAY_HOURS:
            self._refuse(first, "is more than 24 hours a day; ask again")
        self._set_rate(Rate(low=ticks_a_day(low, period), high=ticks_a_day(high, period)), first)

    def _hours(self) -> tuple[Fraction, Fraction]:
        """Hours, or minutes turned into hours: low and high."""
        first = self._at
        low = high = self._number()
        if self._take("-", "–", "to"):
            high = self._number()
        if high < low:
            self._refuse(first, "runs backwards; say the smaller number first")
        if self._take(*_HOURS):
            return low, high
        if self._take(*_MINUTES):
            return low / 60, high / 60
        self._stop("hours or minutes")

    def _number(self) -> Fraction:
        if self._next in _MINUS:
            self._refuse(self._at, "is a number below 0; say how many hours it was, 0 or more")
        if self._next is None or not _NUMBER.fullmatch(self._next):
            self._stop('a number of hours, "idle" and months, or "none"')
        number = Fraction(self._next)
        self._at += 1
        return number

    def _months(self) -> frozenset[int]:
        first = last = self._month()
        if self._take("-", "–", "to"):
            last = self._month()
        return frozenset((first + step - 1) % 12 + 1 for step in range((last - first) % 12 + 1))

    def _month(self) -> int:
        word = (self._next or "").casefold()
        if word not in MONTHS and word not in _FULL_MONTHS:
            self._stop("a month, like Jul or July")
        self._at += 1
        return MONTHS.index(word[:3]) + 1

    def _set_rate(self, rate: Rate, first: int) -> None:
        if self._report.rate is not None:
            self._refuse(first, "is the second rate in one phrase; keep one of them")
        self._report = replace(self._report, rate=rate)

    def _set_total(self, low: Fraction, high: Fraction, first: int) -> None:
        if self._next is None or not _DATE.fullmatch(self._next):
            self._stop("a day, like 2026-03-01")
        try:
            since = date.fromisoformat(self._next)
        except ValueError:
            self._stop("a day that exists, like 2026-03-01")
        if since >= self._said:
            self._refuse(self._at, f"is not before the day it was said, {self._said}")
        self._at += 1
        if high > DAY_HOURS * (self._said - since).days:
            self._refuse(first, "is more than 24 hours a day since then; ask again")
        if self._report.total is not None:
            self._refuse(first, "is the second total in one phrase; keep one of them")
        self._report = replace(self._report, total=Total(low=ticks(low), high=ticks(high), since=since))

    @property
    def _next(self) -> str | None:
        return self._tokens[self._at][1] if self._at < len(self._tokens) else None

    def _take(self, *wanted: str) -> str | None:
        """Go past the next token if it is one of those wanted, and give it back as it was wanted."""
        word = None if self._next is None else self._next.casefold()
        if word is None or word not in wanted:
            return None
        self._at += 1
        return word

    def _stop(self, expected: str) -> NoReturn:
        """Say that something else was expected at the next token."""
        if self._next is None:
            self._fail(len(self._words), f"it ends too soon at >>>; expected {expected}")
        self._fail(self._tokens[self._at][0], f"what follows >>> cannot be read; expected {expected}")

    def _refuse(self, token: int, wrong: str) -> NoReturn:
        """Say that what begins at a token can be read but cannot be."""
        self._fail(self._tokens[token][0], f"what follows >>> {wrong}")

    def _fail(self, place: int, wrong: str) -> NoReturn:
        examples = ", ".join(f'"{example}"' for example in EXAMPLES)
        marked = f"{self._words[:place]}>>>{self._words[place:]}"
        raise UnreadableWords(f'use: "{marked}": {wrong}; write it like {examples}')


def hours_of(amount: int) -> Fraction:
    """Ticks as hours, exactly."""
    return Fraction(amount, HOUR)
