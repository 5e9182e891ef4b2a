"""What came of a call: it is kept, the call is closed or promised anew, a day booked or called off,
a machine gone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from oilchart.core.days import OpenDays, add_days
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import (
    ENDED_BY,
    MAY_HAVE_A_DAY,
    OF_A_BOOKED_DAY,
    SET_THE_DAY,
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
from oilchart.core.records.machine_record import MachineRecord, NewMachine
from oilchart.core.records.owner import DoNotContact, Owner
from oilchart.errors import OilchartError, WrongValue
from oilchart.shop import calls, machines
from oilchart.shop.bench import safety
from oilchart.shop.call_and_bench_plan import first_free_day, lapses_with
from oilchart.shop.calls import CallPlan
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book
from oilchart.sources.book.lookup import machine_named, machines_of, owner_named

GONE_WHY = {
    Outcome.SOLD: "sold",
    Outcome.GOES_ELSEWHERE: "goes elsewhere",
    Outcome.DIED: "owner died",
}
LEFT_ALONE_WHY = {Outcome.GOES_ELSEWHERE: "goes elsewhere", Outcome.DIED: "died"}
# a call about a machine that is here is none about a day for the bench
OF_ONE_HERE = frozenset({CallAbout.READY, CallAbout.QUESTION})
BRINGS = frozenset({Outcome.BOOKED, Outcome.SOLD, Outcome.DECLINED, *OF_A_BOOKED_DAY})
NEAR_DAYS = 28  # a talk about nothing else is about the next call, if that is no further ahead
# what may be said of some of an owner's machines only; the calls about others stay
OF_SOME = frozenset({Outcome.BOOKED, Outcome.SOLD, *ENDED_BY})


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeRecorded:
    """What follows from an outcome.

    Args:
        again: the day on which they are rung, or written to, next; None where they are not.
        tries: how often nobody was reached, with this call.
        letter: a letter is proposed.
        lapsed: two rounds have passed; no call follows any more.
        as_planned: it changes no call.
        booked, gone: the machines a day was agreed for, and those that are not looked after any
            more.
        ended: machines whose booked day was moved, called off or missed, each with that day.
    """

    owner: Owner
    again: date | None = None
    tries: int = 0
    letter: bool = False
    lapsed: bool = False
    as_planned: bool = False
    booked: tuple[MachineRecord, ...] = ()
    gone: tuple[MachineRecord, ...] = ()
    ended: tuple[tuple[MachineRecord, date], ...] = ()


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
class Telling:
    """How an outcome is told.

    Args:
        named: the machines booked or sold, where it is not clear which.
        of_all: all of the owner's are.
        keep_far: a day years ahead is meant.
        anew: it is told in the place of another; then the calls of which that was, by number. None
            where it is told first.
    """

    named: tuple[str, ...] = ()
    of_all: bool = False
    keep_far: bool = False
    anew: frozenset[int] | None = None


FIRST_TOLD = Telling()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Talk:
    """A talk with an owner: the open calls it is about, all their machines, and those of them that
    are meant, where not all are: named, or told by their booked day.

    Args:
        as_of: the day on which it is told, or was told wrongly.
    """

    owner: Owner
    as_of: date
    calls: tuple[OpenCall, ...]
    machines: tuple[MachineRecord, ...]
    meant: tuple[MachineRecord, ...]


class UnclearMachine(OilchartError):
    """It is not told, and cannot be known, which machine is meant."""

    def __init__(self, what: str, names: str) -> None:
        super().__init__(f"{what}: it is not clear which machine: {names}; name it")


def record(
    book: Book,
    shop: Shop,
    owner: str,
    outcome: CallOutcome,
    telling: Telling = FIRST_TOLD,
) -> OutcomeRecorded:
    """Keep what came of a call, for every call to the owner that was due, or else the next one, and
    do what follows from it.

    Args:
        outcome: without its machines.

    Raises:
        UnknownName; FarAhead; OilchartError: a day is missing or none is wanted, the bench is shut
            then, or it is not clear which machines.
    """
    shop.refuse_day_to_come(outcome.on, "the day of the call")
    owners = book.owners.all()
    whom = owner_named(owners, owner)
    as_of = shop.today if telling.anew is None else outcome.on
    plan = _plan(book, shop, owners, outcome, telling)
    named = _named(book, plan, whom, telling)
    _check_day(outcome, as_of, shop.today, plan.settings.limits.open_days)
    if outcome.day is not None and not telling.keep_far:
        shop.refuse_far_day(outcome.day)
    talk = _talk(plan, whom, outcome, named, as_of)
    ended = _ended_days(talk, outcome)
    if outcome.outcome in ENDED_BY and ended:
        for each, _ in ended:
            book.bookings.close(each.id, on=outcome.on, by=ENDED_BY[outcome.outcome])
        # calls about the machines that have no day any more are planned again
        plan = _plan(book, shop, owners, outcome, telling)
        talk = _talk(plan, whom, outcome, talk.meant, as_of)
    about = talk.meant
    if outcome.outcome in OF_A_BOOKED_DAY:
        outcome = replace(outcome, day=ended[0][1])
    elif outcome.outcome is Outcome.DECLINED:
        about = talk.meant or _called_about(talk.calls)
    elif outcome.outcome is Outcome.BOOKED:
        about = _book_days(book, shop, talk, outcome)
        ended = _moved(about, outcome)
    outcome = replace(outcome, machines=tuple(each.id for each in about))
    recorded = _with_stays(book, shop, talk, _end_calls(book, shop, plan, talk, outcome))
    recorded = replace(recorded, ended=ended)
    if outcome.outcome is Outcome.BOOKED:
        return replace(recorded, booked=about)
    if outcome.outcome is Outcome.WRONG_NUMBER:
        recorded = replace(recorded, owner=_with_wrong_number(whom))
        book.owners.edit(recorded.owner)
    if outcome.outcome in GONE_WHY:
        return replace(recorded, gone=_mark_gone(book, shop, talk, outcome))
    return recorded


def _named(book: Book, plan: CallPlan, owner: Owner, telling: Telling) -> tuple[MachineRecord, ...]:
    """The machines that are told of by their names, or as all of an owner's; none where none are.

    Raises:
        UnknownName; WrongValue: one is another owner's; OilchartError: they have no machine.
    """
    if telling.of_all:
        return tuple(machines_of({owner.id: owner}, plan.records, owner.number))
    gone = book.machines.gone() if telling.named else {}
    named = tuple(machine_named(plan.records, gone, machine) for machine in telling.named)
    _check_theirs(named, owner)
    return named


def _plan(
    book: Book, shop: Shop, owners: Mapping[int, Owner], outcome: CallOutcome, telling: Telling
) -> CallPlan:
    """The calls still to be made; where an outcome is told anew, those of which the other was told
    count as due on the day of the talk, unless they were ahead then or are still."""
    plan = calls.plan(book, shop, owners)
    of_talk = telling.anew or ()
    by_now = plan.settings.limits.open_days.first_open(shop.today)

    def as_then(call: OpenCall) -> OpenCall:
        was_ahead = call.promised_on is not None and call.promised_on > outcome.on
        if call.id not in of_talk or was_ahead or call.on > by_now:
            return call
        return replace(call, on=min(call.on, outcome.on))

    return replace(plan, calls=tuple(map(as_then, plan.calls)))


def _with_wrong_number(owner: Owner) -> Owner:
    """An owner the number of whom that is rung is known to be wrong."""
    phones = (replace(each, wrong=each.wrong or each == owner.rung_at) for each in owner.phones)
    return replace(owner, phones=tuple(phones))


def _talk(
    plan: CallPlan,
    owner: Owner,
    outcome: CallOutcome,
    named: tuple[MachineRecord, ...],
    as_of: date,
) -> _Talk:
    """What a talk is about: all calls to the owner that were due, or else the next one; where
    machines are meant, only those about them.

    Without a name, what is said of a booked day is of the machines that have one, as is another day
    for the bench or a call, or a decline, while no call is due. A call that is far ahead is meant
    only where they say when it is to be, or that none is to be before.

    Raises:
        UnclearMachine: a day is booked anew, and machines were booked for several.
    """
    what = outcome.outcome
    theirs = [
        call
        for call in plan.calls
        if call.owner.id == owner.id and not (what in BRINGS and call.about in OF_ONE_HERE)
    ]
    machines = tuple(each for each in plan.records if each.owner.id == owner.id)
    due = [call for call in theirs if call.on <= outcome.on]
    meant = named
    if not named and (what in OF_A_BOOKED_DAY or (what in OF_SOME and not due)):
        meant = tuple(each for each in machines if each.booked is not None)
        if what is Outcome.BOOKED and len({each.booked for each in meant}) > 1:
            raise UnclearMachine("booked", _with_days(meant))
    if meant and what in OF_SOME:
        ids = {each.id for each in meant}
        theirs = [
            call
            for call in theirs
            if any(record.id in ids for record, _ in call.services)
            and (call.about.is_for_service or what not in OF_A_BOOKED_DAY)
        ]
        due = [call for call in theirs if call.on <= outcome.on]
    if not due:
        may_be_far = outcome.agrees_a_day or what in OF_SOME or what in GONE_WHY
        last = date.max if may_be_far else add_days(max(outcome.on, as_of), NEAR_DAYS)
        due = [call for call in theirs[:1] if call.on <= last]
    return _Talk(owner=owner, as_of=as_of, calls=tuple(due), machines=machines, meant=meant)


def _called_about(open_calls: Sequence[OpenCall]) -> tuple[MachineRecord, ...]:
    """The machines that calls are about, each once."""
    return tuple({each.id: each for call in open_calls for each, _ in call.services}.values())


def _ended_days(talk: _Talk, outcome: CallOutcome) -> tuple[tuple[MachineRecord, date], ...]:
    """The booked days that an outcome ends, each with its machine: of the machines meant, or else
    of those rung about.

    Raises:
        UnclearMachine: several days are booked, and one is called off or missed.
        OilchartError: none is, or it has not come yet.
    """
    what = outcome.outcome
    if what not in ENDED_BY:
        return ()
    records = talk.meant or _called_about(talk.calls)
    days = tuple((each, each.booked) for each in records if each.booked is not None)
    if what not in OF_A_BOOKED_DAY:
        return days
    words = what.replace(" ", "-")
    if not days:
        whose = " and ".join(each.number for each in records) or f"{talk.owner.name}'s machines"
        raise OilchartError(
            f"{words}: no day is booked for {whose}; see oilchart owner show {talk.owner.number}"
        )
    if len({day for _, day in days}) > 1:
        raise UnclearMachine(words, _with_days(records))
    (record, day), *_ = days
    if what is Outcome.DID_NOT_COME and day > outcome.on:
        raise OilchartError(
            f"{words}: {record.number} is booked for {day}, which is to come; "
            "to call it off: cancelled"
        )
    return days


def _with_days(records: Sequence[MachineRecord]) -> str:
    """Machines with the days they are booked for."""
    return ", ".join(f"{each.number} on {each.booked}" for each in records if each.booked)


def _moved(
    records: Sequence[MachineRecord], outcome: CallOutcome
) -> tuple[tuple[MachineRecord, date], ...]:
    """The days that were booked for machines before the day booked now, each with its machine."""
    return tuple(
        (each, each.booked)
        for each in records
        if each.booked is not None and each.booked != outcome.day
    )


def mark_unsafe(
    book: Book, shop: Shop, owner: str, named: Sequence[str], found: FoundUnsafe
) -> MachineRecord:
    """Note of a machine what its owner told in a call that makes it unsafe; the machine with it. Of
    an owner without any it is one not seen yet.

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
    if not theirs:  # nobody has seen it yet
        theirs = tuple(machines.add(book, shop, whom.number, NewMachine()))
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


