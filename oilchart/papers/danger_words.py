"""A machine that could hurt someone, in words: on every paper, in every list, on the screen."""

from __future__ import annotations

from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.papers.wording import plain_day

# heading of every paper and first words of every line about such a machine
DANGER_HEADINGS = {
    Danger.ELECTRICAL: "Do not plug in",
    Danger.MECHANICAL: "Do not use",
}


def danger_line(mark: UnsafeMark) -> str:
    """Do not plug in: the lead crumbles, since 25 November 2026."""
    return f"{DANGER_HEADINGS[mark.danger]}: {mark.why}, since {plain_day(mark.on)}"


def danger_lines(record: MachineRecord | None) -> tuple[str, ...]:
    """What makes a machine unsafe now, a line each, the mains side first; empty where nothing
    does."""
    return () if record is None else tuple(danger_line(mark) for mark in record.dangers)


def lifted_by_words(record: MachineRecord, mark: UnsafeMark) -> str:
    """By which command a danger is lifted."""
    if mark.danger is Danger.MECHANICAL:
        return f'Until: oilchart safe {record.number} --by NAME "what was put right"'
    return (
        f'Until: oilchart fixed {record.number} "what was put right", then oilchart electrical '
        f"{record.number} --by NAME --pass"
    )
