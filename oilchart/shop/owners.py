"""The owners of the shop's machines: added, changed and listed."""

from __future__ import annotations

from oilchart.core.records.owner import Owner, OwnerChange, changed
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import owner_named


def with_machine_counts(book: Book) -> list[tuple[Owner, int]]:
    """All owners, each with the count of their machines."""
    counts = book.machines.counts_by_owner()
    return [(owner, counts.get(owner.id, 0)) for owner in book.owners.all().values()]


def add(
    book: Book, shop: Shop, *, name: str, phone: str, email: str, address: tuple[str, ...] = ()
) -> Owner:
    """Add an owner.

    Args:
        address: the lines of their postal address.
    """
    return book.owners.add(name=name, phone=phone, email=email, on=shop.today, address=address)


def edit(book: Book, shop: Shop, owner: str, change: OwnerChange) -> Owner:
    """Change what is noted of an owner.

    Raises:
        UnknownName: none, or more than one, is called so; OilchartError: the change contradicts
            itself.
    """
    after = changed(owner_named(book.owners.all(), owner), change, shop.today)
    book.owners.edit(after)
    if change.note:
        book.notes.add_of_owner(after.id, after.notes[-1])
    return after
