"""How much a machine is used and when a job falls due, reckoned one day at a time by the plain
definitions.

This is the tests' oracle. It is written from the definitions alone, shares no code with the
program, and is meant to be read beside them: the sentence of a definition stands as a comment above
the code that does it. It loops over days and reckons in whole ticks and Fractions; nothing is
closed form.

Malformed input that the definitions exclude (a falling reading, an empty total, weights that are
all 0) raises ValueError rather than giving an answer that would mean nothing.
"""

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import floor, isqrt
from typing import Literal, TypedDict

# 1 hour = 36,792,000 ticks.
HOUR = 36_792_000

# Period: day 1, week 7, month 365/12, year 365.
PERIOD_DAYS = {
    "day": Fraction(1),
    "week": Fraction(7),
    "month": Fraction(365, 12),
    "year": Fraction(365),
}

# n = 31, 28, 31, 30, ... fixed, leap years too.
DAYS_IN_MONTH_FIXED = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

NO_RESTS: AbstractSet[int] = frozenset()
NO_SEASONS: Sequence[int] = (1,) * 12
ONE_DAY = timedelta(days=1)

Span = tuple[date, date]
Period = Literal["day", "week", "month", "year"]
LowHigh = tuple[int, int]
LowLikelyHigh = tuple[int, int, int]


class Rate(TypedDict):
    """A use said in hours a period."""

    low: Fraction
    high: Fraction
    per: Period


class Total(TypedDict):
    """Hours said for the days from one up to the day on which they were said."""

    low: Fraction
    high: Fraction
    since: date


class Statement(TypedDict):
    """What an owner said on one day; None where nothing was said of it."""

    said: date
    rate: Rate | None
    total: Total | None
    reading: Fraction | None
    new_meter: bool
    idle_months: AbstractSet[int] | None
    weights: Sequence[int] | None
    idle_spans: Sequence[Span]


@dataclass(frozen=True)
class _Amount:
    """A use said for the days [since, said): a total, or a pair of meter readings."""

    since: date
    said: date
    low: Fraction  # ticks
    high: Fraction  # ticks
    wall: int  # the definitions' Wall


def _days(start: date, end: date) -> Iterator[date]:
    """The days of the half open span [start, end)."""
    day = start
    while day < end:
        yield day
        day += ONE_DAY


