"""Knows what every command needs: the shop, the day, the screen, how text becomes a value, and how
a file is written whole."""

from __future__ import annotations

import contextlib
import functools
import os
import re
import stat
import sys
import tempfile
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from oilchart.core.lists.point_list import Need
from oilchart.core.planning.follow_up import Outcome
from oilchart.core.records.findings import Found, Left
from oilchart.errors import CannotWrite, nearest

if TYPE_CHECKING:
    from oilchart.papers.lists.terminal import Screen
    from oilchart.shop.folder import Shop

_F = TypeVar("_F", bound=Callable[..., Any])
STDOUT = Path("-")


@dataclass(frozen=True)
class AppContext:
    """What stands ready for a command.

    Args:
        given_day: from --today, None without it.
        clock_day: the day the clock said when the program began.
    """

    folder: Path
    given_day: date | None
    clock_day: date

    @property
    def today(self) -> date:
        """The day everything is reckoned as of."""
        return self.given_day or self.clock_day

    @cached_property
    def shop(self) -> Shop:
        """The shop folder, which is only opened when it is asked."""
        from oilchart.shop.folder import Shop

        return Shop(self.folder, self.today)

    @property
    def screen(self) -> Screen:
        """Where text goes."""
        from oilchart.papers.lists.terminal import screen_of

        return screen_of(is_terminal=sys.stdout.isatty())

    def write_output(self, data: bytes, out: Path | None, name: str, *, in_shop: bool) -> None:
        """Write a document: to `out`, to stdout for "-", else by its own name in the shop's out
        folder or where one stands."""
        if out == STDOUT:
            sys.stdout.buffer.write(data)
            return
        path = out or (self.folder / "out" / name if in_shop else Path(name))
        write_whole(path, data)
        click.echo(f"wrote {path}", err=True)


pass_app = click.make_pass_decorator(AppContext)
out_option = click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE",
    help='Write to FILE; "-" is stdout.',
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnregisteredMachine:
    """A machine that is in no book, as the options describe it; without a model there is none."""

    model: str | None
    words: str | None = None
    serviced: date | None = None
    conditions: tuple[str, ...] = ()
    can: tuple[Need, ...] = ()

    @property
    def tells_nothing(self) -> bool:
        """Whether nothing but the model is told of it."""
        return self.words is None and self.serviced is None and not self.conditions and not self.can


def model_options(command: Callable[..., None]) -> Callable[..., None]:
    """The options that describe a machine that is in no book, given to the command as one value,
    `unregistered`."""

    @functools.wraps(command)
    def with_loose(
        *args: Any,
        model: str | None,
        words: str | None,
        serviced: date | None,
        conditions: tuple[str, ...],
        can: tuple[Need, ...],
        **others: Any,
    ) -> None:
        command(
            *args,
            unregistered=UnregisteredMachine(
                model=model, words=words, serviced=serviced, conditions=conditions, can=can
            ),
            **others,
        )

    for option in (
        can_option,
        click.option(
            "--condition",
            "conditions",
            multiple=True,
            metavar="NAME",
            help="It works under this, like lint (with --model).",
        ),
        click.option(
            "--serviced", type=DAY, metavar="DATE", help="Its last service (with --model)."
        ),
        click.option(
            "--use",
            "words",
            metavar="WORDS",
            help='What the owner says, like "5-8 hours a week" (with --model).',
        ),
        click.option(
            "--model", metavar="MODEL", help="A machine of this model that is in no book."
        ),
    ):
        with_loose = option(with_loose)
    return with_loose


def check_one_form(machine: str | None, model: str | None, **only_with_model: object) -> None:
    """A machine of the book, or a model: one of them, and the model's options only with it.

    Raises:
        click.UsageError
    """
    if (machine is None) == (model is None):
        raise click.UsageError("name a machine of the book, or give --model; one of them")
    given = [f"--{name}" for name, value in only_with_model.items() if value]
    if machine is not None and given:
        raise click.UsageError(
            f"{', '.join(given)}: only with --model; for a machine of the book record it instead"
        )


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it appears whole or not at all; only its user can read it.

    A device or a pipe is written into: another file in its place would be of no use to anybody.

    Raises:
        CannotWrite
    """
    try:
        if _is_device(path):
            path.write_bytes(data)
        else:
            _put(path.resolve(), data)
    except OSError as error:
        raise CannotWrite(
            f"{path}: cannot be written: {error.strerror}; nothing was changed; name a file you may write to"
        ) from None


def _is_device(path: Path) -> bool:
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return False
    return not stat.S_ISREG(mode) and not stat.S_ISDIR(mode)


def _put(path: Path, data: bytes) -> None:
    """Write a part file beside the path, then put it in its place."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".oilchart-", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise


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
        return point, tuple(
            Found(_one_of(self, word, list(Found), param, ctx)) for word in words.split(",")
        )


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
        return point, Left(_one_of(self, word, list(Left), param, ctx))


def _point_and_words(
    kind: click.ParamType[Any], value: str, param: click.Parameter | None, ctx: click.Context | None
) -> tuple[str, str]:
    point, equals, words = value.partition("=")
    if not equals or not point.strip() or not words.strip():
        kind.fail(f'"{value}": write it like hook-race-oil=dry', param, ctx)
    return point.strip(), words


def _one_of(
    kind: click.ParamType[Any],
    word: str,
    known: list[str],
    param: click.Parameter | None,
    ctx: click.Context | None,
) -> str:
    plain = " ".join(word.replace("-", " ").split()).casefold()
    for name in known:
        if name.replace("-", " ") == plain:
            return name
    kind.fail(
        f'"{word.strip()}" is not known{nearest(plain, known)}; words: {", ".join(known)}',
        param,
        ctx,
    )


DAY = DayType()
WORDS = WordsType(may_be_empty=True)
NAME = WordsType(may_be_empty=False)
LINES = LinesType()
STRETCH = StretchType()
HOURS = HoursType()
FOUND = FoundType()
LEFT = LeftType()
NEED = NeedType()
OUTCOME = OutcomeType()
can_option = click.option(
    "--can", "can", multiple=True, type=NEED, help="What the owner can do at home beside the usual."
)
