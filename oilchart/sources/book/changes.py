"""What each command changed in the shop book: kept row by row, and put back."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Table, func, select, text

from oilchart.core.days import add_days
from oilchart.core.records.change import Change
from oilchart.sources.book import schema
from oilchart.sources.book.images import image_of, key_of, told_tables
from oilchart.sources.book.rows import Rows, reading

IMAGES_DAYS = 400  # the rows of older changes are forgotten, their line is not
TABLES = {table.name: table for table in told_tables()}
# by which nothing later is decided: words, and what was put right
ASIDE = frozenset({"note", "repair", "repair_point"})
# of a machine's row: whether it is looked after
GONE = ("gone_on", "gone_why")
# what of a call is told; all else of it is planned, and planned anew
CALL_TOLD = ("promised_on", "closed_on", "closed_by")
Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class RowImage:
    """A row before and after a change; None where there was none.

    Args:
        key: JSON of its primary key.
    """

    table: str
    key: str
    before: Row | None
    after: Row | None

    @property
    def swapped(self) -> RowImage:
        """The same the other way round."""
        return RowImage(table=self.table, key=self.key, before=self.after, after=self.before)


class ChangeTable:
    """The changes within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def keep(
        self, *, on: date, at: datetime, words: str, device: str, undoes: int | None = None
    ) -> int | None:
        """Keep what this transaction has written; the number of the change, None where nothing
        that is told was written."""
        images = self._written()
        if not images:
            return None
        change_id = self._rows.insert(
            schema.change, made_on=on, made_at=at, words=words, device=device, undoes=undoes
        )
        self._rows.insert_all(
            schema.change_row,
            [
                {
                    "change_id": change_id,
                    "position": position,
                    "in_table": image.table,
                    "row_key": image.key,
                    "before": None if image.before is None else json.dumps(image.before),
                    "after": None if image.after is None else json.dumps(image.after),
                }
                for position, image in enumerate(images)
            ],
        )
        t = schema.change_row.c
        old = select(schema.change.c.id).where(schema.change.c.made_on < add_days(on, -IMAGES_DAYS))
        self._rows.delete(schema.change_row, t.change_id.in_(old))
        return change_id

    def _written(self) -> list[RowImage]:
        """What was written in this transaction, each row once, in the order in which each was
        first."""
        found: dict[tuple[str, str], RowImage] = {}
        query = text("SELECT in_table, row_key, before, after FROM written ORDER BY position")
        for table, key, before, after in self._connection.execute(query):
            first = found.get((table, key))
            image = _image(table, key, before, after)
            if first is not None:
                image = RowImage(table=table, key=key, before=first.before, after=image.after)
            found[table, key] = image
        changed = [each for each in found.values() if each.before != each.after]
        calls = {
            (each.before or each.after or {})["id"]
            for each in changed
            if each.table == "call" and _is_told(each)
        }
        return [
            each
            for each in changed
            if each.table not in ("call", "call_service")
            or (each.before or each.after or {}).get("id" if each.table == "call" else "call_id")
            in calls
        ]

    def all(self) -> list[Change]:
        """All changes, the latest first."""
        t = schema.change.c
        query = select(t.id, t.made_on, t.words, t.device, t.undoes).order_by(t.id.desc())
        rows = self._rows.all_of(query, "the day of a change")
        undone_by = {row.undoes: row.id for row in reversed(rows) if row.undoes is not None}
        whose = self._whose()
        return [
            Change(
                id=row.id,
                on=row.made_on,
                words=row.words,
                device=row.device,
                undoes=row.undoes,
                undone_by=undone_by.get(row.id),
                machines=whose.get(row.id, (frozenset(), frozenset()))[0],
                owners=whose.get(row.id, (frozenset(), frozenset()))[1],
            )
            for row in rows
        ]

    def _whose(self) -> dict[int, tuple[frozenset[int], frozenset[int]]]:
        """The machines and owners whose rows each change wrote."""
        r = schema.change_row.c
        query = select(r.change_id, r.in_table, r.row_key, r.before, r.after)
        machines: dict[int, set[int]] = {}
        owners: dict[int, set[int]] = {}
        for row in self._rows.all_of(query, "the rows of a change"):
            image = [_image(row.in_table, row.row_key, row.before, row.after)]
            machines.setdefault(row.change_id, set()).update(_ids_in(image, "machine"))
            owners.setdefault(row.change_id, set()).update(_ids_in(image, "owner"))
        return {
            each: (frozenset(machines.get(each, ())), frozenset(owners.get(each, ())))
            for each in {*machines, *owners}
        }

    def images(self, change_id: int) -> list[RowImage]:
        """The rows of a change, in the order in which they were written; none where they are
        forgotten."""
        r = schema.change_row.c
        query = (
            select(r.in_table, r.row_key, r.before, r.after)
            .where(r.change_id == change_id)
            .order_by(r.position)
        )
        rows = self._rows.all_of(query, "the rows of a change")
        return [_image(row.in_table, row.row_key, row.before, row.after) for row in rows]

    def standing_on(
        self, change_id: int, images: Sequence[RowImage], by_id: Mapping[int, Change]
    ) -> set[int]:
        """The later changes, by number, that stand on what a change wrote: that wrote one of its
        rows, or one that refers to a row it made, or were decided by what its rows tell. What was
        taken back since, or took another back that came after it, does not; and nothing that takes
        back, or puts back as it was, was decided anew.

        Args:
            by_id: all changes.
        """
        later = {
            number
            for number in self._written_later(change_id, images)
            if (by_id[number].undoes or 0) <= change_id
        }
        later |= {
            number for number in self._decided(change_id, images) if by_id[number].undoes is None
        }
        return {number for number in later if by_id[number].stands(by_id)}

    def _written_later(self, change_id: int, images: Iterable[RowImage]) -> set[int]:
        """The later changes that wrote one of these rows, or a row that refers to one that would be
        taken out."""
        r = schema.change_row.c
        found: set[int] = set()
        for image in images:
            query = select(r.change_id).where(
                r.change_id > change_id, r.in_table == image.table, r.row_key == image.key
            )
            found.update(self._connection.execute(query).scalars())
            if image.before is None and "id" in (image.after or {}):
                found.update(self._referring(change_id, image))
        return found

    def _referring(self, change_id: int, image: RowImage) -> Iterable[int]:
        """The later changes that made a row which refers to one."""
        r = schema.change_row.c
        for table in TABLES.values():
            for column in table.columns:
                for key in column.foreign_keys:
                    if key.column.table.name == image.table:
                        yield from self._connection.execute(
                            select(r.change_id).where(
                                r.change_id > change_id,
                                r.in_table == table.name,
                                text(f"json_extract(after, '$.{column.name}') = :row_id"),
                            ),
                            {"row_id": (image.after or {})["id"]},
                        ).scalars()

    def _decided(self, change_id: int, images: Iterable[RowImage]) -> Iterator[int]:
        """The later changes that were decided by what these rows tell of a machine or an owner:
        what a service could leave, what followed from a call, that a machine could come in, that a
        danger was known."""
        telling = [each for each in images if each.table not in ASIDE]
        owners = _ids_in(telling, "owner")
        machines = _ids_in(telling, "machine") | self._machines_at(telling)
        t = schema.machine.c
        of_owners = self._connection.execute(select(t.id).where(t.owner_id.in_(owners))).scalars()
        served = machines | set(of_owners)
        whose = self._connection.execute(select(t.owner_id).where(t.id.in_(machines))).scalars()
        yield from self._later(change_id, "service", "machine_id", served)
        yield from self._later(change_id, "outcome", "owner_id", owners | set(whose))
        stays = _ids_in([each for each in telling if each.table == "job"], "machine")
        yield from self._later(change_id, "job", "machine_id", stays)
        # a danger that is known already is not marked twice, whoever finds it again
        marked = _ids_in([each for each in telling if each.table == "unsafe_mark"], "machine")
        for name in ("electrical_check", "job", "unsafe_mark"):
            yield from self._later(change_id, name, "machine_id", marked)
        for machine in machines & _gone_or_back(telling):
            for table in TABLES.values():
                if "machine_id" in table.columns:
                    yield from self._later(change_id, table.name, "machine_id", {machine})

    def _machines_at(self, images: Iterable[RowImage]) -> set[int]:
        """The machines of services of which only points were written."""
        t = schema.service.c
        services = {
            (each.before or each.after or {})["service_id"]
            for each in images
            if each.table == "service_point"
        }
        query = select(t.machine_id).where(t.id.in_(services))
        return set(self._connection.execute(query).scalars())

    def _later(self, change_id: int, table: str, column: str, ids: set[int]) -> Iterator[int]:
        """The later changes that wrote a row of a table with one of these ids in a column."""
        r = schema.change_row.c
        value = func.json_extract(func.coalesce(r.after, r.before), f"$.{column}")
        query = select(r.change_id).where(
            r.change_id > change_id, r.in_table == table, value.in_(ids)
        )
        yield from self._connection.execute(query).scalars()

    def differ(self, images: Iterable[RowImage]) -> list[RowImage]:
        """Those rows that are not as the change left them; which services a call is for is planned
        anew each day."""
        return [
            each
            for each in images
            if each.table != "call_service" and not _same(each, self._now(each), each.after)
        ]

    def _now(self, image: RowImage) -> Row | None:
        table = TABLES[image.table]
        name = f'"{table.name}"'
        query = text(
            f"SELECT {image_of(table, name)} FROM {name} WHERE {key_of(table, name)} = :key"
        )
        found = self._connection.execute(query, {"key": image.key}).scalar_one_or_none()
        return None if found is None else dict(json.loads(found))

    def put_back(self, images: Sequence[RowImage]) -> None:
        """Make rows as they were before a change, the last one written first."""
        self._connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        for image in reversed(images):
            table = TABLES[image.table]
            if image.table in ("call", "call_service") and image.before is None:
                # a call stays, as one that is planned, and so keeps its number while it goes on
                if image.table == "call":
                    self._set(table, image.key, dict.fromkeys(CALL_TOLD))
            elif image.before is None:
                self._take_off_plan(image)
                self._rows.delete(table, _is_key(table, image.key))
            elif image.after is None or image.table == "call_service":
                self._rows.delete(table, _is_key(table, image.key))
                self._insert(table, image.before)
            else:
                names = CALL_TOLD if image.table == "call" else tuple(image.before)
                self._set(table, image.key, {name: image.before[name] for name in names})

    def _take_off_plan(self, image: RowImage) -> None:
        """Take out what is planned for a machine or an owner who is to be taken out."""
        row_id, call, service = (image.after or {}).get("id"), schema.call, schema.call_service
        if image.table == "machine":
            self._rows.delete(service, service.c.machine_id == row_id)
        elif image.table == "owner":
            theirs = select(call.c.id).where(call.c.owner_id == row_id)
            self._rows.delete(service, service.c.call_id.in_(theirs))
            self._rows.delete(call, call.c.owner_id == row_id)

    def _insert(self, table: Table, row: Row) -> None:
        columns = ", ".join(f'"{name}"' for name in row)
        values = ", ".join(f":{name}" for name in row)
        self._connection.execute(
            text(f'INSERT INTO "{table.name}" ({columns}) VALUES ({values})'), row
        )

    def _set(self, table: Table, key: str, row: Row) -> None:
        name = f'"{table.name}"'
        values = ", ".join(f'"{each}" = :{each}' for each in row)
        self._connection.execute(
            text(f"UPDATE {name} SET {values} WHERE {key_of(table, name)} = :its_key"),
            {**row, "its_key": key},
        )


