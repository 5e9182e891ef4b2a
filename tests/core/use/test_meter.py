"""Meters: what they cannot show is refused on entry, and what contradicts the owner's words is
said."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Notice
from oilchart.core.units import HOUR, Speed
from oilchart.core.use.history import UseHistory
from oilchart.core.use.meter import check_reading, contradicts
from oilchart.core.use.report import Report
from oilchart.errors import UnreadableWords
from oilchart.shop.folder import Shop
from oilchart.sources.words.reader import read_report
from tests.builders.make import TODAY, a_machine, a_point
from tests.conftest import Run

SPEED = Speed()


def told(*said: tuple[str, str]) -> list[Report]:
    return [read_report(words, date.fromisoformat(day)) for day, words in said]


@pytest.mark.parametrize(
    ("day", "words", "wrong"),
    [
        ("2026-03-01", "meter 399 hours", "has fallen"),
        ("2026-02-01", "meter 399 hours", "is read twice on one day"),
        ("2026-03-01", "meter 5000 stitches", "counts something else than before"),
        ("2026-02-02", "meter 425 hours", "has run more than 24 hours a day"),
        # told late, between two others
        ("2026-04-01", "meter 600 hours", "has fallen"),
        ("2026-01-15", "meter 401 hours", "has fallen"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_with_what_to_do(
    day: str, words: str, wrong: str
) -> None:
    others = told(("2026-02-01", "meter 400 hours"), ("2026-05-01", "meter 500 hours"))
    [report] = told((day, words))
    with pytest.raises(UnreadableWords, match=wrong) as refusal:
        check_reading(report, others, SPEED)
    assert "new meter" in str(refusal.value)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ("2026-03-01", "meter 450 hours"),
        ("2026-03-01", "meter 400 hours"),
        ("2026-06-01", "new meter 0 hours"),
        ("2026-02-02", "meter 424 hours"),
    ],
)
def test_a_reading_that_can_be_is_taken_and_kept(
    run: Run, demo_shop: Shop, day: str, words: str
) -> None:
    read = [("2026-02-01", "meter 400 hours"), ("2026-05-01", "meter 500 hours"), (day, words)]
    for on, reading in read:
        told = run("use", "M-004", reading, "--on", on, shop=demo_shop.folder)
        assert told.exit_code == 0, told.stderr
    story = run("machine", "show", "M-004", shop=demo_shop.folder).stdout
    assert [reading for _, reading in read if f"“{reading}”" not in story] == []


def test_readings_beat_what_was_said_and_their_mean_goes_on() -> None:
    # 90 days from 1 January to 1 April: 90 hours, an hour a day, though the owner said ten
    reports = told(
        ("2026-01-01", "meter 10 hours; 70 hours a week"), ("2026-04-01", "meter 100 hours")
    )
    curve = UseHistory(reports, [], date(2026, 1, 1)).curves().likely
    first = date(2026, 1, 1).toordinal()
    assert curve.used_before(first + 90) == 90 * HOUR
    assert curve.used_before(first + 190) == 190 * HOUR


def test_stitches_become_hours_by_the_machines_speed() -> None:
    # 1,000,000 stitches at 800 a minute are 20.83 needle hours, at a quarter needle time 83.33
    # hours
    reports = told(("2026-01-01", "meter 0 stitches"), ("2026-04-01", "meter 1000000 stitches"))
    curve = UseHistory(reports, [], date(2026, 1, 1)).curves().likely
    used = Fraction(curve.used_before(date(2026, 4, 1).toordinal()), HOUR)
    assert round(used, 4) == round(Fraction(1_000_000, 60 * 800) * 4, 4)


@pytest.mark.parametrize(
    ("shown", "contradiction"),
    [
        # said: 5-8 hours a week for 70 days, 50 to 80 hours; within a factor of 1.5 it passes: 33.3
        # to 120
        ("133", False),
        ("134", False),
        ("220", False),
        ("221", True),
        ("180", False),
        ("132", True),
    ],
)
def test_a_meter_far_from_the_words_contradicts_them(shown: str, contradiction: bool) -> None:
    if shown == "133":
        shown = "133.4"
    reports = told(
        ("2026-01-01", "meter 100 hours; 5-8 hours a week"), ("2026-03-12", f"meter {shown} hours")
    )
    assert contradicts(reports, lambda day: SPEED) is contradiction


def test_a_contradiction_is_said_in_the_schedule_and_on_the_card(run: Run, demo_shop: Shop) -> None:
    shop = demo_shop.folder
    run("use", "M-004", "2 hours a week; meter 100 hours", "--on", "2026-02-01", shop=shop)
    run("use", "M-004", "meter 400 hours", "--on", "2026-11-20", shop=shop)
    assert (
        "The meter and the owner's words are far apart; the meter is believed."
        in run("schedule", "M-004", shop=shop).stdout
    )
    machine = a_machine(a_point(), served=TODAY)
    assert (
        Notice.CONTRADICTS_METER
        not in Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY).notices
    )


def test_a_falling_meter_is_refused_on_the_command_line_and_nothing_is_kept(
    run: Run, demo_shop: Shop
) -> None:
    shop = demo_shop.folder
    run("use", "M-004", "meter 400 hours", "--on", "2026-11-01", shop=shop)
    before = run("machine", "list", "--json", shop=shop).stdout
    refused = run("use", "M-004", "meter 300 hours", shop=shop)
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert refused.stderr == (
        "oilchart: use: the meter: 300 hours on 2026-11-25, after 400 hours on 2026-11-01: has "
        "fallen; read it again, "
        'or if it has a new meter, say "new meter 300 hours"\n'
    )
    assert run("machine", "list", "--json", shop=shop).stdout == before
    assert run("use", "M-004", "new meter 300 hours", shop=shop).exit_code == 0
