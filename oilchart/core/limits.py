"""Knows what the intervals of a point list come to under given habits and conditions, reckoned once for machines that are alike."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from oilchart.core.chart import Point
from oilchart.core.conditions import Acting, acting
from oilchart.core.interval import Allowance, Step, allowance
from oilchart.core.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class PointLimits:
    """What a point's interval comes to.

    Args:
        share: share of the machine's use in which the point moves.
        acting: what the machine's conditions leave of the interval.
        step: the interval that runs; None for an occasion.
        every_hours: its limit in hours at the machine, before the factor; None without a limit of use.
        allowed: None for an occasion.
    """

    share: Fraction
    acting: Acting
    step: Step | None = None
    every_hours: Fraction | None = None
    allowed: Allowance | None = None


class Limits:
    """The limits of all points of machines with one list that work alike.

    Args:
        machine: any one of them.
    """

    def __init__(self, machine: Machine) -> None:
        self._machine = machine
        self._speed = machine.speed
        self._known: dict[tuple[str, int], PointLimits] = {}

    def of(self, point: Point, times_done: int) -> PointLimits:
        """The limits of a point whose work was done so many times, at least once."""
        at = min(times_done, len(point.every.steps))
        known = self._known.get((point.id, at))
        if known is None:
            known = self._known[point.id, at] = self._reckon(point, times_done)
        return known

    def _reckon(self, point: Point, times_done: int) -> PointLimits:
        share, conditions = self._machine.share(point), acting(self._machine.conditions, point.work)
        if point.every.occasion:
            return PointLimits(share=share, acting=conditions)
        step = point.every.step(times_done)
        return PointLimits(
            share=share,
            acting=conditions,
            step=step,
            every_hours=step.limit_hours(self._speed),
            allowed=allowance(step, speed=self._speed, share=share, factors=conditions.factors),
        )


class SharedLimits:
    """Limits of many machines, one for all that are alike."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], Limits] = {}

    def of(self, machine: Machine) -> Limits:
        """The limits of a machine."""
        conditions = tuple(condition.id for condition in machine.conditions)
        # one list is one object, which the limits kept here hold on to
        alike = (id(machine.chart), machine.zigzag_share, machine.needle_share, machine.speed_factor, conditions)
        known = self._known.get(alike)
        if known is None:
            known = self._known[alike] = Limits(machine)
        return known
