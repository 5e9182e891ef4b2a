"""What the shop book has of machines besides services and stays: electrical checks, what makes a
machine unsafe, repairs, and points of its list that it has not got."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from sqlalchemy import Connection, and_, select

from oilchart.core.records.findings import Left
from oilchart.core.records.job import Danger, ElectricalCheck, Repair, UnsafeMark
from oilchart.core.records.machine_record import WithoutPoint
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class CheckTable:
    """The electrical checks within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, check: ElectricalCheck) -> None:
        """Keep an electrical check."""
        self._rows.insert(
            schema.electrical_check,
            machine_id=machine_id,
            checked_on=check.on,
            checked_by=check.by,
            passed=int(check.passed),
            reading=check.reading,
            before=int(check.before),
        )

    def move(self, machine_id: int, day: date, to: date) -> None:
        """Give the checks of a machine on a day, but those before its first plug-in, another
        day."""
        t = schema.electrical_check
        which = and_(t.c.machine_id == machine_id, t.c.checked_on == day, t.c.before == 0)
        self._rows.update_all(t, which, checked_on=to)

    def by_machine(self) -> dict[int, list[ElectricalCheck]]:
        """All electrical checks by the machine's id, in the order of their days."""
        t = schema.electrical_check.c
        query = select(
            t.machine_id, t.checked_on, t.checked_by, t.passed, t.reading, t.before
        ).order_by(t.machine_id, t.checked_on, t.id)
        found: dict[int, list[ElectricalCheck]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of an electrical check"):
            found[row.machine_id].append(
                ElectricalCheck(
                    on=row.checked_on,
                    by=row.checked_by,
                    passed=bool(row.passed),
                    reading=row.reading,
                    before=bool(row.before),
                )
            )
        return found


class UnsafeMarkTable:
    """What makes machines unsafe, or made them so, within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, mark: UnsafeMark) -> int:
        """Keep that a machine is unsafe; the mark's id is given back, the one it has says
        nothing."""
        return self._rows.insert(
            schema.unsafe_mark,
            machine_id=machine_id,
            danger=mark.danger,
            found_on=mark.on,
            why=mark.why,
            **_lifted(mark),
        )

    def edit(self, mark: UnsafeMark) -> None:
        """Put of which kind a danger is, and when, by whom and by what it was put right, into the
        book."""
        self._rows.update(schema.unsafe_mark, mark.id, danger=mark.danger, **_lifted(mark))

    def by_machine(self) -> dict[int, list[UnsafeMark]]:
        """All marks by the machine's id, in the order of their days."""
        t = schema.unsafe_mark.c
        query = select(
            t.id,
            t.machine_id,
            t.danger,
            t.found_on,
            t.why,
            t.lifted_on,
            t.lifted_by,
            t.put_right,
        ).order_by(t.machine_id, t.found_on, t.id)
        found: dict[int, list[UnsafeMark]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day a machine was found unsafe"):
            with reading(f"what made machine {row.machine_id} unsafe"):
                danger = Danger(row.danger)
            found[row.machine_id].append(
                UnsafeMark(
                    id=row.id,
                    danger=danger,
                    on=row.found_on,
                    why=row.why,
                    lifted_on=row.lifted_on,
                    lifted_by=row.lifted_by,
                    put_right=row.put_right,
                )
            )
        return found


def _lifted(mark: UnsafeMark) -> dict[str, object]:
    return {
        "lifted_on": mark.lifted_on,
        "lifted_by": mark.lifted_by,
        "put_right": mark.put_right,
    }


class RepairTable:
    """The repairs without a service within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def add(self, machine_id: int, repair: Repair) -> int:
        """Keep a repair; its id is given back, the one it has says nothing."""
        repair_id = self._rows.insert(
            schema.repair,
            machine_id=machine_id,
            done_on=repair.on,
            words=repair.words,
            part=repair.part,
            done_by=repair.by,
        )
        rows: list[dict[str, object]] = [
            {"repair_id": repair_id, "point_id": point, "left": left} for point, left in repair.left
        ]
        self._rows.insert_all(schema.repair_point, rows)
        return repair_id

    def by_machine(self) -> dict[int, list[Repair]]:
        """All repairs by the machine's id, in the order of their days."""
        p = schema.repair_point.c
        points = select(p.repair_id, p.point_id, p.left).order_by(p.repair_id, p.point_id)
        left: dict[int, list[tuple[str, Left]]] = defaultdict(list)
        for row in self._rows.all_of(points, "the points of a repair"):
            with reading(f'how repair {row.repair_id} left point "{row.point_id}"'):
                left[row.repair_id].append((row.point_id, Left(row.left)))
        t = schema.repair.c
        query = select(t.id, t.machine_id, t.done_on, t.words, t.part, t.done_by).order_by(
            t.machine_id, t.done_on, t.id
        )
        found: dict[int, list[Repair]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a repair"):
            found[row.machine_id].append(
                Repair(
                    id=row.id,
                    on=row.done_on,
                    words=row.words,
                    part=row.part,
                    left=tuple(left.get(row.id, ())),
                    by=row.done_by,
                )
            )
        return found


class WithoutPointTable:
    """The points that machines have not got within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)

    def set(self, machine_id: int, without: Iterable[WithoutPoint]) -> None:
        """Put all the points that a machine has not got, as they are now, into the book."""
        t = schema.without_point
        self._rows.delete(t, t.c.machine_id == machine_id)
        rows: list[dict[str, object]] = [
            {
                "machine_id": machine_id,
                "point_id": each.point,
                "since": each.since,
                "why": each.why,
            }
            for each in without
        ]
        self._rows.insert_all(t, rows)

    def by_machine(self) -> dict[int, list[WithoutPoint]]:
        """All such points by the machine's id, in the order of their ids."""
        t = schema.without_point.c
        query = select(t.machine_id, t.point_id, t.since, t.why).order_by(t.machine_id, t.point_id)
        found: dict[int, list[WithoutPoint]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day a machine was found to be without a point"):
            found[row.machine_id].append(
                WithoutPoint(point=row.point_id, since=row.since, why=row.why)
            )
        return found
