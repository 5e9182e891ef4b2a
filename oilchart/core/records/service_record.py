"""A service as it was recorded."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from oilchart.core.records.findings import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceRecord:
    """A service as it was recorded."""

    id: int
    on: date
    findings: tuple[Finding, ...]
    note: str
    freed: bool = False
