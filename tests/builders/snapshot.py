"""Takes down what is in a folder or a shop book, so that a test can say what was changed in it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path


def everything_in(folder: Path) -> dict[str, str | bytes | list[str]]:
    """Every file and folder below, by name: a shop book row by row, any other file by its bytes."""
    return {
        str(path.relative_to(folder)): _content(path)
        for path in sorted(folder.rglob("*"))
        if path.suffix not in (".db-wal", ".db-shm")
    }


def rows_in(book: Path) -> list[str]:
    """A book as the statements that would make it anew, sorted: the order in which its tables and
    indexes were made says nothing."""
    with closing(sqlite3.connect(book)) as connection:
        return sorted(connection.iterdump())


def _content(path: Path) -> str | bytes | list[str]:
    if path.is_dir():
        return "folder"
    if not path.exists():
        return f"link to {path.readlink()}"
    try:
        return rows_in(path) if path.suffix == ".db" else path.read_bytes()
    except sqlite3.DatabaseError:
        return path.read_bytes()


def call_stamps(book: Path, call_id: int) -> tuple[date, date, int]:
    """The days on which a call of a shop book was made and last changed, and how often it was."""
    with closing(sqlite3.connect(book)) as connection:
        made_on, changed_on, changes = connection.execute(
            "SELECT made_on, changed_on, changes FROM call WHERE id = ?", (call_id,)
        ).fetchone()
    return date.fromisoformat(made_on), date.fromisoformat(changed_on), changes
