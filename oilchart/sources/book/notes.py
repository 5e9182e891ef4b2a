"""The notes of the shop book, of machines and of owners."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import Connection, func, or_, select

from oilchart.core.records.note import Note
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


class NoteTable:
    """The notes within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add_of_machine(self, machine_id: int, note: Note) -> None:
        """Keep a note of a machine."""
        self._add(note, machine_id=machine_id)

    def add_of_owner(self, owner_id: int, note: Note) -> None:
        """Keep a note of an owner."""
        self._add(note, owner_id=owner_id)

    def _add(self, note: Note, **whose: int) -> None:
        self._rows.insert(
            schema.note,
            noted_on=note.on,
            words=note.words,
            for_owner=int(note.for_owner),
            **whose,
        )

    def give_all(self, owner_id: int, to: int) -> None:
        """Make all notes of an owner another's."""
        t = schema.note
        self._rows.update_all(t, t.c.owner_id == owner_id, owner_id=to)

    def count(self) -> int:
        """How many notes there are."""
        [row] = self._rows.all_of(
            select(func.count().label("notes")).select_from(schema.note), "the notes"
        )
        return int(row.notes)

    def by_machine(self) -> dict[int, list[Note]]:
        """All notes of machines by the machine's id, in the order of their days; none that was for
        an earlier owner on the day it was handed on."""
        return self._by("machine_id")

    def by_owner(self) -> dict[int, list[Note]]:
        """All notes of owners by the owner's id, in the order of their days."""
        return self._by("owner_id")

    def _by(self, whose: str) -> dict[int, list[Note]]:
        t = schema.note.c
        query = (
            select(t[whose].label("whose"), t.noted_on, t.words, t.for_owner)
            .where(t[whose].is_not(None), or_(t.earlier_owner == 0, t.for_owner == 0))
            .order_by(t[whose], t.noted_on, t.id)
        )
        found: dict[int, list[Note]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a note"):
            found[row.whose].append(
                Note(on=row.noted_on, words=row.words, for_owner=bool(row.for_owner))
            )
        return found
