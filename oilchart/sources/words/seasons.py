"""Which months, since when, and when not: the rules of seasons, rests and days.

Each function is the rule of its name.
"""

from __future__ import annotations

import math
from datetime import date
from fractions import Fraction

from oilchart import bounds
from oilchart.core.days import Span, add_days, add_months
from oilchart.core.units import PERIOD_DAYS, WEEK_DAYS
from oilchart.sources.words.facts import (
    IdleMonths,
    Nothing,
    Otherwise,
    Remark,
    Season,
    Since,
    Unclear,
    Unused,
    When,
)
from oilchart.sources.words.parser import Match, rule

ALL_MONTHS = frozenset(range(1, 13))
_MONTHS_IN = {PERIOD_DAYS["month"]: 1, PERIOD_DAYS["year"]: 12}
_NEVER = '"nothing" | "none" | "no" | NOT | "unused" | "untouched" | "idle"'


@rule(
    '"between" MONTH "and" MONTH | MONTH ( "-" | "to" | "until" | "till" | "through" ) MONTH '
    "| MONTH"
)
def stretch(match: Match) -> frozenset[int]:
    """Months from the first to the last, over the turn of the year too."""
    first, last = match.all("MONTH")[0], match.all("MONTH")[-1]
    length = (last - first) % 12 + 1
    return frozenset((first + step - 1) % 12 + 1 for step in range(length))


@rule('stretch { [ "," ] [ "and" | "or" | "&" ] stretch } | SEASON { [ "and" | "or" ] SEASON }')
def months(match: Match) -> frozenset[int]:
    """All months that are named, by themselves or as seasons."""
    found: frozenset[int] = frozenset()
    for each in match.all("stretch"):
        found |= each
    for _, each in match.all("SEASON"):
        found |= each
    return found


@rule('{ JOINT | "every" } months')
def season(match: Match) -> When:
    """Some months of the year."""
    return When(months=match.get("months"))


@rule(
    '{ JOINT } months "only" | ( "only" | "just" ) { JOINT } months',
    examples=["term time only, 6 hours a week", "only in winter"],
)
def only_in(match: Match) -> IdleMonths:
    """No other months."""
    return IdleMonths(months=ALL_MONTHS - match.get("months"))


@rule(
    '( "idle" | "closed" | "away" | "except" [ "for" ] | "apart" "from" | "but" NOT | "nothing" '
    '| "none" | "no" | NOT | "off" | "shut" ) { PASS | USED | JOINT } months '
    '[ [ "," ] EVERY PERIOD ] | months "off"',
    examples=["idle Jul-Aug", "not in August", "3 hours a week, nothing in the holidays"],
)
def idle(match: Match) -> IdleMonths:
    """Months of every year in which it rests."""
    return IdleMonths(months=match.get("months"))


@rule('"no" ( "rests" | "rest" )', examples=["no rests"])
def no_rests(match: Match) -> IdleMonths:
    """No months of any year."""
    return IdleMonths(months=frozenset())


@rule(
    '( "idle" | "nothing" "from" ) DATE ( "-" | "to" ) DATE',
    examples=["idle 2026-01-10 to 2026-03-01"],
)
def rest(match: Match) -> Span:
    """Idle from a day up to and with another."""
    return _between(match)


def _between(match: Match) -> Span:
    first, last = match.all("DATE")
    if last < first:
        match.refuse("ends before it begins")
    return Span(first=first, end=add_days(last, 1))


@rule(
    '( "away" | "abroad" | [ "on" ] "holiday" | "gone" ) { PASS } ( "until" | "till" ) coming '
    '| ( "away" | "abroad" | "closed" ) { "from" } DATE ( "-" | "to" | "until" | "till" ) DATE '
    '| ( "away" | "abroad" | "gone" ) { PASS } for_ahead '
    '| ( "no" | NOT | "nothing" | "none" ) { PASS | USED } ( "until" | "till" ) coming',
    examples=["away until 2027-05-01", "away until March"],
)
def away(match: Match) -> Span:
    """Away from the day it was said, or another, and back on one."""
    if match.has("DATE"):
        return _between(match)
    said, end = match.phrase.said, match.get("coming") or match.get("for_ahead")
    if end <= said:
        match.refuse(f"ends before the day it was said, {said}")
    return Span(first=said, end=end)


