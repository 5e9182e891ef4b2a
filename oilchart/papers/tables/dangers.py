"""What makes a machine unsafe, in a list: as words in the column of its state, and as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from oilchart.core.due.due_dates import State
from oilchart.core.records.job import UnsafeMark
from oilchart.papers.danger_words import DANGER_HEADINGS
from oilchart.papers.screen import DANGER_SIGN, state_cell
from oilchart.papers.wording import short_day


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
