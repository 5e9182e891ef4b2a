"""What is said of the services ahead: on a terminal, and for other programs."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from oilchart.core.days import OpenDays, Span
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import Point, Work
from oilchart.papers.screen import Screen
from oilchart.papers.tables.schedule import schedule_text
from oilchart.papers.tables.services_ahead import ServiceLine, service_lines
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY, a_machine, a_point
from tests.builders.shop_steps import standing_of
from tests.conftest import Run

POINTS = [
    a_point("lint", every="6 months", work=Work.CLEAN, minutes=Fraction(10)),
    a_point("crank", every="6 months", minutes=Fraction(3)),
    a_point("link", every="6 months", minutes=Fraction(3)),
    a_point(
        "frame",
        every="12 months",
        work=Work.CLEAN,
        minutes=Fraction(45),
        deep=True,
        where="Needle-bar frame, out of the head",
    ),
    a_point(
        "motor",
        every="12 months",
        work=Work.CLEAN,
        minutes=Fraction(20),
        deep=True,
        where="Motor inside",
    ),
]


def reckoning_of(
    *points: Point, served: date = TODAY, open_days: OpenDays | None = None
) -> Reckoning:
    return Reckoning(
        a_machine(*points, served=served), open_days=open_days or OpenDays(), lead_days=14
    )


def text_of(
    *points: Point, columns: int | None = None, colour: bool = False, **machine: Any
) -> str:
    reckoning = reckoning_of(*points, **machine)
    schedule = reckoning.schedule(TODAY)
    screen = Screen(columns=columns, colour=colour)
    return schedule_text(
        schedule, screen, owner=None, services=service_lines(reckoning.services_ahead(schedule))
    )


def test_a_line_counts_each_kind_of_work_and_names_the_deep_work() -> None:
    reckoning = reckoning_of(*POINTS)
    plain: dict[str, Any] = {
        "points": 3,
        "work": "clean 1, oil 2",
        "deep": "",
        "takes": "about 20 min",
        "timing": "",
    }
    all_of_it: dict[str, Any] = {
        "points": 5,
        "work": "clean 3, oil 2",
        "deep": "Needle-bar frame, out of the head; Motor inside",
        "takes": "about 1 h 25 min",
        "timing": "",
    }
    assert service_lines(reckoning.services_ahead(reckoning.schedule(TODAY))) == (
        ServiceLine(on=date(2027, 5, 25), **plain),
        ServiceLine(on=date(2027, 11, 25), **all_of_it),
        ServiceLine(on=date(2028, 5, 25), **plain),
        ServiceLine(on=date(2028, 11, 24), **all_of_it),
    )


def test_a_schedule_ends_with_the_services_ahead() -> None:
    assert text_of(*POINTS).partition("Services ahead")[2].splitlines() == [
        "  Points  Work            Takes             Deep work",
        "2027-05-25           3  clean 1, oil 2  about 20 min",
        "2027-11-25           5  clean 3, oil 2  about 1 h 25 min  Needle-bar frame, out of the "
        "head; Motor inside",
        "2028-05-25           3  clean 1, oil 2  about 20 min",
        "2028-11-24           5  clean 3, oil 2  about 1 h 25 min  Needle-bar frame, out of the "
        "head; Motor inside",
    ]


def test_a_service_on_the_day_agreed_with_the_owner_is_marked() -> None:
    reckoning = reckoning_of(*POINTS)
    schedule = reckoning.schedule(TODAY)
    services = reckoning.services_ahead(schedule)
    lines = service_lines(services, services[1].on)
    assert [line.booked for line in lines] == [False, True, False, False]
    text = schedule_text(
        schedule, Screen(columns=None, colour=False), owner=None, services=lines
    ).partition("Services ahead")[2]
    assert text.splitlines()[:3] == [
        "  Booked  Points  Work            Takes             Deep work",
        "2027-05-25                   3  clean 1, oil 2  about 20 min",
        "2027-11-25      booked       5  clean 3, oil 2  about 1 h 25 min  Needle-bar frame, out "
        "of the head; Motor inside",
    ]


def test_late_services_are_marked_and_deep_work_is_a_column_only_where_there_is_any() -> None:
    three_weeks = OpenDays(closures=(Span(first=date(2026, 12, 1), end=date(2026, 12, 22)),))
    text = (
        text_of(a_point(every="2 weeks"), served=date(2026, 11, 24), open_days=three_weeks)
        .partition("Services ahead")[2]
        .splitlines()
    )
    assert text[:4] == [
        "  Late  Points  Work   Takes",
        "2026-11-30                 1  oil 1  about 5 min",
        "2026-12-22      late       1  oil 1  about 5 min",
        "2027-01-05                 1  oil 1  about 5 min",
    ]
    late = text_of(a_point(every="2 weeks"), served=date(2026, 11, 2), colour=True, columns=100)
    assert "\x1b[31mlate\x1b[0m" in late


def test_a_machine_without_services_ahead_has_no_table_of_them() -> None:
    assert "Services ahead" not in text_of(a_point(every="each service"))


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_nothing_of_the_services_ahead_is_cut_on_a_narrow_screen(width: int) -> None:
    table = text_of(*POINTS, columns=width).partition("Services ahead")[2]
    words = table.split()
    for word in [
        "2027-05-25",
        "2028-11-24",
        "clean",
        "oil",
        "Needle-bar",
        "frame,",
        "Motor",
        "inside",
        "about",
    ]:
        assert word in words
    if width >= 80:
        assert max(map(len, table.splitlines())) <= width


def test_other_programs_get_all_services_with_their_points_and_minutes(
    run: Run, demo_shop: Shop
) -> None:
    told = json.loads(
        run("schedule", "M-009", "--json", "--months", "24", shop=demo_shop.folder).stdout
    )
    standing = standing_of(demo_shop, "M-009")
    minutes = {point["id"]: point["minutes"] for point in told["points"]}
    assert told["services"][0]["on"] == str(standing.schedule.services[0].on)
    assert len(told["services"]) > 12
    assert [(each["on"], len(each["points"])) for each in told["services"]] == [
        (each["on"], each["points"]) for each in told["coming"]["services"]
    ]
    for service in told["services"]:
        assert service["minutes"] == sum(minutes[point] for point in service["points"])
        assert service["late"] is False
    days = [service["on"] for service in told["services"]]
    assert days == sorted(set(days))
    assert days[-1] <= "2028-11-25"
    text = run("schedule", "M-009", shop=demo_shop.folder).stdout.partition("Services ahead")[2]
    assert [line.split()[0] for line in text.splitlines()[1:]] == days


def test_a_machine_in_no_book_has_services_ahead_too(run: Run) -> None:
    line = (
        "schedule",
        "--model",
        "heron-3",
        "--use",
        "5-8 hours a week",
        "--serviced",
        "2026-11-20",
    )
    services = json.loads(run(*line, "--json").stdout)["services"]
    text = run(*line).stdout.partition("Services ahead")[2].splitlines()[1:]
    assert [row.split()[:2] for row in text] == [
        [each["on"], str(len(each["points"]))] for each in services
    ]
    assert len(services) == 3
