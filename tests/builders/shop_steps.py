"""What is done with a shop in a test, each step in one transaction of its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.records.findings import Found, Left
from oilchart.core.records.job import ElectricalCheck
from oilchart.core.records.machine_record import MachineRecord, NewMachine
from oilchart.core.records.owner import Owner, OwnerChange
from oilchart.core.records.service_notes import ServiceNotes
from oilchart.core.use.report import Report
from oilchart.shop import calls, machines, owners, reports, standings
from oilchart.shop.bench import jobs, services
from oilchart.shop.bench.services import ServiceKept
from oilchart.shop.folder import Shop
from oilchart.shop.owners import NewOwner, PhonesTold

NO_CHANGE, NO_PHONES = OwnerChange(), PhonesTold()


def add_owner(shop: Shop, *, name: str, phone: str = "", email: str = "") -> Owner:
    """Add an owner."""
    with shop.book(writing=True) as book:
        told = NewOwner(name=name, phones=(phone,), email=email)
        return owners.add(book, shop, told).owner


def edit_owner(
    shop: Shop, owner: str, change: OwnerChange = NO_CHANGE, phones: PhonesTold = NO_PHONES
) -> Owner:
    """Change what is noted of an owner."""
    with shop.book(writing=True) as book:
        return owners.edit(book, shop, owner, change, phones).owner


def all_owners(shop: Shop) -> list[tuple[Owner, int]]:
    """All owners, each with the count of their machines."""
    with shop.book() as book:
        return owners.with_machine_counts(book)


def add_machine(shop: Shop, *, owner: str, **told: str) -> MachineRecord:
    """Add a machine of an owner, of which this is told."""
    with shop.book(writing=True) as book:
        return machines.add(book, shop, owner, NewMachine(**told))[0]


def mark_gone(shop: Shop, machine: str, why: str, on: date) -> None:
    """Note that a machine is gone."""
    with shop.book(writing=True) as book:
        machines.mark_gone(book, shop, machine, why, on)


def restore(shop: Shop, machine: str) -> None:
    """Look after a machine again that was gone."""
    with shop.book(writing=True) as book:
        machines.restore(book, machine)


def all_machines(shop: Shop) -> list[MachineRecord]:
    """All machines, by number."""
    with shop.book() as book:
        return book.machines.all()


def the_machine(shop: Shop, name: str) -> MachineRecord:
    """The one machine called so."""
    with shop.book() as book:
        return machines.named(book, name)


def record_use(shop: Shop, machine: str, words: str, on: date) -> Report:
    """Keep what an owner said of a machine's use."""
    with shop.book(writing=True) as book:
        return reports.add(book, shop, machine, words, on).report


def record_service(
    shop: Shop,
    machine: str,
    on: date,
    *,
    excepted: Iterable[str] = (),
    also: Iterable[str] = (),
    found: Iterable[tuple[str, tuple[Found, ...]]] = (),
    left: Iterable[tuple[str, Left]] = (),
    freed: bool = False,
    tested: bool = True,
) -> ServiceKept:
    """Keep a service told as a whole; of what was left out it is told why.

    Args:
        tested: its mains test was passed, where the machine has a plug.
    """
    excepted = tuple(excepted)
    notes = ServiceNotes(
        excepted=excepted,
        why=tuple((point, "not asked for") for point in excepted),
        also=tuple(also),
        found=tuple(found),
        left=tuple(left),
        freed=freed,
    )
    with shop.book(writing=True) as book:
        served = machines.found(book, machine)
        if tested and shop.list_of(served.record).has_plug:
            notes = replace(notes, check=ElectricalCheck(on=on, by="R. Amsel", passed=True))
        return services.record(book, shop, served, on, notes)


def check_in(shop: Shop, machine: str, complaint: str, on: date) -> None:
    """Note that a machine came into the shop."""
    with shop.book(writing=True) as book:
        jobs.check_in(book, shop, machine, jobs.CheckIn(on=on, complaint=complaint))


def collect(shop: Shop, machine: str, on: date) -> None:
    """Note that a machine went back to its owner."""
    with shop.book(writing=True) as book:
        jobs.collect(book, shop, machine, on)


def standing_of(shop: Shop, machine: str) -> Standing:
    """A machine with its schedule today."""
    with shop.book() as book:
        return standings.of_machine(book, shop, machine)


def all_standings(
    shop: Shop, within_days: int | None = None, *, model: str | None = None
) -> list[Standing]:
    """All machines, or those of a model, with their schedules today, the worst first."""
    with shop.book() as book:
        return standings.worst(book, shop, within_days, model=model)


def open_calls(shop: Shop) -> list[OpenCall]:
    """The calls still to be made, planned and kept."""
    with shop.book(writing=True) as book:
        return list(calls.plan(book, shop).calls)
