"""An owner who was written down twice: put together into one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.note import Note
from oilchart.core.records.owner import Owner
from oilchart.core.records.phone import Phone
from oilchart.errors import OilchartError
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import owner_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing in which two owners differ, in words.

    Args:
        kept: how it will be.
        other: how it was of the one who goes.
    """

    what: str
    kept: str
    other: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Merging:
    """Two owners who are the same.

    Args:
        goes, stays: as they are.
        after: the one who stays, with what only the other had.
        machines: of the one who goes.
        stays_machines: of the other.
        differences: in which the one who stays keeps what is their own.
    """

    goes: Owner
    stays: Owner
    after: Owner
    machines: tuple[MachineRecord, ...]
    stays_machines: tuple[MachineRecord, ...]
    differences: tuple[Difference, ...]


def merging(book: Book, owner: str, into: str) -> Merging:
    """What would come of putting an owner together with another.

    Raises:
        UnknownName: none, or more than one, is called so; OilchartError: both are one already.
    """
    owners = book.owners.all()
    goes, stays = owner_named(owners, owner), owner_named(owners, into)
    if goes.id == stays.id:
        raise OilchartError(f"{goes.number}: is {goes.name} already; name two owners")
    after = _together(goes, stays)
    records = book.machines.all(owners)
    return Merging(
        goes=goes,
        stays=stays,
        after=after,
        machines=tuple(each for each in records if each.owner.id == goes.id),
        stays_machines=tuple(each for each in records if each.owner.id == stays.id),
        differences=tuple(
            Difference(what=what, kept=kept, other=other)
            for (what, kept), (_, other) in zip(_told(after), _told(goes), strict=True)
            if other and other != kept
        ),
    )


def merge(book: Book, shop: Shop, both: Merging) -> Owner:
    """Put an owner together with another: the machines, calls, what came of them, and notes are the
    other's, who keeps the number. What differs is kept as a note."""
    goes, after = both.goes, both.after
    book.machines.give_all(goes.id, after.id)
    book.calls.give_all(goes.id, after.id)
    book.outcomes.give_all(goes.id, after.id)
    book.notes.give_all(goes.id, after.id)
    book.handings_on.give_all(goes.id, after.id)
    book.owners.edit(after)
    book.owners.remove(goes.id)
    if both.differences:
        words = "; ".join(f"{each.what} {each.other}" for each in both.differences)
        note = Note(on=shop.today, words=f"was written down twice, as {goes.number}: {words}")
        book.notes.add_of_owner(after.id, note)
        after = replace(after, notes=(*after.notes, note))
    return after


def _together(goes: Owner, stays: Owner) -> Owner:
    """The one who stays, with what was told of the other alone."""
    return replace(
        stays,
        phones=_all_phones(stays, goes),
        email=stays.email or goes.email,
        address=stays.address or goes.address,
        best_time=stays.best_time or goes.best_time,
        do_not_contact=stays.do_not_contact or goes.do_not_contact,
        can=stays.can or goes.can,
        notes=tuple(sorted((*stays.notes, *goes.notes), key=lambda note: note.on)),
    )


def _all_phones(stays: Owner, goes: Owner) -> tuple[Phone, ...]:
    """The numbers of both, each once, those of the one who stays first."""
    more = (each for each in goes.phones if not any(each.is_same(kept) for kept in stays.phones))
    return (*stays.phones, *more)


def _told(owner: Owner) -> tuple[tuple[str, str], ...]:
    """What was told of an owner, each with its name; empty where nothing was."""
    alone = owner.do_not_contact
    return (
        ("name", owner.name),
        ("e-mail", owner.email),
        ("address", ", ".join(owner.address)),
        ("reach by", owner.reached_by),
        ("best time", owner.best_time),
        ("left alone", f"since {alone.on} ({alone.why})" if alone else ""),
        ("can", ", ".join(owner.can)),
    )
