"""A run that is told to stop, by Ctrl-C or a signal: it ends at once, in one line that is true, and
leaves no part of a file; a demo that was cut off is begun again."""

from __future__ import annotations

import os
import pty
import random
import re
import signal
import sqlite3
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest

from oilchart.cli.commands import demo
from oilchart.shop.demo.folder import MARK
from oilchart.shop.folder import Shop
from tests.builders.commands import besides_change
from tests.builders.make import TODAY
from tests.builders.shop_steps import all_machines, all_owners
from tests.builders.snapshot import everything_in, rows_in
from tests.builders.struck import with_call
from tests.conftest import Run

PROGRAM = [sys.executable, "-m", "oilchart"]
SIGNALS = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]
NOTHING = "oilchart: stopped; nothing was left half done\n"
PERHAPS = (
    "oilchart: stopped while it was being recorded; look whether it is, before you give it again\n"
)
SOMETHING = "oilchart: stopped after it was recorded\n"
# what stands before the program, to have it stop itself at a moment of its run
STOPS_ITSELF = """
import os, signal, sys
from oilchart.__main__ import run

def stop(*_args, **_options):
    os.kill(os.getpid(), signal.{name})

def before(owner, name):
    do = getattr(owner, name)
    setattr(owner, name, lambda *args, **options: (stop(), do(*args, **options))[1])

def after(owner, name):
    do = getattr(owner, name)
    setattr(owner, name, lambda *args, **options: (do(*args, **options), stop())[0])

{moment}
run()
"""


