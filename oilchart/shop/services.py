"""Knows what is kept of a service: which points were done, what was found and left, and the shorter
intervals this proposes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from oilchart.core.lists.point_list import Keeper
from oilchart.core.planning.own_interval_proposals import Proposal, proposals
from oilchart.core.records.findings import Finding, Found, ServiceNotes, findings_of, same_noted
from oilchart.core.records.job import Unsafe
from oilchart.core.records.machine_record import MachineRecord
from oilchart.errors import OilchartError, UnknownName, nearest
from oilchart.shop.standings import Reckoner
from oilchart.sources.book.shop_book import Book


class Serving:
    """Services of the machines of a shop."""

    def __init__(self, reckoner: Reckoner) -> None:
        self._reckoner = reckoner

    def keep(
        self,
        book: Book,
        record: MachineRecord,
        on: date,
        told: ServiceNotes,
        *,
        freed: bool = False,
        unsafe: str = "",
        accept: bool = False,
    ) -> tuple[tuple[Finding, ...], tuple[Proposal, ...]]:
        """Keep a service, as `Shop.record_service` says; what was kept, and the shorter intervals
        proposed."""
        noted = partial(self.findings, on=on, told=told)
        again = _told_again(record, noted, on=on, note=told.note, freed=freed)
        if again is not None and not accept and told.ticked is None:
            raise OilchartError(
                f"{record.number}: this service of {on} is in the book already; of a second one that day say more by --note"
            )
        findings = noted(record) if again is None else again
        if again is None or not accept:
            if told.ticked is not None and any(
                each.on == on and same_noted(each.findings, findings) for each in record.services
            ):
                raise OilchartError(
                    f"{record.number}: these findings of {on} are in the book already; nothing was changed"
                )
            book.add_service(record.id, on=on, findings=findings, note=told.note, freed=freed)
        offered = self._proposals(record, findings, on, freed=freed)
        for each in offered if accept else ():
            book.own_intervals.accept(record.id, each.own_intervals(self._reckoner.today))
        if unsafe:
            book.set_unsafe(record.id, Unsafe(on=on, why=unsafe))
        # an older one, told late, is not what the call was for
        if all(service.on <= on for service in record.services):
            book.calls.close_of(record.id, on=on, changed_on=self._reckoner.today)
            book.calls.close_bookings(record.id, on=on, by="service")
        return findings, offered

    def findings(self, record: MachineRecord, on: date, told: ServiceNotes) -> tuple[Finding, ...]:
        """What is kept of a service: the points planned for that day, as things stood then, and
        what was noted.

        An owner's point counts as done, as in every service; by a bench checklist only what was
        ticked does.
        """
        point_list = self._reckoner.point_list_of(record)
        noted = {point for point, _ in (*told.found, *told.left)}
        ticked, excepted = set(told.ticked or ()), set(told.excepted)
        for point_id in [
            *told.excepted,
            *told.also,
            *(point for point, _ in (*told.found, *told.left)),
            *(told.ticked or ()),
        ]:
            if point_list.point(point_id) is None:
                ids = [point.id for point in point_list.points]
                raise UnknownName(
                    f'{record.number}: point "{point_id}": {point_list.name} has no such point{nearest(point_id, ids)}'
                )
        before = replace(
            record, services=tuple(service for service in record.services if service.on <= on)
        )
        planned = {point.id for point in self._reckoner.reckoning(before).points_at(on)}
        owners = {point.id for point in point_list.kept_by(Keeper.OWNER)}
        if told.ticked is not None:
            excepted |= (planned | (owners & noted)) - ticked - {*told.also}
            owners &= {*ticked, *told.also, *noted}
        planned |= owners | ticked | {*told.also}
        words: dict[str, tuple[Found, ...]] = {}
        for point_id, more in told.found:
            words[point_id] = tuple(dict.fromkeys((*words.get(point_id, ()), *more)))
        return findings_of(point_list, planned, excepted, words, dict(told.left))

    def _proposals(
        self, record: MachineRecord, findings: Sequence[Finding], on: date, *, freed: bool
    ) -> tuple[Proposal, ...]:
        """The shorter intervals that findings of a service on a day propose, by how the machine
        stood before that day."""
        before = replace(
            record, services=tuple(service for service in record.services if service.on < on)
        )
        freed = freed or any(service.freed for service in record.services if service.on == on)
        return proposals(self._reckoner.reckoning(before), findings, on, freed=freed)


def _told_again(
    record: MachineRecord,
    noted: Callable[[MachineRecord], tuple[Finding, ...]],
    *,
    on: date,
    note: str,
    freed: bool,
) -> tuple[Finding, ...] | None:
    """What is kept of a service that is in the book already just as it is told now; None where
    there is none such.

    Args:
        noted: what is kept of the service, of the machine as it was before it.
    """
    for service in record.services:
        before = replace(
            record, services=tuple(other for other in record.services if other is not service)
        )
        if (service.on, service.note, service.freed) == (on, note, freed) and set(
            findings := noted(before)
        ) == set(service.findings):
            return findings
    return None
