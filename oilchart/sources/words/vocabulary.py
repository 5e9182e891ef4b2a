"""The words that owners' phrases are made of, by kind, with what each comes to.

Vague ones come from a `WordList`; numbers, days and unknown words are kinds by their form.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from oilchart.core.days import MONTHS, WEEKDAYS
from oilchart.core.units import PERIOD_DAYS
from oilchart.sources.words.word_list import WordList

Values = Mapping[str, Any]  # of a token, by the names of its kinds

MOST_WORDS = 6  # of one entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A type of token, written in capitals in the grammar.

    Args:
        means: what such a token is, for the grammar.
    """

    name: str
    means: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """When one sits down to a machine.

    Args:
        name: in the singular: evening, full day, Saturday, time.
        a_week: so many there are in a week; None of times and sittings.
        plural: it was said in the plural: Saturdays.
    """

    name: str
    a_week: int | None
    plural: bool = False


KINDS = {
    kind.name: kind
    for kind in (
        Kind(name="NUMBER", means="5, 2.5, 1½, five, two and a half, a hundred and twenty"),
        Kind(name="PART", means="a number below 1: half, a quarter, three quarters"),
        Kind(name="TIMED", means="1h30"),
        Kind(name="A", means="a, an, one"),
        Kind(name="EVERY", means="every, each, per, /"),
        Kind(name="AMOUNT", means="a couple, a few, several, a dozen: [amounts] of words.toml"),
        Kind(name="ABOUT", means="about, up to, at least: [about] of words.toml"),
        Kind(name="ORSO", means="or so, at most, -ish: [or_so] of words.toml"),
        Kind(name="HOURS", means="hours, hour, hrs, hr, h"),
        Kind(name="MINUTES", means="minutes, minute, mins, min"),
        Kind(name="PERIOD", means="week, fortnight, month, year, in the plural too, wk, yr, annum"),
        Kind(name="WEEKLY", means="weekly, fortnightly, monthly, yearly, pw, pa"),
        Kind(name="DAILY", means="daily, nightly"),
        Kind(
            name="OCCASION",
            means="day, evening, morning, afternoon, night, full day, half a day, weekday, "
            "weekend, in the plural too",
        ),
        Kind(name="WEEKDAY", means="Monday, Mon, Mondays"),
        Kind(name="SITTINGS", means="times, sittings, sessions"),
        Kind(name="TIMES", means="once, twice"),
        Kind(name="OFTEN", means="most evenings, some days: [often] of words.toml"),
        Kind(name="ODD", means="the odd, the occasional: [odd] of words.toml"),
        Kind(name="ALTOGETHER", means="hardly ever, now and then: [altogether] of words.toml"),
        Kind(name="BOBBINS", means="bobbins"),
        Kind(name="PIECE", means="a piece of work of shop.toml, in the plural too"),
        Kind(name="NOUN", means="a word that is not known"),
        Kind(name="MONTH", means="Jan, January, to Dec, December"),
        Kind(name="SEASON", means="winter, term time, before Christmas: [seasons] of shop.toml"),
        Kind(name="DATE", means="2026-03-01, 25 Dec, 25/12/2026, yesterday, last Friday, Easter"),
        Kind(name="YEAR", means="1900 to 2099"),
        Kind(name="PAST", means="used to be, formerly"),
        Kind(name="NOT", means="not, never, isn't, don't, hasn't, no longer"),
        Kind(name="USED", means="used, sews, sewing, touched, run"),
        Kind(name="SERVICE", means="last service, you serviced it, I had it back"),
        Kind(name="BEFORE", means="as before, as last time, as last year, as usual"),
        Kind(name="MORE", means="more, less, a bit more than before"),
        Kind(name="SHARE", means="mostly, lots of, a bit of: [zigzag] of words.toml"),
        Kind(name="ZIGZAG", means="zigzag, zig-zag, zig zag"),
        Kind(name="STRAIGHT", means="straight stitch, straight stitching, straight seams"),
        Kind(name="SPEED", means="slowly, flat out: [pace] of words.toml"),
        Kind(name="OIL", means="oil, oils, oiled, oiling"),
        Kind(name="PASS", means="I, well, it, just: words of [pass_over] of words.toml"),
        Kind(name="JOINT", means="in, on, of, for, and: joints of [pass_over] of words.toml"),
        Kind(name="STITCHES", means="stitches"),
        Kind(name="REMEMBERED", means="when I think of it, if I remember"),
    )
}

