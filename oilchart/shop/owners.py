"""The owners of the shop's machines: added, changed and listed."""

from __future__ import annotations

from difflib import SequenceMatcher

from oilchart.core.records.owner import Owner, OwnerChange, changed
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import owner_named

ALIKE = 0.9  # of two names, from 0 to 1: one letter more or less in ten or more


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


def alike(book: Book, owner: Owner) -> list[Owner]:
    """The other owners who may be the same: of nearly the same name, or with the same phone
    number."""
    phone = _digits(owner.phone)
    return [
        each
        for each in book.owners.all().values()
        if each.id != owner.id
        and ((phone and _digits(each.phone) == phone) or _is_alike(each.name, owner.name))
    ]


def _is_alike(name: str, other: str) -> bool:
    """Whether two names differ by no more than a slip of the pen."""
    return SequenceMatcher(None, name.casefold(), other.casefold()).ratio() >= ALIKE


def _digits(phone: str) -> str:
    return "".join(sign for sign in phone if sign.isdecimal())


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
