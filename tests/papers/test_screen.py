"""Tables on screens of every width: words are wrapped, spare columns left out, and nothing is ever
cut."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from oilchart.papers.screen import Column, Screen, screen_of, table
from oilchart.papers.tables.due import due_text
from oilchart.papers.tables.schedule import schedule_text
from oilchart.shop.folder import Shop
from tests.builders.shop_steps import all_standings
from tests.counts import counted

COLUMNS = [
    Column("State"),
    Column("Owner", wraps=True),
    Column("Likely due"),
    Column("Because", spare=True),
    Column("Done", spare=True),
]
ROWS = [
    ["▲ likely overdue", "Łucja Wierzbicka of the sail loft", "2026-11-25", "use", "2026-01-01"]
]


@pytest.mark.parametrize(
    ("width", "heads"),
    [
        (100, ["State", "Owner", "Likely due", "Because", "Done"]),
        # the last spare column goes first
        (60, ["State", "Owner", "Likely due", "Because"]),
        (44, ["State", "Owner", "Likely due"]),
    ],
)
def test_a_narrow_screen_loses_spare_columns_and_no_letter(width: int, heads: list[str]) -> None:
    text = table(COLUMNS, ROWS, Screen(columns=width, colour=False))
    assert text.splitlines()[0].replace("Likely due", "Likely_due").split() == [
        head.replace(" ", "_") for head in heads
    ]
    assert "▲ likely overdue" in text
    assert "2026-11-25" in text
    for word in ["Łucja", "Wierzbicka", "of", "the", "sail", "loft"]:
        assert word in text
    assert max(map(len, text.splitlines())) <= width
    hidden = [column.heading for column in COLUMNS if column.heading not in heads]
    told = f"Not shown, the window is too narrow: {', '.join(hidden)}."
    assert " ".join(text.splitlines()[3:]).endswith(told) or not hidden


def test_where_even_the_narrowest_table_is_too_wide_each_row_is_a_block() -> None:
    rows = [*ROWS, ["○ in time", "Ida Brandvold", "2027-03-01", "", "2026-01-01"]]
    assert table(COLUMNS, rows, Screen(columns=32, colour=False)) == (
        "State       ▲ likely overdue\n"
        "Owner       Łucja Wierzbicka of\n"
        "            the sail loft\n"
        "Likely due  2026-11-25\n"
        "Because     use\n"
        "Done        2026-01-01\n"
        "\n"
        "State       ○ in time\n"
        "Owner       Ida Brandvold\n"
        "Likely due  2027-03-01\n"
        "Done        2026-01-01\n"
    )


@counted
@given(
    st.lists(
        st.tuples(st.booleans(), st.booleans(), st.booleans(), st.integers(1, 20)), min_size=1
    ),
    st.data(),
    st.integers(24, 160),
)
def test_no_table_is_wider_than_its_screen_and_none_loses_a_word(
    kinds: list[tuple[bool, bool, bool, int]], data: st.DataObject, width: int
) -> None:
    words = st.text("abcdefghij é漢", min_size=0, max_size=30)
    columns = [
        Column(f"H{at}", right=right, wraps=wraps, spare=spare, narrowest=narrowest)
        for at, (right, wraps, spare, narrowest) in enumerate(kinds)
    ]
    rows = data.draw(st.lists(st.tuples(*(words for _ in columns)), min_size=1, max_size=4))
    text = table(columns, rows, Screen(columns=width, colour=False))
    assert all(cell_len(line) <= width for line in text.splitlines())
    told = re.search(r"Not shown, the window is too narrow: (.*)\.", " ".join(text.split()))
    hidden = told[1].split(", ") if told else []
    for at, column in enumerate(columns):
        if column.heading not in hidden:
            for row in rows:  # folded words stand on several lines, letter by letter
                assert Counter(row[at].replace(" ", "")) <= Counter(text)


@pytest.mark.parametrize("width", [60, 80, 100, 200])
def test_dates_states_and_phones_are_whole_at_every_width(demo_shop: Shop, width: int) -> None:
    screen = Screen(columns=width, colour=False)
    standings = all_standings(demo_shop)
    text = due_text(standings, screen)
    for each in standings:
        assert each.record.number in text
        assert each.record.owner.phone in text
        assert each.schedule.state in text
        is_here = each.record.open_job is not None  # of it no day is told
        wanted_by = None if is_here else each.schedule.wanted_by
        assert wanted_by is None or str(wanted_by) in text
    if width >= 80:
        assert max(map(len, text.splitlines())) <= width
    schedule = schedule_text(standings[0].schedule, screen, owner="Ida", services=())
    assert all(
        str(plan.due.likely) in schedule
        for plan in standings[0].schedule.points
        if plan.due is not None
    )


def test_a_pipe_has_every_column_and_one_line_a_row() -> None:
    text = table(COLUMNS, ROWS, Screen(columns=None, colour=False))
    assert text == (
        "State             Owner                              Likely due  Because  Done\n"
        "▲ likely overdue  Łucja Wierzbicka of the sail loft  2026-11-25  use      2026-01-01\n"
    )


def test_colours_stand_beside_words_and_go_with_no_color(monkeypatch: pytest.MonkeyPatch) -> None:
    coloured = table(COLUMNS, ROWS, Screen(columns=100, colour=True))
    assert "\x1b[" in coloured
    assert "likely overdue" in coloured
    monkeypatch.setenv("NO_COLOR", "1")
    assert not screen_of(is_terminal=True).colour
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not screen_of(is_terminal=True).colour


def test_control_and_direction_characters_do_not_reach_the_screen(demo_shop: Shop) -> None:
    text = table([Column("Name")], [["a\x1b[31mb\u202ec\nd"]], Screen(columns=None, colour=False))
    assert text == "Name\na [31mb c d\n"
    schedule, screen = all_standings(demo_shop)[0].schedule, Screen(columns=None, colour=False)
    title = schedule_text(schedule, screen, owner="a\u202eb\x1bc", services=()).splitlines()[0]
    assert "a b c" in title
