"""Days as people write and say them, read by a table of forms.

A day without a year is the latest past one for what was done, the next one for what is agreed;
today is both. What can be two days is refused with both of them, and nothing is swapped: figures
are read in the order the shop writes them in, and where that gives no day they are refused, too.
Without an order, dots put the day first, as everywhere where they are written.

A form gives all days that it may mean; what all forms share (a weekday beside a day, none or
several that are left) is decided in one place.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from enum import Enum, auto
from functools import cache

from dateutil.easter import easter
from dateutil.relativedelta import relativedelta, weekday

from oilchart.core.days import MONTHS, WEEKDAYS, DayOrder, add_days, day_words
from oilchart.errors import OilchartError, quoted

LONGEST = 60  # letters: "Wednesday, the twenty-fourth of September, next year" has 51
HOW = "write it like 2026-11-25, 25 Nov or last Friday"
NO_SUCH_DAY = "there is no such day; look at the month and the day"
_YEARS_AHEAD = 20  # that a year of two figures may lie ahead; else it is past
_LEAP_YEARS = 8  # as far as the next 29 February may be


class Sense(Enum):
    """What a day is said of."""

    DONE = auto()  # what was done: without a year the latest one
    AGREED = auto()  # what is to be done: without a year the next one
    EITHER = auto()  # may be past or to come: without a year there are two


class UnreadableDay(OilchartError):
    """Words that are no day, or may be several."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a day is read by.

    Args:
        today: "yesterday" is the day before it.
        order: in which the shop writes figures; None where it does not say.
    """

    today: date
    sense: Sense
    order: DayOrder | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One way to write a day.

    Args:
        pattern: what stands there; names its parts.
        read: all days that it may mean, those that no calendar has left out.
        in_words: an owner's words may have it; others would be taken for hours there.
    """

    name: str
    pattern: re.Pattern[str]
    read: Callable[[re.Match[str], Asked], Iterable[date]]
    in_words: bool = True


_WEEKDAYS = {
    name: number
    for number, day in enumerate(day.casefold() for day in WEEKDAYS)
    for name in (day, day[:3])
} | {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_MONTHS = {
    name: number
    for number, month in enumerate((month.casefold() for month in MONTHS), start=1)
    for name in (month, month[:3])
} | {"sept": 9}
_ONES = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth",
    "eighteenth", "nineteenth", "twentieth",
)  # fmt: skip
_ORDINALS = {
    **{word: number for number, word in enumerate(_ONES, start=1)},
    **{f"twenty{dash}{word}": 20 + at for at, word in enumerate(_ONES[:9], 1) for dash in "- "},
    "thirtieth": 30,
    "thirty-first": 31,
    "thirty first": 31,
}
_COUNTED = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip
_COUNTS = {
    "a": 1,
    "an": 1,
    **{word: number for number, word in enumerate(_COUNTED, start=1)},
}
_PARTS_OF_A_DAY = ("morning", "afternoon", "evening")
_NEAR = {
    **{f"yesterday {part}": -1 for part in _PARTS_OF_A_DAY},
    **{f"this {part}": 0 for part in _PARTS_OF_A_DAY},
    **{f"tomorrow {part}": 1 for part in (*_PARTS_OF_A_DAY, "night")},
    "the day before yesterday": -2,
    "day before yesterday": -2,
    "yesterday": -1,
    "last night": -1,
    "today": 0,
    "tonight": 0,
    "tomorrow": 1,
    "the day after tomorrow": 2,
    "day after tomorrow": 2,
}
_UNITS = ("week", "weeks", "days", "months", "years", "fortnight")
_FIXED_FEASTS = {
    (1, 1): ("new year's day", "new year day", "new year's", "new year"),
    (1, 6): ("epiphany", "twelfth night"),
    (2, 2): ("candlemas",),
    (2, 14): ("st valentine's day", "valentine's day", "valentine's"),
    (10, 31): ("hallowe'en", "halloween"),
    (11, 1): ("all saints' day", "all saints"),
    (12, 6): ("st nicholas' day", "st nicholas"),
    (12, 24): ("christmas eve", "xmas eve"),
    (12, 25): ("christmas day", "christmas", "xmas day", "xmas"),
    (12, 26): ("boxing day", "st stephen's day"),
    (12, 31): ("new year's eve", "new year eve"),
}
# days after Easter Sunday of the western churches
_EASTER_FEASTS = {
    -47: ("shrove tuesday", "pancake day"),
    -46: ("ash wednesday",),
    -7: ("palm sunday",),
    -3: ("maundy thursday",),
    -2: ("good friday",),
    -1: ("easter saturday", "holy saturday"),
    0: ("easter sunday", "easter day", "easter"),
    1: ("easter monday",),
    39: ("ascension day", "ascension"),
    49: ("whit sunday", "whitsun", "pentecost"),
    50: ("whit monday",),
    60: ("corpus christi",),
}
_FIXED = {name: day for day, names in _FIXED_FEASTS.items() for name in names}
_EASTER = {name: days for days, names in _EASTER_FEASTS.items() for name in names}


