"""Knows how the machines of a shop stand: its settings, its point lists, its book, and what follows
from them on a day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property
from pathlib import Path

from oilchart.core.days import Span, add_days
from oilchart.core.due.allowances import AllowanceCache
from oilchart.core.lists.point_list import PointList
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.own_interval import OwnInterval, with_shorter_intervals
from oilchart.errors import OilchartError, UnknownName
from oilchart.shop.unregistered import with_habits
from oilchart.shop.week_plan import WeekPlan, open_call, with_calls
from oilchart.sources.book import shop_book as books
from oilchart.sources.book.calls import sync_calls
from oilchart.sources.book.shop_book import Book
from oilchart.sources.files.packaged import packaged
from oilchart.sources.files.settings import SETTINGS_FILE, Settings, read_settings
from oilchart.sources.points.library import PointLibrary

BOOK_FILE = "shop.db"


class Reckoner:
    """The machines of a shop folder on one day.

    Args:
        folder: with shop.toml, shop.db and, if the shop has lists of its own, points/.
        today: never read from the clock here.
    """

    def __init__(self, folder: Path, today: date) -> None:
        self.folder = folder
        self.today = today
        self.book_path = folder / BOOK_FILE
        self._fitted: dict[tuple[tuple[str, ...], tuple[OwnInterval, ...]], PointList] = {}
        self._limits = AllowanceCache()

    @cached_property
    def settings(self) -> Settings:
        """The shop's settings, with the closures read from its calendar."""
        settings = read_settings(self.folder / SETTINGS_FILE)
        if not self.book_path.exists():
            return settings
        with books.transaction(self.book_path, writing=False) as book:
            shut = tuple(
                Span(first=first, end=add_days(last, 1))
                for _, first, last, _ in book.ledger.closures()
            )
        open_days = replace(settings.open_days, closures=(*settings.open_days.closures, *shut))
        return replace(settings, open_days=open_days)

    def read_anew(self) -> None:
        """Forget the settings: the closures of the book have changed."""
        del self.settings

    @cached_property
    def library(self) -> PointLibrary:
        """The shipped point lists and the shop's own."""
        return PointLibrary([packaged("points"), self.folder / "points"])

    def point_list(self, model: str, mechanisms: Sequence[str] = ()) -> PointList:
        """A model's point list, or that of a machine that has other mechanisms.

        Raises:
            UnknownName, FaultyList
        """
        return self.library.point_list(model, mechanisms)

    def point_list_of(self, record: MachineRecord) -> PointList:
        """The point list of a machine of the book, as it stands for its owner, with the intervals
        that are shorter for it.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        key = (record.model, *record.mechanisms, *record.owner.can), record.own_intervals
        if key not in self._fitted:
            self._fitted[key] = with_shorter_intervals(
                self.list_of(record).for_owner(record.owner.can), record.own_intervals
            )
        return self._fitted[key]

    def list_of(self, record: MachineRecord) -> PointList:
        """The point list of a machine of the book, as it stands for any owner.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        try:
            return self.point_list(record.model, record.mechanisms)
        except UnknownName as unknown:
            raise UnknownName(f"{record.number}: {unknown}") from None

    def machine(self, record: MachineRecord) -> Machine:
        """A machine of the book as it is reckoned with."""
        services = tuple(
            Service(
                on=service.on,
                done=frozenset(finding.point for finding in service.findings if finding.done),
                freed=service.freed,
            )
            for service in record.services
        )
        machine = Machine(
            point_list=self.point_list_of(record),
            number=record.number,
            reports=record.reports,
            services=services,
            stays=tuple(job.stay(self.today) for job in record.jobs),
            in_shop=record.open_job is not None,
            booked=record.booked,
            own_intervals=record.own_intervals,
        )
        return with_habits(machine, record.conditions, self.library.conditions())

    def reckoning(self, record: MachineRecord, within_days: int | None = None) -> Reckoning:
        """A machine of the book, ready to be reckoned with.

        Args:
            within_days: what counts as due soon; the shop's lead if left out.
        """
        soon = self.settings.lead_days if within_days is None else within_days
        machine = self.machine(record)
        return Reckoning(
            machine,
            open_days=self.settings.open_days,
            lead_days=soon,
            allowances=self._limits.of(machine),
        )

    def _standing(self, record: MachineRecord, within_days: int | None = None) -> Standing:
        """A machine with its schedule, without calls, which are planned among all machines of an
        owner."""
        reckoning = self.reckoning(record, within_days)
        return Standing(record=record, schedule=reckoning.schedule(self.today), reckoning=reckoning)

    def standings(
        self,
        book: Book,
        records: Sequence[MachineRecord],
        within_days: int | None = None,
        *,
        everyone: Sequence[MachineRecord] | None = None,
    ) -> list[Standing]:
        """Machines with their schedules and calls, planned among all machines of the same owners,
        or of all where days or weeks fill up.

        Args:
            everyone: all machines of the book, where they were read already.
        """
        owners = {record.owner.id for record in records}
        limited = self.settings.calls_a_day is not None or self.settings.services_a_week is not None
        all_machines = [
            record for record in everyone or book.machines() if limited or record.owner.id in owners
        ]
        week = WeekPlan(book, self.settings, self.today)
        together = week.share([self._standing(record, within_days) for record in all_machines])
        by_id = {
            standing.record.id: standing for standing in with_calls(together, week.calls(together))
        }
        return [by_id[record.id] for record in records]

    def planned(self, book: Book) -> tuple[dict[int, MachineRecord], list[Standing], WeekPlan]:
        """Plan the calls and bring those of the book in line; the machines, by their number in the
        book, and how they stand."""
        records = {record.id: record for record in book.machines()}
        week = WeekPlan(book, self.settings, self.today)
        standings = week.share([self._standing(record) for record in records.values()])
        calls = week.calls(standings)
        sync_calls(book.calls, calls, self.today)
        return records, with_calls(standings, calls), week

    def not_after_today(self, on: date, what: str) -> None:
        """Refuse a day to come.

        Raises:
            OilchartError
        """
        if on > self.today:
            raise OilchartError(
                f"--on {on}: {what} is after today, {self.today}; give a day that has been"
            )


def open_calls(book: Book, records: Mapping[int, MachineRecord]) -> list[OpenCall]:
    """The calls of the book that are still to be made, by day."""
    told = book.calls.outcomes_by_call()
    calls = [open_call(call, records, told[call.id]) for call in book.calls.open()]
    return sorted(calls, key=lambda call: (call.on, call.id))


def record_of(book: Book, machine_id: int) -> MachineRecord:
    """A machine of the book as it is now."""
    return next(record for record in book.machines() if record.id == machine_id)
