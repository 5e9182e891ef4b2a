"""A point found dry or gummed before its limit proposes a shorter interval for its machine;
accepted, it holds for that machine alone."""

from __future__ import annotations

import json
import shlex
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays
from oilchart.core.due.allowances import AllowanceCache
from oilchart.core.planning.own_interval_proposals import Proposal, proposals
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.conditions import Condition
from oilchart.core.point_lists.doubts import doubts
from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.interval import Factors, allowance
from oilchart.core.point_lists.point_list import Runs, Work
from oilchart.core.records.findings import Finding, Found
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.own_interval import OwnInterval, with_shorter_intervals
from oilchart.core.units import Speed
from oilchart.papers.tables.explain import explanation
from oilchart.papers.wording import limit_words, proposal_words, since_words
from oilchart.shop.folder import Shop
from oilchart.sources.points.intervals import read_interval
from tests.builders.commands import TESTED
from tests.builders.make import TODAY, a_chart, a_machine, a_point
from tests.builders.present import the
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    record_service,
    record_use,
    the_machine,
)
from tests.conftest import Run
from tests.counts import counted

DONE = date(2026, 3, 2)
SERVED = date(2026, 11, 4)
HOURLY = "7 hours a week"  # an hour a day
DRY, GUMMED = (Found.DRY,), (Found.GUMMED,)
BOTH = (Found.DRY, Found.GUMMED)

CASES = ("earliest", "careful", "likely", "latest")


def reckoning(machine: Machine) -> Reckoning:
    return Reckoning(machine, open_days=OpenDays(), lead_days=14)


def found(machine: Machine, days: int, words: tuple[Found, ...], **told: Any) -> Proposal | None:
    """What is proposed for the hook found so many days after it was done."""
    offered = proposals(
        reckoning(machine),
        [Finding(point="hook", found=words)],
        DONE + timedelta(days=days),
        **told,
    )
    assert len(offered) <= 1
    return offered[0] if offered else None


def limits(proposal: Proposal | None) -> tuple[Fraction | None, int | None]:
    """Hours and days proposed; both None where nothing is."""
    if proposal is None:
        return None, None
    shorter = proposal.own_interval(TODAY)
    assert (shorter.point, shorter.since) == ("hook", TODAY)
    return shorter.hours, shorter.days


def hook(every: str, use: str | None = HOURLY, **point: Any) -> Machine:
    machine = a_machine(a_point(every=every, **point), use=use, said=DONE, served=DONE)
    if use is not None and "zigzag" in use:
        return replace(machine, zigzag_share=the(machine.reports[0].zigzag_share, "share"))
    return machine


def a_limit(
    point: str = "hook",
    hours: Fraction | int | None = None,
    days: int | None = None,
    since: date = TODAY,
    found_on: date = TODAY,
) -> OwnInterval:
    return OwnInterval(
        point=point,
        hours=None if hours is None else Fraction(hours),
        days=days,
        since=since,
        found=DRY,
        found_on=found_on,
    )


def shorter(machine: Machine, hours: Fraction | None = None, days: int | None = None) -> Machine:
    """The machine with a shorter interval of its hook."""
    limit = a_limit(hours=hours, days=days)
    return replace(
        machine,
        point_list=with_shorter_intervals(machine.point_list, [limit]),
        own_intervals=(limit,),
    )


# what is proposed


@pytest.mark.parametrize(
    ("every", "use", "days", "hours"),
    [
        # 0.7 of what ran
        ("8-10 hours or 3 months", HOURLY, 6, "4.2"),
        ("8-10 hours or 3 months", HOURLY, 9, "6.3"),
        ("40 hours or 2 years", HOURLY, 39, "27.3"),
        # the likely use counts, of a range its geometric mean: 6 of 4-9
        ("8-10 hours or 3 months", "4-9 hours a week", 7, "4.2"),
        # rounded down to a tenth: 0.7 x 6.5 / 7 x 9 = 5.85
        ("8-10 hours or 3 months", "6.5 hours a week", 9, "5.8"),
        # never less than a quarter of the limit, which is not rounded
        ("8-10 hours or 3 months", HOURLY, 1, "2.5"),
        ("25 hours or 3 months", HOURLY, 2, "6.25"),
        # not before the limit: the oil was in its rights
        ("8-10 hours or 3 months", HOURLY, 10, None),
        ("8-10 hours or 3 months", HOURLY, 60, None),
    ],
)
def test_a_point_found_dry_before_its_limit_of_use_asks_for_less_use(
    every: str, use: str, days: int, hours: str | None
) -> None:
    assert limits(found(hook(every, use), days, DRY)) == (
        None if hours is None else Fraction(hours),
        None,
    )


