"""The notation in which a rule is written.

"words" stand for themselves, KINDS of tokens are in capitals, names of rules in small letters;
[ may be left out ], { may be left out or come again and again }, ( one | another ) are options.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

_SIGN = re.compile(r'"[^"]+"|[a-z_]+|[A-Z]+|[\[\]{}()|]')
_CLOSED_BY = {"[": "]", "{": "}", "(": ")"}


@dataclass(frozen=True, slots=True)
class Word:
    """One word or mark, as it stands."""

    text: str


@dataclass(frozen=True, slots=True)
class OfKind:
    """A token of a kind."""

    kind: str


@dataclass(frozen=True, slots=True)
class OfRule:
    """What another rule says."""

    rule: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """Parts one after another."""

    parts: tuple[Pattern, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """The first of several options that fits."""

    options: tuple[Pattern, ...]


@dataclass(frozen=True, slots=True)
class Optional:
    """What may be left out."""

    part: Pattern


@dataclass(frozen=True, slots=True)
class Repeated:
    """What may be left out or come any number of times."""

    part: Pattern


Pattern = Word | OfKind | OfRule | Sequence | Choice | Optional | Repeated


def pattern_of(written: str) -> Pattern:
    """The pattern that a rule's right side writes down."""
    return _choice(deque(_SIGN.findall(written)))


def _choice(signs: deque[str]) -> Pattern:
    options = [_sequence(signs)]
    while signs and signs[0] == "|":
        signs.popleft()
        options.append(_sequence(signs))
    return options[0] if len(options) == 1 else Choice(tuple(options))


def _sequence(signs: deque[str]) -> Pattern:
    parts: list[Pattern] = []
    while signs and signs[0] not in "|]})":
        sign = signs.popleft()
        if sign in _CLOSED_BY:
            parts.append(_bracketed(sign, signs))
        elif sign.startswith('"'):
            parts += [Word(word) for word in sign.strip('"').split()]
        else:
            parts.append(OfKind(sign) if sign.isupper() else OfRule(sign))
    return parts[0] if len(parts) == 1 else Sequence(tuple(parts))


def _bracketed(opened: str, signs: deque[str]) -> Pattern:
    inside = _choice(signs)
    if not signs or signs.popleft() != _CLOSED_BY[opened]:
        raise ValueError(f"a bracket {opened} is not closed")
    kinds: dict[str, Callable[[Pattern], Pattern]] = {"[": Optional, "{": Repeated}
    return kinds[opened](inside) if opened in kinds else inside
