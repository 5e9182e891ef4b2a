"""The command line among other programs: whole files or none, the same bytes whatever the clock,
quiet pipes and quick help."""

from __future__ import annotations

import contextlib
import json
import os
import pty
import re
import resource
import shlex
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import all_owners
from tests.builders.snapshot import everything_in
from tests.conftest import Run

PROGRAM = [sys.executable, "-m", "oilchart"]
OF_PAPERS = ["icalendar", "jinja2", "reportlab"]
HEAVY = [*OF_PAPERS, "rich", "sqlalchemy"]


def program(*words: object, **options: Any) -> subprocess.CompletedProcess[str]:
    """Run the program as others do."""
    done: subprocess.CompletedProcess[str] = subprocess.run(
        [*PROGRAM, *map(str, words)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        **options,
    )
    return done


# the same bytes


@pytest.fixture(scope="module")
def demos(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[Path, str]]:
    """The demo made at one moment in two time zones, where it is never the same day: its folder,
    and what was said."""
    running = []
    for seed, zone in enumerate(["Pacific/Kiritimati", "Etc/GMT+12"]):
        home = tmp_path_factory.mktemp("home")
        environment = os.environ | {"TZ": zone, "PYTHONHASHSEED": str(seed)}
        making = subprocess.Popen(
            [*PROGRAM, "demo", "a demo"],
            cwd=home,
            env=environment,
            stdout=subprocess.PIPE,
            encoding="utf-8",
        )
        running.append((home / "a demo", making))
    return [(folder, making.communicate(timeout=60)[0]) for folder, making in running]


def test_the_demo_and_its_papers_are_the_same_to_the_byte_in_any_time_zone_and_with_any_hash_seed(
    demos: list[tuple[Path, str]],
) -> None:
    (east, said_east), (west, said_west) = ((everything_in(folder), said) for folder, said in demos)
    assert said_east == said_west
    assert list(east) == list(west)
    assert [name for name in east if east[name] != west[name]] == []
    assert len([name for name in east if name.startswith("out/")]) == 44


def test_the_demo_writes_every_paper_and_says_who_is_due_and_what_to_do_next(
    demos: list[tuple[Path, str]], run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, said = demos[0]
    monkeypatch.chdir(folder.parent)
    begins = {
        ".pdf": b"%PDF-",
        ".ics": b"BEGIN:VCALENDAR\r\n",
        ".html": b"<!doctype html>",
        ".json": b"{",
    }
    papers = sorted((folder / "out").iterdir())
    assert [
        path.name
        for path in papers
        if not path.read_bytes().lstrip().lower().startswith(begins[path.suffix].lower())
    ] == []
    kinds = [path.suffix for path in papers]
    assert {kind: kinds.count(kind) for kind in begins} == {
        ".pdf": 21,
        ".ics": 1,
        ".html": 4,
        ".json": 18,
    }
    row = "▲ overdue M-003 Heron 3 Nguyễn Thị Bích 020 7946 0118 2026-07-01 -147 sure use"
    assert row in " ".join(said.split())
    assert "14 owners, 18 machines: 3 overdue, 1 first service, " in said
    assert (
        "17 care cards, the bench checklists of 3 models (paper and screen) and of M-003, 18 "
        "schedules (JSON), "
        "a calendar of 12 calls and a board for the wall." in said
    )
    advised = re.findall(r"oilchart (--shop .*)", said)
    assert len(advised) == 3
    for line in advised:
        assert run(*shlex.split(line), today=None).exit_code == 0


@pytest.mark.parametrize(
    "words", ["card M-002", "checklist M-002", "calendar", "card --model heron-3 --use none"]
)
def test_a_paper_made_again_is_the_same_to_the_byte(
    words: str, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    made = []
    for name in ("once", "again"):
        assert run(*words.split(), "-o", name, shop=demo_shop.folder).exit_code == 0
        made.append((tmp_path / name).read_bytes())
    assert made[0] == made[1]
    assert len(made[0]) > 1000


# whole files or none


def no_room(*_: object) -> None:
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("call", ["fsync", "replace"], ids=["a full disk", "a refused rename"])
def test_a_file_that_cannot_be_written_whole_is_left_as_it_was(
    call: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "card.pdf").write_bytes(b"the old card")
    monkeypatch.setattr(os, call, no_room)
    result = run("card", "--model", "heron-3", "-o", "card.pdf")
    assert (result.exit_code, result.stdout, result.stderr) == (
        1,
        "",
        "oilchart: card.pdf: cannot be written: No space left on device; nothing was changed; "
        "make room on the disk, or name a file on another\n",
    )
    assert everything_in(tmp_path) == {"card.pdf": b"the old card"}


def test_a_disk_that_fills_up_half_way_leaves_the_old_file_and_no_part_of_the_new(
    tmp_path: Path,
) -> None:
    (tmp_path / "card.pdf").write_bytes(b"the old card")
    result = program(
        "card", "--model", "heron-3", "-o", "card.pdf",
        cwd=tmp_path,
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096)),
    )  # fmt: skip
    assert (result.returncode, result.stdout) == (1, "")
    assert (
        result.stderr
        == "oilchart: card.pdf: cannot be written: File too large; nothing was changed; name a "
        "file you may write to\n"
    )
    assert everything_in(tmp_path) == {"card.pdf": b"the old card"}


def test_a_file_behind_a_link_is_written_and_the_link_stays(run: Run, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "card.pdf").symlink_to(tmp_path / "elsewhere" / "card.pdf")
    for _ in range(2):
        assert run("card", "--model", "heron-3", "-o", "card.pdf").exit_code == 0
        assert (tmp_path / "card.pdf").is_symlink()
        assert (tmp_path / "elsewhere" / "card.pdf").read_bytes().startswith(b"%PDF-")


def test_a_pipe_is_written_into_and_never_replaced(tmp_path: Path) -> None:
    fifo = tmp_path / "card.pdf"
    os.mkfifo(fifo)
    with subprocess.Popen(["cat", str(fifo)], stdout=subprocess.PIPE) as reading:
        result = program("card", "--model", "heron-3", "-o", fifo)
        written = result.returncode, fifo.is_fifo()
        if written != (0, True):
            reading.kill()  # else it waits for a writer for ever
        assert written == (0, True)
        assert reading.communicate(timeout=10)[0].startswith(b"%PDF-")


def test_only_its_user_can_read_a_paper(run: Run, tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        assert run("card", "--model", "heron-3", "-o", "card.pdf").exit_code == 0
    finally:
        os.umask(before)
    assert (tmp_path / "card.pdf").stat().st_mode & 0o777 == 0o600


# pipes and terminals


@pytest.mark.parametrize("words", ["--help", "models show heron-3", "card --model heron-3 -o -"])
def test_a_reader_who_leaves_early_gets_no_traceback(words: str) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        result = subprocess.run(
            [*PROGRAM, *words.split()],
            stdout=writing,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    finally:
        os.close(writing)
    assert (result.returncode, result.stderr) == (1, "")


@pytest.mark.parametrize("words", ["--help", "models", "card --model heron-3 -o -"])
def test_a_stdout_without_room_is_told_in_one_line(words: str) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        result = subprocess.run(
            [*PROGRAM, *words.split()],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    assert (result.returncode, result.stderr) == (
        1,
        "oilchart: stdout: cannot be used: No space left on device; "
        "make room on the disk, or choose a file on another\n",
    )


def test_a_closed_stdout_does_not_stop_the_work(demo_shop: Shop) -> None:
    line = f'exec "{sys.executable}" -m oilchart --shop "{demo_shop.folder}" "$@" >&-'
    for words in (["due"], ["owner", "add", "Ida Late"]):
        result = subprocess.run(
            ["sh", "-c", line, "sh", *words],
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
        assert result.returncode == 0
        assert "Traceback" not in result.stderr
    assert all_owners(demo_shop)[-1][0].name == "Ida Late"


def test_a_terminal_that_knows_few_letters_gets_question_marks_for_the_others(
    demo_shop: Shop,
) -> None:
    environment = os.environ | {"PYTHONIOENCODING": "cp1252"}
    result = program(
        "--shop", demo_shop.folder, "owner", "list", env=environment, encoding="cp1252"
    )
    assert (result.returncode, result.stderr) == (0, "")
    assert "?ucja Wierzbicka" in result.stdout


def on_a_terminal(*words: str, **environment: str) -> str:
    """What the program writes to a terminal of 200 columns."""
    here, there = pty.openpty()
    kept = {
        key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")
    }
    with subprocess.Popen(
        [*PROGRAM, *words],
        stdout=there,
        stderr=subprocess.DEVNULL,
        env=kept | {"COLUMNS": "200"} | environment,
    ):
        os.close(there)
        written = b""
        while True:
            try:
                piece = os.read(here, 65_536)
            except OSError:  # how a terminal ends on Linux
                break
            if not piece:
                break
            written += piece
    os.close(here)
    return written.decode()


def test_colours_are_only_for_terminals_and_not_where_they_are_forbidden(demo_shop: Shop) -> None:
    words = ["--shop", str(demo_shop.folder), "owner", "list"]
    assert "\x1b[" in on_a_terminal(*words, TERM="xterm")
    plain = on_a_terminal(*words, TERM="xterm", NO_COLOR="1")
    assert "\x1b" not in plain
    assert "Quernhaven Sail Loft" in plain


@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_nothing_that_stands_in_a_book_steers_a_terminal(demo_shop: Shop, encoding: str) -> None:
    steering = "\x1b]0;pwn\x07 \x1b[2J\x9b5m\u202e"
    with contextlib.closing(sqlite3.connect(demo_shop.book_path)) as book:
        book.execute("UPDATE owner SET name = name || ? WHERE id = 1", (steering,))
        book.commit()
    written = on_a_terminal(
        "--shop", str(demo_shop.folder), "--today", str(TODAY), "called", "OW-001", "reached",
        PYTHONIOENCODING=encoding,
    )  # fmt: skip
    assert "OW-001 Ida Brandvold ]0;pwn" in written
    assert not {"\x1b", "\x07", "\x9b", "\u202e"} & set(written)


def test_a_pipe_gets_neither_colours_nor_rules_nor_cut_cells_only_columns_two_blanks_apart(
    demo_shop: Shop, run: Run
) -> None:
    head, *rows = run("due", shop=demo_shop.folder).stdout.splitlines()
    assert head.split() == [
        "State",
        "Machine",
        "Owner",
        "Phone",
        "Wanted",
        "by",
        "Days",
        "Chance",
        "Because",
        "Contact",
    ]
    assert len(rows) == 12
    at = head.index("Owner")
    assert [row[at - 2 : at] for row in rows] == ["  "] * 12
    assert not [row for row in rows if "\x1b" in row or "─" in row or "…" in row]


# quick help


@pytest.mark.parametrize(
    ("words", "light_of"),
    [
        (["--help"], HEAVY),
        (["--version"], HEAVY),
        (["shedule"], HEAVY),
        # a command's own help loads what the command imports
        (["schedule", "--help"], OF_PAPERS),
        (["due", "--wthin", "3d"], OF_PAPERS),
        (["card", "-h"], ["icalendar"]),
    ],
)
def test_help_and_wrong_usage_load_nothing_heavy(words: list[str], light_of: list[str]) -> None:
    """Of a command that is named, its module is loaded, with the book where it reads one: imports
    stand at the top, so its help costs about what loading SQLAlchemy does."""
    source = f"""
import json, sys
from oilchart.cli import main
try:
    main({words!r})
except SystemExit:
    print(json.dumps(sorted(set(sys.modules) & set({light_of!r}))), file=sys.stderr)
"""
    result = subprocess.run(
        [sys.executable, "-c", source], capture_output=True, text=True, timeout=60, check=True
    )
    assert json.loads(result.stderr.splitlines()[-1]) == []


def test_python_m_oilchart_is_the_program() -> None:
    result = program("--help")
    assert result.returncode == 0
    assert result.stdout.startswith("Usage: oilchart [OPTIONS] COMMAND")
    script = shutil.which("oilchart", path=str(Path(sys.executable).parent))
    assert script is not None
    assert (
        subprocess.run(
            [script, "--help"], capture_output=True, text=True, timeout=60, check=True
        ).stdout
        == result.stdout
    )
