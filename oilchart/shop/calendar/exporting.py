"""What stands in the shop's calendar files: calls, services and care, as the ledger of what was
written before was brought up to what is wanted."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date
from itertools import pairwise

from oilchart.core.calendar.ledger import Content, LedgerEntry, entries_in_file, updated_ledger
from oilchart.core.calendar.uids import call_uid, owners_machine, service_uid
from oilchart.core.days import add_months
from oilchart.core.planning.standing import Standing
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book

AHEAD_MONTHS = 15
CALLS, SERVICES = "calls", "services"
PRIVATE = ", private"
# where both were written the full one counts
FEEDS = tuple(f"{feed}{private}" for feed in (CALLS, SERVICES) for private in (PRIVATE, ""))


def update_feed(
    book: Book,
    shop: Shop,
    feed: str,
    wanted: Mapping[str, Content],
    *,
    done: Collection[str] = (),
    whole: bool = False,
) -> list[LedgerEntry]:
    """Bring the ledger of a calendar file up to what is wanted; what stands in the file.

    What lies more than 15 months ahead comes into the file when its time comes; what was in it
    stays, so that it can move.

    Args:
        wanted: what is to be seen, by uid.
        done: uids of entries that were seen to.
        whole: no entry lies too far ahead.
    """
    before = book.calendar_ledger.read(feed)
    known = {entry.uid for entry in before if entry.withdrawn_on is None}
    last = add_months(shop.today, AHEAD_MONTHS)
    within = {
        uid: content
        for uid, content in wanted.items()
        if whole or content.last_day <= last or uid in known
    }
    after = updated_ledger(before, within, shop.today, done=done)
    book.calendar_ledger.write(feed, before, after)
    return entries_in_file(after, shop.today)


def calls_made(book: Book) -> set[str]:
    """The uids of the calls that were made on their day or after it."""
    return {call_uid(book.namespace, call_id) for call_id in book.calls.handled()}


def services_done(book: Book, standings: Iterable[Standing], today: date) -> set[str]:
    """The uids of the services that were done until today; each is named by the day of the one
    before it."""
    done = set()
    for standing in standings:
        days = [service.on for service in standing.record.services if service.on <= today]
        record = standing.record
        done |= {
            service_uid(
                book.namespace,
                owners_machine(
                    record.number, record.handed_on if record.is_present_owners(day) else None
                ),
                before,
            )
            for before, day in pairwise([None, *days])
            if day is not None
        }
    return done
