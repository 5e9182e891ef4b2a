"""Knows rests, seasons and habits in an owner's words: when they do not sew, when they sew more,
how they sew, whether they oil."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

from oilchart.core.days import Span, add_days
from oilchart.core.use.report import FLAT_YEAR, Oiling, Report, SewingPace
from oilchart.sources.words.quantities import DATE, MINUS, NUMBER, Quantities

MOST_BUSY = 20

_SHARES = {"quarter": Fraction(1, 4), "third": Fraction(1, 3), "half": Fraction(1, 2)}
_WORDS_OF_SHARE = {"mostly": Fraction(7, 10), "no": Fraction(0), "all": Fraction(1)}


class Habits(Quantities):
    """A phrase read for rests, seasons and habits, which are kept in its report."""

    _report: Report

    def _idle(self, first: int) -> None:
        self._at += 1
        if DATE.fullmatch(self._next):
            start = self._date()
            if not self._take("to", *MINUS):
                self._stop('"to" and the last day of the rest')
            last = self._date()
            if last < start:
                self._refuse(first, "ends before it begins")
            self._rest(Span(first=start, end=add_days(last, 1)))
            return
        if self._report.idle_months == frozenset():
            self._refuse(first, 'contradicts "no rests"')
        months = self._months() | (self._report.idle_months or frozenset())
        self._report = replace(self._report, idle_months=months)

    def _away(self, first: int) -> None:
        self._at += 1
        self._expect("until")
        end = self._date()
        if end <= self._said:
            self._refuse(first, f"ends before the day it was said, {self._said}")
        self._rest(Span(first=self._said, end=end))

    def _no(self, first: int) -> None:
        """No rests, no seasons, no zigzag."""
        self._at += 1
        what = self._take("rests", "rest", "seasons", "season", "zigzag")
        if what in ("rests", "rest"):
            if self._report.idle_months is not None:
                self._refuse(first, "contradicts what was said of rests before it")
            self._report = replace(self._report, idle_months=frozenset())
        elif what in ("seasons", "season"):
            if self._report.weights is not None:
                self._refuse(first, "contradicts what was said of seasons before it")
            self._report = replace(self._report, weights=FLAT_YEAR)
        elif what == "zigzag":
            self._set_share(Fraction(0), first)
        else:
            self._stop("rests, seasons or zigzag")

    def _busy(self, first: int) -> None:
        self._at += 1
        months = self._months()
        self._expect("x")
        times = self._plain_number()
        if self._take("/"):
            down = self._plain_number()
            times = times / down if down else Fraction(0)
        if not 1 <= times <= MOST_BUSY:
            self._refuse(first, f"must be from x1 to x{MOST_BUSY}; rests are said with idle")
        before = self._report.weights or FLAT_YEAR
        weights = [
            weight * (times if month in months else Fraction(1))
            for month, weight in enumerate(before, start=1)
        ]
        scale = math.lcm(*(weight.denominator for weight in weights))
        whole = [int(weight * scale) for weight in weights]
        if max(whole) > MOST_BUSY * min(whole):
            self._refuse(first, f"makes some month more than {MOST_BUSY} times as busy as another")
        self._report = replace(
            self._report, weights=tuple(weight // math.gcd(*whole) for weight in whole)
        )

    def _zigzag(self, first: int) -> None:
        share = self._share_ahead()
        if share is None:
            self._at += 1
            self._stop('"zigzag"')
        value, tokens = share
        self._at += tokens
        if not 0 <= value <= 1:
            self._refuse(first, "is more than all of it")
        self._set_share(value, first)

    def _share_ahead(self) -> tuple[Fraction, int] | None:
        """A share that "zigzag" follows, and how many tokens it takes; None where no such thing
        stands next."""
        words = [self._token(at) for at in range(4)]
        match words:
            case [word, "zigzag", *_] if word in _WORDS_OF_SHARE:
                return _WORDS_OF_SHARE[word], 2
            case ["half", "zigzag", *_]:
                return _SHARES["half"], 2
            case ["a" | "one", word, "zigzag", _] if word in _SHARES:
                return _SHARES[word], 3
            case [number, "%", "zigzag", _] if NUMBER.fullmatch(number):
                return Fraction(number) / 100, 3
        return None

    def _set_share(self, share: Fraction, first: int) -> None:
        if self._report.zigzag_share is not None:
            self._refuse(first, "is the second share of zigzag in one phrase; keep one of them")
        self._report = replace(self._report, zigzag_share=share)

    def _pace(self, first: int) -> None:
        word = self._take("slow", "normal", "flat")
        if word == "normal":
            self._expect("speed")
        if word == "flat":
            self._expect("out")
        if self._report.pace is not None:
            self._refuse(first, "is the second speed in one phrase; keep one of them")
        paces = {"slow": SewingPace.SLOW, "normal": SewingPace.NORMAL, "flat": SewingPace.FLAT_OUT}
        self._report = replace(self._report, pace=paces[word or "normal"])

    def _oils(self, first: int) -> None:
        how = self._take("sometimes", "never")
        self._expect("oils")
        self._expect("it")
        if self._report.oiling is not None:
            self._refuse(first, "is said twice of the oiling; keep one of them")
        oiling = {"sometimes": Oiling.SOMETIMES, "never": Oiling.NEVER}.get(how or "", Oiling.YES)
        self._report = replace(self._report, oiling=oiling)

    def _rest(self, span: Span) -> None:
        self._report = replace(self._report, idle_spans=(*self._report.idle_spans, span))