def read_day(words: str, today: date, sense: Sense, order: DayOrder | None = None) -> date:
    """Read a day.

    Raises:
        UnreadableDay: it is none, or may be several; says which and how to write it.
    """
    plain = " ".join(words.replace("’", "'").split())
    if len(plain) <= LONGEST:
        asked = Asked(today=today, sense=sense, order=order)
        for form in FORMS:
            if found := form.pattern.fullmatch(plain):
                return _only(plain, found, form, asked)
    raise UnreadableDay(f"{quoted(words)} is not a day{_meant(plain)}; {HOW}")


def rests_on_order(words: str) -> bool:
    """Whether the order in which the shop writes day and month matters for a day."""
    plain = " ".join(words.split())
    return any(form.pattern.fullmatch(plain) for form in _FIGURES)


def day_in_words(words: str, start: int) -> str:
    """The longest day that begins at a place of an owner's words; empty where none does."""
    plain = words.replace("’", "'")
    ends = [
        found.end()
        for form in FORMS
        if form.in_words and (found := form.pattern.match(plain, start))
        # what is cut off in the midst of a word or a number is no day
        if not re.match(r"[\w'’%]|[./-]\d", words[found.end() :])
    ]
    return words[start : max(ends, default=start)]


def _only(words: str, found: re.Match[str], form: Form, asked: Asked) -> date:
    """The one day that a form means, with the weekday that stands beside it.

    Raises:
        UnreadableDay: there is none or more than one, or it is another day of the week.
    """
    try:
        days = sorted(set(form.read(found, asked)))
    except (OverflowError, ValueError):  # past either end of what a calendar has
        days = []
    if not days:
        raise UnreadableDay(f"{quoted(words)}: {NO_SUCH_DAY}")
    named = found.groupdict().get("beside")
    if named is not None:
        fitting = [day for day in days if day.weekday() == _weekday(named)]
        if not fitting:
            which = " or ".join(map(day_words, days))
            raise UnreadableDay(f"{quoted(words)}: that is {which}; look at the day of the week")
        days = fitting
    if len(days) > 1:
        which, how = " or ".join(map(day_words, days)), " or ".join(map(str, days))
        may_set = form in _FIGURES and asked.order is None
        set_order = ", or set day_order in shop.toml" if may_set else ""
        raise UnreadableDay(f"{quoted(words)} may be {which}; write {how}{set_order}")
    return days[0]


def _meant(plain: str) -> str:
    """The known word that one of the words comes near to, as a question."""
    for word in re.findall(r"[a-z']{4,}", plain.casefold()):
        near = difflib.get_close_matches(word, _known_words(), n=1, cutoff=0.75)
        if near and near[0] != word:
            return f": {word}: did you mean {near[0]}?"
    return ""


@cache
def _known_words() -> frozenset[str]:
    """The words that days are made of."""
    names = (*_WEEKDAYS, *_MONTHS, *_ORDINALS, *_NEAR, *_FIXED, *_EASTER, *_UNITS)
    return frozenset(word for name in names for word in name.split() if len(word) > 3)


# -- parts of patterns


def _any(names: Iterable[str]) -> str:
    """Any of some names, the longest first."""
    return "|".join(
        re.escape(name).replace(r"\ ", r"\s+") for name in sorted(names, key=len, reverse=True)
    )


