"""Cases in which dates that were reckoned exactly made no sense, told through the command line:
what they were before stands beside what they are."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import Keeper
from oilchart.core.records.machine import Service
from oilchart.shop.folder import Shop
from oilchart.sources.words.reader import read_report
from tests.builders.commands import TESTED
from tests.builders.make import a_machine, a_point
from tests.conftest import Run

SERVED = "2026-01-01"

Line = Callable[..., str]


@pytest.fixture
def on(fresh_shop: Shop, run: Run) -> Line:
    """Run a command of a new shop on a day; it is to do what it is told."""

    def line(day: str, *words: object) -> str:
        result = run(*words, shop=fresh_shop.folder, today=day)
        assert result.exit_code == 0, result.stderr
        return result.stdout

    return line


def the_machine(on: Line, *, served: str | None = SERVED, added: str = "2025-06-02") -> None:
    """Note Ida's straight-stitch machine, served on a day."""
    on(added, "owner", "add", "Ida Brandvold", "--phone", "020 7946 0107")
    on(added, "machine", "add", "Ida", "heron-3")
    if served:
        on(served, "serviced", "M-001", *TESTED)


def due(on: Line, day: str, machine: str = "M-001") -> dict[str, Any]:
    """What `due` says of a machine on a day."""
    rows: list[dict[str, Any]] = json.loads(on(day, "due", "--all", "--json"))
    [row] = [row for row in rows if row["machine"] == machine]
    return row


def first_service(on: Line, day: str) -> dict[str, Any]:
    """The next service that the schedule of the first machine has on a day."""
    planned: list[dict[str, Any]] = json.loads(on(day, "schedule", "M-001", "--json"))["services"]
    return planned[0]


def rung_on(on: Line, day: str) -> list[str]:
    """The owners who are to be rung on a day, as the call sheet has them."""
    return [row["owner"] for row in json.loads(on(day, "calls", "--json")) if row["on"] == day]


@pytest.mark.parametrize(
    ("outcome", "released"),
    # the second is told when to ring again, the first after half a year
    [(("declined",), "2027-01-06"), (("later", "2026-10-12"), "2026-10-12")],
)
def test_owners_who_cannot_come_hold_no_place_before_others(
    on: Line, fresh_shop: Shop, outcome: tuple[str, ...], released: str
) -> None:
    # three machines overdue, one service a week. Before: the third was planned two weeks and more
    # ahead whenever one asked, and so was rung in no week: on 13, 20 or 27 July, never today
    settings = fresh_shop.folder / "shop.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8").replace(
            "# services_a_week = 10 ", "services_a_week = 1 "
        ),
        encoding="utf-8",
    )
    names = ("Ida Brandvold", "Bo Tarrowby", "Runa Selkirk")
    for name in names:
        on("2024-06-03", "owner", "add", name, "--phone", "020 7946 0107")
        on("2024-06-03", "machine", "add", name, "heron-3")
    for number, served in enumerate(("2025-01-02", "2025-01-03", "2025-07-10"), 1):
        on(served, "serviced", f"M-00{number}", *TESTED)
    for name in names[:2]:
        on("2026-07-06", "called", name, *outcome)
    assert rung_on(on, "2026-07-06") == ["Runa Selkirk"]
    assert set(names[:2]) <= set(rung_on(on, released))


def test_two_readings_over_a_stay_are_no_rest(on: Line) -> None:
    # 20 hours a week. Before: "no sewing" from the second reading on, next service 2027-03-10
    the_machine(on)
    on("2026-01-02", "use", "M-001", "20 hours a week")
    on("2026-03-01", "checkin", "M-001", "stiff", "--use", "meter 570 hours")
    on("2026-03-11", "use", "M-001", "meter 570 hours")
    on("2026-03-11", "ready", "M-001", "--nothing-done")
    on("2026-03-11", "collected", "M-001")
    # ten days later than 12 March, on which 200 hours were over
    assert due(on, "2026-03-12")["due"]["likely"] == "2026-03-22"


def test_two_readings_a_day_apart_are_not_the_use_of_every_week(on: Line) -> None:
    # 400, 460 and 464 hours. Before: 28 hours a week from June on, and overdue in July
    the_machine(on)
    for day, hours in (("2026-01-01", 400), ("2026-06-01", 460), ("2026-06-02", 464)):
        on(day, "use", "M-001", f"meter {hours} hours")
    assert due(on, "2026-06-02")["due"]["likely"] == "2027-01-01"


