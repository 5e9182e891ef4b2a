"""A service as it was recorded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.records.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceRecord:
    """A service as it was recorded.

    Args:
        whole: false for work at named points only.
        complete: its findings name every bench point that the list had.
        back_on: the day on which the machine is wanted back for what was left out and cannot wait.
    """

    id: int
    on: date
    findings: tuple[Finding, ...]
    note: str
    freed: bool = False
    whole: bool = True
    complete: bool = True
    back_on: date | None = None
