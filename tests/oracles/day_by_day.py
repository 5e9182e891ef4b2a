"""When work falls due, reckoned day by day from the written definitions alone.

An oracle: it follows the text on how dates are reckoned ("How dates are reckoned" of the design, as
changed by "Dates that make sense to a person", and "Definitions that were settled here" of the
contributor's guide), and was written by someone who had not read the program's own reckoning.
Every day is looked at by itself, sums are plain loops, and shares are fractions. It imports nothing
of the program.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from math import isqrt
from typing import Literal, NamedTuple, TypedDict, TypeVar

HOUR = 36_792_000
"""Ticks: 7 x 365 x 14,400, so that all rates to two decimals are whole ticks a day."""

LONG_ENOUGH = 28
"""Active days that totals or readings must span before their mean goes on."""

Period = Literal["day", "week", "month", "year"]
Span = tuple[date, date]
"""Half open: its first day, and the day after its last one."""

Told = TypeVar("Told")

DAYS_OF_MONTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAYS_OF_PERIOD: Mapping[Period, Fraction] = {
    "day": Fraction(1),
    "week": Fraction(7),
    "month": Fraction(365, 12),
    "year": Fraction(365),
}
NO_SEASONS = (1,) * 12
ONE_DAY = timedelta(days=1)


class Ticks(NamedTuple):
    """The use of a day or of several on each of the curves: the low and the high end told, the low
    end that chance and the likely use go by, the likely and the careful use."""

    low: int
    least: int
    likely: int
    careful: int
    high: int


class Rate(TypedDict):
    """Hours a period."""

    low: Fraction
    high: Fraction
    per: Period


class Total(TypedDict):
    """Hours from a day up to the one on which they were said."""

    low: Fraction
    high: Fraction
    since: date


class Statement(TypedDict):
    """What an owner said of the use on one day; None where nothing was said of a thing.

    A reading is in hours. Weights are of the months from January on.
    """

    said: date
    rate: Rate | None
    total: Total | None
    reading: Fraction | None
    new_meter: bool
    idle_months: AbstractSet[int] | None
    weights: Sequence[int] | None
    idle_spans: Sequence[Span]


class Habits(TypedDict):
    """What an owner said of how they sew on one day; None where nothing was said of a thing.

    Args:
        speed: as a multiple of the model's working speed.
        oiled: "yes", "sometimes" or "never".
    """

    said: date
    zigzag_share: Fraction | None
    speed: Fraction | None
    oiled: str | None


class Noted(TypedDict):
    """A condition that was noted: since which day, None being always, and until before which."""

    condition: str
    since: date | None
    until: date | None


@dataclass(frozen=True)
class _Amount:
    """Hours told for days of their own: a total, or a pair of readings.

    Args:
        low, high: in ticks.
        weights: by day of its span, 0 where the day is not active, by the rests and seasons in
            force on the day it was said.
        weights_of_a_year: the weights of a common year's days, added up.
    """

    low: Fraction
    high: Fraction
    weights: Mapping[date, int]
    weights_of_a_year: int

    def active_days(self) -> int:
        """The days with no rest, no stay, and some season weight."""
        return sum(1 for weight in self.weights.values() if weight > 0)

    def has_a_mean(self) -> bool:
        """A total or pair whose high end is 0 never goes on, and a mean over no active day is no
        mean."""
        return self.high > 0 and self.active_days() > 0

    def weighted_years(self) -> Fraction:
        return Fraction(sum(self.weights.values()), self.weights_of_a_year)

    def shares_of_days(self) -> Mapping[date, int]:
        """In what proportion it is spread over its days: by weight; evenly if none has any."""
        if any(self.weights.values()):
            return self.weights
        return dict.fromkeys(self.weights, 1)


@dataclass(frozen=True)
class _Pace:
    """Use that goes on: ticks in a common year, low and high.

    Args:
        rested: the months that the year's use is not spread over, as it had its rests taken off.
    """

    low: Fraction
    high: Fraction
    rested: AbstractSet[int] = frozenset()

    def on(self, day: date, weights: Sequence[int]) -> tuple[int, int]:
        """The low and high ticks of a day that does not rest, floored after the season weights."""
        year = _weights_of_a_year(weights, self.rested)
        if year == 0:
            return 0, 0
        share = Fraction(weights[day.month - 1], year)
        return _floor(self.low * share), _floor(self.high * share)


class DayByDay:
    """The use of a machine, from what was told of it in the order in which it was told, and the
    days it was in the shop.

    Attributes:
        dropped: by number of the statement, the ticks of its total that are left out, where an hour
            or more is left that its days cannot take.
    """

    def __init__(self, statements: Sequence[Statement], stays: Sequence[Span] = ()) -> None:
        self._statements = statements
        self._away = _days_of_all([*_dated_rests(statements), *stays])
        self._pairs_read = _pairs_of_readings(statements)
        self._pairs = self._amounts_of_pairs()
        self._totals = self._amounts_of_totals()
        self.dropped: dict[int, Fraction] = {}
        self._covered: dict[date, tuple[int, int]] = {}
        self._cover_days()
        self._paces: dict[int, tuple[_Pace | None, bool]] = {}
        self._ticks: dict[date, Ticks] = {}

    # --- what is asked of it

    def is_known(self) -> bool:
        """Whether anything told gives a use: if not, it is as if there were no report."""
        return self._pace_after(len(self._statements))[0] is not None

    def first_hours(self) -> date | None:
        """The day of the first statement of hours: a rate, a total, the second reading of a
        pair."""
        for number, statement in enumerate(self._statements):
            if statement["rate"] or statement["total"] or number in self._pairs_read:
                return statement["said"]
        return None

    def ticks_on(self, day: date) -> Ticks | None:
        """The use of a day."""
        if not self.is_known():
            return None
        if day not in self._ticks:
            self._ticks[day] = _all_curves(*self._low_and_high_on(day))
        return self._ticks[day]

    def used(self, start: date, end: date) -> Ticks | None:
        """The use from the start of a day to the start of another."""
        if not self.is_known():
            return None
        sums = [0] * len(Ticks._fields)
        for day in _days(start, end):
            for curve, ticks in enumerate(self._known_ticks_on(day)):
                sums[curve] += ticks
        return Ticks(*sums)

    def is_assumed(self, day: date) -> bool:
        """Whether nothing was told of a day, and nothing told before it goes on."""
        return day not in self._covered and self._pace_after(self._told_by(day))[1]

    def due_by_use(
        self, done: date, limit_on: Callable[[date], int | None], last_day: date
    ) -> tuple[date | None, ...] | None:
        """On each curve the last day up to which the shares of the limit sum to at most 1; None if
        that is after the last day asked for."""
        if not self.is_known():
            return None
        return tuple(
            self._last_day_in_time(curve, done, limit_on, last_day)
            for curve in range(len(Ticks._fields))
        )

    def used_up(
        self, done: date, limit_on: Callable[[date], int | None], today: date
    ) -> tuple[Fraction, ...]:
        """On each curve the shares of the limit used up from the work to before a day."""
        used = [_UsedUp() for _ in Ticks._fields]
        for day in _days(done, today):
            for curve, ticks in enumerate(self._known_ticks_on(day)):
                used[curve].add(ticks, limit_on(day))
        return tuple(each.share() for each in used)

    def _last_day_in_time(
        self, curve: int, done: date, limit_on: Callable[[date], int | None], last_day: date
    ) -> date | None:
        """The use of a day comes between its start and the next day's: a day whose own use passes
        the limit is the last one that began in time."""
        used = _UsedUp()
        for day in _days(done, last_day + ONE_DAY):
            used.add(self._known_ticks_on(day)[curve], limit_on(day))
            if used.share() > 1:
                return day
        return None

    def _known_ticks_on(self, day: date) -> Ticks:
        ticks = self.ticks_on(day)
        assert ticks is not None
        return ticks

    # --- rests and seasons

    def _idle_months_on(self, day: date) -> AbstractSet[int]:
        told = [(each["said"], each["idle_months"]) for each in self._statements]
        return self._in_force(told, frozenset(), day)

    def _weights_on(self, day: date) -> Sequence[int]:
        told = [(each["said"], each["weights"]) for each in self._statements]
        return self._in_force(told, NO_SEASONS, day)

    def _in_force(self, told: Sequence[tuple[date, Told | None]], untold: Told, day: date) -> Told:
        """What was said last by a day; before it was said at all, what was said first, if that was
        no later than the first statement of hours."""
        said = [(when, what) for when, what in told if what is not None]
        by_then = [what for when, what in said if when <= day]
        if by_then:
            return by_then[-1]
        first_hours = self.first_hours()
        if said and first_hours is not None and said[0][0] <= first_hours:
            return said[0][1]
        return untold

    # --- amounts, which fix their own days only

    def _amounts_of_pairs(self) -> dict[int, _Amount]:
        return {
            number: self._amount(since, number, used, used)
            for number, (since, used) in self._pairs_read.items()
        }

    def _amounts_of_totals(self) -> dict[int, _Amount]:
        return {
            number: self._amount(total["since"], number, total["low"], total["high"])
            for number, statement in enumerate(self._statements)
            if (total := statement["total"]) is not None
        }

    def _amount(self, since: date, number: int, low: Fraction, high: Fraction) -> _Amount:
        """Hours from a day up to the one of a statement, by the rests and seasons in force on that
        day; dated rests and stays always hold."""
        said = self._statements[number]["said"]
        idle_months, seasons = self._idle_months_on(said), self._weights_on(said)
        weights = {}
        for day in _days(since, said):
            rests = day in self._away or day.month in idle_months
            weights[day] = 0 if rests else seasons[day.month - 1]
        return _Amount(low * HOUR, high * HOUR, weights, _weights_of_a_year(seasons))

    def _cover_days(self) -> None:
        """Readings beat totals; of two totals the later said holds on shared days."""
        for pair in self._pairs.values():
            self._spread(pair)
        for number, total in sorted(self._totals.items(), reverse=True):
            dropped = self._spread(total)
            if dropped >= HOUR:
                self.dropped[number] = dropped

    def _spread(self, amount: _Amount) -> Fraction:
        """Spread what stronger statements leave of an amount over its other days, each taking no
        more than it would of the amount alone, in whole ticks; give what is dropped of its high
        end.

        What they cover comes off crosswise: their high use off the low end, and the reverse.
        """
        shares = amount.shares_of_days()
        covered = [self._covered[day] for day in shares if day in self._covered]
        free = [day for day in shares if day not in self._covered]
        low_left = max(Fraction(0), amount.low - sum(high for _, high in covered))
        high_left = max(Fraction(0), amount.high - sum(low for low, _ in covered))
        of_free, of_all = sum(shares[day] for day in free), sum(shares.values())
        for day in free:
            self._covered[day] = (
                _floor(_capped(low_left, amount.low, shares[day], of_free, of_all)),
                _floor(_capped(high_left, amount.high, shares[day], of_free, of_all)),
            )
        return high_left - sum(self._covered[day][1] for day in free)

    # --- days that nothing covers

    def _low_and_high_on(self, day: date) -> tuple[int, int]:
        if day in self._covered:
            return self._covered[day]
        if day in self._away or day.month in self._idle_months_on(day):
            return 0, 0
        pace = self._pace_after(self._told_by(day))[0]
        assert pace is not None
        return pace.on(day, self._weights_on(day))

    def _told_by(self, day: date) -> int:
        """How many statements had been made by a day."""
        return sum(1 for statement in self._statements if statement["said"] <= day)

    def _pace_after(self, told: int) -> tuple[_Pace | None, bool]:
        """What holds where nothing covers a day and so many statements had been made, and whether
        that is assumed."""
        if told not in self._paces:
            self._paces[told] = self._find_pace_after(told)
        return self._paces[told]

    def _find_pace_after(self, told: int) -> tuple[_Pace | None, bool]:
        """The last earlier statement that can go on, else the first later one, else the mean of the
        short ones."""
        for number in reversed(range(told)):
            pace = self._pace_going_on_from(number)
            if pace is not None:
                return pace, False
        for number in range(told, len(self._statements)):
            pace = self._pace_going_back_from(number)
            if pace is not None:
                return pace, True
        return self._mean_of_the_short(), True

    def _pace_going_on_from(self, number: int) -> _Pace | None:
        """Of a rate and a total in one report the rate goes forwards."""
        return self._rate_told(number) or self._mean_told(number)

    def _pace_going_back_from(self, number: int) -> _Pace | None:
        """Of a rate and a total in one report the total goes backwards."""
        return self._mean_told(number) or self._rate_told(number)

    def _rate_told(self, number: int) -> _Pace | None:
        """A rate as use in a year; told by the year, it has the yearly rests in force on the day it
        was said taken off already."""
        statement = self._statements[number]
        rate = statement["rate"]
        if rate is None:
            return None
        periods = 365 / DAYS_OF_PERIOD[rate["per"]]
        rested = self._idle_months_on(statement["said"]) if rate["per"] == "year" else frozenset()
        return _Pace(rate["low"] * HOUR * periods, rate["high"] * HOUR * periods, rested)

    def _mean_told(self, number: int) -> _Pace | None:
        """Readings before totals."""
        return self._mean_back_from(number, self._pairs) or self._mean_back_from(
            number, self._totals
        )

    def _mean_back_from(self, number: int, amounts: Mapping[int, _Amount]) -> _Pace | None:
        """The mean of totals, or of readings, since the last rate, newest first, until they span 28
        active days; None if they do not."""
        if number not in amounts or not amounts[number].has_a_mean():
            return None
        taken: list[_Amount] = []
        for earlier in reversed(range(number + 1)):
            if earlier < number and self._statements[earlier]["rate"] is not None:
                return None
            if earlier in amounts and amounts[earlier].has_a_mean():
                taken.append(amounts[earlier])
            if sum(each.active_days() for each in taken) >= LONG_ENOUGH:
                return _mean(taken)
        return None

    def _mean_of_the_short(self) -> _Pace | None:
        """Of readings, or else of totals."""
        for amounts in (self._pairs, self._totals):
            with_a_mean = [each for each in amounts.values() if each.has_a_mean()]
            if with_a_mean:
                return _mean(with_a_mean)
        return None


class _UsedUp:
    """Shares of a limit that changes: each stretch counts its use by the limit that holds in it."""

    def __init__(self) -> None:
        self._ticks_by_limit: dict[int, int] = {}

    def add(self, ticks: int, limit: int | None) -> None:
        """Add the use of a day; without a limit of use it uses up nothing."""
        if limit is not None:
            self._ticks_by_limit[limit] = self._ticks_by_limit.get(limit, 0) + ticks

    def share(self) -> Fraction:
        total = Fraction(0)
        for limit, ticks in self._ticks_by_limit.items():
            total += Fraction(ticks, limit)
        return total


class Worked:
    """How a machine is worked, by the day: zigzag, speed, conditions.

    What is told acts from its day on; told on the day the machine was written down, or on that of
    the first statement of hours, backwards too, if nothing of the kind was told before. A day
    has no clock time: of two shares or speeds told on one day none is told before the other, and
    the later one holds.
    """

    def __init__(
        self,
        habits: Sequence[Habits],
        noted: Sequence[Noted],
        *,
        entered: date,
        first_hours: date | None,
    ) -> None:
        self._habits, self._noted = habits, noted
        self._days_that_act_backwards = {entered, first_hours}

    def zigzag_share_on(self, day: date) -> Fraction:
        """0.3 unless told."""
        told = [(each["said"], each["zigzag_share"]) for each in self._habits]
        return self._held_on(day, told, Fraction(3, 10))

    def speed_on(self, day: date) -> Fraction:
        """The model's working speed unless told."""
        told = [(each["said"], each["speed"]) for each in self._habits]
        return self._held_on(day, told, Fraction(1))

    def conditions_on(self, day: date) -> AbstractSet[str]:
        """All that act on a day, what follows from speed and oiling included."""
        acting = {each["condition"] for each in self._noted if self._acts_on(day, each)}
        if self.speed_on(day) > 1:
            acting.add("fast-work")
        if self._is_never_oiled_on(day):
            acting.add("not-oiled-at-home")
        return acting

    def _held_on(
        self, day: date, told: Sequence[tuple[date, Fraction | None]], untold: Fraction
    ) -> Fraction:
        said = [(when, what) for when, what in told if what is not None]
        by_then = [what for when, what in said if when <= day]
        if by_then:
            return by_then[-1]
        if said and said[0][0] in self._days_that_act_backwards:
            return [what for when, what in said if when == said[0][0]][-1]
        return untold

    def _acts_on(self, day: date, noted: Noted) -> bool:
        since, until = noted["since"], noted["until"]
        if until is not None and day >= until:
            return False
        return since is None or day >= since or self._acts_backwards(noted)

    def _acts_backwards(self, noted: Noted) -> bool:
        since = noted["since"]
        if since not in self._days_that_act_backwards:
            return False
        return not any(
            other["condition"] == noted["condition"] and _is_before(other["since"], since)
            for other in self._noted
        )

    def _is_never_oiled_on(self, day: date) -> bool:
        """That nobody oils it holds until another answer, and acts back to the last other one."""
        answers = [(each["said"], each["oiled"]) for each in self._habits if each["oiled"]]
        by_then = [answer for said, answer in answers if said <= day]
        after = [answer for said, answer in answers if said > day]
        return by_then[-1:] == ["never"] or after[:1] == ["never"]


