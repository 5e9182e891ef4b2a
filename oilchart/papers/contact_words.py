"""How contact with an owner is put into words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.records.booking import Booking, BookingEnd
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Way
from oilchart.papers.wording import short_day

# How it is told that the machine did not come on a booked day.
ENDED = {
    BookingEnd.MISSED: "did not come",
    BookingEnd.CANCELLED: "called off",
    BookingEnd.CANCELLED_BY_US: "called off by us",
    BookingEnd.LATER: "put off",
    BookingEnd.DECLINED: "declined",
}


def contact_words(standing: Standing) -> str:
    """What came last of contact with the owner, in few words; empty where there was none."""
    record, as_of = standing.record, standing.schedule.as_of
    owner, booked = record.owner, standing.schedule.booked
    if owner.do_not_contact is not None:
        return f"left alone: {owner.do_not_contact.why}"
    if booked is not None:
        return booking_words(record, as_of)
    if standing.lapsed_on is not None:
        return f"lapsed since {short_day(standing.lapsed_on)}"
    if standing.declined_until is not None:
        return day_at_the_bench(standing)
    return so_far_words(record, last_outcome(standing), as_of)


def day_at_the_bench(standing: Standing) -> str:
    """What became of the day a machine had on the bench; until when its owner has declined."""
    if standing.declined_until is not None:
        return f"declined until {short_day(standing.declined_until)}"
    return booking_words(standing.record, standing.schedule.as_of)


def booking_words(record: MachineRecord, as_of: date) -> str:
    """The day booked for a machine, and from which one it was moved; or what became of the one
    booked last, where the machine did not come since; empty where there is nothing to tell."""
    if not record.bookings:
        return ""
    last = record.bookings[-1]
    end = BookingEnd.MISSED if last.was_missed(as_of) else last.closed_by
    came_since = record.visited is not None and record.visited > last.made_on
    if not last.is_open and (end not in ENDED or came_since):
        return ""
    what_became = f", {ENDED[end]}" if end is not None else ""
    return f"booked for {short_day(last.day)}{moved_words(record)}{what_became}"


def moved_words(record: MachineRecord) -> str:
    """From which day the one booked last was moved: ", moved from 3 Nov 2026"; empty where it was
    not."""
    before = moved_from(record)
    return "" if before is None else f", moved from {short_day(before.day)}"


def moved_from(record: MachineRecord) -> Booking | None:
    """The booking that was moved to the last one; None where none was."""
    *_, before, _ = (None, None, *record.bookings)
    return before if before is not None and before.closed_by is BookingEnd.MOVED else None


def so_far_words(record: MachineRecord, last: CallOutcome | None, as_of: date) -> str:
    """What came last of the calls about a machine, or became last of its booked day."""
    booking = record.bookings[-1] if record.bookings else None
    words = booking_words(record, as_of)
    if last is not None and not (words and booking is not None and last.on <= _news_of(booking)):
        return outcome_words(last)
    return words


def _news_of(booking: Booking) -> date:
    """The day on which it was known what became of a booked day."""
    return booking.closed_on or booking.day


def last_outcome(standing: Standing) -> CallOutcome | None:
    """What came last of a call about a machine; a day booked that has gone by is no news."""
    as_of = standing.schedule.as_of
    about = [each for each in standing.outcomes if each.is_about(standing.record.id)]
    return next(
        (
            each
            for each in reversed(about)
            if each.outcome is not Outcome.BOOKED or (each.day or as_of) >= as_of
        ),
        None,
    )


def outcome_words(outcome: CallOutcome) -> str:
    """What came of one call: "3 Nov 2026: no answer"."""
    day = f", {short_day(outcome.day)}" if outcome.day is not None else ""
    return f"{short_day(outcome.on)}: {outcome.outcome}{day}"


def talks(outcomes: Iterable[CallOutcome]) -> list[CallOutcome]:
    """The talks with an owner; one talk about several calls once."""
    return list({(each.on, each.outcome, each.day, each.note): each for each in outcomes}.values())


def wishes(call: OpenCall) -> str:
    """How and when the owner is to be reached, where it is not simply by phone, and at which other
    numbers."""
    way = "" if call.way is Way.PHONE else f"by {call.way}"
    promised = "promised" if call.promised_on else ""
    others = [
        f"or {phone.words}"
        for phone in call.owner.phones
        if phone != call.owner.rung_at and not phone.wrong
    ]
    return ", ".join(part for part in (way, call.owner.best_time, *others, promised) if part)


def call_so_far(call: OpenCall) -> str:
    """What came last of a call, or became last of the days that were booked for its machines."""
    last = call.outcomes[-1] if call.outcomes else None
    records = [record for record, _ in call.services]
    words = {record.number: so_far_words(record, last, call.on) for record in records}
    if len(set(words.values())) == 1:
        return next(iter(words.values()))
    return "; ".join(f"{each} ({number})" for number, each in words.items() if each)
