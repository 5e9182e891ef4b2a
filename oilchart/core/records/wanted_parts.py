"""The parts that are wanted for a machine now: those that were told, and those that points were
left waiting for."""

from __future__ import annotations

from datetime import date

from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.findings import Left
from oilchart.core.records.machine_record import MachineRecord, left_on
from oilchart.core.records.waiting import Part


def wanted_parts(record: MachineRecord, point_list: PointList) -> tuple[Part, ...]:
    """The parts wanted for a machine, in the order in which they were.

    A point that a service or repair left as "part ordered" wants one, which has the name of its
    place until it is told otherwise, and does so until it is left in another way.
    """
    last = left_on(record.services, record.repairs)
    wanted = [part for part in record.parts if part.is_open and not _is_done(part, last)]
    known = {
        part.point
        for part in record.parts
        if part.point in last and part.wanted_on >= last[part.point][0]
    }
    for point_id, (on, left) in last.items():
        if left is Left.PART_ORDERED and point_id not in known:
            point = point_list.point(point_id)
            words = point_id if point is None else point.where
            job = record.job_on(on)
            wanted.append(
                Part(
                    id=0,
                    words=words,
                    wanted_on=on,
                    job=None if job is None else job.id,
                    point=point_id,
                    ordered_on=on,
                )
            )
    return tuple(sorted(wanted, key=lambda part: (part.wanted_on, part.id == 0, part.id)))


def _is_done(part: Part, last: dict[str, tuple[date, Left]]) -> bool:
    """Whether the point that a part is for was left in another way since it was wanted."""
    if part.point not in last:
        return False
    on, left = last[part.point]
    return left is not Left.PART_ORDERED and on >= part.wanted_on