def due_by_time(done: date, months: int, days: int, factor_on: Callable[[date], Fraction]) -> date:
    """The last day with at most 1 in sum over the days from the work to before it, a day on which
    the factor is f counting 1 / E(f), E(f) the days of the limit x f counted from the work."""
    day = done
    used = _UsedUp()
    while True:
        used.add(1, _days_of_limit(done, months, days, factor_on(day)))
        if used.share() > 1:
            return day
        day += ONE_DAY


def _days_of_limit(done: date, months: int, days: int, factor: Fraction) -> int:
    """The days, at least 1, of a limit at rest x a factor: of n months x f its whole months, then
    floor(28 x remainder) days."""
    whole_months = _floor(months * factor)
    end = add_months_plainly(done, whole_months)
    end += timedelta(days=_floor(28 * (months * factor - whole_months)))
    end += timedelta(days=_floor(days * factor))
    return max(1, (end - done).days)


def add_months_plainly(day: date, months: int) -> date:
    """The same day of a later month, or its last day if it has no such day."""
    year, month = day.year, day.month
    for _ in range(months):
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    return date(year, month, min(day.day, _length_of_month(year, month)))


def _length_of_month(year: int, month: int) -> int:
    is_leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 29 if month == 2 and is_leap else DAYS_OF_MONTHS[month - 1]


