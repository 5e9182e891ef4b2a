"""Where a command writes: never over what a shop cannot lose, whatever it is called and through
whatever link; readable by whom it was; in a shop on any disk."""

from __future__ import annotations

import os
import shlex
import shutil
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from oilchart.cli import main
from oilchart.cli.output import prepared
from oilchart.errors import CannotWrite
from oilchart.shop.folder import Shop
from tests.builders.commands import besides_change, commands_of
from tests.builders.snapshot import everything_in
from tests.builders.struck import with_call
from tests.conftest import Run

# every command with -o, once for each way it goes to write
WRITING = [
    "card M-001",
    "card --model heron-3",
    "card --all-due",
    "checklist M-001",
    "checklist --model heron-3",
    "record M-003",
    "board",
    "calls",
    "calendar",
    "calendar --services",
    "calendar M-001",
    "letters --due",
    "tag M-012",
    "models place heron-3 underside",
    "models views",
]
CHECK_IN = "checkin M-001 squeaks"
DRAFT = "models draft 'Wren 9' --mechanism straight-head"
PAGE = ("models", "place", "heron-3", "underside")
OWN = ["shop.db", "shop.db-wal", "shop.db-shm", "shop.db-journal", "shop.toml", "shop.schema-3.db"]


@pytest.fixture
def shop(demo_shop: Shop) -> Path:
    """A shop folder, with the copy that an upgrade made."""
    shutil.copyfile(demo_shop.book_path, demo_shop.folder / "shop.schema-3.db")
    return demo_shop.folder


def test_every_command_that_writes_a_file_is_tried_here() -> None:
    tried = {
        " ".join(words.split()[: 2 if words.startswith("models") else 1])
        for words in [*WRITING, CHECK_IN, DRAFT]
    }
    assert sorted(tried) == sorted(
        name
        for name, command in commands_of(main)
        if any("--out" in param.opts for param in command.params)
    )


@pytest.mark.parametrize("words", WRITING)
def test_no_command_writes_over_the_shop_book(
    words: str, shop: Path, run: Run, tmp_path: Path
) -> None:
    out = tmp_path / ("paper.pdf" if words.startswith("card") else "paper.html")
    out.symlink_to(shop / "shop.db")
    result = run(*shlex.split(words), "-o", out, shop=shop)
    assert (result.exit_code, result.stderr.count("\n")) == (1, 1)
    assert result.stderr.startswith(f"oilchart: {out}: ")
    assert "is the shop's own shop.db; " in result.stderr
    assert result.stderr.endswith("; name another file\n")
    assert run("owner", "list", shop=shop).exit_code == 0


def test_a_check_in_is_recorded_and_its_tag_not_written_over_the_shop_book(
    shop: Path, run: Run
) -> None:
    result = run(*CHECK_IN.split(), "-o", shop / "shop.db", shop=shop)
    assert result.exit_code == 1
    assert besides_change(result.stderr) == (
        f"oilchart: recorded; the tag could not be written: {shop}/shop.db: is the shop's own "
        "shop.db; print it with: oilchart tag M-001\n"
    )
    assert run("tag", "M-001", shop=shop).exit_code == 0


