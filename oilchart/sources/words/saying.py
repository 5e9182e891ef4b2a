"""What groups of facts come to: hours in so many days or since a day, or what is still to ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from oilchart.core.units import WEEK_DAYS, Speed, Unit
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Rate
from oilchart.sources.words.facts import (
    As,
    Bare,
    Clock,
    Duration,
    Nothing,
    Period,
    Regular,
    Stitching,
    Thread,
    Times,
    When,
    Works,
)
from oilchart.sources.words.grouping import Group
from oilchart.sources.words.phrase import Phrase, Terms
from oilchart.sources.words.quantities import YEAR, widened
from oilchart.sources.words.word_list import Range

ZERO: Range = (Fraction(0), Fraction(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursOften:
    """Hours at the machine in so many days.

    Args:
        at: the token at which it was said.
        days: low and high hours are in so many; the longer ones give the low end.
        conversion: how the hours came out of bobbins, pieces of work or vague words, in words.
        work: they come from a piece of work, and are added to those of others.
        occasion: of what they are, where it was said; those of several are added up.
        sewing_days: a week; None where it was not said.
        when: the months they are of; None for all.
        otherwise: they are of the months that are not named.
    """

    at: int
    hours: Range
    days: Range
    conversion: str = ""
    work: bool = False
    occasion: str = ""
    sewing_days: Fraction | None = None
    when: When | None = None
    otherwise: bool = False
    since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursSince:
    """Hours at the machine since a day."""

    at: int
    hours: Range
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class AsBefore:
    """A rate told before, so many times."""

    at: int
    rate: Rate
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Some months, so many times as busy as others."""

    at: int
    times: Fraction
    when: When


