"""Knows how a machine in the book is changed: its number, note, conditions, mechanisms, and whether
it is looked after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from oilchart.core.lists.mechanisms import NO_MECHANISM_CHANGE, MechanismChange, mechanisms_after
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import ASKED_FOR
from oilchart.errors import UnknownName, nearest
from oilchart.shop.standings import Reckoner, record_of
from oilchart.sources.book.lookup import gone_machine_named
from oilchart.sources.book.shop_book import Book


class Register:
    """The machines of a shop's book, to be changed in it."""

    def __init__(self, book: Book, reckoner: Reckoner) -> None:
        self._book = book
        self._reckoner = reckoner

    def edit(
        self,
        record: MachineRecord,
        *,
        serial: str | None = None,
        note: str | None = None,
        conditions: Sequence[str] = (),
        without: Sequence[str] = (),
        mechanism_change: MechanismChange = NO_MECHANISM_CHANGE,
        by_book: Sequence[str] = (),
        all_by_book: bool = False,
    ) -> None:
        """Change what is noted of a machine, as `Shop.edit_machine` says."""
        for condition in (*conditions, *without):
            if condition not in self._reckoner.library.conditions():
                known = nearest(condition, self._reckoner.library.conditions())
                raise UnknownName(
                    f'{record.number}: condition "{condition}": there is no such condition{known}'
                )
        for condition in without:
            if condition not in record.conditions:
                known = nearest(condition, record.conditions)
                raise UnknownName(
                    f'{record.number}: condition "{condition}": it does not work under it{known}'
                )
        shorter = [limit.point for limit in record.own_intervals]
        for point in by_book:
            if point not in shorter:
                raise UnknownName(
                    f'{record.number}: point "{point}": its interval is the book\'s already{nearest(point, shorter)}'
                )
        self._book.own_intervals.restore(record.id, shorter if all_by_book else by_book)
        kept = [
            each for each in dict.fromkeys((*record.conditions, *conditions)) if each not in without
        ]
        self._book.edit_machine(
            record.id,
            serial=record.serial if serial is None else serial,
            note=record.note if note is None else note,
            conditions=kept,
            mechanisms=self._refitted(record, mechanism_change),
        )

    def restore(self, machine: str) -> int:
        """Look after a machine again that was gone, as `Shop.machine_back` says; its id."""
        book = self._book
        machine_id = gone_machine_named(book, machine)
        book.restore(machine_id)
        owner = record_of(book, machine_id).owner
        if owner.do_not_contact is not None and owner.do_not_contact.why != ASKED_FOR:
            book.edit_owner(owner.id, replace(owner, do_not_contact=None))
        return machine_id

    def _refitted(
        self, record: MachineRecord, mechanism_change: MechanismChange
    ) -> tuple[str, ...]:
        """The mechanisms a machine has after a change; empty where they are its model's."""
        model = tuple(
            mechanism for mechanism, _ in self._reckoner.point_list(record.model).mechanisms
        )
        if mechanism_change.as_model:
            return ()
        now = tuple(mechanism for mechanism, _ in self._reckoner.list_of(record).mechanisms)
        after = mechanisms_after(
            now, mechanism_change, self._reckoner.library.mechanisms(), record.number
        )
        self._reckoner.library.point_list(record.model, after)
        return () if set(after) == set(model) else after
