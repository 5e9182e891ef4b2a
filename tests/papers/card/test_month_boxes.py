"""Boxes to tick: one for each time that a rhythm comes round, the weeks under their Mondays, a year
long."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.due.rhythm import RHYTHMS
from oilchart.core.records.paper_style import CardSize
from oilchart.papers.card.month_boxes import TickTable, months_shown, tick_table
from oilchart.papers.card.month_boxes_pdf import rows_in, ticks_block, ticks_height
from oilchart.papers.pdf.card_sizes import setting
from tests.builders.make import TODAY
from tests.counts import counted

TIMED = [rhythm.name for rhythm in RHYTHMS if rhythm.days]


def table_of(*rhythms: str, as_of: date = TODAY) -> TickTable:
    table = tick_table(rhythms, as_of)
    assert table is not None
    return table


def test_weeks_are_dated_by_their_mondays_and_months_have_an_empty_box() -> None:
    table = table_of("each bobbin", "week", "2 weeks", "month", "3 months")
    assert table.columns == ("Every week", "Every 2 weeks", "Every month", "Every 3 months")
    assert [(row.month, row.boxes) for row in table.rows[:4]] == [
        ("Nov 2026", (("30",), ("30",), (), ())),
        ("Dec 2026", (("7", "14", "21", "28"), ("14", "28"), ("",), ())),
        ("Jan 2027", (("4", "11", "18", "25"), ("11", "25"), ("",), ())),
        ("Feb 2027", (("1", "8", "15", "22"), ("8", "22"), ("",), ("",))),
    ]
    assert len(table.rows) == 12


@pytest.mark.parametrize(
    "rhythms", [(), ("each bobbin",), ("sewing day", "each service"), ("hours 5",)]
)
def test_without_a_rhythm_of_the_calendar_there_are_no_boxes(rhythms: tuple[str, ...]) -> None:
    assert tick_table(rhythms, TODAY) is None


def test_numbers_are_explained_only_where_there_are_any() -> None:
    assert "Monday" in table_of("week").note
    assert table_of("month").note == ""


@counted
@given(st.dates(date(2020, 1, 1), date(2090, 1, 1)), st.sampled_from(TIMED))
def test_a_rhythm_has_a_box_for_each_time_in_the_months_that_are_shown(
    as_of: date, name: str
) -> None:
    rhythm = next(each for each in RHYTHMS if each.name == name)
    rows = table_of(name, as_of=as_of).rows
    boxes = [box for row in rows for box in row.boxes[0]]
    assert 1 <= len(rows) <= 12
    if rhythm.months:
        assert boxes == [""] * len(boxes)
        assert len(boxes) == 12 // rhythm.months
    else:
        first = next(
            day
            for day in (as_of + timedelta(days=ahead) for ahead in range(1, 8))
            if day.weekday() == 0
        )
        days = [first + timedelta(days=step) for step in range(0, 400, rhythm.days)]
        shown = {row.month for row in rows}
        assert boxes == [str(day.day) for day in days if f"{day:%b %Y}" in shown]


@pytest.mark.parametrize("size", CardSize)
def test_as_many_months_are_shown_as_there_is_room_for_and_no_more(size: CardSize) -> None:
    table, settings = table_of("week", "2 weeks", "month"), setting(size)
    for rows in range(1, len(table.rows) + 1):
        room = ticks_height(table, rows, settings)
        assert rows_in(table, room, settings) == rows
        assert rows_in(table, room - 0.1, settings) == rows - 1
        assert ticks_block(table, rows, room, settings).height == pytest.approx(room)
        # with more room the rows are drawn apart, and stay within it
        assert ticks_block(table, rows, room + 5, settings).height <= room + 5.001


def test_a_rhythm_that_does_not_come_round_in_the_months_shown_has_no_column() -> None:
    table = table_of("week", "month", "6 months")
    assert months_shown(table, 6).columns == ("Every week", "Every month")
    assert [len(row.boxes) for row in months_shown(table, 6).rows] == [2] * 6
    assert months_shown(table, 7).columns == table.columns
    # where none of them comes round, their names stay
    assert months_shown(table_of("6 months"), 0).columns == ("Every 6 months",)
