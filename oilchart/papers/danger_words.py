"""A machine that could hurt someone, in words: on every paper, in every list, on the screen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.machine_record import MachineRecord
from oilchart.papers.wording import plain_day

# heading of every paper and first words of every line about such a machine
DANGER_HEADINGS = {
    Danger.ELECTRICAL: "Do not plug in",
    Danger.MECHANICAL: "Do not use",
}
# what an owner is told and asked of such a machine, of one and of several
UNSAFE_QUESTIONS = (
    ("Is it where nobody uses it?", "When can you bring it in?"),
    ("Are they where nobody uses them?", "When can you bring them in?"),
)
TOLD_OF_DANGER = {
    Danger.ELECTRICAL: "Please leave the plug of your {name} out of the wall",
    Danger.MECHANICAL: "Please do not use your {name}",
}
# said of work that needs current, while a machine must not be plugged in or used
NOT_WHILE_UNSAFE = "not while it is unsafe"


# in a complaint: it may be a danger that nobody has marked; common practice, no source
_MAY_HURT = re.compile(
    r"\b(tingl\w*|shock\w*|spark\w*|smok\w*|burn\w*|scorch\w*|electrocut\w*|runs by itself)\b",
    re.IGNORECASE,
)


def may_hurt(complaint: str) -> bool:
    """Whether a complaint is of what may hurt someone."""
    return _MAY_HURT.search(complaint) is not None


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


def told_of_dangers(record: MachineRecord, name: str) -> list[str]:
    """What an owner is told first of a machine that could hurt someone.

    Args:
        name: of its list.
    """
    return [
        f"{TOLD_OF_DANGER[mark.danger].format(name=f'{name} {record.number}')}: "
        f"{mark.why.rstrip('.')}."
        for mark in record.dangers
    ]


def danger_lines(record: MachineRecord | None) -> tuple[str, ...]:
    """What makes a machine unsafe now, a line each, the mains side first; empty where nothing
    does."""
    return () if record is None else tuple(danger_line(mark) for mark in record.dangers)
