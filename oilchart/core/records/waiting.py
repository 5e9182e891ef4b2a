"""What a machine waits for: parts that are ordered for it, and answers of its owner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class PartState(StrEnum):
    """How far a part is."""

    TO_ORDER = "to order"
    ORDERED = "ordered"
    HERE = "here"


class PartEnd(StrEnum):
    """Why a part is waited for no more."""

    FITTED = "fitted"
    NOT_WANTED = "not wanted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part wanted for a machine, until it is fitted or not wanted any more.

    Args:
        id: 0 for one that is in the book only as how a point was left.
        job: id of the stay in which it was wanted; None where the machine was with its owner.
        point: id of the point that was left waiting for it; empty for any other.
        ordered_from: a name; may be empty.
        ordered_on, here_on: None before.
        ended_on, end: None while it is wanted.
    """

    id: int
    words: str
    wanted_on: date
    job: int | None = None
    point: str = ""
    ordered_from: str = ""
    ordered_on: date | None = None
    here_on: date | None = None
    ended_on: date | None = None
    end: PartEnd | None = None

    @property
    def is_open(self) -> bool:
        """Whether it is neither fitted nor given up."""
        return self.ended_on is None

    @property
    def is_awaited(self) -> bool:
        """Whether it is wanted and not here yet."""
        return self.is_open and self.here_on is None

    @property
    def is_here(self) -> bool:
        """Whether it came, and is still to be fitted."""
        return self.is_open and self.here_on is not None

    @property
    def state(self) -> PartState:
        """How far it is, or was when it was fitted."""
        if self.here_on is not None:
            return PartState.HERE
        return PartState.TO_ORDER if self.ordered_on is None else PartState.ORDERED


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the owner of a machine in the shop was asked, and what they said.

    Args:
        job: id of the stay.
        answered_on, answer, answered_by: None and empty while it is open.
    """

    id: int
    job: int
    asked_on: date
    words: str
    answered_on: date | None = None
    answer: str = ""
    answered_by: str = ""

    @property
    def is_open(self) -> bool:
        """Whether it was not answered yet."""
        return self.answered_on is None
