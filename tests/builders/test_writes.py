"""Where this process writes is noted, in whatever way it does so, and nothing that it reads."""

from __future__ import annotations

import os
from pathlib import Path

from tests.builders.writes import places_written


def test_whatever_is_written_made_moved_or_removed_is_noted_and_nothing_that_is_read(
    tmp_path: Path,
) -> None:
    (tmp_path / "read.txt").write_text("before", encoding="utf-8")
    with places_written() as places:
        (tmp_path / "read.txt").read_text(encoding="utf-8")
        list(tmp_path.iterdir())
        assert places == set()
        os.close(os.open(tmp_path / "a", os.O_CREAT | os.O_WRONLY))
        (tmp_path / "b").mkdir()
        (tmp_path / "b" / ".." / "c").write_text("new", encoding="utf-8")
        (tmp_path / "c").rename(tmp_path / "d")
        (tmp_path / "e").symlink_to("d")
        (tmp_path / "d").unlink()
    assert places == {tmp_path / name for name in "abcde"}
    (tmp_path / "f").touch()
    assert tmp_path / "f" not in places
