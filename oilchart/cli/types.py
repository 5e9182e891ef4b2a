"""How the text of an argument or option becomes a value: days, words, lines, stretches, hours."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from typing import Any

import click


class DayType(click.ParamType[Any]):
    """A day like 2026-11-25, of the years in which there are machines to keep alive."""

    name = "date"
    years = range(1850, 2200)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read a day; anything else is wrong usage."""
        if isinstance(value, date):
            return value
        try:
            day = date.fromisoformat(value) if re.fullmatch(r"\d{4}-\d{2}-\d{2}", value) else None
        except ValueError:
            day = None
        if day is not None and day.year in self.years:
            return day
        if day is not None:
            self.fail(
                f'"{value}": give a year from {self.years[0]} to {self.years[-1]}', param, ctx
            )
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", value):
            self.fail(f'"{value}": there is no such day; look at the month and the day', param, ctx)
        self.fail(f'"{value}" is not a day; write it like 2026-11-25', param, ctx)


class WordsType(click.ParamType[Any]):
    """Words on one line, without control characters."""

    name = "words"

    def __init__(self, *, may_be_empty: bool) -> None:
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
        if not plain and not self._may_be_empty:
            self.fail("is empty", param, ctx)
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
        return tuple(
            line.strip() for line in WORDS.convert(value, param, ctx).split(";") if line.strip()
        )


class StretchType(click.ParamType[Any]):
    """A stretch of days: 30d, 4w, or a plain number of days."""

    name = "days"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read a stretch as days."""
        if isinstance(value, int):
            return value
        found = re.fullmatch(r"(\d{1,4})\s*(d|days?|w|weeks?)?", value.strip().casefold())
        if not found:
            self.fail(f'"{value}" is not a stretch of days; write it like 30d or 4w', param, ctx)
        return int(found[1]) * (7 if (found[2] or "d").startswith("w") else 1)


class HoursType(click.ParamType[Any]):
    """Hours: 15h, or a plain number."""

    name = "hours"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read a number of hours."""
        if isinstance(value, int):
            return value
        found = re.fullmatch(r"(\d{1,3})\s*(h|hours?)?", value.strip().casefold())
        if not found:
            self.fail(f'"{value}" is no number of hours; write it like 15h', param, ctx)
        return int(found[1])


DAY = DayType()
WORDS = WordsType(may_be_empty=True)
NAME = WordsType(may_be_empty=False)
LINES = LinesType()
STRETCH = StretchType()
HOURS = HoursType()
