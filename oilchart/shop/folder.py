"""A shop folder on one day: its settings, its point lists and its book."""

from __future__ import annotations

import re
import stat
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, time
from functools import cached_property
from pathlib import Path

from oilchart import bounds
from oilchart.core.due.allowances import AllowanceCache
from oilchart.core.point_lists.point_list import NOT_SEEN, PointList, list_of_unseen
from oilchart.core.records.machine_record import MachineRecord, WithoutPoint
from oilchart.core.records.own_interval import OwnInterval, with_shorter_intervals
from oilchart.errors import BookFault, FarAhead, OilchartError, UnknownName, WrongValue, elsewhere
from oilchart.sources.book.file.opening import Book, Said, make_book, transaction
from oilchart.sources.files.settings import (
    SETTINGS_FILE,
    STARTING_SETTINGS,
    Settings,
    read_settings,
)
from oilchart.sources.files.whole_file import PRIVATE_FILE, make_folders, write_whole_file
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.words.word_list import FILE as WORDS_FILE
from oilchart.sources.words.word_list import WordList, read_word_list

BOOK_FILE = "shop.db"
OUT_FOLDER = "out"
PHOTOS_FOLDER = "photos"
# without which a shop is none or loses what it had: its settings, its book with what SQLite keeps
# beside it, and the copies that upgrades made
OWN_FILES = re.compile(r"shop\.toml|shop\.(db|schema-.*\.db)(-wal|-shm|-journal)?")


class Shop:
    """One shop folder on one day, and what is read of its files and lists, once each.

    Args:
        folder: with shop.toml, shop.db and, if the shop has lists of its own, points/.
        today: never read from the clock here.
    """

    def __init__(self, folder: Path, today: date) -> None:
        self.folder = folder
        self.today = today
        self.book_path = folder / BOOK_FILE
        self.allowances = AllowanceCache()
        self._lists_for_owners: dict[
            tuple[tuple[str, ...], tuple[OwnInterval, ...], tuple[WithoutPoint, ...]], PointList
        ] = {}

    def photo_place(self, name: str) -> Path:
        """Where a photo of a machine lies by its own name."""
        return self.folder / PHOTOS_FOLDER / name

    @contextmanager
    def book(self, *, writing: bool = False, undoable: bool = True) -> Iterator[Book]:
        """The book for one transaction: all of it is kept in the end, or nothing.

        Args:
            writing: take the right to write at once.
            undoable: what it changes is kept, to be taken back.

        Raises:
            BookFault
        """
        said = self.said() if writing and undoable else None
        with transaction(self.book_path, writing=writing, said=said) as book:
            yield book

    def said(self) -> Said:
        """By what a change is told of that is made now."""
        return Said(on=self.today, at=datetime.combine(self.today, time()), words="")

    @cached_property
    def library(self) -> PointLibrary:
        """The shipped point lists and the shop's own."""
        return PointLibrary([packaged("points"), self.folder / "points"])

    @cached_property
    def word_list(self) -> WordList | None:
        """What the shop takes vague words for; None where it says nothing of its own.

        Raises:
            FaultyList: of its words.toml.
        """
        own = self.folder / "points"
        if not (own / WORDS_FILE).is_file():
            return None
        return read_word_list([packaged("points"), own])

    def settings_in(self, book: Book) -> Settings:
        """The shop's settings, with the closures that the book has from the shop's calendar.

        Raises:
            FaultyList: of shop.toml.
        """
        settings = self.settings_file
        open_days = settings.limits.open_days
        closures = (*open_days.closures, *book.closures.spans())
        limits = replace(settings.limits, open_days=replace(open_days, closures=closures))
        return replace(settings, limits=limits)

    def settings(self) -> Settings:
        """The same for who looks into nothing else of the book."""
        if not self.book_path.exists():
            return self.settings_file
        with self.book() as book:
            return self.settings_in(book)

    @cached_property
    def settings_file(self) -> Settings:
        """What shop.toml says, without the closures of the book.

        Raises:
            FaultyList
        """
        return read_settings(self.folder / SETTINGS_FILE)

    def list_of(self, record: MachineRecord) -> PointList:
        """The point list of a machine of the book, as it stands for any owner, under the name that
        the machine is called by, without the points that it has not got, and without tests that
        others make.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        if not record.model:
            return self.settings_file.as_tested(list_of_unseen(record.called(NOT_SEEN)))
        try:
            point_list = self.library.point_list(record.model, record.mechanisms)
        except UnknownName as unknown:
            raise UnknownName(f"{record.number}: {unknown}") from None
        if record.name or record.mark:
            maker = "" if record.name else point_list.maker
            point_list = replace(point_list, name=record.called(point_list.name), maker=maker)
        return self.settings_file.as_tested(
            point_list.without(each.point for each in record.without)
        )

    def refuse_unseen(self, record: MachineRecord) -> None:
        """Refuse what rests on a list of a machine that was not seen yet.

        Raises:
            OilchartError
        """
        if not record.model:
            raise OilchartError(
                f"{record.number}: was not seen yet; say of which model it is first: oilchart "
                f"machine edit {record.number}"
            )

    def list_for_owner_of(self, record: MachineRecord) -> PointList:
        """The point list of a machine of the book, as it stands for its owner, with the intervals
        that are shorter for it.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        key = (
            (record.model, record.name, record.mark, *record.mechanisms, *record.owner.can),
            record.own_intervals,
            record.without,
        )
        if key not in self._lists_for_owners:
            self._lists_for_owners[key] = with_shorter_intervals(
                self.list_of(record).for_owner(record.owner.can), record.own_intervals
            )
        return self._lists_for_owners[key]

    def keeps_modes(self) -> bool:
        """Whether the file system remembers who may read a file, which memory sticks do not."""
        try:
            self.book_path.chmod(PRIVATE_FILE)
        except OSError:
            return False
        return stat.S_IMODE(self.book_path.stat().st_mode) == PRIVATE_FILE

    def refuse_day_to_come(self, on: date, what: str) -> None:
        """Refuse a day after today.

        Args:
            what: happened on that day, like "the day of the work".

        Raises:
            WrongValue
        """
        if on > self.today:
            raise WrongValue(
                "on", on, f"{what} is after today, {self.today}; give a day that has been"
            )

    def refuse_far_day(self, day: date) -> None:
        """Refuse a day so far ahead that nobody can have meant it without saying so.

        Raises:
            FarAhead
        """
        if day > bounds.latest_day(self.today):
            raise FarAhead(f"{day} is {bounds.years_ahead(day, self.today)} years ahead")


