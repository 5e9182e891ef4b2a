"""A service that was written down wrongly, mended: its day, its points, what was found and left,
and who did it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.machine_record import MachineRecord, under_its_list
from oilchart.core.records.service_record import ServiceRecord
from oilchart.errors import OilchartError, UnknownName, WrongValue
from oilchart.shop.bench.services import check_reasons, wanted_back_on
from oilchart.shop.folder import Shop
from oilchart.shop.machines import NamedMachine
from oilchart.shop.points_named import point_named
from oilchart.shop.standings import among
from oilchart.sources.book.file.opening import Book

MOST_DAYS = 6  # of services that a refusal names


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceChange:
    """What of a service was otherwise than it was written down; None, and what is not named, stays.

    Args:
        day: its first day.
        done: points that were done.
        not_done: points that were not done, each with why, which may be empty.
        found, left: how points were found and left, in the place of what was noted there.
        unnoted: points at which nothing was noted.
        by: who did the work.
        back_on: the day on which the machine is wanted back for what was left out.
    """

    day: date | None = None
    done: tuple[str, ...] = ()
    not_done: tuple[tuple[str, str], ...] = ()
    found: tuple[tuple[str, tuple[Found, ...]], ...] = ()
    left: tuple[tuple[str, Left], ...] = ()
    unnoted: tuple[str, ...] = ()
    by: str | None = None
    back_on: date | None = None

    @property
    def moves_dates(self) -> bool:
        """Whether it can change when a point falls due."""
        return bool(self.day or self.done or self.not_done or self.back_on)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceCorrected:
    """A service before and after it was mended, and how its machine stands.

    Args:
        checks_moved: its electrical check has its day, too.
        shorter: points whose accepted shorter intervals rest on what was found there.
    """

    standing: Standing
    point_list: PointList
    before: ServiceRecord
    after: ServiceRecord
    checks_moved: bool
    shorter: tuple[str, ...]


def correct(
    book: Book, shop: Shop, machine: NamedMachine, on: date | None, change: ServiceChange
) -> ServiceCorrected:
    """Mend a service of a machine: the latest, or that of a day.

    With another day goes the electrical check that was made on the same. Where it is the latest
    whole service only now, it ends the calls and the booking that were open for it.

    Raises:
        UnknownName: there is no such service or point; WantsReason; WantsDayBack; WrongValue: the
            day cannot be; OilchartError: it is written down so already, nothing would be left of
            it, or what is told contradicts itself.
    """
    record = under_its_list(machine.record, shop.list_of(machine.record))
    point_list = shop.list_for_owner_of(record)
    before = _service_on(record, on)
    after = _with_day(shop, record, before, change.day)
    after = replace(
        after,
        findings=_findings(point_list, record, after.findings, change),
        by=before.by if change.by is None else change.by,
    )
    if not any(each.done for each in after.findings) and any(each.done for each in before.findings):
        raise OilchartError(
            f"{record.number}: nothing would be left of the service of {before.on}; nothing was "
            "changed; take it back instead"
        )
    moved = after.on != before.on and any(
        check.on == before.on and not check.before for check in record.checks
    )
    as_mended = _with_service(record, after, before.on)
    if change.moves_dates:
        after = replace(after, back_on=_back_on(book, shop, as_mended, point_list, after, change))
    if after == before:
        raise OilchartError(
            f"{record.number}: the service of {before.on} is written down so already; nothing was "
            "changed"
        )
    as_mended = _with_service(record, after, before.on)
    book.services.put(after)
    if moved:
        book.checks.move(record.id, before.on, after.on)
    if _is_latest(as_mended, after) and not _is_latest(record, before):
        book.calls.take_off(record.id, on=after.on, changed_on=shop.today)
        book.bookings.close(record.id, on=after.on, by=BookingEnd.SERVICE)
        as_mended = as_mended.with_booking_closed(after.on, BookingEnd.SERVICE)
    everyone = [as_mended if each.id == record.id else each for each in machine.everyone]
    [standing] = among(book, shop, everyone, [as_mended])
    now = {each.point: each for each in after.findings}
    return ServiceCorrected(
        standing=standing,
        point_list=point_list,
        before=before,
        after=after,
        checks_moved=moved,
        shorter=tuple(
            limit.point
            for limit in record.own_intervals
            if limit.found_on == before.on
            and limit.point in now
            and not set(limit.found) <= set(now[limit.point].found)
        ),
    )


def _service_on(record: MachineRecord, on: date | None) -> ServiceRecord:
    """The latest service of a machine, or that of a day.

    Raises:
        UnknownName: there is none.
    """
    if not record.services:
        raise UnknownName(f"{record.number}: there is no service of it")
    found = [each for each in record.services if on is None or each.on == on]
    if not found:
        days = ", ".join(str(each.on) for each in record.services[-MOST_DAYS:])
        raise UnknownName(f"{record.number}: there is no service of {on}; there are: {days}")
    return found[-1]


def _with_day(
    shop: Shop, record: MachineRecord, service: ServiceRecord, day: date | None
) -> ServiceRecord:
    """A service with another first day, in the stay of that day.

    Raises:
        WrongValue: the day is after today, or after one on which more of it was done;
            OilchartError: that stay, or that day, has a service already.
    """
    if day is None or day == service.on:
        return service
    if day > shop.today:
        raise WrongValue("day", day, f"is after today, {shop.today}; give a day that has been")
    later = [each.on for each in service.findings if each.on is not None]
    if later and min(later) < day:
        raise WrongValue(
            "day", day, f"part of its work was done on {min(later)}; give no later day than that"
        )
    job = record.job_on(day)
    for each in record.services:
        same = each.on == day if job is None else record.job_of(each) == job
        if each.id != service.id and same:
            where = f"on {day}" if job is None else f"in the stay of {job.in_on}"
            raise OilchartError(
                f"{record.number}: {where} there is a service already, of {each.on}; nothing was "
                "changed; mend that one, or give another day"
            )
    findings = tuple(
        replace(each, on=None) if each.on == day else each for each in service.findings
    )
    return replace(service, on=day, findings=findings, job=None if job is None else job.id)


def _findings(
    point_list: PointList,
    record: MachineRecord,
    findings: Iterable[Finding],
    change: ServiceChange,
) -> tuple[Finding, ...]:
    """What was noted at the points of a service after a change, by point.

    Raises:
        UnknownName; OilchartError: a point is told to be done and not, or only a check shows it.
    """
    by_point = {each.point: each for each in findings}

    def named(name: str) -> str:
        point = point_named(point_list, record, name)
        by_point.setdefault(point, Finding(point=point, done=False, planned=False))
        return point

    done = [_no_proof(point_list, record, named(name)) for name in change.done]
    not_done = {_no_proof(point_list, record, named(name)): why for name, why in change.not_done}
    for point in done:
        if point in not_done:
            raise OilchartError(
                f'{record.number}: point "{point}": was either done or not; leave one of the two '
                "out"
            )
        if not by_point[point].done:
            by_point[point] = replace(by_point[point], done=True, ticked=True, why="")
    for point, why in not_done.items():
        by_point[point] = replace(
            by_point[point], done=False, ticked=False, on=None, why=why or by_point[point].why
        )
    for name in change.unnoted:
        point = named(name)
        by_point[point] = replace(by_point[point], found=(), left=None)
    for name, words in change.found:
        point = named(name)
        by_point[point] = replace(by_point[point], found=words, ticked=by_point[point].done)
    for name, word in change.left:
        point = named(name)
        by_point[point] = replace(by_point[point], left=word, ticked=by_point[point].done)
    return tuple(by_point[point] for point in sorted(by_point))


def _no_proof(point_list: PointList, record: MachineRecord, point_id: str) -> str:
    """A point that counts by being told.

    Raises:
        OilchartError: it counts by a check.
    """
    point = point_list.point(point_id)
    if point is not None and point.proof is not None:
        raise OilchartError(
            f'{record.number}: point "{point_id}": counts by a named check alone; record that one: '
            "oilchart electrical"
        )
    return point_id


def _with_service(record: MachineRecord, service: ServiceRecord, was_on: date) -> MachineRecord:
    """A machine with a service as it is mended, and the checks of its day with it."""
    others = (each for each in record.services if each.id != service.id)
    checks = (
        replace(each, on=service.on) if each.on == was_on and not each.before else each
        for each in record.checks
    )
    return replace(
        record,
        services=tuple(sorted((*others, service), key=attrgetter("on"))),
        checks=tuple(sorted(checks, key=attrgetter("on"))),
    )


def _back_on(
    book: Book,
    shop: Shop,
    record: MachineRecord,
    point_list: PointList,
    service: ServiceRecord,
    change: ServiceChange,
) -> date | None:
    """The day on which a machine is wanted back after its service was mended.

    Raises:
        WantsReason; WantsDayBack; WrongValue
    """
    told = {point_named(point_list, record, name) for name, _ in change.not_done}
    only = tuple(each for each in service.findings if each.point in told)
    check_reasons(record, point_list, replace(service, findings=only))
    if not _is_latest(record, service) and change.back_on is None:
        return service.back_on
    return wanted_back_on(shop, shop.settings_in(book), record, service, change.back_on)


def _is_latest(record: MachineRecord, service: ServiceRecord) -> bool:
    """Whether a service is the latest whole one of a machine."""
    return service.whole and all(each.on <= service.on for each in record.services)
