"""What stands ready for every command: the shop, the day, the screen, and where a document goes."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import click

from oilchart.cli.output import write_whole

if TYPE_CHECKING:
    from oilchart.papers.table import Screen
    from oilchart.shop.folder import Shop
    from oilchart.sources.points.library import PointLibrary

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

    @property
    def is_in_shop(self) -> bool:
        """Whether the folder is a shop's; without one models can be asked about all the same."""
        return (self.folder / "shop.toml").is_file()

    @cached_property
    def shop(self) -> Shop:
        """The shop folder, which is only opened when it is asked."""
        from oilchart.shop.folder import Shop

        return Shop(self.folder, self.today, self.library if self.is_in_shop else None)

    @cached_property
    def library(self) -> PointLibrary:
        """The shipped point lists and, where one stands in a shop, the shop's own."""
        from oilchart.sources.files.packaged import packaged
        from oilchart.sources.points.library import PointLibrary

        # made here, so that who only looks at lists need not load what opens a book
        own = [self.folder / "points"] if self.is_in_shop else []
        return PointLibrary([packaged("points"), *own])

    @property
    def templates(self) -> list[Path]:
        """The shop's own templates, then the shipped ones."""
        from oilchart.sources.files.packaged import packaged

        return [self.folder / "templates", packaged("templates")]

    @property
    def screen(self) -> Screen:
        """Where text goes."""
        from oilchart.papers.table import screen_of

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
