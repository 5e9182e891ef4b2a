"""An owner: how they are reached, and what they can do at home."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from oilchart.core.point_lists.point_list import Need
from oilchart.core.records.note import Note
from oilchart.core.records.phone import Phone, with_phones
from oilchart.errors import OilchartError

EITHER_OR = "an owner either can or cannot; leave one of the two out"
ASKED_FOR = "asked for"  # why most are left alone


class Way(StrEnum):
    """How an owner wants to be reached."""

    PHONE = "phone"
    TEXT = "text"
    EMAIL = "e-mail"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class DoNotContact:
    """Since when and why nobody rings or writes to an owner."""

    on: date
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """One customer.

    Args:
        phones: their numbers and those of who may be rung for them, the first one first.
        can: what this owner can do at home beside the usual; such points are theirs, not the
            bench's.
        reached_by: how they want to be reached.
        best_time: when, in words: "after six"; empty for any time.
        do_not_contact: since when and why nobody rings or writes to them; None while one may.
        address: the lines of their postal address; empty where it is not known.
        notes: in the order of their days; they stay in the shop.
    """

    id: int
    name: str
    phones: tuple[Phone, ...] = ()
    email: str = ""
    can: tuple[Need, ...] = ()
    reached_by: Way = Way.PHONE
    best_time: str = ""
    do_not_contact: DoNotContact | None = None
    address: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def number(self) -> str:
        """How they are called: OW-003."""
        return owner_number(self.id)

    @property
    def rung_at(self) -> Phone | None:
        """The number to ring: the first one that is not wrong, else the first; None for none."""
        return next((each for each in self.phones if not each.wrong), next(iter(self.phones), None))

    @property
    def phone(self) -> str:
        """The number to ring, as it is shown; empty for none."""
        return "" if self.rung_at is None else self.rung_at.number

    @property
    def phone_words(self) -> str:
        """All numbers, each with whose it is, the one to ring first; empty for none."""
        return "; ".join(each.words for each in self.phones_in_turn)

    @property
    def phones_in_turn(self) -> tuple[Phone, ...]:
        """All numbers, those that are wrong last."""
        return tuple(sorted(self.phones, key=lambda each: each.wrong))

    @property
    def phone_wrong(self) -> bool:
        """Whether nobody of their name answers at any number that is known."""
        return bool(self.phones) and all(each.wrong for each in self.phones)


def owner_number(owner_id: int) -> str:
    """How an owner is called."""
    return f"OW-{owner_id:03}"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerChange:
    """What is told anew of an owner; None stays as it is.

    Args:
        phones: in the place of all there were.
        more_phones, less_phones: added, or taken away.
        can, cannot: what they can do at home after all, or not.
        do_not_contact: whether nobody is to ring or write to them any more.
        note: added to their notes.
    """

    name: str | None = None
    phones: tuple[Phone, ...] | None = None
    more_phones: tuple[Phone, ...] = ()
    less_phones: tuple[Phone, ...] = ()
    email: str | None = None
    can: tuple[Need, ...] = ()
    cannot: tuple[Need, ...] = ()
    reached_by: Way | None = None
    best_time: str | None = None
    do_not_contact: bool | None = None
    address: tuple[str, ...] | None = None
    note: str | None = None


class ContradictoryChange(OilchartError):
    """An owner is told to be able to do a thing and not to be."""

    def __init__(self, need: Need) -> None:
        self.need = need
        super().__init__(f"can {need}, cannot {need}: {EITHER_OR}")


def changed(owner: Owner, change: OwnerChange, on: date) -> Owner:
    """An owner after a change; a phone number that is told is taken to be right.

    Raises:
        ContradictoryChange: the same is told to be possible and not.
    """
    both = [need for need in change.can if need in change.cannot]
    if both:
        raise ContradictoryChange(both[0])
    do_not_contact = owner.do_not_contact
    if change.do_not_contact is not None:
        do_not_contact = (
            (do_not_contact or DoNotContact(on=on, why=ASKED_FOR))
            if change.do_not_contact
            else None
        )
    return replace(
        owner,
        name=owner.name if change.name is None else change.name,
        phones=_phones_after(owner, change),
        email=owner.email if change.email is None else change.email,
        can=tuple(
            need for need in Need if need in {*owner.can, *change.can} and need not in change.cannot
        ),
        reached_by=change.reached_by or owner.reached_by,
        best_time=owner.best_time if change.best_time is None else change.best_time,
        do_not_contact=do_not_contact,
        address=owner.address if change.address is None else change.address,
        notes=(
            owner.notes if change.note is None else (*owner.notes, Note(on=on, words=change.note))
        ),
    )


def _phones_after(owner: Owner, change: OwnerChange) -> tuple[Phone, ...]:
    """Raises:
    OilchartError: a number is to be taken away that they have not got.
    """
    phones = owner.phones if change.phones is None else change.phones
    for less in change.less_phones:
        if not any(each.is_same(less) for each in phones):
            there_are = f"; there are: {owner.phone_words}" if owner.phones else ""
            raise OilchartError(f"{owner.number}: has no number {less.number}{there_are}")
        phones = tuple(each for each in phones if not each.is_same(less))
    return with_phones(phones, change.more_phones)
