"""Knows a shop: joins its settings, point lists and book, and answers what the papers and screens ask; knows no writer."""

from __future__ import annotations

import os
import re
import unicodedata
import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from oilchart.core.calls import PlannedCall, WantedService, plan_calls
from oilchart.core.chart import Chart, Keeper
from oilchart.core.due import WORST_FIRST
from oilchart.core.findings import Finding, Found, Left
from oilchart.core.machine import Machine, Service
from oilchart.core.people import Owner
from oilchart.core.report import Report
from oilchart.core.schedule import Reckoning, Schedule
from oilchart.errors import BookFault, OilchartError, UnknownName, nearest
from oilchart.sources import book as books
from oilchart.sources import schema
from oilchart.sources.book import Book, MachineRecord, ServiceRecord
from oilchart.sources.demo import DemoShop
from oilchart.sources.folders import packaged
from oilchart.sources.phrases import read_report
from oilchart.sources.settings import SETTINGS_FILE, STARTING_SETTINGS, Settings, read_settings
from oilchart.sources.shelf import Shelf

_T = TypeVar("_T")

BOOK_FILE = "shop.db"
OUT_FOLDER = "out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A machine of the book with its schedule."""

    record: MachineRecord
    schedule: Schedule


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCall:
    """A call still to be made: its lasting number, whom, when and for which machines."""

    id: int
    owner: Owner
    on: date
    made_on: date
    changed_on: date
    changes: int
    services: tuple[tuple[MachineRecord, date], ...]


