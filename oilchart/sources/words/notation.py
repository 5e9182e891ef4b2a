"""The notation in which a rule is written.

"words" stand for themselves, KINDS of tokens are in capitals, names of rules in small letters;
[ may be left out ], { may be left out or come again and again }, ( one | another ) are options.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

_SIGN = re.compile(r'"[^"]+"|[a-z_]+|[A-Z]+|[\[\]{}()|]')
_CLOSED_BY = {"[": "]", "{": "}", "(": ")"}


class Form(Enum):
    """What a pattern is."""

    WORD = auto()  # one word or mark
    KIND = auto()  # a token of a kind
    RULE = auto()  # what fits another rule
    SEQUENCE = auto()  # its parts one after another
    CHOICE = auto()  # the first of its parts that fits
    OPTIONAL = auto()  # its part, or nothing
    REPEATED = auto()  # its part any number of times, or nothing


@dataclass(frozen=True, slots=True)
class Pattern:
    """The right side of a rule, or a piece of it.

    Args:
        text: the word, or the name of the kind or rule.
        parts: of a sequence or choice; the one part of what is optional or repeated.
    """

    form: Form
    text: str = ""
    parts: tuple[Pattern, ...] = ()


def pattern_of(written: str) -> Pattern:
    """The pattern that a rule's right side writes down."""
    return _choice(deque(_SIGN.findall(written)))


def _choice(signs: deque[str]) -> Pattern:
    options = [_sequence(signs)]
    while signs and signs[0] == "|":
        signs.popleft()
        options.append(_sequence(signs))
    return options[0] if len(options) == 1 else Pattern(Form.CHOICE, parts=tuple(options))


def _sequence(signs: deque[str]) -> Pattern:
    parts: list[Pattern] = []
    while signs and signs[0] not in "|]})":
        sign = signs.popleft()
        if sign in _CLOSED_BY:
            parts.append(_bracketed(sign, signs))
        elif sign.startswith('"'):
            parts += [Pattern(Form.WORD, word) for word in sign.strip('"').split()]
        else:
            parts.append(Pattern(Form.KIND if sign.isupper() else Form.RULE, sign))
    return parts[0] if len(parts) == 1 else Pattern(Form.SEQUENCE, parts=tuple(parts))


def _bracketed(opened: str, signs: deque[str]) -> Pattern:
    inside = _choice(signs)
    if not signs or signs.popleft() != _CLOSED_BY[opened]:
        raise ValueError(f"a bracket {opened} is not closed")
    if opened == "(":
        return inside
    return Pattern(Form.OPTIONAL if opened == "[" else Form.REPEATED, parts=(inside,))


def words_in(pattern: Pattern) -> Iterator[str]:
    """The words that stand in a pattern as they are."""
    if pattern.form is Form.WORD:
        yield pattern.text
    for part in pattern.parts:
        yield from words_in(part)
