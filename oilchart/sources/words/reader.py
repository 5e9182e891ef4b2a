"""Knows the owner's words: a little grammar of plain English that turns what was said about sewing
into a report.

    phrase    = statement { ";" statement }
    statement = rate | thread | work | total | meter | rest | season | habit | "none"

    rate      = [ "about" ] hours often
              | "every" [ number ] period "," hours
              | number sittings often [ "of" ] hours
    thread    = number "bobbins" often
    work      = number piece often                          (pieces: the shop's settings)
    total     = [ "about" ] hours ( "since" day | "in the last" [ number ] period )
              | "nothing since" day
    meter     = [ "new" ] "meter" number ( "hours" | "stitches" )
    rest      = "idle" months | "idle" DATE "to" DATE | "away until" DATE | "no rests"
    season    = "busy" months "x" number | "no seasons"
    habit     = share "zigzag" | "slow" | "normal speed" | "flat out"
              | "oils it" | "sometimes oils it" | "never oils it"

    hours     = number ( "hours" | "minutes" ) | "half an hour"
    number    = NUMBER [ "-" NUMBER ] | "a" | "half"
    often     = ( "a" | "per" | "each" | "/" ) period | "every" [ number ] period
    period    = "day" | "week" | "weekend" | "month" | "year" | ...
    sittings  = "evenings" | "days" | "times" | ...
    months    = MONTH [ "-" MONTH ]
    day       = DATE | MONTH [ YEAR ]
    share     = "mostly" | "half" | "a third" | "a quarter" | "no" | "all" | NUMBER "%"

"none" is a rate of 0 hours. A rest of months comes back every year, a dated one does not; "A to B"
includes B, "until D" excludes D. Works are added up; otherwise two statements of one kind in a
phrase contradict each other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction

from oilchart.core.units import DAY_HOURS, Speed, Unit, ticks, ticks_over
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import FLAT_YEAR, Rate, Reading, Report, Total
from oilchart.errors import UnreadableWords, nearest, one_line
from oilchart.sources.words.habits import Habits
from oilchart.sources.words.quantities import HOURS, MINUTES, NUMBER, SITTINGS, Range

EXAMPLES = (
    "5-8 hours a week",
    "3 bobbins a week; mostly zigzag",
    "120 hours since 2026-03-01; idle Jul-Aug",
)
LONGEST_PHRASE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the words need to know of the machine and the shop.

    Args:
        bobbin: the model's; None where its list does not say what it holds.
        speed: the machine's.
        pieces: hours at the machine for one piece of each kind of work, low and high, by its name
            in the singular.
    """

    bobbin: Bobbin | None = None
    speed: Speed = field(default_factory=Speed)
    pieces: Mapping[str, Range] = field(default_factory=dict)


NO_TERMS = Terms()


def read_report(words: str, said: date, terms: Terms = NO_TERMS) -> Report:
    """Read what an owner said on a day.

    Raises:
        UnreadableWords: names the place, what was expected there, and three examples.
    """
    plain = one_line(words)
    if not plain.strip("; "):
        raise UnreadableWords(f'use: nothing was said; write it like "{EXAMPLES[0]}", or "none"')
    if len(plain) > LONGEST_PHRASE:
        raise UnreadableWords(
            f"use: too long: {len(plain)} letters; say it in at most {LONGEST_PHRASE}"
        )
    return _Phrase(plain, said, terms).read()