_DAY_NAME = rf"(?:{_any(_WEEKDAYS)})\.?"
_BESIDE = rf"(?:on\s+)?(?:(?P<beside>{_DAY_NAME}),?\s+)?(?:the\s+)?"  # Tuesday, the
_DAY = rf"(?P<day>\d{{1,2}}(?:st|nd|rd|th)?|{_any(_ORDINALS)})"
_MONTH = rf"(?P<month>{_any(_MONTHS)})\.?"
_YEAR = r"\d{4}|'\d{2}|(?:of\s+)?(?:last|this|next)\s+year"
_WHICH = r"(?P<which>last|this|next)"


def _form(
    name: str,
    pattern: str,
    read: Callable[[re.Match[str], Asked], Iterable[date]],
    *,
    in_words: bool = True,
) -> Form:
    return Form(name=name, pattern=re.compile(pattern, re.IGNORECASE), read=read, in_words=in_words)


# -- what the parts come to


def _part(found: re.Match[str], name: str) -> str:
    """A part of what was found, in small letters with single blanks; empty where it is left out."""
    return " ".join((found[name] or "").casefold().split()) if name in found.re.groupindex else ""


def _weekday(name: str) -> int:
    return _WEEKDAYS[name.casefold().rstrip(".")]


def _day_of(words: str) -> int:
    """5 of "5", "5th" and "fifth"."""
    return _ORDINALS.get(words) or int(re.sub(r"\D", "", words))


def _year_of(words: str, today: date) -> int:
    """A year in four figures, in two, or beside this one."""
    if words.endswith("year"):
        return today.year + {"last": -1, "this": 0, "next": 1}[words.split()[-2]]
    figures = words.lstrip("'")
    if len(figures) == 4:
        return int(figures)
    latest = today.year + _YEARS_AHEAD
    return latest - (latest - int(figures)) % 100


def _dated(asked: Asked, year: str, month: int, day: int) -> list[date]:
    """The days of a month and a day in it: of its year, or without one of the latest year, of the
    next, or of both."""
    if year:
        return _existing(_year_of(year, asked.today), month, day)
    return _without_year(asked, lambda of_year: _existing(of_year, month, day))


def _existing(year: int, month: int, day: int) -> list[date]:
    """The day, if the calendar has it."""
    try:
        return [date(year, month, day)]
    except ValueError:
        return []


def _without_year(asked: Asked, of_year: Callable[[int], Sequence[date]]) -> list[date]:
    """The latest day up to today of those that years have, or the next from today on, or both."""
    today = asked.today
    first, last = today.year - _LEAP_YEARS, today.year + _LEAP_YEARS
    years = range(max(first, date.min.year), min(last, date.max.year) + 1)
    return _by_sense(asked, [day for year in years for day in of_year(year)])


def _by_sense(asked: Asked, days: Sequence[date]) -> list[date]:
    """Of days in their order the latest up to today, the next from today on, or both."""
    past = [day for day in days if day <= asked.today][-1:]
    coming = [day for day in days if day >= asked.today][:1]
    match asked.sense:
        case Sense.DONE:
            return past
        case Sense.AGREED:
            return coming
        case Sense.EITHER:
            return past + coming


# -- the forms


def _year_first(found: re.Match[str], asked: Asked) -> list[date]:
    """2026-05-12."""
    return _existing(int(found["year"]), int(found["month"]), int(found["day"]))


def _figures(found: re.Match[str], asked: Asked) -> list[date]:
    """12/05/2026, 12.5., 12-5-26: in the shop's order; without one in both, but with dots."""
    first, second, year = int(found["first"]), int(found["second"]), _part(found, "year")
    day_first = _dated(asked, year, second, first)
    month_first = _dated(asked, year, first, second)
    if "." in found[0]:
        # who writes the month first writes no dots: there nothing tells what is meant
        return day_first + (month_first if asked.order is DayOrder.MONTH_FIRST else [])
    if asked.order is None:
        return day_first + month_first
    wanted, other = (
        (day_first, month_first) if asked.order is DayOrder.DAY_FIRST else (month_first, day_first)
    )
    if not wanted and other:
        order = f"the shop writes the {asked.order} (day_order in shop.toml)"
        raise UnreadableDay(
            f'"{found[0]}" is no day: {order}; if {day_words(other[0])} is meant, write {other[0]}'
        )
    return wanted


def _named_month(found: re.Match[str], asked: Asked) -> list[date]:
    """12 May 2026, May 12th."""
    month = _MONTHS[_part(found, "month")]
    return _dated(asked, _part(found, "year"), month, _day_of(_part(found, "day")))


