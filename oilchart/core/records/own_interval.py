"""The shorter intervals that hold for one machine, and how they act on its list."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TypeVar

from oilchart.core.point_lists.point_list import Point, PointList
from oilchart.core.records.findings import Found

_Amount = TypeVar("_Amount", int, Fraction)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnInterval:
    """Limits of one point that hold for one machine, before any factor.

    Args:
        point: id in the machine's list.
        hours: limit of use in hours at the machine; None where the book's holds.
        days: limit at rest; None where the book's holds.
        since: the day on which it was accepted.
        found: why: how the point was found before its limit.
        found_on: the day of the service at which it was.
    """

    point: str
    hours: Fraction | None = None
    days: int | None = None
    since: date
    found: tuple[Found, ...]
    found_on: date

    def tightened(self, by: OwnInterval) -> OwnInterval:
        """Both together: of each limit the shorter, so that a later one never lengthens.

        Args:
            by: the later one, which gives day and reason.
        """
        return replace(by, hours=_least(self.hours, by.hours), days=_least(self.days, by.days))


def with_shorter_intervals(point_list: PointList, limits: Iterable[OwnInterval]) -> PointList:
    """A model's list as it stands for a machine with shorter intervals.

    The words of its intervals tell them. Of all steps none is longer than the shorter limit. A
    limit of a point that the list has not got any more is ignored.
    """
    by_point = {limit.point: limit for limit in limits}
    if not by_point:
        return point_list
    points = tuple(_shorter(point, by_point.get(point.id)) for point in point_list.points)
    return replace(point_list, points=points)


def _shorter(point: Point, limit: OwnInterval | None) -> Point:
    if limit is None:
        return point
    at_home = (
        None if point.every_home is None else point.every_home.at_most(limit.hours, limit.days)
    )
    return replace(point, every=point.every.at_most(limit.hours, limit.days), every_home=at_home)


def _least(one: _Amount | None, other: _Amount | None) -> _Amount | None:
    return min((amount for amount in (one, other) if amount is not None), default=None)
