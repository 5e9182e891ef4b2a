"""Joins what a phrase says into a report of use, asks for what is missing, and says which parts
contradict each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from fractions import Fraction
from operator import attrgetter

from oilchart import bounds
from oilchart.core.days import Span, months_words
from oilchart.core.units import DAY_HOURS, HOUR, PERIOD_DAYS, WEEK_DAYS, Ticks, ticks, ticks_over
from oilchart.core.use.report import (
    FLAT_YEAR,
    MONTH_DAYS,
    Oiling,
    Rate,
    Reading,
    Report,
    SewingPace,
    Total,
)
from oilchart.sources.words.facts import (
    SEVERAL_DAYS,
    Agreed,
    ByItself,
    IdleMonths,
    Season,
    Share,
    Unclear,
    Unused,
)
from oilchart.sources.words.phrase import Phrase
from oilchart.sources.words.saying import (
    AsBefore,
    Ask,
    Compared,
    HoursOften,
    HoursSince,
    Rests,
    Said,
)

ASKED_ABOVE = 80  # hours a week: more than two people's work; the project's own rule
ALL_MONTHS = frozenset(range(1, 13))
Ends = tuple[Ticks, Ticks]
MOST_PARTS = 100  # of a season's weight against another's
NEARLY_A_YEAR = 9  # months: who names so many does not sew in the others


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is to be asked of a phrase.

    Args:
        at: the token it is about.
        is_first: it is asked before all that is only missing.
        instead: the phrase that "yes" answers it with; empty where it is no matter of yes.
    """

    at: int
    text: str
    is_first: bool = False
    instead: str = ""


@dataclass(slots=True, kw_only=True)
class Joined:
    """What is joined so far of a phrase.

    Args:
        questions: what is missing, in the order it was met.
    """

    phrase: Phrase
    report: Report
    questions: list[Question] = field(default_factory=list)
    rates: list[HoursOften | AsBefore] = field(default_factory=list)
    compared: list[Compared] = field(default_factory=list)
    is_agreed: bool = False

    def ask(self, at: int, text: str, *, is_first: bool = False, instead: str = "") -> None:
        """Note a question."""
        self.questions.append(Question(at=at, text=text, is_first=is_first, instead=instead))

    def refuse(self, at: int, wrong: str) -> None:
        """Say that what begins at a token cannot be.

        Raises:
            UnreadableWords: always.
        """
        self.phrase.refuse(at, wrong)

    def once(self, at: int, before: object, wrong: str) -> None:
        """Refuse what was said before."""
        if before is not None:
            self.refuse(at, f"{wrong}; keep one of them")


def joined(
    phrase: Phrase, by_itself: Sequence[tuple[int, ByItself]], of_use: Sequence[Said]
) -> tuple[Report, list[Question]]:
    """What all parts of a phrase say together, and what is still to ask.

    Raises:
        UnreadableWords: parts contradict each other, or cannot be.
    """
    found = Joined(phrase=phrase, report=Report(said=phrase.said, words=phrase.words))
    for at, fact in by_itself:
        _add(found, at, fact)
    for each in of_use:
        _add_use(found, each)
    _join_rates(found)
    _check_rests(found)
    if any(isinstance(fact, Unclear) and fact.voids for _, fact in by_itself):
        found.report = replace(found.report, rate=None, conversion="", sewing_days=None)
    return found.report, found.questions


def _add(found: Joined, at: int, fact: ByItself) -> None:
    match fact:
        case IdleMonths(months=months):
            _idle(found, at, months)
        case Season():
            _season(found, at, fact)
        case Span():
            spans = sorted((*found.report.idle_spans, fact), key=attrgetter("first", "end"))
            found.report = replace(found.report, idle_spans=tuple(spans))
        case Unused(since=since):
            _total(found, HoursSince(at=at, hours=(Fraction(0), Fraction(0)), since=since))
        case Unclear(ask=question, is_first=is_first):
            found.ask(at, question, is_first=is_first)
        case Agreed():
            found.is_agreed = True
        case Share() | Reading() | SewingPace() | Oiling():
            _once_said(found, at, fact)


