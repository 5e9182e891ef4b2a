"""Knows what the intervals of a point list come to under given habits and conditions, reckoned once
for machines that are alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from oilchart.core.lists.conditions import Acting, acting
from oilchart.core.lists.interval import Allowance, Step, allowance
from oilchart.core.lists.point_list import Point
from oilchart.core.records.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAllowance:
    """What a point's interval comes to.

    Args:
        share: share of the machine's use in which the point moves.
        acting: what the machine's conditions leave of the interval.
        step: the interval that runs; None for an occasion.
        every_hours: its limit in hours at the machine, before the factor; None without a limit of
            use.
        allowed: None for an occasion.
    """

    share: Fraction
    acting: Acting
    step: Step | None = None
    every_hours: Fraction | None = None
    allowed: Allowance | None = None


class Limits:
    """The limits of points on machines that work alike, whatever lists they have.

    Args:
        machine: any one of them.
    """

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._speed = machine.speed
        # by the point itself, held on to: lists that differ in some points have the others in
        # common
        self._known: dict[int, tuple[Point, tuple[StepAllowance, ...]]] = {}
        self._allowances: dict[Allowance, Allowance] = {}

    def of(self, point: Point) -> tuple[StepAllowance, ...]:
        """The limits of a point for each step of its interval; an occasion has one without
        limits."""
        known = self._known.get(id(point))
        if known is None:
            known = self._known[id(point)] = point, self._reckon(point)
        return known[1]

    def _reckon(self, point: Point) -> tuple[StepAllowance, ...]:
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


def after(limits: Sequence[StepAllowance], times_done: int) -> StepAllowance:
    """Of the limits of a point those that hold after its work was done so many times, at least
    once; the last ones repeat."""
    return limits[min(times_done, len(limits)) - 1]


class AllowanceCache:
    """Limits of many machines, one for all that are alike."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], Limits] = {}

    def of(self, machine: Machine) -> Limits:
        """The limits of a machine."""
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
            known = self._known[alike] = Limits(machine)
        return known
