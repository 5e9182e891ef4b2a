"""What came of a call: it is kept, the call is closed or promised anew, a day booked, a machine
gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.days import OpenDays
from oilchart.core.planning.follow_up import (
    WITH_A_DAY,
    CallOutcome,
    FollowUp,
    Outcome,
    follow_up,
    tries,
    wants_letter,
)
from oilchart.core.planning.standing import OpenCall
from oilchart.core.records.job import Danger
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import DoNotContact, Owner
from oilchart.errors import OilchartError, WrongValue
from oilchart.shop import calls, machines
from oilchart.shop.bench import safety
from oilchart.shop.call_and_bench_plan import first_free_day, lapses_with
from oilchart.shop.calls import CallPlan
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import machine_named, owner_named

GONE_WHY = {
    Outcome.SOLD: "sold",
    Outcome.GOES_ELSEWHERE: "goes elsewhere",
    Outcome.DIED: "owner died",
}
LEFT_ALONE_WHY = {Outcome.GOES_ELSEWHERE: "goes elsewhere", Outcome.DIED: "died"}


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeRecorded:
    """What follows from an outcome.

    Args:
        again: the day on which they are rung, or written to, next; None where they are not.
        tries: how often nobody was reached, with this call.
        letter: a letter is proposed.
        lapsed: two rounds have passed; no call follows any more.
        booked, gone: the machines a day was agreed for, and those that are not looked after any
            more.
    """

    owner: Owner
    again: date | None = None
    tries: int = 0
    letter: bool = False
    lapsed: bool = False
    booked: tuple[MachineRecord, ...] = ()
    gone: tuple[MachineRecord, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundUnsafe:
    """What was told that makes a machine unsafe, on which day.

    Args:
        danger: of which kind that is; None where the machine itself tells.
    """

    on: date
    why: str
    danger: Danger | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Talk:
    """A talk with an owner: the open calls it is about, their machines, and those of them that were
    named."""

    owner: Owner
    calls: tuple[OpenCall, ...]
    machines: tuple[MachineRecord, ...]
    named: tuple[MachineRecord, ...]


class UnclearMachine(OilchartError):
    """It is not told, and cannot be known, which machine is meant."""

    def __init__(self, what: str, names: str) -> None:
        super().__init__(f"{what}: it is not clear which machine: {names}; name it")


def record(
    book: Book,
    shop: Shop,
    owner: str,
    outcome: CallOutcome,
    named: Sequence[str] = (),
    *,
    keep_far: bool = False,
) -> OutcomeRecorded:
    """Keep what came of a call, for every call to the owner that was due, or else the next one, and
    do what follows from it.

    Args:
        outcome: without its machines.
        named: the machines booked or sold, where it is not clear which.
        keep_far: a day years ahead is meant.

    Raises:
        UnknownName; FarAhead; OilchartError: a day is missing or none is wanted, the bench is shut
            then, or it is not clear which machines.
    """
    shop.refuse_day_to_come(outcome.on, "the day of the call")
    owners = book.owners.all()
    whom = owner_named(owners, owner)
    plan = calls.plan(book, shop, owners)
    gone = book.machines.gone() if named else {}
    talk = _Talk(
        owner=whom,
        calls=_meant([call for call in plan.calls if call.owner.id == whom.id], outcome.on),
        machines=tuple(each for each in plan.records if each.owner.id == whom.id),
        named=tuple(machine_named(plan.records, gone, machine) for machine in named),
    )
    _check_day(outcome, shop.today, plan.settings.limits.open_days)
    if outcome.day is not None and not keep_far:
        shop.refuse_far_day(outcome.day)
    _check_theirs(talk.named, whom)
    about = talk.named
    if outcome.outcome is Outcome.BOOKED:
        about = _book_days(book, shop, talk, outcome)
    outcome = replace(outcome, machines=tuple(each.id for each in about))
    recorded = _end_calls(book, shop, plan, talk, outcome)
    if outcome.outcome is Outcome.BOOKED:
        return replace(recorded, booked=about)
    if outcome.outcome is Outcome.WRONG_NUMBER:
        book.owners.edit(replace(whom, phone_wrong=True))
    if outcome.outcome in GONE_WHY:
        return replace(recorded, gone=_mark_gone(book, shop, talk, outcome))
    return recorded


def mark_unsafe(
    book: Book, shop: Shop, owner: str, named: Sequence[str], found: FoundUnsafe
) -> MachineRecord:
    """Note of a machine what its owner told in a call that makes it unsafe; the machine with it.

    Args:
        named: the machine, where the owner has several.

    Raises:
        UnknownName; UnclearMachine; WrongValue: the day is after today, the machine is another
            owner's, or it has no mains side.
    """
    shop.refuse_day_to_come(found.on, "the day of the call")
    whom, records = owner_named(book.owners.all(), owner), book.machines.all()
    gone = book.machines.gone() if named else {}
    meant = tuple(machine_named(records, gone, machine) for machine in named)
    _check_theirs(meant, whom)
    theirs = meant or tuple(each for each in records if each.owner.id == whom.id)
    [record] = _clear("unsafe", (), theirs)
    return safety.keep(
        book, record, safety.with_mark(shop, record, found.why, found.on, found.danger)
    )


def _check_theirs(named: Sequence[MachineRecord], owner: Owner) -> None:
    """Machines named in a call must be the owner's.

    Raises:
        WrongValue
    """
    for each in named:
        if each.owner.id != owner.id:
            theirs = f"is {each.owner.name}'s; name one of {owner.name}'s"
            raise WrongValue("machine", each.number, theirs)


def _meant(calls_by_day: Sequence[OpenCall], on: date) -> tuple[OpenCall, ...]:
    """The calls that a talk on a day ends: all that were due, or else the next one."""
    return tuple(call for call in calls_by_day if call.on <= on) or tuple(calls_by_day[:1])


def _check_day(outcome: CallOutcome, today: date, open_days: OpenDays) -> None:
    """A day belongs to what is booked or wanted later, and to nothing else; the bench must be open
    on a day booked."""
    words, day = outcome.outcome.replace(" ", "-"), outcome.day
    if outcome.outcome not in WITH_A_DAY:
        if day is not None:
            raise OilchartError(f"{words}: wants no day: {day}; only booked and later do")
        return
    if day is None:
        raise OilchartError(f"{words}: wants a day; write it like: {words} 2027-01-15")
    if day < today or (outcome.outcome is Outcome.LATER and day == today):
        raise OilchartError(f"{words} {day}: is not after today, {today}; give a day to come")
    if outcome.outcome is Outcome.BOOKED and not open_days.is_open(day):
        nearest = open_days.first_open(day)
        raise OilchartError(
            f"{words} {day}: the bench is shut on that day; the next open one is {nearest}"
        )


def _end_calls(
    book: Book, shop: Shop, plan: CallPlan, talk: _Talk, outcome: CallOutcome
) -> OutcomeRecorded:
    """Keep the outcome of every call that is meant, and close it or promise it anew."""
    recorded = OutcomeRecorded(owner=talk.owner)
    for call in talk.calls:
        of_call = replace(outcome, about=call.about)
        so_far = [*call.outcomes, of_call]
        follows = follow_up(of_call, call.outcomes)
        lapsed = lapses_with(of_call, plan.so_far, talk.owner.id, talk.machines)
        again = None
        if follows.again is not None and not (follows.round_ends and lapsed):
            again = first_free_day(follows.again, plan.so_far, plan.settings, shop.today)
        book.outcomes.add(talk.owner.id, of_call, call.id)
        _close_or_promise(book, shop, call, of_call, replace(follows, again=again))
        wrong_number = outcome.outcome is Outcome.WRONG_NUMBER
        recorded = replace(
            recorded,
            again=min((day for day in (recorded.again, again) if day is not None), default=None),
            tries=max(recorded.tries, tries(so_far)),
            letter=recorded.letter or wants_letter(so_far) or wrong_number,
            lapsed=recorded.lapsed or (follows.round_ends and lapsed),
        )
    if not talk.calls:
        book.outcomes.add(talk.owner.id, outcome, None)
    return recorded


def _close_or_promise(
    book: Book, shop: Shop, call: OpenCall, outcome: CallOutcome, follows: FollowUp
) -> None:
    """Close a call, with a new one where a new round begins, or promise it for another day; it
    stays as it is for machines that were not meant, where its day was promised."""
    others = any(not outcome.is_about(record.id) for record, _ in call.services)
    if others and call.promised_on is not None and call.promised_on > outcome.on:
        return
    again = follows.again
    if not follows.round_ends and again is not None:
        book.calls.promise(call.id, again, shop.today)
        return
    book.calls.close(call.id, on=shop.today, by="outcome")
    if again is not None:
        book.calls.add(
            call.owner.id,
            about=call.about,
            on=again,
            services=[(record.id, on) for record, on in call.services],
            made_on=shop.today,
            promised_on=again,
        )


def _book_days(
    book: Book, shop: Shop, talk: _Talk, outcome: CallOutcome
) -> tuple[MachineRecord, ...]:
    """Book the day agreed for the machines that are meant; those machines."""
    if outcome.day is None:
        return ()
    of_calls = {record.id: record for call in talk.calls for record, _ in call.services}
    records = _clear("booked", talk.named or tuple(of_calls.values()), talk.machines)
    for each in records:
        if each.open_job is not None:
            raise OilchartError(
                f"{each.number}: is in the shop already, since {each.open_job.in_on}; "
                "it needs no day"
            )
        book.bookings.add(each.id, day=outcome.day, made_on=shop.today)
    return records


def _mark_gone(
    book: Book, shop: Shop, talk: _Talk, outcome: CallOutcome
) -> tuple[MachineRecord, ...]:
    """Note the machine sold as gone, or all machines of an owner who died or goes elsewhere, who is
    left alone from then on; those machines."""
    records = talk.machines
    if outcome.outcome is Outcome.SOLD:
        records = _clear("sold", talk.named, talk.machines)
    else:
        alone = DoNotContact(on=outcome.on, why=LEFT_ALONE_WHY[outcome.outcome])
        book.owners.edit(replace(talk.owner, do_not_contact=alone))
    for each in records:
        machines.keep_gone(book, shop, each.id, GONE_WHY[outcome.outcome], outcome.on)
    return records


def _clear(
    what: str, records: tuple[MachineRecord, ...], theirs: tuple[MachineRecord, ...]
) -> tuple[MachineRecord, ...]:
    """The machines meant: those named, or the only one there is.

    Raises:
        UnclearMachine: there are several, or none.
    """
    if records:
        return records
    if len(theirs) != 1:
        names = ", ".join(record.number for record in theirs) or "none"
        raise UnclearMachine(what, names)
    return theirs
