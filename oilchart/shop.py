"""Knows a shop: joins its settings, point lists and book, and answers what the papers and screens ask; knows no writer."""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from functools import cached_property, partial
from pathlib import Path
from typing import TypeVar

from oilchart.answers import Answer, Answering, check_day
from oilchart.core.chart import Chart, Keeper
from oilchart.core.contact import Outcome, Told
from oilchart.core.days import Span, add_days
from oilchart.core.due import WORST_FIRST
from oilchart.core.findings import Finding, Found, Left, check_told, findings_of, same_noted
from oilchart.core.fitting import NO_REFIT, Refit, refitted
from oilchart.core.job import ElectricalCheck, Job, Unsafe
from oilchart.core.limits import SharedLimits
from oilchart.core.machine import Machine, Service
from oilchart.core.meter import check_reading
from oilchart.core.people import ASKED_FOR, Owner, OwnerChange, changed
from oilchart.core.reckoning import Reckoning
from oilchart.core.report import Report
from oilchart.core.shortened import Shortened, with_shorter_intervals
from oilchart.core.shortening import Proposal, proposals
from oilchart.core.uids import call_uid, service_uid
from oilchart.errors import BookFault, OilchartError, UnknownName, nearest
from oilchart.feeds import FEEDS, CalendarDesk
from oilchart.loose import terms, with_habits
from oilchart.post import Post, instead_of_calls, to_all_due
from oilchart.readback import Taken, taken
from oilchart.sources import book as books
from oilchart.sources import schema
from oilchart.sources.book import Book, MachineRecord, ServiceRecord, owner_number
from oilchart.sources.calendar_file import ReadEntry
from oilchart.sources.callbook import id_in, keep_calls
from oilchart.sources.demo import DemoShop
from oilchart.sources.folders import packaged
from oilchart.sources.naming import as_number, machine_named, owner_named
from oilchart.sources.phrases import read_report
from oilchart.sources.settings import SETTINGS_FILE, STARTING_SETTINGS, Settings, read_settings
from oilchart.sources.shelf import Shelf
from oilchart.week import OpenCall, Standing, Week, open_call, with_calls

_T = TypeVar("_T")

