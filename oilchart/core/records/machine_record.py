"""A machine as the shop keeps it: whose it is, what was said of it, its stays and services."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.point_lists.mechanisms import NO_MECHANISM_CHANGE, MechanismChange
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.findings import Finding, Left
from oilchart.core.records.job import ElectricalCheck, Job, Unsafe
from oilchart.core.records.own_interval import OwnInterval
from oilchart.core.records.owner import Owner
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.use.report import Report


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRecord:
    """A machine as the book has it; reports and services in the order of their days.

    Args:
        mechanisms: of a machine that differs from its model; empty where they are the model's.
        unsafe: it must not be plugged in until an electrical check is passed.
        booked: the day on the bench agreed with its owner, which may have gone by; None where none
            is.
        own_intervals: the intervals that are shorter for it than the list's, by point.
    """

    id: int
    owner: Owner
    model: str
    serial: str
    note: str
    conditions: tuple[str, ...]
    added_on: date
    mechanisms: tuple[str, ...] = ()
    unsafe: Unsafe | None = None
    reports: tuple[Report, ...] = ()
    services: tuple[ServiceRecord, ...] = ()
    jobs: tuple[Job, ...] = ()
    checks: tuple[ElectricalCheck, ...] = ()
    booked: date | None = None
    own_intervals: tuple[OwnInterval, ...] = ()

    @property
    def number(self) -> str:
        """How it is called: M-014."""
        return machine_number(self.id)

    @property
    def last_left(self) -> dict[str, Left]:
        """How each point was left at the last service at which that was noted, by id."""
        return {
            finding.point: finding.left
            for service in self.services
            for finding in service.findings
            if finding.left is not None
        }

    @property
    def visited(self) -> date | None:
        """The day it was last in the shop, for a service or a stay; None where it never was."""
        return max(
            (
                *(service.on for service in self.services),
                *(job.out_on or job.in_on for job in self.jobs),
            ),
            default=None,
        )

    def complaint_at(self, service: ServiceRecord) -> str:
        """What its owner said was wrong when it came in for a service.

        Returns:
            Empty where it was not in the shop that day.
        """
        job = next((job for job in reversed(self.jobs) if job.in_on <= service.on), None)
        if job is None or (job.out_on is not None and job.out_on < service.on):
            return ""
        return job.complaint

    @property
    def last_words(self) -> str:
        """What was last said of its use, in its owner's words; empty if nothing."""
        return self.reports[-1].words if self.reports else ""

    @property
    def open_job(self) -> Job | None:
        """Its stay in the shop, None while it is with its owner."""
        return next((job for job in self.jobs if job.is_open), None)


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
        conditions, without: ids of the conditions it works under from now on, or no more.
        mechanisms: in what it differs from its model.
        by_book: points whose shorter intervals are taken back; the book's hold again.
        all_by_book: those of all points are.
    """

    serial: str | None = None
    note: str | None = None
    conditions: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    mechanisms: MechanismChange = NO_MECHANISM_CHANGE
    by_book: tuple[str, ...] = ()
    all_by_book: bool = False


def machine_number(machine_id: int) -> str:
    """How a machine is called."""
    return f"M-{machine_id:03}"