@rule('"for" ( amount | A ) PERIOD')
def for_ahead(match: Match) -> date:
    """The day so long after the one it was said on."""
    said = match.phrase.said
    count = (match.get("amount") or (Fraction(1), Fraction(1)))[1]
    days: Fraction = match.get("PERIOD")
    if days in _MONTHS_IN and count.denominator == 1 and count <= bounds.YEARS_BACK:
        return add_months(said, int(count) * _MONTHS_IN[days])
    return add_days(said, min(math.ceil(count * days), bounds.YEARS_BACK * 365))


@rule(
    '"busy" [ "in" | "from" ] months [ "x" NUMBER ] '
    '| NUMBER "times as much in" months "as in other months"',
    examples=["busy Oct-Dec x2"],
)
def busy(match: Match) -> Season:
    """Some months busier than the others."""
    return Season(months=match.get("months"), times=match.get("NUMBER"))


@rule('( MORE | "busier" | "quieter" ) { PASS | JOINT } months')
def uneven(match: Match) -> Season:
    """Some months busier or quieter than the others; nobody says by how much."""
    return Season(months=match.get("months"), times=None)


@rule('"no" ( "seasons" | "season" )', examples=["no seasons"])
def no_seasons(match: Match) -> Season:
    """All months alike."""
    return Season(months=frozenset(), times=Fraction(1))


@rule(
    '"otherwise" | "else" | "normally" | "usually" | "at other times" '
    '| "the rest of the" ( PERIOD | "time" ) | [ "in" ] [ "the" ] "other months" '
    '| "apart from that"',
    examples=["10 hours a week before Christmas, otherwise 3"],
)
def otherwise(match: Match) -> Otherwise:
    """The months that are not named."""
    return Otherwise()


@rule("DATE | MONTH [ YEAR ] | YEAR | SEASON | SERVICE")
def day(match: Match) -> date:
    """A day, or the first of a month, a season or a year: of one without a year the latest before
    the day it was said."""
    said = match.phrase.said
    if match.has("SERVICE"):
        served = match.phrase.terms.last_service
        if served is None:
            match.refuse("is not in the book; since which day?")
        return served
    if match.has("SEASON"):
        _, months = match.get("SEASON")
        return _latest(_first_month(months), said)
    if match.has("YEAR") and not match.has("MONTH"):
        return date(match.get("YEAR"), 1, 1)
    if match.has("MONTH") and not match.has("YEAR"):
        return _latest(match.get("MONTH"), said)
    return _named(match)


def _first_month(months: frozenset[int]) -> int:
    """The month with which a season begins."""
    return next((month for month in sorted(months) if (month - 2) % 12 + 1 not in months), 1)


def _latest(month: int, said: date) -> date:
    """The first of a month, the latest before a day."""
    this_year = date(said.year, month, 1)
    return this_year if this_year < said else add_months(this_year, -12)


def _named(match: Match) -> date:
    """A day, or the first of a month: of the year it was said in where none is named."""
    if match.has("DATE"):
        found: date = match.get("DATE")
        return found
    return date(match.get("YEAR") or match.phrase.said.year, match.get("MONTH"), 1)


@rule("DATE | MONTH [ YEAR ]")
def coming(match: Match) -> date:
    """A day, or the first of a month: the next after the day it was said unless its year is
    named."""
    named = _named(match)
    is_named = match.has("DATE") or match.has("YEAR")
    return named if is_named or named > match.phrase.said else add_months(named, 12)


@rule(
    '"since" { "the" | "last" | "this" } day '
    '| ( "in" | "over" | "during" | "the" ) { "the" } ( "last" | "past" ) [ amount ] '
    "( PERIOD | OCCASION ) "
    '| [ "in" | "so" "far" ] "this" PERIOD'
)
def since(match: Match) -> Since:
    """The day from which hours are counted."""
    if match.has("this") and not match.has("day"):
        return Since(day=_begun(match))
    if match.has_any("PERIOD", "OCCASION"):
        days = match.get("PERIOD") or Fraction(WEEK_DAYS, match.get("OCCASION").a_week or WEEK_DAYS)
        return Since(day=_back(match, match.get("amount"), days))
    return Since(day=_in_memory(match, match.get("day")))


