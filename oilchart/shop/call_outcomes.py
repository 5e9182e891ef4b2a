"""Knows what is done when a call was made: it is kept, the call is closed or promised anew, a
service booked, a machine let go."""

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
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import DoNotContact, Owner
from oilchart.errors import OilchartError
from oilchart.shop.week_plan import WeekPlan
from oilchart.sources.book.shop_book import Book

GONE_WHY = {
    Outcome.SOLD: "sold",
    Outcome.GOES_ELSEWHERE: "goes elsewhere",
    Outcome.DIED: "owner died",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeRecorded:
    """What was kept of a call, and what follows.

    Args:
        again: the day on which they are rung, or written to, next; None where they are not.
        tries: how often nobody was reached, with this call.
        letter: a letter is proposed.
        let_be: two rounds have passed; no call follows any more.
        booked, gone: the machines a day was agreed for, and those that are not looked after any
            more.
    """

    owner: Owner
    told: CallOutcome
    again: date | None = None
    tries: int = 0
    letter: bool = False
    let_be: bool = False
    booked: tuple[MachineRecord, ...] = ()
    gone: tuple[MachineRecord, ...] = ()


def check_day(told: CallOutcome, today: date, open_days: OpenDays) -> None:
    """A day belongs to what is booked or wanted later, and to nothing else; the bench must be open
    on a day booked.

    Raises:
        OilchartError
    """
    words, day = told.outcome.replace(" ", "-"), told.day
    if told.outcome not in WITH_A_DAY:
        if day is not None:
            raise OilchartError(f"{words}: wants no day: {day}; only booked and later do")
        return
    if day is None:
        raise OilchartError(f"{words}: wants a day; write it like: {words} 2027-01-15")
    if day < today or (told.outcome is Outcome.LATER and day == today):
        raise OilchartError(f"{words} {day}: is not after today, {today}; give a day to come")
    if told.outcome is Outcome.BOOKED and not open_days.is_open(day):
        nearest = open_days.first_open(day)
        raise OilchartError(
            f"{words} {day}: the bench is shut on that day; the next open one is {nearest}"
        )


class OutcomeRecorder:
    """What follows from a call, done in the book.

    Args:
        book: within a transaction, its calls brought in line with the plan.
    """

    def __init__(self, book: Book, week: WeekPlan, today: date) -> None:
        self._book = book
        self._week = week
        self._today = today

    def answer(
        self,
        owner: Owner,
        told: CallOutcome,
        *,
        calls: Sequence[OpenCall],
        theirs: Sequence[MachineRecord],
        named: Sequence[MachineRecord],
    ) -> OutcomeRecorded:
        """Keep an outcome, for every call to the owner that was due, or else the next one, and do
        what follows.

        Args:
            calls: the open calls to this owner, by day.
            theirs: the machines of this owner that are looked after.
            named: those that are meant, where it was said.

        Raises:
            OilchartError: it is not clear which machine is meant, or it is not theirs.
        """
        for record in named:
            if record not in theirs:
                raise OilchartError(
                    f"--machine {record.number}: is {record.owner.name}'s; name one of {owner.name}'s"
                )
        meant = [call for call in calls if call.on <= told.on] or list(calls[:1])
        told = replace(told, machines=tuple(record.id for record in named))
        answer = OutcomeRecorded(owner=owner, told=told)
        if told.outcome is Outcome.BOOKED:
            answer = replace(answer, booked=self._book_days(told, meant, theirs, named))
            told = replace(told, machines=tuple(record.id for record in answer.booked))
        for call in meant:
            answer = self._end_or_go_on(
                owner, replace(told, about=call.about), call, theirs, answer
            )
        if not meant:
            self._book.calls.add_outcome(owner.id, told, None)
        if told.outcome is Outcome.WRONG_NUMBER:
            self._book.edit_owner(owner.id, replace(owner, phone_wrong=True))
        if told.outcome in GONE_WHY:
            answer = replace(answer, gone=self._let_go(owner, told, theirs, named))
        return answer

    def _end_or_go_on(
        self,
        owner: Owner,
        told: CallOutcome,
        call: OpenCall,
        theirs: Sequence[MachineRecord],
        answer: OutcomeRecorded,
    ) -> OutcomeRecorded:
        """Keep the outcome of one call, and close it or promise it anew."""
        owner_id, calls = owner.id, self._book.calls
        so_far = [*call.outcomes, told]
        follows = follow_up(told, call.outcomes)
        let_be = self._week.is_lapsed_round(owner, [told], theirs)
        again = (
            None
            if follows.again is None or (follows.round_ends and let_be)
            else self._week.first_free_day(follows.again)
        )
        calls.add_outcome(owner_id, told, call.id)
        self._put(call, owner_id, told, follows, again)
        return replace(
            answer,
            again=min((day for day in (answer.again, again) if day is not None), default=None),
            tries=max(answer.tries, tries(so_far)),
            letter=answer.letter or wants_letter(so_far) or told.outcome is Outcome.WRONG_NUMBER,
            let_be=answer.let_be or (follows.round_ends and let_be),
        )

    def _put(
        self,
        call: OpenCall,
        owner_id: int,
        told: CallOutcome,
        follows: FollowUp,
        again: date | None,
    ) -> None:
        calls = self._book.calls
        if _goes_on_for_others(call, told):
            return
        if not follows.round_ends and again is not None:
            calls.promise(call.id, again, self._today)
            return
        calls.close(call.id, on=self._today, by="outcome")
        if again is not None:
            services = [(record.id, on) for record, on in call.services]
            calls.add(
                owner_id,
                about=call.about,
                on=again,
                services=services,
                made_on=self._today,
                promised_on=again,
            )

    def _book_days(
        self,
        told: CallOutcome,
        meant: Sequence[OpenCall],
        theirs: Sequence[MachineRecord],
        named: Sequence[MachineRecord],
    ) -> tuple[MachineRecord, ...]:
        of_calls = {record.id: record for call in meant for record, _ in call.services}
        records = _clear("booked", named or list(of_calls.values()), theirs)
        for record in records:
            if record.open_job is not None:
                raise OilchartError(
                    f"{record.number}: is in the shop already, since {record.open_job.in_on}; it needs no day"
                )
            assert told.day is not None
            self._book.calls.book_service(record.id, day=told.day, made_on=self._today)
        return tuple(records)

    def _let_go(
        self,
        owner: Owner,
        told: CallOutcome,
        theirs: Sequence[MachineRecord],
        named: Sequence[MachineRecord],
    ) -> tuple[MachineRecord, ...]:
        """Let the machine sold go, or all machines of an owner who died or goes elsewhere, who is
        left alone from then on."""
        records = list(theirs)
        if told.outcome is Outcome.SOLD:
            records = _clear("sold", named, theirs)
        else:
            why = GONE_WHY[told.outcome] if told.outcome is Outcome.GOES_ELSEWHERE else "died"
            self._book.edit_owner(
                owner.id,
                replace(owner, do_not_contact=DoNotContact(on=told.on, why=why)),
            )
        for record in records:
            self._book.mark_gone(
                record.id, why=GONE_WHY[told.outcome], on=told.on, changed_on=self._today
            )
        return tuple(records)


def _goes_on_for_others(call: OpenCall, told: CallOutcome) -> bool:
    """Whether a call stays as it is for machines that were not meant, since its day was
    promised."""
    others = any(not told.is_about(record.id) for record, _ in call.services)
    return others and call.promised_on is not None and call.promised_on > told.on


def _clear(
    what: str, records: Sequence[MachineRecord], theirs: Sequence[MachineRecord]
) -> list[MachineRecord]:
    """The machines meant: those named, or the only one there is.

    Raises:
        OilchartError: there are several, or none.
    """
    if records:
        return list(records)
    if len(theirs) != 1:
        names = ", ".join(record.number for record in theirs) or "none"
        raise OilchartError(
            f"{what}: it is not clear which machine: {names}; name it with --machine"
        )
    return list(theirs)