def test_that_nothing_was_sewn_says_nothing_of_what_is_to_come(on: Line) -> None:
    # 5 hours a week. Before: no use from May on, next service 2027-11-24, oil each 3 months
    the_machine(on, served="2026-05-01")
    on("2026-05-01", "use", "M-001", "5 hours a week")
    assert "And from now on?" in on("2026-11-20", "use", "M-001", "nothing since May")
    on("2026-11-20", "checkin", "M-001", "stuck")
    on("2026-11-24", "serviced", "M-001", "--freed", *TESTED)
    on("2026-11-24", "collected", "M-001")
    # 200 hours of 5 a week
    assert due(on, "2026-11-25")["due"]["likely"] == "2027-08-31"


@pytest.mark.parametrize(
    ("use", "words", "before", "after"),
    [
        # Before: overdue by 92 days at once. 273 of 365 days are spent, 0.252 of 181 days are left
        (
            "1 hour a week",
            ("machine", "edit", "M-001", "--condition", "damp"),
            "2027-01-01",
            "2026-11-15",
        ),
        # Before: overdue by 98 days at once. 77 days are left of the hours, and half of them last
        ("4 hours a week", ("use", "M-001", "flat out"), "2026-12-17", "2026-11-08"),
    ],
)
def test_what_is_noted_today_acts_from_today(
    on: Line, use: str, words: tuple[str, ...], before: str, after: str
) -> None:
    the_machine(on)
    on(SERVED, "use", "M-001", use)
    assert due(on, "2026-10-01")["due"]["likely"] == before
    on("2026-10-01", *words)
    row = due(on, "2026-10-01")
    assert (row["state"], row["due"]["likely"]) == ("in time", after)


def test_the_first_to_be_rung_is_who_has_waited_longest(on: Line, fresh_shop: Shop) -> None:
    # one call a day; the higher their number, the longer overdue. Before: by number, the last first
    settings = fresh_shop.folder / "shop.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8").replace("# calls_a_day = 6 ", "calls_a_day = 1 "),
        encoding="utf-8",
    )
    names = ("Ida Brandvold", "Bo Tarrowby", "Runa Selkirk", "Oda Fenn")
    for name in names:
        on("2024-06-03", "owner", "add", name, "--phone", "020 7946 0107")
        on("2024-06-03", "machine", "add", name, "heron-3")
    for number, served in enumerate(("2025-07-01", "2025-05-13", "2025-02-26", "2024-12-13"), 1):
        on(served, "serviced", f"M-00{number}", *TESTED)
    calls = json.loads(on("2026-07-06", "calls", "--json"))
    assert [(row["on"], row["owner"]) for row in calls] == list(
        zip(("2026-07-06", "2026-07-07", "2026-07-08", "2026-07-09"), reversed(names), strict=True)
    )


def test_a_total_of_a_day_is_asked_about(on: Line) -> None:
    # Before: taken as 42 hours a week without a word
    the_machine(on, served="2026-06-01")
    told = on("2026-11-25", "use", "M-001", "6 hours since 2026-11-24")
    assert "That is 42 hours a week: is it always so?" in told
    on("2026-11-25", "use", "M-001", "2 hours a week", "--on", "2026-11-24")
    assert due(on, "2026-11-25")["state"] == "in time"


def test_what_seizes_is_served_by_a_careful_day_and_the_list_says_the_same(on: Line) -> None:
    # 5 to 8 hours a week. Before: rung on 2026-06-11 for the earliest day, 25 June, and `due` said
    # "in time" until then, "maybe overdue" and late from the day after
    the_machine(on)
    on(SERVED, "use", "M-001", "5-8 hours a week")
    window = {
        "earliest": "2026-06-25",
        "careful": "2026-07-16",
        "likely": "2026-08-10",
        "latest": "2026-10-08",
    }
    for day, state, service, late in (
        ("2026-07-01", "in time", "2026-07-16", False),
        ("2026-07-02", "due soon", "2026-07-16", False),
        ("2026-07-16", "due soon", "2026-07-16", False),
        # past the day it is wanted by, not past its likely one: now is the time
        ("2026-07-17", "maybe overdue", "2026-07-17", False),
        ("2026-08-11", "likely overdue", "2026-08-11", True),
    ):
        row, planned = due(on, day), first_service(on, day)
        assert (row["due"], row["wanted_by"]) == (window, "2026-07-16")
        assert (day, row["state"]) == (day, state)
        assert (planned["on"], planned["late"]) == (service, late)
    assert rung_on(on, "2026-07-02") == ["Ida Brandvold"]
    assert "now is the time" in " ".join(on("2026-07-17", "schedule", "M-001").split())


