"""How the text of an argument or option becomes a value: days, words, lines, stretches, hours; each
within its bound."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from oilchart import bounds
from oilchart.cli.invocation import Invocation
from oilchart.cli.terminal import TURNING
from oilchart.errors import FaultyList, OilchartError, can_be_seen, one_line, quoted

if TYPE_CHECKING:
    from oilchart.core.days import DayOrder

_STRETCH = rf"(\d{{1,{bounds.STRETCH_DIGITS}}})\s*(d|days?|w|weeks?)?"
_HOURS = rf"(\d{{1,{bounds.HOURS_DIGITS}}})\s*(h|hours?)?"


class DayType(click.ParamType[Any]):
    """A day as people write it, of the years in which there are machines to keep alive. Where it
    was not written like 2026-11-25, it is said back with its weekday.

    Args:
        agreed: of what is to be done: without a year it is the next one, else the latest past one.
        answered: the command's own answer says the day with its weekday.
        as_of: the one as of which the program reckons, of its own years.
    """

    name = "date"

    def __init__(
        self, *, agreed: bool = False, answered: bool = False, as_of: bool = False
    ) -> None:
        self._agreed = agreed
        self._answered = answered
        self._as_of = as_of

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Read a day; anything else is wrong usage."""
        if isinstance(value, date):
            return value
        ctx = ctx or click.get_current_context()
        invocation = ctx.find_object(Invocation)
        assert invocation is not None, "made before any day is read"
        is_plain = re.fullmatch(r"\d{4}-\d{2}-\d{2}", value, re.ASCII)
        try:
            day = date.fromisoformat(value) if is_plain else self._in_words(value, invocation)
        except ValueError:
            self.fail(f'"{value}": there is no such day; look at the month and the day', param, ctx)
        except FaultyList:  # of shop.toml
            raise
        except OilchartError as error:
            self.fail(str(error), param, ctx)
        first, last = bounds.FIRST_YEAR, bounds.LAST_YEAR
        earliest = date(first, 1, 1) if self._as_of else bounds.earliest_day(invocation.today)
        if day.year > last or (self._as_of and day < earliest):
            self.fail(f'"{value}": give a year from {first} to {last}', param, ctx)
        if day < earliest:
            ago = f"is more than {bounds.YEARS_BACK} years ago"
            self.fail(f'"{value}": {ago}; give a day from {earliest} on', param, ctx)
        if not is_plain and not self._answered:
            self._say_back(value, day)
        return day

    def _in_words(self, value: str, invocation: Invocation) -> date:
        """Read a day that is not written plainly, by the shop's order of day and month.

        What reads it is loaded here alone: the help of every command names this type, and does
        without.

        Raises:
            UnreadableDay: it is none, or may be several.
        """
        from oilchart.sources.words.days import Sense, read_day, rests_on_order

        order = _day_order(invocation.folder) if rests_on_order(value) else None
        sense = Sense.AGREED if self._agreed else Sense.DONE
        return read_day(value, invocation.today, sense, order)

    def _say_back(self, value: str, day: date) -> None:
        from oilchart.core.days import day_words

        click.echo(f"{one_line(value)}: {day_words(day)}", err=True)


def _day_order(folder: Path) -> DayOrder | None:
    """The order in which a shop writes day and month; None without a shop, or where it does not
    say."""
    from oilchart.sources.files.settings import SETTINGS_FILE, read_settings

    file = folder / SETTINGS_FILE
    return read_settings(file).day_order if file.is_file() else None


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
DAY_ANSWERED = DayType(answered=True)
DAY_TO_COME = DayType(agreed=True)
DAY_TO_COME_ANSWERED = DayType(agreed=True, answered=True)
DAY_AS_OF = DayType(as_of=True)
NAME = WordsType(most=bounds.NAME_LETTERS, may_be_empty=False)
LINE = WordsType(most=bounds.NAME_LETTERS, may_be_empty=True)
CALLED = WordsType(most=bounds.MACHINE_LETTERS, may_be_empty=True)
WORDS = WordsType(most=bounds.WORDS_LETTERS, may_be_empty=True)
TOLD = WordsType(most=bounds.WORDS_LETTERS, may_be_empty=False)
LINES = LinesType()
STRETCH = StretchType()
HOURS = HoursType()
