"""How likely it is that a machine is past a limit: it agrees with the due window, and puts the
worst machine first."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import date, timedelta
from math import exp, log, sqrt
from statistics import NormalDist
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import Window
from oilchart.core.due.risk import HARM, Risk, probability
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import IfDry, Point
from oilchart.core.records.machine import Machine
from oilchart.core.records.owner import OwnerChange
from oilchart.core.units import HOUR
from oilchart.papers.wording import chance_words
from oilchart.shop.folder import Shop
from oilchart.shop.owners import PhonesTold
from oilchart.sources.words.reader import read_report
from tests.builders.make import TODAY, a_machine, a_point
from tests.builders.present import likely, the
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_standings,
    edit_owner,
    record_service,
    record_use,
)
from tests.conftest import Run
from tests.counts import counted

DONE = date(2026, 3, 2)
NEVER_IN_TIME = "50 years"  # a limit at rest that no test reaches


def risk_of(machine: Machine, today: date) -> Risk:
    return the(Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(today).risk, "risk")


def window_of(machine: Machine) -> Window:
    return Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY).due


def chance(*points: Point, today: date, **machine: Any) -> float:
    return risk_of(a_machine(*points, said=DONE, served=DONE, **machine), today).chance


# outside-check numbers: pure arithmetic of a lognormal whose 10 % and 90 % points are 5 and 8 hours
# a week


def test_five_to_eight_hours_a_week_have_a_median_of_6_325_and_a_sigma_of_0_1834() -> None:
    used = 5 * HOUR, int(sqrt(5 * 8) * HOUR), 8 * HOUR
    assert probability(*used, int(6.325 * HOUR)) == pytest.approx(0.5, abs=5e-4)
    # one sigma above and below the median: Phi(-1) = 0.1587 and Phi(1) = 0.8413, as in any table of
    # the normal distribution
    assert probability(*used, int(6.325 * exp(0.1834) * HOUR)) == pytest.approx(0.1587, abs=5e-4)
    assert probability(*used, int(6.325 * exp(-0.1834) * HOUR)) == pytest.approx(0.8413, abs=5e-4)


@pytest.mark.parametrize(("weeks", "expected"), [(5, 0.10), (6.3246, 0.50), (8, 0.90)])
def test_forty_hours_are_past_with_1_5_and_9_in_10_after_5_and_6_3246_and_8_weeks(
    weeks: float, expected: float
) -> None:
    low, likely, high = (int(rate * weeks * HOUR) for rate in (5, sqrt(5 * 8), 8))
    assert probability(low, likely, high, 40 * HOUR) == pytest.approx(expected, abs=1e-4)


def test_a_machine_at_five_to_eight_hours_a_week_reaches_them_on_the_days_of_its_window() -> None:
    point = a_point(every=f"40 hours or {NEVER_IN_TIME}")
    assert chance(point, use="5-8 hours a week", today=DONE + timedelta(weeks=5)) == pytest.approx(
        0.1, abs=1e-6
    )
    assert chance(point, use="5-8 hours a week", today=DONE + timedelta(weeks=8)) == pytest.approx(
        0.9, abs=1e-6
    )
    # day 44 is 6.2857 weeks: ln(6.2857 / 6.3246) / 0.18337 = -0.0336 deviations, day 45 is 6.4286
    # weeks: 0.0889
    assert chance(point, use="5-8 hours a week", today=DONE + timedelta(days=44)) == pytest.approx(
        0.4866, abs=2e-4
    )
    assert chance(point, use="5-8 hours a week", today=DONE + timedelta(days=45)) == pytest.approx(
        0.5354, abs=2e-4
    )


# where there is no range


@pytest.mark.parametrize(
    ("every", "use", "days", "expected"),
    [
        # one rate: 12 hours at 6 hours a week are used up on day 14, the last day in time
        (f"12 hours or {NEVER_IN_TIME}", "6 hours a week", 14, 0),
        (f"12 hours or {NEVER_IN_TIME}", "6 hours a week", 15, 1),
        # no sewing at all
        (f"12 hours or {NEVER_IN_TIME}", "none", 3_650, 0),
        # no use known: the limit at rest counts
        ("12 hours or 3 months", None, 92, 0),
        ("12 hours or 3 months", None, 93, 1),
        # only a limit at rest
        ("3 months", "5-8 hours a week", 92, 0),
        ("3 months", "5-8 hours a week", 93, 1),
        # past the limit at rest is past, however little was used
        ("4000 hours or 3 months", "5-8 hours a week", 93, 1),
        # the day of the work, and days before it
        ("1 hours or 3 months", "5-8 hours a week", 0, 0),
        ("1 hours or 3 months", "5-8 hours a week", -900, 0),
    ],
)
def test_without_a_range_the_chance_is_none_or_sure_by_the_date(
    every: str, use: str | None, days: int, expected: float
) -> None:
    assert chance(a_point(every=every), use=use, today=DONE + timedelta(days=days)) == expected


@pytest.mark.parametrize(
    ("used", "limit", "expected"),
    [
        ((0, 0, 0), 0, 0),
        ((0, 0, 0), 5, 0),
        ((5, 5, 5), 5, 0),
        ((6, 6, 6), 5, 1),
        ((0, 4, 8), 3, 1),
        ((0, 4, 8), 4, 0),
        # nothing is allowed and something was used
        ((1, 2, 4), 0, 1),
        # so few ticks that the likely use is one of the ends
        ((1, 1, 2), 1, 0.5),
        ((3, 3, 4), 2, 1),
        ((3, 4, 4), 4, 0),
        # the ends
        ((2, 4, 8), 8, 0.1),
        ((2, 4, 8), 4, 0.5),
        ((2, 4, 8), 2, 0.9),
    ],
)
def test_the_chance_of_having_used_more_than_a_limit(
    used: tuple[int, int, int], limit: int, expected: float
) -> None:
    assert probability(*used, limit) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("use", ["0-7 hours a week", "0.1-7 hours a week", "0.7-7 hours a week"])
def test_a_range_that_begins_below_a_tenth_of_its_end_has_the_chance_of_one_that_begins_there(
    use: str,
) -> None:
    # likely sqrt(0.7 x 7) = 2.2136 hours a week: 28 hours in 88.54 days; the high end in 28
    point = a_point(every=f"28 hours or {NEVER_IN_TIME}")
    likely, high = (chance(point, use=use, today=DONE + timedelta(days=day)) for day in (88.54, 28))
    assert likely == pytest.approx(0.5, abs=0.01)
    assert high == pytest.approx(0.1, abs=1e-6)


# the chance agrees with the window

rates = st.tuples(st.integers(20, 4_000), st.integers(20, 4_000)).map(
    lambda pair: f"{max(min(pair), -(-max(pair) // 10)) / 100}-{max(pair) / 100} hours a week"
)
rests = st.sampled_from(["", "; idle Jul-Aug", "; busy Oct-Dec x2", "; idle Jan; busy Apr-May x3"])


@st.composite
def machines(draw: st.DrawFn) -> Machine:
    """A machine of which something was said up to four times, rests and seasons too, with points
    that have no limit at rest to speak of."""
    limits = draw(st.lists(st.integers(1, 300), min_size=1, max_size=3))
    harms = [draw(st.sampled_from([*IfDry, None])) for _ in limits]
    points = [
        a_point(f"p{at}", every=f"{hours} hours or {NEVER_IN_TIME}", if_dry=harm)
        for at, (hours, harm) in enumerate(zip(limits, harms, strict=True))
    ]
    said = sorted(draw(st.lists(st.integers(-300, 300), min_size=1, max_size=4)))
    reports = tuple(
        read_report(draw(rates) + draw(rests), DONE + timedelta(days=day)) for day in said
    )
    return replace(a_machine(*points, served=DONE), reports=reports)


@counted
@given(machines())
def test_the_chance_passes_1_5_and_9_in_10_with_the_earliest_likely_and_latest_date(
    machine: Machine,
) -> None:
    window = window_of(machine)
    for due, passed in ((window.earliest, 0.1), (window.likely, 0.5), (window.latest, 0.9)):
        assert due is not None
        assert risk_of(machine, due).chance <= passed + 1e-9
        assert risk_of(machine, due + timedelta(days=1)).chance >= passed - 1e-9


@counted
@given(machines(), st.integers(0, 2_000), st.integers(1, 400))
def test_the_chance_never_falls_while_nothing_is_done(
    machine: Machine, day: int, later: int
) -> None:
    # outside of 1 to 9 in 10, where no owner's words reach, a narrower range said later may move it
    # within its tenth
    first, then = (
        min(max(risk_of(machine, DONE + timedelta(days=each)).chance, 0.1), 0.9)
        for each in (day, day + later)
    )
    assert first <= then + 1e-9


@counted
@given(st.integers(10, 4_000), st.integers(10, 4_000), st.integers(1, 300), st.integers(1, 900))
def test_of_one_range_the_chance_is_that_of_a_lognormal(
    one: int, other: int, limit: int, days: int
) -> None:
    low, high = sorted((one / 100, other / 100))
    low = max(low, high / 10)
    assume(high - low > 0.02)
    found = chance(
        a_point(every=f"{limit} hours or {NEVER_IN_TIME}"),
        use=f"{low}-{high} hours a week",
        today=DONE + timedelta(days=days),
    )
    # reckoned apart, in floats and hours, with the normal distribution of the standard library
    mu, sigma = (
        (log(low * days / 7) + log(high * days / 7)) / 2,
        log(high / low) / (2 * NormalDist().inv_cdf(0.9)),
    )
    assert found == pytest.approx(NormalDist().cdf((mu - log(limit)) / sigma), abs=1e-4)


# harm


def test_a_machines_risk_is_the_greatest_chance_times_harm_over_its_bench_points() -> None:
    # 40 h at 5-8 hours a week on day 45: 0.5354; a limit at rest of 1 month is past for sure
    seizes = a_point("seizes", every=f"40 hours or {NEVER_IN_TIME}", if_dry=IfDry.SEIZES)
    noisy = a_point("noisy", every="1 month", if_dry=IfDry.NOISY)
    dusty = a_point("dusty", every="1 month")
    owners = a_point("owners", every="1 month", if_dry=IfDry.SEIZES, keeper="owner")
    occasion = a_point("occasion", every="each service", if_dry=IfDry.SEIZES)
    machine = a_machine(
        dusty, noisy, owners, occasion, seizes, use="5-8 hours a week", said=DONE, served=DONE
    )
    risk = risk_of(machine, DONE + timedelta(days=45))
    assert risk.point == "seizes"
    assert risk.weight == pytest.approx(3 * 0.5354, abs=1e-3)
    # that it is past some limit is sure all the same
    assert risk.chance == 1
    assert list(HARM.values()) == sorted(HARM.values(), reverse=True)
    assert set(HARM) == {*IfDry, None}


def test_of_points_that_weigh_the_same_the_one_likely_due_first_decides() -> None:
    later, sooner = a_point("later", every="2 months"), a_point("sooner", every="1 month")
    machine = a_machine(later, sooner, served=DONE)
    assert risk_of(machine, DONE + timedelta(days=365)).point == "sooner"
    assert risk_of(machine, DONE + timedelta(days=1)) == Risk(chance=0, weight=0, point="sooner")


def test_a_machine_never_served_has_no_risk_and_neither_has_one_without_dates() -> None:
    for machine in (
        a_machine(a_point(), use="5-8 hours a week"),
        a_machine(a_point(every="each service"), served=DONE),
    ):
        assert Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY).risk is None


# the list of machines due


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        # the nearest tenth, half upwards
        (0, "unlikely"),
        (0.0499, "unlikely"),
        (0.05, "1 in 10"),
        (0.1499, "1 in 10"),
        (0.5, "5 in 10"),
        (0.9, "9 in 10"),
        (0.9499, "9 in 10"),
        (0.95, "sure"),
        (1, "sure"),
    ],
)
def test_a_chance_is_told_in_tenths(chance: float, words: str) -> None:
    assert chance_words(chance) == words


def a_shop_of_two_late_machines(shop: Shop) -> Shop:
    """Two machines likely overdue: Ann's is later by its likely date, Bea's more likely past it."""
    for owner, words, served in (
        ("Ann", "2-20 hours a week", date(2026, 4, 1)),
        ("Bea", "5-8 hours a week", date(2026, 4, 8)),
    ):
        add_owner(shop, name=owner, phone="01632 960000", email="")
        number = add_machine(shop, owner=owner, model="heron-3", serial="", note="").number
        record_service(shop, number, served)
        record_use(shop, number, words, served)
    return shop


def test_within_a_state_the_greater_risk_comes_before_the_fewer_days(fresh_shop: Shop) -> None:
    first, second = all_standings(a_shop_of_two_late_machines(fresh_shop))
    assert first.schedule.state == second.schedule.state == "likely overdue"
    assert [first.record.owner.name, second.record.owner.name] == ["Bea", "Ann"]
    assert the(first.schedule.risk).weight > the(second.schedule.risk).weight
    assert likely(first.schedule.due) > likely(second.schedule.due)


def test_due_lists_the_machines_of_one_model_or_one_owner(demo_shop: Shop, run: Run) -> None:
    def rows(*options: str) -> list[dict[str, str]]:
        result = run("due", "--all", "--json", *options, shop=demo_shop.folder)
        assert result.exit_code == 0, result.stderr
        found: list[dict[str, str]] = json.loads(result.stdout)
        return found

    herons = rows("--model", "heron-3")
    assert {row["model"] for row in herons} == {"heron-3"}
    assert [row["machine"] for row in herons] == [
        row["machine"] for row in rows() if row["model"] == "heron-3"
    ]
    school = rows("--owner", "tidelane")
    assert {row["owner"] for row in school} == {"Tidelane School"}
    assert len(school) == 2
    assert (
        rows("--owner", "OW-001")
        == rows("--owner", "7946 0107")
        == [row for row in rows() if row["owner"] == "Ida Brandvold"]
    )
    assert rows("--owner", "tidelane", "--model", "heron-3") == []
    told = run("due", "--owner", "tidelane", shop=demo_shop.folder).stderr
    assert told == "2 machines: 1 overdue, 1 in time.\n"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--model", "hern-3"], 1, 'model "hern-3": there is no such model; did you mean heron-3'),
        (["--owner", "nobody"], 1, 'owner "nobody": there is none of that number, name or phone'),
        (["--owner", ""], 2, "is empty"),
        (["--json", "--csv"], 2, "--json and --csv: give one of them"),
    ],
)
def test_an_unknown_model_or_owner_and_two_forms_at_once_are_refused(
    words: list[str], code: int, said: str, demo_shop: Shop, run: Run
) -> None:
    result = run("due", *words, shop=demo_shop.folder)
    assert (result.exit_code, result.stdout) == (code, "")
    assert said in result.stderr


def test_the_csv_of_due_is_rfc_4180_and_says_what_the_json_says(demo_shop: Shop, run: Run) -> None:
    edit_owner(demo_shop, "OW-001", OwnerChange(name='Brandvold, "Ida"'))
    data = run("due", "--all", "--csv", shop=demo_shop.folder).stdout_bytes
    lines = data.decode().split("\r\n")
    assert lines[0] == (
        "machine,owner,model,state,earliest,likely,latest,days_left,because,phone,chance,point,booked,last_contact,lapsed,left_alone,unsafe,danger,unsafe_since,"
        "moved_from,missed,declined_until,stay,wanted_by,careful"
    )
    assert lines[-1] == ""
    assert len(lines) == 1 + 18 + 1
    assert "\n" not in "".join(lines)
    assert any(line.startswith('M-001,"Brandvold, ""Ida""",heron-3,overdue,') for line in lines)
    read = list(csv.DictReader(io.StringIO(data.decode(), newline=""), strict=True))
    told = json.loads(run("due", "--all", "--json", shop=demo_shop.folder).stdout)
    for row, each in zip(read, told, strict=True):
        flat = {**{key: value for key, value in each.items() if key != "due"}, **each["due"]}
        flat.pop("dangers")  # told by its two columns
        number, stay = flat.pop("chance"), flat.pop("stay")
        assert row.pop("stay") == ("" if stay is None else ", ".join(stay["states"]))
        assert (row.pop("last_contact") == "") == (flat.pop("last_contact") is None)
        assert row.pop("chance") == ("" if number is None else f"{number:.2f}")
        assert row == {key: "" if value is None else str(value) for key, value in flat.items()}
    assert run("due", "--csv", shop=demo_shop.folder).stderr == ""


