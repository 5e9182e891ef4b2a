"""A machine as the shop keeps it: whose it is, what was said of it, its stays and services."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.point_lists.mechanisms import NO_MECHANISM_CHANGE, MechanismChange
from oilchart.core.point_lists.point_list import PointList, Proof
from oilchart.core.records.booking import Booking, BookingEnd
from oilchart.core.records.findings import Finding, Left
from oilchart.core.records.habits import WorkedUnder
from oilchart.core.records.job import Danger, ElectricalCheck, Job, Repair, UnsafeMark
from oilchart.core.records.note import Note
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.records.owner import Owner
from oilchart.core.records.photo import Photo
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.records.waiting import Part, Question
from oilchart.core.use.report import Report


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutPoint:
    """A point of its list that a machine has not got: since when that is known, and why."""

    point: str
    since: date
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gone:
    """Since when and why a machine is not looked after any more."""

    on: date
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRecord:
    """A machine as the book has it; reports and services in the order of their days.

    Args:
        model: id of its point list; empty while it was not seen.
        worked_under: all conditions it ever worked under, in the order in which they were told.
        mechanisms: of a machine that differs from its model; empty where they are the model's.
        name: its own, as on its badge; empty where its list's will do.
        mark: by which it is told from others like it: "Room 4, no. 7"; may be empty.
        notes: in the order of their days.
        unsafe_marks: all that ever made it unsafe, in the order of their days.
        without: the points of its list that it has not got.
        parts: all that were ever wanted for it, in the order in which they were; so the questions.
        bookings: all days on the bench that were ever agreed with its owner, in the order in which
            they were; at most the last is open.
        own_intervals: the intervals that are shorter for it than the list's, by point.
        handed_on: the day on which its owner had it from another; None where it always was theirs.
        gone: None while it is looked after.
    """

    id: int
    owner: Owner
    model: str
    serial: str
    added_on: date
    worked_under: tuple[WorkedUnder, ...] = ()
    mechanisms: tuple[str, ...] = ()
    name: str = ""
    mark: str = ""
    notes: tuple[Note, ...] = ()
    unsafe_marks: tuple[UnsafeMark, ...] = ()
    repairs: tuple[Repair, ...] = ()
    without: tuple[WithoutPoint, ...] = ()
    reports: tuple[Report, ...] = ()
    services: tuple[ServiceRecord, ...] = ()
    jobs: tuple[Job, ...] = ()
    parts: tuple[Part, ...] = ()
    questions: tuple[Question, ...] = ()
    photos: tuple[Photo, ...] = ()
    checks: tuple[ElectricalCheck, ...] = ()
    bookings: tuple[Booking, ...] = ()
    own_intervals: tuple[OwnInterval, ...] = ()
    handed_on: date | None = None
    gone: Gone | None = None

    @property
    def number(self) -> str:
        """How it is called: M-014."""
        return machine_number(self.id)

    @property
    def conditions(self) -> tuple[str, ...]:
        """The ids of the conditions it works under now."""
        return tuple(each.condition for each in self.worked_under if each.until is None)

    def with_conditions(
        self, added: Iterable[str], ended: Iterable[str], on: date
    ) -> MachineRecord:
        """It as it works under other conditions from a day on."""
        ended = set(ended)
        now = [
            replace(each, until=on) if each.until is None and each.condition in ended else each
            for each in self.worked_under
        ]
        now = [each for each in now if each.since is None or each.since != each.until]
        for condition in dict.fromkeys(added):
            if condition not in self.conditions and condition not in ended:
                now.append(WorkedUnder(condition=condition, since=on))
        return replace(self, worked_under=tuple(now))

    @property
    def came(self) -> date:
        """The day it first came in, or else was written down."""
        return min((job.in_on for job in self.jobs), default=self.added_on)

    def called(self, list_name: str) -> str:
        """What papers and lists call it: its own name, or else its list's, and its mark.

        Args:
            list_name: of its point list.
        """
        name = self.name or list_name
        return f"{name} ({self.mark})" if self.mark else name

    @property
    def booked(self) -> date | None:
        """The day on the bench agreed with its owner, which may have gone by; None for no day."""
        return self.bookings[-1].day if self.bookings and self.bookings[-1].is_open else None

    def missed(self, as_of: date) -> date | None:
        """The last day on the bench agreed, where it did not come as far as is known on a day."""
        last = self.bookings[-1] if self.bookings else None
        return last.day if last is not None and last.was_missed(as_of) else None

    def with_booking_closed(self, on: date, by: BookingEnd) -> MachineRecord:
        """It as it is once its booked day, where there is one, has ended."""
        if self.booked is None:
            return self
        ended = replace(self.bookings[-1], closed_on=on, closed_by=by)
        return replace(self, bookings=(*self.bookings[:-1], ended))

    @property
    def dangers(self) -> tuple[UnsafeMark, ...]:
        """What makes it unsafe now, the mains side first; empty where nothing does."""
        holding = (mark for mark in self.unsafe_marks if mark.holds)
        return tuple(sorted(holding, key=lambda mark: (list(Danger).index(mark.danger), mark.on)))

    @property
    def unsafe(self) -> UnsafeMark | None:
        """The first of what makes it unsafe now; None where nothing does."""
        return next(iter(self.dangers), None)

    @property
    def last_left(self) -> dict[str, Left]:
        """How each point was left when that was last noted, at a service or by a repair, by id."""
        return how_left(self.services, self.repairs)

    @property
    def visited(self) -> date | None:
        """The day it was last in the shop, for a service or a stay, since it is its owner's; None
        where it never was."""
        days = (
            *(service.on for service in self.services),
            *(job.out_on or job.in_on for job in self.jobs),
        )
        return max((day for day in days if self.is_present_owners(day)), default=None)

    def is_present_owners(self, day: date) -> bool:
        """Whether it was its present owner's on a day; the day it was handed on is."""
        return self.handed_on is None or day >= self.handed_on

    def job_of(self, service: ServiceRecord) -> Job | None:
        """The stay that a service was in; None where the machine was not in the shop that day."""
        if service.job is not None:
            return next((job for job in self.jobs if job.id == service.job), None)
        return self.job_on(service.on)

    def job_on(self, day: date) -> Job | None:
        """The latest stay of which a day is one; None where the machine was not in the shop."""
        return next((job for job in reversed(self.jobs) if job.covers(day)), None)

    def is_tested(self, service: ServiceRecord) -> bool:
        """Whether the mains test was made that a service asks for: at its end, or later in its
        stay."""
        job = self.job_of(service)
        return any(
            check.proves
            and (
                check.on == service.last_day
                or (job is not None and job.covers(check.on) and check.on >= service.on)
            )
            for check in self.checks
        )

    def parts_of(self, job: Job) -> tuple[Part, ...]:
        """The parts that a stay waits for."""
        return tuple(part for part in self.parts if part.job == job.id and part.is_awaited)

    def question_of(self, job: Job) -> Question | None:
        """The question on whose answer a stay waits; None without one."""
        asked = (each for each in self.questions if each.job == job.id and each.is_open)
        return next(asked, None)

    def services_of(self, job: Job) -> tuple[ServiceRecord, ...]:
        """The services that were in a stay."""
        return tuple(service for service in self.services if self.job_of(service) == job)

    @property
    def last_words(self) -> str:
        """What was last said of its use, in its owner's words; empty if nothing."""
        return self.reports[-1].words if self.reports else ""

    @property
    def open_job(self) -> Job | None:
        """Its stay in the shop, None while it is with its owner."""
        return next((job for job in self.jobs if job.is_open), None)


