"""An owner's phrase as typed tokens, with the day it was said and what its words rest on."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import NoReturn

from oilchart.core.days import DayOrder
from oilchart.core.units import Speed
from oilchart.core.use.bobbin import Bobbin
from oilchart.errors import UnreadableWords
from oilchart.sources.words.days import Sense, UnreadableDay, day_in_words, read_day
from oilchart.sources.words.vocabulary import ISO_DAY, NO_DAY, typed

Range = tuple[Fraction, Fraction]  # low, high

EXAMPLES = (
    "5-8 hours a week",
    "3 bobbins a week; mostly zigzag",
    "120 hours since 2026-03-01; idle Jul-Aug",
)

_DAY = "DATE"
_SENSES = {
    "since": Sense.DONE,
    "until": Sense.AGREED,
    "till": Sense.AGREED,
    "idle": Sense.EITHER,
}
_UP_TO = ("-", "to")
_TOKEN = re.compile(r"\s*(\d{4}-\d{2}-\d{2}|\d+(?:\.\d+)?|[^\W\d_]+|\S)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """A number, word or mark of a phrase.

    Args:
        place: of its first letter in the phrase.
        shown: as it was written; empty at the end of the phrase.
        text: in small letters.
        types: its text and the names of all kinds that it is of; a "day" is a sitting and a period.
        wrong: why it is no day, though it is written like one.
    """

    place: int
    shown: str
    text: str
    types: frozenset[str]
    wrong: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the words need to know of the machine and the shop.

    Args:
        bobbin: the model's; None where its list does not say what it holds.
        speed: the machine's.
        pieces: hours at the machine for one piece of each kind of work, low and high, by its name
            in the singular.
        day_order: in which the shop writes day and month; None where it does not say.
    """

    bobbin: Bobbin | None = None
    speed: Speed = field(default_factory=Speed)
    pieces: Mapping[str, Range] = field(default_factory=dict)
    day_order: DayOrder | None = None


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
    """Words on one line as a phrase of typed tokens; a day is one token, whatever it is made of."""
    tokens: list[Token] = []
    at = 0
    while found := _TOKEN.match(words, at):
        place, shown, at = found.start(1), found[1], found.end()
        day = _day_token(words, place, tokens, said, terms)
        if day is not None:
            tokens.append(day)
            at = place + len(day.shown)
            continue
        text, types = typed(shown)
        if text != ";" or (tokens and tokens[-1].text != ";"):
            tokens.append(Token(place=place, shown=shown, text=text, types=types))
    if tokens and tokens[-1].text == ";":
        tokens.pop()
    tokens.append(Token(place=len(words), shown="", text="", types=frozenset()))
    return Phrase(words=words, said=said, terms=terms, tokens=tuple(tokens))


def _day_token(
    words: str, place: int, before: Sequence[Token], said: date, terms: Terms
) -> Token | None:
    """The day that begins at a place, where the words before it make one expected; None where none
    does, and for one in its plain form, which is a token by itself.

    Since a day is of what was, until one of what comes; the last day of a rest comes after its
    first, of which the words do not say whether it is past.
    """
    if not before or ISO_DAY.match(words, place):
        return None
    today, sense = said, _SENSES.get(before[-1].text)
    if sense is None and before[-1].text in _UP_TO and len(before) > 1 and _DAY in before[-2].types:
        today, sense = date.fromisoformat(before[-2].text), Sense.AGREED
    shown = "" if sense is None else day_in_words(words, place)
    if sense is None or not shown:
        return None
    try:
        day = read_day(shown, today, sense, terms.day_order)
    except UnreadableDay as error:
        types = frozenset((shown.casefold(), NO_DAY))
        return Token(place=place, shown=shown, text=shown.casefold(), types=types, wrong=str(error))
    text = day.isoformat()
    return Token(place=place, shown=shown, text=text, types=frozenset((text, _DAY)))