class DayByDay:
    """One machine: what was said of its use, and the days it stood in the shop."""

    def __init__(self, statements: Sequence[Statement], stays: Sequence[Span] = ()) -> None:
        # Sorted by `said`, then by position (the sort is stable, so the position breaks ties).
        self._statements = sorted(statements, key=lambda statement: statement["said"])
        for statement in self._statements:
            if statement["weights"] is not None and sum(statement["weights"]) == 0:
                raise ValueError("season weights that are all 0 share out nothing")

        # Dated rests always hold, those of any statement, said earlier or later; and so do the
        # stays.
        self._dated_rests = [
            span for statement in self._statements for span in statement["idle_spans"]
        ]
        self._dated_rests += stays

        # By the number of the statement that says the total, or that has the second reading of the
        # pair.
        self._totals = self._find_totals()
        self._pairs = self._find_pairs()

        # Use statements: a rate, a total's mean, a pair's mean. A lone reading is none.
        self._use_statements = [
            number
            for number, statement in enumerate(self._statements)
            if statement["rate"] is not None or number in self._totals or number in self._pairs
        ]

        self._covered = self._spread_amounts()
        self._remembered: dict[date, LowLikelyHigh] = {}

    # --- what is asked of it
    # ---------------------------------------------------------------------------------------

    def ticks_on(self, day: date) -> LowLikelyHigh | None:
        """The low, likely and high ticks of that day; None if no use is known."""
        # No use statement at all: no use known.
        if not self._use_statements:
            return None
        if day not in self._remembered:
            low, high = self._low_and_high_on(day)
            self._remembered[day] = (low, _likely(low, high), high)
        return self._remembered[day]

    def used(self, start: date, end: date) -> LowLikelyHigh | None:
        """The low, likely and high ticks of the days [start, end); None if no use is known."""
        low = likely = high = 0
        for day in _days(start, end):
            ticks = self.ticks_on(day)
            if ticks is None:
                return None
            low += ticks[0]
            likely += ticks[1]
            high += ticks[2]
        return (low, likely, high) if self._use_statements else None

    def due_by_use(
        self, done: date, limit_hours: Fraction, factor: Fraction, share: Fraction, last_day: date
    ) -> tuple[date | None, date | None, date | None] | None:
        """The earliest, likely and latest day due by use; a day after last_day is given as None."""
        if not self._use_statements:
            return None
        # Effective use limit in ticks = floor(limit hours x HOUR x factor / share).
        limit = floor(limit_hours * HOUR * factor / share)

        # Due by use = max{ d : H(d) - H(done) <= effective limit }, H(d) being the use up to the
        # START of day d:
        # the day in the course of which the limit is first exceeded.
        used = [0, 0, 0]  # low, likely, high: H(day) - H(done)
        due: list[date | None] = [None, None, None]
        for day in _days(done, last_day + ONE_DAY):
            ticks = self.ticks_on(day)
            assert ticks is not None
            for curve in range(3):
                used[curve] += ticks[curve]  # now H(day + 1) - H(done)
                if due[curve] is None and used[curve] > limit:
                    due[curve] = day
            if None not in due:
                break

        # Earliest uses the high curve, likely the likely curve, latest the low curve.
        by_low, by_likely, by_high = due
        return by_high, by_likely, by_low

    # --- rests and seasons
    # -----------------------------------------------------------------------------------------

    def _idle_months_in_force(self, day: date) -> AbstractSet[int]:
        # For days before the first statement was said (the first of all statements, by day and
        # position):
        # what that first statement says (nothing said = none).
        first = self._statements[0]
        if day < first["said"]:
            return NO_RESTS if first["idle_months"] is None else first["idle_months"]
        # Of the latest statement said on or before d that says anything about them (`None` says
        # nothing).
        # Two statements on one day: the later position wins.
        in_force = NO_RESTS
        for statement in self._statements:
            if statement["said"] <= day and statement["idle_months"] is not None:
                in_force = statement["idle_months"]
        return in_force

    def _weights_in_force(self, day: date) -> Sequence[int]:
        # For days before the first statement was said: what that first statement says (nothing said
        # = all 1).
        first = self._statements[0]
        if day < first["said"]:
            return NO_SEASONS if first["weights"] is None else first["weights"]
        # Of the latest statement said on or before d that says anything about them; the later
        # position wins.
        in_force = NO_SEASONS
        for statement in self._statements:
            if statement["said"] <= day and statement["weights"] is not None:
                in_force = statement["weights"]
        return in_force

    def _rests(self, day: date, idle_months: AbstractSet[int]) -> bool:
        # A day rests if it lies in any dated span, in a stay, or in an idle month in force.
        if day.month in idle_months:
            return True
        return any(start <= day < end for start, end in self._dated_rests)

    def _working_weights(self, days: Sequence[date], as_of: date) -> list[int]:
        """Of each day its season weight, or 0 if it rests."""
        # The rests and season weights in force on the day it was said
        # (yearly rests, weights: as of `said`, for all its days; dated spans and stays by day).
        idle_months = self._idle_months_in_force(as_of)
        weights = self._weights_in_force(as_of)
        return [0 if self._rests(day, idle_months) else weights[day.month - 1] for day in days]

    # --- totals and pairs of readings
    # ------------------------------------------------------------------------------

    def _amount(self, since: date, said: date, low: Fraction, high: Fraction) -> _Amount:
        if not since < said:
            raise ValueError("an amount must cover at least one day")
        # Wall = sum of w over all non-resting days of its whole span (w, rests as of when it was
        # said).
        wall = sum(self._working_weights(list(_days(since, said)), said))
        return _Amount(since, said, low * HOUR, high * HOUR, wall)

    def _find_totals(self) -> dict[int, _Amount]:
        # A total covers [since, said).
        totals: dict[int, _Amount] = {}
        for number, statement in enumerate(self._statements):
            total = statement["total"]
            if total is not None:
                totals[number] = self._amount(
                    total["since"], statement["said"], total["low"], total["high"]
                )
        return totals

    def _find_pairs(self) -> dict[int, _Amount]:
        # Each two successive readings on the same meter (sorted by day; a `new_meter` reading
        # starts a new meter)
        # form an exact amount over [day1, day2).
        pairs: dict[int, _Amount] = {}
        before: tuple[date, Fraction] | None = None
        for number, statement in enumerate(self._statements):
            reading = statement["reading"]
            if reading is None:
                continue
            if before is not None and not statement["new_meter"]:
                day_before, reading_before = before
                run = reading - reading_before
                if run < 0:
                    raise ValueError("a meter reading fell")
                pairs[number] = self._amount(day_before, statement["said"], run, run)
            before = (statement["said"], reading)
        return pairs

    def _spread_amounts(self) -> dict[date, LowHigh]:
        """The low and high ticks of every day that a total or pair covers."""
        # Pairs of readings beat totals; of two totals the one said later (then later position)
        # holds.
        # (Pairs never share a day, so their order among themselves is nothing.)
        strongest_first = list(self._pairs.values()) + list(reversed(self._totals.values()))

        covered: dict[date, LowHigh] = {}
        # Process from the strongest to the weakest.
        for amount in strongest_first:
            # A weaker one's own days are those not covered by a stronger one.
            own_days = [day for day in _days(amount.since, amount.said) if day not in covered]
            shared_days = [day for day in _days(amount.since, amount.said) if day in covered]

            # Its amount for its own days = amount less what the stronger ones (after their own
            # reckoning) have on the
            # shared days, never below 0. For the LOW curve subtract the stronger ones' HIGH ticks
            # from the weaker
            # one's low amount; for the HIGH curve subtract the stronger ones' LOW ticks.
            own_low = max(Fraction(0), amount.low - sum(covered[day][1] for day in shared_days))
            own_high = max(Fraction(0), amount.high - sum(covered[day][0] for day in shared_days))

            # The day's low ticks = floor(amount_low x w / W), W = the sum of w over the total's
            # spread days that do
            # not rest; resting days 0. Own days only are the spread days.
            weights = self._working_weights(own_days, amount.said)
            if sum(weights) == 0:
                # If every spread day rests (W = 0): evenly, w = 1 on each spread day, resting or
                # not.
                weights = [1] * len(own_days)
            weights_sum = sum(weights)
            for day, weight in zip(own_days, weights, strict=True):
                covered[day] = (
                    floor(own_low * weight / weights_sum),
                    floor(own_high * weight / weights_sum),
                )
        return covered

    # --- the use of one day
    # ----------------------------------------------------------------------------------------

    def _low_and_high_on(self, day: date) -> LowHigh:
        if day in self._covered:
            return self._covered[day]

        # Resting days have 0 use.
        if self._rests(day, self._idle_months_in_force(day)):
            return 0, 0

        # On a day that no total or pair covers: the use statement with the latest such day <= d
        # holds
        # (ties: later position).
        holding: int | None = None
        for number in self._use_statements:
            if self._statements[number]["said"] <= day:
                holding = number
        if holding is not None:
            # If a rate is said in the same statement as a total or a reading, the rate holds (from
            # `said`), not the
            # mean. A pair's mean before a total's when both are said in one statement.
            rate = self._statements[holding]["rate"]
            if rate is not None:
                return self._by_rate(rate, day)
            return self._by_mean(self._amount_of(holding), day)

        # If there is none (days before): the first use statement by that day and position; if that
        # first statement
        # has a total (or completes a pair) and a rate, the total's (pair's) mean holds backwards,
        # not the rate.
        first = self._use_statements[0]
        rate = self._statements[first]["rate"]
        if first in self._totals or first in self._pairs or rate is None:
            return self._by_mean(self._amount_of(first), day)
        return self._by_rate(rate, day)

    def _amount_of(self, number: int) -> _Amount:
        # A pair's mean before a total's when both are said in one statement.
        return self._pairs[number] if number in self._pairs else self._totals[number]

    def _by_rate(self, rate: Rate, day: date) -> LowHigh:
        weights = self._weights_in_force(day)
        weight = weights[day.month - 1]
        weights_sum = _weighted_year(weights)
        # A rate gives ticks a day: floor(hours x HOUR / period days).
        low = floor(rate["low"] * HOUR / PERIOD_DAYS[rate["per"]])
        high = floor(rate["high"] * HOUR / PERIOD_DAYS[rate["per"]])
        # With season weights w of the day's month: floor(ticks a day x w x 365 / S). All weights 1
        # change nothing.
        return low * weight * 365 // weights_sum, high * weight * 365 // weights_sum

    def _by_mean(self, amount: _Amount, day: date) -> LowHigh:
        # In the case Wall = 0, floor(amount / number of days of span).
        if amount.wall == 0:
            days_of_span = (amount.said - amount.since).days
            return floor(amount.low / days_of_span), floor(amount.high / days_of_span)
        # Ticks on day d = floor(whole amount x w_d / Wall x S_said / S_d), w_d and S_d by the
        # weights in force on d, S_said by
        # those in force when it was said: weights that are only scaled change nothing.
        weights, weights_said = self._weights_in_force(day), self._weights_in_force(amount.said)
        scale = Fraction(_weighted_year(weights_said), _weighted_year(weights))
        weight = weights[day.month - 1]
        return floor(amount.low * weight / amount.wall * scale), floor(
            amount.high * weight / amount.wall * scale
        )


