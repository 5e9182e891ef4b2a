"""What each statement of an owner says, still by itself.

Each function is the rule of its name.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from oilchart.core.days import Span, add_days
from oilchart.core.units import Speed, Unit
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Oiling, Reading, SewingPace
from oilchart.sources.words.parser import Match, rule
from oilchart.sources.words.phrase import Range


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursOften:
    """Hours at the machine in so many days.

    Args:
        conversion: how the hours came out of bobbins or pieces of work, in words.
        work: they come from a piece of work, and are added to those of others.
    """

    hours: Range
    days: Fraction
    conversion: str = ""
    work: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursSince:
    """Hours at the machine since a day."""

    hours: Range
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleMonths:
    """Months in which the machine rests every year; none says "no rests"."""

    months: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Months that are so many times as busy as others; no months say "no seasons"."""

    months: frozenset[int]
    times: Fraction


# what "about" makes of a number; common practice, no source
ABOUT = Fraction(4, 5), Fraction(5, 4)

# a fraction is the share of zigzag, a span a rest
Content = (
    HoursOften | HoursSince | Reading | IdleMonths | Season | Span | Fraction | SewingPace | Oiling
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """One statement and the token it begins with."""

    at: int
    says: Content


@rule(
    '[ "about" ] ( rate | total | sittings | thread | zigzag | work ) '
    "| regular | none | unused | meter | idle | rest | away | no_rests "
    "| season | no_seasons | pace | oiling",
    expected=['a number of hours, bobbins or pieces, or one of "idle", "busy", "meter", "none"'],
)
def statement(match: Match) -> Statement:
    """The one thing that was found after "about", which makes a single number a range."""
    says = match.found[-1][1]
    if match.has("about") and isinstance(says, HoursOften | HoursSince):
        says = replace(says, hours=_about(says.hours))
    return Statement(at=match.at, says=says)


@rule(
    "hours often",
    examples=[
        "5-8 hours a week", "about 6 hours a week", "45 min a day", "half an hour a day",
        "20 h/month", "200 hours a year", "3 hours every other week",
    ],
)  # fmt: skip
def rate(match: Match) -> HoursOften:
    """Hours in a stretch of time."""
    return HoursOften(hours=match.get("hours"), days=match.get("often"))


@rule('every [ "," ] hours', examples=["every weekend, 3 hours"])
def regular(match: Match) -> HoursOften:
    """A stretch of time and the hours in it."""
    return HoursOften(hours=match.get("hours"), days=match.get("every"))


@rule(
    'number SITTINGS often [ "of" | "for" | "," ] hours [ "each" ]',
    examples=["2 evenings a week of 1-2 hours"],
)
def sittings(match: Match) -> HoursOften:
    """Sittings in a stretch of time, and the hours of each."""
    return HoursOften(
        hours=_times(match.get("number"), match.get("hours")), days=match.get("often")
    )


@rule('"none"', examples=["none"])
def none(match: Match) -> HoursOften:
    """No sewing at all."""
    return HoursOften(hours=(Fraction(0), Fraction(0)), days=Fraction(1))


@rule("number BOBBINS often", examples=["3 bobbins a week", "a bobbin a day"])
def thread(match: Match) -> HoursOften:
    """Bobbins in a stretch of time, by what the model's bobbin holds."""
    terms = match.phrase.terms
    if terms.bobbin is None:
        match.refuse(
            "needs the bobbin's length, which the model's list does not say (bobbin_metres); "
            "say hours instead"
        )
    one = terms.bobbin.hours(terms.speed)
    return HoursOften(
        hours=_times(match.get("number"), (one, one)),
        days=match.get("often"),
        conversion=_bobbin_words(terms.bobbin, terms.speed),
    )


@rule("number piece often", examples=["2 quilts a month", "a dress every 6 weeks"])
def work(match: Match) -> HoursOften:
    """Pieces of work in a stretch of time, by the hours for one."""
    name, one = match.get("piece")
    low, high = (f"{float(value):g}" for value in one)
    return HoursOften(
        hours=_times(match.get("number"), one),
        days=match.get("often"),
        conversion=f"{low if low == high else f'{low}-{high}'} hours a {name}",
        work=True,
    )


@rule(
    "hours ( since | last )",
    examples=[
        "120 hours since 2026-03-01",
        "50 hours since 25 Dec",
        "about 300 hours in the last year",
    ],
)
def total(match: Match) -> HoursSince:
    """Hours since a day."""
    since = match.get("since") if match.has("since") else match.get("last")
    return HoursSince(hours=match.get("hours"), since=since)


@rule('"nothing" since', examples=["nothing since May", "nothing since Christmas"])
def unused(match: Match) -> HoursSince:
    """Nothing since a day."""
    return HoursSince(hours=(Fraction(0), Fraction(0)), since=match.get("since"))


@rule(
    '[ "new" ] "meter" number ( HOURS | STITCHES )',
    examples=["meter 412 hours", "meter 1840000 stitches", "new meter 0 hours"],
)
def meter(match: Match) -> Reading:
    """What a meter shows, an old or a new one."""
    low, high = match.get("number")
    if low != high:
        match.refuse("is a range; a meter shows one number")
    unit = Unit.STITCHES if match.has("STITCHES") else Unit.HOURS
    return Reading(amount=low, unit=unit, new_meter=match.has("new"))


@rule('"idle" months', examples=["idle Jul-Aug"])
def idle(match: Match) -> IdleMonths:
    """Months of every year."""
    return IdleMonths(months=match.get("months"))


@rule('"no" RESTS', examples=["no rests"])
def no_rests(match: Match) -> IdleMonths:
    """No months of any year."""
    return IdleMonths(months=frozenset())


@rule('"idle" DATE through', examples=["idle 2026-01-10 to 2026-03-01"])
def rest(match: Match) -> Span:
    """Idle from a day up to and with another."""
    first, last = date.fromisoformat(match.get("DATE")), match.get("through")
    if last < first:
        match.refuse("ends before it begins")
    return Span(first=first, end=add_days(last, 1))


@rule(
    '"away" ( "until" | "till" ) coming',
    examples=["away until 2027-05-01", "away until March"],
)
def away(match: Match) -> Span:
    """Away from the day it was said, back on another."""
    said, end = match.phrase.said, match.get("coming")
    if end <= said:
        match.refuse(f"ends before the day it was said, {said}")
    return Span(first=said, end=end)


@rule('"busy" months "x" times', examples=["busy Oct-Dec x2"])
def season(match: Match) -> Season:
    """Some months busier than the others."""
    return Season(months=match.get("months"), times=match.get("times"))


@rule('"no" SEASONS', examples=["no seasons"])
def no_seasons(match: Match) -> Season:
    """All months alike."""
    return Season(months=frozenset(), times=Fraction(1))


@rule('share "zigzag"', examples=["mostly zigzag", "a third zigzag", "45% zigzag", "no zigzag"])
def zigzag(match: Match) -> Fraction:
    """How much of the sewing is zigzag."""
    found: Fraction = match.get("share")
    return found


@rule('"slow" | "normal speed" | "flat out"', examples=["slow", "normal speed", "flat out"])
def pace(match: Match) -> SewingPace:
    """How fast they sew."""
    return SewingPace(" ".join(word for word, _ in match.found))


@rule(
    '[ "sometimes" | "never" ] "oils it"',
    examples=["oils it", "sometimes oils it", "never oils it"],
)
def oiling(match: Match) -> Oiling:
    """Whether they oil it."""
    return Oiling(" ".join(word for word, _ in match.found))


def _about(hours: Range) -> Range:
    """So many hours more or less, where one number was said."""
    low, high = hours
    return (low * ABOUT[0], high * ABOUT[1]) if low == high else hours


def _times(count: Range, hours: Range) -> Range:
    return count[0] * hours[0], count[1] * hours[1]


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