def _check_day(outcome: CallOutcome, as_of: date, today: date, open_days: OpenDays) -> None:
    """A day belongs to what is booked or wanted later, may be told by who rang back, and belongs to
    nothing else; the bench must be open on a day booked."""
    words, day = outcome.outcome.replace(" ", "-"), outcome.day
    if day is None:
        if outcome.outcome in WITH_A_DAY:
            raise OilchartError(f"{words}: wants a day; write it like: {words} 2027-01-15")
        return
    if outcome.outcome not in MAY_HAVE_A_DAY:
        raise OilchartError(f"{words}: wants no day: {day}; only booked, later and rang-back do")
    if day < as_of or (outcome.outcome is not Outcome.BOOKED and day == as_of):
        which = "today" if as_of == today else "the day of the call"
        raise OilchartError(f"{words} {day}: is not after {which}, {as_of}; give a later day")
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
    others = sum(not each.wrong for each in talk.owner.phones) > 1
    for call in talk.calls:
        of_call = replace(outcome, about=call.about)
        so_far = [*call.outcomes, of_call]
        danger = any(record.dangers for record, _ in call.services)
        follows = follow_up(of_call, call.outcomes, danger=danger)
        lapsed = not danger and lapses_with(of_call, plan.so_far, talk.owner.id, talk.machines)
        again = None
        if follows.again is not None and not (follows.round_ends and lapsed):
            again = first_free_day(follows.again, plan.so_far, plan.settings, talk.as_of)
        book.outcomes.add(talk.owner.id, of_call, call.id)
        ahead = call.on > max(outcome.on, talk.as_of)
        if _stays_as_planned(call, of_call, replace(follows, again=again), ahead=ahead):
            recorded = replace(recorded, as_planned=True)
            continue
        _close_or_promise(book, shop, call, of_call, replace(follows, again=again))
        wrong_number = outcome.outcome is Outcome.WRONG_NUMBER and not others
        days = [recorded.again, again and max(again, shop.today)]
        recorded = replace(
            recorded,
            again=min((day for day in days if day is not None), default=None),
            tries=max(recorded.tries, tries(so_far)),
            letter=recorded.letter or wants_letter(so_far) or wrong_number,
            lapsed=recorded.lapsed or (follows.round_ends and lapsed),
        )
    if not talk.calls:
        unplanned = outcome.outcome not in OF_SOME and outcome.outcome not in GONE_WHY
        kept = replace(outcome, about=CallAbout.OTHER) if unplanned else outcome
        book.outcomes.add(talk.owner.id, kept, None)
        recorded = replace(recorded, as_planned=unplanned)
    return recorded


