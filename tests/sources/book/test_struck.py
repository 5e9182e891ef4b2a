"""Commands that are killed at any moment, or whose system calls fail: the book is as it was or as
it should be, and what a command says of that is true."""

from __future__ import annotations

import random
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from oilchart.sources.files.whole_file import write_whole_file
from tests.builders.commands import TESTED
from tests.builders.old_book import make_old
from tests.builders.snapshot import rows_in
from tests.builders.struck import Ended, killed, undisturbed, with_call
from tests.conftest import Run

COMMANDS = [
    ("use", "M-002", "5-8 hours a week"),
    ("serviced", "M-002", *TESTED),
    ("called", "OW-005", "no-answer"),
    ("checkin", "M-002", "smells hot"),
    ("waiting", "M-012", "a belt"),
    ("ready", "M-012", "--nothing-done"),
    ("collected", "M-012"),
    ("electrical", "M-002", "--pass", "--by", "Olga"),
    ("owner", "add", "Olga Late"),
    ("machine", "add", "OW-005", "heron-3"),
    ("calls",),
    ("calendar",),
]
# what of a system call can go wrong, and how many of each a command makes at least
FATES = ("signal=KILL", "error=ENOSPC", "error=EIO")
CALLS = {"pwrite64": 24, "fdatasync": 6, "fsync": 4, "ftruncate": 3, "/^unlink": 4}
MOMENT = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d\.\d+")  # of the clock, not of the shop


def rows(book: Path) -> list[str]:
    """What is in a book, but for the moments of its calendar's stamps; a broken one fails."""
    with closing(sqlite3.connect(book)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    return [MOMENT.sub("a moment", row) for row in rows_in(book)]


def line(shop: Path, *words: str) -> tuple[str, ...]:
    return ("--shop", str(shop), "--today", "2026-11-25", *words)


class Tried:
    """A shop before a command and after it, and copies to try on."""

    def __init__(self, shop: Path, folder: Path, words: tuple[str, ...]) -> None:
        self.shop, self.folder, self.words = shop, folder, words
        self.before = rows(shop / "shop.db")
        after = self.copy()
        done = undisturbed(*line(after, *words))
        assert done.code == 0, done.stderr
        self.after, self.seconds = rows(after / "shop.db"), done.seconds

    def copy(self) -> Path:
        """The shop anew."""
        shutil.rmtree(self.folder, ignore_errors=True)
        return shutil.copytree(self.shop, self.folder)


def check(tried: Tried, shop: Path, ended: Ended) -> None:
    """Hold the book to what it may be, and to what was said."""
    found = rows(shop / "shop.db")
    assert found in (tried.before, tried.after)
    if ended.code == 0:
        assert found == tried.after
    elif ended.code > 0:
        assert (ended.code, ended.stderr.count("\n")) == (1, 1)
        assert found == tried.before


# in parts, each of which takes a quarter of the time: their tries together are those of the table
@pytest.mark.parametrize("commands", [COMMANDS[part::4] for part in range(4)])
def test_a_command_killed_at_any_moment_leaves_the_book_as_it_was_or_should_be(
    commands: list[tuple[str, ...]], demo_shop: Shop, tmp_path: Path, tries: int
) -> None:
    chance = random.Random(str(commands))
    of_commands = {}
    killings = 0
    for number in range(tries // 4):
        words = commands[number % len(commands)]
        if words not in of_commands:
            of_commands[words] = Tried(demo_shop.folder, tmp_path / "copy", words)
        tried = of_commands[words]
        shop = tried.copy()
        ended = killed(*line(shop, *words), after_seconds=chance.uniform(0, tried.seconds))
        check(tried, shop, ended)
        killings += ended.code < 0
    assert killings > tries / 16


@pytest.mark.parametrize("part", [0, 1])
def test_a_system_call_that_fails_leaves_the_book_as_it_was_and_one_line_or_as_it_should_be(
    part: int, demo_shop: Shop, tmp_path: Path, tries: int
) -> None:
    tried = Tried(demo_shop.folder, tmp_path / "copy", ("serviced", "M-002", *TESTED))
    codes = set()
    for call, number, fate in strikes(tries)[part::2]:
        shop = tried.copy()
        ended = with_call(*line(shop, *tried.words), call=call, number=number, fate=fate)
        check(tried, shop, ended)
        codes.add(ended.code)
    assert codes == {-9, 0, 1}


def strikes(most: int) -> list[tuple[str, int, str]]:
    """System calls and what becomes of them, in an order of no order."""
    every = [
        (call, number, fate)
        for call, times in CALLS.items()
        for number in range(1, times + 1)
        for fate in FATES
    ]
    random.Random(12).shuffle(every)
    return every[:most]


@pytest.mark.parametrize("how", ["at any moment", "at a system call"])
def test_an_upgrade_that_is_struck_leaves_an_old_or_a_new_book_and_the_next_command_upgrades_it(
    how: str, fresh_shop: Shop, tmp_path: Path, run: Run, tries: int
) -> None:
    make_old(fresh_shop)
    tried = Tried(fresh_shop.folder, tmp_path / "copy", ("owner", "list"))
    chance = random.Random(12)
    for call, number, fate in strikes(tries):
        shop = tried.copy()
        if how == "at any moment":
            ended = killed(
                *line(shop, *tried.words), after_seconds=chance.uniform(0, tried.seconds)
            )
        else:
            ended = with_call(*line(shop, *tried.words), call=call, number=number, fate=fate)
        check(tried, shop, ended)
        copies = list(shop.glob("shop.schema-*.db"))
        assert all(rows(copy) == tried.before for copy in copies)
        assert run("owner", "list", shop=shop).exit_code == 0
        assert rows(shop / "shop.db") == tried.after
        assert len(list(shop.glob("shop.schema-*.db"))) <= len(copies) + 1
        write_whole_file(shop / "card.pdf", b"card")
        assert list(shop.glob(".oilchart-*")) == []
