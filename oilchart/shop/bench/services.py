"""Services of the shop's machines: what is told of one, what is kept of it, and the shorter
intervals this proposes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter

from oilchart.core.days import add_months
from oilchart.core.planning.carried_over import WAITS_MONTHS
from oilchart.core.planning.own_interval_proposals import Proposal, proposals
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.standing import Standing
from oilchart.core.point_lists.point_list import Keeper, Point, PointList
from oilchart.core.records.booking import BookingEnd
from oilchart.core.records.findings import Finding, Found, Left, findings_of, together
from oilchart.core.records.machine_record import MachineRecord, struck, under_its_list
from oilchart.core.records.note import Note
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.records.service_notes import ServiceNotes, check_notes
from oilchart.core.records.service_record import ServiceRecord
from oilchart.errors import OilchartError, WrongValue
from oilchart.shop.bench import safety
from oilchart.shop.bench.stay import worked_on
from oilchart.shop.folder import Shop
from oilchart.shop.machines import NamedMachine, keep_note
from oilchart.shop.points_named import check_points, point_named, points_named
from oilchart.shop.reckonings import machine_of, reckoning_of
from oilchart.shop.standings import among
from oilchart.sources.book.file.opening import Book
from oilchart.sources.files.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldService:
    """A service as it would be written by what is told of it.

    Args:
        machine: as it is with all that was told.
        service: with what was told of it before in the same stay.
        told_before: as it is in the book; None where nothing is yet.
        point_list: of the machine.
        proven: the mains test that it asks for was made.
    """

    machine: MachineRecord
    service: ServiceRecord
    told_before: ServiceRecord | None
    point_list: PointList
    proven: bool

    @property
    def new(self) -> tuple[Finding, ...]:
        """The points whose work is told now."""
        before = () if self.told_before is None else self.told_before.findings
        done = {each.point for each in before if each.done}
        return tuple(each for each in self.service.findings if each.done and each.point not in done)

    @property
    def left_out(self) -> tuple[Finding, ...]:
        """The bench points that were planned and not done; a mains test that was made is done."""
        return tuple(
            each
            for each in self.service.findings
            if each.planned and not each.done and not (self.proven and self._is_proof(each.point))
        )

    @property
    def could_wait(self) -> int:
        """How many points were not planned for it, nor done."""
        return sum(not each.planned and not each.done for each in self.service.findings)

    def _is_proof(self, point_id: str) -> bool:
        point = self.point_list.point(point_id)
        return point is not None and point.proof is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceKept:
    """How a machine stands after a service, what was kept of it, and the shorter intervals it
    proposes."""

    standing: Standing
    told: ToldService
    proposals: tuple[Proposal, ...]


class KeptAlready(OilchartError):
    """All that is told of a service is in the book."""

    def __init__(self, machine: str, on: date) -> None:
        super().__init__(
            f"{machine}: this service of {on} is in the book already; nothing was changed"
        )


class WantsReason(OilchartError):
    """Points at which someone can be hurt were left out, and it is not told why."""

    def __init__(self, machine: str, points: Sequence[Point]) -> None:
        self.points = tuple(points)
        named = ", ".join(f"{point.number} {point.where}" for point in points)
        super().__init__(
            f"{machine}: left out without a reason: {named}; nothing was written; say why"
        )


class WantsDayBack(OilchartError):
    """A service left points out that cannot wait for the next one, and no day is told on which the
    machine is wanted back.

    Args:
        points: the first of them the mains test, where it is one.
    """

    def __init__(self, machine: str, points: Sequence[Point]) -> None:
        self.points = tuple(sorted(points, key=lambda point: point.proof is None))
        named = ", ".join(point.where for point in self.points)
        super().__init__(
            f"{machine}: cannot wait for its next service: {named}; nothing was written; "
            "say on which day it comes back for it"
        )

    @property
    def tests(self) -> tuple[Point, ...]:
        """Those among its points that an electrical check is the proof of."""
        return tuple(point for point in self.points if point.proof is not None)


def record(
    book: Book,
    shop: Shop,
    machine: NamedMachine,
    on: date,
    notes: ServiceNotes,
    *,
    expected: ToldService | None = None,
) -> ServiceKept:
    """Keep a service, or add to the one of the same stay.

    Where nothing was ticked, what was found, noted or unsafe is kept as work at no point: it is no
    whole service, so nothing is carried over by it. One that is in the book already and is told
    again to accept its shorter intervals is not kept twice. One that a machine was found unsafe at
    ends its care cards until that is put right. Work at named points only, or at none, ends no call
    and no booking.

    Args:
        expected: what was shown before, and meant.

    Raises:
        UnknownName: no such point; KeptAlready; WantsReason; WantsDayBack; OilchartError: the day
            is after today, what is told contradicts itself, or the book is not as it was shown.
    """
    before = machine.record
    told = tell(book, shop, machine, on, notes)
    if expected is not None and told.service != expected.service:
        raise OilchartError(
            f"{before.number}: the book was changed meanwhile; nothing was written; try again"
        )
    noted = [
        note
        for words, for_owner in ((notes.note, False), (notes.for_owner, True))
        if words and (note := Note(on=on, words=words, for_owner=for_owner)) not in before.notes
    ]
    says_more = told.machine.checks != before.checks or noted
    if told.service == told.told_before and not (
        notes.accept or says_more or told.machine.dangers != before.dangers
    ):
        raise KeptAlready(before.number, told.service.on)
    after = worked_on(book, _kept(book, before, told))
    for note in noted:
        after = keep_note(book, after, note)
    settings = shop.settings_in(book)
    proposed = _proposals(shop, settings, before, told)
    if notes.accept:
        shorter = _tightened(
            before.own_intervals, (each.own_interval(shop.today) for each in proposed)
        )
        book.own_intervals.accept(
            before.id, [limit for limit in shorter if limit not in before.own_intervals]
        )
        after = replace(after, own_intervals=shorter)
    # an older one, told late, is not what the call was for
    if told.service.whole and all(each.on <= told.service.on for each in before.services):
        book.calls.take_off(before.id, on=told.service.on, changed_on=shop.today)
        book.bookings.close(before.id, on=told.service.on, by=BookingEnd.SERVICE)
        after = after.with_booking_closed(told.service.on, BookingEnd.SERVICE)
    everyone = [after if each.id == after.id else each for each in machine.everyone]
    [standing] = among(book, shop, everyone, [after])
    return ServiceKept(standing=standing, told=told, proposals=proposed)


def tell(
    book: Book, shop: Shop, machine: NamedMachine, on: date, notes: ServiceNotes
) -> ToldService:
    """A service as it would be written by what is told of it now and was told in the same stay;
    nothing is kept of it yet.

    Raises:
        UnknownName: no such point; WantsReason; WantsDayBack; WantsRepair; OilchartError: the day
            is after today, or what is told contradicts itself.
    """
    shop.refuse_day_to_come(on, "the day of the work")
    shop.refuse_unseen(machine.record)
    settings = shop.settings_in(book)
    record = under_its_list(machine.record, shop.list_of(machine.record))
    point_list = shop.list_for_owner_of(record)
    check_points(point_list, record, notes.points)
    check_notes(notes)
    if notes.unsafe:
        record = safety.with_mark(shop, record, notes.unsafe, on, notes.danger)
    if notes.check is not None:
        record = safety.with_check(shop, record, replace(notes.check, on=on))
    before = service_of_stay(record, on)
    service = _service(shop, settings, record, before, on, notes)
    others = tuple(each for each in record.services if before is None or each.id != before.id)
    after = replace(record, services=tuple(sorted((*others, service), key=attrgetter("on"))))
    check_reasons(after, point_list, service)
    service = replace(
        service, back_on=wanted_back_on(shop, settings, after, service, notes.back_on)
    )
    return ToldService(
        machine=record,
        service=service,
        told_before=before,
        point_list=point_list,
        proven=after.is_tested(service),
    )


def _check_edition(record: MachineRecord, point_list: PointList, edition: str) -> None:
    """Numbers read from a paper must be those of the list as it is.

    Raises:
        WrongValue
    """
    now = point_list.edition.code
    if edition not in ("", now):
        raise WrongValue(
            "edition",
            edition,
            f"{record.number}'s list is {now} now; print its checklist anew and compare, or name "
            "the points by their ids",
        )


def named(shop: Shop, record: MachineRecord, notes: ServiceNotes) -> ServiceNotes:
    """What is told of a service with each point by its id; it may be named by its number or a part
    of its place, too, and several that are ticked by a range of numbers.

    Raises:
        UnknownName: there is no such point, or more than one; WrongValue: the numbers are of
            another edition of the list.
    """
    shop.refuse_unseen(record)
    record = under_its_list(record, shop.list_of(record))
    point_list = shop.list_for_owner_of(record)
    _check_edition(record, point_list, notes.edition)
    return notes.named_by(
        lambda name: point_named(point_list, record, name),
        lambda name: points_named(point_list, record, name),
    )


def service_of_stay(record: MachineRecord, on: date) -> ServiceRecord | None:
    """The service to which what is told of a day belongs: that of the same stay, or, where the
    machine was not in the shop, of the same day; None where there is none yet."""
    job = record.job_on(on)
    if job is None:
        return next((each for each in record.services if each.on == on), None)
    return next((each for each in record.services if record.job_of(each) == job), None)


def _service(
    shop: Shop,
    settings: Settings,
    record: MachineRecord,
    before: ServiceRecord | None,
    on: date,
    notes: ServiceNotes,
) -> ServiceRecord:
    """What is told of a service, put together with what is kept of it already."""
    if before is not None and before.whole and notes.as_a_whole and notes.named:
        # of a service that was told already only what is named now is added
        notes = replace(notes, ticked=tuple(notes.also))
    findings = findings_at(shop, settings, record, on, notes)
    job = record.job_on(on)
    told = ServiceRecord(
        id=0,
        on=on,
        findings=tuple(sorted(findings, key=attrgetter("point"))),
        freed=notes.freed,
        whole=not notes.at_named_points,
        job=None if job is None else job.id,
        by=notes.by or settings.work_by,
    )
    if before is None:
        return told
    done = {each.point for each in before.findings if each.done}
    for point_id in notes.excepted:
        if point_id in done:
            raise OilchartError(
                f'{record.number}: point "{point_id}": is done in the service of {before.on} '
                "already; it cannot be left out of it any more"
            )
    more = told.findings
    if not before.complete:  # of one kept before services had a row for each bench point
        more = tuple(each for each in more if each.planned or each.done or each.found or each.left)
    workers = dict.fromkeys(name for name in (before.by, notes.by) if name)
    return ServiceRecord(
        id=before.id,
        on=min(before.on, on),
        findings=together(before.findings, more, before.on, on),
        freed=before.freed or told.freed,
        whole=before.whole or told.whole,
        complete=before.complete,
        back_on=before.back_on,
        job=told.job,
        by=", ".join(workers),
    )


def check_reasons(record: MachineRecord, point_list: PointList, service: ServiceRecord) -> None:
    """Of each point at which someone can be hurt and that was left out it is told why; a test that
    was not made, what was declined, and what cannot be done as the machine is, speak for
    themselves.

    Raises:
        WantsReason
    """
    off = struck(point_list, record.dangers)
    silent = [
        point
        for each in service.findings
        if each.planned and not each.done and not each.why and each.left is not Left.DECLINED
        if (point := point_list.point(each.point)) is not None
        and point.safety
        and point.proof is None
        and point.id not in off
    ]
    if silent and service.whole:
        raise WantsReason(record.number, silent)


def wanted_back_on(
    shop: Shop,
    settings: Settings,
    record: MachineRecord,
    service: ServiceRecord,
    back_on: date | None,
) -> date | None:
    """The day on which a machine is wanted back whose service left something out that cannot wait;
    None where nothing does.

    Raises:
        WantsDayBack: no day is told; WrongValue: the day is not after the service, or later than
            all else that is left out waits, or nothing was left out that wants one.
    """
    last = service.last_day
    if back_on is not None and back_on <= last:
        raise WrongValue(
            "back-on", back_on, f"is not after the service of {last}; give a later day"
        )
    if back_on is not None and back_on > add_months(last, WAITS_MONTHS):
        late = f"is more than {WAITS_MONTHS} months after the service of {last}"
        raise WrongValue("back-on", back_on, f"{late}; give an earlier day")
    latest = all(each.on <= service.on for each in record.services)
    without = replace(
        record,
        services=tuple(
            replace(each, back_on=None) if each.id == service.id else each
            for each in record.services
        ),
    )
    waiting = reckoning_of(shop, settings, without).wanted_back(service.on) if latest else ()
    if not waiting:
        if back_on is not None:
            raise WrongValue(
                "back-on", back_on, "nothing was left out that cannot wait; leave the day out"
            )
        return None
    if back_on is None and service.back_on is None:
        raise WantsDayBack(record.number, waiting)
    return back_on or service.back_on


def _kept(book: Book, machine: MachineRecord, told: ToldService) -> MachineRecord:
    """Put a service into the book, as far as it is not there, with what was told of safety; the
    machine with it."""
    service = told.service
    record = safety.keep(book, machine, told.machine)
    if told.told_before is None:
        service = replace(service, id=book.services.add(record.id, service))
    elif service != told.told_before:
        book.services.put(service)
    others = [each for each in record.services if each.id != service.id]
    return replace(record, services=tuple(sorted((*others, service), key=attrgetter("on"))))


def findings_at(
    shop: Shop, settings: Settings, record: MachineRecord, on: date, notes: ServiceNotes
) -> tuple[Finding, ...]:
    """What is kept of a service: the points planned for that day, as things stood then, and what
    was noted.

    An owner's point counts as done, as in every service; by a bench checklist only what was ticked
    does. A point that only a check can prove is never done by being told, nor one that the owner
    declined, which is carried over. What cannot be done while
    something makes the machine unsafe is not done, unless it is named.

    Raises:
        UnknownName: the machine has no such point.
    """
    point_list = shop.list_for_owner_of(record)
    found: dict[str, tuple[Found, ...]] = {}
    for point_id, words in notes.found:
        found[point_id] = tuple(dict.fromkeys((*found.get(point_id, ()), *words)))
    left, why = dict(notes.left), dict(notes.why)
    declined = {point_id for point_id, how in left.items() if how is Left.DECLINED}
    not_done = declined | {point.id for point in point_list.points if point.proof is not None}
    named = notes.named
    if notes.at_named_points:
        findings = findings_of(point_list, (), set(notes.only) - not_done, found, left)
    else:
        ticked, also = set(notes.ticked or ()), set(notes.also)
        planned = _planned(shop, settings, record, on) | declined
        owners = {point.id for point in point_list.kept_by(Keeper.OWNER)}
        excepted = set(notes.excepted)
        if notes.as_a_whole:
            planned |= owners
            done = (planned - struck(point_list, record.dangers)) | also
        else:
            planned |= owners & (ticked | also | excepted | found.keys() | left.keys())
            done = ticked | also
        findings = findings_of(point_list, planned, done - excepted - not_done, found, left)
    return tuple(
        replace(
            each,
            ticked=each.done and each.point in named,
            why="" if each.done else why.get(each.point, ""),
        )
        for each in findings
    )


def _planned(shop: Shop, settings: Settings, record: MachineRecord, on: date) -> set[str]:
    """The ids of the points of a service on a day, as things stood then; also of those that cannot
    be done as the machine is."""
    before = replace(
        record, services=tuple(service for service in record.services if service.on <= on)
    )
    machine = replace(machine_of(shop, before), struck=frozenset())
    reckoning = Reckoning(
        machine,
        open_days=settings.limits.open_days,
        lead_days=settings.lead_days,
        allowances=shop.allowances,
    )
    return {point.id for point in reckoning.points_at(on)}


def _proposals(
    shop: Shop, settings: Settings, record: MachineRecord, told: ToldService
) -> tuple[Proposal, ...]:
    """The shorter intervals that findings of a service propose, in list order, by how the machine
    stood before its first day."""
    service = told.service
    before = replace(
        record, services=tuple(each for each in record.services if each.on < service.on)
    )
    by_point = {each.point: each for each in service.findings}
    findings = [by_point[point.id] for point in told.point_list.points if point.id in by_point]
    return proposals(
        reckoning_of(shop, settings, before), findings, service.on, freed=service.freed
    )


def _tightened(
    known: Iterable[OwnInterval], more: Iterable[OwnInterval]
) -> tuple[OwnInterval, ...]:
    """Shorter intervals with others besides, by point; of two of a point each shorter limit."""
    by_point = {limit.point: limit for limit in known}
    for limit in more:
        before = by_point.get(limit.point)
        by_point[limit.point] = limit if before is None else before.tightened(limit)
    return tuple(by_point[point] for point in sorted(by_point))