MONTH_NUMBERS = {
    name: number
    for number, month in enumerate(MONTHS, start=1)
    for name in (month[:3].casefold(), month.casefold())
} | {"sept": 9}
_NOTS = (
    "not", "never", "isn't", "isnt", "don't", "dont", "doesn't", "doesnt", "didn't", "hasn't",
    "hasnt", "haven't", "havent", "wasn't", "no longer", "no",
)  # fmt: skip
_USED = (
    "use", "used", "uses", "using", "sew", "sews", "sewing", "sewn", "sewed", "touch", "touched",
    "touches", "run", "runs", "work",
)  # fmt: skip
_SERVICE = (
    "last service", "the last service", "the service", "its last service", "your service",
    "last serviced", "it was serviced", "it was last serviced", "you serviced it",
    "you last serviced it", "you had it", "you last had it", "i had it back", "she had it back",
    "he had it back", "we had it back", "i got it back", "we got it back", "it came back",
    "you did it", "it was last here",
)  # fmt: skip
_THEN = ("before", "last time", "last year", "ever", "usual")
_BEFORE = (
    *(f"as {then}" for then in _THEN), "as always", "as it was", "as it used to be", "what it was",
    "what it used to be",
)  # fmt: skip
_MORE = tuple(
    f"{degree}{word}{than}"
    for degree in ("", "a bit ", "a lot ", "much ", "far ", "a little ")
    for word in ("more", "less")
    for than in ("", *(f" than {then}" for then in _THEN), " than it was")
)
_A_WEEK = {
    **dict.fromkeys(("day", "evening", "night", "morning", "afternoon"), 7),
    **dict.fromkeys(("full day", "whole day", "half day"), 7),
    **dict.fromkeys(("weekday", "working day", "workday", "school day"), 5),
    "weekend": 1,
}
_SAME_OCCASION = {
    "whole day": "full day",
    **dict.fromkeys(("working day", "workday", "school day"), "weekday"),
}
_PERIODS = {
    **{name: days for name, days in PERIOD_DAYS.items() if name != "day"},
    "fortnight": Fraction(14),
    "wk": Fraction(7),
    "yr": PERIOD_DAYS["year"],
    "mth": PERIOD_DAYS["month"],
    "annum": PERIOD_DAYS["year"],
    "twelvemonth": PERIOD_DAYS["year"],
}
_WEEKLY = {
    **dict.fromkeys(("weekly", "pw", "p.w.", "p.w", "p/w"), Fraction(7)),
    "fortnightly": Fraction(14),
    **dict.fromkeys(("monthly", "pcm"), PERIOD_DAYS["month"]),
    **dict.fromkeys(("yearly", "annually", "pa", "p.a.", "p.a", "p/a"), PERIOD_DAYS["year"]),
}


def plurals(word: str) -> tuple[str, ...]:
    """The ways in which the plural of a word may be written: evenings, dresses, ladies."""
    forms = [f"{word}s", f"{word}es"]
    return (*forms, f"{word[:-1]}ies") if word.endswith("y") else tuple(forms)


