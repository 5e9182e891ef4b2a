"""A list may change: work stays with its points under any name, and no machine is worse off for a
point that is new."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from oilchart.core.due.due_dates import WORST_FIRST, State
from oilchart.shop.folder import Shop
from oilchart.sources.packaged import packaged
from tests.builders.old_book import BACK_TO_4, put_back
from tests.builders.shop_steps import the_machine
from tests.conftest import Run

WREN = """
name = "Wren 1"
maker = "Wren"
about = "A small machine of the shop's own."
needle_system = "130/705 H"
needle_flat = "to the back"
has = ["crank"]
source = "practice"

[[point]]
id = "shaft-oil"
where = "Shaft"
work = "oil"
every = "200 hours or 12 months"
keeper = "bench"
with = "machine-oil"
amount = "1 drop"
access = "top"
minutes = 1
source = "practice"

[[point]]
id = "screws-inspect"
where = "Screws"
work = "inspect"
do = "Tighten all"
every = "24 months"
keeper = "bench"
access = "top"
minutes = 2
source = "practice"
"""
LEFT_SHAFT = WREN.replace('id = "shaft-oil"', 'id = "shaft-left-oil"\nwas = ["shaft-oil"]')
RIGHT_SHAFT = """
[[point]]
id = "shaft-right-oil"
was = ["shaft-oil"]
where = "Shaft, right end"
work = "oil"
every = "200 hours or 12 months"
keeper = "bench"
with = "machine-oil"
amount = "1 drop"
access = "top"
minutes = 1
source = "practice"
"""


@pytest.fixture
def wren(fresh_shop: Shop, run: Run) -> Shop:
    """A shop with one machine of a list of its own, served a year ago and found dry."""
    change_list(fresh_shop, WREN)
    for words in (
        ["owner", "add", "Ida Brandvold"],
        ["machine", "add", "Ida", "wren-1"],
        ["use", "M-001", "2 hours a week", "--on", "2025-11-25"],
        ["serviced", "M-001", "--yes", "--on", "2025-11-25"],
        [
            "serviced",
            "M-001",
            "--yes",
            "--on",
            "2026-06-25",
            "--found",
            "shaft-oil=dry",
            "--accept",
        ],
    ):
        done = run(*words, shop=fresh_shop.folder)
        assert done.exit_code == 0, done.output
    return fresh_shop


def change_list(shop: Shop, text: str) -> Path:
    file = shop.folder / "points" / "models" / "wren-1.toml"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")
    return file


def schedule(run: Run, shop: Shop) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(run("schedule", "M-001", "--json", shop=shop.folder).output)
    return told


def point(told: dict[str, Any], point_id: str) -> dict[str, Any]:
    [found] = [each for each in told["points"] if each["id"] == point_id]
    return {key: value for key, value in found.items() if key not in ("id", "where")}


def test_work_findings_and_shorter_intervals_of_an_old_id_are_those_of_its_heir(
    wren: Shop, run: Run
) -> None:
    before = schedule(run, wren)
    assert point(before, "shaft-oil")["shortened"] is not None
    change_list(wren, LEFT_SHAFT)
    after = schedule(run, wren)
    assert point(after, "shaft-left-oil") == point(before, "shaft-oil")
    assert (after["state"], after["due"]) == (before["state"], before["due"])


def test_of_a_point_that_is_split_each_part_has_the_work_of_the_whole(wren: Shop, run: Run) -> None:
    before = schedule(run, wren)
    change_list(wren, LEFT_SHAFT + RIGHT_SHAFT)
    after = schedule(run, wren)
    for part in ("shaft-left-oil", "shaft-right-oil"):
        assert point(after, part) == point(before, "shaft-oil")
    assert (after["state"], after["due"]) == (before["state"], before["due"])


def test_an_id_that_stands_for_a_point_still_is_no_heir_s(wren: Shop, run: Run) -> None:
    before = schedule(run, wren)
    change_list(wren, WREN + RIGHT_SHAFT)
    assert point(schedule(run, wren), "shaft-oil") == point(before, "shaft-oil")


def test_a_service_of_an_older_book_is_not_kept_twice_when_its_shorter_interval_is_accepted(
    wren: Shop, run: Run
) -> None:
    deep = NEW_POINT.replace('"12 months"', '"60 months"\ndeep = true')
    change_list(wren, WREN + deep.replace('"hook"', '"top"'))
    found = ("serviced", "M-001", "--found", "shaft-oil=dry", "--except", "screws-inspect", "--yes")
    assert run(*found, shop=wren.folder).exit_code == 0
    put_back(wren, BACK_TO_4)
    accepted = run(*found, "--accept", shop=wren.folder)
    assert accepted.exit_code == 0, accepted.stderr
    assert len(the_machine(wren, "M-001").services) == 3


NEW_POINT = """
[[point]]
id = "race-screws-inspect"
where = "Screws behind the race"
work = "inspect"
do = "Tighten both"
every = "12 months"
keeper = "bench"
access = "hook"
minutes = 1
source = "practice"
"""


@pytest.mark.parametrize("statements", [(), BACK_TO_4], ids=["today's book", "a book of schema 4"])
def test_a_point_that_is_new_in_a_mechanism_makes_no_machine_of_the_demo_worse_off(
    demo_shop: Shop, run: Run, statements: tuple[str, ...]
) -> None:
    put_back(demo_shop, statements)

    def standing() -> dict[str, str]:
        told = json.loads(run("due", "--all", "--json", shop=demo_shop.folder).stdout)
        return {each["machine"]: each["state"] for each in told}

    before = standing()
    own = demo_shop.folder / "points" / "mechanisms"
    own.mkdir(parents=True, exist_ok=True)
    for file in sorted((packaged("points") / "mechanisms").glob("*-head.toml")):
        text = file.read_text(encoding="utf-8")
        (own / file.name).write_text(text + NEW_POINT, encoding="utf-8")
    after = standing()
    assert len(before) > 12
    assert [
        machine
        for machine in before
        if WORST_FIRST.index(State(after[machine])) < WORST_FIRST.index(State(before[machine]))
    ] == []
