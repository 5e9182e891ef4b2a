"""Knows a phrase as tokens being read one after another, and how to mark the place where reading
stops."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NoReturn

from oilchart.errors import UnreadableWords

_TOKEN = re.compile(r"\s*(\d{4}-\d{2}-\d{2}|\d+(?:\.\d+)?|[^\W\d_]+|\S)")


class Cursor:
    """A place in a phrase.

    Args:
        words: on one line.
        examples: shown where reading stops.
    """

    def __init__(self, words: str, examples: Sequence[str]) -> None:
        self._words = words
        self._examples = examples
        self._tokens = [(found.start(1), found[1]) for found in _TOKEN.finditer(words)]
        self._at = 0

    @property
    def _next(self) -> str:
        """The next token in small letters; empty at the end."""
        return self._token(0)

    def _token(self, ahead: int) -> str:
        at = self._at + ahead
        return self._tokens[at][1].casefold() if at < len(self._tokens) else ""

    def _take(self, *wanted: str) -> str | None:
        """Go past the next token if it is one of those wanted, and give it back."""
        word = self._next
        if not word or word not in wanted:
            return None
        self._at += 1
        return word

    def _expect(self, word: str) -> None:
        if not self._take(word):
            self._stop(f'"{word}"')

    def _stop(self, expected: str) -> NoReturn:
        """Say that something else was expected at the next token."""
        if not self._next:
            self._fail(len(self._words), f"it ends too soon; expected {expected}")
        place, token = self._tokens[self._at]
        self._fail(place, f'"{token}" cannot be read there; expected {expected}')

    def _refuse(self, token: int, wrong: str) -> NoReturn:
        """Say that what begins at a token can be read but cannot be."""
        self._fail(self._tokens[token][0] if token < len(self._tokens) else len(self._words), wrong)

    def _fail(self, place: int, wrong: str) -> NoReturn:
        """Refuse with one line that says it, and below it the phrase with a caret under the place,
        and examples."""
        examples = ", ".join(f'"{example}"' for example in self._examples)
        below = [f"    {self._words}", f"    {' ' * place}^", f"    write it like {examples}"]
        raise UnreadableWords(f'use: "{self._words}": {wrong}', below)