def _all_curves(low: int, high: int) -> Ticks:
    """Likely = isqrt(max(low, high // 10) x high), careful = isqrt(likely x high), by the day."""
    least = max(low, high // 10)
    likely = isqrt(least * high)
    return Ticks(low, least, likely, isqrt(likely * high), high)


def _mean(amounts: Sequence[_Amount]) -> _Pace:
    """The mean of several is that of their hours over their weighted years."""
    years = sum((each.weighted_years() for each in amounts), Fraction(0))
    low = sum((each.low for each in amounts), Fraction(0))
    high = sum((each.high for each in amounts), Fraction(0))
    return _Pace(low / years, high / years)


def _capped(left: Fraction, told: Fraction, share: int, of_free: int, of_all: int) -> Fraction:
    """The part that a day gets of what is left, at no more than what was told would give it."""
    if of_free == 0:
        return Fraction(0)
    return min(left * Fraction(share, of_free), told * Fraction(share, of_all))


def _pairs_of_readings(statements: Sequence[Statement]) -> dict[int, tuple[date, Fraction]]:
    """By number of the second reading of a pair the day of the first, and the hours between; a new
    meter makes no pair with the old one."""
    pairs: dict[int, tuple[date, Fraction]] = {}
    last: tuple[date, Fraction] | None = None
    for number, statement in enumerate(statements):
        reading = statement["reading"]
        if reading is None:
            continue
        if last is not None and not statement["new_meter"]:
            pairs[number] = last[0], reading - last[1]
        last = statement["said"], reading
    return pairs


def _weights_of_a_year(weights: Sequence[int], rested: AbstractSet[int] = frozenset()) -> int:
    """The weights of the days of a common year, leap years too, but for months that rested."""
    return sum(
        weights[month - 1] * DAYS_OF_MONTHS[month - 1]
        for month in range(1, 13)
        if month not in rested
    )


def _dated_rests(statements: Sequence[Statement]) -> list[Span]:
    """Those of all statements: they hold whenever they were said."""
    return [span for statement in statements for span in statement["idle_spans"]]


def _days_of_all(spans: Sequence[Span]) -> set[date]:
    return {day for first, end in spans for day in _days(first, end)}


def _days(start: date, end: date) -> Iterator[date]:
    """The days from one to before another."""
    day = start
    while day < end:
        yield day
        day += ONE_DAY


def _is_before(one: date | None, other: date | None) -> bool:
    """None is the beginning."""
    if other is None:
        return False
    return one is None or one < other


def _floor(value: Fraction) -> int:
    return value.numerator // value.denominator
