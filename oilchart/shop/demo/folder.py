"""The folder of a demo while the demo is being made: one that was cut off is begun again."""

from __future__ import annotations

import errno
import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from oilchart.ending import forget_recorded, in_hand
from oilchart.errors import BookFault, elsewhere
from oilchart.shop.folder import BOOK_FILE, OUT_FOLDER, refuse_own_file_at
from oilchart.sources.files.settings import SETTINGS_FILE
from oilchart.sources.files.whole_file import make_folders

MARK = ".oilchart-demo-unfinished"
FOLDERS = ("points", "templates", OUT_FOLDER)
_BOOKS = re.compile(rf"({re.escape(MARK)}|{re.escape(BOOK_FILE)})(-wal|-shm|-journal)?")
_PART = re.compile(r"\.oilchart-.*\.part(-wal|-shm|-journal)?")


@contextmanager
def demo_being_made(folder: Path, settings: str, papers: re.Pattern[str]) -> Iterator[None]:
    """While this goes on a mark in the folder says that what is there is an unfinished demo; what
    one that was cut off has left is removed first. A demo that fails or is stopped leaves nothing.

    Args:
        settings: the text of its shop.toml.
        papers: the names of the files in its folder of papers.

    Raises:
        BookFault: there is something else in the folder, or another program makes a demo there, or
            it cannot be written to.
    """
    making = _Making(folder, settings, papers)
    with in_hand(making.undo):
        try:
            making.begin()
            yield
            making.end()
        except OSError as error:
            making.undo()
            raise BookFault(
                f"{folder}: cannot be made: {error.strerror}; {elsewhere(error, 'choose a folder')}"
            ) from None
        except BaseException:
            making.undo()
            raise


class _Making:
    """A demo that is being made; its mark is an empty book, held as long as the program runs, so
    that no two programs make a demo in one folder."""

    def __init__(self, folder: Path, settings: str, papers: re.Pattern[str]) -> None:
        self.folder = folder
        self.mark = folder / MARK
        self.settings = settings.encode()
        self.papers = papers
        self.is_new = not folder.exists() or self.mark.is_file()
        self.hold: sqlite3.Connection | None = None

    def begin(self) -> None:
        """Take the folder, and remove what is left there of a demo that was cut off."""
        was_begun = self.mark.is_file()
        if not was_begun:
            self._refuse_what_is_there()
            make_folders(self.folder)
        hold = sqlite3.connect(
            self.mark,
            timeout=0,
            isolation_level=None,
            check_same_thread=False,  # it may be undone by the thread that watches for a stop
        )
        try:
            hold.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            hold.close()
            code = error.sqlite_errorcode & 0xFF  # the rest of it says more than is needed
            if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise BookFault(
                    f"{self.folder}: another program is making a demo there; choose another folder"
                ) from None
            if not was_begun:
                self.mark.unlink(missing_ok=True)
            if code == sqlite3.SQLITE_FULL:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)) from None
            raise BookFault(
                f"{self.folder}: cannot be made: {error}; choose a folder you may write to"
            ) from None
        foreign = [path for path in self._paths() if not self._is_ours(path)]
        if foreign:
            hold.close()
            raise BookFault(
                f"{self.folder}: a demo there was cut off, but {foreign[0]} is none of it; nothing "
                "was changed; move it away, or choose another folder"
            )
        self.hold = hold
        self._clear()

    def end(self) -> None:
        """The demo is whole."""
        self._unmark()

    def undo(self) -> None:
        """Remove what was made, unless the demo is whole or was never begun."""
        if self.hold is not None:
            self._clear()
            self._unmark()
            forget_recorded()
        if self.is_new and not self.mark.exists():
            with suppress(OSError):
                self.folder.rmdir()

    def _unmark(self) -> None:
        if self.hold is not None:
            with closing(self.hold), suppress(OSError):
                self.mark.unlink()  # while it is held; where that cannot be, below
            self.mark.unlink(missing_ok=True)
            self.hold = None

    def _refuse_what_is_there(self) -> None:
        refuse_own_file_at(self.folder)
        if any((self.folder / name).exists() for name in (BOOK_FILE, SETTINGS_FILE)):
            raise BookFault(
                f"{self.folder}: there is a shop already; nothing was changed; "
                "choose another folder"
            )
        if self.folder.exists() and next(self.folder.iterdir(), None) is not None:
            raise BookFault(
                f"{self.folder}: is not empty; nothing was changed; choose another folder"
            )

    def _paths(self) -> list[Path]:
        """All that lies in the folder, what lies in a folder before it."""
        return sorted(self.folder.rglob("*"), reverse=True)

    def _is_ours(self, path: Path) -> bool:
        """Whether a demo makes it, by its place and name."""
        place = path.relative_to(self.folder)
        if path.is_symlink():
            return False
        if path.is_dir():
            return str(place) in FOLDERS
        if place == Path(SETTINGS_FILE):
            return self.settings.startswith(path.read_bytes())
        if place.parent == Path(OUT_FOLDER) and self.papers.fullmatch(place.name):
            return True
        if place.parent == Path() and _BOOKS.fullmatch(place.name):
            return True
        return _PART.fullmatch(place.name) is not None

    def _clear(self) -> None:
        """Remove what a demo makes, but the mark."""
        for path in self._paths():
            if path != self.mark and self._is_ours(path):
                with suppress(OSError):
                    path.rmdir() if path.is_dir() else path.unlink()
