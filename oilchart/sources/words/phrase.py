"""An owner's phrase as typed tokens, with the day it was said and what its words rest on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import NoReturn

from oilchart.core.units import Speed
from oilchart.core.use.bobbin import Bobbin
from oilchart.errors import UnreadableWords
from oilchart.sources.words.vocabulary import typed

Range = tuple[Fraction, Fraction]  # low, high

EXAMPLES = (
    "5-8 hours a week",
    "3 bobbins a week; mostly zigzag",
    "120 hours since 2026-03-01; idle Jul-Aug",
)

_TOKEN = re.compile(r"\s*(\d{4}-\d{2}-\d{2}|\d+(?:\.\d+)?|[^\W\d_]+|\S)")


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
        text, types = typed(found[1])
        if text != ";" or (tokens and tokens[-1].text != ";"):
            tokens.append(Token(place=found.start(1), shown=found[1], text=text, types=types))
    if tokens and tokens[-1].text == ";":
        tokens.pop()
    tokens.append(Token(place=len(words), shown="", text="", types=frozenset()))
    return Phrase(words=words, said=said, terms=terms, tokens=tuple(tokens))
