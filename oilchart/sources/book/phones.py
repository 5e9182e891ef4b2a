"""The telephone numbers of owners in the shop book."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import Connection, select

from oilchart.core.records.phone import Phone, phones_in
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


class PhoneTable:
    """The numbers within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def by_owner(self) -> dict[int, tuple[Phone, ...]]:
        """The numbers of each owner who has any, by their id, in their order. Where two stand in
        one field, as older books may have them, each is one."""
        t = schema.phone.c
        query = select(t.owner_id, t.number, t.dial, t.whose, t.wrong).order_by(t.position, t.id)
        found: dict[int, list[Phone]] = defaultdict(list)
        for row in self._rows.all_of(query, "a telephone number"):
            kept = Phone(number=row.number, dial=row.dial, whose=row.whose, wrong=bool(row.wrong))
            parts = () if kept.dial or kept.whose else phones_in(kept.number)
            found[row.owner_id] += (
                [Phone(number=each.number, whose=each.whose, wrong=kept.wrong) for each in parts]
                if len(parts) > 1
                else [kept]
            )
        return {owner_id: tuple(phones) for owner_id, phones in found.items()}

    def put(self, owner_id: int, phones: Sequence[Phone]) -> None:
        """Make these the numbers of an owner; nothing is written where they are already."""
        if tuple(phones) == self.by_owner().get(owner_id, ()):
            return
        t = schema.phone
        self._rows.delete(t, t.c.owner_id == owner_id)
        for position, phone in enumerate(phones, start=1):
            self._rows.insert(
                t,
                owner_id=owner_id,
                position=position,
                number=phone.number,
                dial=phone.dial,
                whose=phone.whose,
                wrong=int(phone.wrong),
            )
