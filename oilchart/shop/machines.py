"""Knows how a machine in the book is changed: its number, note, conditions, mechanisms, and whether it is looked after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from oilchart.core.lists.mechanisms import NO_REFIT, Refit, refitted
from oilchart.core.records.people import ASKED_FOR
from oilchart.errors import UnknownName, nearest
from oilchart.shop.standings import Reckoner, record_of
from oilchart.sources.book.shop_book import Book, MachineRecord
from oilchart.sources.book.calls import id_in


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
        refit: Refit = NO_REFIT,
        by_book: Sequence[str] = (),
        all_by_book: bool = False,
    ) -> None:
        """Change what is noted of a machine, as `Shop.edit_machine` says."""
        for condition in (*conditions, *without):
            if condition not in self._reckoner.shelf.conditions():
                known = nearest(condition, self._reckoner.shelf.conditions())
                raise UnknownName(f'{record.number}: condition "{condition}": there is no such condition{known}')
        for condition in without:
            if condition not in record.conditions:
                known = nearest(condition, record.conditions)
                raise UnknownName(f'{record.number}: condition "{condition}": it does not work under it{known}')
        shorter = [limit.point for limit in record.shortened]
        for point in by_book:
            if point not in shorter:
                raise UnknownName(f'{record.number}: point "{point}": its interval is the book\'s already{nearest(point, shorter)}')
        self._book.shortened.take_back(record.id, shorter if all_by_book else by_book)
        kept = [each for each in dict.fromkeys((*record.conditions, *conditions)) if each not in without]
        self._book.edit_machine(
            record.id,
            serial=record.serial if serial is None else serial,
            note=record.note if note is None else note,
            conditions=kept,
            mechanisms=self._refitted(record, refit),
        )

    def take_back(self, number: str) -> int:
        """Look after a machine again that was gone, as `Shop.machine_back` says; its number in the book."""
        book = self._book
        if number not in book.gone():
            raise UnknownName(f"{number}: is not gone; name a machine that is by its number{nearest(number, book.gone())}")
        book.take_back(id_in(number))
        owner = record_of(book, id_in(number)).owner
        if owner.left_alone is not None and owner.left_alone.why != ASKED_FOR:
            book.edit_owner(id_in(owner.number), replace(owner, left_alone=None))
        return id_in(number)

    def _refitted(self, record: MachineRecord, refit: Refit) -> tuple[str, ...]:
        """The mechanisms a machine has after a change; empty where they are its model's."""
        model = tuple(mechanism for mechanism, _ in self._reckoner.chart(record.model).mechanisms)
        if refit.as_model:
            return ()
        now = tuple(mechanism for mechanism, _ in self._reckoner.list_of(record).mechanisms)
        after = refitted(now, refit, self._reckoner.shelf.mechanisms(), record.number)
        self._reckoner.shelf.chart(record.model, after)
        return () if set(after) == set(model) else after
