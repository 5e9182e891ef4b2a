"""The large book drawn by chance is one that a shop can have."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from typing import Any

import pytest

from oilchart.shop.folder import BOOK_FILE, Shop
from tests.builders.big_book import make_big_shop
from tests.conftest import Run

MACHINES = 300


@pytest.fixture(scope="module")
def big_shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    return make_big_shop(tmp_path_factory.mktemp("big") / "shop", MACHINES, new=2)


def rows(shop: Shop, question: str) -> list[tuple[Any, ...]]:
    """What the book's file itself answers."""
    with contextlib.closing(sqlite3.connect(shop.folder / BOOK_FILE)) as file:
        return file.execute(question).fetchall()


def many(shop: Shop, table: str) -> int:
    [(count,)] = rows(shop, f'SELECT count(*) FROM "{table}"')
    return int(count)


def test_each_kind_of_row_is_drawn_and_each_row_belongs_to_one_that_is_there(
    big_shop: Shop,
) -> None:
    for table in ("report", "service", "call", "call_service", "outcome", "booking", "shortened"):
        assert many(big_shop, table) > 0, table
    assert rows(big_shop, "PRAGMA foreign_key_check") == []


def test_each_open_call_is_for_a_machine_of_its_owner(big_shop: Shop) -> None:
    wrong = """
        SELECT call.id FROM call
        LEFT JOIN call_service ON call_service.call_id = call.id
        LEFT JOIN machine ON machine.id = call_service.machine_id
        WHERE machine.owner_id IS NOT call.owner_id
    """
    assert rows(big_shop, wrong) == []
    twice = "SELECT machine_id FROM call_service GROUP BY machine_id HAVING count(*) > 1"
    assert rows(big_shop, twice) == []


@pytest.mark.parametrize(
    "wrong",
    [
        # whoever asked to be left alone, and a machine with a day agreed or in the shop, has no
        # open call
        """SELECT call.id FROM call JOIN owner ON owner.id = call.owner_id
           WHERE owner.left_alone_on IS NOT NULL""",
        "SELECT call_id FROM call_service JOIN booking USING (machine_id)",
        "SELECT call_id FROM call_service JOIN job USING (machine_id) WHERE out_on IS NULL",
        # nothing was done to a machine before it came into the book
        """SELECT machine.id FROM machine JOIN service ON service.machine_id = machine.id
           WHERE done_on < added_on""",
        "SELECT machine.id FROM machine JOIN job ON machine_id = machine.id WHERE in_on < added_on",
        """SELECT machine.id FROM machine JOIN report ON machine_id = machine.id
           WHERE said_on < added_on""",
        # a service ends the calls and the agreed days before it
        """SELECT call.id FROM call JOIN call_service ON call_id = call.id
           JOIN service USING (machine_id) WHERE done_on > made_on""",
        "SELECT booking.id FROM booking JOIN service USING (machine_id) WHERE done_on > made_on",
        "SELECT id FROM booking WHERE booked_for <= made_on",
    ],
)
def test_nothing_stands_in_it_that_excludes_another_thing(big_shop: Shop, wrong: str) -> None:
    assert rows(big_shop, wrong) == []


def test_each_shorter_interval_was_accepted_for_what_was_found_on_that_day(big_shop: Shop) -> None:
    found = """
        SELECT shortened.point_id FROM shortened
        JOIN service ON service.machine_id = shortened.machine_id AND service.done_on = found_on
        JOIN service_point ON service_id = service.id
            AND service_point.point_id = shortened.point_id
            AND service_point.found = shortened.found AND done = 1
    """
    assert len(rows(big_shop, found)) == many(big_shop, "shortened")


def test_the_machines_that_are_due_and_the_calls_are_listed(big_shop: Shop, run: Run) -> None:
    listed = json.loads(run("due", "--all", "--json", shop=big_shop.folder).stdout)
    assert len(listed) == MACHINES + 2
    answer = run("calls", "--json", shop=big_shop.folder)
    assert answer.exit_code == 0
    calls = json.loads(answer.stdout)
    assert calls
    assert all(call["machines"] for call in calls)