class _Phrase(Habits):
    """One phrase being read, token by token."""

    def __init__(self, words: str, said: date, terms: Terms) -> None:
        super().__init__(words, EXAMPLES)
        self._said = said
        self._terms = terms
        self._pieces = terms.pieces
        self._report = Report(said=said, words=words)
        self._works = False  # the rate read so far comes from pieces of work

    def read(self) -> Report:
        if self._next != ";":
            self._statement()
        while self._take(";"):
            if self._next not in ("", ";"):
                self._statement()
        if self._next:
            self._stop('";" or the end')
        self._check_rests()
        return self._report

    def _check_rests(self) -> None:
        """Refuse rests that leave nothing of the year, or nothing of the days of a total."""
        report = self._report
        months = report.idle_months or frozenset()
        if len(months) == len(FLAT_YEAR):
            self._refuse(
                0,
                'leaves no month to sew in; say "none" if there is no sewing, or "away until" and a day',
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
            self._refuse(0, "leaves no day to sew on since then; ask again about the rests")

    # statements

    def _statement(self) -> None:
        first = self._at
        starts = {
            "idle": self._idle,
            "away": self._away,
            "busy": self._busy,
            "none": self._none,
            "nothing": self._nothing,
            "new": self._meter,
            "meter": self._meter,
            "every": self._every,
            "slow": self._pace,
            "normal": self._pace,
            "flat": self._pace,
            "oils": self._oils,
            "sometimes": self._oils,
            "never": self._oils,
            "mostly": self._zigzag,
            "all": self._zigzag,
        }
        if self._next == "no":
            self._no(first)
        elif self._next in starts:
            starts[self._next](first)
        else:
            self._take("about")
            self._amount(first)

    def _amount(self, first: int) -> None:
        """What begins with a number: hours, bobbins, sittings, pieces of work, or a share of
        zigzag."""
        if self._share_ahead() is not None:
            self._zigzag(first)
            return
        number = self._number()
        if self._take(*HOURS):
            self._hours_said(number, first)
        elif self._take(*MINUTES):
            self._hours_said((number[0] / 60, number[1] / 60), first)
        elif self._take("bobbin", "bobbins"):
            self._bobbins(number, first)
        elif self._singular(self._next) in SITTINGS and self._next:
            self._at += 1
            self._sittings(number, first)
        else:
            self._piece(number, first)

    def _hours_said(self, hours: Range, first: int) -> None:
        if self._take("since"):
            self._set_total(hours, self._day(), first)
        elif self._take("in"):
            self._expect("the")
            self._expect("last")
            count = self._number() if NUMBER.fullmatch(self._next) else (Fraction(1), Fraction(1))
            self._set_total(hours, self._back(count[0], self._period()), first)
        else:
            self._set_rate(
                hours,
                self._often(
                    '"a week", "a day", "every 2 weeks", "since" and a day, or "in the last year"'
                ),
                first,
            )

    def _sittings(self, number: Range, first: int) -> None:
        days = self._often('"a week" or "a month"')
        self._take("of", ",", "for")
        hours = self._hours()
        self._take("each")
        self._set_rate((number[0] * hours[0], number[1] * hours[1]), days, first)

    def _every(self, first: int) -> None:
        days = self._often("a day, week, weekend, month or year")
        self._take(",")
        self._set_rate(self._hours(), days, first)

    def _none(self, first: int) -> None:
        self._at += 1
        self._set_rate((Fraction(0), Fraction(0)), Fraction(1), first)

    def _bobbins(self, number: Range, first: int) -> None:
        days = self._often('"a week", "a day" or "every 2 weeks"')
        bobbin = self._terms.bobbin
        if bobbin is None:
            self._refuse(
                first,
                "needs the bobbin's length, which the model's list does not say (bobbin_metres); say hours instead",
            )
        hours = bobbin.hours(self._terms.speed)
        self._set_rate(
            (number[0] * hours, number[1] * hours),
            days,
            first,
            reckoned=_bobbin_words(bobbin, self._terms.speed),
        )

    def _piece(self, number: Range, first: int) -> None:
        """A piece of work by its name, as long as the settings have it."""
        start = self._at
        words: list[str] = []
        while (
            self._next
            and self._next[0].isalpha()
            and self._next not in ("a", "an", "per", "each", "every")
        ):
            words.append(self._next)
            self._at += 1
        if not words:
            self._stop("hours, minutes, bobbins, evenings, or a piece of work")
        name = " ".join([*words[:-1], self._singular(words[-1])])
        hours = self._terms.pieces.get(name) or self._terms.pieces.get(" ".join(words))
        if hours is None:
            known = [*self._terms.pieces, *HOURS[:1], *MINUTES[:1], "bobbins", "evenings"]
            self._refuse(
                start,
                f'"{" ".join(words)}" is no unit and no piece of work of the settings{nearest(name, known)}',
            )
        days = self._often('"a month" or "every 6 weeks"')
        reckoned = f"{_plain(hours)} hours a {name}"
        self._set_rate(
            (number[0] * hours[0], number[1] * hours[1]), days, first, reckoned=reckoned, work=True
        )

    def _nothing(self, first: int) -> None:
        self._at += 1
        self._expect("since")
        self._set_total((Fraction(0), Fraction(0)), self._day(), first)

    def _meter(self, first: int) -> None:
        new = bool(self._take("new"))
        self._expect("meter")
        number = self._number()
        if number[0] != number[1]:
            self._refuse(first, "is a range; a meter shows one number")
        if self._take("stitches", "stitch"):
            unit = Unit.STITCHES
        elif self._take(*HOURS):
            unit = Unit.HOURS
        else:
            self._stop("hours or stitches")
        if self._report.reading is not None:
            self._refuse(first, "is the second meter reading in one phrase; keep one of them")
        self._report = replace(
            self._report, reading=Reading(amount=number[0], unit=unit, new_meter=new)
        )

    # what is kept

    def _set_rate(
        self, hours: Range, days: Fraction, first: int, *, reckoned: str = "", work: bool = False
    ) -> None:
        """Keep hours in so many days as a rate; works are added to works."""
        rate = Rate(low=ticks_over(hours[0], days), high=ticks_over(hours[1], days))
        before = self._report.rate
        if before is not None and not (work and self._works):
            self._refuse(first, "is the second rate in one phrase; keep one of them")
        if before is not None:
            rate = Rate(low=before.low + rate.low, high=before.high + rate.high)
        if rate.high > ticks(Fraction(DAY_HOURS)):
            self._refuse(first, f"is more than {DAY_HOURS} hours a day; ask again")
        self._works = work
        notes = [note for note in (self._report.reckoned, reckoned) if note]
        self._report = replace(self._report, rate=rate, reckoned="; ".join(notes))

    def _set_total(self, hours: Range, since: date, first: int) -> None:
        if since >= self._said:
            self._refuse(
                first, f"begins on {since}, which is not before the day it was said, {self._said}"
            )
        if hours[1] > DAY_HOURS * (self._said - since).days:
            self._refuse(first, f"is more than {DAY_HOURS} hours a day since then; ask again")
        if self._report.total is not None:
            self._refuse(first, "is the second total in one phrase; keep one of them")
        self._report = replace(
            self._report, total=Total(low=ticks(hours[0]), high=ticks(hours[1]), since=since)
        )


def _bobbin_words(bobbin: Bobbin, speed: Speed) -> str:
    """How a bobbin comes to hours, with numbers that can be redone on paper."""
    share = float(speed.needle_share * 100)
    return (
        f"a bobbin holds {float(bobbin.metres):g} m; at {float(bobbin.thread_a_stitch_mm):.3f} mm a stitch that is "
        f"{round(bobbin.stitches)} stitches; at {float(speed.stitches_a_minute):g} a minute, the needle moving {share:g} % of the time, "
        f"{float(bobbin.hours(speed)):.2f} hours"
    )


def _plain(hours: Range) -> str:
    low, high = (f"{float(value):g}" for value in hours)
    return low if low == high else f"{low}-{high}"
