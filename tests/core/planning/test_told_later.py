"""What is told of a machine later changes no day before it but where it must."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta

from oilchart.core.days import OpenDays, Span
from oilchart.core.due.due_dates import Window
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import Point
from oilchart.core.records.habits import WorkedUnder, with_habits
from oilchart.core.records.machine import Machine
from oilchart.core.units import HOUR
from oilchart.core.use.history import UseHistory
from oilchart.core.use.report import Rate, Report, SewingPace, Total
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.words.reader import read_report
from tests.builders.make import a_machine, a_point
from tests.builders.present import likely, the
from tests.builders.told_machine import ENTERED, NOTED, drawn

CONDITIONS = dict(PointLibrary([packaged("points")]).conditions())
NEW_YEAR = date(2026, 1, 1)
OCTOBER = date(2026, 10, 1)


def windows(machine: Machine) -> list[tuple[date, ...]]:
    """The four due days of each point, the earliest first; the last day there is for never."""
    reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)

    def days(point: Point) -> tuple[date, ...]:
        due: Window = the(reckoning.due(point))
        found = (due.earliest, due.careful, due.likely, due.latest)
        return tuple(date.max if day is None else day for day in found)

    return [days(point) for point in machine.point_list.points]


def due_under(machine: Machine, *worked_under: WorkedUnder) -> date:
    """The likely due date of a machine of one point."""
    noted = with_habits(machine, worked_under, CONDITIONS, NEW_YEAR)
    reckoning = Reckoning(noted, open_days=OpenDays(), lead_days=14)
    return likely(reckoning.due(noted.point_list.points[0]))


def test_a_condition_moves_nothing_later_and_makes_nothing_overdue_that_was_in_time(
    tries: int,
) -> None:
    moved = 0
    for seed in range(tries):
        chance = random.Random(seed)
        told = drawn(chance)
        days = (told.today - told.served).days
        noted_on = told.served + timedelta(days=chance.randint(0, days))
        if noted_on in {statement["said"] for statement in told.statements}:
            continue  # what is told with the first hours acts backwards
        more = [*told.noted]
        more.append({"condition": chance.choice(NOTED), "since": noted_on, "until": None})
        before = windows(told.machine(CONDITIONS))
        after = windows(replace(told, noted=more).machine(CONDITIONS))
        for old, new in zip(before, after, strict=True):
            assert list(old) == sorted(old), f"machine {seed}"
            assert list(new) == sorted(new), f"machine {seed}"
            for was, becomes in zip(old, new, strict=True):
                assert min(was, noted_on) <= becomes <= was, f"machine {seed}"
                moved += becomes < was
    assert moved > tries


def test_a_machine_noted_as_damp_is_due_when_the_rest_of_its_year_is_used_up() -> None:
    machine = a_machine(a_point(every="12 months"), served=NEW_YEAR)
    assert due_under(machine) == date(2027, 1, 1)
    # 273 of 365 days are spent, and 0.252 of 181 days left. Before: due on 2026-07-01, 92 days
    # overdue the moment it was noted
    damp = WorkedUnder(condition="damp", since=OCTOBER)
    assert due_under(machine, damp) == date(2026, 11, 15)
    # noted on the day it was written down, or nobody knows when
    for since in (NEW_YEAR, None):
        assert due_under(machine, replace(damp, since=since)) == date(2026, 7, 1)
    # over by the end of the year: 92 of 181 days from October on are too many
    ended = replace(damp, until=date(2026, 11, 1))
    assert date(2026, 11, 15) < due_under(machine, ended) < date(2027, 1, 1)


def test_a_condition_that_is_noted_again_does_not_act_on_the_time_between() -> None:
    # damp until March, and again from June on, when the first hours are told. Before: due on
    # 2023-09-01, as if it had been damp in spring, too
    spring, summer = date(2023, 3, 1), date(2023, 6, 1)
    machine = a_machine(a_point(every="12 months"), served=spring)
    machine = replace(machine, reports=(read_report("1 hour a week", summer),))
    damp = WorkedUnder(condition="damp", since=date(2023, 1, 1), until=spring)
    again = WorkedUnder(condition="damp", since=summer)
    # 92 of 366 days in spring, then 137 of 184
    assert due_under(machine, damp, again) == date(2023, 10, 16)
    assert due_under(machine, again) == date(2023, 9, 1)


def test_flat_out_said_today_acts_from_today_on() -> None:
    # 4 hours a week, 40 hours: 70 days; flat out halves it. Before: 98 days overdue at once
    hours = read_report("4 hours a week", NEW_YEAR)
    fast = Report(said=date(2026, 2, 26), words="", pace=SewingPace.FLAT_OUT)
    machine = a_machine(a_point(every="40 hours or 5 years"), served=NEW_YEAR)
    assert due_under(replace(machine, reports=(hours,))) == date(2026, 3, 12)
    # 56 of 70 days are spent: of the 35 that a fifth is left of, 7
    assert due_under(replace(machine, reports=(hours, fast))) == date(2026, 3, 5)
    # said with the first hours it always was so
    at_once = replace(hours, pace=SewingPace.FLAT_OUT)
    assert due_under(replace(machine, reports=(at_once,))) == date(2026, 2, 5)


def test_that_nobody_oils_it_acts_back_to_the_last_other_answer() -> None:
    machine = a_machine(a_point(every="12 months"), served=NEW_YEAR)
    oiled, never = (
        read_report(words, day)
        for words, day in (("oils it", OCTOBER), ("never oils it", date(2026, 11, 1)))
    )
    # half the time limit: from the beginning, or from October on
    assert due_under(replace(machine, reports=(never,))) == date(2026, 7, 1)
    assert due_under(replace(machine, reports=(oiled, never))) == date(2026, 11, 15)
    assert due_under(replace(machine, reports=(oiled,))) == date(2027, 1, 1)


def test_what_a_present_owner_tells_of_oiling_acts_back_to_the_day_they_had_it_and_no_further() -> (
    None
):
    machine = a_machine(a_point(every="12 months"), served=NEW_YEAR)
    never = read_report("never oils it", date(2026, 11, 1))
    theirs = replace(machine, reports=(never,))
    # half the time limit: from the beginning, 181 days; from October on 45 more
    assert due_under(theirs) == date(2026, 7, 1)
    assert due_under(replace(theirs, handed_on=OCTOBER)) == date(2026, 11, 15)


def test_what_is_told_of_one_span_changes_no_day_outside_of_it(tries: int) -> None:
    for seed in range(tries):
        chance = random.Random(seed)
        first = ENTERED + timedelta(days=chance.randint(0, 100))
        rates = tuple(
            Report(
                said=first + timedelta(days=90 * number),
                words="",
                rate=Rate(low=chance.randint(0, 9) * HOUR, high=9 * HOUR),
                idle_months=chance.choice([None, frozenset({7, 8})]),
            )
            for number in range(chance.randint(1, 3))
        )
        said = rates[-1].said + timedelta(days=chance.randint(60, 200))
        short = Span(first=said - timedelta(days=chance.randint(1, 27)), end=said)
        hours = chance.randint(0, 24 * (said - short.first).days) * HOUR
        told = Report(said=said, words="")
        report, span = chance.choice(
            [
                (replace(told, total=Total(low=0, high=hours, since=short.first)), short),
                (replace(told, idle_spans=(short,)), short),
                # however long, where it is nothing
                (
                    replace(told, total=Total(low=0, high=0, since=first)),
                    Span(first=first, end=said),
                ),
            ]
        )
        without, with_it = (
            UseHistory(reports, [], ENTERED).curves() for reports in (rates, (*rates, report))
        )
        for day in range(ENTERED.toordinal(), ENTERED.toordinal() + 800):
            if not span.first.toordinal() <= day < span.end.toordinal():
                for one, other in ((without.low, with_it.low), (without.high, with_it.high)):
                    assert one.used_before(day + 1) - one.used_before(day) == (
                        other.used_before(day + 1) - other.used_before(day)
                    ), f"use {seed}, {date.fromordinal(day)}"
