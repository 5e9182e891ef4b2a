"""How contact with an owner is put into words."""

from __future__ import annotations

from collections.abc import Iterable

from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.records.owner import Way
from oilchart.papers.wording import short_day


def contact_words(standing: Standing) -> str:
    """What came last of contact with the owner, in few words; empty where there was none."""
    owner, booked = standing.record.owner, standing.schedule.booked
    if owner.do_not_contact is not None:
        return f"left alone: {owner.do_not_contact.why}"
    if booked is not None:
        return f"booked for {short_day(booked)}"
    if standing.lapsed_on is not None:
        return f"lapsed since {short_day(standing.lapsed_on)}"
    last = last_outcome(standing)
    return outcome_words(last) if last is not None else ""


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
    """How and when the owner is to be reached, where it is not simply by phone."""
    way = "" if call.way is Way.PHONE else f"by {call.way}"
    promised = "promised" if call.promised_on else ""
    return ", ".join(part for part in (way, call.owner.best_time, promised) if part)
