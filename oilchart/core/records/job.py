"""Stays of machines in the shop, repairs, checks, and what makes a machine unsafe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from oilchart.core.days import Span, add_days
from oilchart.core.records.findings import Left


class Stage(StrEnum):
    """How far the work of a stay was said to be."""

    ON_THE_BENCH = "on the bench"
    SOAKING = "soaking"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One stay, from check-in to collection.

    Args:
        complaint: what is wrong, in the owner's words.
        left_with: what was left with the machine: pedal, case.
        still_here: what of that was not handed back when the machine was collected.
        ready_by: the day by which it was promised, None without one.
        stage: None where nothing was said of it.
        ready_on: the day it could be collected, None before.
        out_on: the day it was collected, None while it is in the shop.
        nothing_done: said of one in which nothing was recorded.
    """

    id: int
    in_on: date
    complaint: str
    left_with: tuple[str, ...] = ()
    still_here: tuple[str, ...] = ()
    ready_by: date | None = None
    stage: Stage | None = None
    ready_on: date | None = None
    out_on: date | None = None
    nothing_done: bool = False

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

    def covers(self, day: date) -> bool:
        """Whether it was in the shop on a day; the day it came and the day it went are of it."""
        return self.in_on <= day and (self.out_on is None or day <= self.out_on)


class Danger(StrEnum):
    """What about a machine could hurt someone."""

    ELECTRICAL = "electrical"
    MECHANICAL = "mechanical"


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsafeMark:
    """That a machine must not be plugged in, or not be used: since when and why.

    Args:
        lifted_on, lifted_by, put_right: when, by whom and by what it was put right; None and empty
            while it holds.
    """

    id: int
    danger: Danger
    on: date
    why: str
    lifted_on: date | None = None
    lifted_by: str = ""
    put_right: str = ""

    @property
    def holds(self) -> bool:
        """Whether it was not lifted yet."""
        return self.lifted_on is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """What was put right without a service.

    Args:
        part: what was fitted; may be empty.
        left: how points were left by it, by id.
        by: who did the work; may be empty.
    """

    id: int
    on: date
    words: str
    part: str = ""
    left: tuple[tuple[str, Left], ...] = ()
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ElectricalCheck:
    """A check of a machine's mains side by a person of that trade.

    Args:
        reading: what was measured, in words; may be empty.
        before: it was made before the first plug-in, as a finding; it proves nothing of the work.
    """

    on: date
    by: str
    passed: bool
    reading: str = ""
    before: bool = False

    @property
    def proves(self) -> bool:
        """Whether the mains test that a service asks for was made by it."""
        return self.passed and not self.before
