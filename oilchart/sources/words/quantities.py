"""What the amounts, stretches and days of an owner's words come to.

Each function is the rule of its name.
"""

from __future__ import annotations

import math
from datetime import date
from fractions import Fraction

from oilchart import bounds
from oilchart.core.days import add_days, add_months
from oilchart.core.units import PERIOD_DAYS
from oilchart.errors import nearest
from oilchart.sources.words.parser import Match, rule
from oilchart.sources.words.phrase import Range
from oilchart.sources.words.vocabulary import MONTH_NUMBERS, PERIODS, singulars

_MONTHS_IN = {PERIOD_DAYS["month"]: 1, PERIOD_DAYS["year"]: 12}
_FRACTIONS = {"half": Fraction(1, 2), "third": Fraction(1, 3), "quarter": Fraction(1, 4)}
_SHARES = {
    "mostly": Fraction(7, 10),
    "half": Fraction(1, 2),
    "no": Fraction(0),
    "all": Fraction(1),
}


@rule('NUMBER [ ( "-" | "to" ) NUMBER ]')
def amount(match: Match) -> Range:
    """Low and high; one number is both."""
    numbers = [Fraction(text) for text in match.all("NUMBER")]
    if numbers[-1] < numbers[0]:
        match.refuse("runs backwards; say the smaller number first")
    return numbers[0], numbers[-1]


@rule('amount | "half" [ "a" | "an" ] | "a" | "an" | "one"', expected=["a number"])
def number(match: Match) -> Range:
    """A number or a range of numbers, "a" for one, "half" or "half an" for a half."""
    said: Range | None = match.get("amount")
    if said is not None:
        return said
    value = Fraction(1, 2) if match.has("half") else Fraction(1)
    return value, value


@rule("number ( HOURS | MINUTES )")
def hours(match: Match) -> Range:
    """Hours, or minutes turned into hours: low and high."""
    low, high = match.get("number")
    return (low / 60, high / 60) if match.has("MINUTES") else (low, high)


@rule('"every" [ "other" | NUMBER ] PERIOD')
def every(match: Match) -> Fraction:
    """In how many days once."""
    count = Fraction(match.get("NUMBER") or (2 if match.has("other") else 1))
    if not count:
        match.phrase.refuse(match.at + 1, "is no stretch of time")
    return count * PERIODS[match.get("PERIOD")]


@rule(
    '( "a" | "an" | "per" | "each" | "/" ) PERIOD | every',
    expected=['"a week"', '"a day"', '"every 2 weeks"'],
)
def often(match: Match) -> Fraction:
    """In how many days once."""
    days: Fraction | None = match.get("every")
    return PERIODS[match.get("PERIOD")] if days is None else days


@rule("NAME { WORD }")
def piece(match: Match) -> tuple[str, Range]:
    """A piece of work of the settings: its name in the singular, hours for one."""
    *first, last = [*match.all("NAME"), *match.all("WORD")]
    pieces = match.phrase.terms.pieces
    names = [" ".join([*first, form]) for form in singulars(last)]
    name = next((each for each in names if each in pieces), None)
    if name is None:
        known = [*pieces, "hours", "minutes", "bobbins", "evenings"]
        match.refuse(
            f'"{names[0]}" is no unit and no piece of work of the settings'
            f"{nearest(names[0], known)}"
        )
    return name, pieces[name]


@rule("DATE | MONTH [ YEAR ] | YEAR", expected=["a day like 2026-03-01, or a month"])
def day(match: Match) -> date:
    """A day, or the first of a month or a year: of a month without a year the latest before the day
    it was said."""
    if match.has("YEAR") and not match.has("MONTH"):
        return date(int(match.get("YEAR")), 1, 1)
    named = _day_named(match)
    is_named = match.has("DATE") or match.has("YEAR")
    return named if is_named or named < match.phrase.said else add_months(named, -12)