def _of_a_month(found: re.Match[str], asked: Asked) -> list[date]:
    """The 12th; the 12th of last month."""
    day, which, today = _day_of(_part(found, "day")), _part(found, "which"), asked.today
    steps = {"last": (-1,), "this": (0,), "next": (1,)}.get(which, range(-2, 3))
    months = [today + relativedelta(day=1, months=step) for step in steps]
    days = [each for month in months for each in _existing(month.year, month.month, day)]
    return days if which else _by_sense(asked, days)


def _near(found: re.Match[str], asked: Asked) -> list[date]:
    """Yesterday, tomorrow morning."""
    return [add_days(asked.today, _NEAR[_part(found, "near")])]


def _of_the_week(found: re.Match[str], asked: Asked) -> list[date]:
    """Friday; last, next Friday; Friday week.

    "Last" may mean the one before today or the one of last week, "next" the coming one or the one
    of next week: where they are not the same, both are given. A weekday that today is may be meant
    as today, or not.
    """
    today, number = asked.today, _weekday(found["weekday"])
    before = today + relativedelta(days=-1, weekday=weekday(number)(-1))
    after = today + relativedelta(days=1, weekday=weekday(number)(1))
    of_this_week = add_days(today, number - today.weekday())
    match _part(found, "which"):
        case "last":
            return [before, add_days(of_this_week, -7)]
        case "next":
            return [after, add_days(of_this_week, 7)]
        case "past" | "this past":
            return [before]
        case "coming" | "this coming":
            return [after]
        case "this" if asked.sense is Sense.AGREED:
            return [max(of_this_week, add_days(today, (number - today.weekday()) % 7))]
        case "this":
            return [of_this_week]
    if today.weekday() == number:
        return {Sense.DONE: [before, today], Sense.AGREED: [today, after]}.get(
            asked.sense, [before, today, after]
        )
    return _by_sense(asked, [before, after])


def _of_another_week(found: re.Match[str], asked: Asked) -> list[date]:
    """Friday last week, next week's Friday: weeks begin on Monday."""
    week = {"last": -7, "this": 0, "next": 7}[_part(found, "which")]
    today, number = asked.today, _weekday(found["weekday"])
    return [add_days(today, week + number - today.weekday())]


def _weeks_on(found: re.Match[str], asked: Asked) -> list[date]:
    """Friday week, a week on Friday, a week tomorrow, a fortnight today."""
    days = 14 if _part(found, "weeks").endswith("fortnight") else 7
    near = _part(found, "near")
    if near:
        return [add_days(asked.today, days + _NEAR[near])]
    day = weekday(_weekday(found["weekday"]))(1)
    return [asked.today + relativedelta(days=1 + days, weekday=day)]


def _away_from_today(found: re.Match[str], asked: Asked) -> list[date]:
    """Three weeks ago, in two months: months and years by the calendar."""
    words, unit = _part(found, "count"), _part(found, "unit")
    count = _COUNTS.get(words) or int(words)
    if found["ago"]:
        count = -count
    if unit.startswith("fortnight"):
        unit, count = "weeks", 2 * count
    try:
        match unit[0]:
            case "d":
                return [asked.today + relativedelta(days=count)]
            case "w":
                return [asked.today + relativedelta(weeks=count)]
            case "m":
                return [asked.today + relativedelta(months=count)]
            case _:
                return [asked.today + relativedelta(years=count)]
    except (ValueError, OverflowError):
        return []


def _feast(found: re.Match[str], asked: Asked) -> list[date]:
    """Christmas, Easter Monday 2027, last Easter."""
    name, year, which = (_part(found, part) for part in ("feast", "year", "which"))

    def of_year(year: int) -> list[date]:
        if name in _FIXED:
            return _existing(year, *_FIXED[name])
        return [add_days(easter(year), _EASTER[name])] if year >= _FIRST_EASTER else []

    if year:
        return of_year(_year_of(year, asked.today))
    today = asked.today
    if which == "this":
        return of_year(today.year)
    if which == "last":
        asked = Asked(today=add_days(today, -1), sense=Sense.DONE, order=asked.order)
    elif which == "next":
        asked = Asked(today=add_days(today, 1), sense=Sense.AGREED, order=asked.order)
    return _without_year(asked, of_year)