@pytest.mark.parametrize(
    ("name", "phone", "cells"),
    [
        ("=HYPERLINK(1)", "+44 1632 960107", ("'=HYPERLINK(1)", "+44 1632 960107")),
        ("+cmd", "+SUM(1)", ("'+cmd", "'+SUM(1)")),
        ("-1+1", "@home", ("'-1+1", "'@home")),
        ("Ida = Brandvold", "01632 960107", ("Ida = Brandvold", "01632 960107")),
    ],
)
def test_no_words_of_the_owner_are_a_formula_for_a_spreadsheet(
    name: str, phone: str, cells: tuple[str, str], demo_shop: Shop, run: Run
) -> None:
    edit_owner(demo_shop, "OW-001", OwnerChange(name=name), PhonesTold(all=(phone,)))
    data = run("due", "--all", "--csv", shop=demo_shop.folder).stdout_bytes.decode()
    [row] = [
        row for row in csv.DictReader(io.StringIO(data, newline="")) if row["machine"] == "M-001"
    ]
    assert (row["owner"], row["phone"]) == cells


def test_the_csv_of_an_empty_list_is_its_header(fresh_shop: Shop, run: Run) -> None:
    assert run("due", "--csv", shop=fresh_shop.folder).stdout_bytes.count(b"\r\n") == 1


