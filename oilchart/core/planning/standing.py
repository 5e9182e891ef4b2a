"""How a machine stands on a day, and the calls to owners that are still to be made."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from oilchart.core.due.due_dates import WORST_FIRST
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledMachine:
    """A machine with its schedule; without a record it is in no book."""

    schedule: Schedule
    reckoning: Reckoning = field(repr=False, compare=False)
    record: MachineRecord | None = None

    @property
    def name(self) -> str:
        """Its number, or its model's id: papers are named after it."""
        return self.schedule.machine.number or self.schedule.machine.point_list.id

    @property
    def owner_name(self) -> str | None:
        """Whose it is, where that is known."""
        return None if self.record is None else self.record.owner.name

    @property
    def serial(self) -> str:
        """Its serial number; empty where it is not known."""
        return "" if self.record is None else self.record.serial


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing(ScheduledMachine):
    """A machine of the book with its schedule.

    Args:
        outcomes: what came of the calls to its owner, in the order of their days.
        lapsed_on: since when its owner counts as lapsed; None while they do not.
        declined_until: the day until which its owner has declined; None where they have not.
        not_before: the day of the next call to its owner, where what came of the last one puts that
            off; until then it takes no place on the bench.
        waits_for_nobody: nobody rings its owner about a service any more: it takes no place at all.
    """

    record: MachineRecord
    outcomes: tuple[CallOutcome, ...] = ()
    lapsed_on: date | None = None
    declined_until: date | None = None
    not_before: date | None = None
    waits_for_nobody: bool = False

    @property
    def days_here(self) -> int | None:
        """Days it has been in the shop; None while it is with its owner."""
        job = self.record.open_job
        return None if job is None else (self.schedule.as_of - job.in_on).days

    @property
    def points_done(self) -> tuple[int, int] | None:
        """How many bench points were done in its stay, and how many of its list are to be; None
        while it is with its owner."""
        job = self.record.open_job
        if job is None:
            return None
        point_list = self.schedule.machine.point_list
        bench = {point.id for point in point_list.kept_by(Keeper.BENCH)}
        proofs = {point.id for point in point_list.points if point.proof is not None}
        done: set[str] = set()
        planned: set[str] = set()
        services = self.record.services_of(job)
        for service in services:
            tested = self.record.is_tested(service)
            for finding in service.findings:
                if finding.point in bench and finding.planned:
                    planned.add(finding.point)
                if finding.done or (tested and finding.point in proofs):
                    done.add(finding.point)
        if not any(service.whole for service in services) and self.schedule.next_service:
            planned |= {point.id for point in self.schedule.next_service.points}
        done &= bench
        return len(done), len(planned | done)


def worst_first(standing: Standing) -> tuple[bool, int, float, int, int]:
    """Whether it could hurt someone, state, risk, days left, number; risk to two decimals, so that
    of machines past their limits as good as surely the latest is first."""
    schedule = standing.schedule
    days = schedule.days_left
    return (
        not standing.record.dangers,
        WORST_FIRST.index(schedule.state),
        0 if schedule.risk is None else -round(schedule.risk.weight, 2),
        10**9 if days is None else days,
        standing.record.id,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCall:
    """A call still to be made: its lasting number, whom, when and for which machines.

    Args:
        services: each machine with the day its service is planned for, the first one first; about
            settling in, the day it was freed.
        promised_on: the day the owner was promised to be rung; None where the plan may move it.
        deadline: the last open day in time for it; None where it has none.
        way: how the owner is reached.
        outcomes: what came of it so far.
    """

    id: int
    owner: Owner
    about: CallAbout
    on: date
    services: tuple[tuple[MachineRecord, date], ...]
    promised_on: date | None
    deadline: date | None
    way: Way
    outcomes: tuple[CallOutcome, ...]

    def waits_since(self, on: date) -> date | None:
        """Its last day in time, where it is made after that; None where it is not.

        Args:
            on: the day on which it is made.
        """
        return None if self.deadline is None or self.deadline >= on else self.deadline

    def rung_on(self, today: date) -> date:
        """The day on which it can be made: today where it is left over from an earlier one."""
        return max(self.on, today)
