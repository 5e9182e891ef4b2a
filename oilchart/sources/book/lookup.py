"""Finding who is meant: an owner or machine called by number, or by any part of a name, phone or
serial number that fits only one, however it is accented, cased, spaced and hyphenated."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Generic, TypeVar

from oilchart.core.names import has_part, plain, plain_words
from oilchart.core.records.machine_record import MachineRecord, machine_number
from oilchart.core.records.owner import Owner
from oilchart.core.records.phone import Phone
from oilchart.errors import OilchartError, UnknownName, nearest, quoted, shortened

_T = TypeVar("_T")

BARE_DIGITS = 4  # a number of as many figures alone may be that of a machine or an owner
NEAR = 0.72  # of two names, from 0 to 1: two letters of seven are others
MOST_NEAR = 3  # that are offered
MOST_FITTING = 6  # that are told


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known(Generic[_T]):
    """An owner or a machine, and what it is called by.

    Args:
        number: M-014.
        names: of people and machines, and marks.
        codes: serial numbers, ids of models.
    """

    meant: _T
    number: str
    names: tuple[str, ...]
    codes: tuple[str, ...] = ()
    phones: tuple[Phone, ...] = ()

    def is_called(self, wanted: str) -> bool:
        """Whether it is called just so, or has that number."""
        is_number = re.fullmatch(rf"[1-9]\d{{0,{BARE_DIGITS - 1}}}", wanted, re.ASCII)
        if is_number and int(self.number.rpartition("-")[2]) == int(wanted):
            return True
        exactly = plain(wanted)
        return bool(exactly) and exactly in map(plain, (*self.names, *self.codes))

    def fits(self, wanted: str) -> bool:
        """Whether something that it is called by holds what is wanted."""
        exactly = plain(wanted)
        if not exactly:
            return False
        return (
            any(has_part(name, wanted) for name in self.names)
            or any(exactly in plain(code) for code in self.codes)
            or any(_dials(wanted, phone) for phone in self.phones)
        )

    def fits_each(self, words: Sequence[str]) -> bool:
        """Whether each word is held by something that it is called by."""
        return len(words) > 1 and all(self.fits(word) for word in words)

    def near(self, wanted: str) -> float:
        """How near what is wanted comes to something that it is called by, from 0 to 1."""
        exactly = plain(wanted)
        called = [plain(name) for name in (*self.names, *self.codes)]
        words = [word for name in self.names for word in plain_words(name)]
        turned = "".join(sorted(plain_words(wanted)))
        in_turn = ["".join(sorted(plain_words(name))) for name in self.names]
        figures = _digits(wanted).lstrip("+")
        numbers = [_digits(phone.number) for phone in self.phones] if len(figures) > 5 else []
        return max(
            (
                SequenceMatcher(None, one, other).ratio()
                for one, others in (
                    (exactly, (*called, *words)),
                    (turned, in_turn),
                    (figures, numbers),
                )
                for other in others
                if one and other
            ),
            default=0.0,
        )


def machine_named(
    records: Sequence[MachineRecord], gone: Mapping[int, str], name: str
) -> MachineRecord:
    """The one machine called so: by its number, or by part of its owner's name or phone, its serial
    number, its own name, its mark or its model.

    Args:
        gone: what became of those that are not looked after any more, by id.

    Raises:
        UnknownName: none is, or more than one.
    """
    wanted = " ".join(name.split())
    number = as_number(wanted)
    went = {machine_number(machine_id): why for machine_id, why in gone.items()}
    if number in went:
        kept = "it is kept in the book, but not looked after any more"
        raise UnknownName(f"{number}: is gone ({went[number]}): {kept}")
    known = [
        _Known(
            meant=record,
            number=record.number,
            names=tuple(filter(None, (record.owner.name, record.name, record.mark))),
            codes=tuple(filter(None, (record.serial, record.model))),
            phones=record.owner.phones,
        )
        for record in records
    ]
    of_owner = [each for each in known if each.meant.owner.number == number]
    if len(of_owner) == 1:
        return of_owner[0].meant
    return _only_one("machine", wanted, known, _machine_words, fitting=of_owner)


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
    known = [
        _Known(meant=owner, number=owner.number, names=(owner.name,), phones=owner.phones)
        for owner in owners.values()
    ]
    return _only_one("owner", " ".join(name.split()), known, _owner_words)


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
    found = re.fullmatch(r"(M|OW)[- .]?(\d{1,9})", wanted, re.IGNORECASE | re.ASCII)
    return f"{found[1].upper()}-{int(found[2]):03}" if found else wanted


def _dials(wanted: str, phone: Phone) -> bool:
    """Whether a phone number holds what is wanted, however its digits are parted."""
    if not re.fullmatch(r"[-+\d ()./]*\d[-\d ()./]*", wanted, re.ASCII):
        return False
    return any(_digits(wanted) in _digits(number) for number in (phone.number, phone.dial))


def _digits(text: str) -> str:
    return "".join(char for char in text if char in "+0123456789")


def _only_one(
    what: str,
    wanted: str,
    known: Sequence[_Known[_T]],
    words: Callable[[Sequence[_T]], Iterator[str]],
    fitting: Sequence[_Known[_T]] = (),
) -> _T:
    """The one that is meant: of that number; else called just so; else of which something holds
    what is wanted; else of which something holds each word of it.

    Args:
        words: how several are told apart.
        fitting: those that are meant by what only some are called by.
    """
    number = as_number(wanted)
    by_number = {each.number: each.meant for each in known}
    if number in by_number:
        return by_number[number]
    parts = [part for part in wanted.split() if plain(part)]
    fitting = (
        fitting
        or [each for each in known if each.is_called(wanted)]
        or [each for each in known if each.fits(wanted)]
        or [each for each in known if each.fits_each(parts)]
    )
    if len(fitting) == 1:
        return fitting[0].meant
    if not fitting:
        raise UnknownName(
            f"{what} {quoted(wanted)}: there is none of that number, name or phone"
            f"{_near_words(wanted, known, words)}"
        )
    told = list(words([each.meant for each in fitting]))
    more = ", ..." if len(told) > MOST_FITTING else ""
    raise UnknownName(
        f"{what} {quoted(wanted)}: fits {len(told)}: {', '.join(told[:MOST_FITTING])}{more}; "
        "name one of them by its number"
    )


def _near_words(
    wanted: str, known: Sequence[_Known[_T]], words: Callable[[Sequence[_T]], Iterator[str]]
) -> str:
    """Who comes near to a name that is not known; where nobody does, a few of those there are."""
    scored = sorted(
        ((each.near(wanted), at) for at, each in enumerate(known)),
        key=lambda each: (-each[0], each[1]),
    )
    near = [known[at].meant for score, at in scored[:MOST_NEAR] if score >= NEAR]
    if near:
        return f"; did you mean {' or '.join(words(near))}?"
    return nearest(as_number(wanted), (each.number for each in known))


def _machine_words(records: Sequence[MachineRecord]) -> Iterator[str]:
    """Machines by their numbers and owners; those of owners of one name by model, name, mark and
    serial number, too."""
    alike = Counter(plain(record.owner.name) for record in records)
    for record in records:
        called = record.name or record.model or "not seen yet"
        more = (called, record.mark, record.serial)
        told = [word for word in more if word] if alike[plain(record.owner.name)] > 1 else []
        yield f"{record.number} ({', '.join([record.owner.name, *told])})"


def _owner_words(owners: Sequence[Owner]) -> Iterator[str]:
    """Owners by their numbers and names; those of one name by phone or address, too."""
    alike = Counter(plain(owner.name) for owner in owners)
    for owner in owners:
        more = owner.phone or ", ".join(owner.address[:1])
        told = f", {more}" if more and alike[plain(owner.name)] > 1 else ""
        yield f"{owner.number} ({owner.name}{told})"
