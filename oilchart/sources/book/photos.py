"""Which photos there are of machines, in the shop book; the files lie beside it."""

from __future__ import annotations

from collections import defaultdict

from sqlalchemy import Connection, select

from oilchart.core.records.photo import Photo
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


class PhotoTable:
    """The photos within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, photo: Photo) -> int:
        """Keep that there is a photo; its id is given back, the one it has says nothing."""
        return self._rows.insert(
            schema.photo,
            machine_id=machine_id,
            job_id=photo.job,
            added_on=photo.on,
            file=photo.file,
            as_received=int(photo.as_received),
        )

    def by_machine(self) -> dict[int, list[Photo]]:
        """All photos by the machine's id, in the order in which they were added."""
        t = schema.photo.c
        query = select(t.machine_id, t.id, t.job_id, t.added_on, t.file, t.as_received).order_by(
            t.machine_id, t.id
        )
        found: dict[int, list[Photo]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a photo"):
            found[row.machine_id].append(
                Photo(
                    id=row.id,
                    on=row.added_on,
                    file=row.file,
                    job=row.job_id,
                    as_received=bool(row.as_received),
                )
            )
        return found