_FIRST_EASTER = 1583  # of the Gregorian calendar, by which dateutil reckons

_FIGURES = (
    _form(
        "in figures",
        rf"{_BESIDE}(?P<first>\d{{1,2}})(?P<by>[/-]|\.\s?|\s)(?P<second>\d{{1,2}})"
        r"(?P=by)(?P<year>\d{4}|\d{2})",
        _figures,
    ),
    _form(
        "in figures without a year",
        rf"{_BESIDE}(?P<first>\d{{1,2}})/(?P<second>\d{{1,2}})",
        _figures,
    ),
    _form(
        "with dots",
        rf"{_BESIDE}(?P<first>\d{{1,2}})\.\s?(?P<second>\d{{1,2}})\.",
        _figures,
    ),
    _form(
        "in figures without a year or a slash",
        rf"{_BESIDE}(?P<first>\d{{1,2}})[.-](?P<second>\d{{1,2}})",
        _figures,
        in_words=False,
    ),
)
FORMS = (
    _form(
        "year first",
        rf"{_BESIDE}(?P<year>\d{{4}})([-/.])(?P<month>\d{{1,2}})\3(?P<day>\d{{1,2}})",
        _year_first,
    ),
    *_FIGURES,
    _form(
        "day and month",
        rf"{_BESIDE}{_DAY}(?:\s+of\s+|[\s./-]*){_MONTH}(?:[\s,./-]*(?P<year>{_YEAR}))?",
        _named_month,
    ),
    _form(
        "month and day",
        rf"{_BESIDE}{_MONTH}\s*(?:the\s+)?{_DAY}(?:(?:\s*,)?\s*(?P<year>{_YEAR}))?",
        _named_month,
    ),
    _form(
        "day, month and two figures",
        rf"{_BESIDE}{_DAY}[\s./-]*{_MONTH}[\s,./-]*(?P<year>\d{{2}})",
        _named_month,
        in_words=False,
    ),
    _form(
        "day of a month",
        r"(?:on\s+)?(?:the\s+)?"
        rf"(?P<day>\d{{1,2}}(?:st|nd|rd|th)|{_any(_ORDINALS)})"
        rf"(?:\s+(?:of\s+)?{_WHICH}\s+month)?",
        _of_a_month,
    ),
    _form("near today", rf"(?P<near>{_any(_NEAR)})", _near),
    _form(
        "day of the week",
        r"(?:on\s+)?(?:the\s+)?(?:(?P<which>last|next|(?:this\s+)?(?:past|coming)|this)\s+)?"
        rf"(?P<weekday>{_DAY_NAME})",
        _of_the_week,
    ),
    _form(
        "day of another week",
        rf"(?:on\s+)?(?:the\s+)?(?P<weekday>{_DAY_NAME})\s+(?:of\s+)?{_WHICH}\s+week",
        _of_another_week,
    ),
    _form(
        "weeks on",
        rf"(?:on\s+)?(?:(?P<weekday>{_DAY_NAME})|(?P<near>today|tomorrow))\s+"
        r"(?P<weeks>(?:a\s+)?(?:week|fortnight))",
        _weeks_on,
    ),
    _form(
        "weeks on, said first",
        r"(?P<weeks>a\s+(?:week|fortnight))\s+(?:from\s+)?"
        rf"(?:(?:on\s+)?(?P<weekday>{_DAY_NAME})|(?P<near>today|tomorrow))",
        _weeks_on,
    ),
    _form(
        "away from today",
        rf"(?P<in>in\s+)?(?P<count>\d{{1,4}}|{_any(_COUNTS)})\s+"
        r"(?P<unit>days?|weeks?|fortnights?|months?|years?)"
        r"(?:(?P<ago>\s+ago)|\s+(?:from\s+(?:now|today)|hence)|(?(in)(?:(?:'s?)?\s+time)?|(?!)))",
        _away_from_today,
    ),
    _form(
        "feast",
        rf"(?:on\s+)?(?:(?P<beside>{_DAY_NAME}),?\s+)?(?:{_WHICH}\s+)?"
        rf"(?P<feast>{_any((*_FIXED, *_EASTER))})(?:,?\s+(?P<year>{_YEAR}))?",
        _feast,
    ),
)