@pytest.mark.parametrize(
    ("every", "days", "shorter_days"),
    [
        # 0.7 of the days, floored
        ("12 months", 200, 140),
        ("8-10 hours or 3 months", 50, 35),
        ("20 days", 13, 9),
        # never less than a quarter, of months by the calendar; of 10 days that is 2.5, so 3
        ("12 months", 30, 92),
        ("10 days", 3, 3),
        # the last day in time, and the one after it
        ("12 months", 365, 255),
        ("12 months", 366, None),
        # one day has nothing shorter
        ("1 day", 1, None),
    ],
)
def test_a_point_found_gummed_before_its_limit_at_rest_asks_for_fewer_days(
    every: str, days: int, shorter_days: int | None
) -> None:
    assert limits(found(hook(every), days, GUMMED)) == (None, shorter_days)


@pytest.mark.parametrize(
    ("machine", "words", "expected"),
    [
        # dry goes by days where no hours are known, none limit it, or none ran
        (hook("8-10 hours or 12 months", None), DRY, (None, 140)),
        (hook("12 months"), DRY, (None, 140)),
        (hook("8-10 hours or 12 months", "none"), DRY, (None, 140)),
        (
            hook("8-10 hours or 12 months", "7 hours a week; no zigzag", runs=Runs.ZIGZAG),
            DRY,
            (None, 140),
        ),
        # both
        (hook("300 hours or 12 months"), BOTH, (140, 140)),
        (hook("12 months"), BOTH, (None, 140)),
        # of both only what came before its limit
        (hook("8-10 hours or 12 months"), BOTH, (None, 140)),
        (hook("300 hours or 3 months"), BOTH, (140, None)),
        # as it should be
        (hook("300 hours or 12 months"), (Found.GOOD,), (None, None)),
        (hook("300 hours or 12 months"), (Found.SEIZED, Found.WORN), (None, None)),
        (hook("300 hours or 12 months"), (), (None, None)),
    ],
)
def test_dry_and_gummed_each_ask_for_their_own_limit(
    machine: Machine, words: tuple[Found, ...], expected: tuple[int | None, int | None]
) -> None:
    assert limits(found(machine, 200, words)) == expected


def test_hours_are_those_in_which_the_point_runs_whatever_the_list_counts_in() -> None:
    # 20 days of an hour, 0.3 of it zigzag: 6 hours of 10
    assert limits(found(hook("8-10 hours or 3 months", runs=Runs.ZIGZAG), 20, DRY)) == (
        Fraction("4.2"),
        None,
    )
    # 480,000 stitches at 800 a minute, the needle moving a quarter of the time, are 40 hours
    assert limits(found(hook("480000 stitches or 3 months"), 30, DRY)) == (Fraction(21), None)
    assert limits(found(hook("480000 stitches or 3 months"), 40, DRY)) == (None, None)
    assert limits(found(hook("10 needle hours or 3 months"), 2, DRY)) == (Fraction(10), None)


def test_under_a_condition_what_ran_counts_for_more_so_that_less_is_left_of_what_really_ran() -> (
    None
):
    lint = Condition(
        id="lint",
        name="lint",
        about="",
        factors={Work.OIL: Factors(use=Fraction(1, 2), time=Fraction(1, 2))},
    )
    machine = replace(hook("8-10 hours or 12 months"), conditions=(lint,))
    offered = found(machine, 4, BOTH)  # 4 of 5 hours; 4 days of 6 months
    assert limits(offered) == (Fraction("5.6"), 92)
    # 2.8 hours, 0.7 of 4, are passed on the third day
    assert due(shorter(machine, hours=Fraction("5.6")))[1] == DONE + timedelta(days=2)
    assert limits(found(machine, 5, DRY)) == (None, None)
    assert limits(found(machine, 100, GUMMED)) == (None, 140)
    assert limits(found(machine, 184, GUMMED)) == (None, 257)  # 2 September is six months later
    assert limits(found(machine, 185, GUMMED)) == (None, None)


def test_nothing_is_proposed_where_the_oil_did_not_run_its_interval() -> None:
    machine = hook("300 hours or 12 months")
    assert limits(found(machine, 50, DRY)) == (Fraction(75), None)
    # the machine was freed at this service, or settles in
    assert found(machine, 50, DRY, freed=True) is None
    freed = replace(machine, services=(replace(machine.services[0], freed=True),))
    assert found(freed, 21, DRY) is None
    assert found(freed, 22, DRY) is not None
    # its first service, and the first time that this point's work is done
    assert found(replace(machine, services=()), 50, DRY) is None
    assert found(replace(machine, services=(Service(on=DONE, done=frozenset()),)), 50, DRY) is None
    # a service told for the same day is no interval
    assert found(machine, 0, DRY) is None
    # an occasion
    assert found(hook("each bobbin"), 50, DRY) is None
    # a point that the list has not got
    assert (
        proposals(reckoning(machine), [Finding(point="belt", found=DRY)], DONE + timedelta(days=50))
        == ()
    )


