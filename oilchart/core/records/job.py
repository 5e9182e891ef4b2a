"""A stay of a machine in the shop, and what makes it unsafe until it is checked."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.days import Span, add_days


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One stay, from check-in to collection.

    Args:
        complaint: what is wrong, in the owner's words.
        left_with: what was left with the machine: pedal, case.
        waiting_for: a part it waits for; empty where it does not wait.
        ready_on: the day it could be collected, None before.
        out_on: the day it was collected, None while it is in the shop.
    """

    id: int
    in_on: date
    complaint: str
    left_with: tuple[str, ...] = ()
    waiting_for: str = ""
    ready_on: date | None = None
    out_on: date | None = None

    @property
    def number(self) -> str:
        """How it is called: J-003."""
        return f"J-{self.id:03}"

    @property
    def is_open(self) -> bool:
        """Whether the machine is still in the shop."""
        return self.out_on is None

    def stay(self, today: date) -> Span:
        """The days on which the machine rests: from check-in to before collection, or to today."""
        return Span(first=self.in_on, end=max(self.out_on or add_days(today, 1), self.in_on))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unsafe:
    """A machine that must not be plugged in: since when and why."""

    on: date
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectricalCheck:
    """A check of a machine's mains side by a person of that trade."""

    on: date
    by: str
    passed: bool
