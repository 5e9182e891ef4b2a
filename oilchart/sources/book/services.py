"""The services of the shop book, with what was done, found and left at each point."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache
from operator import attrgetter

from sqlalchemy import Connection, and_, func, or_, select

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
        )
        rows = [
            {
                "service_id": service_id,
                "point_id": finding.point,
                "done": int(finding.done),
                "found": ", ".join(finding.found),
                "left": finding.left or "",
            }
            for finding in service.findings
        ]
        self._rows.insert_all(schema.service_point, rows)
        return service_id

    def by_machine(self) -> dict[int, list[ServiceRecord]]:
        """All services by the machine's id, in the order of their days."""
        findings = self._findings()
        t = schema.service.c
        query = select(t.id, t.machine_id, t.done_on, t.note, t.freed).order_by(
            t.machine_id, t.done_on, t.id
        )
        found: dict[int, list[ServiceRecord]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a service"):
            record = ServiceRecord(
                id=row.id,
                on=row.done_on,
                findings=findings.get(row.id, ()),
                note=row.note,
                freed=bool(row.freed),
            )
            found[row.machine_id].append(record)
        return found

    def _findings(self) -> dict[int, tuple[Finding, ...]]:
        """What was noted at each service, by its id; the points in the order of their ids.

        At most points nothing was noted but that they were done: these are read as one row a
        service, and are made once.
        """
        s = schema.service_point.c
        noted: dict[int, list[Finding]] = defaultdict(list)
        query = (
            select(s.service_id, s.point_id, s.done, s.found, s.left)
            .where(or_(s.done != 1, s.found != "", s.left != ""))
            .order_by(s.service_id, s.point_id)
        )
        rows = self._rows.all_of(query, "the points of a service")
        for service_id, point, done, found, left in rows:
            with reading(f'what service {service_id} noted of point "{point}"'):
                noted[service_id].append(_finding(point, done, found, left))
        joined = (
            select(s.service_id, func.aggregate_strings(s.point_id, "\n").label("points"))
            .where(and_(s.done == 1, s.found == "", s.left == ""))
            .group_by(s.service_id)
        )
        rows = self._rows.all_of(joined, "the points of a service")
        findings = {row.service_id: _done_only(row.points) for row in rows}
        for service_id, more in noted.items():
            both = (*findings.get(service_id, ()), *more)
            findings[service_id] = tuple(sorted(both, key=attrgetter("point")))
        return findings


@lru_cache(maxsize=4_096)
def _done_only(points: str) -> tuple[Finding, ...]:
    """The findings of points, joined by line ends, of which nothing was noted but that they were
    done; by id."""
    return tuple(_finding(point, 1, "", "") for point in sorted(points.split("\n")))


@lru_cache(maxsize=16_384)
def _finding(point: str, done: int, found: str, left: str) -> Finding:
    """A finding from its row; one for all that are alike, since a book has a hundred for each
    machine."""
    return Finding(
        point=point,
        done=bool(done),
        found=tuple(Found(word) for word in words_in(found)),
        left=Left(left) if left else None,
    )
