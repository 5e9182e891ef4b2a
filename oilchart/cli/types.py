"""How the text of an argument or option becomes a value: days, words, lines, stretches, hours; each
within its bound."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from typing import Any

import click

from oilchart import bounds
from oilchart.cli.invocation import Invocation
from oilchart.cli.terminal import TURNING
from oilchart.errors import can_be_seen, quoted

_STRETCH = rf"(\d{{1,{bounds.STRETCH_DIGITS}}})\s*(d|days?|w|weeks?)?"
_HOURS = rf"(\d{{1,{bounds.HOURS_DIGITS}}})\s*(h|hours?)?"


class DayType(click.ParamType[Any]):
    """A day like 2026-11-25, of the years in which there are machines to keep alive."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read a day; anything else is wrong usage."""
        if isinstance(value, date):
            return value
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII):
            self.fail(f"{quoted(value)} is not a day; write it like 2026-11-25", param, ctx)
        try:
            day = date.fromisoformat(value)
        except ValueError:
            self.fail(f'"{value}": there is no such day; look at the month and the day', param, ctx)
        first, last = bounds.FIRST_YEAR, bounds.LAST_YEAR
        invocation = None if ctx is None else ctx.find_object(Invocation)
        if invocation is None:
            earliest = date(first, 1, 1)
        else:
            earliest = bounds.earliest_day(invocation.today)
        if day.year > last or (invocation is None and day < earliest):
            self.fail(f'"{value}": give a year from {first} to {last}', param, ctx)
        if day < earliest:
            ago = f"is more than {bounds.YEARS_BACK} years ago"
            self.fail(f'"{value}": {ago}; give a day from {earliest} on', param, ctx)
        return day


class WordsType(click.ParamType[Any]):
    """Words on one line, without control characters; marks that only turn a line round are left
    out, since letters that are read from the right need none.

    Args:
        most: letters that are taken.
    """

    name = "words"

    def __init__(self, *, most: int, may_be_empty: bool) -> None:
        self._most = most
        self._may_be_empty = may_be_empty

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Put words on one line."""
        kinds = [unicodedata.category(char) for char in value]
        if "Cs" in kinds:
            self.fail("is not UTF-8 text; write it in another way", param, ctx)
        plain = " ".join(
            "".join(
                " " if kind == "Cc" else char for char, kind in zip(value, kinds, strict=True)
            ).split()
        )
        if plain and not can_be_seen(plain):
            self.fail("has no letter that can be seen", param, ctx)
        plain = " ".join(re.sub(f"[{TURNING}]", "", plain).split())
        if not plain and not self._may_be_empty:
            self.fail("is empty", param, ctx)
        if len(plain) > self._most:
            has = f'"{plain[:20]}..." has {len(plain)} letters'
            self.fail(f"{has}; shorten it to {self._most}", param, ctx)
        return plain


class LinesType(click.ParamType[Any]):
    """The lines of an address, parted by semicolons."""

    name = "lines"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, ...]:
        """Part an address into its lines; what is empty is no line."""
        if isinstance(value, tuple):
            return value
        parts = [part.strip() for part in WORDS.convert(value, param, ctx).split(";")]
        if len(parts) > bounds.ADDRESS_LINES:
            most = f"join some, {bounds.ADDRESS_LINES} are the most"
            self.fail(f"has {len(parts)} lines; {most}", param, ctx)
        return tuple(LINE.convert(part, param, ctx) for part in parts if part)


class StretchType(click.ParamType[Any]):
    """A stretch of days: 30d, 4w, or a plain number of days."""

    name = "days"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read a stretch as days."""
        if isinstance(value, int):
            return value
        found = re.fullmatch(_STRETCH, value.strip().casefold(), re.ASCII)
        if not found:
            wrong = f"{quoted(value)} is not a stretch of days"
            self.fail(f"{wrong}; write it like 30d or 4w", param, ctx)
        return int(found[1]) * (7 if (found[2] or "d").startswith("w") else 1)


class HoursType(click.ParamType[Any]):
    """Hours: 15h, or a plain number."""

    name = "hours"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read a number of hours."""
        if isinstance(value, int):
            return value
        found = re.fullmatch(_HOURS, value.strip().casefold(), re.ASCII)
        if not found:
            self.fail(f"{quoted(value)} is no number of hours; write it like 15h", param, ctx)
        return int(found[1])


DAY = DayType()
NAME = WordsType(most=bounds.NAME_LETTERS, may_be_empty=False)
LINE = WordsType(most=bounds.NAME_LETTERS, may_be_empty=True)
WORDS = WordsType(most=bounds.WORDS_LETTERS, may_be_empty=True)
TOLD = WordsType(most=bounds.WORDS_LETTERS, may_be_empty=False)
LINES = LinesType()
STRETCH = StretchType()
HOURS = HoursType()
