"""What stands ready for every command: the shop, the day, the screen, and where a document goes."""

from __future__ import annotations

import functools
import shlex
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from platform import node
from typing import Any

import click

from oilchart import bounds
from oilchart.cli.batch import Batch
from oilchart.cli.invocation import CHANGES_MADE, COMMAND_LINE, Invocation
from oilchart.core.days import Span, add_days
from oilchart.core.records.change import LOOKS
from oilchart.core.records.paper import PrintedPaper
from oilchart.errors import BookFault
from oilchart.papers.screen import Screen, screen_of
from oilchart.shop.folder import Shop
from oilchart.sources.book.days_to_come import DayToCome
from oilchart.sources.book.file.opening import Book, Said
from oilchart.sources.files.settings import SETTINGS_FILE, Settings, far_closures
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary

OWNERS_READ_NOTES_SINCE = 5  # schema of the book since which owners read only what is for them


@dataclass(frozen=True)
class AppContext:
    """What stands ready for a command; the shop is only opened when it is asked for."""

    invocation: Invocation

    @property
    def folder(self) -> Path:
        """The shop folder, or where one stands."""
        return self.invocation.folder

    @property
    def today(self) -> date:
        """The day everything is reckoned as of."""
        return self.invocation.today

    @property
    def is_in_shop(self) -> bool:
        """Whether the folder is a shop's; without one models can be asked about all the same."""
        return (self.folder / "shop.toml").is_file()

    @cached_property
    def shop(self) -> Shop:
        """The shop folder, which is only opened when it is asked."""
        shop = _ShopAtDesk(self.folder, self.today)
        words = click.get_current_context().meta.get(COMMAND_LINE, ())
        shop.words = shlex.join(words)
        return shop

    @cached_property
    def library(self) -> PointLibrary:
        """The shipped point lists and, where one stands in a shop, the shop's own."""
        return self.shop.library if self.is_in_shop else PointLibrary([packaged("points")])

    @property
    def templates(self) -> list[Path]:
        """The shop's own templates, then the shipped ones."""
        return [self.folder / "templates", packaged("templates")]

    @property
    def screen(self) -> Screen:
        """Where text goes."""
        return screen_of(is_terminal=sys.stdout.isatty())

    def write_output(
        self,
        data: bytes,
        out: Path | None,
        name: str,
        *,
        in_shop: bool,
        paper: str = "",
        about: Sequence[int] = (),
    ) -> None:
        """Write a document: to `out`, to stdout for "-", else by its own name in the shop's out
        folder or where one stands.

        Args:
            paper: of which kind it is, if it is a paper about machines of the book.
            about: those machines, by their ids.
        """
        path = out or (self.place_in_shop(name) if in_shop else Path(name))
        with Batch(self.folder) as files:
            files.add(path, data)
            files.place()
        self.note_printed(
            [
                PrintedPaper(kind=paper, on=self.today, file=str(path), machine=machine)
                for machine in about
            ]
        )

    def write_each(
        self, papers: Iterable[tuple[int, str, bytes]], out: Path | None, paper: str
    ) -> None:
        """Write papers about machines of the book to a file each in a folder, all of them or none;
        how many is said on stderr.

        Args:
            papers: the id of each machine, the name of its file, and what is in it.
            out: the folder; else the shop's out folder.
            paper: of which kind they are.

        Raises:
            CannotWrite; click.UsageError: the folder is named like a file.
        """
        if out is not None and out.suffix and not out.is_dir():
            raise click.UsageError(
                f"-o {out}: names a folder with --all, for a file each; leave off {out.suffix}"
            )
        folder, noted = out or self.folder / "out", []
        with Batch(self.folder) as files:
            for machine, name, data in papers:
                path = folder / name
                files.add(path, data, told=False)
                noted.append(
                    PrintedPaper(kind=paper, on=self.today, file=str(path), machine=machine)
                )
            files.place()
        self.note_printed(noted)
        many = len(noted)
        click.echo(f"wrote {many} {paper}{'' if many == 1 else 's'} to {folder}", err=True)

    def note_printed(self, papers: Sequence[PrintedPaper]) -> None:
        """Note papers that were printed, to be got back where what they tell is taken back; a book
        that cannot be written to now has them printed all the same."""
        if papers:
            with suppress(BookFault), self.shop.book(writing=True, undoable=False) as book:
                book.papers.add(papers)

    def place_in_shop(self, name: str) -> Path:
        """Where a document of the shop lies by its own name."""
        return self.folder / "out" / name

    @contextmanager
    def recording(self) -> Iterator[tuple[Book, Batch]]:
        """A transaction on the book for documents that leave a trace in it: they lie ready before
        it is kept, and take their places after that.

        Kept without its document a trace does no harm; a document without its trace does: the
        numbers of calendar entries would be given twice.
        """
        with Batch(self.folder) as files:
            with self.shop.book(writing=True) as book:
                yield book, files
            files.place()