def _once_said(found: Joined, at: int, fact: Share | Reading | SewingPace | Oiling) -> None:
    """Keep what stands in the report as it was said."""
    report = found.report
    match fact:
        case Share(of_it=share):
            found.once(at, report.zigzag_share, "is the second share of zigzag in one phrase")
            found.report = replace(report, zigzag_share=share)
        case Reading():
            found.once(at, report.reading, "is the second meter reading in one phrase")
            found.report = replace(report, reading=fact)
        case SewingPace():
            found.once(at, report.pace, "is the second speed in one phrase")
            found.report = replace(report, pace=fact)
        case Oiling():
            found.once(at, report.oiling, "is said twice of the oiling")
            found.report = replace(report, oiling=fact)


def _add_use(found: Joined, each: Said) -> None:
    match each:
        case HoursSince():
            _total(found, each)
        case Rests(at=at, months=months):
            _idle(found, at, months)
        case Compared():
            found.compared.append(each)
        case Ask(at=at, question=question, sewing_days=sewing_days):
            found.ask(at, question, is_first=each.is_first, instead=each.instead)
            if sewing_days is not None:
                found.report = replace(found.report, sewing_days=sewing_days)
        case _:
            found.rates.append(each)


def _idle(found: Joined, at: int, months: frozenset[int]) -> None:
    before = found.report.idle_months
    if not months and before is not None:
        found.refuse(at, "contradicts what was said of rests before it")
    if months and before == frozenset():
        found.refuse(at, 'contradicts "no rests"')
    found.report = replace(found.report, idle_months=months | (before or frozenset()))


def _total(found: Joined, says: HoursSince) -> None:
    since, said = says.since, found.report.said
    low, high = says.hours
    if high < low:
        found.refuse(says.at, "runs backwards; say the smaller number first")
    if since >= said:
        found.refuse(says.at, f"begins on {since}, which is not before the day it was said, {said}")
    if high > DAY_HOURS * (said - since).days:
        found.refuse(says.at, f"is more than {DAY_HOURS} hours a day since then; ask again")
    found.once(says.at, found.report.total, "is the second total in one phrase")
    found.report = replace(found.report, total=Total(low=ticks(low), high=ticks(high), since=since))


# -- rates and seasons


def _join_rates(found: Joined) -> None:
    """Keep what is sewn as one rate, with the seasons that several of them make."""
    everywhere = [each for each in found.rates if each.when is None]
    seasonal = [each for each in found.rates if each.when is not None]
    base = _summed(found, everywhere)
    if found.report.weights is not None and (seasonal or found.compared):
        found.refuse(0, "says of seasons in two ways; keep one of them")
    if seasonal or found.compared:
        _join_seasons(found, base, seasonal)
    elif base is not None:
        _keep(found, base)
    _check_rate(found)


def _keep(found: Joined, rate: Rate) -> None:
    conversions = [
        each.conversion for each in found.rates if isinstance(each, HoursOften) and each.conversion
    ]
    days = [
        each.sewing_days
        for each in found.rates
        if isinstance(each, HoursOften) and each.sewing_days is not None
    ]
    said = sum(days, Fraction(0)) if days else None
    found.report = replace(
        found.report,
        rate=rate,
        conversion="; ".join(dict.fromkeys(conversions)),
        sewing_days=said if said is None else min(said, Fraction(WEEK_DAYS)),
    )


def _rate_of(found: Joined, each: HoursOften | AsBefore) -> Rate:
    if isinstance(each, AsBefore):
        return each.rate
    low, high = each.hours
    fewest, most = each.days
    if high < low or most < fewest:
        found.refuse(each.at, "runs backwards; say the smaller number first")
    rate = Rate(
        low=ticks_over(low, most),
        high=ticks_over(high, fewest),
        yearly=fewest == most == PERIOD_DAYS["year"],
    )
    if rate.high > ticks(Fraction(DAY_HOURS)):
        found.refuse(each.at, f"is more than {DAY_HOURS} hours a day; ask again")
    if each.since is not None:
        _spread_since(found, each, rate)
    return rate