def _with_stays(book: Book, shop: Shop, talk: _Talk, recorded: OutcomeRecorded) -> OutcomeRecorded:
    """What follows from a talk, with the day on which they are rung again about a stay that it was
    about, as long as anything of it is left to be said."""
    about = {call.about for call in talk.calls if call.about.is_of_a_stay}
    if recorded.again is not None or not about:
        return recorded
    open_calls = calls.plan(book, shop).calls
    days = (c.on for c in open_calls if c.owner.id == talk.owner.id and c.about in about)
    return replace(recorded, again=min(days, default=None))


def _stays_as_planned(
    call: OpenCall, outcome: CallOutcome, follows: FollowUp, *, ahead: bool
) -> bool:
    """Whether an outcome leaves a call as it was: nothing follows from it, or what follows would
    come before the call though they did not say so.

    Args:
        ahead: the call is not due yet.
    """
    if follows.again is None:
        return not follows.round_ends
    sooner = ahead and follows.again <= call.on
    return sooner and follows.round_ends and outcome.outcome not in SET_THE_DAY


def _close_or_promise(
    book: Book, shop: Shop, call: OpenCall, outcome: CallOutcome, follows: FollowUp
) -> None:
    """Close a call, with a new one where a new round begins, or promise it for another day.

    For machines that were not meant it stays as it is, where its day was promised, or where those
    that were get another.
    """
    meant = [(record.id, on) for record, on in call.services if outcome.is_about(record.id)]
    others, again = len(meant) < len(call.services), follows.again
    if others and again is not None and outcome.outcome in ENDED_BY:
        _promise_anew(book, shop, call, meant, again)
        return
    if others and call.promised_on is not None and call.promised_on > outcome.on:
        return
    if not follows.round_ends and again is not None:
        book.calls.promise(call.id, again, shop.today)
        return
    book.calls.close(call.id, on=shop.today, by="outcome")
    if again is not None:
        _promise_anew(book, shop, call, [(record.id, on) for record, on in call.services], again)


