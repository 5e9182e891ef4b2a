"""A machine of the book as it is reckoned with: its list, its habits, its services and stays."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from datetime import date
from operator import attrgetter

from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.findings import Left
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.machine_record import MachineRecord, struck, under_its_list
from oilchart.core.records.service_record import ServiceRecord
from oilchart.shop.folder import Shop
from oilchart.shop.habits import with_habits
from oilchart.sources.files.settings import Settings


def machine_of(shop: Shop, record: MachineRecord) -> Machine:
    """A machine of the book as it is reckoned with.

    Raises:
        UnknownName: there is no list of its model, or no such condition, any more; FaultyList
    """
    record = under_its_list(record, shop.list_of(record))
    point_list = shop.list_for_owner_of(record)
    bench = {point.id for point in point_list.kept_by(Keeper.BENCH)}
    known_before = (
        frozenset()
        if all(service.complete for service in record.services)
        else shop.library.known_before(point_list)
    )
    proofs = frozenset(point.id for point in point_list.points if point.proof is not None)
    machine = Machine(
        point_list=point_list,
        number=record.number,
        reports=record.reports,
        services=tuple(
            sorted(
                (
                    *(
                        each
                        for service in record.services
                        for each in _as_reckoned(
                            service,
                            bench - proofs if record.is_tested(service) else bench,
                            known_before,
                        )
                    ),
                    *_proofs(record, proofs),
                ),
                key=attrgetter("on"),
            )
        ),
        stays=tuple(job.stay(shop.today) for job in record.jobs),
        in_shop=record.open_job is not None,
        booked=record.booked,
        missed=record.missed(shop.today),
        came=record.came,
        own_intervals=record.own_intervals,
        dangers=record.dangers,
        struck=struck(point_list, record.dangers),
        handed_on=record.handed_on,
    )
    return with_habits(machine, record.worked_under, shop.library.conditions(), record.added_on)


def _proofs(record: MachineRecord, proofs: frozenset[str]) -> Iterator[Service]:
    """The mains tests of a machine, as work at the points they are the proof of."""
    if proofs:
        for check in record.checks:
            if check.proves:
                yield Service(on=check.on, done=proofs, whole=False)


def _as_reckoned(
    service: ServiceRecord, bench: AbstractSet[str], known_before: AbstractSet[str]
) -> Iterator[Service]:
    """A service as it is reckoned with; what was done on a later day of its stay counts from that
    day.

    Args:
        bench: ids of the machine's bench points that it may have left out.
        known_before: ids of the points that a service is taken to have known that was recorded
            before services kept all that their lists had.
    """
    kept = {finding.point for finding in service.findings}
    done: dict[date, set[str]] = {service.on: set()}
    for finding in service.findings:
        if finding.done:
            done.setdefault(finding.on or service.on, set()).add(finding.point)
    yield Service(
        on=service.on,
        done=frozenset(done.pop(service.on)),
        freed=service.freed,
        left_out=frozenset(
            finding.point
            for finding in service.findings
            if finding.planned and not finding.done and finding.point in bench
        ),
        declined=frozenset(
            finding.point for finding in service.findings if finding.left is Left.DECLINED
        ),
        whole=service.whole,
        knew=frozenset(kept if service.complete else kept | known_before),
        back_on=service.back_on,
    )
    for day, points in done.items():
        yield Service(on=day, done=frozenset(points), whole=False)


def reckoning_of(
    shop: Shop, settings: Settings, record: MachineRecord, within_days: int | None = None
) -> Reckoning:
    """A machine of the book, ready to be reckoned with.

    Args:
        within_days: what counts as due soon; the shop's lead if left out.
    """
    machine = machine_of(shop, record)
    return Reckoning(
        machine,
        open_days=settings.limits.open_days,
        lead_days=settings.lead_days if within_days is None else within_days,
        allowances=shop.allowances,
    )
