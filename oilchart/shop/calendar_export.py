"""Knows what the shop's calendars are written from: calls, services and the ledger of what was
written before."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from oilchart.core.calendar.ledger import Content, LedgerEntry, entries_in_file, updated_ledger
from oilchart.core.calendar.uids import service_uid
from oilchart.core.days import add_months
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.sources.book.calendar_ledger import CalendarLedgerTable

AHEAD_MONTHS = 15
CALLS, SERVICES = "calls", "services"
PRIVATE = ", private"
# where both were written the full one counts
FEEDS = tuple(f"{feed}{private}" for feed in (CALLS, SERVICES) for private in (PRIVATE, ""))


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarSources:
    """All that calendars are written from, within one transaction.

    Args:
        handled: the calls, by number, that were made on their day.
    """

    calls: tuple[OpenCall, ...]
    standings: tuple[Standing, ...]
    namespace: str
    handled: frozenset[int]
    ledger: CalendarLedgerTable
    today: date

    def served(self) -> set[str]:
        """The uids of the services that were done until today; each is named by the day of the one
        before it."""
        return {
            service_uid(self.namespace, standing.record.number, before)
            for standing in self.standings
            for before, on in pairwise(
                [None, *(service.on for service in standing.record.services)]
            )
            if on is not None and on <= self.today
        }

    def keep(
        self,
        feed: str,
        wanted: Mapping[str, Content],
        *,
        done: Collection[str] = (),
        whole: bool = False,
    ) -> list[LedgerEntry]:
        """Bring a calendar's ledger up to what is wanted, and give what stands in the file.

        What lies more than 15 months ahead comes into the file when its time comes; what was in it
        stays, so that it can move.

        Args:
            feed: the calendar.
            wanted: what is to be seen, by uid.
            done: uids of entries that were seen to.
            whole: no entry lies too far ahead.
        """
        before = self.ledger.read(feed)
        known = {entry.uid for entry in before if entry.withdrawn_on is None}
        last = add_months(self.today, AHEAD_MONTHS)
        within = {
            uid: content
            for uid, content in wanted.items()
            if whole or content.last_day <= last or uid in known
        }
        after = updated_ledger(before, within, self.today, done=done)
        self.ledger.write(feed, before, after)
        return entries_in_file(after, self.today)
