"""The stays of machines in the shop, and the checks of their mains side, in the shop book."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import Connection, select

from oilchart.core.records.job import ElectricalCheck, Job
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, words_in


class JobTable:
    """The stays and checks within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, job: Job) -> int:
        """Keep a stay; its id is given back, the one it has says nothing."""
        return self._rows.insert(
            schema.job,
            machine_id=machine_id,
            in_on=job.in_on,
            complaint=job.complaint,
            left_with=", ".join(job.left_with),
            waiting_for=job.waiting_for,
            ready_on=job.ready_on,
            out_on=job.out_on,
        )

    def edit(self, job: Job) -> None:
        """Put what a stay waits for, and the days it was ready and ended, as they are now into the
        book."""
        self._rows.update(
            schema.job,
            job.id,
            waiting_for=job.waiting_for,
            ready_on=job.ready_on,
            out_on=job.out_on,
        )

    def by_machine(self) -> dict[int, list[Job]]:
        """All stays by the machine's id, in the order of their days."""
        t = schema.job.c
        query = select(
            t.machine_id,
            t.id,
            t.in_on,
            t.complaint,
            t.left_with,
            t.waiting_for,
            t.ready_on,
            t.out_on,
        ).order_by(t.machine_id, t.in_on, t.id)
        found: dict[int, list[Job]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a stay in the shop"):
            found[row.machine_id].append(
                Job(
                    id=row.id,
                    in_on=row.in_on,
                    complaint=row.complaint,
                    left_with=words_in(row.left_with),
                    waiting_for=row.waiting_for,
                    ready_on=row.ready_on,
                    out_on=row.out_on,
                )
            )
        return found

    def add_check(self, machine_id: int, check: ElectricalCheck) -> None:
        """Keep an electrical check."""
        self._rows.insert(
            schema.electrical_check,
            machine_id=machine_id,
            checked_on=check.on,
            checked_by=check.by,
            passed=int(check.passed),
        )

    def checks_by_machine(self) -> dict[int, list[ElectricalCheck]]:
        """All electrical checks by the machine's id, in the order of their days."""
        t = schema.electrical_check.c
        query = select(t.machine_id, t.checked_on, t.checked_by, t.passed).order_by(
            t.machine_id, t.checked_on, t.id
        )
        found: dict[int, list[ElectricalCheck]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of an electrical check"):
            found[row.machine_id].append(
                ElectricalCheck(on=row.checked_on, by=row.checked_by, passed=bool(row.passed))
            )
        return found
