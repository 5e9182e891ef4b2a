"""A machine of the book as it is reckoned with: its list, its habits, its services and stays."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.machine_record import MachineRecord, under_its_list
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
    services = tuple(_as_reckoned(service, bench, known_before) for service in record.services)
    machine = Machine(
        point_list=point_list,
        number=record.number,
        reports=record.reports,
        services=services,
        stays=tuple(job.stay(shop.today) for job in record.jobs),
        in_shop=record.open_job is not None,
        booked=record.booked,
        own_intervals=record.own_intervals,
    )
    return with_habits(machine, record.conditions, shop.library.conditions())


def _as_reckoned(
    service: ServiceRecord, bench: AbstractSet[str], known_before: AbstractSet[str]
) -> Service:
    """A service as it is reckoned with.

    Args:
        bench: ids of the machine's bench points.
        known_before: ids of the points that a service is taken to have known that was recorded
            before services kept all that their lists had.
    """
    kept = {finding.point for finding in service.findings}
    return Service(
        on=service.on,
        done=frozenset(finding.point for finding in service.findings if finding.done),
        freed=service.freed,
        left_out=frozenset(
            finding.point
            for finding in service.findings
            if finding.planned and not finding.done and finding.point in bench
        ),
        whole=service.whole,
        knew=frozenset(kept if service.complete else kept | known_before),
        back_on=service.back_on,
    )


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
        allowances=shop.allowances.of(machine),
    )