@pytest.mark.parametrize(
    ("options", "code"),
    [
        # asked for, of machines past a date or never served
        ([], 0),
        (["--exit-code"], 3),
        (["--exit-code", "--json"], 3),
        (["--exit-code", "--csv"], 3),
        (["--exit-code", "--owner", "brandvold"], 3),  # overdue
        (["--exit-code", "--model", "velmora-7", "--owner", "Łucja"], 0),  # due soon
        (["--exit-code", "--owner", "tarrowby"], 3),  # one first service, one in time
        # due soon only: with --within
        (["--exit-code", "--owner", "Șerban"], 0),
        (["--exit-code", "--owner", "Șerban", "--within", "14d"], 3),
        (["--exit-code", "--owner", "Șerban", "--within", "2d"], 0),
        (["--owner", "Șerban", "--within", "14d"], 0),
        # in time, though listed
        (["--exit-code", "--owner", "pettigarth", "--all"], 0),
        # nothing listed
        (["--exit-code", "--owner", "pettigarth"], 0),
    ],
)
def test_the_exit_code_tells_whether_some_machine_is_due(
    options: list[str], code: int, demo_shop: Shop, run: Run
) -> None:
    result = run("due", *options, shop=demo_shop.folder)
    assert result.exit_code == code
    assert (
        result.stdout
        == run(
            "due", *[each for each in options if each != "--exit-code"], shop=demo_shop.folder
        ).stdout
    )
