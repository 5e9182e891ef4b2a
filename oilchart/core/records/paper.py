"""A paper that was printed from the shop's book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedPaper:
    """A paper that was printed.

    Args:
        kind: like "care card".
        file: where it was written to; "-" is stdout.
        machine: the id of the one it is about; None where it is about no single one.
        owner: the id of the one it is written to; None where it is about a machine.
    """

    kind: str
    on: date
    file: str
    machine: int | None = None
    owner: int | None = None