@dataclass(frozen=True, slots=True, kw_only=True)
class Rests:
    """Months without any."""

    at: int
    months: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What is missing.

    Args:
        sewing_days: what is known of it all the same.
        is_first: it is asked before all that is only missing.
        instead: the phrase that "yes" answers it with.
    """

    at: int
    question: str
    sewing_days: Fraction | None = None
    is_first: bool = False
    instead: str = ""


Said = HoursOften | HoursSince | AsBefore | Compared | Rests | Ask


def said(phrase: Phrase, groups: Sequence[Group]) -> list[Said]:
    """What each group comes to."""
    now = [group for group in groups if group.past is None]
    if groups and not now:
        return [Ask(at=groups[0].at, question="and now: how often, and how long each time?")]
    return [
        _said(phrase, groups, number) for number, group in enumerate(groups) if group.past is None
    ]


def _said(phrase: Phrase, groups: Sequence[Group], number: int) -> Said:
    group, terms = _with_its_time(groups, number), phrase.terms
    if group.stray is not None:
        return Ask(at=group.at, question="not on those days; and on which, and how long each time?")
    match group.length:
        case Nothing():
            return _nothing(group)
        case As():
            return _compared(group, group.length, terms)
        case Bare():
            return _bare(phrase, groups, number)
        case Thread() if group.works is None:
            return _thread(group, group.length, terms)
        case Stitching() if group.works is None:
            return _stitching(group, group.length, terms)
    if group.works is not None:
        return _work(phrase, group, group.works)
    in_time = next((each.often for each in groups if isinstance(each.often, Period)), None)
    if _is_of_months_alone(group) and in_time is not None:
        return _of_hours(replace(group, often=in_time), terms)
    if _is_of_months_alone(group):
        return Ask(at=group.at, question=_in_which_time(groups), is_first=True)
    return _of_hours(group, terms)


def _is_of_months_alone(group: Group) -> bool:
    """Whether it is hours of some months, and nobody says in what time."""
    length = group.length
    return (
        isinstance(length, Duration)
        and length.per is None
        and group.often is None
        and group.since is None
        and group.when is not None
    )


def _with_its_time(groups: Sequence[Group], number: int) -> Group:
    """A group; sittings of which nobody said in what time are as often as those beside them: two
    mornings and one afternoon a week."""
    group = groups[number]
    often = group.often
    if isinstance(often, Times) and often.per is None and group.length is None:
        for other in (*groups[number + 1 :], *reversed(groups[:number])):
            if isinstance(other.often, Times) and other.often.per is not None:
                return replace(group, often=replace(often, per=other.often.per))
    return group


def _nothing(group: Group) -> Said:
    if group.since is not None:
        return HoursSince(at=group.at, hours=ZERO, since=group.since.day)
    if group.when is not None:
        return Rests(at=group.at, months=group.when.months)
    if group.otherwise:
        return HoursOften(at=group.at, hours=ZERO, days=(YEAR, YEAR), otherwise=True)
    return HoursOften(at=group.at, hours=ZERO, days=(Fraction(1), Fraction(1)))


def _compared(group: Group, compared: As, terms: Terms) -> Said:
    if compared.times is None:
        return Ask(at=group.at, question="how much is it now: how many hours a week?")
    if group.when is not None and not compared.of_before:
        return Compared(at=group.at, times=compared.times, when=group.when)
    if terms.before is None:
        return Ask(
            at=group.at, question="nothing was told before; how often, and how long each time?"
        )
    low, high = terms.before.low, terms.before.high
    rate = Rate(
        low=int(low * compared.times), high=int(high * compared.times), yearly=terms.before.yearly
    )
    return AsBefore(at=group.at, rate=rate, when=group.when)


def _bare(phrase: Phrase, groups: Sequence[Group], number: int) -> Said:
    """A number of what its neighbours are about."""
    group = groups[number]
    assert isinstance(group.length, Bare)
    others = (*reversed(groups[:number]), *groups[number + 1 :])
    like = next((each.length for each in others if isinstance(each.length, Duration)), None)
    if like is None:
        question = f'"{_number(group.length.count)}": of what, and in what time?'
        return Ask(at=group.at, question=question)
    per = group.length.per or like.per
    if per is None and group.often is None:
        return Ask(at=group.at, question=_in_which_time(groups))
    return _of_hours(
        replace(group, length=Duration(hours=group.length.count, per=per)), phrase.terms
    )


def _in_which_time(groups: Sequence[Group]) -> str:
    """Hours of some months and of the others, of which nobody says whether a week or together."""
    lengths = [each.length for each in groups if isinstance(each.length, Duration | Bare)]
    amounts = [
        _number(each.hours if isinstance(each, Duration) else each.count) for each in lengths
    ]
    return (
        f"{' and '.join(amounts)} hours: so many a week, or in all of those months together? "
        f'Say it with "a week" or "a year"'
    )


def _number(amount: Range) -> str:
    low, high = (f"{round(float(value), 2):g}" for value in amount)
    return low if low == high else f"{low}-{high}"


def _thread(group: Group, thread: Thread, terms: Terms) -> Said:
    if terms.bobbin is None:
        return Ask(
            at=group.at,
            question="the model's list does not say what its bobbin holds (bobbin_metres); how "
            "many hours is it?",
        )
    one = terms.bobbin.hours(terms.speed)
    often = _often(thread.per or group.often)
    if often is None:
        return Ask(at=group.at, question="bobbins: in what time, a day, a week or a month?")
    times, days = often
    return HoursOften(
        at=group.at,
        hours=_product(thread.count, (one, one), times),
        days=days,
        conversion=_bobbin_words(terms.bobbin, terms.speed),
        sewing_days=_sewing_days(thread.per) or _sewing_days(group.often),
        when=group.when,
        otherwise=group.otherwise,
    )


def _stitching(group: Group, stitching: Stitching, terms: Terms) -> Said:
    often = _often(stitching.per or group.often)
    if often is None:
        return Ask(at=group.at, question="stitches: in what time, a day, a week or a month?")
    low, high = (terms.speed.hours(count, Unit.STITCHES) for count in stitching.count)
    times, days = often
    return HoursOften(
        at=group.at,
        hours=_product((low, high), times),
        days=days,
        conversion=f"{_number(stitching.count)} stitches are {_number((low, high))} hours",
        when=group.when,
        otherwise=group.otherwise,
    )


def _work(phrase: Phrase, group: Group, works: Works) -> Said:
    """Pieces of work in a stretch of time, by the hours for one."""
    length = group.length
    one = length.hours if isinstance(length, Duration) else works.one
    if works.one is None and (near := phrase.near(works.name.split()[-1])):
        question = f'"{works.name}" is not understood: {near}?'
        last = phrase.place_of(works.name) + len(works.name.split()) - 1
        instead = phrase.with_word(last, near)
        return Ask(at=last, question=question, is_first=True, instead=instead)
    if one is None:
        question = f'"{works.name}": how long does one take? Say it like "2 hours each"'
        if piece := phrase.near_piece(works.name):
            question += f", or is it {piece}?"
        return Ask(at=group.at, question=question)
    often = _often(works.per or group.often)
    if often is None:
        return Ask(at=group.at, question=f'"{works.name}": how many a week, a month or a year?')
    times, days = often
    return HoursOften(
        at=group.at,
        hours=_product(works.count, one, times),
        days=days,
        conversion=f"{_number(one)} hours a {works.name}",
        work=True,
        occasion=works.name,
        when=group.when,
        otherwise=group.otherwise,
    )


def _of_hours(group: Group, terms: Terms) -> Said:
    """Hours of a length that was said, or of the occasion's usual one, as often as was said."""
    length = group.length
    hours = length.hours if isinstance(length, Duration | Clock) else None
    if hours is not None and group.around is not None:
        hours = widened(hours, group.around.factors)
    if group.vague is not None and not _is_only_much(group):
        return _vague(group, hours)
    per = length.per if isinstance(length, Duration) else None
    if hours is not None and per is None and group.often is None and group.since is not None:
        return HoursSince(at=group.at, hours=hours, since=group.since.day)
    sewing_days = _sewing_days(group.often) or _sewing_days(per)
    often = _how_often(group, per)
    conversion = ""
    if hours is None:
        hours, conversion = _usual_hours(group, terms)
    elif often is None and isinstance(length, Clock):
        return Ask(at=group.at, question=f"{_number(hours)} hours: on how many days a week?")
    if hours is None:
        question = "how long each time?" if often or sewing_days else _what_is_missing(group)
        return Ask(at=group.at, question=question, sewing_days=sewing_days)
    if often is None:
        return Ask(at=group.at, question=_what_is_missing(group, hours), sewing_days=sewing_days)
    times, days = often
    if group.spell is not None:  # so much of a year: all of it as one year's hours
        times = _product(times, (group.spell.days[0] / days[1], group.spell.days[1] / days[0]))
        days = (YEAR, YEAR)
    return HoursOften(
        at=group.at,
        hours=_product(times, hours),
        days=days,
        conversion=conversion or _vague_often(group),
        occasion=_occasion(group),
        sewing_days=sewing_days,
        when=group.when,
        otherwise=group.otherwise,
        since=group.since.day if group.since else None,
    )


