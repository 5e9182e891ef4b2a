"""Takes down all that is in a folder, so that a test can say that nothing in it was changed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
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
    try:
        return rows_in(path) if path.suffix == ".db" else path.read_bytes()
    except sqlite3.DatabaseError:
        return path.read_bytes()