@contextmanager
def running(
    *words: object, program: list[str] | None = None, **options: Any
) -> Iterator[subprocess.Popen[str]]:
    """The program as others run it; it is gone in the end."""
    options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options}
    with subprocess.Popen(
        [*(program or PROGRAM), *map(str, words)], text=True, **options
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def wait_until(is_so: Callable[[], object]) -> None:
    give_up = time.monotonic() + 30
    while not is_so():
        assert time.monotonic() < give_up
        time.sleep(0.005)


def hears_signals(process: subprocess.Popen[str]) -> bool:
    """Whether it has begun so far that it hears SIGTERM, or has ended."""
    try:
        status = Path(f"/proc/{process.pid}/status").read_text(encoding="utf-8")
    except OSError:
        return True
    caught = re.search(r"SigCgt:\t(\w+)", status)
    return caught is None or bool(int(caught[1], 16) >> (signal.SIGTERM - 1) & 1)


def stopped_at(
    moment: str, *words: object, by: signal.Signals = signal.SIGTERM, **options: Any
) -> tuple[int, str]:
    """How the program ends that is told to stop at a moment of its run: its exit code, and what it
    says on stderr."""
    source = STOPS_ITSELF.format(name=by.name, moment=moment)
    with running(*words, program=[sys.executable, "-c", source], **options) as process:
        return process.wait(60), process.communicate()[1]


def parts_in(folder: Path) -> list[Path]:
    return list(folder.rglob(".oilchart-*"))


# at any moment


def test_at_any_moment_a_signal_ends_a_run_in_one_line_that_is_true(
    demo_shop: Shop, tries: int
) -> None:
    chance = random.Random(12)
    runs = [(f"Owner {at}", SIGNALS[at % 3], chance.uniform(0, 0.6)) for at in range(tries)]

    def stopped(name: str, number: signal.Signals, seconds: float) -> tuple[str, int, str]:
        with running("--shop", demo_shop.folder, "owner", "add", name) as process:
            wait_until(lambda: hears_signals(process))
            time.sleep(seconds)
            process.send_signal(number)
            err = besides_change(process.communicate(timeout=60)[1])
        assert process.returncode in (0, 128 + number), err
        return name, process.returncode, err

    with ThreadPoolExecutor(4) as pool:
        ended = list(pool.map(lambda each: stopped(*each), runs))
    assert {err for _, code, err in ended if code == 0} <= {""}
    assert {err for _, code, err in ended if code} <= {NOTHING, PERHAPS, SOMETHING}
    kept = {record.name for record, _ in all_owners(demo_shop)}
    assert [
        (name, code, err)
        for name, code, err in ended
        if err != PERHAPS and (name in kept) != (code == 0 or err == SOMETHING)
    ] == []
    assert parts_in(demo_shop.folder) == []


BOTH = """
from sqlalchemy.engine.default import DefaultDialect
{when}(DefaultDialect, "{call}")
"""
ON_IMPORT = """
class Stop:
    def find_spec(self, name, *_args):
        if name == "oilchart.cli.program":
            stop()
sys.meta_path.insert(0, Stop())
"""
ON_CLOSING = """
from sqlalchemy.engine.default import DefaultDialect
commit = DefaultDialect.do_commit
def then_stop(*args):
    commit(*args)
    before(DefaultDialect, "do_close")
DefaultDialect.do_commit = then_stop
"""
IN_A_CALLBACK = """
import click, weakref
class Thing: pass
def echo(*_args, **_options):
    thing = Thing()
    weak = weakref.ref(thing, stop)  # an exception would be printed here, and the run go on
    del thing
click.echo = echo
"""


@pytest.mark.parametrize(
    ("moment", "by", "said"),
    [
        (ON_IMPORT, signal.SIGINT, NOTHING),
        (ON_IMPORT, signal.SIGHUP, NOTHING),
        (BOTH.format(when="before", call="do_begin"), signal.SIGTERM, NOTHING),
        (BOTH.format(when="before", call="do_commit"), signal.SIGINT, PERHAPS),
        (BOTH.format(when="after", call="do_commit"), signal.SIGTERM, PERHAPS),
        # where exceptions are printed and swallowed
        (ON_CLOSING, signal.SIGINT, SOMETHING),
        (IN_A_CALLBACK, signal.SIGINT, SOMETHING),
        ("import click; before(click, 'echo')", signal.SIGHUP, SOMETHING),
    ],
    ids=[
        "Ctrl-C while loading",
        "a hangup while loading",
        "before the book is opened",
        "before it is recorded",
        "when it is recorded",
        "when the book is closed",
        "in a callback",
        "before it is said",
    ],
)
def test_the_line_of_a_run_that_is_stopped_is_true(
    moment: str, by: signal.Signals, said: str, demo_shop: Shop
) -> None:
    words = ("--shop", demo_shop.folder, "owner", "add", "Ida Late")
    assert stopped_at(moment, *words, by=by) == (128 + by, said)
    names = [owner.name for owner, _ in all_owners(demo_shop)]
    if said != PERHAPS:
        assert ("Ida Late" in names) == (said == SOMETHING)


@pytest.mark.parametrize(
    ("when", "by"),
    [
        ("before(os, 'fsync')", signal.SIGINT),
        ("before(os, 'replace')", signal.SIGTERM),
        ("before(os, 'replace')", signal.SIGHUP),
    ],
)
def test_a_paper_that_is_being_written_is_as_it_was_and_no_part_is_left(
    when: str, by: signal.Signals, tmp_path: Path
) -> None:
    (tmp_path / "card.pdf").write_bytes(b"the old card")
    words = ("card", "--model", "heron-3", "-o", "card.pdf")
    assert stopped_at(when, *words, by=by, cwd=tmp_path) == (128 + by, NOTHING)
    assert everything_in(tmp_path) == {"card.pdf": b"the old card"}


@pytest.mark.parametrize("number", SIGNALS)
@pytest.mark.parametrize("loading", ["signal", "oilchart.ending", "enum", "contextlib"])
def test_before_it_can_say_a_word_a_signal_ends_the_run_without_one(
    loading: str, number: signal.Signals
) -> None:
    # nothing that it loads is there yet, as Python alone has it
    source = f"""
import posix, sys
class Stop:
    def find_spec(self, name, *_args):
        if name == {loading!r}:
            posix.kill(posix.getpid(), {number:d})
sys.meta_path.insert(0, Stop())
for name in ("signal", "enum", "contextlib"):
    sys.modules.pop(name, None)
from oilchart.__main__ import run
run()
"""
    with running("--version", program=[sys.executable, "-c", source]) as process:
        assert (process.wait(60), process.communicate()) == (-number, ("", ""))


def test_a_signal_that_comes_when_all_is_done_changes_nothing(demo_shop: Shop) -> None:
    at_the_end = "from oilchart import ending; after(ending, 'be_over')"
    words = ("--shop", demo_shop.folder, "waiting", "M-012", "--part", "belt")
    for by in SIGNALS:
        code, said = stopped_at(at_the_end, *words, by=by)
        assert (code, besides_change(said)) == (0, "")
    # later still Python has given up its handlers, and the system would kill it
    ignored = """
from oilchart import ending
end = ending.be_over
def then_look():
    end()
    print(signal.getsignal(signal.SIGTERM) == signal.SIG_IGN, file=sys.stderr)
ending.be_over = then_look
"""
    assert stopped_at(ignored, "--version", stdout=subprocess.DEVNULL) == (0, "True\n")


# while it waits


@pytest.mark.parametrize("by", SIGNALS)
def test_a_run_that_waits_for_a_reader_of_a_pipe_is_stopped_at_once(
    by: signal.Signals, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    assert run("use", "M-006", "30 hours a week", shop=demo_shop.folder).exit_code == 0
    before = rows_in(demo_shop.folder / "shop.db")
    os.mkfifo(tmp_path / "calls.ics")
    shop = ("--shop", demo_shop.folder, "--today", TODAY)
    with running(*shop, "calendar", "-o", tmp_path / "calls.ics") as process:
        # its call is wanted sooner, and kept before the file is written
        wait_until(lambda: rows_in(demo_shop.folder / "shop.db") != before)
        time.sleep(0.05)
        process.send_signal(by)
        assert (process.wait(10), process.communicate()) == (128 + by, ("", SOMETHING))


def test_a_run_that_waits_for_another_program_is_stopped_at_once(demo_shop: Shop) -> None:
    with closing(sqlite3.connect(demo_shop.folder / "shop.db", isolation_level=None)) as book:
        book.execute("BEGIN IMMEDIATE")
        with running("--shop", demo_shop.folder, "owner", "add", "Ida Late") as process:
            wait_until(lambda: "shop.db" in "".join(map(str, open_files(process))))
            time.sleep(0.3)
            process.send_signal(signal.SIGINT)
            assert (process.wait(3), process.communicate()) == (130, ("", NOTHING))


def open_files(process: subprocess.Popen[str]) -> list[Path]:
    return [each.resolve() for each in Path(f"/proc/{process.pid}/fd").iterdir()]


def test_a_hangup_that_was_to_be_ignored_is_ignored_as_nohup_wants_it(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "card.pdf")
    with running(
        "card", "--model", "heron-3", "-o", tmp_path / "card.pdf",
        preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN),
    ) as process:  # fmt: skip
        wait_until(lambda: hears_signals(process))
        process.send_signal(signal.SIGHUP)
        with (tmp_path / "card.pdf").open("rb") as reading:
            assert reading.read().startswith(b"%PDF-")
        assert process.wait(10) == 0


def test_ctrl_c_at_a_question_ends_below_it_and_leaves_the_terminal_as_it_was(
    demo_shop: Shop,
) -> None:
    here, there = pty.openpty()
    was = termios.tcgetattr(there)
    shop = ("--shop", demo_shop.folder, "--today", TODAY)
    with running(
        *shop, "checkin", "M-001", "squeaks", stdin=there, stdout=there, stderr=there
    ) as process:
        shown = b""
        while b"How long each time?" not in shown:
            shown += os.read(here, 1000)
        process.send_signal(signal.SIGINT)
        assert process.wait(10) == 130
    assert os.read(here, 1000).decode() == f" \r\n{NOTHING[:-1]}\r\n".removeprefix(
        " " if shown.endswith(b" ") else ""
    )
    assert termios.tcgetattr(there) == was
    os.close(here)
    os.close(there)
    [record] = [each for each in all_machines(demo_shop) if each.number == "M-001"]
    assert record.open_job is None


# demos


ONE_PAPER = """
from oilchart.cli.commands import demo
def add_papers(app, feeds):
    demo._add(app, feeds, "M-001-card.pdf", b"half a demo")
    feeds.files.place()
    stop()
demo._add_papers = add_papers
"""
OF_DEMO = "import oilchart.cli.commands.demo as demo; demo.{step} = stop"
MOMENTS = {
    "when the folder is taken": OF_DEMO.format(step="make_shop"),
    "when the settings are written": "import oilchart.shop.folder as shop; shop.make_book = stop",
    "when the book is made": OF_DEMO.format(step="fill"),
    "when the book is filled": OF_DEMO.format(step="open_feeds"),
    "when a paper is written": ONE_PAPER,
}


@pytest.fixture
def quick_demo(monkeypatch: pytest.MonkeyPatch) -> None:
    """A demo whose papers are a single one."""

    def add_papers(app: Any, feeds: Any) -> list[str]:
        demo._add(app, feeds, "M-001-card.pdf", b"the card")
        return ["a card"]

    monkeypatch.setattr(demo, "_add_papers", add_papers)


@pytest.mark.parametrize("by", SIGNALS)
def test_a_demo_stopped_half_way_leaves_nothing(by: signal.Signals, tmp_path: Path) -> None:
    ended = stopped_at(ONE_PAPER, "demo", "shop", by=by, cwd=tmp_path)
    assert ended == (128 + by, NOTHING)
    assert everything_in(tmp_path) == {}


@pytest.mark.parametrize("moment", MOMENTS.values(), ids=MOMENTS)
@pytest.mark.usefixtures("quick_demo")
def test_a_demo_that_was_killed_is_begun_again(moment: str, run: Run, tmp_path: Path) -> None:
    assert run("demo", "whole", today=None).exit_code == 0
    code, _ = stopped_at(moment, "demo", "shop", by=signal.SIGKILL, cwd=tmp_path)
    assert code == -signal.SIGKILL
    assert (tmp_path / "shop" / MARK).exists()
    again = run("demo", "shop", today=None)
    assert (again.exit_code, again.stderr) == (0, "")
    assert everything_in(tmp_path / "shop") == everything_in(tmp_path / "whole")


@pytest.mark.usefixtures("quick_demo")
@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("shop/out/M-001-tag.pdf", "was cut off, but shop/out/M-001-tag.pdf is none of it"),
        ("shop/points/wren-9.toml", "but shop/points/wren-9.toml is none of it"),
        ("shop/shop.toml", "but shop/shop.toml is none of it"),
        ("shop/notes/a.txt", "but shop/notes"),
    ],
)  # fmt: skip
def test_what_somebody_put_into_a_demo_that_was_cut_off_is_never_removed(
    name: str, why: str, run: Run, tmp_path: Path
) -> None:
    stopped_at(ONE_PAPER, "demo", "shop", by=signal.SIGKILL, cwd=tmp_path)
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text("mine", encoding="utf-8")
    before = everything_in(tmp_path)
    refused = run("demo", "shop", today=None)
    assert (refused.exit_code, refused.stdout, refused.stderr.count("\n")) == (1, "", 1)
    assert why in refused.stderr
    assert "nothing was changed; move it away, or choose another folder" in refused.stderr
    assert everything_in(tmp_path) == before


