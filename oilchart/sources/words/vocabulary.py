"""The words of the grammar by kind: units, sittings, stretches of time, months.

Numbers, days and names of pieces of work are kinds by their form.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import lru_cache

from oilchart.core.days import MONTHS, WEEKDAYS
from oilchart.core.units import PERIOD_DAYS

_WEEKDAYS = tuple(day.casefold() for day in WEEKDAYS)
_PERIODS = {
    **PERIOD_DAYS,
    "fortnight": Fraction(14),
    **dict.fromkeys(("morning", "afternoon", "evening", "night"), Fraction(1)),
    **dict.fromkeys(("weekend", *_WEEKDAYS), Fraction(7)),
}
_SITTINGS = ("evening", "morning", "afternoon", "night", "day", "time", "sitting", "session")


def singulars(word: str) -> tuple[str, ...]:
    """A word and what it is the plural of: evenings, dresses, ladies."""
    return (word, word.removesuffix("s"), word.removesuffix("es"), word.removesuffix("ies") + "y")


def _with_plurals(words: Iterable[str]) -> tuple[str, ...]:
    """Words and the ways their plural may be written."""
    forms: list[str] = []
    for word in words:
        forms += [word, f"{word}s", f"{word}es"]
        forms += [f"{word[:-1]}ies"] if word.endswith("y") else []
    return tuple(forms)


MONTH_NUMBERS = {
    name: number
    for number, month in enumerate(MONTHS, start=1)
    for name in (month[:3].casefold(), month.casefold())
} | {"sept": 9}
PERIODS = {form: days for word, days in _PERIODS.items() for form in _with_plurals([word])}


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
            words=tuple(MONTH_NUMBERS),
        ),
        Kind(
            name="DATE",
            expected="a day, like 2026-03-01",
            means="2026-03-01, 25 Dec, 25/12/2026, yesterday, last Friday, Christmas",
        ),
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
ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_YEAR = re.compile(r"(?:19|20)\d\d")
_DASHES = {"–": "-", "−": "-"}  # an en dash and a minus, as a hyphen


@lru_cache(maxsize=4_096)
def typed(shown: str) -> tuple[str, frozenset[str]]:
    """A token in small letters and its types."""
    text = shown.casefold()
    text = _DASHES.get(text, text)
    types = {text, *(kind.name for kind in KINDS.values() if text in kind.words)}
    if ISO_DAY.fullmatch(text):
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
