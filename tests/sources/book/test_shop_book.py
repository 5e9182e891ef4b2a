"""The shop book: what was written comes back, all of it or nothing, whoever else writes and
whatever becomes of the file."""

from __future__ import annotations

import os
import signal
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy
from sqlalchemy import Engine

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.owner import Owner
from oilchart.core.records.service_record import ServiceRecord
from oilchart.errors import BookFault
from oilchart.shop.folder import Shop, make_shop
from oilchart.sources.book import schema
from oilchart.sources.book.file import engines, opening
from oilchart.sources.book.file.opening import Book, transaction
from oilchart.sources.words.reader import read_report
from tests.builders.make import TODAY
from tests.builders.records import a_phone
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_machines,
    all_owners,
    record_service,
    record_use,
)
from tests.builders.snapshot import call_stamps, rows_in
from tests.conftest import Run

NAMESPACE = "6f0c2a52-9a0b-5d7e-8c41-3b1d5e2f7a90"
ANOTHER_BOOK = (
    sqlite3.connect(":memory:").execute("CREATE TABLE meta (name)").connection.serialize()
)
PHRASES = [
    "5-8 hours a week",
    "about 300 hours a year; idle Jul-Aug",
    "120 hours since 2026-03-01",
    "none",
    "40 minutes a day",
]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    opening.make_book(tmp_path / "shop.db", namespace=NAMESPACE)
    return tmp_path / "shop.db"


