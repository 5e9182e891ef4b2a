"""An owner's phrase as typed tokens, with the day it was said and what its words rest on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import NoReturn

from oilchart.core.units import PERIOD_DAYS, Speed
from oilchart.core.use.bobbin import Bobbin
from oilchart.errors import UnreadableWords

Range = tuple[Fraction, Fraction]  # low, high

EXAMPLES = (
    "5-8 hours a week",
    "3 bobbins a week; mostly zigzag",
    "120 hours since 2026-03-01; idle Jul-Aug",
)

_MONTH_NAMES = (
    ("jan", "january"),
    ("feb", "february"),
    ("mar", "march"),
    ("apr", "april"),
    ("may",),
    ("jun", "june"),
    ("jul", "july"),
    ("aug", "august"),
    ("sep", "september", "sept"),
    ("oct", "october"),
    ("nov", "november"),
    ("dec", "december"),
)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_PERIODS = {
    **PERIOD_DAYS,
    "fortnight": Fraction(14),
    **dict.fromkeys(("morning", "afternoon", "evening", "night"), Fraction(1)),
    **dict.fromkeys(("weekend", *_WEEKDAYS), Fraction(7)),
}
_SITTINGS = ("evening", "morning", "afternoon", "night", "day", "time", "sitting", "session")


def _plurals(word: str) -> tuple[str, ...]:
    """The ways a plural may be written."""
    return (f"{word}s", f"{word}es", *((f"{word[:-1]}ies",) if word.endswith("y") else ()))


def singulars(word: str) -> tuple[str, ...]:
    """A word and what it is the plural of: evenings, dresses, ladies."""
    return (word, word.removesuffix("s"), word.removesuffix("es"), word.removesuffix("ies") + "y")


def _with_plurals(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(form for word in words for form in (word, *_plurals(word)))


MONTHS = {name: number for number, names in enumerate(_MONTH_NAMES, start=1) for name in names}
PERIODS = {form: days for word, days in _PERIODS.items() for form in (word, *_plurals(word))}


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A type of token, written in capitals in the grammar.

    Args:
        expected: said where such a token was expected and another stood.
        means: what such a token is, for the grammar.
        words: those that are of this kind; empty where the form of the token decides.
    """

    name: str
    expected: str
    means: str
    words: tuple[str, ...] = ()


def _words_kind(name: str, expected: str, *words: str) -> Kind:
    return Kind(name=name, expected=expected, means=", ".join(words), words=words)


_NO_PIECE = ("a", "an", "per", "each", "every")
_UNITS = (
    _words_kind("HOURS", "hours", "hours", "hour", "hrs", "hr", "h"),
    _words_kind("MINUTES", "minutes", "minutes", "minute", "mins", "min"),
    _words_kind("BOBBINS", "bobbins", "bobbins", "bobbin"),
    Kind(
        name="SITTINGS",
        expected="evenings",
        means=f"{', '.join(_SITTINGS)}, in the plural too",
        words=_with_plurals(_SITTINGS),
    ),
)
KINDS = {
    kind.name: kind
    for kind in (
        Kind(name="NUMBER", expected="a number", means="5, 2.5"),
        *_UNITS,
        _words_kind("STITCHES", "stitches", "stitches", "stitch"),
        Kind(
            name="PERIOD",
            expected="day, week, weekend, month or year",
            means=f"{', '.join(_PERIODS)}, in the plural too",
            words=tuple(PERIODS),
        ),
        Kind(
            name="MONTH",
            expected="a month, like Jul or July",
            means="Jan, January, to Dec, December",
            words=tuple(MONTHS),
        ),
        Kind(name="DATE", expected="a day, like 2026-03-01", means="2026-03-01"),
        Kind(name="YEAR", expected="a year", means="1900 to 2099"),
        _words_kind("RESTS", "rests", "rests", "rest"),
        _words_kind("SEASONS", "seasons", "seasons", "season"),
        Kind(
            name="NAME",
            expected="a piece of work",
            means='the first word of a piece of work of shop.toml; not "to", no unit',
        ),
        Kind(
            name="WORD",
            expected="a word",
            means=f"any word but {', '.join(_NO_PIECE)}",
        ),
    )
}
NO_DAY = "NO_DAY"  # has the form of a date, but no calendar has it

_NO_NAME = frozenset(("to", *(word for kind in _UNITS for word in kind.words)))
_TOKEN = re.compile(r"\s*(\d{4}-\d{2}-\d{2}|\d+(?:\.\d+)?|[^\W\d_]+|\S)")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_YEAR = re.compile(r"(?:19|20)\d\d")
_DASHES = {"–": "-", "−": "-"}  # an en dash and a minus, as a hyphen


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """A number, word or mark of a phrase.

    Args:
        place: of its first letter in the phrase.
        shown: as it was written; empty at the end of the phrase.
        text: in small letters.
        types: its text and the names of all kinds that it is of; a "day" is a sitting and a period.
    """

    place: int
    shown: str
    text: str
    types: frozenset[str]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """What an owner said on a day.

    Args:
        words: on one line.
        tokens: without the semicolons of empty statements; the last one is empty, the end.
    """

    words: str
    said: date
    terms: Terms
    tokens: tuple[Token, ...]

    def refuse(self, at: int, wrong: str) -> NoReturn:
        """Refuse the phrase for what begins at a token.

        Raises:
            UnreadableWords: one line that says it, and below it the phrase with a caret under the
                place, and examples.
        """
        examples = ", ".join(f'"{example}"' for example in EXAMPLES)
        caret = " " * self.tokens[at].place + "^"
        below = [f"    {self.words}", f"    {caret}", f"    write it like {examples}"]
        raise UnreadableWords(f'use: "{self.words}": {wrong}', below)


def phrase_of(words: str, said: date, terms: Terms = NO_TERMS) -> Phrase:
    """Words on one line as a phrase of typed tokens."""
    tokens: list[Token] = []
    for found in _TOKEN.finditer(words):
        text, types = _typed(found[1])
        if text != ";" or (tokens and tokens[-1].text != ";"):
            tokens.append(Token(place=found.start(1), shown=found[1], text=text, types=types))
    if tokens and tokens[-1].text == ";":
        tokens.pop()
    tokens.append(Token(place=len(words), shown="", text="", types=frozenset()))
    return Phrase(words=words, said=said, terms=terms, tokens=tuple(tokens))


@lru_cache(maxsize=4_096)
def _typed(shown: str) -> tuple[str, frozenset[str]]:
    """A token in small letters and its types."""
    text = shown.casefold()
    text = _DASHES.get(text, text)
    types = {text, *(kind.name for kind in KINDS.values() if text in kind.words)}
    if _DATE.fullmatch(text):
        types.add("DATE" if _is_day(text) else NO_DAY)
    elif _NUMBER.fullmatch(text):
        types.update(("NUMBER", "YEAR") if _YEAR.fullmatch(text) else ("NUMBER",))
    elif text[0].isalpha() and text not in _NO_PIECE:
        types.update(("WORD",) if text in _NO_NAME else ("WORD", "NAME"))
    return text, frozenset(types)


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
