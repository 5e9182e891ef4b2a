"""To whom the shop writes, instead of a call or to all whose machines are due; and to whom it does
not, and why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.days import add_days
from oilchart.core.due.due_dates import LATE
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import Outcome, wants_letter
from oilchart.core.planning.standing import OpenCall, Standing, worst_first
from oilchart.core.planning.ways_to_reach import WantedLetter, reason_of
from oilchart.core.records.owner import Owner, Way
from oilchart.shop import calls
from oilchart.shop.folder import Shop
from oilchart.sources.book.file.opening import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class LettersDue:
    """The letters to be written.

    Args:
        left_out: the owners of machines that are due who are not written to, and why.
    """

    letters: tuple[WantedLetter, ...]
    left_out: tuple[tuple[Owner, str], ...] = ()


def letters_due(book: Book, shop: Shop, *, due_only: bool, within_days: int) -> LettersDue:
    """Whom the shop writes to: instead of the calls of the coming days, or, with `due_only`, to all
    whose machines are due."""
    plan = calls.plan(book, shop)
    standings = sorted(plan.standings, key=worst_first)
    if due_only:
        return _to_all_due(plan.calls, standings, shop.today)
    return _instead_of_calls(plan.calls, standings, add_days(shop.today, within_days))


def _instead_of_calls(
    open_calls: Iterable[OpenCall], standings: Iterable[Standing], before: date
) -> LettersDue:
    """A letter for each call that is to be made before a day and is better written.

    It is where they wish for letters, did not answer three times, or have no number on which they
    answer.
    """
    by_id = {standing.record.id: standing for standing in standings}
    return LettersDue(
        letters=tuple(
            WantedLetter(
                owner=call.owner,
                reason=reason_of(call.owner, call.about, call.outcomes),
                about=call.about,
                standings=tuple(by_id[record.id] for record, _ in call.services),
            )
            for call in open_calls
            if call.on < before and call.way is Way.LETTER
        )
    )


def _to_all_due(
    open_calls: Iterable[OpenCall], standings: Sequence[Standing], today: date
) -> LettersDue:
    """One letter to each owner of machines that are due and about which they would be rung, in the
    order of the machines."""
    agreed = {
        record.id: day
        for call in open_calls
        if (day := _agreed(call, today)) is not None
        for record, _ in call.services
    }
    wanted: dict[Owner, list[Standing]] = {}
    left_out: dict[Owner, str] = {}
    for standing in standings:
        if standing.schedule.state not in LATE:
            continue
        owner = standing.record.owner
        why_not = _why_not(standing, agreed.get(standing.record.id))
        if why_not:
            left_out.setdefault(owner, why_not)
        else:
            wanted.setdefault(owner, []).append(standing)
    letters = (
        WantedLetter(
            owner=owner,
            reason=reason_of(owner, CallAbout.SERVICE, theirs[0].outcomes),
            about=CallAbout.SERVICE,
            standings=tuple(theirs),
        )
        for owner, theirs in wanted.items()
    )
    return LettersDue(
        letters=tuple(letters),
        left_out=tuple((owner, why) for owner, why in left_out.items() if owner not in wanted),
    )


def _agreed(call: OpenCall, today: date) -> date | None:
    """The day until which they are given time, after a talk or a letter; None where there is none,
    or they were not reached at all."""
    unreached = wants_letter(call.outcomes) or (
        bool(call.outcomes) and call.outcomes[-1].outcome is Outcome.WRONG_NUMBER
    )
    if (
        not call.about.is_for_service
        or call.promised_on is None
        or call.promised_on <= today
        or unreached
    ):
        return None
    return call.promised_on


def _why_not(standing: Standing, agreed: date | None) -> str:
    """Why nobody is written to about a machine that is due; empty where they are. A day booked is
    confirmed to who wishes for letters."""
    owner, schedule = standing.record.owner, standing.schedule
    if owner.do_not_contact is not None:
        return f"is left alone: {owner.do_not_contact.why}"
    if schedule.booked is not None:
        return (
            ""
            if owner.reached_by is Way.LETTER
            else f"{standing.record.number} is booked for {schedule.booked}"
        )
    if agreed is not None:
        return f"hears from us again on {agreed}"
    return "" if schedule.call is not None else "let two rounds of calls and letters pass"
