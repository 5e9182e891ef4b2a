"""A book is read where nothing can be written: on a full disk and in a folder that cannot be
written to; never without what was last recorded."""

from __future__ import annotations

import os
import resource
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from oilchart.shop.folder import Shop
from oilchart.sources.book.file import engines
from tests.builders.commands import TESTED
from tests.builders.shop_steps import add_owner
from tests.builders.snapshot import rows_in
from tests.conftest import Run


@contextmanager
def full_disk(room: int = 0) -> Iterator[None]:
    """No file can grow beyond so many bytes; without room not by one."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@pytest.fixture
def shop(fresh_shop: Shop) -> Path:
    """A shop with an owner, whose book is closed."""
    add_owner(fresh_shop, name="Ida", phone="", email="")
    return fresh_shop.folder


@pytest.fixture
def shop_after_a_kill(shop: Path, tmp_path: Path) -> Path:
    """The same as a kill leaves it: a second owner is recorded, and only the log has her yet."""
    folder = tmp_path / "killed"
    folder.mkdir()
    with closing(sqlite3.connect(shop / "shop.db")) as book:
        book.execute("INSERT INTO owner (name, email, added_on) VALUES ('Olga', '', '2026-11-25')")
        book.commit()
        for name in ("shop.db", "shop.db-wal"):
            shutil.copyfile(shop / name, folder / name)
    assert b"Olga" not in (folder / "shop.db").read_bytes()
    return folder


@pytest.fixture
def closed(monkeypatch: pytest.MonkeyPatch) -> None:
    """No folder can be written to: root could all the same, so that only the answer is made up."""
    asked = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: asked(path, mode) and mode != os.W_OK)


@pytest.fixture
def without_files_beside(monkeypatch: pytest.MonkeyPatch) -> None:
    """SQLite answers as where it can make no file beside a book that has a log."""
    nowhere = create_engine("sqlite:////no/such/folder/shop.db")
    monkeypatch.setattr(engines, "_engine", lambda *_, **__: nowhere)


def files_in(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_on_a_full_disk_a_book_can_be_read(shop: Path, run: Run) -> None:
    before = files_in(shop)
    with full_disk():
        listed = run("owner", "list", shop=shop)
    assert (listed.exit_code, listed.stderr) == (0, "")
    assert "Ida" in listed.stdout
    # SQLite leaves an index of no bytes where it could not make one
    assert files_in(shop) | {"shop.db-shm": b""} == before | {"shop.db-shm": b""}


def test_on_a_full_disk_what_waits_in_the_log_is_read_too(
    shop_after_a_kill: Path, run: Run
) -> None:
    with full_disk():
        listed = run("owner", "list", shop=shop_after_a_kill)
    assert listed.exit_code == 0
    assert "Olga" in listed.stdout
    assert "'Olga'" in "".join(rows_in(shop_after_a_kill / "shop.db"))


def test_on_a_full_disk_every_list_of_the_demo_is_what_it_is_elsewhere(
    demo_shop: Shop, run: Run
) -> None:
    for words in ("due", "due --json", "schedule M-001", "machine show M-001", "owner show OW-001"):
        elsewhere = run(*words.split(), shop=demo_shop.folder)
        with full_disk():
            assert run(*words.split(), shop=demo_shop.folder).stdout == elsewhere.stdout


def test_on_a_full_disk_writing_is_refused_in_one_line(shop: Path, run: Run) -> None:
    before = rows_in(shop / "shop.db")
    with full_disk():
        refused = run("owner", "add", "Olga", shop=shop)
    assert (refused.exit_code, refused.stdout, refused.stderr.count("\n")) == (1, "", 1)
    assert "nothing was changed; see that the folder can be written to and has room" in (
        refused.stderr
    )
    assert rows_in(shop / "shop.db") == before


@pytest.mark.parametrize("words", ["owner add Olga", "calendar -o -"])
def test_in_a_closed_folder_what_keeps_something_is_refused_with_the_reason(
    words: str, shop: Path, closed: None, without_files_beside: None, run: Run
) -> None:
    refused = run(*words.split(), shop=shop)
    assert (refused.exit_code, refused.stdout, refused.stderr) == (
        1,
        "",
        f"oilchart: {shop}/shop.db: its folder cannot be written to, and this command keeps what "
        "it does in the book; nothing was changed; use the shop where its folder can be written "
        "to\n",
    )


@pytest.mark.parametrize("kilobytes", [0, 4, 8, 16, 32, 64, 128])
def test_with_little_room_a_service_is_recorded_whole_or_refused_in_one_line(
    kilobytes: int, demo_shop: Shop, run: Run
) -> None:
    before = rows_in(demo_shop.book_path)
    with full_disk(1024 * kilobytes):
        result = run("serviced", "M-002", *TESTED, shop=demo_shop.folder)
    after = rows_in(demo_shop.book_path)
    if result.exit_code == 0:
        assert len(after) > len(before) + 10
    else:
        assert (result.exit_code, result.stderr.count("\n")) == (1, 1)
        assert after == before
    assert (kilobytes < 32) <= (result.exit_code == 1)


def test_in_a_closed_folder_what_waits_in_the_log_is_read_too(
    shop_after_a_kill: Path, closed: None, without_files_beside: None, run: Run
) -> None:
    before = files_in(shop_after_a_kill)
    listed = run("owner", "list", shop=shop_after_a_kill)
    assert listed.exit_code == 0, listed.stderr
    assert "Olga" in listed.stdout
    assert files_in(shop_after_a_kill) == before


def test_a_log_of_no_bytes_does_not_stand_in_the_way_of_reading(
    shop: Path, closed: None, run: Run
) -> None:
    (shop / "shop.db-wal").touch()
    before = files_in(shop)
    assert "Ida" in run("owner", "list", shop=shop).stdout
    assert files_in(shop) == before


def test_where_a_log_cannot_be_read_it_is_said_and_nothing_old_is_shown(
    shop_after_a_kill: Path,
    closed: None,
    without_files_beside: None,
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def no_room(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(tempfile, "mkdtemp", no_room)
    refused = run("owner", "list", shop=shop_after_a_kill)
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert refused.stderr == (
        f"oilchart: {shop_after_a_kill}/shop.db: has changes in shop.db-wal that cannot be read "
        "here: No space left on device; open it once where its folder can be written to\n"
    )


def test_a_book_that_is_written_to_while_it_is_copied_is_not_read_half(
    shop_after_a_kill: Path,
    closed: None,
    without_files_beside: None,
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    copy = shutil.copyfile

    def meanwhile(source: Path, to: Path) -> None:
        copy(source, to)
        with source.open("ab") as file:
            file.write(b"more")

    monkeypatch.setattr(shutil, "copyfile", meanwhile)
    refused = run("owner", "list", shop=shop_after_a_kill)
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert refused.stderr.endswith("shop.db: another program is writing to it; try again\n")
