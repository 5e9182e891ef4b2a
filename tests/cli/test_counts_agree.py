"""Whatever lists or counts machines and calls of a shop comes to the same numbers."""

from __future__ import annotations

import json
import random
import re
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from oilchart.core.days import day_words
from oilchart.papers.board.content import board
from oilchart.papers.call_sheet.content import call_sheet
from oilchart.papers.tables.due import summary
from oilchart.shop import calls as shop_calls
from oilchart.shop.folder import Shop
from tests.builders.big_book import make_big_shop
from tests.builders.board_shop import LIMITS
from tests.builders.make import TODAY
from tests.builders.records import SHOP
from tests.conftest import Run

FEW_WEEKS = 60


def numbers(words: str) -> dict[str, int]:
    """The counts of a line by what is counted."""
    return {
        what: int(number) for number, what in re.findall(r"(\d+) ([a-z ]+?)(?=[,.:;]|$)", words)
    }


def live(run: Run, shop: Shop, chance: random.Random) -> None:
    """Let two rounds with some owners pass, take machines in, find some unsafe, and let one go."""
    machines = [f"M-{at:03}" for at in range(1, 10)]
    chance.shuffle(machines)
    unsafe, here, gone, both, *others = machines
    for machine in (both, *others[:3]):
        for days in (0, 28):
            owner = owner_of(run, shop, machine)
            run("called", owner, "reached", shop=shop.folder, today=TODAY + timedelta(days=days))
    later = TODAY + timedelta(days=40)
    for words in (
        ("unsafe", unsafe, "the lead is frayed"),
        ("unsafe", both, "the lead is frayed"),
        ("checkin", here, "heavy", "--use", "none"),
        ("machine", "gone", gone, "scrapped"),
    ):
        run(*words, shop=shop.folder, today=later)


def owner_of(run: Run, shop: Shop, machine: str) -> str:
    rows = json.loads(run("machine", "list", "--json", shop=shop.folder).stdout)
    return str(next(row["owner"] for row in rows if row["machine"] == machine))


@pytest.mark.parametrize("many", range(10, 15))
def test_due_board_and_call_sheet_of_a_random_shop_tell_the_same_numbers(
    tmp_path: Path, run: Run, many: int
) -> None:
    shop = make_big_shop(tmp_path / "shop", many, new=many % 3)
    live(run, shop, random.Random(many))
    today = TODAY + timedelta(days=60)
    here = Shop(shop.folder, today)
    with here.book(writing=True) as book:
        plan = shop_calls.plan(book, here)
    wall = board(plan.standings, plan.calls, today=today, shop=SHOP, limits=LIMITS)
    assert wall.tally.lapsed, "of all shops, each has some"
    assert wall.in_the_shop

    stand = asked(run, here, "in-shop", "--json")
    assert [row["machine"] for row in stand] == [each.record.number for each in wall.in_the_shop]

    listed = asked(run, here, "due", "--json")
    numbered = {each.record.number for each in (*wall.attention, *wall.in_the_shop)}
    assert len(listed) == len(numbered)
    assert {row["machine"] for row in listed} == numbered
    every = asked(run, here, "due", "--all", "--json")
    lapsed = asked(run, here, "due", "--lapsed", "--json")
    assert len(every) == len(wall.machines) + len(wall.tally.lapsed)
    assert {row["machine"] for row in lapsed} <= {each.record.number for each in wall.tally.lapsed}

    first, *more = run("due", shop=here.folder, today=today).stderr.splitlines()
    assert first == f"{len(wall.machines)} machines: {summary(wall.machines)}."
    told = numbers(first.partition(": ")[2])
    assert told == {str(state): count for state, count in wall.counts if count}
    by_state = Counter(str(row["state"]) for row in listed)
    assert {state: told[state] for state in by_state if state != "in time"} == {
        state: count for state, count in by_state.items() if state != "in time"
    }
    apart = f"{len(wall.tally.lapsed)} machine"
    assert [line.startswith(apart) for line in more] == [True]
    assert wall.summary.partition("this week. ")[2].startswith(apart)


@pytest.mark.parametrize("many", range(10, 15))
def test_calls_board_and_call_sheet_of_a_random_shop_tell_the_same_numbers(
    tmp_path: Path, run: Run, many: int
) -> None:
    shop = make_big_shop(tmp_path / "shop", many, new=many % 3)
    live(run, shop, random.Random(many))
    # no command has brought the calls in line since: some are left over from earlier days
    today = TODAY + timedelta(days=60)
    here = Shop(shop.folder, today)
    with here.book(writing=True) as book:
        plan = shop_calls.plan(book, here)
        lists = {record.id: here.list_for_owner_of(record) for record in plan.records}
    late = [at for at, _ in enumerate(plan.calls) if at % 3 == 0]
    calls = [
        replace(call, on=today - timedelta(days=at)) if at in late else call
        for at, call in enumerate(plan.calls)
    ]
    for made in (list(plan.calls), calls):
        wall = board(plan.standings, made, today=today, shop=SHOP, limits=LIMITS, weeks=52)
        sheet = call_sheet(made, lists, on=today, shop=SHOP, weeks=52)
        by_day = {day.heading: len(day.calls) for day in sheet.days}
        on_wall = {
            day_words(day.on): day.calls for week in wall.weeks for day in week.days if day.calls
        }
        assert by_day == on_wall
        assert by_day.get(day_words(today), 0) == len(wall.calls_now)
    rows = asked(run, here, "calls", "--json", "--weeks", FEW_WEEKS)
    assert len(rows) == len(plan.calls)
    assert Counter(row["on"] for row in rows) == Counter(str(call.on) for call in plan.calls)


def asked(run: Run, shop: Shop, *words: object) -> list[dict[str, object]]:
    """A list as JSON, on the shop's day."""
    rows: list[dict[str, object]] = json.loads(
        run(*words, shop=shop.folder, today=shop.today).stdout
    )
    return rows