@rule("DATE | MONTH [ YEAR ]", expected=["a day like 2026-03-01, or a month"])
def coming(match: Match) -> date:
    """A day, or the first of a month: the next after the day it was said unless its year is
    named."""
    named = _day_named(match)
    is_named = match.has("DATE") or match.has("YEAR")
    return named if is_named or named > match.phrase.said else add_months(named, 12)


def _day_named(match: Match) -> date:
    """A day, or the first of a month: of the year it was said in where none is named."""
    if match.has("DATE"):
        return date.fromisoformat(match.get("DATE"))
    year = int(match.get("YEAR") or match.phrase.said.year)
    return date(year, MONTH_NUMBERS[match.get("MONTH")], 1)


@rule('"since" day', expected=['"since" and a day'])
def since(match: Match) -> date:
    """The day from which hours are counted."""
    return _in_memory(match, match.get("day"))


def _in_memory(match: Match, first: date) -> date:
    """The day, if it is not longer ago than anybody remembers."""
    if first < bounds.earliest_day(match.phrase.said):
        match.refuse(f"goes back more than {bounds.YEARS_BACK} years; say a later day")
    return first


@rule('"in the last" [ amount ] PERIOD', expected=['"in the last year"'])
def last(match: Match) -> date:
    """The day so many periods before it was said: whole months and years by the calendar."""
    said = match.phrase.said
    count, _ = match.get("amount") or (Fraction(1), Fraction(1))
    days = PERIODS[match.get("PERIOD")]
    months_back = int(count) * _MONTHS_IN.get(days, 0)
    if months_back and count.denominator == 1:
        most = (said.year - date.min.year) * 12 + said.month - date.min.month
        return _in_memory(
            match, add_months(said, -months_back) if months_back <= most else date.min
        )
    return _in_memory(match, add_days(said, -math.ceil(count * days)))


@rule("DATE | MONTH [ YEAR ]", expected=["a day like 2026-03-01, or a month"])
def day_to_come(match: Match) -> date:
    """A day, or the first of a month: the next one after the day it was said unless its year is
    named."""
    if match.has("DATE"):
        return date.fromisoformat(match.get("DATE"))
    month, said = MONTH_NUMBERS[match.get("MONTH")], match.phrase.said
    if match.has("YEAR"):
        return date(int(match.get("YEAR")), month, 1)
    this_year = date(said.year, month, 1)
    return this_year if this_year > said else add_months(this_year, 12)


@rule('( "-" | "to" ) DATE', expected=['"to" and the last day of the rest'])
def through(match: Match) -> date:
    """The last day of a rest."""
    return date.fromisoformat(match.get("DATE"))


@rule('MONTH [ ( "-" | "to" ) MONTH ]')
def months(match: Match) -> frozenset[int]:
    """Months from the first to the last, over the turn of the year too."""
    numbers = [MONTH_NUMBERS[text] for text in match.all("MONTH")]
    length = (numbers[-1] - numbers[0]) % 12 + 1
    return frozenset((numbers[0] + step - 1) % 12 + 1 for step in range(length))


@rule('NUMBER [ "/" NUMBER ]')
def times(match: Match) -> Fraction:
    """A whole number, a decimal or a fraction; 0 where it is divided by 0."""
    up, down = [*match.all("NUMBER"), "1"][:2]
    return Fraction(up) / Fraction(down) if Fraction(down) else Fraction(0)


@rule('"half" | "third" | "quarter"', expected=["a third"])
def fraction(match: Match) -> Fraction:
    """A half, third or quarter."""
    return _FRACTIONS[match.found[0][0]]


@rule(
    '"mostly" | "half" | ( "a" | "one" ) fraction | "no" | "all" | NUMBER "%"',
    expected=["a share of zigzag"],
)
def share(match: Match) -> Fraction:
    """A share in words or of a hundred."""
    if match.has("NUMBER"):
        return Fraction(match.get("NUMBER")) / 100
    part: Fraction | None = match.get("fraction")
    return _SHARES[match.found[0][0]] if part is None else part