@pytest.mark.usefixtures("quick_demo")
def test_a_demo_is_made_neither_among_other_things_nor_where_another_program_makes_one(
    run: Run, tmp_path: Path
) -> None:
    (tmp_path / "desk").mkdir()
    (tmp_path / "desk" / "letter.txt").write_text("Dear Ida", encoding="utf-8")
    refused = run("demo", "desk", today=None)
    assert refused.stderr == (
        "oilchart: desk: is not empty; nothing was changed; choose another folder\n"
    )
    assert list(everything_in(tmp_path)) == ["desk", "desk/letter.txt"]
    (tmp_path / "shop").mkdir()
    with closing(sqlite3.connect(tmp_path / "shop" / MARK, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        refused = run("demo", "shop", today=None)
    assert refused.stderr == (
        "oilchart: shop: another program is making a demo there; choose another folder\n"
    )
    assert run("demo", "shop", today=None).exit_code == 0


def test_a_demo_on_a_full_disk_says_so_and_leaves_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    ended = with_call("demo", str(folder), call="pwrite64", number=1, fate="error=ENOSPC")
    assert (ended.code, ended.stderr) == (
        1,
        f"oilchart: {folder}: cannot be made: No space left on device; "
        "make room on the disk, or choose a folder on another\n",
    )
    assert everything_in(tmp_path) == {}
