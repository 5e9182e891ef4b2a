"""Services of the shop's machines: which points were done, what was found and left, and the shorter
intervals this proposes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.days import add_months
from oilchart.core.planning.carried_over import WAITS_MONTHS
from oilchart.core.planning.own_interval_proposals import Proposal, proposals
from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import Keeper, Point, PointList
from oilchart.core.records.findings import (
    Finding,
    Found,
    ServiceNotes,
    as_once_kept,
    check_notes,
    findings_of,
    same_noted,
)
from oilchart.core.records.job import Unsafe
from oilchart.core.records.machine_record import MachineRecord, under_its_list
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.records.service_record import ServiceRecord
from oilchart.errors import OilchartError, UnknownName, WrongValue, nearest, quoted
from oilchart.shop.folder import Shop
from oilchart.shop.machines import NamedMachine
from oilchart.shop.reckonings import reckoning_of
from oilchart.shop.standings import among
from oilchart.sources.book.file.opening import Book
from oilchart.sources.files.settings import Settings

MOST_NAMED = 6  # of the points that a name fits


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceKept:
    """How a machine stands after a service, what was kept of it, and the shorter intervals it
    proposes."""

    standing: Standing
    findings: tuple[Finding, ...]
    proposals: tuple[Proposal, ...]


class KeptAlready(OilchartError):
    """A service like it, of the same machine and day, is in the book."""

    def __init__(self, machine: str, on: date) -> None:
        super().__init__(
            f"{machine}: this service of {on} is in the book already; "
            "of a second one that day say more"
        )


class WantsDayBack(OilchartError):
    """A service left points out that cannot wait for the next one, and no day is told on which the
    machine is wanted back."""

    def __init__(self, machine: str, points: Sequence[Point]) -> None:
        named = ", ".join(point.where for point in points)
        super().__init__(
            f"{machine}: cannot wait for its next service: {named}; nothing was written; "
            "say on which day it comes back for it"
        )


def named(shop: Shop, record: MachineRecord, notes: ServiceNotes) -> ServiceNotes:
    """What is told of a service with each point by its id; it may be named by its number or a part
    of its place, too.

    Raises:
        UnknownName: there is no such point, or more than one.
    """
    point_list = shop.list_for_owner_of(record)
    return notes.named_by(lambda name: _point_named(point_list, record, name))


def record(
    book: Book, shop: Shop, machine: NamedMachine, on: date, notes: ServiceNotes
) -> ServiceKept:
    """Keep a service: the points of a service on that day and the owner's points, as was noted
    otherwise; with a bench checklist only what was ticked.

    A service that is in the book already and is told again to accept its shorter intervals is not
    kept twice. One that a machine was found unsafe at ends its care cards until an electrical check
    is passed. Work at named points only ends no call and no booking.

    Raises:
        UnknownName: no such point; KeptAlready; WantsDayBack; OilchartError: the day is after
            today, or what is told contradicts itself.
    """
    shop.refuse_day_to_come(on, "the day of the work")
    before = under_its_list(machine.record, shop.list_of(machine.record))
    _check_points(shop.list_for_owner_of(before), before, notes.points)
    check_notes(notes)
    settings = shop.settings_in(book)
    again = _kept_already(shop, settings, before, on, notes)
    if again is not None and not notes.accept and notes.ticked is None:
        raise KeptAlready(before.number, on)
    findings = findings_at(shop, settings, before, on, notes) if again is None else again
    after = before
    if again is None or not notes.accept:
        after = _with_service(book, before, on, findings, notes)
        _check_back(shop, settings, after, on, notes.back_on)
    proposed = _proposals(shop, settings, before, on, findings, freed=notes.freed)
    if notes.accept:
        shorter = _tightened(
            before.own_intervals, (each.own_interval(shop.today) for each in proposed)
        )
        book.own_intervals.accept(
            before.id, [limit for limit in shorter if limit not in before.own_intervals]
        )
        after = replace(after, own_intervals=shorter)
    if notes.unsafe:
        after = replace(after, unsafe=Unsafe(on=on, why=notes.unsafe))
        book.machines.set_unsafe(before.id, after.unsafe)
    # an older one, told late, is not what the call was for
    if not notes.only and all(service.on <= on for service in before.services):
        book.calls.take_off(before.id, on=on, changed_on=shop.today)
        book.bookings.close(before.id, on=on, by="service")
        after = replace(after, booked=None)
    everyone = [after if each.id == after.id else each for each in machine.everyone]
    [standing] = among(book, shop, everyone, [after])
    return ServiceKept(standing=standing, findings=findings, proposals=proposed)


def _check_back(
    shop: Shop, settings: Settings, record: MachineRecord, on: date, back_on: date | None
) -> None:
    """A machine whose service left something out that cannot wait is wanted back on a day.

    Raises:
        WantsDayBack: no day is told; WrongValue: the day is not after the service, or later than
            all else that is left out waits, or nothing was left out that wants one.
    """
    if back_on is not None and back_on <= on:
        raise WrongValue("back-on", back_on, f"is not after the service of {on}; give a later day")
    if back_on is not None and back_on > add_months(on, WAITS_MONTHS):
        late = f"is more than {WAITS_MONTHS} months after the service of {on}; give an earlier day"
        raise WrongValue("back-on", back_on, late)
    latest = all(service.on <= on for service in record.services)
    waiting = reckoning_of(shop, settings, record).wanted_back(on) if latest else ()
    if waiting and back_on is None:
        raise WantsDayBack(record.number, waiting)
    if back_on is not None and not waiting:
        raise WrongValue(
            "back-on", back_on, "nothing was left out that cannot wait; leave the day out"
        )


def findings_at(
    shop: Shop, settings: Settings, record: MachineRecord, on: date, notes: ServiceNotes
) -> tuple[Finding, ...]:
    """What is kept of a service: the points planned for that day, as things stood then, and what
    was noted.

    An owner's point counts as done, as in every service; by a bench checklist only what was ticked
    does.

    Raises:
        UnknownName: the machine has no such point.
    """
    point_list = shop.list_for_owner_of(record)
    before = replace(
        record, services=tuple(service for service in record.services if service.on <= on)
    )
    found: dict[str, tuple[Found, ...]] = {}
    for point_id, words in notes.found:
        found[point_id] = tuple(dict.fromkeys((*found.get(point_id, ()), *words)))
    left = dict(notes.left)
    if notes.only:
        return findings_of(point_list, (), notes.only, found, left)
    ticked, also = set(notes.ticked or ()), set(notes.also)
    planned = {point.id for point in reckoning_of(shop, settings, before).points_at(on)}
    owners = {point.id for point in point_list.kept_by(Keeper.OWNER)}
    if notes.ticked is not None:
        owners &= ticked | also | set(notes.excepted) | found.keys() | left.keys()
    planned |= owners
    done = planned | also if notes.ticked is None else ticked | also
    return findings_of(point_list, planned, done - set(notes.excepted), found, left)


def _point_named(point_list: PointList, record: MachineRecord, name: str) -> str:
    """The id of a point by its id, its number, or a part of its place that no other has.

    Raises:
        UnknownName: there is none, or more than one.
    """
    point = point_list.point(name)
    if point is not None:
        return point.id
    if name.isdecimal():
        fits = [each for each in point_list.points if str(each.number) == name.lstrip("0")]
    else:
        part = " ".join(name.replace("-", " ").casefold().split())
        fits = [
            each
            for each in point_list.points
            if part in each.where.casefold() or part in (each.home or "").casefold()
        ]
    if len(fits) == 1:
        return fits[0].id
    if fits:
        several = ", ".join(f"{each.number} {each.where}" for each in fits[:MOST_NAMED])
        more = f" and {len(fits) - MOST_NAMED} more" if len(fits) > MOST_NAMED else ""
        raise UnknownName(
            f"{record.number}: point {quoted(name)}: fits {several}{more}; name one by its number"
        )
    raise _no_such_point(point_list, record, name)


def _check_points(point_list: PointList, record: MachineRecord, points: Iterable[str]) -> None:
    for point_id in points:
        if point_list.point(point_id) is None:
            raise _no_such_point(point_list, record, point_id)


def _no_such_point(point_list: PointList, record: MachineRecord, name: str) -> UnknownName:
    near = nearest(name, [each.id for each in point_list.points])
    return UnknownName(
        f"{record.number}: point {quoted(name)}: {point_list.name} has no such point{near}"
    )


def _kept_already(
    shop: Shop, settings: Settings, record: MachineRecord, on: date, notes: ServiceNotes
) -> tuple[Finding, ...] | None:
    """What is kept of a service that is in the book already just as it is told now; None where
    there is none such."""
    for service in record.services:
        if (service.on, service.note, service.freed) != (on, notes.note, notes.freed):
            continue
        others = tuple(other for other in record.services if other is not service)
        before = replace(record, services=others)
        findings = findings_at(shop, settings, before, on, notes)
        told = set(findings) if service.complete else as_once_kept(findings)
        if told == set(service.findings):
            return findings
    return None


def _with_service(
    book: Book,
    record: MachineRecord,
    on: date,
    findings: Sequence[Finding],
    notes: ServiceNotes,
) -> MachineRecord:
    """Keep a service of a machine; the machine with it.

    Raises:
        OilchartError: these findings were taken from a bench checklist before.
    """
    if notes.ticked is not None and any(
        each.on == on and same_noted(each.findings, findings) for each in record.services
    ):
        raise OilchartError(
            f"{record.number}: these findings of {on} are in the book already; nothing was changed"
        )
    by_point = tuple(sorted(findings, key=attrgetter("point")))
    service = ServiceRecord(
        id=0,
        on=on,
        findings=by_point,
        note=notes.note,
        freed=notes.freed,
        whole=not notes.only,
        back_on=notes.back_on,
    )
    service = replace(service, id=book.services.add(record.id, service))
    services = sorted((*record.services, service), key=attrgetter("on"))
    return replace(record, services=tuple(services))


def _proposals(
    shop: Shop,
    settings: Settings,
    record: MachineRecord,
    on: date,
    findings: Sequence[Finding],
    *,
    freed: bool,
) -> tuple[Proposal, ...]:
    """The shorter intervals that findings of a service on a day propose, by how the machine stood
    before that day."""
    before = replace(
        record, services=tuple(service for service in record.services if service.on < on)
    )
    freed = freed or any(service.freed for service in record.services if service.on == on)
    return proposals(reckoning_of(shop, settings, before), findings, on, freed=freed)


def _tightened(
    known: Iterable[OwnInterval], more: Iterable[OwnInterval]
) -> tuple[OwnInterval, ...]:
    """Shorter intervals with others besides, by point; of two of a point each shorter limit."""
    by_point = {limit.point: limit for limit in known}
    for limit in more:
        before = by_point.get(limit.point)
        by_point[limit.point] = limit if before is None else before.tightened(limit)
    return tuple(by_point[point] for point in sorted(by_point))
