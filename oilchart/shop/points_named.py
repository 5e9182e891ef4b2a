"""Points of a machine as the bench names them: by id, by number, by a part of their place."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.errors import UnknownName, nearest, quoted

_T = TypeVar("_T")
MOST_NAMED = 6  # of the points that a name fits
_RANGE = re.compile(r"(\d{1,6})\s*[-–]\s*(\d{1,6})")


def point_named(point_list: PointList, record: MachineRecord, name: str) -> str:
    """The id of a point by its id, its number, or a part of its place that no other has.

    Raises:
        UnknownName: there is none, or more than one.
    """
    point = point_list.point(name)
    if point is not None:
        return point.id
    if name.isdecimal():
        fits = [each for each in point_list.points if str(each.number) == name.lstrip("0")]
    else:
        part = " ".join(name.replace("-", " ").casefold().split())
        fits = [
            each
            for each in point_list.points
            if part in each.where.casefold() or part in (each.home or "").casefold()
        ]
    if len(fits) == 1:
        return fits[0].id
    if fits:
        several = ", ".join(f"{each.number} {each.where}" for each in fits[:MOST_NAMED])
        more = f" and {len(fits) - MOST_NAMED} more" if len(fits) > MOST_NAMED else ""
        raise UnknownName(
            f"{record.number}: point {quoted(name)}: fits {several}{more}; name one by its number"
        )
    raise _no_such_point(point_list, record, name)


def check_points(point_list: PointList, record: MachineRecord, points: Iterable[str]) -> None:
    """Points are told by their ids.

    Raises:
        UnknownName: the list has no such point.
    """
    for point_id in points:
        if point_list.point(point_id) is None:
            raise _no_such_point(point_list, record, point_id)


def _no_such_point(point_list: PointList, record: MachineRecord, name: str) -> UnknownName:
    near = nearest(name, [each.id for each in point_list.points])
    return UnknownName(
        f"{record.number}: point {quoted(name)}: {point_list.name} has no such point{near}"
    )


def points_named(point_list: PointList, record: MachineRecord, name: str) -> tuple[str, ...]:
    """The ids of the points of a range of numbers, like 1-12, in which numbers may be missing; or
    the one of a point named alone.

    Raises:
        UnknownName: there is none, or a name fits more than one.
    """
    ends = _RANGE.fullmatch(name.strip())
    if ends is None:
        if not name.isdecimal() and point_list.point(name) is None:
            raise UnknownName(
                f"{record.number}: points {quoted(name)}: is neither a number nor an id; write "
                "numbers like 1-12,14"
            )
        return (point_named(point_list, record, name),)
    first, last = int(ends[1]), int(ends[2])
    if last < first:
        raise UnknownName(
            f"{record.number}: points {name.strip()}: runs backwards; write {last}-{first}"
        )
    found = tuple(point.id for point in point_list.points if first <= point.number <= last)
    if not found:
        raise UnknownName(
            f"{record.number}: points {name.strip()}: {point_list.name} has none of these numbers"
        )
    return found


def under_ids(point_list: PointList, record: MachineRecord, notes: ServiceNotes) -> ServiceNotes:
    """What a file tells of a service, under the ids that the list has now: what is told of a point
    that is no more counts for its heirs, unless something is told of these themselves.

    Raises:
        UnknownName: the list has no such point and never had.
    """
    heirs = point_list.heirs()

    def now(name: str) -> tuple[str, ...]:
        ids = (name,) if point_list.point(name) is not None else heirs.get(name, ())
        if not ids:
            raise _no_such_point(point_list, record, name)
        return ids

    def each_once(told: Iterable[tuple[str, _T]]) -> tuple[tuple[str, _T], ...]:
        own = dict(told)
        found = {name: words for name, words in own.items() if now(name) == (name,)}
        for name, words in own.items():
            for point_id in now(name):
                found.setdefault(point_id, words)
        return tuple(found.items())

    return replace(
        notes,
        ticked=tuple(dict.fromkeys(each for name in notes.ticked or () for each in now(name))),
        found=each_once(notes.found),
        left=each_once(notes.left),
        why=each_once(notes.why),
    )
