"""The boxes an owner ticks: for each month to come those of the rhythms on the card, the weeks
dated by their Mondays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from oilchart.core.days import MONTHS, add_months
from oilchart.core.due.rhythm import RHYTHMS

HEADING = "Tick what you have done:"
DATED = "a number is the Monday of its week."
MONTHS_AHEAD = 12
TIMED = {rhythm.name: rhythm for rhythm in RHYTHMS if rhythm.days}
WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True, kw_only=True)
class TickRow:
    """One month, with the boxes of each column: what stands in a box, or nothing."""

    month: str
    boxes: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TickTable:
    """Boxes to tick by month and rhythm.

    Args:
        note: what the numbers in the boxes mean; empty without any.
        columns: what is to be done, and so the headings of the boxes.
    """

    heading: str
    note: str
    columns: tuple[str, ...]
    rows: tuple[TickRow, ...]


def tick_table(rhythms: Sequence[str], as_of: date) -> TickTable | None:
    """Boxes for the timed rhythms of a card from the first Monday after its day on, a year long;
    None without any.

    Weeks count from that Monday; months from the one after the card's, since its work has just been
    done.
    """
    timed = [TIMED[name] for name in rhythms if name in TIMED]
    if not timed:
        return None
    first = as_of + timedelta(days=7 - as_of.weekday())
    mondays = {
        rhythm.name: [first + week * WEEK for week in range(0, 54, rhythm.days // 7)]
        for rhythm in timed
        if not rhythm.months
    }
    rows = []
    for ahead in range(MONTHS_AHEAD + 1):
        month = add_months(as_of.replace(day=1), ahead)
        boxes: list[tuple[str, ...]] = []
        for rhythm in timed:
            if rhythm.months:
                boxes.append(("",) if ahead and ahead % rhythm.months == 0 else ())
            else:
                boxes.append(
                    tuple(
                        str(day.day)
                        for day in mondays[rhythm.name]
                        if (day.year, day.month) == (month.year, month.month)
                    )
                )
        if any(boxes):
            rows.append(
                TickRow(month=f"{MONTHS[month.month - 1][:3]} {month.year}", boxes=tuple(boxes))
            )
    return TickTable(
        heading=HEADING,
        note=DATED if mondays else "",
        columns=tuple(f"Every {rhythm.name}" for rhythm in timed),
        rows=tuple(rows[:MONTHS_AHEAD]),
    )


def months_shown(table: TickTable, rows: int) -> TickTable:
    """The first rows of a table, without the columns that have no box in them; a table that had
    no box left keeps its columns."""
    shown = table.rows[:rows]
    kept = [at for at in range(len(table.columns)) if any(row.boxes[at] for row in shown)]
    kept = kept or list(range(len(table.columns)))
    return replace(
        table,
        columns=tuple(table.columns[at] for at in kept),
        rows=tuple(replace(row, boxes=tuple(row.boxes[at] for at in kept)) for row in shown),
    )
