"""Knows how a report of use is kept: as JSON of what was understood, beside the owner's words."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from oilchart.core.days import Span
from oilchart.core.report import Rate, Reading, Report, Total


def keep(report: Report) -> str:
    """What was understood, as JSON; what was not said is left out."""
    kept: dict[str, Any] = {}
    if report.rate is not None:
        kept["rate"] = [report.rate.low, report.rate.high]
    if report.total is not None:
        kept["total"] = [report.total.low, report.total.high, report.total.since.isoformat()]
    if report.reading is not None:
        kept["reading"] = [report.reading.shown, report.reading.new_meter]
    if report.idle_months is not None:
        kept["idle_months"] = sorted(report.idle_months)
    if report.weights is not None:
        kept["weights"] = list(report.weights)
    if report.idle_spans:
        kept["idle_spans"] = [[span.first.isoformat(), span.end.isoformat()] for span in report.idle_spans]
    return json.dumps(kept, sort_keys=True)


def recall(said: date, words: str, understood: str) -> Report:
    """The report that was kept."""
    kept = json.loads(understood)
    rate, total, reading = kept.get("rate"), kept.get("total"), kept.get("reading")
    return Report(
        said=said,
        words=words,
        rate=None if rate is None else Rate(low=rate[0], high=rate[1]),
        total=None if total is None else Total(low=total[0], high=total[1], since=date.fromisoformat(total[2])),
        reading=None if reading is None else Reading(shown=reading[0], new_meter=reading[1]),
        idle_months=None if "idle_months" not in kept else frozenset(kept["idle_months"]),
        weights=None if "weights" not in kept else tuple(kept["weights"]),
        idle_spans=tuple(Span(first=date.fromisoformat(a), end=date.fromisoformat(b)) for a, b in kept.get("idle_spans", ())),
    )