def with_plurals(words: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Each form of each word, with the word."""
    for word in words:
        yield word, word
        for form in plurals(word):
            yield form, word


@lru_cache(maxsize=16)
def vocabulary(
    words: WordList, pieces: tuple[str, ...], seasons: tuple[tuple[str, frozenset[int]], ...]
) -> Mapping[tuple[str, ...], Values]:
    """All words and groups of words that are known, split at blanks, each with its kinds and what
    it comes to in each.

    Args:
        pieces: names of pieces of work.
        seasons: months by the names of seasons.
    """
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for written, kind, value in _entries(words, pieces, seasons):
        found.setdefault(tuple(written.split()), {})[kind] = value
    return found


def _entries(
    words: WordList, pieces: Iterable[str], seasons: Iterable[tuple[str, frozenset[int]]]
) -> Iterator[tuple[str, str, Any]]:
    yield from _plain_entries()
    yield from _phrase_entries()
    yield from _occasions()
    yield from _vague_entries(words)
    for form, piece in with_plurals(pieces):
        yield form, "PIECE", piece
    for name, months in seasons:
        for form in (name, f"the {name}", f"{name}s", f"the {name}s"):
            yield form, "SEASON", (name, months)


def _vague_entries(words: WordList) -> Iterator[tuple[str, str, Any]]:
    """Words that a shop may take otherwise."""
    for kind, table in (
        ("AMOUNT", words.amounts),
        ("ABOUT", words.about),
        ("ORSO", words.or_so),
        ("ALTOGETHER", words.altogether),
        ("ODD", words.odd),
        ("SHARE", words.zigzag),
        ("SPEED", words.pace),
        ("PASS", {word: word for word in words.pass_over}),
        ("JOINT", {word: word for word in words.joints}),
    ):
        for written, value in table.items():
            yield written.replace("-ish", "- ish"), kind, value
    for written, a_week in words.often.items():
        name = written.split()[-1]
        occasion = next(each for form, each in with_plurals(_A_WEEK) if form == name)
        yield written, "OFTEN", (_SAME_OCCASION.get(occasion, occasion), a_week)


def _plain_entries() -> Iterator[tuple[str, str, Any]]:
    """Words that mean the same in every shop."""
    for kind, names in (
        ("A", ("a", "an", "one")),
        ("EVERY", ("every", "each", "per", "/")),
        ("HOURS", ("hours", "hour", "hrs", "hr", "h")),
        ("MINUTES", ("minutes", "minute", "mins", "min")),
        ("BOBBINS", ("bobbins", "bobbin", "bobbinful", "bobbinfuls")),
        ("STITCHES", ("stitches", "stitch")),
        ("NOT", _NOTS),
        ("USED", _USED),
        ("SERVICE", _SERVICE),
        ("BEFORE", _BEFORE),
        ("MORE", _MORE),
        ("ZIGZAG", ("zigzag", "zigzags", "zig zag", "zig - zag", "zigzagging")),
        (
            "STRAIGHT",
            (
                "straight stitch",
                "straight stitching",
                "straight stitches",
                "straight seams",
                "straight",
            ),
        ),
        ("OIL", ("oil", "oils", "oiled", "oiling")),
    ):
        for name in names:
            yield name, kind, name


def _phrase_entries() -> Iterator[tuple[str, str, Any]]:
    """Words that are told from others by what they come to."""
    for when in ("when", "if", "whenever"):
        for who, verb in (("i", ""), ("she", "s"), ("he", "s"), ("we", "")):
            for rest in (f"think{verb} of it", f"think{verb} about it", f"remember{verb}"):
                yield f"{when} {who} {rest}", "REMEMBERED", when
    yield from (("once", "TIMES", 1), ("twice", "TIMES", 2), ("thrice", "TIMES", 3))
    yield from (("daily", "DAILY", "day"), ("nightly", "DAILY", "night"))
    for written in ("used to be", "used to do", "used to", "formerly"):
        yield written, "PAST", written
    for word in ("time", "sitting", "session", "class", "lesson", "spell", "stint"):
        for form, _ in with_plurals([word]):
            yield form, "SITTINGS", Occasion(name="time", a_week=None)
    for form, period in with_plurals(_PERIODS):
        yield form, "PERIOD", _PERIODS[period]
    for written, days in _WEEKLY.items():
        yield written, "WEEKLY", days
    for name, number in MONTH_NUMBERS.items():
        yield name, "MONTH", number


def _occasions() -> Iterator[tuple[str, str, Any]]:
    """Parts of a day and days of the week, in the plural too."""
    for form, name in with_plurals(_A_WEEK):
        occasion = Occasion(
            name=_SAME_OCCASION.get(name, name), a_week=_A_WEEK[name], plural=form != name
        )
        yield form, "OCCASION", occasion
    for form in ("half a day", "half of the day"):
        yield form, "OCCASION", Occasion(name="half day", a_week=7)
    for day in WEEKDAYS:
        short = {day[:3], *(("Tues",) if day == "Tuesday" else ())}
        short |= {"Thur", "Thurs"} if day == "Thursday" else set()
        for form in (day, *short):
            yield form.casefold(), "WEEKDAY", Occasion(name=day, a_week=1)
        yield f"{day}s".casefold(), "WEEKDAY", Occasion(name=day, a_week=1, plural=True)
