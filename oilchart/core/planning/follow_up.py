"""What comes of a call to an owner, and what follows from it: whether and when they are rung again,
written to, or left in peace.

A round is all that is tried about one call. It ends when the owner was spoken to, declined, called
a booked day off, or was written to because nobody could be reached; a service, a check-in or a day
agreed after it begins everything anew. An owner who lets two rounds pass is lapsed: nobody rings
any more. How long is waited is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from oilchart.core.days import ONE_DAY, add_days
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.records.booking import BookingEnd

MOST_TRIES = 3  # calls and messages without an answer before a letter is proposed
MOST_ROUNDS = 2
MESSAGE_DAYS = 7  # for an owner to ring back


class Outcome(StrEnum):
    """What came of a call."""

    REACHED = "reached"
    LEFT_MESSAGE = "left message"
    TEXTED = "texted"
    MAILED = "mailed"  # by e-mail
    NO_ANSWER = "no answer"
    RANG_BACK = "rang back"
    WRONG_NUMBER = "wrong number"
    BOOKED = "booked"
    LATER = "later"
    DECLINED = "declined"
    CANCELLED = "cancelled"  # the booked day, by the owner
    CANCELLED_BY_US = "cancelled by us"
    DID_NOT_COME = "did not come"  # on the booked day
    LETTER_SENT = "letter sent"
    SOLD = "sold"
    GOES_ELSEWHERE = "goes elsewhere"
    DIED = "died"


# Days until the next round begins, by what ended this one.
WAIT_DAYS = {
    Outcome.REACHED: 28,
    Outcome.LETTER_SENT: 28,
    Outcome.CANCELLED: 28,
    Outcome.DECLINED: 182,
}
# where it could hurt someone they are asked again sooner; common practice, no source
DANGER_WAIT_DAYS = {Outcome.REACHED: 3, Outcome.CANCELLED: 3, Outcome.LETTER_SENT: 7}
MESSAGES = frozenset({Outcome.LEFT_MESSAGE, Outcome.TEXTED, Outcome.MAILED})
UNANSWERED = MESSAGES | {Outcome.NO_ANSWER}
# nobody was reached, who could wait for the next call
TRIED_AGAIN_TOMORROW = frozenset({Outcome.NO_ANSWER, Outcome.WRONG_NUMBER})
WITH_A_DAY = frozenset({Outcome.BOOKED, Outcome.LATER})
MAY_HAVE_A_DAY = WITH_A_DAY | {Outcome.RANG_BACK}
# What ends a booked day, and how that is kept of it.
ENDED_BY = {
    Outcome.CANCELLED: BookingEnd.CANCELLED,
    Outcome.CANCELLED_BY_US: BookingEnd.CANCELLED_BY_US,
    Outcome.DID_NOT_COME: BookingEnd.MISSED,
    Outcome.LATER: BookingEnd.LATER,
    Outcome.DECLINED: BookingEnd.DECLINED,
}
OF_A_BOOKED_DAY = frozenset({Outcome.CANCELLED, Outcome.CANCELLED_BY_US, Outcome.DID_NOT_COME})
# After these the next call is made when they say, though it were planned for later.
SET_THE_DAY = frozenset({
    Outcome.LATER, Outcome.RANG_BACK, Outcome.CANCELLED_BY_US, Outcome.DID_NOT_COME,
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class CallOutcome:
    """What came of one call.

    Args:
        about: what the call was about.
        day: the day booked, or on which they want to be rung; the day that was booked, and called
            off or missed; None for every other outcome.
        machines: ids of those it was about; none means all of the owner's.
    """

    on: date
    outcome: Outcome
    about: CallAbout = CallAbout.SERVICE
    day: date | None = None
    note: str = ""
    machines: tuple[int, ...] = ()

    def is_about(self, machine: int) -> bool:
        """Whether a machine, by its id, was meant."""
        return not self.machines or machine in self.machines

    @property
    def agrees_a_day(self) -> bool:
        """Whether a day was agreed, for the bench or for a call."""
        return self.outcome in WITH_A_DAY or (
            self.outcome is Outcome.RANG_BACK and self.day is not None
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowUp:
    """What follows from an outcome.

    Args:
        again: they are not rung before this day; None where no call follows, or, in the same
            round, none but what is planned.
        round_ends: a call that follows begins a new round.
    """

    again: date | None
    round_ends: bool


def follow_up(
    outcome: CallOutcome, before: Sequence[CallOutcome], *, danger: bool = False
) -> FollowUp:
    """What follows from an outcome.

    Args:
        before: what came of the same call before.
        danger: a machine it is about could hurt someone.
    """
    what = outcome.outcome
    if what in WAIT_DAYS:
        for_service = outcome.about.is_for_service
        days = WAIT_DAYS | (DANGER_WAIT_DAYS if danger else {})
        again = add_days(outcome.on, days[what]) if for_service else None
        return FollowUp(again=again, round_ends=True)
    if what in (Outcome.LATER, Outcome.RANG_BACK):
        return FollowUp(again=outcome.day, round_ends=False)
    if what in OF_A_BOOKED_DAY:
        missed = outcome.day if what is Outcome.DID_NOT_COME else None
        return FollowUp(again=add_days(missed or outcome.on, ONE_DAY.days), round_ends=False)
    if what in MESSAGES and tries([*before, outcome]) < MOST_TRIES:
        return FollowUp(again=add_days(outcome.on, MESSAGE_DAYS), round_ends=False)
    if what in UNANSWERED or what is Outcome.WRONG_NUMBER:
        return FollowUp(again=add_days(outcome.on, ONE_DAY.days), round_ends=False)
    return FollowUp(again=None, round_ends=True)


def tries(outcomes: Sequence[CallOutcome]) -> int:
    """How often nobody was reached since they were last spoken to."""
    count = 0
    for each in outcomes:
        count = count + 1 if each.outcome in UNANSWERED else 0
    return count


def wants_letter(outcomes: Sequence[CallOutcome]) -> bool:
    """Whether a letter is proposed instead of one more call: nobody answered three times."""
    return tries(outcomes) >= MOST_TRIES


def rounds_passed(outcomes: Sequence[CallOutcome], visited: date | None) -> list[CallOutcome]:
    """The ends of the rounds that passed since the owner's machines were last in the shop, or a day
    was agreed with them.

    One talk may end several calls; what comes of all of them on one day is one round.
    """
    passed: dict[date, CallOutcome] = {}
    for each in outcomes:
        if each.agrees_a_day:
            passed = {}
        elif (
            each.about.is_for_service
            and each.outcome in WAIT_DAYS
            and (visited is None or each.on > visited)
        ):
            passed[each.on] = each
    return list(passed.values())


def declined_until(
    outcomes: Sequence[CallOutcome], machine: int, visited: date | None
) -> date | None:
    """The first day on which a machine, by its id, may be asked for again after its owner declined;
    None where they did not, agreed on a day since, or it was in the shop since.

    Args:
        visited: the day it was last in the shop.
    """
    until = None
    for each in outcomes:
        if not each.is_about(machine):
            continue
        if each.agrees_a_day:
            until = None
        elif (
            each.outcome is Outcome.DECLINED
            and each.about.is_for_service
            and (visited is None or each.on > visited)
        ):
            until = add_days(each.on, WAIT_DAYS[Outcome.DECLINED])
    return until


def has_lapsed(outcomes: Sequence[CallOutcome], visited: date | None) -> bool:
    """Whether two rounds have passed: no call follows any more."""
    return len(rounds_passed(outcomes, visited)) >= MOST_ROUNDS


def lapsed_on(outcomes: Sequence[CallOutcome], visited: date | None) -> date | None:
    """The day from which an owner counts as lapsed: after the second round, once the time for
    coming in has gone by, too."""
    passed = rounds_passed(outcomes, visited)
    if len(passed) < MOST_ROUNDS:
        return None
    last = passed[MOST_ROUNDS - 1]
    return add_days(last.on, 0 if last.outcome is Outcome.DECLINED else WAIT_DAYS[last.outcome])