def test_a_low_end_of_0_is_no_exception(on: Line) -> None:
    # Before: 0 to 8 hours were likely 4, due 2026-08-25; 0.1 to 8 were likely 0.89, due 2027-01-01
    the_machine(on)
    told = {}
    for low in ("0", "0.1", "0.5", "0.8"):
        heard = on(SERVED, "use", "M-001", f"{low}-8 hours a week", "--on", SERVED)
        assert ("to which is it nearer?" in heard) == (low != "0.8")
        row = due(on, "2026-08-01")
        told[low] = (row["wanted_by"], row["due"]["likely"], row["chance"])
    assert set(told.values()) == {("2026-11-08", "2027-01-01", 0.14)}
    # 0 to 12 hours: no more impossible on one day and sure on the day after its likely one
    chances = {}
    for low in ("0", "0.1"):
        on(SERVED, "use", "M-001", f"{low}-12 hours a week", "--on", SERVED)
        chances[low] = [due(on, day)["chance"] for day in ("2026-07-01", "2026-10-01")]
    assert chances["0"] == chances["0.1"]
    assert all(0.1 < chance < 0.9 for chance in chances["0"])


def test_about_is_wider_than_a_number_that_was_counted(on: Line) -> None:
    # Before: on 22 August due soon, unlikely; on 23 August overdue, sure, with "about" as without
    the_machine(on)
    on(SERVED, "use", "M-001", "about 6 hours a week")
    window = due(on, "2026-08-01")["due"]
    assert window == {
        "earliest": "2026-07-06",
        "careful": "2026-07-28",
        "likely": "2026-08-22",
        "latest": "2026-10-19",
    }
    on(SERVED, "use", "M-001", "6 hours a week", "--on", SERVED)
    assert set(due(on, "2026-08-01")["due"].values()) == {"2026-08-22"}


@pytest.mark.parametrize(
    ("words", "heard"),
    [
        # Before: 100.8 hours in a year, and 3.4
        ("200 hours a year; idle Jan-Jun", "That is 7.61 hours a week"),
        ("40 hours a year; idle Jan-Nov", "That is 9.03 hours a week"),
        # Before: "5 hours a week", and neither of the two
        ("5 hours a week; busy Oct-Dec x2", "4 hours a week, 8 from October to December"),
    ],
)
def test_hours_a_year_contain_its_rests_and_both_rates_of_a_season_are_said(
    on: Line, words: str, heard: str
) -> None:
    the_machine(on)
    assert heard in on(SERVED, "use", "M-001", words)


@pytest.mark.parametrize("words", ["none", "2 hours a year"])
def test_a_machine_that_hardly_runs_is_oiled_after_a_rest(on: Line, words: str) -> None:
    # Before: 58 occasions a year, a new needle every 3 months
    the_machine(on)
    on(SERVED, "use", "M-001", words)
    points = json.loads(on("2026-01-02", "schedule", "M-001", "--json"))["points"]
    rhythms = {point["id"]: point["rhythm"] for point in points if point["keeper"] == "owner"}
    after_rest = {point for point, each in rhythms.items() if "after a rest of 3 months" in each}
    assert {"needle-change", "hook-race-oil", "needle-bar-oil", "feed-teeth-lint"} <= after_rest
    assert set(rhythms) - after_rest == {"hook-lint", "outside-wipe", "cords-look"}
    # limits at rest stay for the bench
    assert due(on, "2026-01-02")["due"]["likely"] == "2027-01-01"


def test_a_machine_never_served_is_wanted_the_lead_after_it_came_and_waits_since_then(
    on: Line,
) -> None:
    # Before: due today on each day for ever, before all that is due tomorrow; its call moved along
    the_machine(on, served=None, added="2026-06-10")
    assert due(on, "2026-06-12")["wanted_by"] == "2026-06-24"
    for day in ("2026-06-24", "2026-07-13", "2026-07-14"):
        assert due(on, day)["wanted_by"] == "2026-06-24"
        [call] = json.loads(on(day, "calls", "--json"))
        assert (call["on"], call["waits_since"]) == (day, "2026-06-10")
    assert "waiting since" in " ".join(on("2026-07-14", "calls").split())


def test_an_owners_point_has_the_rhythm_of_the_step_that_runs_now() -> None:
    # 2 hours first, then 50, at 3 hours a week. Before and now: each sewing day, until the first
    # step is done, though the longer one holds for most of the year. Too often does no harm, and a
    # card is printed anew after each service
    served = date(2026, 1, 1)
    steps = "2 hours or 3 months, then 50 hours or 6 months"
    point = a_point("hook-oil", keeper=Keeper.OWNER, every=steps)
    reports = (read_report("3 hours a week", served),)

    def rhythm(*days: date) -> str | None:
        services = tuple(Service(on=day, done=frozenset({point.id})) for day in days)
        machine = replace(a_machine(point), services=services, reports=reports)
        reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)
        [plan] = reckoning.schedule(days[-1]).points
        return plan.rhythm

    assert rhythm(served) == "each sewing day"
    assert rhythm(served, date(2026, 1, 5)) == "3 months"
