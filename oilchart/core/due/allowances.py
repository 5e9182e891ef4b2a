"""What the intervals of a point list come to under given habits and conditions.

Machines that sew alike share what was worked out for one of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from oilchart.core.point_lists.conditions import Acting, acting
from oilchart.core.point_lists.interval import Allowance, Interval, Step, allowance
from oilchart.core.point_lists.point_list import Point, Runs, Work
from oilchart.core.records.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAllowance:
    """What one step of a point's interval comes to.

    Args:
        share: share of the machine's use in which the point moves.
        acting: what the machine's conditions leave of the interval.
        step: the interval that runs; None for an occasion.
        every_hours: its limit in hours at the machine, before the factor; None without a limit of
            use.
        allowed: ticks and days between two times of its work; None for an occasion.
    """

    share: Fraction
    acting: Acting
    step: Step | None = None
    every_hours: Fraction | None = None
    allowed: Allowance | None = None


class PointAllowances:
    """What the intervals of points come to on machines that sew alike, whatever lists they have.

    Args:
        machine: any one of them.
    """

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._speed = machine.speed
        # by all that counts of a point: most lists have most of it in common
        self._known: dict[tuple[Interval, Runs, Work], tuple[StepAllowance, ...]] = {}
        self._allowances: dict[Allowance, Allowance] = {}

    def of(self, point: Point) -> tuple[StepAllowance, ...]:
        """One for each step of a point's interval, in order; a single one for an occasion."""
        alike = point.every, point.runs, point.work
        known = self._known.get(alike)
        if known is None:
            known = self._known[alike] = self._of_steps(point)
        return known

    def _of_steps(self, point: Point) -> tuple[StepAllowance, ...]:
        share, conditions = self._machine.share(point), acting(self._machine.conditions, point.work)
        if point.every.occasion:
            return (StepAllowance(share=share, acting=conditions),)
        return tuple(self._of_step(step, share, conditions) for step in point.every.steps)

    def _of_step(self, step: Step, share: Fraction, conditions: Acting) -> StepAllowance:
        allowed = allowance(step, speed=self._speed, share=share, factors=conditions.factors)
        return StepAllowance(
            share=share,
            acting=conditions,
            step=step,
            every_hours=step.limit_hours(self._speed),
            # one for all points whose limits are the same
            allowed=self._allowances.setdefault(allowed, allowed),
        )


class AllowanceCache:
    """The allowances of many machines, one `PointAllowances` for all that are worked alike."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], PointAllowances] = {}

    def of(self, machine: Machine) -> PointAllowances:
        """Those of a machine as it is worked now."""
        conditions = tuple(condition.id for condition in machine.conditions)
        alike = (
            machine.point_list.stitches_a_minute,
            machine.zigzag_share,
            machine.needle_share,
            machine.speed_factor,
            conditions,
        )
        known = self._known.get(alike)
        if known is None:
            known = self._known[alike] = PointAllowances(machine)
        return known
