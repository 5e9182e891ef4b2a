"""The machines of the shop: added, changed, gone and back again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.point_lists.mechanisms import (
    NO_MECHANISM_CHANGE,
    MechanismChange,
    mechanisms_after,
)
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.machine_record import (
    MachineChange,
    MachineRecord,
    NewMachine,
    WithoutPoint,
    machine_number,
    under_its_list,
)
from oilchart.core.records.note import Note
from oilchart.core.records.owner import ASKED_FOR
from oilchart.errors import OilchartError, UnknownName, WrongValue, nearest, quoted
from oilchart.shop.folder import Shop
from oilchart.shop.points_named import point_named
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import (
    as_number,
    gone_machine_named,
    machine_named,
    machines_of,
    owner_named,
)
from oilchart.sources.book.machines import SerialNumber


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedMachine:
    """A machine that was named.

    Args:
        everyone: all machines of the book, as they were read to find it.
    """

    record: MachineRecord
    everyone: tuple[MachineRecord, ...]


def found(book: Book, machine: str) -> NamedMachine:
    """The one machine called so, among all.

    Raises:
        UnknownName: none, or more than one, is.
    """
    everyone = tuple(book.machines.all())
    record = machine_named(everyone, book.machines.gone(), machine)
    return NamedMachine(record=record, everyone=everyone)


def named(book: Book, machine: str) -> MachineRecord:
    """The one machine called so.

    Raises:
        UnknownName: none, or more than one, is.
    """
    return found(book, machine).record


def all_of(book: Book, owner: str) -> list[MachineRecord]:
    """All machines of an owner that are looked after, by number.

    Raises:
        UnknownName: none, or more than one, is called so; OilchartError: they have no machine.
    """
    owners = book.owners.all()
    return machines_of(owners, book.machines.all(owners), owner)


@dataclass(frozen=True, slots=True, kw_only=True)
class GoneMachine:
    """A machine that is not looked after any more.

    Args:
        outcomes: what came of the calls to its owner.
    """

    record: MachineRecord
    point_list: PointList
    outcomes: Sequence[CallOutcome]


def gone_machine(book: Book, shop: Shop, number: str) -> GoneMachine | None:
    """The machine of this number if it is not looked after any more, else None.

    Raises:
        UnknownName: there is no list of its model any more; FaultyList
    """
    wanted = as_number(" ".join(number.split()))
    if wanted not in map(machine_number, book.machines.gone()):
        return None
    record = next(each for each in book.machines.all_gone() if each.number == wanted)
    point_list = shop.list_of(record)
    return GoneMachine(
        record=under_its_list(record, point_list),
        point_list=point_list,
        outcomes=book.outcomes.by_owner().get(record.owner.id, ()),
    )


def add(
    book: Book, shop: Shop, owner: str, told: NewMachine, count: int = 1
) -> list[MachineRecord]:
    """Add a machine of an owner, or several alike, whose marks are numbered.

    Raises:
        UnknownName: no such owner or model.
    """
    model = shop.library.point_list(told.model).id if told.model else ""
    whose = owner_named(book.owners.all(), owner)
    added = []
    for each in range(1, count + 1):
        mark = (
            told.mark if count == 1 else f"{told.mark}, no. {each}" if told.mark else f"no. {each}"
        )
        record = MachineRecord(
            id=book.machines.add(
                owner_id=whose.id,
                model=model,
                serial=told.serial,
                on=shop.today,
                name=told.name,
                mark=mark,
            ),
            owner=whose,
            model=model,
            serial=told.serial,
            added_on=shop.today,
            name=told.name,
            mark=mark,
        )
        if told.note:
            record = keep_note(book, record, Note(on=shop.today, words=told.note))
        added.append(record)
    return added


def keep_note(book: Book, record: MachineRecord, note: Note) -> MachineRecord:
    """Keep a note of a machine; the machine with it."""
    book.notes.add_of_machine(record.id, note)
    notes = sorted((*record.notes, note), key=attrgetter("on"))
    return replace(record, notes=tuple(notes))


def edit(book: Book, shop: Shop, machine: str, change: MachineChange) -> MachineRecord:
    """Change what is noted of a machine.

    Raises:
        UnknownName: no such machine, condition or mechanism, or it has not got the one, or the
            shorter interval, taken away.
        FaultyList: the mechanisms do not go together.
    """
    record = named(book, machine)
    shorter = [limit.point for limit in record.own_intervals]
    _check_conditions(record, change, shop.library.conditions())
    for point in change.by_book:
        if point not in shorter:
            raise UnknownName(
                f"{record.number}: point {quoted(point)}: its interval is the book's already"
                f"{nearest(point, shorter)}"
            )
    by_book = shorter if change.all_by_book else change.by_book
    after = replace(
        record.with_conditions(change.conditions, change.without, shop.today),
        serial=record.serial if change.serial is None else change.serial,
        name=record.name if change.name is None else change.name,
        mark=record.mark if change.mark is None else change.mark,
        without=_without_after(shop, record, change),
        mechanisms=_mechanisms_after(shop, record, change.mechanisms),
        own_intervals=tuple(each for each in record.own_intervals if each.point not in by_book),
    )
    book.own_intervals.restore(record.id, by_book)
    book.machines.edit(after)
    book.without_points.set(record.id, after.without)
    if after.worked_under != record.worked_under:
        book.worked_under.set(record.id, after.worked_under)
    for words, for_owner in ((change.note, False), (change.for_owner, True)):
        if words:
            note = Note(on=shop.today, words=words, for_owner=for_owner)
            after = keep_note(book, after, note)
    return after


def _without_after(
    shop: Shop, record: MachineRecord, change: MachineChange
) -> tuple[WithoutPoint, ...]:
    """The points that a machine has not got after a change.

    Raises:
        UnknownName: its list has no such point, or it has got the one it is to have again.
    """
    whole_list = shop.list_of(replace(record, without=()))
    without = {each.point: each for each in record.without}
    for name in change.has:
        point = point_named(whole_list, record, name)
        if point not in without:
            raise UnknownName(f'{record.number}: point "{name}": it has it already')
        del without[point]
    for name, why in change.has_not:
        point = point_named(whole_list, record, name)
        _check_may_be_without(record, whole_list, point, why)
        without[point] = WithoutPoint(point=point, since=shop.today, why=why)
    return tuple(without[point] for point in sorted(without))


def _check_may_be_without(
    record: MachineRecord, point_list: PointList, point_id: str, why: str
) -> None:
    """A point at which someone can be hurt is missing for a reason only, and a machine with a plug
    is never without its electrical test.

    Raises:
        OilchartError
    """
    point = point_list.point(point_id)
    if point is None or not point.safety:
        return
    if point.proof is not None:
        raise OilchartError(
            f"{record.number}: {point.number} {point.where}: every machine with a plug has it; "
            'where others make the test: electrical_tests = "elsewhere" in shop.toml'
        )
    if not why:
        raise OilchartError(
            f"{record.number}: {point.number} {point.where}: someone can be hurt there; say why it "
            f'has not got it, like {point.number}="no guard fitted"'
        )


def of_that_model(book: Book, record: MachineRecord) -> list[MachineRecord]:
    """The other machines of a machine's owner of the same model that nothing tells from it, neither
    serial number nor mark nor name."""
    return [
        each
        for each in book.machines.all()
        if each.id != record.id
        and each.owner.id == record.owner.id
        and each.model == record.model
        and (each.name == record.name or not (each.name and record.name))
        and each.mark == record.mark
        and not (each.serial and record.serial)
    ]


def with_that_serial(book: Book, record: MachineRecord) -> list[SerialNumber]:
    """The other machines of the book, those that are gone, too, with a machine's serial number,
    however that is cased and its parts are joined."""
    wanted = _plain_serial(record.serial)
    return [
        each
        for each in (book.machines.serials() if wanted else ())
        if each.machine != record.id and _plain_serial(each.serial) == wanted
    ]


def _plain_serial(serial: str) -> str:
    return "".join(sign for sign in serial.casefold() if sign.isalnum())


def mark_gone(book: Book, shop: Shop, machine: str, why: str, on: date) -> MachineRecord:
    """Note that a machine is not looked after any more: it is kept, but falls due no more and
    nobody is rung about it.

    Raises:
        UnknownName; OilchartError: the day is after today.
    """
    shop.refuse_day_to_come(on, "the day it went")
    record = named(book, machine)
    keep_gone(book, shop, record.id, why, on)
    return record


def keep_gone(book: Book, shop: Shop, machine_id: int, why: str, on: date) -> None:
    """Keep that a machine is gone: no call or booked day is about it any more."""
    book.calls.take_off(machine_id, on=on, changed_on=shop.today)
    book.bookings.close(machine_id, on=on, by=BookingEnd.GONE)
    book.machines.mark_gone(machine_id, why=why, on=on)


def restore(book: Book, machine: str) -> MachineRecord:
    """Look after a machine again that was gone; its owner may be rung again, too, unless they
    asked for none.

    Raises:
        UnknownName: no machine of that number is gone.
    """
    machine_id = gone_machine_named(book.machines.gone(), machine)
    book.machines.restore(machine_id)
    record = next(each for each in book.machines.all() if each.id == machine_id)
    owner = record.owner
    if owner.do_not_contact is None or owner.do_not_contact.why == ASKED_FOR:
        return record
    owner = replace(owner, do_not_contact=None)
    book.owners.edit(owner)
    return replace(record, owner=owner)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOn:
    """A machine that was handed on.

    Args:
        before: as it was with its earlier owner.
        after: as it is with its present one.
    """

    before: MachineRecord
    after: MachineRecord


def hand_on(book: Book, shop: Shop, machine: str, owner: str, on: date) -> HandedOn:
    """Give a machine to another owner; one that is gone is looked after again. The story of its
    work is kept; what the earlier owner told of it, the conditions it worked under, what is booked
    for it and the calls about it end.

    Raises:
        UnknownName: no such machine or owner; OilchartError: it is theirs already; WrongValue: the
            day is after today, before it came or was handed on, or within a stay.
    """
    shop.refuse_day_to_come(on, "the day it was handed on")
    owners = book.owners.all()
    gone = gone_machine(book, shop, machine)
    before = named(book, machine) if gone is None else gone.record
    whom = owner_named(owners, owner)
    if whom.id == before.owner.id:
        raise OilchartError(f"{before.number}: is {whom.name}'s already; nothing was changed")
    _check_day_of_handing_on(before, on)
    book.calls.take_off(before.id, on=on, changed_on=shop.today)
    book.bookings.close(before.id, on=on, by=BookingEnd.HANDED_ON)
    book.worked_under.end_all(before.id, on)
    book.handings_on.add(before.id, from_owner=before.owner.id, to_owner=whom.id, on=on)
    if before.gone is not None:
        book.machines.restore(before.id)
    return HandedOn(before=before, after=named(book, before.number))


def refuse_earlier_owners_day(record: MachineRecord, on: date) -> None:
    """Refuse a day on which a machine was not its owner's yet.

    Raises:
        WrongValue
    """
    if not record.is_present_owners(on):
        raise WrongValue(
            "on",
            on,
            f"{record.number} was handed on to its owner on {record.handed_on}; give a day from "
            "then on",
        )


def _check_day_of_handing_on(record: MachineRecord, on: date) -> None:
    """Raises:
    WrongValue: it cannot have been handed on that day.
    """
    refuse_earlier_owners_day(record, on)
    for job in record.jobs:
        if job.in_on < on and (job.out_on is None or on < job.out_on):
            until = "" if job.out_on is None else f" until {job.out_on}"
            raise WrongValue(
                "on",
                on,
                f"{record.number} was in the shop from {job.in_on}{until}; give the day it came "
                "in, or one from its collection on",
            )


def _check_conditions(
    record: MachineRecord, change: MachineChange, known: Mapping[str, object]
) -> None:
    for condition in (*change.conditions, *change.without):
        if condition not in known:
            raise UnknownName(
                f"{record.number}: condition {quoted(condition)}: there is no such condition"
                f"{nearest(condition, known)}"
            )
    for condition in change.without:
        if condition not in record.conditions:
            raise UnknownName(
                f"{record.number}: condition {quoted(condition)}: it does not work under it"
                f"{nearest(condition, record.conditions)}"
            )


def _mechanisms_after(
    shop: Shop, record: MachineRecord, change: MechanismChange
) -> tuple[str, ...]:
    """The mechanisms a machine has after a change; empty where they are its model's.

    Raises:
        UnknownName: no such mechanism; FaultyList: they do not go together.
    """
    if not record.model and change == NO_MECHANISM_CHANGE:
        return ()
    shop.refuse_unseen(record)
    model = _ids(shop.library.point_list(record.model).mechanisms)
    if change.as_model:
        return ()
    now = _ids(shop.list_of(record).mechanisms)
    after = mechanisms_after(now, change, shop.library.mechanisms(), record.number)
    shop.library.point_list(record.model, after)
    return () if set(after) == set(model) else after


def _ids(mechanisms: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    return tuple(mechanism for mechanism, _ in mechanisms)
