"""How the text of an argument or option becomes one of the core's words: needs, findings, outcomes.

They stand apart from `types`, so that `oilchart --help` loads nothing of the core.
"""

from __future__ import annotations

from typing import Any

import click

from oilchart.core.planning.follow_up import Outcome
from oilchart.core.point_lists.point_list import Need
from oilchart.core.records.findings import FOUND_SIGNS, LEFT_SIGNS, Found, Left
from oilchart.errors import nearest, quoted


class FoundType(click.ParamType[Any]):
    """As found: POINT=dry,worn."""

    name = "point=words"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, tuple[Found, ...]]:
        """Read the point and the words noted of it."""
        if isinstance(value, tuple):
            return value
        point, words = _point_and_words(self, value, param, ctx)
        found = [each for word in words.split(",") for each in self._found(word, param, ctx)]
        return point, tuple(dict.fromkeys(found))

    def _found(
        self, word: str, param: click.Parameter | None, ctx: click.Context | None
    ) -> list[Found]:
        """A word, or signs in capital letters that are no word together: DG is dry and gummed."""
        signs = word.strip()
        is_word = _plain(word) in list(Found)
        if signs and not is_word and all(sign in FOUND_SIGNS for sign in signs):
            return [FOUND_SIGNS[sign] for sign in signs]
        return [Found(_one_of(self, word, list(Found), param, ctx))]


class NeedType(click.ParamType[Any]):
    """What it takes to do a work: tip, fine or force."""

    name = "|".join(Need)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Need:
        """Read one of the words."""
        return Need(_one_of(self, value, list(Need), param, ctx))


class OutcomeType(click.ParamType[Any]):
    """What came of a call: reached, no-answer."""

    name = "outcome"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Outcome:
        """Read one of the words."""
        return Outcome(_one_of(self, value, list(Outcome), param, ctx))


class LeftType(click.ParamType[Any]):
    """As left: POINT=watch."""

    name = "point=word"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, Left]:
        """Read the point and the word noted of it."""
        if isinstance(value, tuple):
            return value
        point, word = _point_and_words(self, value, param, ctx)
        if word.strip() in LEFT_SIGNS:
            return point, LEFT_SIGNS[word.strip()]
        return point, Left(_one_of(self, word, list(Left), param, ctx))


def _point_and_words(
    kind: click.ParamType[Any], value: str, param: click.Parameter | None, ctx: click.Context | None
) -> tuple[str, str]:
    point, equals, words = value.partition("=")
    if not equals or not point.strip() or not words.strip():
        kind.fail(f"{quoted(value)}: write it like hook-race-oil=dry", param, ctx)
    return point.strip(), words


def _plain(word: str) -> str:
    return " ".join(word.replace("-", " ").split()).casefold()


def _one_of(
    kind: click.ParamType[Any],
    word: str,
    known: list[str],
    param: click.Parameter | None,
    ctx: click.Context | None,
) -> str:
    plain = _plain(word)
    for name in known:
        if name.replace("-", " ") == plain:
            return name
    kind.fail(
        f"{quoted(word)} is not known{nearest(plain, known)}; words: {', '.join(known)}",
        param,
        ctx,
    )


FOUND = FoundType()
LEFT = LeftType()
NEED = NeedType()
OUTCOME = OutcomeType()