class Shop:
    """One shop folder on one day.

    Args:
        folder: with shop.toml, shop.db and, if the shop has lists of its own, points/.
        today: never read from the clock here.
    """

    def __init__(self, folder: Path, today: date) -> None:
        self.folder = folder
        self.today = today
        self._book_path = folder / BOOK_FILE
        self._charts: dict[str, Chart] = {}

    @classmethod
    def make(cls, folder: Path, today: date, *, settings: str = STARTING_SETTINGS, namespace: str | None = None) -> Shop:
        """Make a new shop folder that only its user can read.

        Args:
            settings: text of its shop.toml.
            namespace: from which calendar ids are made; random unless given.

        Raises:
            BookFault: there is a shop already, or the folder cannot be made.
        """
        settings_path = folder / SETTINGS_FILE
        try:
            # what a run that was killed left of its settings is no shop yet
            if (folder / BOOK_FILE).exists() or (settings_path.exists() and not settings.encode().startswith(settings_path.read_bytes())):
                raise BookFault(f"{folder}: there is a shop already; nothing was changed; choose another folder")
            for each in (folder, folder / "points", folder / "templates", folder / OUT_FOLDER):
                each.mkdir(mode=0o700, parents=True, exist_ok=True)
            folder.chmod(0o700)
            with os.fdopen(os.open(settings_path, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600), "wb") as file:
                file.write(settings.encode())
        except OSError as error:
            raise BookFault(f"{folder}: cannot be made: {error.strerror}; choose a folder you may write to") from None
        schema.make_book(folder / BOOK_FILE, namespace=namespace or str(uuid.uuid4()))
        return cls(folder, today)

    @cached_property
    def settings(self) -> Settings:
        """The shop's settings."""
        return read_settings(self.folder / SETTINGS_FILE)

    @cached_property
    def shelf(self) -> Shelf:
        """The shipped point lists and the shop's own."""
        return Shelf([packaged("points"), self.folder / "points"])

    # owners and machines

    def owners(self) -> list[tuple[Owner, int]]:
        """All owners, each with the count of their machines."""
        with books.transaction(self._book_path, writing=False) as book:
            machines = book.machines()
            return [(owner, sum(machine.owner == owner for machine in machines)) for owner in book.owners().values()]

    def add_owner(self, *, name: str, phone: str, email: str) -> Owner:
        """Add an owner."""
        with books.transaction(self._book_path, writing=True) as book:
            return book.add_owner(name=name, phone=phone, email=email, on=self.today)

    def add_machine(self, *, owner: str, model: str, serial: str, note: str) -> MachineRecord:
        """Add a machine of an owner.

        Raises:
            UnknownName: no such owner or model.
        """
        self.chart(model)
        with books.transaction(self._book_path, writing=True) as book:
            owner_id = _owner_named(book, owner)
            machine_id = book.add_machine(owner_id=owner_id, model=model, serial=serial, note=note, on=self.today)
            return _record(book, machine_id)

    def machines(self) -> list[MachineRecord]:
        """All machines, by number."""
        with books.transaction(self._book_path, writing=False) as book:
            return book.machines()

    def chart(self, model: str) -> Chart:
        """A model's point list.

        Raises:
            UnknownName, FaultyList
        """
        if model not in self._charts:
            self._charts[model] = self.shelf.chart(model)
        return self._charts[model]

    # what is said and done

    def record_use(self, machine: str, words: str, on: date) -> tuple[MachineRecord, Report]:
        """Keep what an owner said about a machine's use.

        Raises:
            UnreadableWords, UnknownName, OilchartError: the day is after today.
        """
        self._not_after_today(on, "the day it was said")
        report = read_report(words, on)
        with books.transaction(self._book_path, writing=True) as book:
            record = _machine_named(book, machine)
            book.add_report(record.id, report)
            return record, report

    def record_service(
        self,
        machine: str,
        on: date,
        *,
        excepted: Sequence[str] = (),
        also: Sequence[str] = (),
        found: Sequence[tuple[str, tuple[Found, ...]]] = (),
        left: Sequence[tuple[str, Left]] = (),
        note: str = "",
    ) -> tuple[Standing, tuple[Finding, ...]]:
        """Keep a service: the points of a service on that day, plus `also`, less `excepted`, and the owner's points.

        Returns:
            How the machine stands after it, and what was kept.

        Raises:
            UnknownName: no such machine or point; OilchartError: the day is after today, or what is told contradicts itself.
        """
        self._not_after_today(on, "the day of the work")
        _check_told(excepted, also, [point for point, _ in left])
        with books.transaction(self._book_path, writing=True) as book:
            record = _machine_named(book, machine)
            findings = self._service_findings(record, on, excepted=excepted, also=also, found=found, left=left)
            book.add_service(record.id, on=on, findings=findings, note=note)
            if all(service.on <= on for service in record.services):  # an older one, told late, is not what the call was for
                book.close_calls_of(record.id, on=on, changed_on=self.today)
            after = _record(book, record.id)
            return Standing(record=after, schedule=self._schedules(book, [after])[0]), findings

    def fill(self, demo: DemoShop) -> None:
        """Put the demo's owners, machines, reports and services into the empty book, in the order in which they came about."""
        with books.transaction(self._book_path, writing=True) as book:
            for name, phone, email in demo.owners:
                book.add_owner(name=name, phone=phone, email=email, on=demo.today)
            for owner_id, model, serial, added, note in demo.machines:
                book.add_machine(owner_id=owner_id, model=model, serial=serial, note=note, on=added)
            for machine_id, said, words in demo.reports:
                book.add_report(machine_id, read_report(words, said))
            records = {record.id: record for record in book.machines()}
            for service in demo.services:
                before = records[service.machine]
                findings = self._service_findings(before, service.on, excepted=service.excepted, found=service.found, left=service.left)
                service_id = book.add_service(before.id, on=service.on, findings=findings, note=service.note)
                kept = ServiceRecord(id=service_id, on=service.on, findings=findings, note=service.note)
                records[service.machine] = replace(before, services=(*before.services, kept))

    # answers

    def schedule(self, machine: str) -> Standing:
        """A machine's schedule today, with the call planned for it.

        Raises:
            UnknownName: none, or more than one, is called so.
        """
        with books.transaction(self._book_path, writing=False) as book:
            record = _machine_named(book, machine)
            return Standing(record=record, schedule=self._schedules(book, [record])[0])

    def standings(self, within_days: int | None = None) -> list[Standing]:
        """All machines with their schedules today, the worst first.

        Args:
            within_days: what counts as due soon; the shop's lead if left out.
        """
        with books.transaction(self._book_path, writing=False) as book:
            records = book.machines()
            pairs = zip(records, self._schedules(book, records, within_days), strict=True)
            return sorted((Standing(record=record, schedule=schedule) for record, schedule in pairs), key=_worst_first)

    @contextmanager
    def calls(self) -> Iterator[list[OpenCall]]:
        """Plan the calls, and keep them if they could be shown: a call keeps its number for as long as it is open."""
        with books.transaction(self._book_path, writing=True) as book:
            records = {record.id: record for record in book.machines()}
            standings = [Standing(record=record, schedule=self._reckoning(record).schedule(self.today)) for record in records.values()]
            _keep_calls(book, self._plan_calls(standings), self.today)
            yield sorted(
                (
                    OpenCall(
                        id=call.id,
                        owner=records[call.services[0][0]].owner,
                        on=call.on,
                        made_on=call.made_on,
                        changed_on=call.changed_on,
                        changes=call.changes,
                        services=tuple((records[machine_id], on) for machine_id, on in call.services),
                    )
                    for call in book.open_calls()
                ),
                key=lambda call: (call.on, call.id),
            )

    def namespace(self) -> str:
        """From which calendar ids are made."""
        with books.transaction(self._book_path, writing=False) as book:
            return book.namespace

    def _schedules(self, book: Book, records: Sequence[MachineRecord], within_days: int | None = None) -> list[Schedule]:
        """Schedules with the calls that are planned for them among all machines of the same owners."""
        owners = {record.owner.number for record in records}
        together = [
            Standing(record=record, schedule=self._reckoning(record, within_days).schedule(self.today))
            for record in book.machines()
            if record.owner.number in owners
        ]
        planned = {service.machine: call for call in self._plan_calls(together) for service in call.services}
        schedules = {each.record.number: replace(each.schedule, call=planned.get(each.record.number)) for each in together}
        return [schedules[record.number] for record in records]

    def _plan_calls(self, standings: Iterable[Standing]) -> list[PlannedCall]:
        wanted = [
            WantedService(owner=each.record.owner.number, machine=each.record.number, on=each.schedule.services[0].on)
            for each in standings
            if each.schedule.services
        ]
        return plan_calls(wanted, today=self.today, open_days=self.settings.open_days, lead_days=self.settings.lead_days)

    def _service_findings(
        self,
        record: MachineRecord,
        on: date,
        *,
        excepted: Sequence[str] = (),
        also: Sequence[str] = (),
        found: Sequence[tuple[str, tuple[Found, ...]]] = (),
        left: Sequence[tuple[str, Left]] = (),
    ) -> tuple[Finding, ...]:
        """What is kept of a service: the points planned for that day, as things stood then, and what was noted."""
        chart = self._chart_of(record)
        for point_id in [*excepted, *also, *(point for point, _ in found), *(point for point, _ in left)]:
            if chart.point(point_id) is None:
                ids = [point.id for point in chart.points]
                raise UnknownName(f'{record.number}: point "{point_id}": {chart.name} has no such point{nearest(point_id, ids)}')
        before = replace(record, services=tuple(service for service in record.services if service.on <= on))
        planned = {point.id for point in self._reckoning(before).points_at(on)}
        planned |= {point.id for point in chart.kept_by(Keeper.OWNER)} | set(also)
        words: dict[str, tuple[Found, ...]] = {}
        for point_id, more in found:
            words[point_id] = tuple(dict.fromkeys((*words.get(point_id, ()), *more)))
        return _findings(chart, planned, set(excepted), words, dict(left))

    def _chart_of(self, record: MachineRecord) -> Chart:
        """The point list of a machine of the book.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        try:
            return self.chart(record.model)
        except UnknownName as unknown:
            raise UnknownName(f"{record.number}: {unknown}") from None

    def _reckoning(self, record: MachineRecord, within_days: int | None = None) -> Reckoning:
        machine = Machine(
            chart=self._chart_of(record),
            number=record.number,
            reports=record.reports,
            services=tuple(
                Service(on=service.on, done=frozenset(finding.point for finding in service.findings if finding.done))
                for service in record.services
            ),
        )
        soon = self.settings.lead_days if within_days is None else within_days
        return Reckoning(machine, open_days=self.settings.open_days, lead_days=soon)

    def _not_after_today(self, on: date, what: str) -> None:
        if on > self.today:
            raise OilchartError(f"--on {on}: {what} is after today, {self.today}; give a day that has been")


def loose_schedule(chart: Chart, words: str | None, serviced: date | None, today: date, settings: Settings) -> Schedule:
    """The schedule of a machine that is in no book, said today, with its call.

    Raises:
        UnreadableWords, OilchartError: the service is after today.
    """
    if serviced is not None and serviced > today:
        raise OilchartError(f"--serviced {serviced}: is after today, {today}; give a day that has been")
    everything = frozenset(point.id for point in chart.points)
    machine = Machine(
        chart=chart,
        reports=() if words is None else (read_report(words, today),),
        services=() if serviced is None else (Service(on=serviced, done=everything),),
    )
    schedule = Reckoning(machine, open_days=settings.open_days, lead_days=settings.lead_days).schedule(today)
    wanted = [WantedService(owner="", machine="", on=service.on) for service in schedule.services]
    calls = plan_calls(wanted, today=today, open_days=settings.open_days, lead_days=settings.lead_days)
    return replace(schedule, call=calls[0] if calls else None)


def _check_told(excepted: Sequence[str], also: Sequence[str], left: Sequence[str]) -> None:
    """What is told of a service must not contradict itself.

    Raises:
        OilchartError
    """
    for point_id in excepted:
        if point_id in also:
            raise OilchartError(f'point "{point_id}": is given with --except and with --also; keep one of them')
    for point_id in left:
        if left.count(point_id) > 1:
            raise OilchartError(f'point "{point_id}": is given with --left twice; keep one of them')


def _findings(
    chart: Chart, planned: set[str], excepted: set[str], found: dict[str, tuple[Found, ...]], left: dict[str, Left]
) -> tuple[Finding, ...]:
    """What is kept of a service, in list order: every point planned, and every other one about which something was noted."""
    return tuple(
        Finding(
            point=point.id,
            done=point.id in planned and point.id not in excepted,
            found=found.get(point.id, ()),
            left=left.get(point.id),
        )
        for point in chart.points
        if point.id in planned or point.id in excepted or point.id in found or point.id in left
    )


def _keep_calls(book: Book, planned: Sequence[PlannedCall], today: date) -> None:
    """Bring the open calls of the book in line with the plan, keeping the number of every call that goes on."""
    rows = {row.id: row for row in book.open_calls()}
    for call in planned:
        owner_id = _id_in(call.owner)
        services = tuple((_id_in(service.machine), service.on) for service in call.services)
        its_machines = [machine_id for machine_id, _ in services]
        row = next(
            (
                row
                for machine_id in its_machines
                for row in rows.values()
                if row.owner_id == owner_id and machine_id in [its for its, _ in row.services]
            ),
            None,
        )
        if row is None:
            book.add_call(owner_id, on=call.on, services=services, made_on=today)
            continue
        del rows[row.id]
        if (row.on, row.services) != (call.on, services):
            book.move_call(row.id, on=call.on, services=services, changed_on=today)
    for row in rows.values():
        book.close_call(row.id, on=today, by="withdrawn")


def _worst_first(standing: Standing) -> tuple[int, int, str]:
    schedule = standing.schedule
    days = schedule.due.days_left(schedule.as_of)
    return WORST_FIRST.index(schedule.state), 10**9 if days is None else days, standing.record.number


def _id_in(number: str) -> int:
    """The number in the book of M-014 or OW-003."""
    return int(number.rpartition("-")[2])


def _record(book: Book, machine_id: int) -> MachineRecord:
    return next(record for record in book.machines() if record.id == machine_id)


def _machine_named(book: Book, name: str) -> MachineRecord:
    """The one machine called so: by its number, or by part of its owner's name or phone, its serial number or its model.

    Raises:
        UnknownName: none is, or more than one.
    """
    records = book.machines()
    by_number = {record.number: record for record in records}
    wanted = " ".join(name.split())
    number = _as_number(wanted)
    if number in by_number:
        return by_number[number]
    fitting = [
        record
        for record in records
        if _fits(wanted, record.owner.name, record.serial, record.model)
        or _dials(wanted, record.owner.phone)
        or record.owner.number == number
    ]
    return _only_one("machine", wanted, fitting, [f"{record.number} ({record.owner.name})" for record in fitting], by_number)


def _owner_named(book: Book, name: str) -> int:
    """The number in the book of the one owner called so, by number or part of name or phone.

    Raises:
        UnknownName: none is, or more than one.
    """
    owners = book.owners()
    wanted = " ".join(name.split())
    by_number = {owner.number: owner_id for owner_id, owner in owners.items()}
    if _as_number(wanted) in by_number:
        return by_number[_as_number(wanted)]
    fitting = [owner_id for owner_id, owner in owners.items() if _fits(wanted, owner.name) or _dials(wanted, owner.phone)]
    names = [f"{owners[owner_id].number} ({owners[owner_id].name})" for owner_id in fitting]
    return _only_one("owner", wanted, fitting, names, [*by_number, *(owner.name for owner in owners.values())])


def _as_number(wanted: str) -> str:
    """The number of a machine or owner as the book writes it: m-14 is M-014."""
    found = re.fullmatch(r"(M|OW)-?(\d{1,9})", wanted, re.IGNORECASE | re.ASCII)
    return f"{found[1].upper()}-{int(found[2]):03}" if found else wanted


def _fits(wanted: str, *texts: str) -> bool:
    """Whether a name holds what is wanted, however its letters are cased and composed."""
    return bool(wanted) and any(_plain(wanted) in _plain(text) for text in texts)


def _dials(wanted: str, phone: str) -> bool:
    """Whether a phone number holds what is wanted, however its digits are parted."""
    return _fits(wanted, phone) or (
        bool(re.fullmatch(r"[-+\d ()./]*\d[-\d ()./]*", wanted, re.ASCII)) and _digits(wanted) in _digits(phone)
    )


def _plain(text: str) -> str:
    return unicodedata.normalize("NFC", text).casefold()


def _digits(text: str) -> str:
    return "".join(char for char in text if char in "+0123456789")


def _only_one(what: str, wanted: str, fitting: Sequence[_T], names: Sequence[str], known: Iterable[str]) -> _T:
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        raise UnknownName(f'{what} "{wanted[:60]}": there is none of that number, name or phone{nearest(wanted, known)}')
    more = ", ..." if len(names) > 6 else ""
    raise UnknownName(f'{what} "{wanted[:60]}": fits {len(names)}: {", ".join(names[:6])}{more}; name one of them by its number')