def test_the_step_that_ran_decides() -> None:
    machine = hook("10 hours or 3 months, then 100 hours or 3 years")
    assert limits(found(machine, 8, DRY)) == (Fraction("5.6"), None)
    assert limits(found(machine, 12, DRY)) == (None, None)
    twice = replace(
        machine,
        services=(
            Service(on=DONE - timedelta(days=90), done=frozenset({"hook"})),
            *machine.services,
        ),
    )
    assert limits(found(twice, 12, DRY)) == (Fraction(25), None)


def test_what_is_not_shorter_than_what_holds_now_is_not_proposed() -> None:
    machine = hook("300 hours or 12 months")
    assert limits(found(shorter(machine, Fraction(140), 140), 200, BOTH)) == (None, None)
    assert limits(found(shorter(machine, Fraction(140), 140), 199, BOTH)) == (
        Fraction("139.3"),
        139,
    )
    # of the two the one that is shorter
    assert limits(found(shorter(machine, Fraction(90)), 200, BOTH)) == (None, 140)


# how it acts


@pytest.mark.parametrize(
    ("every", "hours", "days", "words"),
    [
        (
            "8-10 hours or 3 months",
            "4.3",
            None,
            "8-10 hours or 3 months; 4.3 hours on this machine",
        ),
        ("8-10 hours or 3 months", None, 40, "8-10 hours or 3 months; 40 days on this machine"),
        (
            "8-10 hours or 3 months",
            "1",
            1,
            "8-10 hours or 3 months; 1 hour or 1 day on this machine",
        ),
        (
            "480000 stitches or 1 year",
            "21",
            None,
            "480000 stitches or 1 year; 21 hours on this machine",
        ),
        # what is not shorter any more, because the list was changed, is not told
        ("8-10 hours or 3 months", "10", 93, "8-10 hours or 3 months"),
        ("8-10 hours or 3 months", "12", 40, "8-10 hours or 3 months; 40 days on this machine"),
        ("20 days", None, 20, "20 days"),
        # an occasion has no limit
        ("each bobbin", "4", 4, "each bobbin"),
    ],
)
def test_an_intervals_words_tell_what_holds_on_this_machine(
    every: str, hours: str | None, days: int | None, words: str
) -> None:
    book = read_interval(every)
    here = book.at_most(None if hours is None else Fraction(hours), days)
    assert (here.words, here.book_words) == (words, book.words)
    if words == book.words:
        assert here == book


def test_no_step_is_longer_than_the_shorter_interval() -> None:
    machine = shorter(hook("10 hours or 1 week, then 100 hours or 3 years"), Fraction(7), 30)
    for times in (1, 2, 5):
        step = machine.point_list.points[0].every.step(times)
        assert step.limit_hours(machine.speed) == 7
        assert step.at_rest == (None, 7 if times == 1 else 30)
        assert step.in_book == read_interval("10 hours or 1 week, then 100 hours or 3 years").step(
            times
        )


@pytest.mark.parametrize(
    ("every", "days", "at_rest"),
    [
        # a month is at most 28 days where days hold instead: no month is shorter
        ("1 month", 27, (None, 27)),
        ("1 month", 28, (None, 28)),
        ("1 month", 29, (None, 28)),
        ("1 month", 30, (None, 28)),
        # and at least 31 where it holds: no month is longer
        ("1 month", 31, (1, None)),
        ("12 months", 340, (None, 336)),
        ("12 months", 372, (12, None)),
        # days are days
        ("4 weeks", 27, (None, 27)),
        ("4 weeks", 28, (None, 28)),
        ("4 weeks", 29, (None, 28)),
    ],
)
def test_a_shorter_limit_at_rest_is_never_longer_than_the_months_whichever_they_are(
    every: str, days: int, at_rest: tuple[int | None, int | None]
) -> None:
    assert read_interval(every).at_most(None, days).step(1).at_rest == at_rest


@counted
@given(
    st.integers(1, 36),
    st.integers(1, 1200),
    st.dates(date(2023, 1, 1), date(2028, 12, 31)),
    st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(1, 4), Fraction(7, 10)]),
)
def test_from_any_day_days_that_hold_end_before_the_months_and_the_days_they_are(
    months: int, days: int, done: date, factor: Fraction
) -> None:
    book, short = (
        read_interval(f"{months} months"),
        read_interval(f"{months} months").at_most(None, days),
    )
    ends = [
        allowance(
            each.step(1), speed=Speed(), share=Fraction(1), factors=Factors(time=factor)
        ).due_by_time(done)
        for each in (book, short)
    ]
    assert ends[0] is not None and ends[1] is not None
    assert ends[1] <= ends[0]
    assert ends[1] <= done + timedelta(days=days)