def _is_only_much(group: Group) -> bool:
    """Whether "a lot" stands beside hours that say how much that is."""
    length = group.length
    assert group.vague is not None
    return group.vague.days != YEAR and isinstance(length, Duration) and length.per is not None


def _vague(group: Group, hours: Range | None) -> Said:
    """Hours a year, or so many times a year as long as was said."""
    vague = group.vague
    assert vague is not None
    if isinstance(group.length, Duration) and group.length.per is not None:
        return Ask(
            at=group.at,
            question=f"{vague.words}, or {_hours(group.length.hours)} each time: which?",
        )
    amount = vague.amount if hours is None else _product(vague.amount, hours)
    period = "year" if vague.days == YEAR else "week"
    return HoursOften(
        at=group.at,
        hours=amount,
        days=(vague.days, vague.days),
        conversion=f"{vague.words}: taken as {_range_words(amount)} hours a {period}",
        when=group.when,
        otherwise=group.otherwise,
    )


def _range_words(amount: Range) -> str:
    low, high = (f"{round(float(value), 2):g}" for value in amount)
    return low if low == high else f"{low} to {high}"


def _how_often(group: Group, per: Period | Regular | None) -> tuple[Range, Range] | None:
    """So many times in so many days, low and high; None where it was not said."""
    often = group.often
    if isinstance(per, Period):
        return (Fraction(1), Fraction(1)), per.days
    if isinstance(per, Regular) and isinstance(often, Times) and often.per is None:
        return _often(often, within=per)
    found = _often(often)
    if found is None and per is not None:
        return _often(per)
    return found


