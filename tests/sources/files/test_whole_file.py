"""Files appear whole or not at all, readable by whom they were; what a killed program left of one
goes, what another program is writing stays."""

from __future__ import annotations

import fcntl
import os
import stat
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from oilchart.sources.files import whole_file
from oilchart.sources.files.whole_file import (
    drop_parts,
    make_folders,
    prepared_file,
    write_new_file,
    write_whole_file,
)
from tests.builders.snapshot import everything_in


@pytest.fixture
def no_umask() -> Iterator[None]:
    before = os.umask(0)
    yield
    os.umask(before)


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def parts_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob(".oilchart-*"))


# who can read it


def test_a_new_file_and_the_folders_made_for_it_are_their_users_alone(
    tmp_path: Path, no_umask: None
) -> None:
    make_folders(tmp_path / "a" / "b")
    write_whole_file(tmp_path / "a" / "b" / "card.pdf", b"card")
    write_new_file(tmp_path / "a" / "b" / "new.pdf", b"card")
    modes = {str(path.relative_to(tmp_path)): mode_of(path) for path in tmp_path.rglob("*")}
    assert modes == {"a": 0o700, "a/b": 0o700, "a/b/card.pdf": 0o600, "a/b/new.pdf": 0o600}


@pytest.mark.parametrize("mode", [0o644, 0o640, 0o664, 0o600, 0o755])
def test_a_file_that_was_there_stays_readable_by_whom_it_was(mode: int, tmp_path: Path) -> None:
    feed = tmp_path / "calls.ics"
    feed.write_bytes(b"old")
    feed.chmod(mode)
    write_whole_file(feed, b"new")
    assert (feed.read_bytes(), mode_of(feed)) == (b"new", mode)


def test_a_folder_that_was_there_keeps_its_mode(tmp_path: Path) -> None:
    (tmp_path / "shared").mkdir()
    (tmp_path / "shared").chmod(0o1777)
    make_folders(tmp_path / "shared")
    assert mode_of(tmp_path / "shared") == 0o1777


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a file away")
def test_a_file_keeps_its_owner_and_group_where_that_is_allowed(tmp_path: Path) -> None:
    feed = tmp_path / "calls.ics"
    feed.write_bytes(b"old")
    os.chown(feed, 1234, 2345)
    feed.chmod(0o640)
    write_whole_file(feed, b"new")
    found = feed.stat()
    assert (found.st_uid, found.st_gid, mode_of(feed)) == (1234, 2345, 0o640)


def test_another_group_than_the_one_that_was_let_in_gets_nothing_to_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    feed = tmp_path / "calls.ics"
    feed.write_bytes(b"old")
    feed.chmod(0o664)
    seen = os.fstat
    monkeypatch.setattr(os, "fchown", refuse)
    # as where the file there is of a group that its writer is not in
    monkeypatch.setattr(
        os, "fstat", lambda handle: os.stat_result([*seen(handle)[:5], 99, *seen(handle)[6:]])
    )
    write_whole_file(feed, b"new")
    assert (feed.read_bytes(), mode_of(feed)) == (b"new", 0o604)


# whole or not at all


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    (tmp_path / "shop.db").write_bytes(b"a book")
    with pytest.raises(FileExistsError):
        write_new_file(tmp_path / "shop.db", b"new")
    assert everything_in(tmp_path) == {"shop.db": b"a book"}