def test_a_point_at_home_is_shorter_too_and_one_that_is_gone_from_the_list_is_ignored() -> None:
    able = a_point(
        "a",
        every="200 hours or 12 months",
        every_home=read_interval("20 hours or 6 months"),
        keeper="owner",
    )
    point_list = a_chart(able, a_point("b"))
    short = with_shorter_intervals(point_list, [a_limit("a", hours=5), a_limit("gone", days=3)])
    assert [point.every.here for point in short.points] == ["5 hours on this machine", ""]
    assert short.points[0].every_home is not None
    assert short.points[0].every_home.words == "20 hours or 6 months; 5 hours on this machine"
    assert short.points[1] is point_list.points[1]
    assert with_shorter_intervals(point_list, []) is point_list


def test_a_list_with_shorter_intervals_is_no_more_doubtful_than_the_book() -> None:
    point_list = hook("8-10 hours or 3 months", access=None).point_list
    short = with_shorter_intervals(point_list, [a_limit(hours=3, days=30)])
    told = [
        [
            (each.key, each.odd)
            for each in doubts(each_chart, ModelDrawings(), spreads=(), nevers=(), least_days=60)
        ]
        for each_chart in (point_list, short)
    ]
    assert told[0] == told[1]


def test_an_explanation_shows_the_books_limit_and_the_shorter_one() -> None:
    standing = reckoning(shorter(hook("480000 stitches or 3 months"), Fraction(21), 30))
    lines = explanation(standing.schedule(TODAY), standing, "hook", way_back="as you like")
    assert (
        "Book interval: 480000 stitches or 3 months. Source: common practice, no source." in lines
    )
    at = lines.index(
        "Its own interval: 21 hours or 30 days on this machine, since 25 Nov 2026, found dry "
        "before its limit that day."
    )
    assert lines[at + 1] == "  back to the book's: as you like"
    at = lines.index("  / 25 % needle time = 40 hours at the machine")
    assert lines[at + 1 : at + 3] == [
        "  shorter on this machine: 21 hours",
        "Limit at rest: 30 days on this machine: 2026-04-01.",
    ]
    # a limit of use where the book's step has none
    short = reckoning(shorter(hook("12 months"), Fraction(21)))
    lines = explanation(short.schedule(TODAY), short, "hook", way_back="")
    assert (
        lines[lines.index("Limit of use in the book: none.") + 1]
        == "  shorter on this machine: 21 hours"
    )


parts = st.tuples(
    st.integers(1, 400),
    st.integers(1, 36),
    st.sampled_from(["hours", "needle hours", "stitches"]),
    st.booleans(),
)
everies = st.lists(
    parts.map(lambda part: f"{part[0]} {part[2]} or {part[1]} {'months' if part[3] else 'weeks'}"),
    min_size=1,
    max_size=3,
).map(", then ".join)
rates = st.tuples(st.integers(0, 4_000), st.integers(0, 4_000)).map(
    lambda pair: (min(pair), max(pair))
)
shares = st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(1, 4), Fraction(7, 10)])


def sewn(every: str, rate: tuple[int, int], factors: Factors, times: int) -> Machine:
    """A machine done so many times, a year apart and last on DONE, at a rate in hundredths of an
    hour a week."""
    condition = Condition(id="x", name="x", about="", factors={Work.OIL: factors})
    machine = a_machine(
        a_point(every=every),
        use=f"{rate[0] / 100}-{rate[1] / 100} hours a week",
        said=DONE,
        served=DONE,
    )
    services = tuple(
        Service(on=DONE.replace(year=DONE.year - back), done=frozenset({"hook"}))
        for back in reversed(range(times))
    )
    return replace(machine, conditions=(condition,), services=services)


def due(machine: Machine) -> tuple[date, date, date]:
    """Earliest, likely and latest."""
    window = reckoning(machine).due(machine.point_list.points[0])
    assert (
        window is not None
        and window.earliest is not None
        and window.likely is not None
        and window.latest is not None
    )
    return window.earliest, window.likely, window.latest


@counted
@given(
    everies,
    rates,
    st.builds(Factors, use=shares, time=shares),
    st.integers(1, 3),
    st.none() | st.fractions(Fraction(1, 10), 300, max_denominator=40),
    st.none() | st.integers(1, 1200),
)
def test_a_shorter_interval_never_moves_a_date_later(
    every: str,
    rate: tuple[int, int],
    factors: Factors,
    times: int,
    hours: Fraction | None,
    days: int | None,
) -> None:
    machine = sewn(every, rate, factors, times)
    short = shorter(machine, hours, days)
    assert all(here <= book for here, book in zip(due(short), due(machine), strict=True))
    if days is not None:
        assert due(short)[2] <= DONE + timedelta(days=days)
    services = [reckoning(each).schedule(TODAY).services[0].deadline for each in (short, machine)]
    assert services[0] <= services[1]