class _ShopAtDesk(Shop):
    """A shop folder that tells, once, when its book has days after today of what was done, and when
    its settings have closures of years far from today."""

    words = ""  # the command line, of which a change is told
    _is_told = False

    @cached_property
    def settings_file(self) -> Settings:
        """What shop.toml says, as ever."""
        settings = super().settings_file
        far = far_closures(settings, self.today)
        _tell_far_closures(far, self.today, self.folder / SETTINGS_FILE)
        return settings

    def said(self) -> Said:
        """By what a change is told of: the command line, the time and this device."""
        return Said(
            on=self.today,
            at=datetime.now(UTC).replace(tzinfo=None),
            words=self.words,
            device=node(),
        )

    @contextmanager
    def book(self, *, writing: bool = False, undoable: bool = True) -> Iterator[Book]:
        """The book for one transaction, as ever."""
        with super().book(writing=writing, undoable=undoable) as book:
            if not self._is_told:
                self._is_told = True
                _tell_days_to_come(book.days_to_come.all(self.today), self.today)
                if book.was_schema < OWNERS_READ_NOTES_SINCE:
                    _tell_notes(self.book_path, book.notes.count())
            yield book
        command, *_ = click.get_current_context().meta.get(COMMAND_LINE, ("",))
        if book.kept is not None and command not in LOOKS:
            click.get_current_context().meta.setdefault(CHANGES_MADE, []).append(book.kept)


def _tell_days_to_come(found: Sequence[DayToCome], today: date) -> None:
    if not found:
        return
    first, others = found[0], len(found) - 1
    more = f", and {others} more after today, {today}" if others else f", after today, {today}"
    click.echo(
        f"{first.whose}: {first.what} on {first.on}{more}: did a clock run ahead? "
        "To see and mend it: oilchart clock",
        err=True,
    )


def _tell_notes(file: Path, many: int) -> None:
    if many:
        click.echo(
            f"{file}: was brought up to date; its notes stay in the shop from now on: what an "
            "owner is to read on the record is told by --for-owner",
            err=True,
        )


def _tell_far_closures(found: Sequence[Span], today: date, file: Path) -> None:
    if not found:
        return
    first, last = found[0].first, add_days(found[0].end, -1)
    days = str(first) if first == last else f"{first} to {last}"
    far = (
        f"begins more than {bounds.YEARS_BACK} years ago"
        if first < bounds.earliest_day(today)
        else f"ends more than {bounds.YEARS_AHEAD} years ahead"
    )
    more = f", and {len(found) - 1} more are as far from today" if len(found) > 1 else ""
    click.echo(
        f"{file}: [bench]: closures: {days} {far}{more}: the shop is taken to be shut then; "
        "if a year is not meant, mend it there",
        err=True,
    )


def pass_app(command: Callable[..., None]) -> Callable[..., None]:
    """Hand a command its `AppContext` as the first argument."""

    @functools.wraps(command)
    def with_app(*args: Any, **options: Any) -> None:
        invocation = click.get_current_context().find_object(Invocation)
        if invocation is None:
            raise RuntimeError("commands run below the group of all commands")
        command(AppContext(invocation), *args, **options)

    return with_app
