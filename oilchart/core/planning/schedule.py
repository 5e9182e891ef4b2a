"""A machine's schedule on a day: each point's window, state and rhythm, and the next service.

It is made by `reckoning` and is all that papers and lists need to know of a machine's dates.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from typing import Protocol

from oilchart.core.due.due_dates import State, Window
from oilchart.core.due.risk import Risk
from oilchart.core.planning.call_plan import PlannedCall
from oilchart.core.planning.services import PlannedService
from oilchart.core.point_lists.conditions import Acting
from oilchart.core.point_lists.interval import Allowance, Step
from oilchart.core.point_lists.point_list import Point
from oilchart.core.records.machine import Machine
from oilchart.core.units import Ticks


class Notice(StrEnum):
    """What a paper must say about how its dates came about."""

    NO_REPORT = "no report"
    ASSUMED_BACKWARDS = "assumed backwards"
    HANDED_ON = "handed on"
    OLD_REPORT = "old report"
    WIDE_RANGE = "wide range"
    FEW_DAYS = "few days"
    NOTHING_LATELY = "nothing lately"
    CORRECTED_TOTAL = "corrected total"
    CONTRADICTS_METER = "contradicts the meter"
    NOT_UNDERSTOOD = "not understood"


@dataclass(frozen=True, slots=True, kw_only=True)
class UseSummary:
    """What goes on at the day of the schedule.

    Args:
        words: the owner's, as said last.
        conversion: how hours came out of bobbins or pieces of work, in words; empty where hours
            were said.
        low, likely, high: hours a week averaged over a year, rests ignored but where hours a year
            were said.
        assumed: whether the use of some day since the first work, or since the machine was handed
            on after it, is taken from what was told of other days later, or of a few days only.
    """

    words: str
    conversion: str
    said: date
    low: Fraction
    likely: Fraction
    high: Fraction
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PointPlan:
    """How one point stands.

    Args:
        acting: what the machine's conditions leave of the interval.
        step: the interval that runs now; None for an occasion.
        every_hours: the limit that holds, the book's unless this machine has a shorter one, in
            hours at the machine, before the factor; None without a limit of use. `every_months` and
            `every_days` likewise.
        allowed: what the interval comes to; None for an occasion.
        due: None for an occasion and on a machine never served.
        limits_since: since when its limits are what they are; None where they were so when it was
            last done.
        due_at_rest: the last day in time by the limit at rest alone; None without one.
        state: None for an owner's point, an occasion and on a machine never served.
        rhythm: an owner's point's rhythm or occasion; None for the bench's, and where none fits.
        carried_over: the day of the service that left it out though it was planned; None where none
            did, or it was done since.
        declined: whether the owner did not want it done then.
    """

    point: Point
    done: date | None
    share: Fraction
    acting: Acting
    step: Step | None
    every_hours: Fraction | None
    every_months: int | None
    every_days: int | None
    allowed: Allowance | None
    due: Window | None
    due_at_rest: date | None
    state: State | None
    rhythm: str | None
    carried_over: date | None = None
    declined: bool = False
    limits_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Days on which a machine is used alike; `end` is the first day after them.

    Args:
        limit: the ticks that the point is allowed by how it is worked on them; None for no limit.
    """

    first: date
    end: date
    ticks_a_day: Ticks
    limit: Ticks | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Derivation:
    """How one due date by use came about.

    Args:
        case: "high", "careful", "likely" or "low" use.
        due: the last day in time; None where the use never passes the limit.
        stretches: from the work to the end of the due day.
    """

    case: str
    due: date | None
    stretches: tuple[Stretch, ...]


class PointPlanner(Protocol):
    """What tells how the points of one machine stand."""

    def plans(self, as_of: date) -> tuple[PointPlan, ...]:
        """How each point stands on a day, in list order."""
        ...


@dataclass(frozen=True, kw_only=True)
class Schedule:
    """A machine's schedule as of a day.

    Args:
        due: the machine's own window, over its bench points.
        risk: likewise; None on a machine never served.
        planner: tells how each point stands; a list of many machines asks for none of it.
        wanted_by: the day that decides when it is served, before it shares the bench with others;
            None where no bench point ever falls due, and of a machine not seen yet.
        services: the next one, if any; those after it follow from it: `Reckoning.services_ahead`.
        booked: the day of the next service if it was agreed with the owner.
    """

    machine: Machine
    as_of: date
    state: State
    due: Window
    risk: Risk | None
    use: UseSummary | None
    planner: PointPlanner = field(repr=False, compare=False)
    services: tuple[PlannedService, ...]
    notices: tuple[Notice, ...]
    settling: bool
    wanted_by: date | None = None
    booked: date | None = None
    call: PlannedCall | None = None
    settling_call: PlannedCall | None = None
    stay_call: PlannedCall | None = None

    @property
    def days_left(self) -> int | None:
        """Days from its day to the day that decides; 0 means that this is it."""
        return None if self.wanted_by is None else (self.wanted_by - self.as_of).days

    @cached_property
    def points(self) -> tuple[PointPlan, ...]:
        """How each point stands, reckoned when it is first asked for."""
        return self.planner.plans(self.as_of)

    @property
    def next_service(self) -> PlannedService | None:
        """The next service; None where none falls due."""
        return self.services[0] if self.services else None

    def plan(self, point_id: str) -> PointPlan | None:
        """How the point of that id stands; None where the list has no such point."""
        return next((plan for plan in self.points if plan.point.id == point_id), None)