def _begun(match: Match) -> date:
    """The first day of this year or month."""
    said = match.phrase.said
    match match.get("PERIOD"):
        case days if days == PERIOD_DAYS["year"]:
            return date(said.year, 1, 1)
        case days if days == PERIOD_DAYS["month"]:
            return said.replace(day=1)
        case _:
            return add_days(said, -said.weekday())


def _in_memory(match: Match, first: date) -> date:
    """The day, if it is not longer ago than anybody remembers."""
    if first < bounds.earliest_day(match.phrase.said):
        match.refuse(f"goes back more than {bounds.YEARS_BACK} years; say a later day")
    return first


def _back(match: Match, amount: tuple[Fraction, Fraction] | None, days: Fraction) -> date:
    """The day so many periods before it was said: whole months and years by the calendar."""
    said = match.phrase.said
    count = amount[1] if amount else Fraction(1)
    months_back = int(count) * _MONTHS_IN.get(days, 0)
    if months_back and count.denominator == 1:
        most = (said.year - date.min.year) * 12 + said.month - date.min.month
        return _in_memory(
            match, add_months(said, -months_back) if months_back <= most else date.min
        )
    return _in_memory(match, add_days(said, -min(math.ceil(count * days), said.toordinal() - 1)))


@rule('"for" ( amount | A ) PERIOD [ "now" ]')
def long(match: Match) -> Remark | Unclear:
    """For so many months or years by now; a few weeks may be how long it is each time."""
    if match.get("PERIOD") >= PERIOD_DAYS["month"] and not match.has("A"):
        return Remark()
    return Unclear(ask=f"{match.written()}: and how many hours is that in all?", voids=True)


@rule(
    f"( {_NEVER} ) {{ PASS | USED }} ( since | for_long ) "
    '| "last" { PASS } USED { "at" | "in" | "on" } day',
    examples=["nothing since May", "not used since Christmas", "nothing for six months"],
)
def unused(match: Match) -> Unused:
    """Nothing since a day."""
    if match.has("day"):
        return Unused(since=match.get("day"))
    found = match.get("since")
    return Unused(since=match.get("for_long") if found is None else found.day)


@rule('"for" ( amount | A ) PERIOD')
def for_long(match: Match) -> date:
    """The day so long ago."""
    return _back(match, match.get("amount"), match.get("PERIOD"))


@rule(
    '"none" | "nothing" [ "at" "all" ] | "never" | "zero" | "unused" | "not" "at" "all" '
    '| NOT { PASS } USED { PASS } [ "any" "more" | "anymore" | "at" "all" ]',
    examples=["none", "not used at all"],
)
def nothing(match: Match) -> Nothing:
    """No sewing at all."""
    return Nothing()


@rule('[ "for" | "in" | "during" ] [ "the" ] [ NOUN | PASS ] "season"')
def some_season(match: Match) -> Unclear:
    """A season that nobody knows the months of."""
    which = match.get("NOUN") or match.get("PASS")
    name = f"the {which} season" if which else "the season"
    return Unclear(ask=f"{name}: which months are that?", answered_by=When)


@rule('( "until" | "till" ) coming')
def until_when(match: Match) -> Unclear:
    """A day up to which something else is."""
    day = match.get("coming")
    return Unclear(
        ask=f'until {day}: not at all until then? Say "away until {day}"', answered_by=Span
    )


@rule('"last" PERIOD')
def last_period(match: Match) -> Unclear:
    """Of a year or a month two things may be meant."""
    word = match.phrase.tokens[match.at + 1].shown
    return Unclear(
        ask=f'"last {word}": in the last {word} up to now, or in the calendar\'s? '
        f'Say "in the last {word}", or since which day',
        is_first=True,
        answered_by=Since,
    )


@rule('"since"')
def since_when(match: Match) -> Unclear:
    """A day that nobody knows."""
    return Unclear(ask="since when: which day or month?", answered_by=Since)


@rule('"idle" | "away" | "closed"')
def idle_when(match: Match) -> Unclear:
    """A rest of which nobody says when."""
    return Unclear(
        ask=f'{match.written()}: in which months, or until which day? Say it like "not in July"',
        answered_by=IdleMonths,
    )