@counted
@given(
    everies,
    rates,
    st.integers(0, 500),
    st.fractions(Fraction(1, 10), 300, max_denominator=40),
    st.none() | st.integers(1, 1200),
)
def test_more_sewing_never_moves_a_date_later_with_a_shorter_interval(
    every: str, rate: tuple[int, int], more: int, hours: Fraction, days: int | None
) -> None:
    less_due = due(shorter(sewn(every, rate, Factors(), 1), hours, days))
    more_due = due(
        shorter(sewn(every, (rate[0] + more, rate[1] + more), Factors(), 1), hours, days)
    )
    assert more_due[0] <= less_due[0]
    assert more_due[2] <= less_due[2]
    # the likely use of a range from 0 is its middle, of any other the geometric mean
    if rate[0] or not more:
        assert more_due[1] <= less_due[1]


@counted
@given(
    everies,
    rates,
    st.builds(Factors, use=shares, time=shares),
    st.integers(1, 3),
    st.integers(1, 1200),
    st.sampled_from([DRY, BOTH]),
)
def test_a_proposal_lies_between_a_quarter_of_the_book_and_what_ran_and_is_made_once(
    every: str,
    rate: tuple[int, int],
    factors: Factors,
    times: int,
    days: int,
    words: tuple[Found, ...],
) -> None:
    machine = sewn(every, rate, factors, times)
    step = machine.point_list.points[0].every.step(times)
    offered = found(machine, days, words)
    if offered is None:
        return
    if offered.by_use is not None:
        book = step.book_hours(machine.speed)
        assert book is not None
        assert book / 4 <= offered.by_use.hours < book
        # in effect 0.7 of what ran, or a quarter of what the book allows
        assert offered.by_use.hours * factors.use <= max(
            Fraction(7, 10) * offered.by_use.after, book / 4 * factors.use
        )
    if offered.by_rest is not None:
        book_days = step.days or 28 * (step.months or 0)
        assert Fraction(book_days, 4) <= offered.by_rest.days < book_days
        assert offered.by_rest.after == days
    accepted = offered.own_interval(TODAY)
    assert found(shorter(machine, accepted.hours, accepted.days), days, words) is None


# of oil never less than a half is left
oil_shares = st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(7, 10)])


@counted
@given(st.integers(1, 400), st.integers(1, 60), st.integers(1, 400), oil_shares)
def test_hours_proposed_are_seven_tenths_of_what_ran_or_a_quarter_of_the_book(
    limit: int, hourly: int, days: int, factor: Fraction
) -> None:
    # so many tenths of an hour a day, so that what ran is known without a curve
    condition = Condition(id="x", name="x", about="", factors={Work.OIL: Factors(use=factor)})
    machine = replace(
        hook(f"{limit} hours or 9 years", f"{hourly / 10} hours a day"), conditions=(condition,)
    )
    offered = found(machine, days, DRY)
    tenths = hourly * days  # as they ran
    if Fraction(tenths, 10) >= limit * factor:
        assert offered is None
        return
    exact = tenths / factor * 7 / 100
    expected = max(Fraction(int(exact * 10), 10), Fraction(limit, 4))
    assert limits(offered) == ((expected, None) if expected < limit else (None, None))


