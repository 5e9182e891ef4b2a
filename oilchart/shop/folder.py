"""Knows a shop: joins its settings, point lists and book, and answers what the papers and screens
ask; knows no writer."""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

from oilchart.core.calendar.uids import call_uid, service_uid
from oilchart.core.days import add_days
from oilchart.core.lists.mechanisms import NO_MECHANISM_CHANGE, MechanismChange
from oilchart.core.lists.point_list import PointList
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.own_interval_proposals import Proposal
from oilchart.core.planning.standing import OpenCall, Standing, worst_first
from oilchart.core.records.findings import Finding, Found, Left, ServiceNotes, check_told
from oilchart.core.records.job import ElectricalCheck, Job
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner, OwnerChange, changed, owner_number
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.use.meter import check_reading
from oilchart.core.use.report import Report
from oilchart.errors import BookFault
from oilchart.shop.calendar_export import FEEDS, CalendarSources
from oilchart.shop.calendar_import import CalendarChanges, calendar_changes
from oilchart.shop.call_outcomes import OutcomeRecorded, OutcomeRecorder, check_day
from oilchart.shop.jobs import Stays, not_before
from oilchart.shop.letters_due import LettersDue, instead_of_calls, to_all_due
from oilchart.shop.machines import Register
from oilchart.shop.services import Serving
from oilchart.shop.standings import BOOK_FILE, Reckoner, open_calls, record_of
from oilchart.shop.unregistered import terms
from oilchart.sources.book import schema
from oilchart.sources.book import shop_book as books
from oilchart.sources.book.lookup import machine_named, owner_named
from oilchart.sources.files.calendar_file import ReadEntry
from oilchart.sources.files.demo import DemoShop
from oilchart.sources.files.settings import SETTINGS_FILE, STARTING_SETTINGS, Settings
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.words.reader import read_report

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
        self._reckoner = Reckoner(folder, today)
        self._book_path = self._reckoner.book_path

    @classmethod
    def make(
        cls,
        folder: Path,
        today: date,
        *,
        settings: str = STARTING_SETTINGS,
        namespace: str | None = None,
    ) -> Shop:
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
            if (folder / BOOK_FILE).exists() or (
                settings_path.exists()
                and not settings.encode().startswith(settings_path.read_bytes())
            ):
                raise BookFault(
                    f"{folder}: there is a shop already; nothing was changed; choose another folder"
                )
            for each in (folder, folder / "points", folder / "templates", folder / OUT_FOLDER):
                each.mkdir(mode=0o700, parents=True, exist_ok=True)
            folder.chmod(0o700)
            with os.fdopen(
                os.open(settings_path, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600), "wb"
            ) as file:
                file.write(settings.encode())
        except OSError as error:
            raise BookFault(
                f"{folder}: cannot be made: {error.strerror}; choose a folder you may write to"
            ) from None
        schema.make_book(folder / BOOK_FILE, namespace=namespace or str(uuid.uuid4()))
        return cls(folder, today)

    @property
    def settings(self) -> Settings:
        """The shop's settings, with the closures read from its calendar."""
        return self._reckoner.settings

    @property
    def library(self) -> PointLibrary:
        """The shipped point lists and the shop's own."""
        return self._reckoner.library

    # owners and machines

    def owners(self) -> list[tuple[Owner, int]]:
        """All owners, each with the count of their machines."""
        with books.transaction(self._book_path, writing=False) as book:
            machines = book.machines()
            return [
                (owner, sum(machine.owner == owner for machine in machines))
                for owner in book.owners().values()
            ]

    def add_owner(self, *, name: str, phone: str, email: str, address: Sequence[str] = ()) -> Owner:
        """Add an owner.

        Args:
            address: the lines of their postal address.
        """
        with books.transaction(self._book_path, writing=True) as book:
            return book.add_owner(
                name=name, phone=phone, email=email, on=self.today, address=address
            )

    def edit_owner(self, owner: str, change: OwnerChange) -> Owner:
        """Change what is noted of an owner.

        Raises:
            UnknownName: none, or more than one, is called so; OilchartError: the change contradicts
                itself.
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
        self.point_list(model)
        with books.transaction(self._book_path, writing=True) as book:
            owner_id = owner_named(book, owner)
            machine_id = book.add_machine(
                owner_id=owner_id, model=model, serial=serial, note=note, on=self.today
            )
            return record_of(book, machine_id)

    def edit_machine(
        self,
        machine: str,
        *,
        serial: str | None = None,
        note: str | None = None,
        conditions: Sequence[str] = (),
        without: Sequence[str] = (),
        mechanism_change: MechanismChange = NO_MECHANISM_CHANGE,
        by_book: Sequence[str] = (),
        all_by_book: bool = False,
    ) -> MachineRecord:
        """Give a machine another serial number or note, conditions more or less, or other
        mechanisms than its model's.

        Args:
            by_book: points whose shorter intervals are taken back; the book's hold again.
            all_by_book: those of all points are.

        Raises:
            UnknownName: no such machine, condition or mechanism, or it has not got the one, or the
                shorter interval, taken away.
            FaultyList: the mechanisms do not go together.
        """
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            Register(book, self._reckoner).edit(
                record,
                serial=serial,
                note=note,
                conditions=conditions,
                without=without,
                mechanism_change=mechanism_change,
                by_book=by_book,
                all_by_book=all_by_book,
            )
            return record_of(book, record.id)

    def machine_gone(self, machine: str, why: str, on: date) -> MachineRecord:
        """Note that a machine is not looked after any more: it is kept, but falls due no more and
        nobody is rung about it.

        Raises:
            UnknownName; OilchartError: the day is after today.
        """
        self._reckoner.not_after_today(on, "the day it went")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            book.mark_gone(record.id, why=why, on=on, changed_on=self.today)
            return record

    def machine_back(self, machine: str) -> MachineRecord:
        """Look after a machine again that was gone; its owner may be rung again, too, unless they
        asked for none.

        Raises:
            UnknownName: no machine of that number is gone.
        """
        with books.transaction(self._book_path, writing=True) as book:
            return record_of(book, Register(book, self._reckoner).restore(machine))

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

    def point_list(self, model: str, mechanisms: Sequence[str] = ()) -> PointList:
        """A model's point list, or that of a machine that has other mechanisms.

        Raises:
            UnknownName, FaultyList
        """
        return self._reckoner.point_list(model, mechanisms)

    # what is said and done

    def record_use(self, machine: str, words: str, on: date) -> tuple[MachineRecord, Report]:
        """Keep what an owner said about a machine's use.

        Raises:
            UnreadableWords, UnknownName, OilchartError: the day is after today.
        """
        self._reckoner.not_after_today(on, "the day it was said")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            machine_now = self._reckoner.machine(record)
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
        """Keep a service: the points of a service on that day, plus `also`, less `excepted`, and
        the owner's points.

        Args:
            ticked: on a bench checklist: only this was done, the owner's points too, and it was
                done even if not planned.
            freed: the machine had been seized and was freed; it settles in now.
            unsafe: why it must not be plugged in; it gets no care card until an electrical check is
                passed.
            accept: the shorter intervals that its findings propose hold from now on. A service that
                is in the book already and told again to accept them is not kept twice.

        Returns:
            How the machine stands after it, what was kept, and the shorter intervals proposed.

        Raises:
            UnknownName: no such machine or point; OilchartError: the day is after today, or what is
                told contradicts itself.
        """
        self._reckoner.not_after_today(on, "the day of the work")
        check_told(excepted, also, [point for point, _ in left])
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            told = ServiceNotes(
                excepted=tuple(excepted),
                also=tuple(also),
                found=tuple(found),
                left=tuple(left),
                note=note,
                ticked=None if ticked is None else tuple(ticked),
            )
            serving = Serving(self._reckoner)
            findings, offered = serving.keep(
                book, record, on, told, freed=freed, unsafe=unsafe, accept=accept
            )
            after = record_of(book, record.id)
            return self._reckoner.standings(book, [after])[0], findings, offered

    def fill(self, demo: DemoShop) -> None:
        """Put the demo's owners, machines, reports and services into the empty book, in the order
        in which they came about."""
        serving = Serving(self._reckoner)
        with books.transaction(self._book_path, writing=True) as book:
            for each in demo.owners:
                owner = book.add_owner(
                    name=each.name, phone=each.phone, email=each.email, on=demo.today
                )
                book.edit_owner(owner.id, changed(owner, each.wishes, demo.today))
            for owner_id, model, serial, added, note in demo.machines:
                book.add_machine(owner_id=owner_id, model=model, serial=serial, note=note, on=added)
            records = {record.id: record for record in book.machines()}
            for machine_id, conditions in demo.conditions:
                record = records[machine_id]
                book.edit_machine(
                    machine_id, serial=record.serial, note=record.note, conditions=conditions
                )
            for machine_id, said, words in demo.reports:
                book.add_report(
                    machine_id,
                    read_report(
                        words,
                        said,
                        terms(self._reckoner.machine(records[machine_id]), self.settings),
                    ),
                )
            for machine_id, job in demo.jobs:
                job_id = book.add_job(
                    machine_id, in_on=job.in_on, complaint=job.complaint, left_with=job.left_with
                )
                book.edit_job(replace(job, id=job_id))
            records = {record.id: record for record in book.machines()}
            for service in demo.services:
                before = records[service.machine]
                findings = serving.findings(
                    before,
                    service.on,
                    ServiceNotes(excepted=service.excepted, found=service.found, left=service.left),
                )
                kept = ServiceRecord(
                    id=0, on=service.on, findings=findings, note=service.note, freed=service.freed
                )
                book.add_service(
                    before.id, on=kept.on, findings=findings, note=kept.note, freed=kept.freed
                )
                records[service.machine] = replace(before, services=(*before.services, kept))
        for owner_id, told in demo.outcomes:
            self.called(owner_number(owner_id), told.outcome, told.on, day=told.day, note=told.note)

    # stays in the shop

    def check_in(
        self,
        machine: str,
        complaint: str,
        on: date,
        *,
        left_with: Sequence[str] = (),
        serial: str | None = None,
        use: str | None = None,
    ) -> MachineRecord:
        """Note that a machine came into the shop, with what its owner says is wrong.

        Args:
            serial: its serial number, where it was not known or is another.
            use: what the owner says of their sewing, where they were asked.

        Raises:
            UnknownName, UnreadableWords; OilchartError: it is in the shop already, or the day is
            after today.
        """
        self._reckoner.not_after_today(on, "the day it came in")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            Stays(book, self._reckoner).begin(
                record, complaint, on, left_with=left_with, serial=serial, use=use
            )
            return record_of(book, record.id)

    def wait_for(self, machine: str, part: str) -> MachineRecord:
        """Note the part that a machine in the shop waits for; nothing, that it waits no more."""
        return self._change_stay(machine, lambda job: replace(job, waiting_for=part, ready_on=None))

    def ready(self, machine: str, on: date) -> MachineRecord:
        """Note that a machine can be collected."""
        self._reckoner.not_after_today(on, "the day it was ready")
        return self._change_stay(
            machine, lambda job: replace(job, waiting_for="", ready_on=not_before(job, on))
        )

    def collect(self, machine: str, on: date) -> MachineRecord:
        """Note that a machine went back to its owner; its use starts again."""
        self._reckoner.not_after_today(on, "the day of collection")
        return self._change_stay(
            machine, lambda job: replace(job, waiting_for="", out_on=not_before(job, on))
        )

    def record_check(self, machine: str, check: ElectricalCheck) -> MachineRecord:
        """Keep an electrical check; one that is passed lets a machine found unsafe be plugged in
        again.

        Raises:
            UnknownName; OilchartError: the day is after today, or before the machine was found
            unsafe.
        """
        self._reckoner.not_after_today(check.on, "the day of the check")
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            Stays(book, self._reckoner).check(record, check)
            return record_of(book, record.id)

    def _change_stay(self, machine: str, change: Callable[[Job], Job]) -> MachineRecord:
        with books.transaction(self._book_path, writing=True) as book:
            record = machine_named(book, machine)
            Stays(book, self._reckoner).change(record, change)
            return record_of(book, record.id)

    # answers

    def schedule(self, machine: str) -> Standing:
        """A machine's schedule today, with the call planned for it.

        Raises:
            UnknownName: none, or more than one, is called so.
        """
        with books.transaction(self._book_path, writing=False) as book:
            record = machine_named(book, machine)
            return self._reckoner.standings(book, [record])[0]

    def standings(
        self, within_days: int | None = None, *, model: str | None = None, owner: str | None = None
    ) -> list[Standing]:
        """All machines, or those of a model or an owner, with their schedules today, the worst
        first.

        Args:
            within_days: what counts as due soon; the shop's lead if left out.

        Raises:
            UnknownName: no such model; none, or more than one owner, is called so.
        """
        if model is not None:
            self.point_list(model)
        with books.transaction(self._book_path, writing=False) as book:
            records = everyone = book.machines()
            if model is not None:
                records = [record for record in records if record.model == model]
            if owner is not None:
                wanted = owner_named(book, owner)
                records = [record for record in records if record.owner.id == wanted]
            return sorted(
                self._reckoner.standings(book, records, within_days, everyone=everyone),
                key=worst_first,
            )

    def owner_standings(self, owner: str) -> tuple[Owner, list[Standing], list[CallOutcome]]:
        """An owner, their machines with their schedules, and what came of the calls to them.

        Raises:
            UnknownName: none, or more than one, is called so.
        """
        with books.transaction(self._book_path, writing=False) as book:
            owner_id = owner_named(book, owner)
            records = [record for record in book.machines() if record.owner.id == owner_id]
            return (
                book.owners()[owner_id],
                self._reckoner.standings(book, records),
                book.calls.outcomes()[owner_id],
            )

    @contextmanager
    def calls(self) -> Iterator[list[OpenCall]]:
        """Plan the calls, and keep them if they could be shown: a call keeps its number for as long
        as it is open."""
        with books.transaction(self._book_path, writing=True) as book:
            records, _, _ = self._reckoner.planned(book)
            yield open_calls(book, records)

    @contextmanager
    def calendars(self) -> Iterator[CalendarSources]:
        """Plan the calls and the services for the shop's calendars, and keep what is written if it
        could be."""
        with books.transaction(self._book_path, writing=True) as book:
            records, standings, _ = self._reckoner.planned(book)
            yield CalendarSources(
                calls=tuple(open_calls(book, records)),
                standings=tuple(standings),
                namespace=book.namespace,
                handled=frozenset(book.calls.handled()),
                ledger=book.ledger,
                today=self.today,
            )

    def read_calendar(
        self, entries: Sequence[ReadEntry], *, category: str | None, only_look: bool
    ) -> CalendarChanges:
        """Take what was moved in the shop's own calendar program: a call becomes promised for its
        day, a service booked.

        Args:
            category: of entries that are closures, in place of those read before; None leaves
                closures as they are.
            only_look: change nothing.
        """
        with books.transaction(self._book_path, writing=True) as book:
            records, _, _ = self._reckoner.planned(book)
            found = calendar_changes(
                entries,
                calls={call_uid(book.namespace, call.id): call.id for call in book.calls.open()},
                services={
                    service_uid(
                        book.namespace,
                        record.number,
                        record.services[-1].on if record.services else None,
                    ): record.id
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
                book.ledger.set_closures(
                    [(shut.uid, shut.first, shut.last, shut.why) for shut in found.closures],
                    since=self.today,
                )
                self._reckoner.read_anew()
            return found

    def letters(self, *, due_only: bool, within_days: int) -> LettersDue:
        """Whom the shop writes to: instead of the calls of the coming days, or, with `due_only`, to
        all whose machines are due."""
        with books.transaction(self._book_path, writing=True) as book:
            records, standings, _ = self._reckoner.planned(book)
            calls = open_calls(book, records)
        standings = sorted(standings, key=worst_first)
        if due_only:
            return to_all_due(calls, standings, self.today)
        return instead_of_calls(calls, standings, add_days(self.today, within_days))

    def called(
        self,
        owner: str,
        outcome: Outcome,
        on: date,
        *,
        day: date | None = None,
        machines: Sequence[str] = (),
        note: str = "",
    ) -> OutcomeRecorded:
        """Keep what came of a call, and do what follows from it.

        Args:
            day: the day booked, or on which they want to be rung.
            machines: those booked or sold, where it is not clear which.

        Raises:
            UnknownName; OilchartError: a day is missing or none is wanted, the bench is shut then,
            or it is not clear which machines.
        """
        self._reckoner.not_after_today(on, "the day of the call")
        with books.transaction(self._book_path, writing=True) as book:
            owner_id = owner_named(book, owner)
            records, _, week = self._reckoner.planned(book)
            theirs = [record for record in records.values() if record.owner.id == owner_id]
            calls = [call for call in open_calls(book, records) if call.owner.id == owner_id]
            named = [machine_named(book, machine) for machine in machines]
            told = CallOutcome(on=on, outcome=outcome, day=day, note=note)
            check_day(told, self.today, self.settings.open_days)
            return OutcomeRecorder(book, week, self.today).answer(
                book.owners()[owner_id], told, calls=calls, theirs=theirs, named=named
            )

    def point_list_of(self, record: MachineRecord) -> PointList:
        """The point list of a machine of the book, as it stands for its owner, with the intervals
        that are shorter for it.

        Raises:
            UnknownName: there is no list of its model any more; FaultyList
        """
        return self._reckoner.point_list_of(record)