def change(path: Path, statement: str) -> None:
    """Do to the file what no command does."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(statement)
        connection.commit()


def a_machine(book: Book, owner: str = "Ida Brandvold") -> int:
    added = book.owners.add(name=owner, phones=a_phone("01632 960107"), email="", on=TODAY)
    return book.machines.add(owner_id=added.id, model="heron-3", serial="H3", on=TODAY)


def test_owners_machines_reports_and_services_come_back_as_they_were_written(path: Path) -> None:
    reports = [read_report(words, TODAY - timedelta(days=at)) for at, words in enumerate(PHRASES)]
    findings = (
        Finding(point="belt-inspect", found=(Found.WORN, Found.PACKED), left=Left.PART_ORDERED),
        Finding(point="hook-race-oil", done=False),
    )
    with transaction(path, writing=True) as book:
        machine_id = a_machine(book)
        for report in reports:
            book.reports.add(machine_id, report)
        later = book.services.add(machine_id, ServiceRecord(id=0, on=TODAY, findings=findings))
        earlier = book.services.add(
            machine_id, ServiceRecord(id=0, on=date(2025, 2, 28), findings=())
        )
    with transaction(path, writing=False) as book:
        [machine] = book.machines.all()
        assert book.owners.all() == {
            1: Owner(id=1, name="Ida Brandvold", phones=a_phone("01632 960107"), email="")
        }
    assert machine.owner == Owner(
        id=1, name="Ida Brandvold", phones=a_phone("01632 960107"), email=""
    )
    assert (machine.number, machine.model, machine.serial, machine.added_on) == (
        "M-001",
        "heron-3",
        "H3",
        TODAY,
    )
    # in the order of their days, not of writing
    assert list(machine.reports) == reports[::-1]
    assert [(service.id, service.on) for service in machine.services] == [
        (earlier, date(2025, 2, 28)),
        (later, TODAY),
    ]
    assert machine.services[1].findings == findings


def test_calls_come_back_until_they_are_closed(path: Path) -> None:
    with transaction(path, writing=True) as book:
        first, second = a_machine(book), a_machine(book)
        wanted = [(first, date(2027, 1, 4)), (second, date(2027, 1, 20))]
        kept = book.calls.add(
            1, about=CallAbout.SERVICE, on=date(2026, 12, 21), services=wanted, made_on=TODAY
        )
        other = book.calls.add(
            2,
            about=CallAbout.SETTLING_IN,
            on=date(2026, 12, 1),
            services=[(first, date(2027, 1, 4))],
            made_on=TODAY,
        )
        book.calls.close(other, on=TODAY, by="withdrawn")
    assert call_stamps(path, kept) == (TODAY, TODAY, 0)
    with transaction(path, writing=True) as book:
        [call] = book.calls.open()
        assert (call.id, call.owner_id, call.on) == (kept, 1, date(2026, 12, 21))
        assert call.services == tuple(wanted)
        book.calls.move(
            kept, on=date(2026, 12, 7), services=wanted[1:], changed_on=TODAY + timedelta(days=1)
        )
    with transaction(path, writing=False) as book:
        [call] = book.calls.open()
    assert (call.on, call.services) == (date(2026, 12, 7), tuple(wanted[1:]))
    assert call_stamps(path, kept) == (TODAY, TODAY + timedelta(days=1), 1)


def test_an_error_within_a_transaction_leaves_nothing_of_it(path: Path) -> None:
    before = rows_in(path)
    with pytest.raises(ZeroDivisionError), transaction(path, writing=True) as book:
        a_machine(book)
        raise ZeroDivisionError
    assert rows_in(path) == before


def test_a_machine_of_nobody_is_refused_and_nothing_is_kept(path: Path) -> None:
    before = rows_in(path)
    with pytest.raises(BookFault, match="FOREIGN KEY"), transaction(path, writing=True) as book:
        a_machine(book)
        book.machines.add(owner_id=99, model="heron-3", serial="", on=TODAY)
    assert rows_in(path) == before


def test_the_book_keeps_a_log_ahead_writes_through_to_the_disk_and_holds_its_rows_together(
    path: Path,
) -> None:
    engine, _ = opening.open_book(path, writing=False)
    with engine.connect() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "foreign_keys", "synchronous")
        }
    assert found == {"journal_mode": "wal", "foreign_keys": 1, "synchronous": 2}


def test_only_its_user_can_look_into_a_shop(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        shop = make_shop(tmp_path / "shop", TODAY)
        add_owner(shop, name="Ida", phone="", email="")
        with transaction(shop.folder / "shop.db", writing=True):
            modes = {
                path.name: stat.S_IMODE(path.stat().st_mode)
                for path in [shop.folder, *shop.folder.iterdir()]
            }
    finally:
        os.umask(before)
    folders = dict.fromkeys(("shop", "points", "templates", "out"), 0o700)
    assert modes == folders | dict.fromkeys(
        ("shop.toml", "shop.db", "shop.db-wal", "shop.db-shm"), 0o600
    )


def test_a_book_is_made_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(connection: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(schema.metadata, "create_all", no_room)
    with pytest.raises(BookFault, match="No space left on device"):
        opening.make_book(tmp_path / "shop.db", namespace=NAMESPACE)
    assert list(tmp_path.iterdir()) == []


def test_a_book_that_is_there_is_never_made_anew(path: Path) -> None:
    before = rows_in(path)
    with pytest.raises(BookFault, match="already"):
        opening.make_book(path, namespace="another")
    assert rows_in(path) == before


@pytest.mark.parametrize("name", ["a?b", "a#b", "100%25", "it's mine", "ä ö", ":memory:"])
def test_the_book_lies_in_the_shop_folder_whatever_that_is_called(
    name: str, tmp_path: Path
) -> None:
    shop = make_shop(tmp_path / name, TODAY)
    add_owner(shop, name="Ida", phone="", email="")
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert "'Ida'" in "".join(rows_in(tmp_path / name / "shop.db"))


@pytest.mark.parametrize("name", ["shop", "a?b", "a#b", "100%25", "ä ö"])
def test_a_shop_in_which_nothing_can_be_written_can_be_looked_at(
    name: str, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = make_shop(tmp_path / name, TODAY)
    add_owner(shop, name="Ida", phone="", email="")
    asked = os.access
    monkeypatch.setattr(
        os,
        "access",
        lambda path, mode: (
            asked(path, mode) and not (mode == os.W_OK and Path(path) == shop.folder)
        ),
    )
    before = {file.name for file in shop.folder.iterdir()}
    opened: list[str] = []

    def create_engine(url: str, **how: Any) -> Engine:
        opened.append(str(url))
        return sqlalchemy.create_engine(url, **how)

    monkeypatch.setattr(engines, "create_engine", create_engine)
    assert "Ida" in run("owner", "list", shop=shop.folder).stdout
    assert any("immutable=1" in url for url in opened)
    assert {file.name for file in shop.folder.iterdir()} == before


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        # a report of which nothing can be made, and where it is
        (
            "UPDATE report SET understood = '{\"rate\": [5'",
            "M-001: the report of 2026-11-25 is damaged",
        ),
        ("UPDATE report SET understood = '[]'", "M-001: the report of 2026-11-25 is damaged"),
        (
            "UPDATE report SET understood = '{\"rate\": 5}'",
            "M-001: the report of 2026-11-25 is damaged",
        ),
        (
            'UPDATE report SET understood = \'{"zigzag_share": "1/0"}\'',
            "M-001: the report of 2026-11-25 is damaged",
        ),
        ("UPDATE report SET said_on = 'Tuesday'", "the day of a report is damaged"),
        ("UPDATE report SET said_on = 20261125", "the day of a report is damaged"),
        # other rows
        ("UPDATE service SET done_on = ''", "the day of a service is damaged"),
        ("UPDATE service_point SET found = 'fine'", 'noted of point "belt-inspect" is damaged'),
        ("UPDATE service_point SET found = x''", '"found" in table "service_point" is damaged'),
        ("UPDATE machine SET owner_id = 99", "M-001: its owner is damaged"),
        (
            "UPDATE machine SET model = 'heron-4'",
            'M-001: model "heron-4": there is no such model; did you mean heron-3',
        ),
        ("UPDATE call SET call_on = 'soon'", "the day of a call is damaged"),
        ("UPDATE call SET about = 'the weather'", "what call 1 is about is damaged"),
        (
            "INSERT INTO outcome VALUES (1, 1, NULL, 'the weather', '2026-11-25', 'reached',"
            " NULL, '', '')",
            "what came of the call of 2026-11-25 is damaged",
        ),
        ("UPDATE owner SET reached_by = 'drum'", "OW-001: what this owner can do is damaged"),
        (
            "INSERT INTO shortened VALUES (1, 'belt-inspect', '1/0', NULL, '2026-11-25', 'dry',"
            " '2026-11-25')",
            'the shorter interval of point "belt-inspect" is damaged',
        ),
        (
            "INSERT INTO shortened VALUES (1, 'belt-inspect', NULL, 'few', '2026-11-25', 'dry',"
            " '2026-11-25')",
            '"days" in table "shortened" is damaged',
        ),
        ("UPDATE owner SET name = x'4964'", '"name" in table "owner" is damaged'),
        ("UPDATE meta SET value = '0' WHERE key = 'version'", "names no schema version"),
        ("UPDATE meta SET value = x'34' WHERE key = 'version'", "names no schema version"),
        (
            "UPDATE meta SET value = 'x' WHERE key = 'namespace'",
            "the namespace of its calendar is damaged",
        ),
        (
            "UPDATE meta SET value = x'4964' WHERE key = 'namespace'",
            "the namespace of its calendar is damaged",
        ),
        (
            "DELETE FROM meta WHERE key = 'namespace'",
            "the namespace of its calendar is damaged",
        ),
        # the book as a whole
        (
            "UPDATE meta SET value = '9' WHERE key = 'version'",
            "was written by a newer oilchart (schema 9, this one knows 7); update oilchart",
        ),
        ("UPDATE meta SET value = 'two' WHERE key = 'version'", "names no schema version"),
        ("DELETE FROM meta", "names no schema version"),
        ("DROP TABLE service_point", "no such table: "),
    ],
)
def test_a_damaged_or_newer_book_is_refused_in_one_line_and_left_as_it_is(
    damage: str, said: str, fresh_shop: Shop, run: Run
) -> None:
    add_owner(fresh_shop, name="Ida", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    record_use(fresh_shop, "M-001", "5 hours a week", TODAY)
    record_service(fresh_shop, "M-001", TODAY, found=[("belt-inspect", (Found.WORN,))])
    assert run("calendar", shop=fresh_shop.folder).exit_code == 0
    change(fresh_shop.folder / "shop.db", damage)
    before = rows_in(fresh_shop.folder / "shop.db")
    result = run("calendar", shop=fresh_shop.folder)
    assert (result.exit_code, result.stdout) == (1, "")
    assert result.stderr.startswith("oilchart: ") and result.stderr.count("\n") == 1
    assert said in result.stderr
    assert rows_in(fresh_shop.folder / "shop.db") == before


@pytest.mark.parametrize(
    "content",
    [
        b"",  # as a full disk leaves it
        b"These are my notes, not a book.\n" * 400,
        b"SQLite format 3\x00" + bytes(4080),
        ANOTHER_BOOK,
    ],
    ids=["empty", "text", "zeros", "another program's"],
)
def test_a_file_that_is_no_book_is_refused_in_one_line_and_left_as_it_is(
    content: bytes, fresh_shop: Shop, run: Run
) -> None:
    book = fresh_shop.folder / "shop.db"
    book.write_bytes(content)
    for command in (["owner", "list"], ["owner", "add", "Ida"]):
        result = run(*command, shop=fresh_shop.folder)
        assert (result.exit_code, result.stdout) == (1, "")
        assert (
            result.stderr.startswith(f"oilchart: {book}: cannot be read as a shop book: ")
            and result.stderr.count("\n") == 1
        )
        assert book.read_bytes() == content


def test_a_book_cut_off_in_the_middle_is_refused_in_one_line(demo_shop: Shop, run: Run) -> None:
    book = demo_shop.folder / "shop.db"
    book.write_bytes(book.read_bytes()[:50_000])
    result = run("due", shop=demo_shop.folder)
    assert (result.exit_code, result.stdout) == (1, "")
    assert (
        result.stderr
        == f"oilchart: {book}: cannot be read as a shop book: database disk image is malformed; "
        f"bring back a copy of it\n"
    )


def test_who_waits_too_long_for_another_program_is_told_to_try_again(
    fresh_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engines, "WAIT_SECONDS", 0.05)
    book = fresh_shop.folder / "shop.db"
    with closing(sqlite3.connect(book, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        result = run("owner", "add", "Ida", shop=fresh_shop.folder)
        assert result.exit_code == 1
        assert (
            result.stderr
            == f"oilchart: {book}: another program is writing to it; nothing was changed; try "
            f"again\n"
        )
        # reading goes on meanwhile
        assert run("owner", "list", shop=fresh_shop.folder).exit_code == 0
        other.execute("ROLLBACK")
    assert run("owner", "add", "Ida", shop=fresh_shop.folder).stdout == "OW-001 Ida\n"


def test_programs_that_write_at_once_lose_nothing(fresh_shop: Shop, tries: int) -> None:
    names = ("Ida", "Owen", "Olga", "Bea")
    adds_owners = f"""