def how_left(services: Iterable[ServiceRecord], repairs: Iterable[Repair]) -> dict[str, Left]:
    """How each point was left when that was last noted, by id; of one day a repair's counts."""
    return {point: left for point, (_, left) in left_on(services, repairs).items()}


def left_on(
    services: Iterable[ServiceRecord], repairs: Iterable[Repair]
) -> dict[str, tuple[date, Left]]:
    """When it was last noted how a point was left, and how, by id."""
    noted = [
        *(
            (finding.on or service.on, 0, finding.point, finding.left)
            for service in services
            for finding in service.findings
            if finding.left is not None
        ),
        *((repair.on, 1, point, left) for repair in repairs for point, left in repair.left),
    ]
    noted.sort(key=lambda each: each[:2])
    return {point: (on, left) for on, _, point, left in noted}


def struck(point_list: PointList, dangers: Iterable[UnsafeMark]) -> frozenset[str]:
    """The ids of the points that cannot be done while something makes a machine unsafe: those that
    need current and, with a fault of the mains side, the test that would prove it sound; of a
    machine that must not be used all for which it runs."""
    kinds = {mark.danger for mark in dangers}
    if not kinds:
        return frozenset()
    electrical = Danger.ELECTRICAL in kinds
    return frozenset(
        point.id
        for point in point_list.points
        if point.power
        or (electrical and point.proof is Proof.ELECTRICAL)
        or (Danger.MECHANICAL in kinds and point.test_run)
    )