def _spread_since(found: Joined, each: HoursOften, rate: Rate) -> None:
    """A rate since a day is a total of its days, too, whatever was told of them before."""
    since, said = each.since, found.report.said
    if since is None or since >= said:
        return
    days = (said - since).days
    found.once(each.at, found.report.total, "is the second total in one phrase")
    total = Total(low=rate.low * days, high=rate.high * days, since=since)
    found.report = replace(found.report, total=total)


def _summed(found: Joined, rates: Sequence[HoursOften | AsBefore]) -> Rate | None:
    """The rates of all months: pieces of work, and sittings of several occasions, are added up."""
    total: Rate | None = None
    before: list[HoursOften | AsBefore] = []
    for each in rates:
        rate = _rate_of(found, each)
        if total is None:
            total = rate
        elif _goes_with(each, before):
            total = Rate(
                low=total.low + rate.low,
                high=total.high + rate.high,
                yearly=total.yearly and rate.yearly,
            )
            if total.high > ticks(Fraction(DAY_HOURS)):
                found.refuse(each.at, f"is more than {DAY_HOURS} hours a day; ask again")
        else:
            found.refuse(each.at, "is the second rate in one phrase; keep one of them")
        before.append(each)
    return total


def _goes_with(each: HoursOften | AsBefore, before: Sequence[HoursOften | AsBefore]) -> bool:
    """Whether it comes on top of what was said before it: another kind of work for works, another
    occasion for sittings."""
    if not isinstance(each, HoursOften):
        return False
    others = [other for other in before if isinstance(other, HoursOften)]
    if each.work or any(other.work for other in others):
        return each.work and all(other.work for other in others)
    occasions = [other.occasion for other in others]
    if "day" in (each.occasion, *occasions):
        return False  # it may be among those of the others
    return (
        bool(each.occasion)
        and all(occasions)
        and (each.occasion == SEVERAL_DAYS or each.occasion not in occasions)
    )


def _join_seasons(
    found: Joined, base: Rate | None, seasonal: Sequence[HoursOften | AsBefore]
) -> None:
    """Make weights of the months of rates that are not of the whole year."""
    if found.compared and base is None:
        question = "so many times as much as in the other months: how much is that?"
        found.ask(found.compared[0].at, question)
        return
    by_month = _told_by_month(found, base, seasonal)
    idle = found.report.idle_months or frozenset()
    others = ALL_MONTHS - set(by_month) - idle
    if base is not None:
        by_month |= dict.fromkeys(others, (base.low, base.high))
    elif others and len(by_month) < NEARLY_A_YEAR:
        at = min((each.at for each in seasonal), default=0)
        found.ask(at, f"and in the other months, {months_words(others)}: how much, or nothing?")
        return
    else:
        idle |= others
    idle |= {month for month, (_, high) in by_month.items() if not high}
    if idle:
        found.report = replace(found.report, idle_months=idle)
    active = {month: ends for month, ends in by_month.items() if month not in idle}
    if active:
        _weigh(found, active, min(each.at for each in (*seasonal, *found.compared)))


def _told_by_month(
    found: Joined, base: Rate | None, seasonal: Sequence[HoursOften | AsBefore]
) -> dict[int, Ends]:
    """The low and high use a day of the months that are named."""
    by_month: dict[int, Ends] = {}
    for each in seasonal:
        rate = _rate_of(found, each)
        for month in each.when.months if each.when else ():
            if month in by_month:
                found.refuse(each.at, "says of one month in two ways; keep one of them")
            by_month[month] = (rate.low, rate.high)
    for more in found.compared:
        low, high = (0, 0) if base is None else (base.low, base.high)
        for month in more.when.months:
            by_month[month] = (int(low * more.times), int(high * more.times))
    return by_month


