"""Filling the demo shop, in the order in which things came about."""

from __future__ import annotations

from dataclasses import replace

from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.note import Note
from oilchart.core.records.owner import changed, owner_number
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.core.records.service_record import ServiceRecord
from oilchart.shop import call_outcomes
from oilchart.shop.bench.services import findings_at
from oilchart.shop.folder import Shop
from oilchart.shop.habits import terms
from oilchart.shop.owners import read_phones
from oilchart.shop.reckonings import machine_of
from oilchart.sources.book.file.opening import Book
from oilchart.sources.files.demo import DemoShop
from oilchart.sources.words.reader import read_report


def fill(book: Book, shop: Shop, demo: DemoShop) -> None:
    """Put the demo's owners, machines, reports, stays, services and calls into the empty book."""
    _add_owners_and_machines(book, demo, shop.settings_file.region)
    records = {record.id: record for record in book.machines.all()}
    settings = shop.settings_in(book)
    for machine_id, conditions in demo.conditions:
        record = records[machine_id]
        book.worked_under.set(
            machine_id, record.with_conditions(conditions, (), record.added_on).worked_under
        )
    for machine_id, said, words in demo.reports:
        known = terms(machine_of(shop, records[machine_id]), settings, shop.word_list)
        book.reports.add(machine_id, read_report(words, said, known))
    for machine_id, job, part in demo.jobs:
        job_id = book.jobs.add(machine_id, job)
        if part is not None:
            book.parts.add(machine_id, replace(part, job=job_id))
    for machine_id, check in demo.checks:
        book.checks.add(machine_id, check)
    _add_services(book, shop, demo)
    for owner_id, outcome in demo.outcomes:
        call_outcomes.record(book, shop, owner_number(owner_id), outcome)


def _add_owners_and_machines(book: Book, demo: DemoShop, region: str) -> None:
    for each in demo.owners:
        phones, _ = read_phones([each.phone], region)
        owner = book.owners.add(name=each.name, phones=phones, email=each.email, on=demo.today)
        book.owners.edit(changed(owner, each.wishes, demo.today))
    for owner_id, model, serial, added, note in demo.machines:
        machine = book.machines.add(owner_id=owner_id, model=model, serial=serial, on=added)
        if note:
            book.notes.add_of_machine(machine, Note(on=added, words=note))


def _add_services(book: Book, shop: Shop, demo: DemoShop) -> None:
    settings = shop.settings_in(book)
    records: dict[int, MachineRecord] = {record.id: record for record in book.machines.all()}
    for told in demo.services:
        before = records[told.machine]
        notes = ServiceNotes(excepted=told.excepted, found=told.found, left=told.left)
        findings = findings_at(shop, settings, before, told.on, notes)
        job = before.job_on(told.on)
        service = ServiceRecord(
            id=0,
            on=told.on,
            findings=findings,
            freed=told.freed,
            job=None if job is None else job.id,
            by=settings.work_by,
        )
        book.services.add(before.id, service)
        if told.note:
            note = Note(on=told.on, words=told.note, for_owner=True)
            book.notes.add_of_machine(before.id, note)
        records[told.machine] = replace(before, services=(*before.services, service))
