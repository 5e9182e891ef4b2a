"""What is noted of a service: which points were done, how each was found and left."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from oilchart.core.point_lists.point_list import Keeper, PointList


class Found(StrEnum):
    """How a point was found; several may hold."""

    GOOD = "good"
    DRY = "dry"
    GUMMED = "gummed"
    SEIZED = "seized"
    PACKED = "packed with lint"
    OVER_OILED = "over-oiled"
    WRONG_OIL = "wrong oil"
    RUSTY = "rusty"
    WORN = "worn"
    CRACKED = "cracked"
    LOOSE = "loose"
    OUT_OF_TIME = "out of time"
    MISSING = "missing"
    NOT_CHECKED = "not checked"


class Left(StrEnum):
    """How a point was left."""

    GOOD = "good"
    WATCH = "watch"
    PART_ORDERED = "part ordered"
    DECLINED = "declined"


# what is written on paper in the place of a word
FOUND_SIGNS = {
    "D": Found.DRY,
    "G": Found.GUMMED,
    "S": Found.SEIZED,
    "L": Found.PACKED,
    "O": Found.OVER_OILED,
    "X": Found.WRONG_OIL,
    "R": Found.RUSTY,
    "W": Found.WORN,
    "C": Found.CRACKED,
    "F": Found.LOOSE,
    "T": Found.OUT_OF_TIME,
    "M": Found.MISSING,
    "N": Found.NOT_CHECKED,
}
LEFT_SIGNS = {"?": Left.WATCH, "+": Left.PART_ORDERED, "-": Left.DECLINED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was noted at one point of a service.

    Args:
        point: its id in the list.
        done: false for a point left out, and for one that could wait.
        planned: false for a point that could wait, and for work at named points only.
        ticked: its work was told of by itself, not as part of the whole.
        on: the day it was done, where that is not the service's first.
        why: why it was left out; may be empty.
    """

    point: str
    done: bool = True
    planned: bool = True
    found: tuple[Found, ...] = ()
    left: Left | None = None
    ticked: bool = False
    on: date | None = None
    why: str = ""


def findings_of(
    point_list: PointList,
    planned: Collection[str],
    done: Collection[str],
    found: Mapping[str, tuple[Found, ...]],
    left: Mapping[str, Left],
) -> tuple[Finding, ...]:
    """What is kept of a service, in list order: every bench point, and each of the owner's that was
    done or noted.

    Args:
        planned, done: ids of the points that were to be done, and of those that were.
        found, left: how points were found and left, by id.
    """
    return tuple(
        Finding(
            point=point.id,
            done=point.id in done,
            planned=point.id in planned,
            found=found.get(point.id, ()),
            left=left.get(point.id),
        )
        for point in point_list.points
        if point.keeper is Keeper.BENCH
        or point.id in planned
        or point.id in done
        or point.id in found
        or point.id in left
    )


def together(
    findings: Iterable[Finding], more: Iterable[Finding], first: date, on: date
) -> tuple[Finding, ...]:
    """What was noted at the points of a service that is told of in two parts, by point.

    Each point keeps the day on which it was done first; what was found adds up, and how it was left
    last counts.

    Args:
        first, on: the days of the parts; those of `more` were done on the second one.
    """
    start = min(first, on)
    by_point = {each.point: _dated(each, first, start) for each in findings}
    for each in more:
        before = by_point.get(each.point)
        dated = _dated(each, on, start)
        by_point[each.point] = dated if before is None else _both(before, dated, start)
    return tuple(by_point[point] for point in sorted(by_point))


def _dated(finding: Finding, day: date, start: date) -> Finding:
    """A finding with the day it was done, where that is not the service's first."""
    done_on = finding.on or day
    return replace(finding, on=done_on if finding.done and done_on != start else None)


def _both(one: Finding, other: Finding, start: date) -> Finding:
    days = [each.on or start for each in (one, other) if each.done]
    done_on = min(days, default=start)
    return Finding(
        point=one.point,
        done=bool(days),
        planned=one.planned or other.planned,
        found=tuple(dict.fromkeys((*one.found, *other.found))),
        left=other.left or one.left,
        ticked=one.ticked or other.ticked,
        on=None if done_on == start else done_on,
        why="" if days else other.why or one.why,
    )
