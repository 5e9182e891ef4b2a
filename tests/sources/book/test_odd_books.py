"""Files that are called shop.db and are none, or are damaged: each is read or refused in one line,
and left as it is."""

from __future__ import annotations

import os
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from oilchart.sources.book import schema
from tests.builders.snapshot import rows_in
from tests.conftest import Run

READING = (
    "due",
    "owner list",
    "owner show OW-001",
    "machine show M-001",
    "calls --json",
    "board -o -",
)
# what no command puts into a column; none is a day that lies far off, which is another matter
ODD = [
    "x'4964'",
    "CAST(x'ff' AS TEXT)",
    "'odd'",
    "''",
    "NULL",
    "-1",
    "0",
    "7.5",
    "9223372036854775807",
    "'2026-13-45'",
]


MANY = f"'{'9' * 5000}'"


def told_in_one_line(run: Run, shop: Path, words: str) -> bool:
    """Whether a command was refused; then in one line, and nothing else."""
    result = (
        run(*words.split(), "-o", "-", shop=shop)
        if words == "board"
        else run(*words.split(), shop=shop)
    )
    if result.exit_code == 0:
        return False
    assert (result.exit_code, result.stdout, result.stderr.count("\n")) == (1, "", 1), words
    assert result.stderr.startswith("oilchart: ")
    return True


def is_gone(book: Path) -> None:
    book.unlink()


def is_a_folder(book: Path) -> None:
    book.unlink()
    book.mkdir()


def is_a_pipe(book: Path) -> None:
    book.unlink()
    os.mkfifo(book)


def leads_nowhere(book: Path) -> None:
    book.unlink()
    book.symlink_to("nowhere.db")


def leads_to_itself(book: Path) -> None:
    book.unlink()
    book.symlink_to("shop.db")


def leads_to_a_device(book: Path) -> None:
    book.unlink()
    book.symlink_to("/dev/zero")


@pytest.mark.parametrize(
    "made",
    [is_gone, is_a_folder, is_a_pipe, leads_nowhere, leads_to_itself, leads_to_a_device],
)
def test_what_is_no_file_is_refused_in_one_line(
    made: Callable[[Path], None], fresh_shop: Shop, run: Run
) -> None:
    made(fresh_shop.book_path)
    before = {path.name: path.lstat().st_mode for path in fresh_shop.folder.iterdir()}
    for words in ("due", "owner add Ida"):
        assert told_in_one_line(run, fresh_shop.folder, words)
    assert {path.name: path.lstat().st_mode for path in fresh_shop.folder.iterdir()} == before


@pytest.mark.parametrize(
    "length", [1, 15, 16, 17, 18, 50, 99, 100, 512, 1024, 4095, 4096, 8192, 20_000]
)
def test_a_book_cut_off_anywhere_is_refused_in_one_line(
    length: int, demo_shop: Shop, run: Run
) -> None:
    data = demo_shop.book_path.read_bytes()[:length]
    demo_shop.book_path.write_bytes(data)
    for words in ("due", "owner add Ida"):
        assert told_in_one_line(run, demo_shop.folder, words)
    assert demo_shop.book_path.read_bytes() == data


@pytest.mark.parametrize(
    "version",
    ["'0'", "'00'", "'-1'", "''", "'4.0'", "' 4'", "'four'", "'\u0664'", "0", "x'34'", "7.5", MANY],
)
def test_an_odd_version_is_refused_in_one_line_and_nothing_is_left_of_a_try(
    version: str, fresh_shop: Shop, run: Run
) -> None:
    with closing(sqlite3.connect(fresh_shop.book_path)) as book:
        book.execute(f"UPDATE meta SET value = {version} WHERE key = 'version'")
        book.commit()
    before = rows_in(fresh_shop.book_path)
    names = sorted(path.name for path in fresh_shop.folder.iterdir())
    for words in ("due", "owner add Ida"):
        assert told_in_one_line(run, fresh_shop.folder, words)
    assert rows_in(fresh_shop.book_path) == before
    assert sorted(path.name for path in fresh_shop.folder.iterdir()) == names


def test_a_book_with_flipped_bits_or_pages_is_read_or_refused_in_one_line(
    demo_shop: Shop, run: Run, tries: int
) -> None:
    whole = demo_shop.book_path.read_bytes()
    chance = random.Random(12)
    refused = 0
    for number in range(tries):
        data = bytearray(whole)
        if number % 2:
            for _ in range(chance.randint(1, 40)):
                data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
        else:
            at = 4096 * chance.randrange(len(data) // 4096)
            data[at : at + 4096] = chance.randbytes(4096)
        for words in ("due", "owner add Ida"):
            for beside in demo_shop.folder.glob("shop.db-*"):
                beside.unlink()
            demo_shop.book_path.write_bytes(data)
            refused += told_in_one_line(run, demo_shop.folder, words)
    assert 0 < refused < 2 * tries


def test_a_name_of_a_table_that_is_no_text_is_refused_in_one_line(
    demo_shop: Shop, run: Run
) -> None:
    data = demo_shop.book_path.read_bytes()
    for whole, broken in (
        (b"tablereport", b"table\xffeport"),
        (b"TABLE report", b"T\xffBLE report"),
    ):
        assert whole in data
        data = data.replace(whole, broken)
    demo_shop.book_path.write_bytes(data)
    for words in ("due", "owner add Ida"):
        assert told_in_one_line(run, demo_shop.folder, words)


def test_a_value_of_any_kind_in_any_column_is_read_or_refused_in_one_line(
    demo_shop: Shop, run: Run, tries: int
) -> None:
    whole = demo_shop.book_path.read_bytes()
    chance = random.Random(12)
    columns = [
        (table.name, column.name)
        for table in schema.metadata.sorted_tables
        for column in table.columns
        if table is not schema.meta and column.name != "id"
    ]
    refused = 0
    for _ in range(tries):
        for beside in demo_shop.folder.glob("shop.db-*"):
            beside.unlink()
        demo_shop.book_path.write_bytes(whole)
        table, column = chance.choice(columns)
        with closing(sqlite3.connect(demo_shop.book_path)) as book:
            book.execute(
                f"UPDATE OR IGNORE {table} SET {column} = {chance.choice(ODD)} "
                f"WHERE rowid = (SELECT rowid FROM {table} LIMIT 1 OFFSET {chance.randrange(1000)} "
                f"% (SELECT max(1, count(*)) FROM {table}))"
            )
            book.commit()
        refused += told_in_one_line(run, demo_shop.folder, chance.choice(READING))
    assert 0 < refused < tries
