"""Machines that could hurt someone: marked, checked, put right."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from operator import attrgetter

from oilchart.core.records.job import Danger, ElectricalCheck, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, WrongValue
from oilchart.shop.folder import Shop
from oilchart.shop.machines import named
from oilchart.sources.book.file.opening import Book


class WantsRepair(OilchartError):
    """A check was passed, but nothing was put right since the machine was found unsafe."""

    def __init__(self, machine: str, mark: UnsafeMark) -> None:
        super().__init__(
            f"{machine}: was found unsafe on {mark.on} ({mark.why}); nothing was written; "
            "say what was put right"
        )


def wants_a_check(shop: Shop, record: MachineRecord) -> bool:
    """Whether something was put right in the stay that lasts, at a machine with a plug of a shop
    that tests them, and no electrical check was made since."""
    job = record.open_job
    if job is None or not shop.settings_file.tests_mains or not shop.list_of(record).has_plug:
        return False
    repaired = max((each.on for each in record.repairs if each.on >= job.in_on), default=None)
    return repaired is not None and all(check.on < repaired for check in record.checks)


def mark_unsafe(
    book: Book, shop: Shop, machine: str, why: str, on: date, danger: Danger | None = None
) -> MachineRecord:
    """Note that a machine must not be plugged in, or not be used.

    Args:
        danger: that of its mains side where it has a plug, else of its moving parts, if left out.

    Raises:
        UnknownName; WrongValue: the day is after today, or the machine has no mains side.
    """
    shop.refuse_day_to_come(on, "the day it was found unsafe")
    before = named(book, machine)
    return keep(book, before, with_mark(shop, before, why, on, danger))


def make_safe(
    book: Book, shop: Shop, machine: str, put_right: str, by: str, on: date
) -> MachineRecord:
    """Note that what could hurt someone at a machine's moving parts was put right.

    Raises:
        UnknownName; OilchartError: nothing of that kind is known against it; WrongValue: the day is
            after today, or before it was found unsafe.
    """
    shop.refuse_day_to_come(on, "the day it was put right")
    before = named(book, machine)
    mechanical = [mark for mark in before.dangers if mark.danger is Danger.MECHANICAL]
    if not mechanical and before.dangers:
        raise OilchartError(
            f"{before.number}: its mains side is unsafe ({before.dangers[0].why}); only a check "
            f"that is passed lifts that: oilchart electrical {before.number}"
        )
    if not mechanical:
        raise OilchartError(f"{before.number}: nothing is known against its use")
    return keep(book, before, _lifted(before, mechanical, on, by, put_right))


def record_check(
    book: Book, shop: Shop, machine: str, check: ElectricalCheck, put_right: str = ""
) -> MachineRecord:
    """Keep an electrical check. One that is not passed makes a machine unsafe; one that is passed
    after something was put right lets it be plugged in again.

    Args:
        put_right: what was, where no repair tells it.

    Raises:
        UnknownName; WantsRepair; WrongValue: the day is after today, or before the machine was
            found unsafe; OilchartError: the machine has no plug.
    """
    shop.refuse_day_to_come(check.on, "the day of the check")
    before = named(book, machine)
    return keep(book, before, with_check(shop, before, check, put_right))


def with_mark(
    shop: Shop, record: MachineRecord, why: str, on: date, danger: Danger | None = None
) -> MachineRecord:
    """A machine with what makes it unsafe; what holds already, or was told of the same day, is not
    noted twice.

    Raises:
        WrongValue: the machine has no mains side.
    """
    has_plug = shop.list_of(record).has_plug
    if danger is Danger.ELECTRICAL and not has_plug:
        raise WrongValue("unsafe", danger, f"{record.number} has no plug; call it mechanical")
    kind = danger or (Danger.ELECTRICAL if has_plug else Danger.MECHANICAL)
    if any(
        (mark.danger, mark.why) == (kind, why) and (mark.holds or mark.on == on)
        for mark in record.unsafe_marks
    ):
        return record
    mark = UnsafeMark(id=0, danger=kind, on=on, why=why)
    return replace(record, unsafe_marks=_by_day((*record.unsafe_marks, mark)))


def with_check(
    shop: Shop, record: MachineRecord, check: ElectricalCheck, put_right: str = ""
) -> MachineRecord:
    """A machine with an electrical check, and with what follows from it; one that is kept already
    is not kept twice.

    Raises:
        WantsRepair; WrongValue: the check is before the machine was found unsafe; OilchartError:
            the machine has no plug.
    """
    if not shop.list_of(record).has_plug:
        raise OilchartError(f"{record.number}: has no plug; there is nothing to check")
    marks = [mark for mark in record.dangers if mark.danger is Danger.ELECTRICAL]
    for mark in marks:
        if check.on < mark.on:
            raise WrongValue(
                "on",
                check.on,
                f"is before the day {record.number} was found unsafe, {mark.on}; check it again",
            )
    if check in record.checks:
        return record
    checks = sorted((*record.checks, check), key=attrgetter("on"))
    record = replace(record, checks=tuple(checks))
    if not check.passed and not marks:
        why = f"not passed by {check.by}"
        return with_mark(shop, record, why, check.on, Danger.ELECTRICAL)
    if not check.proves or not marks:
        return record
    since = min(mark.on for mark in marks)
    repaired = [repair.words for repair in record.repairs if since <= repair.on <= check.on]
    if put_right:
        repaired.append(put_right)
    if not repaired:
        raise WantsRepair(record.number, marks[0])
    return _lifted(record, marks, check.on, check.by, "; ".join(repaired))


def keep(book: Book, before: MachineRecord, after: MachineRecord) -> MachineRecord:
    """Put what was noted of a machine's safety into the book; the machine with it."""
    for check in after.checks:
        if check not in before.checks:
            book.checks.add(after.id, check)
    marks = []
    for mark in after.unsafe_marks:
        if mark.id == 0:
            mark = replace(mark, id=book.unsafe_marks.add(after.id, mark))
        elif mark not in before.unsafe_marks:
            book.unsafe_marks.edit(mark)
        marks.append(mark)
    return replace(after, unsafe_marks=tuple(marks))


def _lifted(
    record: MachineRecord, marks: list[UnsafeMark], on: date, by: str, put_right: str
) -> MachineRecord:
    """A machine with marks lifted.

    Raises:
        WrongValue: the day is before one of them.
    """
    for mark in marks:
        if on < mark.on:
            found = f"was found unsafe, {mark.on}"
            raise WrongValue(
                "on", on, f"is before the day {record.number} {found}; give a later day"
            )
    lifted = {
        mark.id: replace(mark, lifted_on=on, lifted_by=by, put_right=put_right) for mark in marks
    }
    return replace(
        record,
        unsafe_marks=tuple(lifted.get(mark.id, mark) for mark in record.unsafe_marks),
    )


def _by_day(marks: tuple[UnsafeMark, ...]) -> tuple[UnsafeMark, ...]:
    return tuple(sorted(marks, key=attrgetter("on")))
