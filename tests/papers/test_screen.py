"""Tables on screens of every width: words are wrapped, spare columns left out, and nothing is ever
cut."""

from __future__ import annotations

import pytest

from oilchart.papers.screen import Column, Screen, screen_of, table
from oilchart.papers.tables.due import due_text
from oilchart.papers.tables.schedule import schedule_text
from oilchart.shop.folder import Shop
from tests.builders.shop_steps import all_standings

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
        # narrower than all that is needed: wider than the screen, but whole
        (20, ["State", "Owner", "Likely due"]),
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
    assert max(map(len, text.splitlines())) <= max(width, 44)


@pytest.mark.parametrize("width", [60, 80, 100, 200])
def test_dates_states_and_phones_are_whole_at_every_width(demo_shop: Shop, width: int) -> None:
    screen = Screen(columns=width, colour=False)
    standings = all_standings(demo_shop)
    text = due_text(standings, screen)
    for each in standings:
        assert each.record.number in text
        assert each.record.owner.phone in text
        assert each.schedule.state in text
        assert each.schedule.due.likely is None or str(each.schedule.due.likely) in text
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
