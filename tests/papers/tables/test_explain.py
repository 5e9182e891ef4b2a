"""`schedule --explain` prints a reckoning that can be redone on paper; `--months` lists what comes
up."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import Runs
from oilchart.core.records.machine import Machine
from oilchart.papers.tables.explain import explanation
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY, a_machine, a_point
from tests.builders.present import the
from tests.builders.shop_steps import all_standings
from tests.conftest import Run

STRETCH = re.compile(r"  (\S+) to (\S+): (\d+) days? x (\S+) h = (\S+) h, together (\S+) h")
DUE = re.compile(r"due by use (\S+)$")


def explained(machine: Machine, point: str = "hook", as_of: date = TODAY) -> list[str]:
    reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)
    return explanation(reckoning.schedule(as_of), reckoning, point, way_back="")


def of(
    every: str, use: str | None, served: date | None = date(2026, 3, 2), **point: Any
) -> list[str]:
    return explained(
        a_machine(a_point(every=every, **point), use=use, said=date(2026, 3, 2), served=served)
    )


@pytest.mark.parametrize(
    ("every", "use"),
    [
        ("8-10 hours or 3 months", "5-8 hours a week"),
        ("4 needle hours or 3 months", "5-8 hours a week"),
        ("500000 stitches or 4 years", "5-8 hours a week"),
        ("120 hours or 4 years", "7 hours a week; idle Jul-Aug"),
        ("300 hours or 4 years", "5-8 hours a week; busy Oct-Dec x2"),
        ("40 hours or 2 years", "20 hours since 2026-01-01"),
    ],
)
def test_the_printed_stretches_add_up_to_the_printed_due_dates(every: str, use: str) -> None:
    lines = of(every, use)
    cases = [at for at, line in enumerate(lines) if line.startswith("At ")]
    assert len(cases) == 4
    limit = Fraction(the(re.search(r"within (\S+) h", "\n".join(lines)), "limit")[1])
    for start, end in zip(cases, [*cases[1:], len(lines)], strict=True):
        stretches = [found.groups() for line in lines[start:end] if (found := STRETCH.match(line))]
        total = Fraction(0)
        for first, last, days, hours, product, together in stretches:
            assert (date.fromisoformat(last) - date.fromisoformat(first)).days + 1 == int(days)
            total += int(days) * Fraction(hours)
            assert abs(int(days) * Fraction(hours) - Fraction(product)) < Fraction(3, 100)
            assert abs(total - Fraction(together)) < Fraction(5, 100)
        due = date.fromisoformat(
            next(found[1] for line in lines[start:end] if (found := DUE.search(line)))
        )
        assert date.fromisoformat(stretches[-1][1]) == due
        assert total > limit - Fraction(5, 100)
        assert total - Fraction(stretches[-1][3]) <= limit + Fraction(5, 100)


def test_every_operation_from_the_books_limit_is_shown() -> None:
    assert (
        "Limit of use: 4 needle hours.\n  / 25 % needle time = 16 hours at the machine"
        in "\n".join(of("4 needle hours or 3 months", None))
    )
    stitches = "\n".join(of("500000 stitches or 2 years", None))
    # 500,000 / 48,000 an hour = 10.42 needle hours; / 0.25 = 41.67
    assert (
        "  / 48000 stitches an hour = 10.42 needle hours\n  / 25 % needle time = 41.67 hours at "
        "the machine" in stitches
    )
    zigzag = "\n".join(of("9 hours or 3 months", "6 hours a week", runs=Runs.ZIGZAG))
    assert (
        "Limit of use: 9 hours.\n  / 0.3 (runs in zigzag only) = 30 hours at the machine" in zigzag
    )
    assert "Limit at rest: 3 months: 2026-06-02." in zigzag


def test_what_has_no_dates_says_why() -> None:
    assert (
        of("each bobbin", "6 hours a week")[-1] == "An occasion, each bobbin: it has no due date."
    )
    assert "Last done: never; the first service does it." in of("12 months", None, served=None)
    assert any("only the limits at rest count" in line for line in of("8 hours or 3 months", None))
    never = of("8 hours or 3 months", "none")
    assert "  the limit of 8 h is never passed" in never


def test_the_rhythm_is_explained_by_the_fullest_stretch() -> None:
    lines = explained(
        a_machine(
            a_point(every="8 hours or 3 months", keeper="owner"), use="7 hours a week", served=TODAY
        )
    )
    assert lines[-1] == (
        "Rhythm on the card, of at most three for all points: week: 7 h in the fullest 7 days of "
        "the coming year, within 8 h."
    )


def test_an_unknown_point_names_the_nearest(run: Run, demo_shop: Shop) -> None:
    result = run("schedule", "M-001", "--explain", "hook-race-oi", shop=demo_shop.folder)
    assert result.exit_code == 1
    assert "Heron 3 has no such point; did you mean hook-race-oil" in result.stderr


def test_every_point_of_every_demo_machine_can_be_explained(demo_shop: Shop) -> None:
    for standing in all_standings(demo_shop):
        for plan in standing.schedule.points:
            lines = explanation(standing.schedule, standing.reckoning, plan.point.id, way_back="")
            assert lines[0].startswith(plan.point.where)
            if plan.due is not None and plan.due.likely is not None:
                assert any(str(plan.due.likely) in line for line in lines)


def test_a_hook_oiled_every_4_needle_hours_has_6_occasions_in_25_needle_hours() -> None:
    # 25 needle hours are 100 hours at the machine, 100 days at an hour a day; every 16th day
    machine = a_machine(
        a_point(every="4 needle hours or 3 months", keeper="owner"),
        use="1 hours a day",
        said=TODAY,
        served=TODAY,
    )
    reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)
    days = [on for on, _ in reckoning.occasions(TODAY, TODAY + timedelta(days=100))]
    assert days == [TODAY + timedelta(days=16 * times) for times in range(1, 7)]


def test_run_in_oil_changes_come_after_a_week_then_4_weeks_then_every_3_months() -> None:
    # Steps as in a maker's manual for a head that oils itself (industrial lockstitch, above 4,000
    # stitches a minute, section 24)
    machine = a_machine(
        a_point(every="1 week, then 4 weeks, then 3 months"), served=date(2026, 3, 2)
    )
    reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)
    days = [on for on, _ in reckoning.occasions(date(2026, 3, 2), date(2026, 12, 31))]
    assert days == [date(2026, 3, 9), date(2026, 4, 6), date(2026, 7, 6), date(2026, 10, 6)]


def test_months_lists_services_calls_and_occasions(run: Run, demo_shop: Shop) -> None:
    shop = demo_shop.folder
    told = json.loads(run("schedule", "M-009", "--months", "12", "--json", shop=shop).stdout)[
        "coming"
    ]
    assert told["until"] == "2027-11-25"
    # its owner's other machine is wanted today: one visit and one call serve both
    assert told["services"][0]["on"] == "2026-11-25"
    assert len(told["services"]) > 6
    assert told["calls"] == ["2026-11-25"]
    points = {
        point["id"]: point["keeper"]
        for point in json.loads(run("schedule", "M-009", "--json", shop=shop).stdout)["points"]
    }
    assert {points[occasion["point"]] for occasion in told["occasions"]} == {"owner"}
    text = run("schedule", "M-009", "--months", "2", shop=shop).stdout
    assert "service 25 Nov 2026" in text
    assert "call 25 Nov 2026" in text


@pytest.mark.parametrize("option", [["--json"], ["--months", "3"]])
def test_an_explanation_is_words_alone(run: Run, demo_shop: Shop, option: list[str]) -> None:
    result = run("schedule", "M-001", "--explain", "hook-race-oil", *option, shop=demo_shop.folder)
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize("machine", ["M-018", "M-017", "M-008"])
def test_months_are_listed_for_the_never_served_the_unreported_and_those_at_rest(
    run: Run, demo_shop: Shop, machine: str
) -> None:
    result = run("schedule", machine, "--months", "24", shop=demo_shop.folder)
    assert result.exit_code == 0
    assert "service " in result.stdout


def test_a_condition_noted_since_the_work_is_told_with_its_day(run: Run, demo_shop: Shop) -> None:
    shop = demo_shop.folder
    point = ("schedule", "M-006", "--explain", "needle-bar-frame-oil")
    assert "Its limits are so since" not in run(*point, shop=shop).stdout
    run("machine", "edit", "M-006", "--condition", "damp", shop=shop)
    told = run(*point, shop=shop).stdout
    assert (
        "Its limits are so since 25 Nov 2026; each day before used up its share of those of then."
        in told
    )
    # damp shortens no limit of use: the stretches of use are not cut on that day
    assert "2026-09-01 to 2027-04-12" in told
    # fast work does: what is spent is told in shares of the limits
    run("machine", "edit", "M-006", "--condition", "fast-work", shop=shop)
    told = run(*point, shop=shop).stdout
    assert "At high use, the limit by how it was worked:" in told
    assert (
        "2026-09-01 to 2026-11-24: 85 days x 0.5714 h = 48.57 h of 200 h, together 60.57 % of it"
        in told
    )
