"""One command, one outcome: what a command records and what it says agree, whatever is in the way
of its papers, of the book or of its answer."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy.engine.default import DefaultDialect

from oilchart.cli import batch
from oilchart.shop.folder import Shop
from tests.builders.commands import besides_change
from tests.builders.make import TODAY
from tests.builders.shop_steps import all_machines, all_owners
from tests.builders.snapshot import everything_in, rows_in
from tests.conftest import Run

NO_ROOM = "No space left on device"


def no_room(*_: object) -> None:
    raise OSError(28, NO_ROOM)


def no_room_in_the_book(*_: object) -> None:
    error = sqlite3.OperationalError("database or disk is full")
    error.sqlite_errorcode = sqlite3.SQLITE_FULL
    raise error


def is_in_shop(shop: Shop, number: str) -> bool:
    [record] = [each for each in all_machines(shop) if each.number == number]
    return record.open_job is not None


# the tag of a check-in


def test_a_check_in_whose_tag_cannot_be_written_is_recorded_and_says_how_to_print_it(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    out = demo_shop.folder / "out"
    out.rmdir()
    out.write_text("no folder", encoding="utf-8")
    words = ("checkin", "M-001", "smells hot", "--use", "9 hours a week")
    result = run(*words, shop=demo_shop.folder)
    assert result.exit_code == 1
    assert result.stdout.startswith("M-001 Heron 3, Ida Brandvold: in the shop since 2026-11-25")
    assert besides_change(result.stderr) == (
        f"oilchart: recorded; the tag could not be written: {out}/M-001-tag.pdf: Not a directory; "
        "print it with: oilchart tag M-001\n"
    )
    assert is_in_shop(demo_shop, "M-001")
    out.unlink()
    assert run("tag", "M-001", shop=demo_shop.folder).stderr == f"wrote {out}/M-001-tag.pdf\n"


def test_the_tag_printed_once_more_is_that_of_the_check_in(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    words = ("checkin", "M-001", "smells hot", "--left", "pedal", "-o", "first.pdf")
    assert run(*words, shop=demo_shop.folder).exit_code == 0
    assert run("tag", "brandvold", "-o", "again.pdf", shop=demo_shop.folder).exit_code == 0
    first, again = ((tmp_path / f"{name}.pdf").read_bytes() for name in ("first", "again"))
    assert first.startswith(b"%PDF-")
    assert first == again


def test_a_machine_that_is_not_in_the_shop_has_no_tag(demo_shop: Shop, run: Run) -> None:
    refused = run("tag", "M-001", shop=demo_shop.folder)
    assert (refused.exit_code, refused.stderr) == (
        1,
        "oilchart: M-001: is not in the shop; note that it came in first: oilchart checkin\n",
    )
    assert list((demo_shop.folder / "out").iterdir()) == []


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ('[paper]\nlogo = "missing.png"\n', "missing.png"),
        ('[paper]\nfallback_fonts = ["broken.ttf"]\n', "broken.ttf"),
        ('[paper]\ncolour = "mauve"\n', "mauve"),
    ],
    ids=["a logo that is missing", "a font that is broken", "a colour that is none"],
)
def test_what_is_wrong_in_the_settings_is_met_before_a_check_in_is_recorded(
    settings: str, said: str, demo_shop: Shop, run: Run
) -> None:
    (demo_shop.folder / "broken.ttf").write_bytes(b"no font")
    with (demo_shop.folder / "shop.toml").open("a", encoding="utf-8") as file:
        file.write(settings)
    before = everything_in(demo_shop.folder)
    refused = run("checkin", "M-001", "smells hot", shop=demo_shop.folder)
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert said in refused.stderr
    assert "recorded" not in refused.stderr
    assert everything_in(demo_shop.folder) == before


@pytest.mark.parametrize(
    "words",
    [
        "checkin M-001 squeaks",
        "collected M-012",
        "ready M-012 --nothing-done",
        "waiting M-012 belt",
        "electrical M-012 --by Amsel --pass",
    ],
)
def test_a_list_with_a_fault_is_met_before_anything_is_recorded(
    words: str, demo_shop: Shop, run: Run
) -> None:
    number = words.split()[1]
    [record] = [each for each in all_machines(demo_shop) if each.number == number]
    models = demo_shop.folder / "points" / "models"
    models.mkdir()
    (models / f"{record.model}.toml").write_text("name = 3\n", encoding="utf-8")
    before = rows_in(demo_shop.folder / "shop.db")
    refused = run(*words.split(), shop=demo_shop.folder)
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert f"{record.model}.toml" in refused.stderr
    assert rows_in(demo_shop.folder / "shop.db") == before


# papers that leave a trace in the book

PAPERS = [
    "calls -o calls.pdf",
    "calendar -o calls.ics",
    "calendar --services -o services.ics",
    "calendar M-014 -o care.ics",
    "calendar --split -o calls.ics",
    "calendar --all -o calendars",
    "letters --due -o letters.pdf",
    "board -o board.html",
]


@pytest.fixture
def changed_shop(demo_shop: Shop, run: Run) -> Shop:
    """A shop in which a call is wanted sooner than the book has it."""
    assert run("use", "M-006", "30 hours a week", shop=demo_shop.folder).exit_code == 0
    return demo_shop


@pytest.mark.parametrize("words", PAPERS)
@pytest.mark.parametrize(
    ("owner", "call", "trouble", "said"),
    [
        (DefaultDialect, "do_commit", no_room_in_the_book, "database or disk is full; nothing was"),
        (os, "fsync", no_room, f"cannot be written: {NO_ROOM}; nothing was changed; make room"),
    ],
    ids=["the book", "a file"],
)
def test_neither_book_nor_file_is_changed_where_one_of_them_cannot_be(
    owner: object,
    call: str,
    trouble: Callable[..., None],
    said: str,
    words: str,
    changed_shop: Shop,
    run: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = rows_in(changed_shop.folder / "shop.db")
    files = set(tmp_path.rglob("*.*"))
    with monkeypatch.context() as patch:
        patch.setattr(owner, call, trouble)
        result = run(*words.split(), shop=changed_shop.folder)
    assert (result.exit_code, result.stdout, result.stderr.count("\n")) == (1, "", 1)
    assert said in result.stderr
    assert rows_in(changed_shop.folder / "shop.db") == before
    new = {each for each in tmp_path.rglob("*.*") if each.suffix not in (".db-wal", ".db-shm")}
    assert new <= files
    assert run(*words.split(), shop=changed_shop.folder).exit_code == 0
    assert rows_in(changed_shop.folder / "shop.db") != before


def test_a_file_that_cannot_take_its_place_any_more_is_told_as_recorded_and_numbers_go_on(
    changed_shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = rows_in(changed_shop.folder / "shop.db")
    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", no_room)
        result = run("calendar", "-o", "c.ics", shop=changed_shop.folder)
    assert (result.exit_code, result.stdout, besides_change(result.stderr)) == (
        1,
        "",
        f"oilchart: recorded; c.ics: cannot be written: {NO_ROOM}; "
        "make room on the disk, or name a file on another\n",
    )
    kept = rows_in(changed_shop.folder / "shop.db")
    assert kept != before
    assert list(tmp_path.glob("*c.ics*")) == []
    assert run("calendar", "-o", "c.ics", shop=changed_shop.folder).exit_code == 0
    assert rows_in(changed_shop.folder / "shop.db") == kept
    assert b"SEQUENCE:0" in (tmp_path / "c.ics").read_bytes()


def test_of_many_files_those_that_were_written_before_a_failure_are_counted(
    demo_shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch, "MOST_READY", 5)
    (tmp_path / "cards" / "M-009-card.pdf").mkdir(parents=True)
    result = run("card", "--all", "-o", "cards", shop=demo_shop.folder)
    assert result.exit_code == 1
    assert result.stderr.splitlines()[-1] == (
        "oilchart: cards/M-009-card.pdf: cannot be written: Is a directory; 8 before it written; "
        "name a file you may write to"
    )
    assert len(list((tmp_path / "cards").iterdir())) == 9
    (tmp_path / "cards" / "M-009-card.pdf").rmdir()
    result = run("card", "--all", "-o", "cards", shop=demo_shop.folder)
    assert (result.exit_code, result.stderr.splitlines()[-1]) == (0, "wrote 18 cards to cards")
    assert len(list((tmp_path / "cards").iterdir())) == 18


# an answer that nobody can be given


def said_to(stdout: int, shop: Shop, *words: str) -> tuple[int, str]:
    """The exit code of the program and what it says on stderr."""
    done = subprocess.run(
        [sys.executable, "-m", "oilchart", "--shop", shop.folder, "--today", str(TODAY), *words],
        stdout=stdout,
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
        check=False,
    )
    return done.returncode, besides_change(done.stderr)


def test_what_is_recorded_is_told_so_where_its_answer_cannot_be_written(demo_shop: Shop) -> None:
    unsaid = "oilchart: recorded; what was to be said could not be written to stdout: "
    with Path("/dev/full").open("wb") as full:
        said = said_to(full.fileno(), demo_shop, "owner", "add", "Ida Late")
        assert said == (1, f"{unsaid}{NO_ROOM}\n")
        said = said_to(full.fileno(), demo_shop, "owner", "list")
        remedy = "make room on the disk, or choose a file on another"
        assert said == (1, f"oilchart: stdout: cannot be used: {NO_ROOM}; {remedy}\n")
    reading, writing = os.pipe()
    os.close(reading)
    said = said_to(writing, demo_shop, "owner", "add", "Ida Later")
    assert said == (1, f"{unsaid}Broken pipe\n")
    assert said_to(writing, demo_shop, "owner", "list") == (1, "")
    os.close(writing)
    assert [owner.name for owner, _ in all_owners(demo_shop)][-2:] == ["Ida Late", "Ida Later"]