def _image(table: str, key: str, before: str | None, after: str | None) -> RowImage:
    with reading(f"a row of table {table} in a change"):
        return RowImage(
            table=table,
            key=key,
            before=None if before is None else dict(json.loads(before)),
            after=None if after is None else dict(json.loads(after)),
        )


def _ids_in(images: Iterable[RowImage], whose: str) -> set[int]:
    """The machines or owners that rows are about, as they were before or are after a change."""
    found = {
        row.get("id" if image.table == whose else f"{whose}_id")
        for image in images
        for row in (image.before, image.after)
        if row is not None
    }
    return {each for each in found if isinstance(each, int)}


def _gone_or_back(images: Iterable[RowImage]) -> set[int]:
    """The machines that were looked after no more since a change, or again."""
    return {
        each.before["id"]
        for each in images
        if each.table == "machine" and each.before is not None and each.after is not None
        if any(each.before[name] != each.after[name] for name in GONE)
    }


def _is_told(image: RowImage) -> bool:
    """Whether more of a call was written than what is planned."""
    told = [
        tuple((row or {}).get(name) for name in CALL_TOLD) for row in (image.before, image.after)
    ]
    promised = any(values[0] is not None for values in told)
    by_outcome = any(values[2] == "outcome" for values in told)
    return told[0] != told[1] and (promised or by_outcome)


def _same(image: RowImage, one: Row | None, other: Row | None) -> bool:
    if image.table != "call" or one is None or other is None:
        return one == other
    return _told_of_call(one) == _told_of_call(other)


def _told_of_call(row: Row) -> tuple[Any, ...]:
    """What of a call is told; that the plan withdrew one which nobody was promised is not."""
    if row.get("promised_on") is None and row.get("closed_by") == "withdrawn":
        return (None,) * len(CALL_TOLD)
    return tuple(row.get(name) for name in CALL_TOLD)


def _is_key(table: Table, key: str) -> Any:
    name = f'"{table.name}"'
    return text(f"{key_of(table, name)} = :key").bindparams(key=key)