def test_a_draft_is_written_over_nothing_at_all(shop: Path, run: Run, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("Dear Ida", encoding="utf-8")
    shutil.copyfile(shop / "shop.db", tmp_path / "other.db")
    changed, another = "nothing was changed", "name another file"
    for out, why in {
        shop / "shop.db": f"is the shop's own shop.db; {changed}; {another}",
        shop / "shop.toml": f"is the shop's own shop.toml; {changed}; {another}",
        Path("other.db"): f"is an SQLite database; {changed}; {another}",
        Path("letter.txt"): f"there is a file already; {changed}; choose another name, or write to "
        "another file with -o",
        shop: f"cannot be written: Is a directory; {changed}; name a file you may write to",
    }.items():
        before = everything_in(tmp_path)
        result = run(*shlex.split(DRAFT), "-o", out, shop=shop)
        assert (result.exit_code, result.stderr) == (1, f"oilchart: {out}: {why}\n")
        assert everything_in(tmp_path) == before


@pytest.mark.parametrize("name", OWN)
@pytest.mark.parametrize("way", ["by its name", "a link", "a hard link", "from within"])
def test_no_file_of_the_shop_is_written_over(
    name: str, way: str, shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = shop / name
    if way == "a hard link" and not own.exists():
        own.write_bytes(b"")
    out = tmp_path / "paper.html"
    if way == "a link":
        out.symlink_to(own)
    elif way == "a hard link":
        out.hardlink_to(own)
    elif way == "from within":
        monkeypatch.chdir(shop / "out")
        out = Path("..", name)
    else:
        out = own
    before = {path: path.read_bytes() for path in shop.iterdir() if path.is_file()}
    with (
        pytest.raises(CannotWrite, match=f": is the shop's own {name}; "),
        prepared(out, b"new", shop),
    ):
        pass
    assert {path: path.read_bytes() for path in shop.iterdir() if path.is_file()} == before


@pytest.mark.parametrize("words", ["init {}", "demo {}", "card M-001 -o {}/card.pdf"])
@pytest.mark.parametrize("below", ["", "/more"])
def test_no_folder_is_made_in_the_place_of_a_shops_own_file(
    words: str, below: str, shop: Path, run: Run
) -> None:
    refused = run(*words.format(f"{shop}/shop.db-wal{below}").split(), shop=shop)
    assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1)
    assert "own shop.db-wal; nothing was changed; " in refused.stderr
    assert not (shop / "shop.db-wal").exists()
    assert run("owner", "add", "Ida", shop=shop).exit_code == 0


def test_a_shop_one_does_not_work_in_is_not_written_over_either(shop: Path, run: Run) -> None:
    for name in ("shop.db", "shop.toml"):
        before = (shop / name).read_bytes()
        result = run("card", "--model", "heron-3", "-o", shop / name)
        assert f"is the shop's own {name}" in result.stderr
        assert (shop / name).read_bytes() == before


@pytest.mark.parametrize("linked", [False, True])
def test_a_database_of_any_program_is_not_written_over(
    linked: bool, run: Run, tmp_path: Path
) -> None:
    with closing(sqlite3.connect(tmp_path / "photos.db")) as photos:
        photos.execute("CREATE TABLE photo (name)")
    before = (tmp_path / "photos.db").read_bytes()
    if linked:
        (tmp_path / "card.pdf").symlink_to("photos.db")
    out = "card.pdf" if linked else "photos.db"
    result = run("card", "--model", "heron-3", "-o", out)
    assert (result.exit_code, result.stderr) == (
        1,
        f"oilchart: {out}: is an SQLite database; nothing was changed; name another file\n",
    )
    assert (tmp_path / "photos.db").read_bytes() == before


def test_a_name_of_a_shops_file_is_free_where_there_is_no_shop(run: Run, tmp_path: Path) -> None:
    result = run("card", "--model", "heron-3", "-o", "shop.db")
    assert result.exit_code == 0
    assert (tmp_path / "shop.db").read_bytes().startswith(b"%PDF-")


def test_what_leads_in_a_circle_or_has_no_room_is_told_in_one_line(
    run: Run, tmp_path: Path
) -> None:
    (tmp_path / "loop.html").symlink_to("loop.html")
    for out, why, remedy in (
        ("loop.html", "Too many levels of symbolic links", "name a file you may write to"),
        (
            "/dev/full",
            "No space left on device",
            "make room on the disk, or name a file on another",
        ),
    ):
        result = run(*PAGE, "-o", out)
        assert (result.exit_code, result.stderr) == (
            1,
            f"oilchart: {out}: cannot be written: {why}; nothing was changed; {remedy}\n",
        )
    assert (tmp_path / "loop.html").is_symlink()


def test_of_two_hard_links_the_one_that_is_named_is_new_and_the_other_keeps_what_it_had(
    run: Run, tmp_path: Path
) -> None:
    (tmp_path / "kept.html").write_bytes(b"old")
    (tmp_path / "page.html").hardlink_to(tmp_path / "kept.html")
    assert run(*PAGE, "-o", "page.html").exit_code == 0
    assert (tmp_path / "kept.html").read_bytes() == b"old"
    assert (tmp_path / "page.html").read_bytes().lower().startswith(b"<!doctype html>")


# who can read it


@pytest.mark.parametrize("words", ["calendar", "board", "card M-001", "calls"])
def test_a_file_that_others_may_read_stays_so_at_each_writing(
    words: str, demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    paper = tmp_path / "paper"
    paper.write_bytes(b"old")
    paper.chmod(0o644)
    for _ in range(2):
        assert run(*words.split(), "-o", paper, shop=demo_shop.folder).exit_code == 0
        assert stat.S_IMODE(paper.stat().st_mode) == 0o644
    assert paper.stat().st_size > 500


def test_folders_made_for_a_paper_are_its_users_alone(run: Run, tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        assert run("card", "--model", "heron-3", "-o", "a/b/card.pdf").exit_code == 0
    finally:
        os.umask(before)
    assert [stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("a", "a/b")] == [0o700] * 2


def test_init_leaves_the_mode_of_a_folder_that_was_there(run: Run, tmp_path: Path) -> None:
    shared = tmp_path / "shared"
    shared.mkdir()
    shared.chmod(0o1777)
    assert run("init", shared).exit_code == 0
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in shared.iterdir()}
    assert stat.S_IMODE(shared.stat().st_mode) == 0o1777
    assert modes == {
        "shop.toml": 0o600, "shop.db": 0o600, "points": 0o700, "templates": 0o700, "out": 0o700
    }  # fmt: skip


# whole or not at all


@pytest.mark.parametrize("moment", ["fsync", "/^rename"])
@pytest.mark.parametrize("name", ["KILL", "TERM", "HUP", "INT"])
def test_a_signal_while_a_file_is_written_leaves_the_old_one_or_the_new(
    name: str, moment: str, run: Run, tmp_path: Path
) -> None:
    card = tmp_path / "card.pdf"
    card.write_bytes(b"the old card")
    ended = with_call(*PAGE, "-o", str(card), call=moment, number=1, fate=f"signal={name}")
    assert ended.code != 0
    data = card.read_bytes()
    assert data == b"the old card" or data.rstrip().endswith(b"</html>")
    assert run(*PAGE, "-o", card).exit_code == 0
    assert [path.name for path in tmp_path.iterdir()] == ["card.pdf"]


# memory sticks


def without_links_and_modes(monkeypatch: pytest.MonkeyPatch) -> None:
    """As Linux answers on the file systems of most memory sticks, which no test can mount."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    for call in ("link", "chmod", "fchmod", "fchown"):
        monkeypatch.setattr(os, call, refuse)


def test_a_shop_on_a_memory_stick_works_and_says_once_what_is_not_kept_there(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_links_and_modes(monkeypatch)
    made = run("init", "stick")
    assert made.exit_code == 0
    assert made.stderr == (
        "stick: this disk does not keep who may read a file: whoever can open the folder, or "
        "holds the stick, can read the shop\n"
    )
    for words in ("owner add Ida", "machine add Ida heron-3", "calendar", "due"):
        result = run(*words.split(), shop=tmp_path / "stick")
        assert result.exit_code == 0, result.stderr
        assert "this disk" not in result.stderr
    assert run("init", "stick").exit_code == 1


def test_nothing_is_said_of_the_disk_where_it_keeps_who_may_read(run: Run) -> None:
    made = run("init", "shop")
    assert (made.exit_code, made.stderr) == (0, "")
