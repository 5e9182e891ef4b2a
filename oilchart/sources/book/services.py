"""The services of the shop book, with what was done, found and left at each point."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache
from operator import attrgetter

from sqlalchemy import Connection, and_, func, not_, select

from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.service_record import ServiceRecord
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading, words_in


class ServiceTable:
    """The services within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, service: ServiceRecord) -> int:
        """Keep a service with the points done, as found and as left; its id is given back, the one
        it has says nothing."""
        service_id = self._rows.insert(
            schema.service,
            machine_id=machine_id,
            done_on=service.on,
            note=service.note,
            freed=int(service.freed),
            whole=int(service.whole),
            complete=int(service.complete),
            back_on=service.back_on,
        )
        rows = [
            {
                "service_id": service_id,
                "point_id": finding.point,
                "done": int(finding.done),
                "found": ", ".join(finding.found),
                "left": finding.left or "",
                "planned": int(finding.planned),
            }
            for finding in service.findings
        ]
        self._rows.insert_all(schema.service_point, rows)
        return service_id

    def by_machine(self) -> dict[int, list[ServiceRecord]]:
        """All services by the machine's id, in the order of their days."""
        findings = self._findings()
        t = schema.service.c
        query = select(
            t.id, t.machine_id, t.done_on, t.note, t.freed, t.whole, t.complete, t.back_on
        ).order_by(t.machine_id, t.done_on, t.id)
        found: dict[int, list[ServiceRecord]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a service"):
            record = ServiceRecord(
                id=row.id,
                on=row.done_on,
                findings=findings.get(row.id, ()),
                note=row.note,
                freed=bool(row.freed),
                whole=bool(row.whole),
                complete=bool(row.complete),
                back_on=row.back_on,
            )
            found[row.machine_id].append(record)
        return found

    def _findings(self) -> dict[int, tuple[Finding, ...]]:
        """What was noted at each service, by its id; the points in the order of their ids.

        At most points nothing was noted but that they were done, or could wait: these are read as
        one row each a service, and are made once.
        """
        s = schema.service_point.c
        noted: dict[int, list[Finding]] = defaultdict(list)
        was_planned = s.planned == s.done  # done as planned, or not planned and not done
        nothing = and_(was_planned, s.found == "", s.left == "")
        query = (
            select(s.service_id, s.point_id, s.done, s.planned, s.found, s.left)
            .where(not_(nothing))
            .order_by(s.service_id, s.point_id)
        )
        rows = self._rows.all_of(query, "the points of a service")
        for service_id, point, *rest in rows:
            with reading(f'what service {service_id} noted of point "{point}"'):
                noted[service_id].append(_finding(point, *rest))
        joined = (
            select(s.service_id, s.done, func.aggregate_strings(s.point_id, "\n").label("points"))
            .where(nothing)
            .group_by(s.service_id, s.done)
        )
        alike: dict[int, dict[int, str]] = defaultdict(dict)
        for row in self._rows.all_of(joined, "the points of a service"):
            alike[row.service_id][row.done] = row.points
        found = {
            service_id: _alike(points.get(1, ""), points.get(0, ""))
            for service_id, points in alike.items()
        }
        for service_id, more in noted.items():
            both = (*found.get(service_id, ()), *more)
            found[service_id] = tuple(sorted(both, key=attrgetter("point")))
        return found


@lru_cache(maxsize=4_096)
def _alike(done: str, waiting: str) -> tuple[Finding, ...]:
    """The findings of points of which nothing was noted but that they were done, or could wait, by
    id.

    Args:
        done, waiting: ids joined by line ends; empty without any.
    """
    findings = [
        _finding(point, is_done, is_done, "", "")
        for points, is_done in ((done, 1), (waiting, 0))
        for point in points.split("\n")
        if point
    ]
    return tuple(sorted(findings, key=attrgetter("point")))


@lru_cache(maxsize=16_384)
def _finding(point: str, done: int, planned: int, found: str, left: str) -> Finding:
    """A finding from its row; one for all that are alike, since a book has a hundred for each
    machine."""
    return Finding(
        point=point,
        done=bool(done),
        planned=bool(planned),
        found=tuple(Found(word) for word in words_in(found)),
        left=Left(left) if left else None,
    )