def under_its_list(record: MachineRecord, point_list: PointList) -> MachineRecord:
    """A machine with all that is kept of its points under the ids its list has now: work, findings
    and shorter intervals of a point that is no more are those of its heirs."""
    heirs = point_list.heirs()
    if not heirs:
        return record
    services = tuple(
        replace(service, findings=_inherited(service.findings, heirs))
        for service in record.services
    )
    limits = {limit.point: limit for limit in record.own_intervals}
    for limit in record.own_intervals:
        for heir in heirs.get(limit.point, ()):
            limits.setdefault(heir, replace(limit, point=heir))
    own_intervals = tuple(limit for point, limit in sorted(limits.items()) if point not in heirs)
    return replace(record, services=services, own_intervals=own_intervals)


def _inherited(
    findings: Iterable[Finding], heirs: Mapping[str, tuple[str, ...]]
) -> tuple[Finding, ...]:
    """Findings in the order of their points; of two of one point that noted under its own id."""
    by_point: dict[str, Finding] = {}
    for finding in findings:
        for point in heirs.get(finding.point, (finding.point,)):
            if point == finding.point or point not in by_point:
                by_point[point] = replace(finding, point=point)
    return tuple(by_point[point] for point in sorted(by_point))


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineChange:
    """What is told anew of a machine; None stays as it is.

    Args:
        name, mark: as in `MachineRecord`.
        note, for_owner: added to its notes; the one stays in the shop, the other is for its owner.
        has_not: points of its list that it has not got, each with why, which may be empty.
        has: points that it has got after all.
        conditions, without: ids of the conditions it works under from now on, or no more.
        mechanisms: in what it differs from its model.
        by_book: points whose shorter intervals are taken back; the book's hold again.
        all_by_book: those of all points are.
    """

    serial: str | None = None
    name: str | None = None
    mark: str | None = None
    note: str | None = None
    for_owner: str | None = None
    conditions: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    has_not: tuple[tuple[str, str], ...] = ()
    has: tuple[str, ...] = ()
    mechanisms: MechanismChange = NO_MECHANISM_CHANGE
    by_book: tuple[str, ...] = ()
    all_by_book: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NewMachine:
    """What is told of a machine that is written down; see `MachineRecord`.

    Args:
        model: id or printed name of its list; empty where it was not seen yet.
    """

    model: str = ""
    serial: str = ""
    name: str = ""
    mark: str = ""
    note: str = ""


def machine_number(machine_id: int) -> str:
    """How a machine is called."""
    return f"M-{machine_id:03}"
