"""A machine that could hurt someone, in words: on every paper, in every list, on the screen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from oilchart.core.due.due_dates import State
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.papers.screen import DANGER_SIGN, state_cell
from oilchart.papers.wording import plain_day, short_day

# heading of every paper and first words of every line about such a machine
DANGER_HEADINGS = {
    Danger.ELECTRICAL: "Do not plug in",
    Danger.MECHANICAL: "Do not use",
}
# said of work that needs current, while a machine must not be plugged in or used
NOT_WHILE_UNSAFE = "not while it is unsafe"


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """What a machine's tag or sheet says in large letters: what must not be done, and why, since
    when."""

    heading: str
    reasons: tuple[str, ...]


def warnings(dangers: Sequence[UnsafeMark]) -> tuple[Warned, ...]:
    """What must not be done with a machine, each with all that forbids it, the mains side first."""
    return tuple(
        Warned(
            heading=DANGER_HEADINGS[danger].upper(),
            reasons=tuple(
                f"{mark.why}, since {plain_day(mark.on)}"
                for mark in dangers
                if mark.danger is danger
            ),
        )
        for danger in dict.fromkeys(mark.danger for mark in dangers)
    )


def danger_line(mark: UnsafeMark) -> str:
    """Do not plug in: the lead crumbles, since 25 November 2026."""
    return f"{DANGER_HEADINGS[mark.danger]}: {mark.why}, since {plain_day(mark.on)}"


def danger_lines(record: MachineRecord | None) -> tuple[str, ...]:
    """What makes a machine unsafe now, a line each, the mains side first; empty where nothing
    does."""
    return () if record is None else tuple(danger_line(mark) for mark in record.dangers)


def danger_cell(dangers: Iterable[UnsafeMark], state: State | None = None) -> str:
    """What makes a machine unsafe, for a column of a list, and then its state: ✗ do not plug in:
    the lead crumbles, since 25 Nov 2026; in the shop. The state alone where nothing does."""
    words = "; ".join(
        f"{DANGER_HEADINGS[mark.danger].lower()}: {mark.why}, since {short_day(mark.on)}"
        for mark in dangers
    )
    if not words:
        return "" if state is None else state_cell(state)
    return f"{DANGER_SIGN} {words}" + ("" if state is None else f"; {state}")


def danger_values(dangers: Iterable[UnsafeMark]) -> dict[str, Any]:
    """What makes a machine unsafe, for JSON: why, of which kind and since when of the first of
    several, and all of them; null and empty where nothing does."""
    all_of_them = [{"danger": mark.danger, "why": mark.why, "since": mark.on} for mark in dangers]
    first = all_of_them[0] if all_of_them else {"danger": None, "why": None, "since": None}
    return {
        "unsafe": first["why"],
        "danger": first["danger"],
        "unsafe_since": first["since"],
        "dangers": all_of_them,
    }


def lifted_by_words(record: MachineRecord, mark: UnsafeMark) -> str:
    """By which command a danger is lifted."""
    if mark.danger is Danger.MECHANICAL:
        return f'Until: oilchart safe {record.number} --by NAME "what was put right"'
    return (
        f'Until: oilchart fixed {record.number} "what was put right", then oilchart electrical '
        f"{record.number} --by NAME --pass"
    )
