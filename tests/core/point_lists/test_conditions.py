"""What conditions leave of an interval: the smallest factor acts, within floors, and a condition
never lengthens."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import Window
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.conditions import Condition, acting
from oilchart.core.point_lists.interval import Factors, Step, allowance
from oilchart.core.point_lists.point_list import Work
from oilchart.core.records.habits import WorkedUnder
from oilchart.core.records.machine import Machine
from oilchart.core.units import HOUR, Speed
from oilchart.errors import FaultyList
from oilchart.shop.folder import Shop
from oilchart.shop.habits import with_habits
from oilchart.sources.packaged import packaged
from oilchart.sources.points.checks import list_faults
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.words.reader import read_report
from tests.builders.make import TODAY, a_machine, a_point
from tests.builders.present import earliest, latest, likely, the
from tests.conftest import Run
from tests.counts import counted

KNOWN = PointLibrary([packaged("points")]).conditions()
SERVED = date(2026, 3, 2)
FOG = '[fog]\nname = "fog"\nabout = "x"\nsource = "practice"\n'


def a_condition(use: str, time: str = "1", work: Work = Work.OIL, name: str = "dust") -> Condition:
    return Condition(
        id=name,
        name=name,
        about="",
        factors={work: Factors(use=Fraction(use), time=Fraction(time))},
    )


def due_under(
    *conditions: Condition, every: str = "40 hours or 2 years", use: str = "5-8 hours a week"
) -> Window:
    machine = a_machine(a_point(every=every), use=use, said=SERVED, served=SERVED)
    reckoning = Reckoning(with_conditions(machine, *conditions), open_days=OpenDays(), lead_days=14)
    return the(reckoning.schedule(TODAY).points[0].due, "window")


def with_conditions(machine: Machine, *conditions: Condition) -> Machine:
    known = KNOWN | {condition.id: condition for condition in conditions}
    worked_under = [WorkedUnder(condition=condition.id) for condition in conditions]
    return with_habits(machine, worked_under, known)


@pytest.mark.parametrize(
    ("factors", "work", "use"),
    [
        # the smallest acts, not the product
        ([], Work.OIL, "1"),
        (["0.7"], Work.OIL, "0.7"),
        (["0.7", "0.7"], Work.OIL, "0.7"),
        (["0.7", "0.5"], Work.OIL, "0.5"),
        # floors: half for oil and grease, a quarter for the rest
        (["0.1"], Work.OIL, "0.5"),
        (["0.1"], Work.GREASE, "0.5"),
        (["0.1"], Work.CLEAN, "0.25"),
        (["0.3"], Work.INSPECT, "0.3"),
    ],
)
def test_the_smallest_factor_acts_within_its_floor(
    factors: list[str], work: Work, use: str
) -> None:
    found = acting([a_condition(factor, work=work) for factor in factors], work)
    assert found.factors == Factors(use=Fraction(use))


def test_a_condition_leaves_other_kinds_of_work_alone() -> None:
    assert acting([a_condition("0.5", work=Work.CLEAN)], Work.OIL).factors == Factors()


def test_severe_service_halves_the_interval_as_in_a_published_table() -> None:
    # Washer-extractor maintenance manual 72044 WP2, with the motor greasing tables of motor manual
    # MN408 p. 3-2: 286T frame, 1,750 rpm,
    # severe service: 9,500 h x 0.5 = 4,750 h
    allowed = allowance(
        Step(limit=Fraction(9_500)),
        speed=Speed(),
        share=Fraction(1),
        factors=acting([a_condition("0.5")], Work.OIL).factors,
    )
    assert allowed.use == 4_750 * HOUR


factors = st.integers(1, 100).map(lambda n: f"{n / 100}")


@counted
@given(factors, factors, st.integers(1, 300), st.integers(1, 24))
def test_a_condition_never_moves_a_date_later(use: str, time: str, hours: int, months: int) -> None:
    every = f"{hours} hours or {months} months"
    under, without = due_under(a_condition(use, time), every=every), due_under(every=every)
    assert earliest(under) <= earliest(without)
    assert likely(under) <= likely(without)
    assert latest(under) <= latest(without)


@counted
@given(factors, factors, st.integers(1, 36))
def test_a_larger_factor_never_moves_a_limit_at_rest_earlier(
    one: str, other: str, months: int
) -> None:
    small, large = sorted((one, other), key=Fraction)
    every = f"{months} months"
    assert likely(due_under(a_condition("1", small), every=every)) <= likely(
        due_under(a_condition("1", large), every=every)
    )


def test_flat_out_and_never_oils_it_are_conditions_until_said_otherwise() -> None:
    def ids(*words: str) -> list[str]:
        reports = tuple(read_report(each, TODAY) for each in words)
        machine = with_habits(
            Machine(point_list=a_machine(a_point()).point_list, reports=reports), [], KNOWN
        )
        return [condition.id for condition in machine.conditions]

    assert ids("flat out") == ["fast-work"]
    assert ids("never oils it", "6 hours a week") == ["not-oiled-at-home"]
    assert ids("flat out; never oils it", "normal speed", "oils it") == []
    assert ids("sometimes oils it", "slow") == []


def test_the_shipped_conditions_all_shorten_and_none_is_below_the_floors() -> None:
    assert set(KNOWN) == {
        "lint",
        "dust",
        "damp",
        "heat",
        "cold-room",
        "fast-work",
        "not-oiled-at-home",
    }
    for condition in KNOWN.values():
        for work, each in condition.factors.items():
            assert min(each.use, each.time) < 1
            assert acting([condition], work).factors == each


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (FOG + 'oil = { use = 1.5, time = 1.0 }', "use: is above 1; a condition never lengthens"),
        ('[fog]\nname = "fog"\nabout = "x"\noil = { use = 0.5, time = 1.0 }', "source: is missing"),
        (FOG, "clean, inspect, replace, oil, grease, adjust: is missing"),
        (FOG + 'oil = { use = 0.5 }', "oil: time: is missing"),
        (FOG + 'oile = { use = 0.5, time = 1 }', "oile: is not a known key; did you mean oil?"),
    ],
)  # fmt: skip
def test_faults_of_conditions_are_told(tmp_path: Path, text: str, fault: str) -> None:
    (tmp_path / "conditions.toml").write_text(text, encoding="utf-8")
    library = PointLibrary([packaged("points"), tmp_path])
    assert any(fault in each and 'condition "fog"' in each for each in list_faults(library))
    with pytest.raises(FaultyList):
        library.conditions()


def test_a_machine_is_given_conditions_and_its_dates_follow_with_the_arithmetic_shown(
    run: Run, demo_shop: Shop
) -> None:
    shop = demo_shop.folder

    def due(machine: str) -> dict[str, str]:
        found: dict[str, str] = json.loads(run("schedule", machine, "--json", shop=shop).stdout)[
            "due"
        ]
        return found

    overdue, in_time = due("M-001"), due("M-006")
    assert run(
        "machine", "edit", "M-001", "--condition", "fast-work", "--condition", "lint", shop=shop
    ).stdout == ("M-001 Heron 3, Ida Brandvold, works under: fast-work, lint\n")
    after = json.loads(run("schedule", "M-001", "--json", shop=shop).stdout)
    assert after["conditions"] == ["fast-work", "lint"]
    points = {point["id"]: point for point in after["points"]}
    assert (points["hook-race-oil"]["factor"], points["hook-race-oil"]["factor_time"]) == (0.5, 1.0)
    assert points["top-left-oil"]["every_hours"] == 10
    # it acts from today on: nothing is overdue by it that was not, and what is in time comes sooner
    assert after["due"] == overdue
    run("machine", "edit", "M-006", "--condition", "damp", shop=shop)
    assert str(TODAY) < due("M-006")["likely"] < in_time["likely"]
    assert (
        "8-10 hours or 3 months; 10 h x 0.5 (fast work) = 5 h"
        in run("schedule", "M-001", shop=shop).stdout
    )
    assert run("machine", "edit", "M-001", "--without", "fast-work", shop=shop).stdout.endswith(
        "works under: lint\n"
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["machine", "edit", "M-001", "--condition", "lnt"],
            'M-001: condition "lnt": there is no such condition; did you mean lint?',
        ),
        (
            ["machine", "edit", "M-001", "--without", "damp"],
            'M-001: condition "damp": it does not work under it',
        ),
        (
            ["schedule", "--model", "heron-3", "--condition", "dampp"],
            'condition "dampp": there is no such condition; did you mean damp?',
        ),
    ],
)
def test_an_unknown_condition_names_the_nearest(
    run: Run, demo_shop: Shop, words: list[str], said: str
) -> None:
    result = run(*words, shop=demo_shop.folder)
    assert (result.exit_code, result.stderr) == (1, f"oilchart: {said}\n")


def test_a_machine_in_no_book_may_have_conditions(run: Run) -> None:
    told = json.loads(
        run(
            "schedule",
            "--model",
            "heron-3",
            "--condition",
            "damp",
            "--serviced",
            "2026-11-20",
            "--json",
        ).stdout
    )
    # oil holes: 12 months x 0.7 = 8.4 months: 8 months and floor(28 x 0.4) = 11 days after 20
    # November 2026
    assert (
        next(p for p in told["points"] if p["id"] == "oil-holes-flush")["due"]["likely"]
        == "2027-07-31"
    )
