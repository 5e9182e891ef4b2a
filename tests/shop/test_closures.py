"""Days on which the shop is shut by its own calendar hold for every machine, in the book or in
none, until they are taken back."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest

from oilchart.shop.folder import Shop
from oilchart.sources.book.closures import Closure
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, record_service, record_use
from tests.conftest import Run

WINTER = Closure(uid="away", first=TODAY + timedelta(days=1), last=date(2027, 2, 28), why="away")
USE, SERVED = "3-5 hours a week", date(2026, 4, 1)
OF_NO_BOOK = ("--model", "heron-3", "--use", USE, "--serviced", SERVED)


def shut(shop: Shop, *closures: Closure) -> None:
    """Shut the shop on these days, and on none after today besides."""
    with shop.book(writing=True) as book:
        book.closures.replace(closures, since=shop.today)


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """A shop that is shut all winter, with one machine."""
    add_owner(fresh_shop, name="Ida")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    record_use(fresh_shop, "M-001", USE, TODAY)
    record_service(fresh_shop, "M-001", SERVED)
    shut(fresh_shop, WINTER)
    return fresh_shop


def test_a_machine_in_no_book_is_planned_around_them_as_one_in_the_book_is(
    shop: Shop, run: Run
) -> None:
    of_book, of_none = (
        json.loads(run("schedule", *words, "--json", shop=shop.folder).stdout)
        for words in (("M-001",), OF_NO_BOOK)
    )
    assert of_none["services"] == of_book["services"]
    assert of_none["call"]["on"] == of_book["call"]["on"]
    days = [date.fromisoformat(service["on"]) for service in of_none["services"]]
    assert days[0] == TODAY  # the last open day before its machine would be late
    assert not [day for day in days if WINTER.first <= day <= WINTER.last]


def test_so_it_is_on_its_card(shop: Shop, run: Run) -> None:
    around = run("card", *OF_NO_BOOK, "-o", "-", shop=shop.folder).stdout_bytes
    shut(shop)
    assert run("card", *OF_NO_BOOK, "-o", "-", shop=shop.folder).stdout_bytes != around


def test_one_that_ends_today_can_be_taken_back_and_one_that_went_by_stays(
    fresh_shop: Shop,
) -> None:
    yesterday = TODAY - timedelta(days=1)
    shut(
        fresh_shop,
        Closure(uid="ends today", first=TODAY, last=TODAY, why=""),
        Closure(uid="went by", first=yesterday, last=yesterday, why=""),
    )
    assert not fresh_shop.settings().limits.open_days.is_open(TODAY)
    shut(fresh_shop)
    assert fresh_shop.settings().limits.open_days.is_open(TODAY)
    assert not fresh_shop.settings().limits.open_days.is_open(yesterday)
