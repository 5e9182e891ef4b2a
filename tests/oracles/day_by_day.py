"""How much a machine is used and when a job falls due, reckoned one day at a time by the plain
definitions.

This is the tests' oracle. It is written from the definitions alone, shares no code with the
program, and is meant to be read beside them: the sentence of a definition stands as a comment above
the code that does it. It loops over days and reckons in whole ticks and Fractions; nothing is
closed form.

Malformed input that the definitions exclude (a falling reading, an empty total, weights that are
all 0) raises ValueError rather than giving an answer that would mean nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import floor, isqrt
from typing import Literal, NamedTuple, TypedDict, TypeVar

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

Told = TypeVar("Told")
Span = tuple[date, date]
Period = Literal["day", "week", "month", "year"]
LowHigh = tuple[int, int]
LEAST_ACTIVE_DAYS = 28
CASES = ("low", "least", "likely", "careful", "high")


class Ticks(NamedTuple):
    """Ticks of a day, or of several days, at the five curves."""

    low: int
    least: int
    likely: int
    careful: int
    high: int


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
    wall: int  # the weights of all its days that do not rest
    active: int  # how many of its days neither rest nor weigh nothing
    weights: Sequence[int]  # in force when it was said

    @property
    def tells_a_mean(self) -> bool:
        return self.high > 0 and self.active > 0

    def alone(self, weight: int) -> LowHigh:
        """What it gives by itself to a day of a weight; evenly where all its days rest."""
        if self.wall == 0:
            days = (self.said - self.since).days
            return floor(self.low / days), floor(self.high / days)
        return floor(self.low * weight / self.wall), floor(self.high * weight / self.wall)


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
        self._runs = self._find_runs()
        self._totals = self._find_totals()
        self._pairs = self._find_pairs()

        self.dropped: dict[int, Fraction] = {}  # ticks of totals, by the number of their statement
        self._covered = self._spread_amounts()
        self._paces: dict[int, tuple[LowHighOn | None, bool]] = {}
        self._remembered: dict[date, Ticks] = {}

    # --- what is asked of it
    # ---------------------------------------------------------------------------------------

    def is_known(self) -> bool:
        """Whether any use is known."""
        return self._pace_after(len(self._statements))[0] is not None

    def ticks_on(self, day: date) -> Ticks | None:
        """The ticks of that day; None if no use is known."""
        if not self.is_known():
            return None
        if day not in self._remembered:
            low, high = self._low_and_high_on(day)
            # Likely = isqrt(max(low, high // 10) x high), careful = isqrt(likely x high).
            least = max(low, high // 10)
            likely = isqrt(least * high)
            careful = isqrt(likely * high)
            self._remembered[day] = Ticks(low, least, likely, careful, high)
        return self._remembered[day]

    def used(self, start: date, end: date) -> Ticks | None:
        """The ticks of the days [start, end); None if no use is known."""
        if not self.is_known():
            return None
        days = [self._known_ticks_on(day) for day in _days(start, end)]
        return Ticks(*(sum(day[case] for day in days) for case in range(len(CASES))))

    def is_assumed(self, day: date) -> bool:
        """Whether nothing covers a day and what holds on it was told later, or of short spans."""
        if day in self._covered:
            return False
        return self._pace_after(self._said_by(day))[1]

    def due_by_use(
        self, done: date, limit_on: Callable[[date], int | None], last_day: date
    ) -> tuple[date | None, ...] | None:
        """The last day in time by use at each of the five curves; a day after last_day is given as
        None.

        Args:
            limit_on: the effective limit in ticks by how the machine is worked on a day; None for
                no limit.
        """
        if not self.is_known():
            return None
        # Each stretch of days counts use / its effective limit; due is the last day up to which
        # they sum to at most 1. With one limit that is max{ d : H(d) - H(done) <= limit }.
        spent = [Fraction(0)] * len(CASES)
        due: list[date | None] = [None] * len(CASES)
        for day in _days(done, last_day + ONE_DAY):
            limit, ticks = limit_on(day), self._known_ticks_on(day)
            for case in range(len(CASES)):
                if limit is not None:
                    spent[case] += Fraction(ticks[case], limit)  # now up to the start of day + 1
                if due[case] is None and spent[case] > 1:
                    due[case] = day
            if None not in due:
                break
        return tuple(due)

    def used_up(
        self, done: date, limit_on: Callable[[date], int | None], today: date
    ) -> tuple[Fraction, ...]:
        """The share of the limit that is used up at the start of a day, at each curve."""
        spent = [Fraction(0)] * len(CASES)
        for day in _days(done, today):
            limit, ticks = limit_on(day), self._known_ticks_on(day)
            for case in range(len(CASES)):
                if limit is not None:
                    spent[case] += Fraction(ticks[case], limit)
        return tuple(spent)

    def _known_ticks_on(self, day: date) -> Ticks:
        ticks = self.ticks_on(day)
        assert ticks is not None
        return ticks

    # --- rests and seasons
    # -----------------------------------------------------------------------------------------

    def first_hours(self) -> date | None:
        """The day of the first statement of hours: a rate, a total, or the second reading of a
        pair."""
        days = [
            statement["said"]
            for number, statement in enumerate(self._statements)
            if statement["rate"] is not None
            or statement["total"] is not None
            or number in self._runs
        ]
        return min(days, default=None)

    def _idle_months_in_force(self, day: date) -> AbstractSet[int]:
        told = [
            (statement["said"], statement["idle_months"])
            for statement in self._statements
            if statement["idle_months"] is not None
        ]
        return self._in_force(told, NO_RESTS, day)

    def _weights_in_force(self, day: date) -> Sequence[int]:
        told = [
            (statement["said"], statement["weights"])
            for statement in self._statements
            if statement["weights"] is not None
        ]
        return self._in_force(told, NO_SEASONS, day)

    def _in_force(self, told: Sequence[tuple[date, Told]], untold: Told, day: date) -> Told:
        # Of the latest statement said on or before d that says anything about them (`None` says
        # nothing). Two statements on one day: the later position wins.
        before = [value for said, value in told if said <= day]
        if before:
            return before[-1]
        # Rests and seasons go backwards with the first statement that says THEM, if it is not later
        # than the first statement of hours.
        hours = self.first_hours()
        return told[0][1] if told and hours is not None and told[0][0] <= hours else untold

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
        # said). An active day has no rest and no stay, and some weight.
        weights = self._working_weights(list(_days(since, said)), said)
        active = sum(weight > 0 for weight in weights)
        return _Amount(
            since,
            said,
            low * HOUR,
            high * HOUR,
            sum(weights),
            active,
            self._weights_in_force(said),
        )

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

    def _find_runs(self) -> dict[int, tuple[date, Fraction]]:
        # Each two successive readings on the same meter (sorted by day; a `new_meter` reading
        # starts a new meter) form an exact amount over [day1, day2).
        runs: dict[int, tuple[date, Fraction]] = {}
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
                runs[number] = (day_before, run)
            before = (statement["said"], reading)
        return runs

    def _find_pairs(self) -> dict[int, _Amount]:
        return {
            number: self._amount(since, self._statements[number]["said"], run, run)
            for number, (since, run) in self._runs.items()
        }

    def _spread_amounts(self) -> dict[date, LowHigh]:
        """The low and high ticks of every day that a total or pair covers."""
        # Pairs of readings beat totals; of two totals the one said later (then later position)
        # holds.
        # (Pairs never share a day, so their order among themselves is nothing.)
        strongest_first = [
            *((number, self._pairs[number]) for number in self._pairs),
            *((number, self._totals[number]) for number in reversed(self._totals)),
        ]

        covered: dict[date, LowHigh] = {}
        # Process from the strongest to the weakest.
        for number, amount in strongest_first:
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
            working = self._working_weights(own_days, amount.said)
            # If every spread day rests (W = 0): evenly, w = 1 on each spread day, resting or not.
            weights = working if sum(working) else [1] * len(own_days)
            weights_sum = sum(weights)
            given = Fraction(0)
            for day, weight, its_own in zip(own_days, weights, working, strict=True):
                # What is left is spread at no more than that total alone would give that day.
                alone_low, alone_high = amount.alone(its_own)
                covered[day] = (
                    min(floor(own_low * weight / weights_sum), alone_low),
                    min(floor(own_high * weight / weights_sum), alone_high),
                )
                given += covered[day][1]
            # If more is left, the rest is dropped, and that is said: from an hour on.
            if own_high - given >= HOUR:
                self.dropped[number] = own_high - given
        return covered

    # --- the use of one day
    # ----------------------------------------------------------------------------------------

    def _low_and_high_on(self, day: date) -> LowHigh:
        if day in self._covered:
            return self._covered[day]

        # Resting days have 0 use.
        if self._rests(day, self._idle_months_in_force(day)):
            return 0, 0

        pace, _ = self._pace_after(self._said_by(day))
        assert pace is not None
        return pace(day)

    def _said_by(self, day: date) -> int:
        return sum(statement["said"] <= day for statement in self._statements)

    def _pace_after(self, said: int) -> tuple[LowHighOn | None, bool]:
        """What holds on days that nothing covers once so many statements were said, and whether it
        is assumed."""
        if said not in self._paces:
            self._paces[said] = self._find_pace(said)
        return self._paces[said]

    def _find_pace(self, said: int) -> tuple[LowHighOn | None, bool]:
        # The last earlier statement that can go on holds: a rate; or the mean of totals or
        # readings of the same kind since the last rate, newest first, until they span 28 active
        # days. If a rate is said in the same statement as a total or a reading, the rate holds.
        for number in reversed(range(said)):
            pace = self._rate_of(number) or self._mean_of(number)
            if pace is not None:
                return pace, False
        # Else the first later one, assumed; of a total (pair) and a rate in one statement the
        # total goes backwards.
        for number in range(said, len(self._statements)):
            pace = self._mean_of(number) or self._rate_of(number)
            if pace is not None:
                return pace, True
        # Else the mean of the short ones, assumed: of readings, or else of totals.
        for amounts in (self._pairs, self._totals):
            short = [each for each in amounts.values() if each.high > 0 and each.active]
            if short:
                return self._mean(short), True
        # If that is 0 or over no active day: no report.
        return None, True

    def _rate_of(self, number: int) -> LowHighOn | None:
        statement = self._statements[number]
        rate = statement["rate"]
        if rate is None:
            return None
        idle_when_said = self._idle_months_in_force(statement["said"])
        return lambda day: self._by_rate(rate, idle_when_said, day)

    def _mean_of(self, number: int) -> LowHighOn | None:
        # A pair's mean before a total's when both are said in one statement. A total or pair
        # whose high end is 0 never goes on.
        for amounts in (self._pairs, self._totals):
            if number not in amounts or not amounts[number].tells_a_mean:
                continue
            taken: list[_Amount] = []
            for earlier in range(number, -1, -1):
                if earlier != number and self._statements[earlier]["rate"] is not None:
                    break
                if earlier in amounts and amounts[earlier].tells_a_mean:
                    taken.append(amounts[earlier])
                if sum(amount.active for amount in taken) >= LEAST_ACTIVE_DAYS:
                    return self._mean(taken)
        return None

    def _mean(self, amounts: Sequence[_Amount]) -> LowHighOn:
        # All their hours over all their active days, the weights of each brought to a year's mean:
        # an amount of wall W whose weights make S in a year spans W / S of a year of even use.
        years = sum(
            (Fraction(amount.wall, _weighted_year(amount.weights)) for amount in amounts),
            Fraction(0),
        )
        low = sum((amount.low for amount in amounts), Fraction(0))
        high = sum((amount.high for amount in amounts), Fraction(0))

        def on(day: date) -> LowHigh:
            weights = self._weights_in_force(day)
            share = Fraction(weights[day.month - 1], _weighted_year(weights))
            return floor(low / years * share), floor(high / years * share)

        return on

    def _by_rate(self, rate: Rate, idle_when_said: AbstractSet[int], day: date) -> LowHigh:
        weights = self._weights_in_force(day)
        weight = weights[day.month - 1]
        weights_sum = _weighted_year(weights)
        if rate["per"] == "year":
            # Hours a year are spread over the active days of a common year (the yearly rests in
            # force on the day it was said); no active day: 0.
            weights_sum = sum(
                w * n
                for month, (w, n) in enumerate(
                    zip(weights, DAYS_IN_MONTH_FIXED, strict=True), start=1
                )
                if month not in idle_when_said
            )
            if weights_sum == 0:
                return 0, 0
        # A rate gives ticks a day: floor(hours x HOUR / period days).
        low = floor(rate["low"] * HOUR / PERIOD_DAYS[rate["per"]])
        high = floor(rate["high"] * HOUR / PERIOD_DAYS[rate["per"]])
        # With season weights w of the day's month: floor(ticks a day x w x 365 / S). All weights 1
        # change nothing.
        return low * weight * 365 // weights_sum, high * weight * 365 // weights_sum


class Habits(TypedDict):
    """What an owner told of how they work a machine on one day; None where nothing was said."""

    said: date
    zigzag_share: Fraction | None
    speed: Fraction | None  # against the model's own; above 1 it is fast work
    oiled: Literal["yes", "sometimes", "never"] | None


class Noted(TypedDict):
    """A condition that the shop noted of a machine."""

    condition: str
    since: date | None  # None: nobody knows since when
    until: date | None  # the first day on which it is so no more


class Worked:
    """How one machine was worked on each day."""

    def __init__(
        self,
        habits: Sequence[Habits],
        noted: Sequence[Noted],
        *,
        entered: date,
        first_hours: date | None,
    ) -> None:
        self._habits = sorted(habits, key=lambda each: each["said"])
        self._noted = noted
        # Only what is told when the machine is entered, or with its first statement of use, acts
        # backwards.
        self._backwards = {entered, first_hours}

    def zigzag_share_on(self, day: date) -> Fraction:
        told = [
            (each["said"], each["zigzag_share"])
            for each in self._habits
            if each["zigzag_share"] is not None
        ]
        return self._held(told, Fraction(3, 10), day)

    def speed_on(self, day: date) -> Fraction:
        told = [(each["said"], each["speed"]) for each in self._habits if each["speed"] is not None]
        return self._held(told, Fraction(1), day)

    def _held(
        self, told: Sequence[tuple[date, Fraction]], default: Fraction, day: date
    ) -> Fraction:
        # It holds from its day on, before it the default.
        before = [value for said, value in told if said <= day]
        if before:
            return before[-1]
        if told and told[0][0] in self._backwards:
            return [value for said, value in told if said == told[0][0]][-1]
        return default

    def conditions_on(self, day: date) -> AbstractSet[str]:
        holding = set()
        for each in self._noted:
            since = None if each["since"] in self._backwards else each["since"]
            begun = since is None or since <= day
            if begun and (each["until"] is None or day < each["until"]):
                holding.add(each["condition"])
        if self.speed_on(day) > 1:
            holding.add("fast-work")
        # "Never oils it" acts back to the last other answer, else to the beginning; and on until
        # another answer is given.
        answers = [(each["said"], each["oiled"]) for each in self._habits if each["oiled"]]
        earlier = [answer for said, answer in answers if said <= day]
        later = [answer for said, answer in answers if said > day]
        if "never" in (*earlier[-1:], *later[:1]):
            holding.add("not-oiled-at-home")
        return holding


LowHighOn = Callable[[date], LowHigh]


def _weighted_year(weights: Sequence[int]) -> int:
    # S = sum over months of w_m n_m.
    return sum(w * n for w, n in zip(weights, DAYS_IN_MONTH_FIXED, strict=True))


def due_by_time(done: date, months: int, days: int, factor_on: Callable[[date], Fraction]) -> date:
    """The last day in time by a limit at rest of so many months and days, where the factor on it
    may change from day to day."""
    # A day on which the time factor is f counts 1/E(f), E(f) being the days (at least 1) of the
    # limit x f counted from `done`; due is the last day d with the sum over the days from `done` to
    # before d at most 1.
    known: dict[Fraction, int] = {}
    spent = Fraction(0)
    day = done
    while True:
        factor = factor_on(day)
        if factor not in known:
            known[factor] = max(1, (_at_factor(done, months, days, factor) - done).days)
        spent += Fraction(1, known[factor])
        if spent > 1:
            return day
        day += ONE_DAY


def _at_factor(done: date, months: int, days: int, factor: Fraction) -> date:
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