@counted
@given(st.integers(2, 1200), st.integers(1, 1300), oil_shares)
def test_days_proposed_are_seven_tenths_of_those_since_or_a_quarter_of_the_book(
    limit: int, days: int, factor: Fraction
) -> None:
    condition = Condition(id="x", name="x", about="", factors={Work.OIL: Factors(time=factor)})
    offered = found(replace(hook(f"{limit} days"), conditions=(condition,)), days, GUMMED)
    if days > int(limit * factor):
        assert offered is None
        return
    expected = max(int(days / factor * Fraction(7, 10)), -(-limit // 4))
    assert limits(offered) == (None, expected if expected < limit else None)


amounts = st.none() | st.integers(1, 50)


@counted
@given(amounts, amounts, amounts, amounts)
def test_a_later_proposal_never_lengthens(
    hours: int | None, days: int | None, more_hours: int | None, more_days: int | None
) -> None:
    first = a_limit(hours=hours, days=days, since=DONE, found_on=DONE)
    second = a_limit(hours=more_hours, days=more_days, since=TODAY, found_on=SERVED)
    both = first.tightened(second)
    assert (both.since, both.found_on) == (TODAY, SERVED)
    for each in (first, second):
        assert each.hours is None or (both.hours is not None and both.hours <= each.hours)
        assert each.days is None or (both.days is not None and both.days <= each.days)
    assert both.hours in (first.hours, second.hours) and both.days in (first.days, second.days)


# words


@pytest.mark.parametrize(
    ("machine", "days", "words", "said"),
    [
        (
            hook("8-10 hours or 3 months"),
            6,
            DRY,
            "hook found dry after 6 of 10 hours: every 4.2 hours",
        ),
        (
            hook("8-10 hours or 3 months", "6.5 hours a week"),
            9,
            DRY,
            "hook found dry after 8.3 of 10 hours: every 5.8 hours",
        ),
        (
            hook("8-10 hours or 3 months", runs=Runs.ZIGZAG),
            20,
            DRY,
            "hook found dry after 6 of 10 zigzag hours: every 4.2 zigzag hours",
        ),
        (
            hook("3 months"),
            40,
            GUMMED,
            "hook found gummed after 40 days of 3 months: every 28 days",
        ),
        (hook("1 month"), 1, GUMMED, "hook found gummed after 1 day of 1 month: every 8 days"),
        (hook("2 days"), 1, GUMMED, "hook found gummed after 1 day of 2 days: every 1 day"),
        (
            hook("3 months"),
            40,
            BOTH,
            "hook found dry and gummed after 40 days of 3 months: every 28 days",
        ),
        (
            hook("300 hours or 3 months"),
            40,
            BOTH,
            "hook found dry after 40 of 300 hours and gummed after 40 days of 3 months: every 75 "
            "hours or 28 days",
        ),
    ],
)
def test_a_proposal_is_told_in_one_line(
    machine: Machine, days: int, words: tuple[Found, ...], said: str
) -> None:
    offered = found(machine, days, words)
    assert offered is not None
    assert proposal_words(offered, accepted=False) == f"{said} from now on?"
    assert proposal_words(offered, accepted=True) == f"{said} from now on, on this machine."


def test_a_proposal_under_a_condition_shows_the_factor_on_both_sides() -> None:
    lint = Condition(
        id="lint", name="lint", about="", factors={Work.OIL: Factors(use=Fraction(1, 2))}
    )
    offered = found(replace(hook("8-10 hours or 3 months"), conditions=(lint,)), 3, DRY)
    assert offered is not None
    said = (
        "hook found dry after 3 of 10 hours x 0.5 (lint): every 4.2 hours x 0.5 (lint) from now "
        "on, on this machine."
    )
    assert proposal_words(offered, accepted=True) == said


def test_a_shorter_interval_is_told_with_its_day_and_why() -> None:
    limit = replace(a_limit(hours=Fraction(43, 10), days=1), found=BOTH)
    assert (limit_words(limit), since_words(limit)) == (
        "4.3 hours or 1 day",
        "since 25 Nov 2026, found dry and gummed before its limit that day",
    )
    later = a_limit(hours=1, found_on=DONE)
    assert (limit_words(later), since_words(later)) == (
        "1 hour",
        "since 25 Nov 2026, found dry before its limit on 2 Mar 2026",
    )


def test_machines_alike_share_their_limits_but_not_with_one_that_has_a_shorter_interval() -> None:
    book, shared = hook("8-10 hours or 3 months"), AllowanceCache()
    short = shorter(book, Fraction(4))
    assert shared.of(book) is shared.of(replace(book, number="M-002"))
    assert [
        shared.of(each).of(each.point_list.points[0])[0].every_hours for each in (book, short, book)
    ] == [10, 4, 10]


# the shop

TOLD = (
    "serviced M-001 --yes --check Amsel=pass --found hook-race-oil=gummed "
    "--found needle-bar-oil=dry --found belt-inspect=worn"
)
RACE = "hook-race-oil found gummed after 21 days of 3 months: every 23 days from now on"
BAR = "needle-bar-oil found dry after 9 of 10 hours: every 6.3 hours from now on"


@pytest.fixture
def served_shop(fresh_shop: Shop) -> Shop:
    """A shop with a machine that was used 3 hours a week for the three weeks since its service."""
    add_owner(fresh_shop, name="Ida", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    record_use(fresh_shop, "M-001", "3 hours a week", SERVED)
    record_service(fresh_shop, "M-001", SERVED)
    return fresh_shop


def rows(shop: Shop) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(shop.folder / "shop.db")) as book:
        return book.execute(
            "SELECT point_id, hours, days, accepted_on, found, found_on FROM shortened ORDER BY "
            "point_id"
        ).fetchall()


def said(run: Run, shop: Shop, words: str) -> list[str]:
    result = run(*shlex.split(words), shop=shop.folder)
    assert result.exit_code == 0, result.stderr
    return result.stdout.splitlines()


def every(run: Run, shop: Shop, point: str) -> dict[str, Any]:
    plans = json.loads("\n".join(said(run, shop, "schedule M-001 --json")))["points"]
    return next(plan for plan in plans if plan["id"] == point)


def test_a_service_proposes_and_only_accept_shortens(served_shop: Shop, run: Run) -> None:
    lines = said(run, served_shop, TOLD)
    asks = "? Say yes with the same command and --accept."
    assert [line for line in lines if "found" in line] == [f"{BAR}{asks}", f"{RACE}{asks}"]
    assert rows(served_shop) == []
    assert every(run, served_shop, "needle-bar-oil")["every"] == "8-10 hours or 3 months"

    again = said(run, served_shop, f"{TOLD} --accept")
    assert [line for line in again if "found" in line] == [
        f"{BAR}, on this machine.",
        f"{RACE}, on this machine.",
    ]
    assert again[0] == lines[0]
    # told again to accept, it is not kept twice
    assert len(the_machine(served_shop, "M-001").services) == 2
    assert rows(served_shop) == [
        ("hook-race-oil", None, 23, "2026-11-25", "gummed", "2026-11-25"),
        ("needle-bar-oil", "63/10", None, "2026-11-25", "dry", "2026-11-25"),
    ]
    bar, race = every(run, served_shop, "needle-bar-oil"), every(run, served_shop, "hook-race-oil")
    assert (bar["every"], bar["every_hours"], bar["every_months"]) == (
        "8-10 hours or 3 months; 6.3 hours on this machine",
        6.3,
        3,
    )
    assert (race["every_hours"], race["every_months"], race["every_days"]) == (8, None, 23)
    assert race["due"]["latest"] <= "2026-12-16"
    # no other machine and no list is touched
    listed = the(served_shop.library.point_list("heron-3").point("needle-bar-oil"), "such point")
    assert listed.every.here == ""
    assert "No shorter interval is proposed" in said(run, served_shop, f"{TOLD} --accept")[-1]


def test_of_two_machines_alike_only_the_one_accepted_for_falls_due_earlier_and_goes_back(
    served_shop: Shop, run: Run
) -> None:
    add_machine(served_shop, owner="Ida", model="heron-3", serial="", note="")
    record_use(served_shop, "M-002", "3 hours a week", SERVED)
    for on in (SERVED, TODAY):
        record_service(served_shop, "M-002", on)

    def dues() -> list[dict[str, str]]:
        listed = json.loads("\n".join(said(run, served_shop, "due --all --json")))
        return [each["due"] for each in sorted(listed, key=lambda each: each["machine"])]

    told = "serviced M-001 --yes --check Amsel=pass --found connecting-rod-oil=gummed"
    said(run, served_shop, told)
    book = dues()
    assert book[0] == book[1] == dict.fromkeys(CASES, "2027-11-25")
    said(run, served_shop, f"{told} --accept")
    # 21 days of 12 months: a quarter, 92 days
    assert dues() == [dict.fromkeys(CASES, "2027-02-25"), book[1]]
    said(run, served_shop, "machine edit M-001 --book-intervals")
    assert dues() == book


def test_what_is_told_besides_of_a_service_of_that_day_is_added_to_it(
    served_shop: Shop, run: Run
) -> None:
    said(run, served_shop, TOLD)
    said(run, served_shop, f"{TOLD} --left belt-inspect=watch --accept")
    first, second = the_machine(served_shop, "M-001").services
    assert (first.on, second.on) == (SERVED, TODAY)
    assert [each.point for each in second.findings if each.left] == ["belt-inspect"]
    assert len(rows(served_shop)) == 2


def test_a_service_told_at_once_with_accept_is_kept_once_and_shortens(
    served_shop: Shop, run: Run
) -> None:
    lines = said(run, served_shop, f"{TOLD} --accept")
    assert lines[-3:] == [
        f"{BAR}, on this machine.",
        f"{RACE}, on this machine.",
        "Back to the book's: machine edit M-001 --book-intervals",
    ]
    assert len(the_machine(served_shop, "M-001").services) == 2
    assert len(rows(served_shop)) == 2


def test_a_limit_in_the_book_only_gets_shorter(served_shop: Shop, run: Run) -> None:
    said(run, served_shop, f"{TOLD} --accept")
    later = [
        "--on",
        "2026-12-02",
        "--found",
        "needle-bar-oil=gummed,dry",
        "--found",
        "hook-race-oil=dry,gummed",
        "--accept",
    ]
    result = run("serviced", "M-001", *TESTED, *later, shop=served_shop.folder, today="2026-12-09")
    # 3 hours of 10 are 2.1, and a quarter is 2.5; 7 days of 3 months are 4, and a quarter is 23
    assert (
        "needle-bar-oil found dry after 3 of 10 hours and gummed after 7 days of 3 months: every "
        "2.5 hours or 23 days" in result.stdout
    )
    assert (
        "hook-race-oil found dry after 3 of 8 hours: every 2.1 hours from now on, on this machine."
        in result.stdout
    )
    assert rows(served_shop) == [
        ("hook-race-oil", "21/10", 23, "2026-12-09", "dry", "2026-12-02"),
        ("needle-bar-oil", "5/2", 23, "2026-12-09", "dry, gummed", "2026-12-02"),
    ]


def test_a_machine_freed_earlier_on_the_day_proposes_nothing(served_shop: Shop, run: Run) -> None:
    record_service(served_shop, "M-001", TODAY, freed=True)
    assert not any("found" in line for line in said(run, served_shop, TOLD))


def test_shorter_intervals_are_told_and_taken_back(served_shop: Shop, run: Run) -> None:
    said(run, served_shop, f"{TOLD} --accept")
    [machine] = json.loads("\n".join(said(run, served_shop, "machine list --json")))
    assert machine["shortened"] == [
        {
            "point": "hook-race-oil",
            "hours": None,
            "days": 23,
            "since": "2026-11-25",
            "found": ["gummed"],
            "found_on": "2026-11-25",
        },
        {
            "point": "needle-bar-oil",
            "hours": 6.3,
            "days": None,
            "since": "2026-11-25",
            "found": ["dry"],
            "found_on": "2026-11-25",
        },
    ]
    told = said(run, served_shop, "machine show M-001")
    assert (
        "Shorter interval  Needle bar, below the head: every 6.3 hours, since 25 Nov 2026, found "
        "dry before its limit that day" in told
    )
    assert any(
        "6.3 hours on this machine" in line for line in said(run, served_shop, "schedule M-001")
    )
    own = every(run, served_shop, "needle-bar-oil")["shortened"]
    assert own == {
        "hours": 6.3,
        "days": None,
        "since": "2026-11-25",
        "found": ["dry"],
        "found_on": "2026-11-25",
    }
    assert every(run, served_shop, "belt-inspect")["shortened"] is None
    explained = said(run, served_shop, "schedule M-001 --explain needle-bar-oil")
    at = explained.index(
        "Its own interval: 6.3 hours on this machine, since 25 Nov 2026, found dry before its "
        "limit that day."
    )
    assert (
        explained[at + 1]
        == "  back to the book's: machine edit M-001 --book-interval needle-bar-oil"
    )
    back = said(run, served_shop, "machine edit M-001 --book-interval needle-bar-oil")
    assert back[-1] == "Shorter on this machine: hook-race-oil every 23 days."
    assert every(run, served_shop, "needle-bar-oil")["every"] == "8-10 hours or 3 months"
    refused = run(
        "machine", "edit", "M-001", "--book-interval", "needle-bar-oil", shop=served_shop.folder
    )
    assert refused.exit_code == 1
    assert refused.stderr == (
        'oilchart: M-001: point "needle-bar-oil": its interval is the book\'s already; there are: '
        "hook-race-oil\n"
    )
    assert (
        said(run, served_shop, "machine edit M-001 --book-intervals")[-1]
        == "All its intervals are the book's."
    )
    assert rows(served_shop) == []


def test_the_checklist_of_the_machine_shows_them_on_paper_and_screen(
    served_shop: Shop, run: Run, tmp_path: Any
) -> None:
    said(run, served_shop, f"{TOLD} --accept")
    said(run, served_shop, "checklist M-001 -o bench.html")
    assert "8-10 hours or 3 months; 6.3 hours on this machine" in (
        tmp_path / "bench.html"
    ).read_text(encoding="utf-8")
    said(run, served_shop, "checklist --model heron-3 -o model.html")
    assert "on this machine" not in (tmp_path / "model.html").read_text(encoding="utf-8")


def test_a_point_that_the_list_has_no_more_is_ignored_and_can_be_taken_back(
    served_shop: Shop, run: Run
) -> None:
    said(run, served_shop, f"{TOLD} --accept")
    with closing(sqlite3.connect(served_shop.folder / "shop.db")) as book:
        book.execute("UPDATE shortened SET point_id = 'gone-oil' WHERE point_id = 'hook-race-oil'")
        book.commit()
    assert every(run, served_shop, "hook-race-oil")["every"] == "4-8 hours or 3 months"
    assert any(
        "gone-oil: every 23 days" in line for line in said(run, served_shop, "machine show M-001")
    )
    assert said(run, served_shop, "machine edit M-001 --book-interval gone-oil")[-1].startswith(
        "Shorter on this machine: needle-bar-oil"
    )


@pytest.mark.parametrize(
    ("damage", "where"),
    [
        ("hours = 'six'", 'the shorter interval of point "needle-bar-oil" is damaged'),
        ("hours = '63/0'", 'the shorter interval of point "needle-bar-oil" is damaged'),
        ("hours = '-6'", 'the shorter interval of point "needle-bar-oil" is damaged'),
        ("days = 'ten'", '"days" in table "shortened" is damaged'),
        ("days = 0", 'the shorter interval of point "needle-bar-oil" is damaged'),
        ("found = 'odd'", 'the shorter interval of point "needle-bar-oil" is damaged'),
        ("found_on = 'Monday'", "a day of a shorter interval is damaged"),
        ("accepted_on = 'Monday'", "a day of a shorter interval is damaged"),
    ],
)
def test_a_damaged_row_is_told_in_one_line(
    damage: str, where: str, served_shop: Shop, run: Run
) -> None:
    said(run, served_shop, f"{TOLD} --accept")
    with closing(sqlite3.connect(served_shop.folder / "shop.db")) as book:
        book.execute(f"UPDATE shortened SET {damage} WHERE point_id = 'needle-bar-oil'")
        book.commit()
    result = run("schedule", "M-001", shop=served_shop.folder)
    assert result.exit_code == 1
    assert result.stderr == f"oilchart: shop book: {where}; bring back a copy of the book\n"
