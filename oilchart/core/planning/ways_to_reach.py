"""How an owner is reached: as they wish, or by a letter, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.follow_up import CallOutcome, wants_letter
from oilchart.core.planning.standing import Standing
from oilchart.core.records.owner import Owner, Way


class Reason(StrEnum):
    """What a letter is written for; each has a text of its own, under this name."""

    SERVICE = "service"
    SETTLING_IN = "settling-in"
    NO_ANSWER = "no-answer"
    WRONG_NUMBER = "wrong-number"
    STAY = "stay"


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedLetter:
    """A letter to be written, and the machines it is about."""

    owner: Owner
    reason: Reason
    about: CallAbout
    standings: tuple[Standing, ...]


def cannot_be_rung(owner: Owner) -> bool:
    """Whether an owner who wishes to be rung has no number on which they answer."""
    return owner.reached_by in (Way.PHONE, Way.TEXT) and (
        owner.phone_wrong or not owner.phone.strip()
    )


def way_to_reach(owner: Owner, outcomes: Sequence[CallOutcome]) -> Way:
    """How an owner is reached: as they wish; by a letter where they cannot be rung, or did not
    answer three times.

    Args:
        outcomes: what came of the call so far.
    """
    if cannot_be_rung(owner) or wants_letter(outcomes):
        return Way.LETTER
    return owner.reached_by


def reason_of(owner: Owner, about: CallAbout, outcomes: Sequence[CallOutcome]) -> Reason:
    """Why an owner is written to.

    Args:
        about: what they would be rung about.
        outcomes: what came of the calls to them so far.
    """
    if about.is_of_a_stay:
        return Reason.STAY
    if cannot_be_rung(owner):
        return Reason.WRONG_NUMBER
    if wants_letter(outcomes):
        return Reason.NO_ANSWER
    return Reason.SETTLING_IN if about is CallAbout.SETTLING_IN else Reason.SERVICE