def _promise_anew(
    book: Book, shop: Shop, call: OpenCall, services: Sequence[tuple[int, date]], on: date
) -> None:
    """Promise a call of its own on a day, about machines of another call, by their ids."""
    book.calls.add(
        call.owner.id,
        about=call.about,
        on=on,
        services=services,
        made_on=shop.today,
        promised_on=on,
    )


def _book_days(
    book: Book, shop: Shop, talk: _Talk, outcome: CallOutcome
) -> tuple[MachineRecord, ...]:
    """Book the day agreed for the machines that are meant; those machines as they were before. For
    an owner without any it is for one not seen yet.

    Raises:
        UnclearMachine: none is meant, and none or several are rung about.
        OilchartError: one is in the shop.
    """
    if outcome.day is None:
        return ()
    if not talk.machines:
        [unseen] = machines.add(book, shop, talk.owner.number, NewMachine())
        book.bookings.add(unseen.id, day=outcome.day, made_on=outcome.on)
        return (unseen,)
    records = _clear("booked", talk.meant or _called_about(talk.calls), talk.machines)
    for each in records:
        if each.open_job is not None:
            raise OilchartError(
                f"{each.number}: is in the shop already, since {each.open_job.in_on}; "
                "it needs no day"
            )
        book.bookings.add(each.id, day=outcome.day, made_on=outcome.on)
    return records


def _mark_gone(
    book: Book, shop: Shop, talk: _Talk, outcome: CallOutcome
) -> tuple[MachineRecord, ...]:
    """Note the machine sold as gone, or all machines of an owner who died or goes elsewhere, who is
    left alone from then on; those machines."""
    records = talk.machines
    if outcome.outcome is Outcome.SOLD:
        records = _clear("sold", talk.meant, talk.machines)
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