BOOK_FILE = "shop.db"
OUT_FOLDER = "out"


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
        self._charts: dict[tuple[str, ...], Chart] = {}
        self._fitted: dict[tuple[tuple[str, ...], tuple[Shortened, ...]], Chart] = {}
        self._limits = SharedLimits()

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
        """The shop's settings, with the closures read from its calendar."""
        settings = read_settings(self.folder / SETTINGS_FILE)
        if not self._book_path.exists():
            return settings
        with books.transaction(self._book_path, writing=False) as book:
            shut = tuple(Span(first=first, end=add_days(last, 1)) for _, first, last, _ in book.ledger.closures())
        open_days = replace(settings.open_days, closures=(*settings.open_days.closures, *shut))
        return replace(settings, open_days=open_days)

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

    def add_owner(self, *, name: str, phone: str, email: str, address: Sequence[str] = ()) -> Owner:
        """Add an owner.

        Args:
            address: the lines of their postal address.
        """
        with books.transaction(self._book_path, writing=True) as book:
            return book.add_owner(name=name, phone=phone, email=email, on=self.today, address=address)

    def edit_owner(self, owner: str, change: OwnerChange) -> Owner:
        """Change what is noted of an owner.

        Raises:
            UnknownName: none, or more than one, is called so; OilchartError: the change contradicts itself.
        """
        with books.transaction(self._book_path, writing=True) as book:
            owner_id = owner_named(book, owner)
            book.edit_owner(owner_id, changed(book.owners()[owner_id], change, self.today))
            return book.owners()[owner_id]

    def add_machine(self, *, owner: str, model: str, serial: str, note: str) -> MachineRecord:
        """Add a machine of an owner.

        Raises:
            UnknownName: no such owner or model.
        """
        self.chart(model)
        with books.transaction(self._book_path, writing=True) as book:
            owner_id = owner_named(book, owner)
            machine_id = book.add_machine(owner_id=owner_id, model=model, serial=serial, note=note, on=self.today)
            return _record(book, machine_id)

    def edit_machine(
        self,
        machine: str,
        *,
        serial: str | None = None,
        note: str | None = None,
        conditions: Sequence[str] = (),
        without: Sequence[str] = (),
        refit: Refit = NO_REFIT,
        by_book: Sequence[str] = (),
        all_by_book: bool = False,
    ) -> MachineRecord:
        """Give a machine another serial number or note, conditions more or less, or other mechanisms than its model's.

        Args:
            by_book: points whose shorter intervals are taken back; the book's hold again.
            all_by_book: those of all points are.

        Raises:
            UnknownName: no such machine, condition or mechanism, or it has not got the one, or the shorter interval, taken away.
            FaultyList: the mechanisms do not go together.
        """
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            for condition in (*conditions, *without):
                if condition not in self.shelf.conditions():
                    known = nearest(condition, self.shelf.conditions())
                    raise UnknownName(f'{record.number}: condition "{condition}": there is no such condition{known}')
            for condition in without:
                if condition not in record.conditions:
                    known = nearest(condition, record.conditions)
                    raise UnknownName(f'{record.number}: condition "{condition}": it does not work under it{known}')
            shorter = [limit.point for limit in record.shortened]
            for point in by_book:
                if point not in shorter:
                    raise UnknownName(f'{record.number}: point "{point}": its interval is the book\'s already{nearest(point, shorter)}')
            book.shortened.take_back(record.id, shorter if all_by_book else by_book)
            kept = [each for each in dict.fromkeys((*record.conditions, *conditions)) if each not in without]
            book.edit_machine(
                record.id,
                serial=record.serial if serial is None else serial,
                note=record.note if note is None else note,
                conditions=kept,
                mechanisms=self._refitted(record, refit),
            )
            return _record(book, record.id)

    def _refitted(self, record: MachineRecord, refit: Refit) -> tuple[str, ...]:
        """The mechanisms a machine has after a change; empty where they are its model's."""
        model = tuple(mechanism for mechanism, _ in self.chart(record.model).mechanisms)
        if refit.as_model:
            return ()
        now = tuple(mechanism for mechanism, _ in self._list_of(record).mechanisms)
        after = refitted(now, refit, self.shelf.mechanisms(), record.number)
        self.shelf.chart(record.model, after)
        return () if set(after) == set(model) else after

    def machine_gone(self, machine: str, why: str, on: date) -> MachineRecord:
        """Note that a machine is not looked after any more: it is kept, but falls due no more and nobody is rung about it.

        Raises:
            UnknownName; OilchartError: the day is after today.
        """
        self._not_after_today(on, "the day it went")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            book.let_go(record.id, why=why, on=on, changed_on=self.today)
            return record

    def machine_back(self, machine: str) -> MachineRecord:
        """Look after a machine again that was gone; its owner may be rung again, too, unless they asked for none.

        Raises:
            UnknownName: no machine of that number is gone.
        """
        with books.transaction(self._book_path, writing=True) as book:
            number = as_number(machine)
            if number not in book.gone():
                raise UnknownName(f"{number}: is not gone; name a machine that is by its number{nearest(number, book.gone())}")
            book.take_back(id_in(number))
            record = _record(book, id_in(number))
            alone = record.owner.left_alone
            if alone is not None and alone.why != ASKED_FOR:
                book.edit_owner(id_in(record.owner.number), replace(record.owner, left_alone=None))
            return _record(book, record.id)

    def machines(self) -> list[MachineRecord]:
        """All machines, by number."""
        with books.transaction(self._book_path, writing=False) as book:
            return book.machines()

    def machine(self, machine: str) -> MachineRecord:
        """One machine.

        Raises:
            UnknownName: none, or more than one, is called so.
        """
        with books.transaction(self._book_path, writing=False) as book:
            return machine_named(book, machine)

    def chart(self, model: str, mechanisms: Sequence[str] = ()) -> Chart:
        """A model's point list, or that of a machine that has other mechanisms.

        Raises:
            UnknownName, FaultyList
        """
        key = (model, *mechanisms)
        if key not in self._charts:
            self._charts[key] = self.shelf.chart(model, mechanisms)
        return self._charts[key]

    # what is said and done

    def record_use(self, machine: str, words: str, on: date) -> tuple[MachineRecord, Report]:
        """Keep what an owner said about a machine's use.

        Raises:
            UnreadableWords, UnknownName, OilchartError: the day is after today.
        """
        self._not_after_today(on, "the day it was said")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            machine_now = self._machine(record)
            report = read_report(words, on, terms(machine_now, self.settings))
            check_reading(report, record.reports, machine_now.speed)
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
        freed: bool = False,
        unsafe: str = "",
        accept: bool = False,
        ticked: Sequence[str] | None = None,
    ) -> tuple[Standing, tuple[Finding, ...], tuple[Proposal, ...]]:
        """Keep a service: the points of a service on that day, plus `also`, less `excepted`, and the owner's points.

        Args:
            ticked: on a bench checklist: of what the bench does only this was done, and it was done even if not planned.
            freed: the machine had been seized and was freed; it settles in now.
            unsafe: why it must not be plugged in; it gets no care card until an electrical check is passed.
            accept: the shorter intervals that its findings propose hold from now on. A service that is in the book already and told again
                to accept them is not kept twice.

        Returns:
            How the machine stands after it, what was kept, and the shorter intervals proposed.

        Raises:
            UnknownName: no such machine or point; OilchartError: the day is after today, or what is told contradicts itself.
        """
        self._not_after_today(on, "the day of the work")
        check_told(excepted, also, [point for point, _ in left])
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            noted = partial(self._service_findings, on=on, excepted=excepted, also=also, found=found, left=left, ticked=ticked)
            again = _told_again(record, noted, on=on, note=note, freed=freed) if accept else None
            findings = noted(record) if again is None else again
            if again is None:
                if ticked is not None and any(each.on == on and same_noted(each.findings, findings) for each in record.services):
                    raise OilchartError(f"{record.number}: these findings of {on} are in the book already; nothing was changed")
                book.add_service(record.id, on=on, findings=findings, note=note, freed=freed)
            offered = self._proposals(record, findings, on, freed=freed)
            for each in offered if accept else ():
                book.shortened.accept(record.id, each.shortened(self.today))
            if unsafe:
                book.set_unsafe(record.id, Unsafe(on=on, why=unsafe))
            if all(service.on <= on for service in record.services):  # an older one, told late, is not what the call was for
                book.calls.close_of(record.id, on=on, changed_on=self.today)
                book.calls.close_bookings(record.id, on=on, by="service")
            after = _record(book, record.id)
            return self._standings(book, [after])[0], findings, offered

    def fill(self, demo: DemoShop) -> None:
        """Put the demo's owners, machines, reports and services into the empty book, in the order in which they came about."""
        with books.transaction(self._book_path, writing=True) as book:
            for each in demo.owners:
                owner = book.add_owner(name=each.name, phone=each.phone, email=each.email, on=demo.today)
                book.edit_owner(id_in(owner.number), changed(owner, each.wishes, demo.today))
            for owner_id, model, serial, added, note in demo.machines:
                book.add_machine(owner_id=owner_id, model=model, serial=serial, note=note, on=added)
            records = {record.id: record for record in book.machines()}
            for machine_id, conditions in demo.conditions:
                record = records[machine_id]
                book.edit_machine(machine_id, serial=record.serial, note=record.note, conditions=conditions)
            for machine_id, said, words in demo.reports:
                book.add_report(machine_id, read_report(words, said, terms(self._machine(records[machine_id]), self.settings)))
            for machine_id, job in demo.jobs:
                job_id = book.add_job(machine_id, in_on=job.in_on, complaint=job.complaint, left_with=job.left_with)
                book.edit_job(replace(job, id=job_id))
            records = {record.id: record for record in book.machines()}
            for service in demo.services:
                before = records[service.machine]
                findings = self._service_findings(before, service.on, excepted=service.excepted, found=service.found, left=service.left)
                kept = ServiceRecord(id=0, on=service.on, findings=findings, note=service.note, freed=service.freed)
                book.add_service(before.id, on=kept.on, findings=findings, note=kept.note, freed=kept.freed)
                records[service.machine] = replace(before, services=(*before.services, kept))
        for owner_id, told in demo.outcomes:
            self.called(owner_number(owner_id), told.outcome, told.on, day=told.day, note=told.note)

    # stays in the shop

    def check_in(
        self, machine: str, complaint: str, on: date, *, left_with: Sequence[str] = (), serial: str | None = None, use: str | None = None
    ) -> MachineRecord:
        """Note that a machine came into the shop, with what its owner says is wrong.

        Args:
            serial: its serial number, where it was not known or is another.
            use: what the owner says of their sewing, where they were asked.

        Raises:
            UnknownName, UnreadableWords; OilchartError: it is in the shop already, or the day is after today.
        """
        self._not_after_today(on, "the day it came in")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            if record.open_job is not None:
                since = record.open_job.in_on
                raise OilchartError(
                    f"{record.number}: is in the shop already, since {since}; note its collection first: oilchart collected"
                )
            self._after_earlier_stays(record, on)
            if serial is not None:
                book.edit_machine(record.id, serial=serial, note=record.note, conditions=record.conditions, mechanisms=record.mechanisms)
            if use is not None:
                machine_now = self._machine(record)
                report = read_report(use, on, terms(machine_now, self.settings))
                check_reading(report, record.reports, machine_now.speed)
                book.add_report(record.id, report)
            book.add_job(record.id, in_on=on, complaint=complaint, left_with=left_with)
            book.calls.close_bookings(record.id, on=on, by="check-in")
            return _record(book, record.id)

    def wait_for(self, machine: str, part: str) -> MachineRecord:
        """Note the part that a machine in the shop waits for; nothing, that it waits no more."""
        return self._change_job(machine, lambda job: replace(job, waiting_for=part, ready_on=None))

    def ready(self, machine: str, on: date) -> MachineRecord:
        """Note that a machine can be collected."""
        self._not_after_today(on, "the day it was ready")
        return self._change_job(machine, lambda job: replace(job, waiting_for="", ready_on=_not_before(job, on)))

    def collect(self, machine: str, on: date) -> MachineRecord:
        """Note that a machine went back to its owner; its use starts again."""
        self._not_after_today(on, "the day of collection")
        return self._change_job(machine, lambda job: replace(job, waiting_for="", out_on=_not_before(job, on)))

    def record_check(self, machine: str, check: ElectricalCheck) -> MachineRecord:
        """Keep an electrical check; one that is passed lets a machine found unsafe be plugged in again.

        Raises:
            UnknownName; OilchartError: the day is after today, or before the machine was found unsafe.
        """
        self._not_after_today(check.on, "the day of the check")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            if record.unsafe is not None and check.on < record.unsafe.on:
                raise OilchartError(
                    f"--on {check.on}: is before the day {record.number} was found unsafe, {record.unsafe.on}; check it again"
                )
            book.add_check(record.id, check)
            if check.passed:
                book.set_unsafe(record.id, None)
            elif record.unsafe is None:
                book.set_unsafe(record.id, Unsafe(on=check.on, why=f"not passed by {check.by}"))
            return _record(book, record.id)

    def _change_job(self, machine: str, change: Callable[[Job], Job]) -> MachineRecord:
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            if record.open_job is None:
                raise OilchartError(f"{record.number}: is not in the shop; note that it came in first: oilchart checkin")
            book.edit_job(change(record.open_job))
            return _record(book, record.id)

    def _after_earlier_stays(self, record: MachineRecord, on: date) -> None:
        before = max((job.out_on for job in record.jobs if job.out_on is not None), default=None)
        if before is not None and on < before:
            raise OilchartError(f"--on {on}: {record.number} was in the shop until {before}; give a day from then on")

    # answers

    def schedule(self, machine: str) -> Standing:
        """A machine's schedule today, with the call planned for it.

        Raises:
            UnknownName: none, or more than one, is called so.
        """
        with books.transaction(self._book_path, writing=False) as book:
            record = machine_named(book, machine)
            return self._standings(book, [record])[0]

    def standings(self, within_days: int | None = None, *, model: str | None = None, owner: str | None = None) -> list[Standing]:
        """All machines, or those of a model or an owner, with their schedules today, the worst first.

        Args:
            within_days: what counts as due soon; the shop's lead if left out.

        Raises:
            UnknownName: no such model; none, or more than one owner, is called so.
        """
        if model is not None:
            self.chart(model)
        with books.transaction(self._book_path, writing=False) as book:
            records = everyone = book.machines()
            if model is not None:
                records = [record for record in records if record.model == model]
            if owner is not None:
                wanted = book.owners()[owner_named(book, owner)]
                records = [record for record in records if record.owner.number == wanted.number]
            return sorted(self._standings(book, records, within_days, everyone=everyone), key=_worst_first)

    def owner_standings(self, owner: str) -> tuple[Owner, list[Standing], list[Told]]:
        """An owner, their machines with their schedules, and what came of the calls to them.

        Raises:
            UnknownName: none, or more than one, is called so.
        """
        with books.transaction(self._book_path, writing=False) as book:
            owner_id = owner_named(book, owner)
            records = [record for record in book.machines() if id_in(record.owner.number) == owner_id]
            return book.owners()[owner_id], self._standings(book, records), book.calls.told()[owner_id]

    @contextmanager
    def calls(self) -> Iterator[list[OpenCall]]:
        """Plan the calls, and keep them if they could be shown: a call keeps its number for as long as it is open."""
        with books.transaction(self._book_path, writing=True) as book:
            records, _, _ = self._planned(book)
            yield self._open_calls(book, records)

    @contextmanager
    def calendars(self) -> Iterator[CalendarDesk]:
        """Plan the calls and the services for the shop's calendars, and keep what is written if it could be."""
        with books.transaction(self._book_path, writing=True) as book:
            records, standings, _ = self._planned(book)
            yield CalendarDesk(
                calls=tuple(self._open_calls(book, records)),
                standings=tuple(standings),
                namespace=book.namespace,
                seen_to=frozenset(book.calls.seen_to()),
                ledger=book.ledger,
                today=self.today,
            )

    def read_calendar(self, entries: Sequence[ReadEntry], *, category: str | None, only_look: bool) -> Taken:
        """Take what was moved in the shop's own calendar program: a call becomes promised for its day, a service booked.

        Args:
            category: of entries that are closures, in place of those read before; None leaves closures as they are.
            only_look: change nothing.
        """
        with books.transaction(self._book_path, writing=True) as book:
            records, _, _ = self._planned(book)
            found = taken(
                entries,
                calls={call_uid(book.namespace, call.id): call.id for call in book.calls.open()},
                services={
                    service_uid(book.namespace, record.number, record.services[-1].on if record.services else None): record.id
                    for record in records.values()
                    if record.open_job is None
                },
                ledger={entry.uid: entry for feed in FEEDS for entry in book.ledger.read(feed)},
                today=self.today,
                open_days=self.settings.open_days,
                category=category,
            )
            if only_look:
                return found
            for move in found.calls:
                book.calls.promise(move.key, move.to, self.today)
            for move in found.services:
                book.calls.book_service(move.key, day=move.to, made_on=self.today)
            if category is not None:
                book.ledger.set_closures([(shut.uid, shut.first, shut.last, shut.why) for shut in found.closures], since=self.today)
                del self.settings
            return found

    def letters(self, *, due_only: bool, within_days: int) -> Post:
        """Whom the shop writes to: instead of the calls of the coming days, or, with `due_only`, to all whose machines are due."""
        with books.transaction(self._book_path, writing=True) as book:
            records, standings, _ = self._planned(book)
            calls = self._open_calls(book, records)
        standings = sorted(standings, key=_worst_first)
        if due_only:
            return to_all_due(calls, standings, self.today)
        return instead_of_calls(calls, standings, add_days(self.today, within_days))

    def _planned(self, book: Book) -> tuple[dict[int, MachineRecord], list[Standing], Week]:
        """Plan the calls and bring those of the book in line; the machines, by their number in the book, and how they stand."""
        records = {record.id: record for record in book.machines()}
        week = Week(book, self.settings, self.today)
        standings = week.share([self._standing(record) for record in records.values()])
        calls = week.calls(standings)
        keep_calls(book.calls, calls, self.today)
        return records, with_calls(standings, calls), week

    def _open_calls(self, book: Book, records: Mapping[int, MachineRecord]) -> list[OpenCall]:
        told = book.calls.told_by_call()
        calls = [open_call(call, records, told[call.id]) for call in book.calls.open()]
        return sorted(calls, key=lambda call: (call.on, call.id))

    def called(
        self,
        owner: str,
        outcome: Outcome,
        on: date,
        *,
        day: date | None = None,
        machines: Sequence[str] = (),
        note: str = "",
    ) -> Answer:
        """Keep what came of a call, and do what follows from it.

        Args:
            day: the day booked, or on which they want to be rung.
            machines: those booked or sold, where it is not clear which.

        Raises:
            UnknownName; OilchartError: a day is missing or none is wanted, the bench is shut then, or it is not clear which machines.
        """
        self._not_after_today(on, "the day of the call")
        with books.transaction(self._book_path, writing=True) as book:
            owner_id = owner_named(book, owner)
            records, _, week = self._planned(book)
            theirs = [record for record in records.values() if id_in(record.owner.number) == owner_id]
            calls = [call for call in self._open_calls(book, records) if id_in(call.owner.number) == owner_id]
            named = [machine_named(book, machine) for machine in machines]
            told = Told(on=on, outcome=outcome, day=day, note=note)
            check_day(told, self.today, self.settings.open_days)
            return Answering(book, week, self.today).answer(book.owners()[owner_id], told, calls=calls, theirs=theirs, named=named)

    def _standing(self, record: MachineRecord, within_days: int | None = None) -> Standing:
        """A machine with its schedule, without calls, which are planned among all machines of an owner."""
        reckoning = self._reckoning(record, within_days)
        return Standing(record=record, schedule=reckoning.schedule(self.today), reckoning=reckoning)

    def _standings(
        self,
        book: Book,
        records: Sequence[MachineRecord],
        within_days: int | None = None,
        *,
        everyone: Sequence[MachineRecord] | None = None,
    ) -> list[Standing]:
        """Machines with their schedules and calls, planned among all machines of the same owners, or of all where days or weeks fill up.

        Args:
            everyone: all machines of the book, where they were read already.
        """
        owners = {record.owner.number for record in records}
        limited = self.settings.calls_a_day is not None or self.settings.services_a_week is not None
        all_machines = [record for record in everyone or book.machines() if limited or record.owner.number in owners]
        week = Week(book, self.settings, self.today)
        together = week.share([self._standing(record, within_days) for record in all_machines])
        by_number = {standing.record.number: standing for standing in with_calls(together, week.calls(together))}
        return [by_number[record.number] for record in records]

    def _service_findings(
        self,
        record: MachineRecord,
        on: date,
        *,
        excepted: Sequence[str] = (),
        also: Sequence[str] = (),
        found: Sequence[tuple[str, tuple[Found, ...]]] = (),
        left: Sequence[tuple[str, Left]] = (),
        ticked: Sequence[str] | None = None,
    ) -> tuple[Finding, ...]:
        """What is kept of a service: the points planned for that day, as things stood then, and what was noted.

        An owner's point counts as done, as in every service, unless something was noted of it and its box was left empty.
        """
        chart = self.chart_of(record)
        noted = [point for point, _ in (*found, *left)]
        for point_id in [*excepted, *also, *noted, *(ticked or ())]:
            if chart.point(point_id) is None:
                ids = [point.id for point in chart.points]
                raise UnknownName(f'{record.number}: point "{point_id}": {chart.name} has no such point{nearest(point_id, ids)}')
        before = replace(record, services=tuple(service for service in record.services if service.on <= on))
        planned = {point.id for point in self._reckoning(before).points_at(on)}
        owners = {point.id for point in chart.kept_by(Keeper.OWNER)}
        if ticked is not None:
            excepted = [*excepted, *((planned | (owners & set(noted))) - {*ticked, *also})]
        planned |= owners | {*also, *(ticked or ())}
        words: dict[str, tuple[Found, ...]] = {}
        for point_id, more in found:
            words[point_id] = tuple(dict.fromkeys((*words.get(point_id, ()), *more)))
        return findings_of(chart, planned, set(excepted), words, dict(left))

    def _proposals(self, record: MachineRecord, findings: Sequence[Finding], on: date, *, freed: bool) -> tuple[Proposal, ...]:
        """The shorter intervals that findings of a service on a day propose, by how the machine stood before that day."""
        before = replace(record, services=tuple(service for service in record.services if service.on < on))
        freed = freed or any(service.freed for service in record.services if service.on == on)
        return proposals(self._reckoning(before), findings, on, freed=freed)

    def chart_of(self, record: MachineRecord) -> Chart:
        """The point list of a machine of the book, as it stands for its owner, with the intervals that are shorter for it.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        key = (record.model, *record.mechanisms, *record.owner.can), record.shortened
        if key not in self._fitted:
            self._fitted[key] = with_shorter_intervals(self._list_of(record).for_owner(record.owner.can), record.shortened)
        return self._fitted[key]

    def _list_of(self, record: MachineRecord) -> Chart:
        try:
            return self.chart(record.model, record.mechanisms)
        except UnknownName as unknown:
            raise UnknownName(f"{record.number}: {unknown}") from None

    def _machine(self, record: MachineRecord) -> Machine:
        """A machine of the book as it is reckoned with."""
        services = tuple(
            Service(on=service.on, done=frozenset(finding.point for finding in service.findings if finding.done), freed=service.freed)
            for service in record.services
        )
        machine = Machine(
            chart=self.chart_of(record),
            number=record.number,
            reports=record.reports,
            services=services,
            stays=tuple(job.stay(self.today) for job in record.jobs),
            in_shop=record.open_job is not None,
            booked=record.booked,
            shortened=record.shortened,
        )
        return with_habits(machine, record.conditions, self.shelf.conditions())

    def _reckoning(self, record: MachineRecord, within_days: int | None = None) -> Reckoning:
        soon = self.settings.lead_days if within_days is None else within_days
        machine = self._machine(record)
        return Reckoning(machine, open_days=self.settings.open_days, lead_days=soon, limits=self._limits.of(machine))

    def _not_after_today(self, on: date, what: str) -> None:
        if on > self.today:
            raise OilchartError(f"--on {on}: {what} is after today, {self.today}; give a day that has been")


def _worst_first(standing: Standing) -> tuple[int, float, int, str]:
    """State, risk, days left, number; risk to two decimals, so that of machines past their limits as good as surely the latest is first."""
    schedule = standing.schedule
    days = schedule.due.days_left(schedule.as_of)
    weight = 0 if schedule.risk is None else round(schedule.risk.weight, 2)
    return WORST_FIRST.index(schedule.state), -weight, 10**9 if days is None else days, standing.record.number


def _told_again(
    record: MachineRecord, noted: Callable[[MachineRecord], tuple[Finding, ...]], *, on: date, note: str, freed: bool
) -> tuple[Finding, ...] | None:
    """What is kept of a service that is in the book already just as it is told now; None where there is none such.

    Args:
        noted: what is kept of the service, of the machine as it was before it.
    """
    for service in record.services:
        before = replace(record, services=tuple(other for other in record.services if other is not service))
        if (service.on, service.note, service.freed) == (on, note, freed) and set(findings := noted(before)) == set(service.findings):
            return findings
    return None


def _not_before(job: Job, on: date) -> date:
    """The day, which must not lie before the check-in.

    Raises:
        OilchartError
    """
    if on < job.in_on:
        raise OilchartError(f"--on {on}: is before the machine came in, {job.in_on}; give a later day")
    return on


def _record(book: Book, machine_id: int) -> MachineRecord:
    return next(record for record in book.machines() if record.id == machine_id)