def _weigh(found: Joined, by_month: dict[int, Ends], at: int) -> None:
    """A rate and weights by which each month has at least the range that was said of it."""
    if len(set(by_month.values())) == 1:
        low, high = next(iter(by_month.values()))
        _keep(found, Rate(low=low, high=high))
        return
    middles = {month: _middle(ends) for month, ends in by_month.items()}
    least = min(middles.values())
    shares = {
        month: (middle / least).limit_denominator(MOST_PARTS) for month, middle in middles.items()
    }
    if max(shares.values()) > bounds.BUSY_TIMES:
        found.refuse(at, f"makes some month more than {bounds.BUSY_TIMES} times as busy as another")
    scale = math.lcm(*(share.denominator for share in shares.values()))
    weights = tuple(int(shares.get(month, Fraction(1)) * scale) for month in range(1, 13))
    lowest = tuple(weight // math.gcd(*weights) for weight in weights)
    whole = sum(weight * days for weight, days in zip(lowest, MONTH_DAYS, strict=True))
    ends = [
        (
            Fraction(low * whole, lowest[month - 1] * sum(MONTH_DAYS)),
            Fraction(high * whole, lowest[month - 1] * sum(MONTH_DAYS)),
        )
        for month, (low, high) in by_month.items()
    ]
    rate = Rate(
        low=math.floor(min(low for low, _ in ends)), high=math.ceil(max(high for _, high in ends))
    )
    _keep(found, rate)
    found.report = replace(found.report, weights=lowest)


def _middle(ends: Ends) -> Fraction:
    """What stands for a range where months are compared: exact for a single number."""
    low, high = ends
    if low == high:
        return Fraction(low)
    return Fraction(math.isqrt(max(low, high // 10, 1) * high))


def _check_rate(found: Joined) -> None:
    rate = found.report.rate
    if rate is None or found.is_agreed:
        return
    weekly = Fraction(rate.high * WEEK_DAYS, HOUR)
    if weekly > ASKED_ABOVE:
        found.ask(
            0,
            f"{float(round(weekly, 1)):g} hours a week is more than {ASKED_ABOVE}: is it really "
            'so? If it is, say "yes" with it',
        )
        found.report = replace(found.report, rate=None, conversion="")


def _season(found: Joined, at: int, says: Season) -> None:
    """Keep busy months as whole weights of the twelve, in lowest terms."""
    if says.times is None:
        found.ask(at, f"{months_words(says.months)}: how much is it then, and how much otherwise?")
        return
    before = found.report.weights
    if not says.months and before is not None:
        found.refuse(at, "contradicts what was said of seasons before it")
    if not 1 <= says.times <= bounds.BUSY_TIMES:
        found.refuse(at, f"must be from x1 to x{bounds.BUSY_TIMES}; rests are said with idle")
    weights = [
        weight * (says.times if month in says.months else Fraction(1))
        for month, weight in enumerate(before or FLAT_YEAR, start=1)
    ]
    scale = math.lcm(*(weight.denominator for weight in weights))
    whole = [int(weight * scale) for weight in weights]
    if max(whole) > bounds.BUSY_TIMES * min(whole):
        found.refuse(at, f"makes some month more than {bounds.BUSY_TIMES} times as busy as another")
    lowest = tuple(weight // math.gcd(*whole) for weight in whole)
    found.report = replace(found.report, weights=lowest)


def _check_rests(found: Joined) -> None:
    """Refuse rests that leave nothing of the year, or nothing of the days of a total."""
    report = found.report
    months = report.idle_months or frozenset()
    if len(months) == len(FLAT_YEAR):
        found.refuse(
            0,
            'leaves no month to sew in; say "none" if there is no sewing, '
            'or "away until" and a day',
        )
    if report.total is None or not report.total.high:
        return
    days = (
        report.total.since + timedelta(days=at)
        for at in range((report.said - report.total.since).days)
    )
    if all(
        day.month in months or any(span.first <= day < span.end for span in report.idle_spans)
        for day in days
    ):
        found.refuse(0, "leaves no day to sew on since then; ask again about the rests")
