"""Knows what stands in the shop's calendar of follow-up calls: whom to ring, when, about what."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.calls import CallAbout
from oilchart.core.people import Owner
from oilchart.papers.wording import counted, day_words, joined, month_words


@dataclass(frozen=True, slots=True, kw_only=True)
class DueMachine:
    """A machine a call is about; `service_on` is the day its service is planned for, or it was freed, `words` what its owner said."""

    number: str
    model: str
    service_on: date
    words: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowUp:
    """One call as an entry of a whole day.

    Args:
        uid: stays the same for as long as the call is open, and says nothing of the owner.
        changes: how often the entry was changed since it was made.
    """

    uid: str
    on: date
    made_on: date
    changed_on: date
    changes: int
    title: str
    lines: tuple[str, ...]


def call_uid(namespace: str, call_id: int) -> str:
    """The lasting id of a call's entry, from the shop's random namespace."""
    return str(uuid.uuid5(uuid.UUID(namespace), f"call:{call_id}"))


def follow_up(
    *,
    uid: str,
    on: date,
    made_on: date,
    changed_on: date,
    changes: int,
    owner: Owner,
    machines: Sequence[DueMachine],
    about: CallAbout = CallAbout.SERVICE,
) -> FollowUp:
    """Put a call into words."""
    names = joined([f"{machine.model} {machine.number}" for machine in machines])
    what = names if len(machines) < 3 else counted(len(machines), "machine")
    if about is CallAbout.SETTLING_IN:
        lines = [f"It was freed on {day_words(each.service_on)}: {each.model}, {each.number}." for each in machines]
        lines.append("Ask: does it turn as lightly as then, and was it oiled after 2 and after 5 hours?")
    else:
        lines = [f"Time for its service: {each.model}, {each.number}, wanted in {month_words(each.service_on)}." for each in machines]
    lines += [f"Their words ({machine.number}): {machine.words}" for machine in machines if machine.words]
    lines.append(f"Ask: how much they sew now, and whether they have been oiling {'it' if len(machines) == 1 else 'them'}.")
    if owner.phone:
        lines.append(f"Phone: {owner.phone}")
        lines.append(f"tel:{_dialled(owner.phone)}")
    return FollowUp(
        uid=uid,
        on=on,
        made_on=made_on,
        changed_on=changed_on,
        changes=changes,
        title=f"Call {owner.name}: {what}{', settling in' if about is CallAbout.SETTLING_IN else ''}",
        lines=tuple(lines),
    )


def _dialled(phone: str) -> str:
    """A phone number as it is dialled: digits, and a plus in front where there is one."""
    digits = "".join(char for char in phone if char.isascii() and char.isdigit())
    return f"+{digits}" if phone.strip().startswith("+") else digits
