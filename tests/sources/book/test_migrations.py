"""A book of an earlier schema is brought up to date: a copy first, then all in one transaction."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from oilchart.sources.book.file import migrations as upgrades
from oilchart.sources.book.file.opening import make_book
from tests.builders.old_book import BACK_TO_4, BACK_TO_6, make_old, put_back
from tests.builders.shop_steps import the_machine
from tests.builders.snapshot import rows_in
from tests.conftest import Run


@pytest.fixture
def old_shop(fresh_shop: Shop) -> Path:
    """A shop whose book has schema 1, with an owner and a machine."""
    make_old(fresh_shop)
    return fresh_shop.folder


def columns(book: Path) -> dict[str, list[str]]:
    with closing(sqlite3.connect(book)) as connection:
        tables = [
            name
            for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        return {
            table: sorted(row[1] for row in connection.execute(f"PRAGMA table_info({table})"))
            for table in tables
        }


def test_an_old_book_is_upgraded_when_it_is_opened_and_a_copy_of_it_kept(
    old_shop: Path, run: Run, tmp_path: Path
) -> None:
    before = rows_in(old_shop / "shop.db")
    assert "M-001" in run("machine", "list", shop=old_shop).stdout
    make_book(tmp_path / "new.db", namespace="x")
    assert columns(old_shop / "shop.db") == columns(tmp_path / "new.db")
    copy = old_shop / "shop.schema-1.db"
    assert rows_in(copy) == before
    assert copy.stat().st_mode & 0o077 == 0
    assert run("owner", "edit", "Ida", "--can", "tip", shop=old_shop).exit_code == 0
    # no copy is made where nothing is upgraded
    assert [path.name for path in old_shop.glob("shop.schema-*")] == ["shop.schema-1.db"]


def test_an_earlier_copy_is_never_written_over(old_shop: Path, run: Run) -> None:
    (old_shop / "shop.schema-1.db").write_text("an earlier copy")
    assert run("machine", "list", shop=old_shop).exit_code == 0
    assert (old_shop / "shop.schema-1.db").read_text() == "an earlier copy"
    assert (old_shop / "shop.schema-1-2.db").stat().st_size > 1000


def test_an_old_book_is_upgraded_where_there_are_no_hard_links(
    old_shop: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    before = rows_in(old_shop / "shop.db")
    (old_shop / "shop.schema-1.db").write_text("an earlier copy")
    monkeypatch.setattr(os, "link", refuse)
    assert run("machine", "list", shop=old_shop).exit_code == 0
    assert rows_in(old_shop / "shop.schema-1-2.db") == before
    assert (old_shop / "shop.schema-1.db").read_text() == "an earlier copy"


def test_an_upgrade_that_fails_half_way_changes_nothing(
    old_shop: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = rows_in(old_shop / "shop.db")
    steps = {
        **upgrades.UPGRADES,
        3: (*upgrades.UPGRADES[3][:1], "ALTER TABLE no_such_table ADD COLUMN x"),
    }
    monkeypatch.setattr(upgrades, "UPGRADES", steps)
    for _ in range(3):
        refused = run("machine", "list", shop=old_shop)
        assert refused.exit_code == 1
        assert refused.stderr.count("\n") == 1
        assert rows_in(old_shop / "shop.db") == before
        # one copy is enough, however often it is tried
        assert [path.name for path in old_shop.glob("shop.schema-*")] == ["shop.schema-1.db"]


def test_where_no_copy_can_be_made_an_old_book_is_left_as_it_is(
    old_shop: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_handle: int) -> None:
        raise PermissionError(13, "Permission denied")

    before = rows_in(old_shop / "shop.db")
    monkeypatch.setattr(os, "fsync", refuse)
    refused = run("machine", "list", shop=old_shop)
    assert refused.exit_code == 1
    assert "no copy of it can be made: Permission denied; nothing was changed" in refused.stderr
    assert rows_in(old_shop / "shop.db") == before


def test_notes_of_an_older_book_stay_in_the_shop_and_the_upgrade_says_so_once(
    old_shop: Path, run: Run
) -> None:
    with closing(sqlite3.connect(old_shop / "shop.db")) as book:
        book.execute("UPDATE machine SET note = 'labour paid'")
        book.execute("UPDATE service SET note = 'belt on order'")
        book.commit()
    first = run("machine", "list", shop=old_shop)
    assert first.stderr.count("its notes stay in the shop from now on") == 1
    assert "--for-owner" in first.stderr
    assert run("machine", "list", shop=old_shop).stderr == ""
    with closing(sqlite3.connect(old_shop / "shop.db")) as book:
        kept = book.execute("SELECT words, for_owner FROM note ORDER BY id").fetchall()
    assert kept == [("labour paid", 0), ("belt on order", 0)]


def test_a_machine_that_was_unsafe_in_an_older_book_is_so_still(fresh_shop: Shop, run: Run) -> None:
    make_old(fresh_shop)
    assert run("machine", "list", shop=fresh_shop.folder).exit_code == 0
    put_back(fresh_shop, BACK_TO_4)
    with closing(sqlite3.connect(fresh_shop.book_path)) as book:
        book.execute("UPDATE machine SET unsafe_on = '2026-11-20', unsafe_why = 'bare wire'")
        book.commit()
    [mark] = the_machine(fresh_shop, "M-001").dangers
    assert (mark.danger, str(mark.on), mark.why) == ("electrical", "2026-11-20", "bare wire")


def test_conditions_of_an_older_book_act_as_they_did_and_what_told_of_them_is_not_taken_back(
    fresh_shop: Shop, run: Run
) -> None:
    make_old(fresh_shop)
    shop = fresh_shop.folder
    assert run("machine", "edit", "M-001", "--serial", "H7", shop=shop).exit_code == 0
    put_back(fresh_shop, BACK_TO_6)
    with closing(sqlite3.connect(fresh_shop.book_path)) as book:
        book.execute("UPDATE machine SET conditions = 'lint, damp'")
        # what the earlier program kept of a machine had its conditions, too
        book.execute(
            "UPDATE change_row SET before = json_set(before, '$.conditions', 'lint, damp'), "
            "after = json_set(after, '$.conditions', 'lint, damp') WHERE in_table = 'machine'"
        )
        book.execute(
            "INSERT INTO change VALUES (99, '2026-11-25', '2026-11-25 10:00:00', 'damp', '', NULL)"
        )
        book.execute(
            "INSERT INTO change_row VALUES (99, 0, 'machine', '1', "
            """'{"id": 1, "conditions": "lint"}', '{"id": 1, "conditions": "lint, damp"}')"""
        )
        book.commit()
    machine = the_machine(fresh_shop, "M-001")
    assert [(each.condition, each.since, each.until) for each in machine.worked_under] == [
        ("lint", None, None),
        ("damp", None, None),
    ]
    refused = run("undo", "99", "--yes", shop=shop)
    assert refused.exit_code == 1
    assert "its rows are not kept any more" in refused.stderr
    assert run("undo", "1", "--yes", shop=shop).exit_code == 0
    assert the_machine(fresh_shop, "M-001").serial == "H3"
