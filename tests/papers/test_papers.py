"""What stands on the card and the checklist, as words before they are ink."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest

from oilchart.core.days import OpenDays, months_words
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Notice, Schedule
from oilchart.core.point_lists.point_list import Work
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.card.content import CareCard
from oilchart.papers.heard_words import heard
from oilchart.papers.wording import minutes_words
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.words.reader import read_report
from tests.builders.drawn import care_card, checklist
from tests.builders.make import TODAY, a_machine, a_point, loose_schedule
from tests.builders.present import the

SHOP = ShopDetails(name="Tidelane", phone="01632 960100", invented=True)
SHELF = PointLibrary([packaged("points")])


def schedule_of(
    model: str, use: str | None = "5-8 hours a week", served: date | None = TODAY
) -> Schedule:
    return loose_schedule(SHELF.point_list(model), use, served, TODAY, WITHOUT_A_SHOP)


def card_of(schedule: Schedule) -> CareCard:
    return care_card(schedule, shop=SHOP, owner="Ida Brandvold")


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_a_card_has_every_point_of_the_owner_once_and_none_of_the_benchs(model: str) -> None:
    card = card_of(schedule_of(model))
    lines = [line for group in card.groups for line in group.lines]
    owners = {
        the(point.home, "words for the home"): point.number
        for point in SHELF.point_list(model).for_owner(()).points
        if point.keeper == "owner"
    }
    assert sorted(line.place for line in lines) == sorted(owners)
    numbers = {line.place: line.number for line in lines if line.number is not None}
    assert numbers == {place: owners[place] for place in numbers}
    assert card.pictures
    assert sorted(
        callout.number for picture in card.pictures for callout in picture.callouts
    ) == sorted(numbers.values())


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_a_card_always_says_when_to_stop_and_what_never_to_do_at_home(model: str) -> None:
    point_list = SHELF.point_list(model)
    card = card_of(schedule_of(model))
    signs, never = " ".join(card.home.stop_signs), " ".join(card.home.never_at_home)
    assert all(sign in signs for sign in ("stiff", "knocks"))
    assert all(
        words in never for words in ("tension and timing screws", "solvents", "stuck", "air")
    )
    assert len(card.do_not) >= 4
    electric = [
        card.home.stop_heading == "Stop, unplug, ring us",
        all(sign in signs for sign in ("tingles", "burning", "by itself", "very hot")),
        all(words in never for words in ("motor", "pedal", "plug")),
        "plug out of the wall" in card.before,
    ]
    assert electric == [("plug" in point_list.has)] * 4
    assert ("belt off the hand wheel" in card.before) == ("treadle" in point_list.has)
    assert ("Fold the crank" in card.before) == ("crank" in point_list.has)


def test_a_card_groups_by_rhythm_the_most_frequent_first_and_says_both_weeks_and_hours() -> None:
    points = [
        a_point("a", every="20 hours or 6 months", keeper="owner"),
        a_point("b", every="each bobbin", keeper="owner"),
        a_point("c", every="10 hours or 3 months", keeper="owner"),
        a_point("d", every="1 hours or 3 months", keeper="owner"),
        a_point("e", every="each sewing day", keeper="owner"),
    ]
    machine = a_machine(*points, use="9 hours a week", served=TODAY)
    card = card_of(Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY))
    assert [
        (group.heading, group.note, [line.place for line in group.lines]) for group in card.groups
    ] == [
        # a point that no rhythm fits comes first, by its hours
        ("About every 1 hour of sewing", "", ["the place of d"]),
        ("With each new bobbin", "", ["the place of b"]),
        ("Each day you sew", "", ["the place of e"]),
        ("Every week", "about every 10 hours of sewing", ["the place of c"]),
        ("Every 2 weeks", "about every 20 hours of sewing", ["the place of a"]),
    ]


def test_a_card_names_the_month_of_the_next_service_never_a_day() -> None:
    card = card_of(schedule_of("heron-3"))
    assert card.next_service == "June 2027"
    assert card.how == (
        "The times come from “5-8 hours a week”, as you told us in November 2026, and hold while "
        "that holds.",
    )


def test_an_old_report_is_told_by_itself_whatever_stands_before_it() -> None:
    schedule = schedule_of("heron-3")
    told = replace(schedule, notices=(Notice.ASSUMED_BACKWARDS, Notice.OLD_REPORT))
    assert card_of(told).how[1:] == (
        "We took it that you sewed as much before you told us.",
        "You last told us more than a year ago: please tell us how much you sew now.",
    )


def test_a_card_without_a_report_says_so() -> None:
    card = card_of(schedule_of("heron-3", use=None))
    assert any("have not told us" in line for line in card.how)
    assert card.next_service == "November 2027"


def test_a_card_for_a_machine_never_served_asks_for_it() -> None:
    assert (
        card_of(schedule_of("heron-3", served=None)).next_service == "as soon as you can bring it"
    )


@pytest.mark.parametrize("model", SHELF.model_ids())
def test_a_checklist_has_every_point_once_in_working_order(model: str) -> None:
    point_list = SHELF.point_list(model)
    whole = checklist(point_list, on=TODAY)
    assert sorted(step.id for step in whole.steps) == sorted(
        point.id for point in point_list.points
    )
    assert [step.number for step in whole.steps] == list(range(1, len(whole.steps) + 1))
    assert whole.stages[0].id == "as-received"
    assert whole.stages[-1].id == "test"
    order = [work.capitalize() for work in Work]
    for stage in whole.stages:
        works = [order.index(step.work) for step in stage.steps]
        assert works == sorted(works)
    assert {stage.id for stage in whole.stages if stage.caution is None} <= {
        "control",
        "drive",
        "closing",
    }
    assert "seized" not in [stage.id for stage in whole.stages]
    assert [stage.id for stage in checklist(point_list, on=TODAY, seized=True).stages][
        1
    ] == "seized"


def test_a_checklist_of_a_machine_puts_off_the_deep_work_that_can_wait() -> None:
    schedule = schedule_of("heron-3")
    whole = checklist(SHELF.point_list("heron-3"), on=TODAY, schedule=schedule)
    later = {step.id: step.later for step in whole.steps if step.later}
    planned = {point.id for point in schedule.services[0].points}
    assert (
        later.keys()
        == {point.id for point in SHELF.point_list("heron-3").points if point.deep} - planned
    )
    assert later["needle-bar-frame-clean"] == "not this time: due May 2028"
    assert {step.later for step in checklist(SHELF.point_list("heron-3"), on=TODAY).steps} == {None}


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ("5-8 hours a week", "5 to 8 hours a week, likely 6.32."),
        ("6 hours a week; idle Jul-Aug", "6 hours a week; nothing in July and August, every year."),
        ("40 minutes a day", "4.67 hours a week."),
        ("none", "no sewing at all."),
        ("idle Nov-Feb", "nothing in November to February, every year."),
        (
            "120 hours since 2026-03-01",
            "120 hours since Sun 1 Mar 2026. In 269 days: that is 3.12 hours a week.",
        ),
        (
            "0-4 hours a week",
            "0 to 4 hours a week, likely 1.26. From so little to so much: to which is it nearer?",
        ),
        ("4 hours a week; busy Oct-Dec x2", "3.2 hours a week, 6.4 from October to December."),
        (
            "200 hours a year; idle Jan-Jun",
            "200 hours a year; nothing in January to June, every year. That is 7.61 hours a week.",
        ),
        (
            "6 hours since 2026-11-24",
            "6 hours since Tue 24 Nov 2026. That is 42 hours a week: is it always so?",
        ),
        (
            "nothing since May",
            "0 hours since Fri 1 May 2026. And from now on?",
        ),
    ],
)
def test_what_was_heard_is_said_back_in_one_sentence(words: str, sentence: str) -> None:
    assert heard(read_report(words, TODAY)) == sentence


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ({7}, "July"),
        ({7, 8}, "July and August"),
        ({12, 1, 2}, "December to February"),
        ({1, 7}, "January; July"),
        (set(range(1, 13)), "every month"),
    ],
)
def test_months_are_put_into_words(months: set[int], words: str) -> None:
    assert months_words(frozenset(months)) == words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(1, "about 5 min"), (55, "about 55 min"), (60, "about 1 h"), (61, "about 1 h 5 min")],
)
def test_minutes_are_rounded_up_to_five(minutes: int, words: str) -> None:
    assert minutes_words(Fraction(minutes)) == words


def test_a_checklist_says_what_its_dates_come_from() -> None:
    told = checklist(
        SHELF.point_list("heron-3"), on=TODAY, schedule=schedule_of("heron-3", use=None)
    ).notes
    assert told == (
        "Nothing is known of its use: only the limits at rest count. "
        "Ask the owner about the hours.",
    )
    assert checklist(
        SHELF.point_list("heron-3"), on=TODAY, schedule=schedule_of("heron-3")
    ).notes == ("Use as told: 5-8 hours a week",)
