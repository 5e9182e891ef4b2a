"""Any command with any of its options and absurd values: it ends with a code of its own, says why
in one line, and leaves the book as it was or as it says."""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import sqlite3
import tempfile
import unicodedata
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given

from oilchart.cli import main
from oilchart.cli.commands import demo
from oilchart.shop.folder import make_shop
from oilchart.sources.book import schema
from tests.builders.absurd import Line, command_lines, commands
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    check_in,
    record_service,
    record_use,
)
from tests.builders.snapshot import everything_in
from tests.builders.writes import places_written
from tests.counts import counted

REFUSED = (1, 2)
DEVICES = {Path("/dev/full"), Path("/dev/null")}
CALLS = {"call", "call_service"}
# the tables that a command may write; one that is not named here only reads
TABLES = {
    "owner add": {"owner", "phone", "note"},
    "owner edit": {"owner", "phone", "note"},
    "machine add": {"machine", "note"},
    "owner merge": {"owner", "machine", "outcome", "note", "handing_on", *CALLS},
    "machine edit": {
        "machine", "shortened", "note", "without_point", "report", "unsafe_mark", *CALLS,
    },
    "machine gone": {"machine", "booking", *CALLS},
    "machine back": {"machine", "owner"},
    "machine handed-on": {"machine", "handing_on", "report", "job", "note", "booking", *CALLS},
    "use": {"report"},
    "checkin": {"job", "machine", "report", "booking", "unsafe_mark"},
    "bench": {"job"},
    "waiting": {"job", "part", "question"},
    "part-arrived": {"part"},
    "photo": {"photo"},
    "ready": {"job", "part"},
    "collected": {"job"},
    "serviced": {
        "service", "service_point", "shortened", "machine", "booking", "note", "unsafe_mark",
        "electrical_check", "job", *CALLS,
    },
    "service edit": {"service", "service_point", "electrical_check", "booking", *CALLS},
    "stay edit": {"job"},
    "unsafe": {"unsafe_mark"},
    "safe": {"unsafe_mark"},
    "fixed": {"repair", "repair_point", "part", "job"},
    "electrical": {"electrical_check", "unsafe_mark"},
    "calls": CALLS,
    "called": {"outcome", "booking", "machine", "owner", "phone", "unsafe_mark", *CALLS},
    "board": CALLS,
    "calendar": {"booking", "closure", "calendar_entry", *CALLS},
    "letters": CALLS,
    "clock": {*schema.metadata.tables} - {"meta"},
    "undo": {*schema.metadata.tables} - {"meta"},
}  # fmt: skip

# what was changed, by whatever, and which papers were printed
KEPT = {"change", "change_row", "counter", "paper"}


@pytest.fixture(scope="session")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a shop of two owners and three machines, what is read from beside it, and what
    stands in the way."""
    commands()  # loaded here: what they load draws by chance, too
    desk = tmp_path_factory.mktemp("absurd") / "desk"
    desk.mkdir()
    shop = make_shop(desk / "shop", TODAY)
    add_owner(shop, name="Ida Brandvold", phone="020 7946 0107")
    add_owner(shop, name="Ole Late")
    for owner, model in (
        ("OW-001", "heron-3"), ("OW-002", "velmora-7"), ("OW-002", "family-straight-treadle")
    ):  # fmt: skip
        add_machine(shop, owner=owner, model=model)
    for machine in ("M-001", "M-002"):
        record_use(shop, machine, "5-8 hours a week; idle Jul-Aug", date(2026, 1, 10))
        record_service(shop, machine, date(2026, 2, 10))
    check_in(shop, "M-002", "makes loops underneath", date(2026, 11, 20))
    with contextlib.chdir(desk):
        for words in (["calls"], ["calendar", "-o", "moved.ics"]):
            CliRunner().invoke(main, ["--shop", "shop", "--today", str(TODAY), *words])
    moved = (desk / "moved.ics").read_bytes()
    (desk / "moved.ics").write_bytes(re.sub(rb"(DTSTART[^:]*):\d{8}", rb"\1:99991231", moved))
    (desk / "findings.json").write_text(
        json.dumps(
            {
                "kind": "oilchart findings", "version": 1, "model": "heron-3",
                "machine": "M-001", "day": "2026-11-25", "done": ["hook-race-oil"],
                "found": {"hook-race-oil": ["dry"]}, "left": {}, "note": "\x1b]0;pwn\x07",
            }
        ),
        encoding="utf-8",
    )  # fmt: skip
    (desk / "list.toml").write_text(f'name = "{"q" * 10_000}"\nmaker = 1\n', encoding="utf-8")
    (desk / "folder").mkdir()
    (desk / "circle").symlink_to("circle")
    (desk / "nowhere").symlink_to("not/there")
    return desk


@pytest.fixture(scope="session")
def demos_are_quick() -> Iterator[None]:
    """A demo whose papers are none: all of them take seconds."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(demo, "_add_papers", lambda *_: ["no paper"])
        yield


def tables_of(book: Path) -> dict[str, list[tuple[object, ...]]]:
    """The rows of a book by table, in the order they were kept."""
    with closing(sqlite3.connect(book)) as connection:
        return {
            name: connection.execute(f'SELECT * FROM "{name}"').fetchall()
            for name in schema.metadata.tables
        }


@counted
@given(lines=command_lines())
@pytest.mark.usefixtures("demos_are_quick")
def test_absurd_values_end_in_a_line_and_leave_the_book_as_it_was_or_as_it_is_said(
    lines: list[Line], desk: Path
) -> None:
    with tempfile.TemporaryDirectory(dir=desk.parent.parent) as folder:
        here = Path(folder, "desk")
        shutil.copytree(desk, here, symlinks=True)
        for name, words in lines:
            before, rows = everything_in(here), tables_of(here / "shop" / "shop.db")
            with contextlib.chdir(here), places_written() as places:
                result = CliRunner(catch_exceptions=False).invoke(main, words, prog_name="oilchart")
            assert result.exit_code in (0, *REFUSED) or is_due(words, result.exit_code)
            now = tables_of(here / "shop" / "shop.db")
            assert {table for table in now if now[table] != rows[table]} <= TABLES.get(
                name, set()
            ) | KEPT
            assert {each for each in places if not each.is_relative_to(folder)} <= DEVICES
            assert list(here.rglob(".oilchart-*")) == []
            shown = result.stderr if {"-", "--out=-"} & {*words} else result.output
            assert {sign for sign in shown if unicodedata.category(sign) == "Cc"} <= {"\n", "\t"}
            if result.exit_code in REFUSED:
                said = result.stderr.splitlines()
                assert is_refusal(said), said
                is_recorded = any(each.startswith("oilchart: recorded; ") for each in said)
                assert (now != rows) == is_recorded, said
                assert is_recorded or everything_in(here) == before


def is_due(words: list[str], code: int) -> bool:
    """Whether this is the exit code of `due` where something is."""
    return code == 3 and "--exit-code" in words


def is_refusal(said: list[str]) -> bool:
    """Whether it is said why a run ends: in one line, but that each fault of a list has one, and
    words that cannot be read are shown below it with the place."""
    refused = [at for at, each in enumerate(said) if each.startswith("oilchart: ")]
    below = said[refused[-1] + 1 :] if refused else []
    return len(refused) == 1 and (
        all(each.startswith("    ") for each in below)
        or all(re.match(r"[^ :]+\.toml: ", each) for each in below)
    )


def test_every_command_and_table_that_is_named_here_is_one() -> None:
    assert set(TABLES) <= {name for name, _ in commands()}
    assert set().union(*TABLES.values()) <= set(schema.metadata.tables)