import sys
from oilchart.cli import main
for number in range({tries // len(names)}):
    try:
        main(["--shop", {str(fresh_shop.folder)!r}, "owner", "add", f"{{sys.argv[1]}} {{number}}"])
    except SystemExit as done:
        assert done.code == 0
"""
    programs = [
        subprocess.Popen(
            [sys.executable, "-c", adds_owners, name], stdout=subprocess.PIPE, text=True
        )
        for name in names
    ]
    said = [program.communicate(timeout=300)[0].splitlines() for program in programs]
    assert [program.returncode for program in programs] == [0] * len(names)
    wanted = {f"{name} {number}" for name in names for number in range(tries // len(names))}
    kept = [f"{owner.number} {owner.name}" for owner, _ in all_owners(fresh_shop)]
    assert sorted(line for lines in said for line in lines) == sorted(kept)
    assert {line.split(" ", 1)[1] for line in kept} == wanted
    with closing(sqlite3.connect(fresh_shop.book_path)) as book:
        assert book.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


@pytest.mark.parametrize("lines", [1, 4, 9])
def test_what_was_confirmed_outlives_a_kill_in_the_middle_of_writing(
    lines: int, fresh_shop: Shop
) -> None:
    writes_without_end = f"""
from datetime import date
from pathlib import Path
from oilchart.core.records.machine_record import NewMachine
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.shop import machines, owners
from oilchart.shop.bench import services
from oilchart.shop.folder import Shop
shop = Shop(Path({str(fresh_shop.folder)!r}), date(2026, 11, 25))
number = 0
while True:
    number += 1
    with shop.book(writing=True) as book:
        owners.add(book, shop, owners.NewOwner(name=f"Owner {{number}}"))
    with shop.book(writing=True) as book:
        machines.add(book, shop, f"OW-{{number:03}}", NewMachine(model="heron-3"))
    with shop.book(writing=True) as book:
        served = machines.found(book, f"M-{{number:03}}")
        kept = services.record(book, shop, served, shop.today, ServiceNotes())
    print(number, len(kept.told.service.findings), flush=True)
"""
    program = subprocess.Popen(
        [sys.executable, "-c", writes_without_end], stdout=subprocess.PIPE, text=True
    )
    assert program.stdout is not None
    for _ in range(lines):
        program.stdout.readline()
    program.send_signal(signal.SIGKILL)
    confirmed = lines + len(program.stdout.read().splitlines())
    program.stdout.close()
    assert program.wait() == -signal.SIGKILL
    points = len(fresh_shop.library.point_list("heron-3").points)
    kept = [
        len(service.findings)
        for machine in all_machines(fresh_shop)
        for service in machine.services
    ]
    assert len(kept) >= confirmed
    assert set(kept) == {points}  # no service without its points
    assert add_owner(fresh_shop, name="Ida", phone="", email="").name == "Ida"


def test_a_shop_that_was_killed_while_it_was_made_can_be_made_again(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    made = make_shop(folder, TODAY)
    whole = (folder / "shop.toml").read_bytes()
    (folder / "shop.db").unlink()
    (folder / "shop.toml").write_bytes(whole[:20])
    assert all_owners(make_shop(folder, TODAY)) == []
    assert (folder / "shop.toml").read_bytes() == whole
    # settings of one's own are no leftovers
    (folder / "shop.db").unlink()
    (folder / "shop.toml").write_text('name = "Mine"\n', encoding="utf-8")
    with pytest.raises(BookFault, match="there is a shop already"):
        make_shop(folder, TODAY)
    assert (folder / "shop.toml").read_text(encoding="utf-8") == 'name = "Mine"\n'
    assert made.folder == folder
