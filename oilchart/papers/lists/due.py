"""Knows one line of the list of machines that are due, and how contact with an owner is put into
words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.planning.follow_up import Outcome, Told
from oilchart.core.planning.schedule import Schedule
from oilchart.core.records.owner import Owner
from oilchart.papers.wording import short_day


@dataclass(frozen=True, slots=True, kw_only=True)
class DueLine:
    """A machine with its owner.

    Args:
        told: what came of the calls to the owner, in the order of their days.
        lapsed_on: since when the owner counts as lapsed; None while they do not.
        unsafe: why the machine must not be plugged in; empty where it may be.
    """

    schedule: Schedule
    owner: Owner
    told: tuple[Told, ...] = ()
    lapsed_on: date | None = None
    unsafe: str = ""


def remarks(line: DueLine) -> str:
    """That the machine must not be plugged in, and what came last of contact with its owner."""
    return "; ".join(
        words for words in ("do not plug in" if line.unsafe else "", contact_words(line)) if words
    )


def contact_words(line: DueLine) -> str:
    """What came last of contact with the owner, in few words; empty where there was none."""
    if line.owner.do_not_contact is not None:
        return f"left alone: {line.owner.do_not_contact.why}"
    if line.schedule.booked is not None:
        return f"booked for {short_day(line.schedule.booked)}"
    if line.lapsed_on is not None:
        return f"lapsed since {short_day(line.lapsed_on)}"
    last = last_told(line)
    return told_words(last) if last is not None else ""


def last_told(line: DueLine) -> Told | None:
    """What came last of a call about this machine; a day booked that has gone by is no news."""
    number = line.schedule.machine.number or ""
    about = [each for each in line.told if each.is_about(number)]
    as_of = line.schedule.as_of
    return next(
        (
            each
            for each in reversed(about)
            if each.outcome is not Outcome.BOOKED or (each.day or as_of) >= as_of
        ),
        None,
    )


def told_words(told: Told) -> str:
    """What came of one call: "3 Nov 2026: no answer"."""
    day = f", {short_day(told.day)}" if told.day is not None else ""
    return f"{short_day(told.on)}: {told.outcome}{day}"


def talks(told: Sequence[Told]) -> list[Told]:
    """The talks with an owner; one talk about several calls once."""
    return list({(each.on, each.outcome, each.day, each.note): each for each in told}.values())
