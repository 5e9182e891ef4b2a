"""The owners of the shop book, and what they wish."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from oilchart.core.point_lists.point_list import Need
from oilchart.core.records.note import Note
from oilchart.core.records.owner import DoNotContact, Owner, Way, owner_number
from oilchart.core.records.phone import Phone
from oilchart.sources.book import schema
from oilchart.sources.book.notes import NoteTable
from oilchart.sources.book.phones import PhoneTable
from oilchart.sources.book.rows import Rows, reading, words_in


class OwnerTable:
    """The owners within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def add(
        self,
        *,
        name: str,
        phones: tuple[Phone, ...],
        email: str,
        on: date,
        address: tuple[str, ...] = (),
    ) -> Owner:
        """Add an owner.

        Args:
            address: the lines of their postal address.
        """
        owner_id = self._rows.insert(
            schema.owner,
            name=name,
            email=email,
            added_on=on,
            address="\n".join(address),
        )
        PhoneTable(self._connection).put(owner_id, phones)
        return Owner(id=owner_id, name=name, phones=phones, email=email, address=address)

    def all(self) -> dict[int, Owner]:
        """All owners by their id."""
        t = schema.owner.c
        query = select(
            t.id,
            t.name,
            t.email,
            t.can,
            t.reached_by,
            t.best_time,
            t.left_alone_on,
            t.left_alone_why,
            t.address,
        ).order_by(t.id)
        notes = NoteTable(self._connection).by_owner()
        phones = PhoneTable(self._connection).by_owner()
        owners = {}
        for row in self._rows.all_of(query, "the day from which an owner is left alone"):
            with reading(f"{owner_number(row.id)}: what this owner can do"):
                owners[row.id] = _owner_from_row(row, phones.get(row.id, ()), notes.get(row.id, ()))
        return owners

    def remove(self, owner_id: int) -> None:
        """Take an owner out of whom the book has nothing else any more."""
        PhoneTable(self._connection).put(owner_id, ())
        t = schema.owner
        self._rows.delete(t, t.c.id == owner_id)

    def edit(self, owner: Owner) -> None:
        """Put an owner as they are now into the book."""
        PhoneTable(self._connection).put(owner.id, owner.phones)
        self._rows.update(
            schema.owner,
            owner.id,
            name=owner.name,
            email=owner.email,
            can=", ".join(owner.can),
            reached_by=owner.reached_by,
            best_time=owner.best_time,
            left_alone_on=owner.do_not_contact.on if owner.do_not_contact else None,
            left_alone_why=owner.do_not_contact.why if owner.do_not_contact else None,
            address="\n".join(owner.address),
        )


def _owner_from_row(row: Any, phones: tuple[Phone, ...], notes: Iterable[Note]) -> Owner:
    do_not_contact = None
    if row.left_alone_on is not None:
        do_not_contact = DoNotContact(on=row.left_alone_on, why=row.left_alone_why or "")
    return Owner(
        id=row.id,
        name=row.name,
        phones=phones,
        email=row.email,
        can=tuple(Need(word) for word in words_in(row.can)),
        reached_by=Way(row.reached_by),
        best_time=row.best_time,
        do_not_contact=do_not_contact,
        address=tuple(line for line in row.address.splitlines() if line.strip()),
        notes=tuple(notes),
    )
