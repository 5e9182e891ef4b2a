"""The services of the shop book, with what was done, found and left at each point."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import lru_cache
from operator import attrgetter
from typing import Any

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
            **_values(service),
        )
        self._rows.insert_all(schema.service_point, _point_rows(service_id, service.findings))
        return service_id

    def put(self, service: ServiceRecord) -> None:
        """Put a service that is kept as it is now into the book, with all its points."""
        self._rows.update(schema.service, service.id, done_on=service.on, **_values(service))
        t = schema.service_point
        self._rows.delete(t, t.c.service_id == service.id)
        self._rows.insert_all(t, _point_rows(service.id, service.findings))

    def by_machine(self) -> dict[int, list[ServiceRecord]]:
        """All services by the machine's id, in the order of their days."""
        findings = self._findings()
        t = schema.service.c
        query = select(
            t.id,
            t.machine_id,
            t.done_on,
            t.freed,
            t.whole,
            t.complete,
            t.back_on,
            t.job_id,
            t.done_by,
        ).order_by(t.machine_id, t.done_on, t.id)
        found: dict[int, list[ServiceRecord]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a service"):
            record = ServiceRecord(
                id=row.id,
                on=row.done_on,
                findings=findings.get(row.id, ()),
                freed=bool(row.freed),
                whole=bool(row.whole),
                complete=bool(row.complete),
                back_on=row.back_on,
                job=row.job_id,
                by=row.done_by,
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
        nothing = and_(was_planned, s.found == "", s.left == "", s.why == "", s.done_on.is_(None))
        query = (
            select(
                s.service_id,
                s.point_id,
                s.done,
                s.planned,
                s.ticked,
                s.found,
                s.left,
                s.why,
                s.done_on,
            )
            .where(not_(nothing))
            .order_by(s.service_id, s.point_id)
        )
        rows = self._rows.all_of(query, "the points of a service")
        for service_id, point, *rest in rows:
            with reading(f'what service {service_id} noted of point "{point}"'):
                noted[service_id].append(_finding(point, *rest))
        joined = (
            select(
                s.service_id,
                s.done,
                s.ticked,
                func.aggregate_strings(s.point_id, "\n").label("points"),
            )
            .where(nothing)
            .group_by(s.service_id, s.done, s.ticked)
        )
        alike: dict[int, list[tuple[int, int, str]]] = defaultdict(list)
        for row in self._rows.all_of(joined, "the points of a service"):
            alike[row.service_id].append((row.done, row.ticked, row.points))
        found = {service_id: _alike(tuple(points)) for service_id, points in alike.items()}
        for service_id, more in noted.items():
            both = (*found.get(service_id, ()), *more)
            found[service_id] = tuple(sorted(both, key=attrgetter("point")))
        return found


def _values(service: ServiceRecord) -> dict[str, object]:
    """What its own row keeps of a service, but for its machine and day."""
    return {
        "freed": int(service.freed),
        "whole": int(service.whole),
        "complete": int(service.complete),
        "back_on": service.back_on,
        "job_id": service.job,
        "done_by": service.by,
    }


def _point_rows(service_id: int, findings: Iterable[Finding]) -> list[dict[str, object]]:
    """The rows of what was noted at each point of a service."""
    return [
        {
            "service_id": service_id,
            "point_id": finding.point,
            "done": int(finding.done),
            "found": ", ".join(finding.found),
            "left": finding.left or "",
            "planned": int(finding.planned),
            "ticked": int(finding.ticked),
            "done_on": finding.on,
            "why": finding.why,
        }
        for finding in findings
    ]


@lru_cache(maxsize=4_096)
def _alike(groups: tuple[tuple[int, int, str], ...]) -> tuple[Finding, ...]:
    """The findings of points of which nothing was noted but that they were done, or could wait, by
    id.

    Args:
        groups: whether they were done, whether each was told of by itself, and their ids joined by
            line ends.
    """
    findings = [
        _finding(point, done, done, ticked, "", "", "", None)
        for done, ticked, points in groups
        for point in points.split("\n")
    ]
    return tuple(sorted(findings, key=attrgetter("point")))


@lru_cache(maxsize=16_384)
def _finding(point: str, done: int, planned: int, ticked: int, *rest: Any) -> Finding:
    """A finding from its row; one for all that are alike, since a book has a hundred for each
    machine.

    Args:
        rest: as found, as left, why it was left out, and the day it was done.
    """
    found, left, why, on = rest
    return Finding(
        point=point,
        done=bool(done),
        planned=bool(planned),
        ticked=bool(ticked),
        found=tuple(Found(word) for word in words_in(found)),
        left=Left(left) if left else None,
        why=why,
        on=on,
    )
