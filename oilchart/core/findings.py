"""Knows what is noted of a service: which points were done, how each was found and how it was left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from oilchart.core.chart import Chart
from oilchart.errors import OilchartError


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What was noted at one point of a service; `done` is false for a point left out."""

    point: str
    done: bool = True
    found: tuple[Found, ...] = ()
    left: Left | None = None


def check_told(excepted: Sequence[str], also: Sequence[str], left: Sequence[str]) -> None:
    """What is told of a service must not contradict itself.

    Raises:
        OilchartError
    """
    for point_id in excepted:
        if point_id in also:
            raise OilchartError(f'point "{point_id}": is given with --except and with --also; keep one of them')
    for point_id in left:
        if left.count(point_id) > 1:
            raise OilchartError(f'point "{point_id}": is given with --left twice; keep one of them')


def findings_of(
    chart: Chart, planned: set[str], excepted: set[str], found: dict[str, tuple[Found, ...]], left: dict[str, Left]
) -> tuple[Finding, ...]:
    """What is kept of a service, in list order: every point planned, and every other one about which something was noted."""
    return tuple(
        Finding(
            point=point.id,
            done=point.id in planned and point.id not in excepted,
            found=found.get(point.id, ()),
            left=left.get(point.id),
        )
        for point in chart.points
        if point.id in planned or point.id in excepted or point.id in found or point.id in left
    )
