"""The owners of the shop's machines: added, changed and listed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from oilchart.core.names import plain
from oilchart.core.records.note import Note
from oilchart.core.records.owner import Owner, OwnerChange, changed
from oilchart.core.records.phone import Phone, phones_in, with_phones
from oilchart.errors import WrongValue
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import owner_named
from oilchart.sources.files.settings import SETTINGS_FILE

if TYPE_CHECKING:
    from oilchart.sources.words.phone_numbers import Doubt

ALIKE = 0.9  # of two names, from 0 to 1: one letter more or less in ten or more


@dataclass(frozen=True, slots=True, kw_only=True)
class NewOwner:
    """What is told of an owner who is written down.

    Args:
        phones: texts with one number or several, each with whose it is or without.
        address: the lines of their postal address.
    """

    name: str
    phones: tuple[str, ...] = ()
    email: str = ""
    address: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhonesTold:
    """Telephone numbers as people gave them, with texts of one or several.

    Args:
        all: in the place of those there were; None where they stay.
        more, less: to be added, or taken away.
    """

    all: tuple[str, ...] | None = None
    more: tuple[str, ...] = ()
    less: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerKept:
    """An owner as they are now.

    Args:
        doubts: numbers told now that are none, as far as is known; they are kept as they were said.
        alike: others who may be the same.
    """

    owner: Owner
    doubts: tuple[Doubt, ...] = ()
    alike: tuple[Owner, ...] = ()


NO_PHONES = PhonesTold()


def with_machine_counts(book: Book) -> list[tuple[Owner, int]]:
    """All owners, each with the count of their machines."""
    counts = book.machines.counts_by_owner()
    return [(owner, counts.get(owner.id, 0)) for owner in book.owners.all().values()]


def add(book: Book, shop: Shop, told: NewOwner) -> OwnerKept:
    """Add an owner.

    Raises:
        WrongValue: the shop's settings name no country.
    """
    phones, doubts = read_phones(told.phones, shop.settings_file.region)
    owner = book.owners.add(
        name=told.name, phones=phones, email=told.email, on=shop.today, address=told.address
    )
    if told.note:
        note = Note(on=shop.today, words=told.note)
        book.notes.add_of_owner(owner.id, note)
        owner = replace(owner, notes=(note,))
    return OwnerKept(owner=owner, doubts=doubts, alike=tuple(alike(book, owner)))


def edit(
    book: Book, shop: Shop, owner: str, change: OwnerChange, phones: PhonesTold = NO_PHONES
) -> OwnerKept:
    """Change what is noted of an owner.

    Raises:
        UnknownName: none, or more than one, is called so; WrongValue: the shop's settings name no
            country; OilchartError: the change contradicts itself.
    """
    region = shop.settings_file.region
    before = owner_named(book.owners.all(), owner)
    every, doubts = (None, ()) if phones.all is None else read_phones(phones.all, region)
    more, more_doubts = read_phones(phones.more, region)
    less, _ = read_phones(phones.less, region)
    change = replace(change, phones=every, more_phones=more, less_phones=less)
    after = changed(before, change, shop.today)
    book.owners.edit(after)
    if change.note:
        book.notes.add_of_owner(after.id, after.notes[-1])
    is_known_anew = after.name != before.name or after.phones != before.phones
    return OwnerKept(
        owner=after,
        doubts=(*doubts, *more_doubts),
        alike=tuple(alike(book, after)) if is_known_anew else (),
    )


def read_phones(texts: Iterable[str], region: str) -> tuple[tuple[Phone, ...], tuple[Doubt, ...]]:
    """Telephone numbers as they were given, each once.

    Raises:
        WrongValue: the shop's settings name no country.
    """
    given = "; ".join(text for text in texts if text)
    if not any(sign.isdigit() for sign in given):
        return phones_in(given), ()
    # it takes longer to load than all that most commands do
    from oilchart.sources.words import phone_numbers

    if region and not phone_numbers.is_region(region):
        raise WrongValue(
            "region", region, f"is no country that is known; mend it in {SETTINGS_FILE}"
        )
    phones, doubts = phone_numbers.read_phones(given, region)
    return with_phones((), phones), doubts


def alike(book: Book, owner: Owner) -> list[Owner]:
    """The other owners who may be the same: of nearly the same name, or with the same phone
    number."""
    return [
        each
        for each in book.owners.all().values()
        if each.id != owner.id
        and (
            any(mine.is_same(theirs) for mine in owner.phones for theirs in each.phones)
            or _is_alike(each.name, owner.name)
        )
    ]


def _is_alike(name: str, other: str) -> bool:
    """Whether two names differ by no more than a slip of the pen, however they are cased and
    accented, or their parts are put."""
    one, two = plain(name), plain(other)
    in_any_order = sorted(map(plain, name.split())) == sorted(map(plain, other.split()))
    return (bool(one) and in_any_order) or SequenceMatcher(None, one, two).ratio() >= ALIKE
