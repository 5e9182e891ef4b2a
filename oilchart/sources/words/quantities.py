"""How long, how often and of what: the rules of numbers, hours, occasions and pieces of work.

Each function is the rule of its name.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from oilchart.core.days import WEEKDAYS
from oilchart.sources.words.facts import (
    SEVERAL_DAYS,
    Around,
    Bare,
    Clock,
    Duration,
    Less,
    Past,
    Period,
    Regular,
    Remark,
    Spell,
    Stitching,
    Thread,
    Times,
    Vague,
    Works,
)
from oilchart.sources.words.parser import Match, rule
from oilchart.sources.words.vocabulary import Occasion
from oilchart.sources.words.word_list import Range

ONE: Range = (Fraction(1), Fraction(1))
YEAR = Fraction(365)
HOURS_OF_A_HALF = 12
A_BREAK = 1  # of a working day, in hours; common practice, no source


@rule("NUMBER | AMOUNT")
def count(match: Match) -> Range:
    """A number, or some vague number."""
    if match.has("AMOUNT"):
        amount: Range = match.get("AMOUNT")
        return amount
    value: Fraction = match.get("NUMBER")
    return value, value


@rule(
    '[ ABOUT ] [ "between" | "from" ] count [ ( "-" | "to" | "or" | "and" ) count ] '
    '[ ORSO ] [ "of" ]'
)
def amount(match: Match) -> Range:
    """Low and high; one number is both, unless it stands beside "about"."""
    ends = match.all("count")
    if match.has("and") and not match.has("between"):
        match.refuse("is two numbers; say which")
    return about(match, (ends[0][0], ends[-1][1]))


@rule('[ ABOUT ] PART [ "of" ] A | amount | [ ABOUT ] A [ ABOUT | "whole" ]')
def number(match: Match) -> Range:
    """A number or a range of numbers, "a" for one, "half a" for a half."""
    said: Range | None = match.get("amount")
    if said is not None:
        return said
    part = match.get("PART")
    return about(match, ONE if part is None else (part, part))


def about(match: Match, amount: Range) -> Range:
    """An amount, as "about" and its like widen it."""
    for factors in (*match.all("ABOUT"), *match.all("ORSO")):
        amount = widened(amount, factors)
    return amount


def widened(amount: Range, factors: Range) -> Range:
    """A single amount times the factors of its ends; a range as it is."""
    low, high = amount
    return (low * factors[0], high * factors[1]) if low == high else amount


@rule(
    '[ ABOUT ] A HOURS "or" number | hour [ "and" ] number MINUTES | hour "and" PART '
    '| hour ( "-" | "to" | "or" ) hour | hour "or" amount | hour | TIMED'
)
def time(match: Match) -> Range:
    """Hours, low and high: an hour or two, an hour and a half, 1 hr 20 min, 1h30."""
    if match.has("TIMED"):
        value = match.get("TIMED")
        return value, value
    hours = match.all("hour") or [ONE]
    low, high = hours[0][0], hours[-1][1]
    more = (Fraction(0), Fraction(0))
    if match.has("MINUTES"):
        more = tuple(minutes / 60 for minutes in match.get("number"))
    elif match.has("PART"):
        more = (match.get("PART"),) * 2
    elif match.has("number") or match.has("amount"):  # an hour or two
        return low, (match.get("number") or match.get("amount"))[1]
    return low + more[0], high + more[1]


@rule('number [ ";" ] ( HOURS | MINUTES ) [ ORSO ]')
def hour(match: Match) -> Range:
    """A number of hours, or of minutes turned into hours."""
    said = match.get("number")
    if match.has("MINUTES"):
        said = said[0] / 60, said[1] / 60
    return about(match, said)


@rule(
    '[ "in" | "of" | "over" ] ( A | EVERY ) PERIOD | EVERY ( "other" | "second" | amount ) PERIOD '
    '| EVERY amount OCCASION | ( "in" | "over" ) amount PERIOD | WEEKLY'
)
def period(match: Match) -> Period:
    """Once in a stretch of time."""
    if match.has("WEEKLY"):
        days = match.get("WEEKLY")
        return Period(days=(days, days))
    occasion: Occasion | None = match.get("OCCASION")
    days = match.get("PERIOD") if occasion is None else Fraction(7, occasion.a_week or 7)
    if match.has("amount"):
        low, high = match.get("amount")
        if not low:
            match.refuse("is no stretch of time")
        return Period(days=(days * low, days * high))
    times = 2 if match.has_any("other", "second") else 1
    return Period(days=(days * times, days * times))


@rule(
    'EVERY WEEKDAY [ "," ] [ "and" | "&" | "/" ] WEEKDAY { [ "," ] [ "and" | "&" | "/" ] WEEKDAY } '
    '| ( A | EVERY | "on" A ) occasion | EVERY ( "other" | "second" | "single" ) occasion | DAILY'
)
def every_time(match: Match) -> Regular:
    """Each time of an occasion; with "every" it is said how often, with "a" it need not be."""
    if match.has("DAILY"):
        return Regular(occasion=match.get("DAILY"), a_week=(Fraction(7), Fraction(7)))
    if days := match.all("WEEKDAY"):
        many = Fraction(len(days))
        return Regular(occasion=SEVERAL_DAYS, a_week=(many, many))
    occasion: Occasion = match.get("occasion")
    times = Fraction(occasion.a_week or 0)
    if match.has_any("other", "second"):
        times /= 2
    return Regular(
        occasion=occasion.name,
        a_week=(times, times) if times else None,
        counted=match.has("EVERY") and match.get("EVERY") in ("every", "each"),
    )


@rule("WEEKDAY OCCASION | WEEKDAY | OCCASION")
def occasion(match: Match) -> Occasion:
    """A part of a day, a day of the week, or a part of one: Saturday mornings."""
    if not match.has("WEEKDAY"):
        part: Occasion = match.get("OCCASION")
        return part
    day: Occasion = match.get("WEEKDAY")
    if not match.has("OCCASION"):
        return day
    of_that_day: Occasion = replace(match.get("OCCASION"), a_week=1)
    return of_that_day


@rule(
    'time [ period | every_time | "each" [ "time" ] | [ "at" ] A "time" | "apiece" ] '
    '| [ A ] amount [ "-" ] HOURS PERIOD | "hour" ( period | every_time )',
    examples=[
        "5-8 hours a week", "about 6 hours a week", "an hour and a half a day", "45 min a day",
        "20 h/month", "200 hours a year", "3 hours every other week", "up to 3 hours pw",
        "2 hours every Tuesday", "1h30 daily",
    ],
)  # fmt: skip
def duration(match: Match) -> Duration:
    """Hours, and in what stretch of time."""
    if match.has("PERIOD"):  # a 40-hour week
        days = match.get("PERIOD")
        return Duration(hours=match.get("amount"), per=Period(days=(days, days)))
    per = match.get("period") or match.get("every_time")
    return Duration(
        hours=match.get("time") or ONE,
        per=per,
        each=match.has("each") or (match.has("time") and not per),
    )


@rule(
    '( number SITTINGS | TIMES [ ( "or" | "to" | "-" ) TIMES ] | number occasion | amount "x" '
    '| "x" amount ) [ period | every_time ] | occasion period '
    '| ( "first" | "second" | "third" | "fourth" | "last" ) WEEKDAY ( "of" | "in" ) '
    '( "the" | A | EVERY ) PERIOD',
    examples=["2 evenings a week, an hour each", "twice a month for 3 hours", "a full day a week"],
)
def times(match: Match) -> Times:
    """Sittings, and in what stretch of time."""
    numbers = match.all("TIMES")
    count = match.get("number") or match.get("amount") or ONE
    if numbers:
        count = Fraction(numbers[0]), Fraction(numbers[-1])
    if match.has("WEEKDAY"):  # the first Saturday of the month
        days = match.get("PERIOD")
        return Times(count=ONE, what=match.get("WEEKDAY"), per=Period(days=(days, days)))
    return Times(
        count=count,
        what=match.get("occasion") or Occasion(name="time", a_week=None),
        per=match.get("period") or match.get("every_time"),
    )


@rule(
    '( number SITTINGS | number occasion ) ( "of" | "for" ) time '
    '[ period | every_time | "each" [ period | every_time ] ] '
    '| amount "x" time [ period | every_time ]',
    examples=["2 evenings of 3 hours a week"],
)
def sittings(match: Match) -> tuple[Times, Duration]:
    """Sittings of so long, in a stretch of time."""
    per = match.get("period") or match.get("every_time")
    what = match.get("occasion") or Occasion(name="time", a_week=None)
    return (
        Times(count=match.get("number") or match.get("amount"), what=what, per=per),
        Duration(hours=match.get("time"), each=True),
    )


@rule(
    "every_time "
    '| WEEKDAY ( "-" | "to" ) WEEKDAY '
    '| WEEKDAY { [ "," ] [ "and" | "or" | "&" | "/" ] WEEKDAY } [ OCCASION ] | OFTEN '
    '| [ "at" ] "the" OCCASION | OCCASION',
    examples=[
        "every other Saturday, 4 hours", "an hour on Tuesdays and Thursdays",
        "Monday to Friday, 6 hours a day", "most evenings", "every weekend", "Saturday mornings",
    ],
)  # fmt: skip
def regular(match: Match) -> Regular:
    """Occasions that come back by themselves."""
    if match.has("every_time"):
        found: Regular = match.get("every_time")
        return replace(found, counted=True)
    if match.has("OFTEN"):
        name, a_week = match.get("OFTEN")
        return Regular(occasion=name, a_week=a_week, words=match.written())
    days: list[Occasion] = match.all("WEEKDAY")
    if days:
        many = _days_between(days) if match.has("to") or match.has("-") else len(days)
        name = match.get("OCCASION").name if match.has("OCCASION") else SEVERAL_DAYS
        few = 1 if match.has("or") else many
        return Regular(occasion=name, a_week=(Fraction(few), Fraction(many)))
    occasion: Occasion = match.get("OCCASION")
    is_certain = occasion.a_week in (1, 5)
    a_week = Fraction(occasion.a_week or 0)
    return Regular(occasion=occasion.name, a_week=(a_week, a_week) if is_certain else None)


def _days_between(days: list[Occasion]) -> int:
    """Days of the week from the first to the last, both counted."""
    names = [day.name for day in days]
    first, last = (WEEKDAYS.index(name) for name in (names[0], names[-1]))
    return (last - first) % 7 + 1


@rule('"all" "day" [ "long" ] | "the" "whole" "day"', examples=["all day every Saturday"])
def all_day(match: Match) -> Duration:
    """As long as a day at the machine is."""
    sittings = match.phrase.terms.words.sittings
    return Duration(hours=sittings["full day"], each=True)


@rule(
    "NOT { PASS | USED } little | ALTOGETHER | ODD NOUN",
    examples=["hardly ever", "an hour now and then"],
)
def altogether(match: Match) -> Vague:
    """All there is of it."""
    if match.has("ALTOGETHER") and not match.has("NOT"):
        amount, days = match.get("ALTOGETHER")
    elif match.has("ODD"):
        amount, days = match.get("ODD"), YEAR
    else:
        amount, days = match.phrase.terms.words.altogether["not much"]
    return Vague(amount=amount, days=days, words=match.written())


@rule('"much" | "often" | ALTOGETHER')
def little(match: Match) -> str:
    """What one does not do."""
    return match.written()


@rule(
    "ODD ( HOURS | occasion ) [ regular ]", examples=["the odd evening", "the odd hour at weekends"]
)
def odd(match: Match) -> Vague | Regular:
    """So few that they are counted by the year."""
    amount = match.get("ODD")
    if match.has("HOURS"):
        return Vague(amount=amount, days=YEAR, words=match.written())
    a_week = tuple(count * 7 / YEAR for count in amount)
    return Regular(
        occasion=match.get("occasion").name,
        a_week=(a_week[0], a_week[1]),
        counted=False,
        words=match.written(),
    )


@rule(
    "number BOBBINS [ period | every_time ]",
    examples=["3 bobbins a week", "a bobbin every evening"],
)
def thread(match: Match) -> Thread:
    """Bobbins in a stretch of time."""
    return Thread(count=match.get("number"), per=match.get("period") or match.get("every_time"))


@rule(
    'number { AMOUNT | "of" } ( PIECE | NOUN [ "of" ] [ NOUN ] [ PIECE ] ) [ period | every_time ] '
    '| ODD { AMOUNT | "of" } PIECE',
    examples=["2 quilts a month", "a dress every 6 weeks", "10 hems a week, 15 minutes each"],
)
def work(match: Match) -> Works:
    """Pieces of work in a stretch of time."""
    pieces, terms = match.get("PIECE"), match.phrase.terms
    nouns = match.all("NOUN")
    per = match.get("period") or match.get("every_time")
    if match.has("ODD"):
        per = Period(days=(YEAR, YEAR))
    count = match.get("ODD") or match.get("number")
    for low, high in match.all("AMOUNT"):  # two pairs
        count = count[0] * low, count[1] * high
    return Works(
        count=count,
        name=" ".join([*nouns, *([pieces] if pieces else [])]),
        one=None if nouns or pieces is None else terms.pieces[pieces],
        per=per,
    )


@rule("amount [ period | every_time ]")
def bare(match: Match) -> Bare | Clock:
    """A number alone: of what was spoken of before it; or from one hour of the day to another."""
    first, last = said = match.get("amount")
    per = match.get("period") or match.get("every_time")
    if last < first <= HOURS_OF_A_HALF and per is None:
        most = last + HOURS_OF_A_HALF - first
        return Clock(hours=(most - A_BREAK, most))
    return Bare(count=said, per=per)


@rule("ABOUT | ORSO")
def around(match: Match) -> Around:
    """Apart from the number that it belongs to."""
    return Around(factors=match.get("ABOUT") or match.get("ORSO"))


@rule("period")
def every(match: Match) -> Period:
    """In what stretch of time, apart from how much: "weekly, 3 hours"."""
    found: Period = match.get("period")
    return found


@rule("amount STITCHES [ period | every_time ]", examples=["12,000 stitches a day"])
def stitching(match: Match) -> Stitching:
    """Stitches in a stretch of time."""
    per = match.get("period") or match.get("every_time")
    return Stitching(count=match.get("amount"), per=per)


@rule('[ "for" ] number PERIOD [ "in" ] ( A | EVERY ) "year"')
def spell(match: Match) -> Spell:
    """So much of a year."""
    low, high = match.get("number")
    days: Fraction = match.get("PERIOD")
    return Spell(days=(low * days, high * days))


@rule(
    '( "except" [ "for" ] | "but" NOT | NOT { PASS | USED } | "apart" "from" | "bar" ) '
    '[ "on" | "at" ] [ "the" ] '
    '( WEEKDAY { [ "," ] [ "and" | "or" ] WEEKDAY } | OCCASION )',
    examples=["every day except Sundays, an hour"],
)
def less(match: Match) -> Less:
    """Not on some days of the week."""
    if match.has("OCCASION"):
        occasion: Occasion = match.get("OCCASION")
        if occasion.name != "weekend":
            match.refuse("leaves out what is no day of the week")
        return Less(days=2)
    return Less(days=len(match.all("WEEKDAY")))


@rule("PAST")
def past(match: Match) -> Past:
    """It is so no more."""
    return Past()


@rule('"likely" NUMBER')
def likely(match: Match) -> Remark:
    """What is likely of a range, as it is said back."""
    return Remark()
