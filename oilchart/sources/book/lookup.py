"""Finding who is meant: an owner or machine called by number, or by any part of a name, phone or
serial number that fits only one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from oilchart.core.records.machine_record import MachineRecord, machine_number
from oilchart.core.records.owner import Owner
from oilchart.core.records.phone import Phone
from oilchart.errors import OilchartError, UnknownName, nearest, quoted, shortened

_T = TypeVar("_T")


def machine_named(
    records: Sequence[MachineRecord], gone: Mapping[int, str], name: str
) -> MachineRecord:
    """The one machine called so: by its number, or by part of its owner's name or phone, its serial
    number or its model.

    Args:
        gone: what became of those that are not looked after any more, by id.

    Raises:
        UnknownName: none is, or more than one.
    """
    by_number = {record.number: record for record in records}
    wanted = " ".join(name.split())
    number = as_number(wanted)
    if number in by_number:
        return by_number[number]
    went = {machine_number(machine_id): why for machine_id, why in gone.items()}
    if number in went:
        kept = "it is kept in the book, but not looked after any more"
        raise UnknownName(f"{number}: is gone ({went[number]}): {kept}")
    fitting = [
        record
        for record in records
        if _fits(wanted, record.owner.name, record.serial, record.model)
        or any(_dials(wanted, phone) for phone in record.owner.phones)
        or record.owner.number == number
    ]
    return _only_one(
        "machine",
        wanted,
        fitting,
        [f"{record.number} ({record.owner.name})" for record in fitting],
        by_number,
    )


def gone_machine_named(gone: Iterable[int], number: str) -> int:
    """The id of the machine of this number among those that are not looked after any more.

    Raises:
        UnknownName: none is.
    """
    by_number = {machine_number(machine_id): machine_id for machine_id in gone}
    wanted = as_number(number)
    if wanted not in by_number:
        near = nearest(wanted, by_number)
        raise UnknownName(
            f"{shortened(wanted)}: is not gone; name a machine that is by its number{near}"
        )
    return by_number[wanted]


def owner_named(owners: Mapping[int, Owner], name: str) -> Owner:
    """The one owner called so, by number or part of name or phone.

    Args:
        owners: all of them, by id.

    Raises:
        UnknownName: none is, or more than one.
    """
    wanted = " ".join(name.split())
    by_number = {owner.number: owner for owner in owners.values()}
    if as_number(wanted) in by_number:
        return by_number[as_number(wanted)]
    fitting = [
        owner
        for owner in owners.values()
        if _fits(wanted, owner.name) or any(_dials(wanted, phone) for phone in owner.phones)
    ]
    names = [f"{owner.number} ({owner.name})" for owner in fitting]
    return _only_one(
        "owner", wanted, fitting, names, [*by_number, *(owner.name for owner in owners.values())]
    )


def machines_of(
    owners: Mapping[int, Owner], records: Iterable[MachineRecord], name: str
) -> list[MachineRecord]:
    """All machines of the one owner called so.

    Args:
        owners: all of them, by id.
        records: all that are looked after.

    Raises:
        UnknownName: none is, or more than one; OilchartError: they have no machine.
    """
    owner = owner_named(owners, name)
    theirs = [record for record in records if record.owner.id == owner.id]
    if not theirs:
        raise OilchartError(
            f"{owner.number}: {owner.name} has no machine; add one: oilchart machine add "
            f"{owner.number}"
        )
    return theirs


def as_number(wanted: str) -> str:
    """The number of a machine or owner as the book writes it: m-14 is M-014."""
    found = re.fullmatch(r"(M|OW)-?(\d{1,9})", wanted, re.IGNORECASE | re.ASCII)
    return f"{found[1].upper()}-{int(found[2]):03}" if found else wanted


def _fits(wanted: str, *texts: str) -> bool:
    """Whether a name holds what is wanted, however its letters are cased and composed."""
    return bool(wanted) and any(_plain(wanted) in _plain(text) for text in texts)


def _dials(wanted: str, phone: Phone) -> bool:
    """Whether a phone number holds what is wanted, however its digits are parted."""
    if _fits(wanted, phone.number):
        return True
    if not re.fullmatch(r"[-+\d ()./]*\d[-\d ()./]*", wanted, re.ASCII):
        return False
    return any(_digits(wanted) in _digits(number) for number in (phone.number, phone.dial))


def _plain(text: str) -> str:
    return unicodedata.normalize("NFC", text).casefold()


def _digits(text: str) -> str:
    return "".join(char for char in text if char in "+0123456789")


def _only_one(
    what: str, wanted: str, fitting: Sequence[_T], names: Sequence[str], known: Iterable[str]
) -> _T:
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        raise UnknownName(
            f"{what} {quoted(wanted)}: there is none of that number, name or phone"
            f"{nearest(wanted, known)}"
        )
    more = ", ..." if len(names) > 6 else ""
    raise UnknownName(
        f"{what} {quoted(wanted)}: fits {len(names)}: {', '.join(names[:6])}{more}; "
        "name one of them by its number"
    )