def refuse_links(monkeypatch: pytest.MonkeyPatch) -> None:
    """As Linux answers on the file systems of most memory sticks, which no test can mount."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    for call in ("link", "chmod", "fchmod", "fchown"):
        monkeypatch.setattr(os, call, refuse)


def test_where_there_are_no_hard_links_a_new_file_is_whole_and_takes_no_place_either(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    refuse_links(monkeypatch)
    write_new_file(tmp_path / "shop.db", b"a book")
    with pytest.raises(FileExistsError):
        write_new_file(tmp_path / "shop.db", b"another")
    write_whole_file(tmp_path / "card.pdf", b"old")
    write_whole_file(tmp_path / "card.pdf", b"new")
    assert everything_in(tmp_path) == {"shop.db": b"a book", "card.pdf": b"new"}


def test_a_file_that_is_prepared_is_seen_only_once_it_is_put_in_its_place(tmp_path: Path) -> None:
    card = tmp_path / "card.pdf"
    card.write_bytes(b"old")
    with prepared_file(card, b"new") as put_in_place:
        assert card.read_bytes() == b"old"
        put_in_place()
        assert card.read_bytes() == b"new"
    with prepared_file(card, b"newer"):
        pass
    assert everything_in(tmp_path) == {"card.pdf": b"new"}


# what is left of parts


def test_what_a_killed_program_left_goes_with_the_next_writing_in_that_folder(
    tmp_path: Path,
) -> None:
    for left in (".oilchart-a1.part", ".oilchart-b2.part", ".oilchart-b2.part-journal"):
        (tmp_path / left).write_bytes(b"half a card")
    for mine in (".oilchart-notes", "oilchart-a.part", ".oilchart-a.part.txt", "a.part-journal"):
        (tmp_path / mine).write_bytes(b"mine")
    (tmp_path / ".oilchart-folder.part").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / ".oilchart-c3.part").write_bytes(b"half")
    write_whole_file(tmp_path / "card.pdf", b"card")
    assert everything_in(tmp_path) == {
        ".oilchart-notes": b"mine",
        "oilchart-a.part": b"mine",
        ".oilchart-a.part.txt": b"mine",
        "a.part-journal": b"mine",
        ".oilchart-folder.part": "folder",
        "card.pdf": b"card",
        "elsewhere": "folder",
        "elsewhere/.oilchart-c3.part": b"half",
    }


def test_what_another_program_is_writing_stays(tmp_path: Path) -> None:
    part = tmp_path / ".oilchart-a1.part"
    with part.open("wb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        (tmp_path / ".oilchart-a1.part-journal").touch()
        write_whole_file(tmp_path / "card.pdf", b"card")
        assert parts_in(tmp_path) == [".oilchart-a1.part", ".oilchart-a1.part-journal"]
    write_whole_file(tmp_path / "card.pdf", b"card")
    assert parts_in(tmp_path) == []


def test_a_part_is_locked_before_anything_is_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sync = os.fsync
    seen: list[list[str]] = []

    def another_writes(handle: int) -> None:
        sync(handle)
        if not seen:
            seen.append(parts_in(tmp_path))
            write_whole_file(tmp_path / "other.pdf", b"other")
            assert parts_in(tmp_path) == seen[0]

    monkeypatch.setattr(os, "fsync", another_writes)
    write_whole_file(tmp_path / "card.pdf", b"card")
    assert len(seen[0]) == 1
    assert everything_in(tmp_path) == {"card.pdf": b"card", "other.pdf": b"other"}


@pytest.mark.parametrize("moment", ["before", "after"])
def test_a_part_swept_before_it_was_locked_is_begun_again(
    moment: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lock = fcntl.flock
    swept: list[Path] = []

    def too_late(handle: int, how: int) -> None:
        [part] = tmp_path.glob(".oilchart-*.part")
        if swept:
            lock(handle, how)
            return
        swept.append(part)
        part.unlink()
        if moment == "before":  # who sweeps it holds it still
            raise BlockingIOError
        lock(handle, how)

    monkeypatch.setattr(fcntl, "flock", too_late)
    write_whole_file(tmp_path / "card.pdf", b"card")
    assert everything_in(tmp_path) == {"card.pdf": b"card"}
    assert len(swept) == 1


@pytest.mark.parametrize("how", ["no module", "refused"])
def test_where_nothing_can_be_locked_only_parts_older_than_a_day_go(
    how: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(37, "No locks available")

    if how == "refused":
        monkeypatch.setattr(fcntl, "flock", refuse)
    else:
        monkeypatch.setattr(whole_file, "fcntl", None)
    for name, hours in (("old", 25), ("young", 23)):
        part = tmp_path / f".oilchart-{name}.part"
        part.write_bytes(b"half")
        at = time.time() - hours * 3600
        os.utime(part, (at, at))
    write_whole_file(tmp_path / "card.pdf", b"card")
    assert parts_in(tmp_path) == [".oilchart-young.part"]
    assert (tmp_path / "card.pdf").read_bytes() == b"card"


@pytest.mark.parametrize("call", ["open", "fsync", "replace"])
def test_what_is_being_written_can_be_dropped_at_any_moment(
    call: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Ended(BaseException):
        pass

    left: list[str] = []

    def ended(*words: object, **more: object) -> object:
        if call == "open":  # just after the part was made
            os.close(usual(*words, **more))
        drop_parts()
        left.extend(parts_in(tmp_path))
        raise Ended

    (tmp_path / "card.pdf").write_bytes(b"old")
    usual = getattr(os, call)
    monkeypatch.setattr(os, call, ended)
    with pytest.raises(Ended):
        write_whole_file(tmp_path / "card.pdf", b"new")
    monkeypatch.undo()
    assert left == []
    assert everything_in(tmp_path) == {"card.pdf": b"old"}
    drop_parts()
    assert everything_in(tmp_path) == {"card.pdf": b"old"}