def _often(
    often: Times | Regular | Period | None, within: Regular | None = None
) -> tuple[Range, Range] | None:
    one = (Fraction(1), Fraction(1))
    week = (Fraction(WEEK_DAYS), Fraction(WEEK_DAYS))
    match often:
        case Period():
            return one, often.days
        case Regular():
            return None if often.a_week is None else (often.a_week, week)
        case Times():
            inside = _often(within if often.per is None else often.per)
            return None if inside is None else (_product(often.count, inside[0]), inside[1])
    return None


def _usual_hours(group: Group, terms: Terms) -> tuple[Range | None, str]:
    """The usual length of the occasion that was named, and how it came about."""
    names = [group.part.occasion] if group.part else []
    if isinstance(group.often, Times):
        names.insert(0, group.often.what.name)
    elif isinstance(group.often, Regular):
        names.insert(0, group.often.occasion)
    for name in names:
        hours = terms.words.sittings.get(name)
        if hours is not None:
            article = "an" if name[0] in "aeiou" else "a"
            parts = [f"{article} {name}: taken as {_range_words(hours)} hours"]
            if words := _vague_often(group):
                parts.insert(0, words)
            return hours, "; ".join(parts)
    return None, ""


def _vague_often(group: Group) -> str:
    """What a vague "most evenings" was taken for."""
    often = group.often
    if not isinstance(often, Regular) or not often.words or often.a_week is None:
        return ""
    return f"{often.words}: taken as {_range_words(often.a_week)} a week"


def _occasion(group: Group) -> str:
    often = group.often
    if isinstance(often, Regular):
        return often.occasion
    if isinstance(often, Times):
        return often.what.name
    length = group.length
    per = length.per if isinstance(length, Duration) else None
    return per.occasion if isinstance(per, Regular) else ""


def _sewing_days(often: Times | Regular | Period | None) -> Fraction | None:
    """Days a week on which one sews, as far as it was said; of a range the fewest."""
    match often:
        case Regular() if often.counted and often.a_week and often.occasion != "weekend":
            return often.a_week[0]
        case Times() if isinstance(often.per, Period) and set(often.per.days) == {WEEK_DAYS}:
            return often.count[0] if often.what.name != "weekend" else None
    return None


def _what_is_missing(group: Group, hours: Range | None = None) -> str:
    if hours is not None and group.part is not None:
        return f"{_hours(hours)}: how many {group.part.occasion}s a week?"
    if hours is not None and isinstance(group.often, Times):
        return f"{_hours(hours)}, {_number(group.often.count)} times: in what time?"
    if hours is not None:
        return f"{_hours(hours)}: in what time, a day, a week, a month or a year?"
    if group.part is not None:
        return f"how many {group.part.occasion}s a week, and how long each time?"
    if group.when is not None:
        return "how often in those months, and how long each time?"
    return "how often, and how long each time?"


def _hours(hours: Range) -> str:
    return f"{_number(hours)} {'hour' if set(hours) == {1} else 'hours'}"


def _product(*ranges: Range) -> Range:
    low, high = Fraction(1), Fraction(1)
    for each in ranges:
        low, high = low * each[0], high * each[1]
    return low, high


def _bobbin_words(bobbin: Bobbin, speed: Speed) -> str:
    """How a bobbin comes to hours, with numbers that can be redone on paper."""
    share = float(speed.needle_share * 100)
    return (
        f"a bobbin holds {float(bobbin.metres):g} m; "
        f"at {float(bobbin.thread_a_stitch_mm):.3f} mm a stitch "
        f"that is {round(bobbin.stitches)} stitches; "
        f"at {float(speed.stitches_a_minute):g} a minute, "
        f"the needle moving {share:g} % of the time, "
        f"{float(bobbin.hours(speed)):.2f} hours"
    )
