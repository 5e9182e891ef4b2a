"""Knows a machine's stays in the shop: it comes in, waits, is ready, is collected, and its mains
side is checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from oilchart.core.records.job import ElectricalCheck, Job, Unsafe
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.use.meter import check_reading
from oilchart.errors import OilchartError
from oilchart.shop.standings import Reckoner
from oilchart.shop.unregistered import terms
from oilchart.sources.book.shop_book import Book
from oilchart.sources.words.reader import read_report


class Stays:
    """Stays of the machines of a book."""

    def __init__(self, book: Book, reckoner: Reckoner) -> None:
        self._book = book
        self._reckoner = reckoner

    def begin(
        self,
        record: MachineRecord,
        complaint: str,
        on: date,
        *,
        left_with: Sequence[str],
        serial: str | None,
        use: str | None,
    ) -> None:
        """Note that a machine came in, as `Shop.check_in` says."""
        if record.open_job is not None:
            since = record.open_job.in_on
            raise OilchartError(
                f"{record.number}: is in the shop already, since {since}; note its collection first: oilchart collected"
            )
        _after_earlier_stays(record, on)
        if serial is not None:
            self._book.edit_machine(
                record.id,
                serial=serial,
                note=record.note,
                conditions=record.conditions,
                mechanisms=record.mechanisms,
            )
        if use is not None:
            machine_now = self._reckoner.machine(record)
            report = read_report(use, on, terms(machine_now, self._reckoner.settings))
            check_reading(report, record.reports, machine_now.speed)
            self._book.add_report(record.id, report)
        self._book.add_job(record.id, in_on=on, complaint=complaint, left_with=left_with)
        self._book.calls.close_bookings(record.id, on=on, by="check-in")

    def change(self, record: MachineRecord, change: Callable[[Job], Job]) -> None:
        """Change the stay of a machine that is in the shop.

        Raises:
            OilchartError: it is not.
        """
        if record.open_job is None:
            raise OilchartError(
                f"{record.number}: is not in the shop; note that it came in first: oilchart checkin"
            )
        self._book.edit_job(change(record.open_job))

    def check(self, record: MachineRecord, check: ElectricalCheck) -> None:
        """Keep an electrical check, as `Shop.record_check` says."""
        if record.unsafe is not None and check.on < record.unsafe.on:
            raise OilchartError(
                f"--on {check.on}: is before the day {record.number} was found unsafe, {record.unsafe.on}; check it again"
            )
        self._book.add_check(record.id, check)
        if check.passed:
            self._book.set_unsafe(record.id, None)
        elif record.unsafe is None:
            self._book.set_unsafe(record.id, Unsafe(on=check.on, why=f"not passed by {check.by}"))


def _after_earlier_stays(record: MachineRecord, on: date) -> None:
    before = max((job.out_on for job in record.jobs if job.out_on is not None), default=None)
    if before is not None and on < before:
        raise OilchartError(
            f"--on {on}: {record.number} was in the shop until {before}; give a day from then on"
        )


def not_before(job: Job, on: date) -> date:
    """The day, which must not lie before the check-in.

    Raises:
        OilchartError
    """
    if on < job.in_on:
        raise OilchartError(
            f"--on {on}: is before the machine came in, {job.in_on}; give a later day"
        )
    return on
