"""What single parts of an owner's phrase say, before they are put together.

Facts of use (how long, how often, when) complement each other in any order; those of habits, rests
and meters stand by themselves.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from oilchart.core.days import Span
from oilchart.core.use.report import Oiling, Reading, SewingPace
from oilchart.sources.words.vocabulary import Occasion
from oilchart.sources.words.word_list import Range

SEVERAL_DAYS = "day of the week"  # the occasion of more than one


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """Once in so many days."""

    days: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class Regular:
    """Occasions that come back by themselves: every evening, Saturdays, most days.

    Args:
        a_week: how many; None where it was not said, as of "in the evening".
        counted: it was said which or how many, so that they are days on which one sews.
        words: vague ones, as they were said.
    """

    occasion: str
    a_week: Range | None
    counted: bool = True
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Duration:
    """Hours at the machine.

    Args:
        per: once in such a stretch of time, or each time of such an occasion.
        each: they are of one time or one piece.
    """

    hours: Range
    per: Period | Regular | None = None
    each: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """So many sittings.

    Args:
        what: an occasion; "time" where none was named.
        per: in such a stretch of time; None where none was said.
    """

    count: Range
    what: Occasion
    per: Period | Regular | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Works:
    """So many pieces of work.

    Args:
        one: hours of one; None where the settings have no such piece.
    """

    count: Range
    name: str
    one: Range | None
    per: Period | Regular | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """So many bobbins."""

    count: Range
    per: Period | Regular | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Vague:
    """All there is of it, or how often: hours or times in so many days."""

    amount: Range
    days: Fraction
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stitching:
    """So many stitches."""

    count: Range
    per: Period | Regular | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """In so much of a year only: 40 weeks of it."""

    days: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class Less:
    """Not on so many days of the week."""

    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """It is so no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bare:
    """A number alone, of what was spoken of before it; a per without what comes so often."""

    count: Range
    per: Period | Regular | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What "about" makes of the number beside it, said apart from it."""

    factors: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class As:
    """So many times as much as was told before, or as in other months.

    Args:
        times: None where it is only said that it is more or less.
        of_before: told before is what it is compared with.
    """

    times: Fraction | None
    of_before: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Nothing:
    """No sewing at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """Some months of the year.

    Args:
        name: a season of which nobody told the months; then there are none.
    """

    months: frozenset[int]
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise:
    """The months that are not named."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """From a day up to the day it was said."""

    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Says nothing of how much: for how long by now, and what is likely of a range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleMonths:
    """Months in which the machine rests every year; none says "no rests"."""

    months: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Months that are so many times as busy as others; no months say "no seasons".

    Args:
        times: None where it was only said that they are.
    """

    months: frozenset[int]
    times: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unused:
    """Nothing since a day."""

    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """From one hour of the day to another."""

    hours: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class Unclear:
    """What can be read but lacks something.

    Args:
        ask: the question that finds it out.
        is_first: it is asked before all that is only missing.
        voids: hours that were said with it mean nothing without the answer.
        answered_by: the kind of fact that answers it; None where saying it otherwise does.
    """

    ask: str
    is_first: bool = False
    voids: bool = False
    answered_by: type | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """How much of the sewing is zigzag."""

    of_it: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """Yes: what was asked about is meant."""


OfUse = (
    Duration | Period | Regular | Times | Works | Thread | Stitching | Vague | Bare | Around | As
    | Nothing | When | Otherwise | Since | Spell | Less | Past | Clock
)  # fmt: skip
ByItself = (
    IdleMonths | Season | Unused | Span | Share | SewingPace | Oiling | Reading | Unclear | Agreed
    | Remark
)  # fmt: skip
Fact = OfUse | ByItself
