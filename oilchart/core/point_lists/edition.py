"""The code of a list: it tells whether a paper was made by the list as it is now."""

from __future__ import annotations

import hashlib

from oilchart.core.point_lists.point_list import Point, PointList

CODE_LENGTH = 6  # signs; a shop's list has a few editions, and one in 16 million is met by chance


def edition_code(point_list: PointList) -> str:
    """A short code that changes with every number, place, work, interval, lubricant, caution and
    do-not point of a list as its files have it, and with nothing else."""
    told = [
        *(_told(point) for point in point_list.points),
        *((avoid.id, avoid.where, avoid.do_not) for avoid in point_list.avoids),
    ]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:CODE_LENGTH]


def _told(point: Point) -> tuple[object, ...]:
    return (
        point.number,
        point.id,
        point.where,
        str(point.work),
        point.do,
        point.every.words,
        None if point.lubricant is None else point.lubricant.id,
        point.amount,
        point.caution,
    )