def make_shop(
    folder: Path,
    today: date,
    *,
    settings: str = STARTING_SETTINGS,
    namespace: str | None = None,
) -> Shop:
    """Make a new shop folder; only its user can look into it, where it was not there before.

    Args:
        settings: text of its shop.toml.
        namespace: from which calendar ids are made; random unless given.

    Raises:
        BookFault: there is a shop already, or the folder cannot be made.
    """
    settings_path = folder / SETTINGS_FILE
    try:
        refuse_own_file_at(folder)
        # what a run that was killed left of its settings is no shop yet
        if (folder / BOOK_FILE).exists() or (
            settings_path.exists() and not settings.encode().startswith(settings_path.read_bytes())
        ):
            raise BookFault(
                f"{folder}: there is a shop already; nothing was changed; choose another folder"
            )
        for each in (folder / "points", folder / "templates", folder / OUT_FOLDER):
            make_folders(each)
        write_whole_file(settings_path, settings.encode())
    except OSError as error:
        raise BookFault(
            f"{folder}: cannot be made: {error.strerror}; {elsewhere(error, 'choose a folder')}"
        ) from None
    make_book(folder / BOOK_FILE, namespace=namespace or str(uuid.uuid4()))
    return Shop(folder, today)


def refuse_own_file_at(folder: Path) -> None:
    """Refuse a folder for a new shop that would lie in the place of another shop's own file, which
    is not always there: its log comes and goes.

    Raises:
        BookFault, OSError
    """
    place = folder.resolve()
    own = own_file_at(place, place)
    if own is not None:
        raise BookFault(
            f"{folder}: is a shop's own {own}; nothing was changed; choose another folder"
        )


def own_file_at(place: Path, shop: Path) -> str | None:
    """The name of the shop's own file that a place is, or would be, or of one in whose place a
    folder would be made for it: of this shop or of the one that it lies in, through links, too.

    Raises:
        OSError: it cannot be found out.
    """
    made = (place, *(each for each in place.parents if not each.exists()))
    return next((own for each in made if (own := _own_file(each, shop))), None)


def _own_file(place: Path, shop: Path) -> str | None:
    for folder in (shop, place.parent):
        if not any((folder / name).exists() for name in (BOOK_FILE, SETTINGS_FILE)):
            continue
        if OWN_FILES.fullmatch(place.name) and place.parent == folder.resolve():
            return place.name
        if place.exists():
            for own in folder.iterdir():
                if OWN_FILES.fullmatch(own.name) and own.exists() and own.samefile(place):
                    return own.name
    return None
