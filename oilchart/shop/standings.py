"""How the machines of the shop stand today: their schedules, with the calls planned for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from oilchart.core.planning.follow_up import CallOutcome
from oilchart.core.planning.standing import Standing, worst_first
from oilchart.core.records.machine_record import MachineRecord, under_its_list
from oilchart.core.records.owner import Owner
from oilchart.shop.call_and_bench_plan import (
    planned_calls,
    read_calls,
    share_bench_weeks,
    with_calls,
)
from oilchart.shop.folder import Shop
from oilchart.shop.reckonings import reckoning_of
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import machine_named, machines_of, owner_named
from oilchart.sources.files.settings import Settings


def of_machine(book: Book, shop: Shop, machine: str) -> Standing:
    """A machine's schedule today, with the call planned for it.

    Raises:
        UnknownName: none, or more than one, is called so.
    """
    records = book.machines.all()
    record = machine_named(records, book.machines.gone(), machine)
    return among(book, shop, records, [record])[0]


def of_owner(
    book: Book, shop: Shop, owner: str
) -> tuple[Owner, list[Standing], Sequence[CallOutcome]]:
    """An owner, their machines with their schedules, and what came of the calls to them.

    Raises:
        UnknownName: none, or more than one, is called so.
    """
    owners = book.owners.all()
    found = owner_named(owners, owner)
    records = book.machines.all(owners)
    theirs = [record for record in records if record.owner.id == found.id]
    outcomes = book.outcomes.by_owner().get(found.id, [])
    return found, among(book, shop, records, theirs), outcomes


def of_all(book: Book, shop: Shop, owner: str) -> list[Standing]:
    """All machines of an owner with their schedules today, by number.

    Raises:
        UnknownName: none, or more than one, is called so; OilchartError: they have no machine.
    """
    owners = book.owners.all()
    everyone = book.machines.all(owners)
    return among(book, shop, everyone, machines_of(owners, everyone, owner))


def worst(
    book: Book,
    shop: Shop,
    within_days: int | None = None,
    *,
    model: str | None = None,
    owner: str | None = None,
) -> list[Standing]:
    """All machines, or those of a model or an owner, with their schedules today, the worst first.

    Args:
        within_days: what counts as due soon; the shop's lead if left out.

    Raises:
        UnknownName: no such model; none, or more than one owner, is called so.
    """
    if model is not None:
        model = shop.library.model_called(model)
    owners = book.owners.all()
    everyone = book.machines.all(owners)
    records = [record for record in everyone if model is None or record.model == model]
    if owner is not None:
        wanted = owner_named(owners, owner)
        records = [record for record in records if record.owner.id == wanted.id]
    return sorted(among(book, shop, everyone, records, within_days), key=worst_first)


def among(
    book: Book,
    shop: Shop,
    everyone: Sequence[MachineRecord],
    records: Iterable[MachineRecord],
    within_days: int | None = None,
) -> list[Standing]:
    """Machines with their schedules and calls, planned among all machines of the same owners, or
    of all where days or weeks fill up.

    Args:
        everyone: all machines of the book.
        records: those asked for.
    """
    settings = shop.settings_in(book)
    asked = [record.id for record in records]
    among_them = set(asked)
    owners = {record.owner.id for record in everyone if record.id in among_them}
    limited = settings.limits.calls_a_day is not None or settings.limits.services_a_week is not None
    together = alone(
        shop,
        settings,
        [record for record in everyone if limited or record.owner.id in owners],
        within_days,
    )
    so_far = read_calls(book)
    shared = share_bench_weeks(together, so_far, settings, shop.today)
    calls = planned_calls(shared, so_far, settings, shop.today)
    by_id = {standing.record.id: standing for standing in with_calls(shared, calls)}
    return [by_id[machine_id] for machine_id in asked]


def alone(
    shop: Shop,
    settings: Settings,
    records: Iterable[MachineRecord],
    within_days: int | None = None,
) -> list[Standing]:
    """Machines each with its own schedule, without what it shares with others: weeks and calls."""
    standings = []
    for as_kept in records:
        record = under_its_list(as_kept, shop.list_of(as_kept))
        reckoning = reckoning_of(shop, settings, record, within_days)
        standings.append(
            Standing(record=record, schedule=reckoning.schedule(shop.today), reckoning=reckoning)
        )
    return standings
