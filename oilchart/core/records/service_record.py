"""A service as it was recorded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.records.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceRecord:
    """A service as it was recorded; what was told of it later in the same stay is in it.

    Args:
        on: its first day.
        whole: false for work at named points only.
        complete: its findings name every bench point that the list had.
        back_on: the day on which the machine is wanted back for what was left out and cannot wait.
        job: id of the stay it was in; None where the machine was not checked in.
        by: who did the work; may be empty.
    """

    id: int
    on: date
    findings: tuple[Finding, ...]
    freed: bool = False
    whole: bool = True
    complete: bool = True
    back_on: date | None = None
    job: int | None = None
    by: str = ""

    @property
    def last_day(self) -> date:
        """The day on which work was last done at it."""
        return max((self.on, *(each.on for each in self.findings if each.on is not None)))