def _weighted_year(weights: Sequence[int]) -> int:
    # S = sum over months of w_m n_m.
    return sum(w * n for w, n in zip(weights, DAYS_IN_MONTH_FIXED, strict=True))


def _likely(low: int, high: int) -> int:
    # Likely ticks on a day = isqrt(low ticks of the day x high ticks of the day); if low is 0: (low
    # + high) // 2.
    if low == 0:
        return (low + high) // 2
    return isqrt(low * high)


def due_by_time(done: date, months: int, days: int, factor: Fraction) -> date:
    """The day due by time: so many months and days after done, each cut by the factor."""
    # With a time factor f < 1: n months x f = its whole months, then floor(28 x remainder) days; n
    # days x f = floor.
    # (With f = 1 the remainder is 0 and nothing is cut.)
    whole_months = floor(months * factor)
    remainder = months * factor - whole_months
    day = add_months_plainly(done, whole_months)
    day += timedelta(days=floor(28 * remainder))
    # And/or plus days.
    day += timedelta(days=floor(days * factor))
    return day


def add_months_plainly(day: date, months: int) -> date:
    """The same day of the month so many months on (months >= 0), or the month's last day if it is
    shorter."""
    year, month = day.year, day.month
    for _ in range(months):
        month += 1
        if month == 13:
            year, month = year + 1, 1
    # Done + months, day clamped to the month's end.
    return date(year, month, min(day.day, _length_of_month(year, month)))


def _length_of_month(year: int, month: int) -> int:
    if month == 12:
        return 31
    return (date(year, month + 1, 1) - date(year, month, 1)).days
