"""The stays of machines in the shop, in the shop book."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import Connection, select

from oilchart.core.records.job import Job, Stage
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading, words_in


class JobTable:
    """The stays within a transaction."""

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
            ready_by=job.ready_by,
            ready_on=job.ready_on,
            out_on=job.out_on,
        )

    def edit(self, job: Job) -> None:
        """Put how far a stay is, the days it was ready and ended, what was not handed back, and
        whether nothing was done there, as they are now into the book."""
        self._rows.update(
            schema.job,
            job.id,
            stage=job.stage,
            ready_on=job.ready_on,
            out_on=job.out_on,
            still_here=", ".join(job.still_here),
            nothing_done=int(job.nothing_done),
        )

    def correct(self, before: Job, after: Job) -> None:
        """Put what of a stay was written down wrongly into the book, and nothing else: of one from
        an earlier owner's days its words are not known here."""
        was, now = _told(before), _told(after)
        changed = {name: value for name, value in now.items() if value != was[name]}
        self._rows.update(schema.job, after.id, **changed)

    def by_machine(self) -> dict[int, list[Job]]:
        """All stays by the machine's id, in the order of their days; one that ended on the day it
        was handed on has no words of its earlier owner."""
        t = schema.job.c
        query = select(
            t.machine_id,
            t.id,
            t.in_on,
            t.complaint,
            t.left_with,
            t.still_here,
            t.ready_by,
            t.stage,
            t.ready_on,
            t.out_on,
            t.nothing_done,
            t.earlier_owner,
        ).order_by(t.machine_id, t.in_on, t.id)
        found: dict[int, list[Job]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a stay in the shop"):
            with reading(f"how far the stay of {row.in_on} is"):
                stage = None if row.stage is None else Stage(row.stage)
            found[row.machine_id].append(
                Job(
                    id=row.id,
                    in_on=row.in_on,
                    complaint="" if row.earlier_owner else row.complaint,
                    left_with=() if row.earlier_owner else words_in(row.left_with),
                    still_here=words_in(row.still_here),
                    ready_by=row.ready_by,
                    stage=stage,
                    ready_on=row.ready_on,
                    out_on=row.out_on,
                    nothing_done=bool(row.nothing_done),
                )
            )
        return found


def _told(job: Job) -> dict[str, object]:
    """What its row keeps of a stay that can be corrected."""
    return {
        "in_on": job.in_on,
        "complaint": job.complaint,
        "left_with": ", ".join(job.left_with),
        "ready_by": job.ready_by,
        "ready_on": job.ready_on,
        "out_on": job.out_on,
    }
