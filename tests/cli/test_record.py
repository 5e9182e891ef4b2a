"""The record of a machine's visit, from what was told by commands to what its owner reads."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from oilchart.core.records.findings import Found
from oilchart.core.records.machine_record import MachineRecord
from oilchart.shop.folder import Shop
from tests.builders.ink_checks import pages_of, words_in
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    check_in,
    collect,
    record_service,
    standing_of,
    the_machine,
)
from tests.conftest import Run

Say = Callable[..., str]
LATER = date(2026, 12, 2)


@pytest.fixture
def bernadette(fresh_shop: Shop) -> Shop:
    """A shop with one mains machine, served a year ago, which came in today."""
    add_owner(fresh_shop, name="Bernadette Quill", phone="020 7946 0111")
    add_machine(fresh_shop, owner="Bernadette", model="heron-3", serial="H3")
    record_service(fresh_shop, "M-001", date(2025, 12, 10))
    check_in(fresh_shop, "M-001", "E6 on display, needle jams", TODAY)
    return fresh_shop


@pytest.fixture
def say(bernadette: Shop, run: Run) -> Say:
    """Give a command that must succeed; what it prints."""

    def command(*words: str, today: date = TODAY) -> str:
        result = run(*words, shop=bernadette.folder, today=today)
        assert result.exit_code == 0, result.output
        return str(result.output)

    return command


def record_of(say: Say, folder: Path, today: date = TODAY) -> bytes:
    say("record", "M-001", "-o", "record.pdf", today=today)
    return (folder / "record.pdf").read_bytes()


def places_named(shop: Shop, words: str) -> list[str]:
    """The technicians' names of places that stand in a text."""
    points = shop.library.point_list("heron-3").points
    return [point.id for point in points if f"{point.number} {point.where}" in words]


def lamp_carried_over(shop: Shop, on: date) -> date | None:
    plan = standing_of(Shop(shop.folder, on), "M-001").schedule.plan("lamp-inspect")
    return None if plan is None else plan.carried_over


def found_at(record: MachineRecord, point: str) -> tuple[Found, ...]:
    _, service = record.services
    return next(each.found for each in service.findings if each.point == point)


def test_two_weeks_of_service_and_a_part_are_one_service_and_one_record(
    bernadette: Shop, say: Say, tmp_path: Path
) -> None:
    worn = ("--found", "motor-brushes-inspect=worn", "--left", "motor-brushes-inspect=part-ordered")
    dry = ("--found", "connecting-rod-oil=dry")
    say("serviced", "M-001", *dry, *worn, "--except", "44=no bulb here", "--by", "J. Tarn",
        "--check", "R. Amsel=pass", "--yes")  # fmt: skip
    ordered = words_in(record_of(say, tmp_path))
    assert "Parts on order: Motor brushes, both sides. We ring you" in ordered
    say("fixed", "M-001", "new brushes fitted", "--part", "motor brushes",
        "--point", "motor-brushes-inspect=good", today=LATER)  # fmt: skip
    collect(Shop(bernadette.folder, LATER), "M-001", LATER)
    words = words_in(record_of(say, tmp_path, LATER))
    wanted = (
        "In the shop from Wednesday 25 November 2026 to Wednesday 2 December 2026",
        "“E6 on display, needle jams”",
        "Dry, no oil left: Connecting rod, upper bearing on the arm shaft.",
        "Worn: Motor brushes, both sides.",
        "New brushes fitted: part: motor brushes; 2 December 2026.",
        "On Wednesday 25 November 2026, by J. Tarn.",
        "Mains test: passed, R. Amsel.",
        "Not done this time: Lamp, holder and shade. Why: no bulb here.",
    )
    assert [each for each in wanted if each not in words] == []
    assert "Parts on order" not in words
    assert "Nothing out of the ordinary" not in words
    record = the_machine(Shop(bernadette.folder, LATER), "M-001")
    assert found_at(record, "connecting-rod-oil") == (Found.DRY,)
    assert lamp_carried_over(bernadette, LATER) == TODAY


def test_a_service_without_ticks_names_no_place_and_claims_no_mains_test(
    bernadette: Shop, say: Say, tmp_path: Path
) -> None:
    say("serviced", "M-001", "--back-on", "2027-01-11", "--yes")
    pdf = record_of(say, tmp_path)
    words = words_in(pdf)
    assert len(pages_of(pdf)) == 1
    assert places_named(bernadette, words) == []
    assert "The whole list for this service, " in words
    assert "Mains test: not made this time." in words
    assert "Wanted back on Monday 11 January 2027 for what cannot wait: Insulation" in words
    # the test is made after all, in the same stay
    say("electrical", "M-001", "--by", "R. Amsel", "--pass", "--reading", "2.1 megohm")
    tested = words_in(record_of(say, tmp_path))
    assert "Mains test: passed, R. Amsel, 2.1 megohm." in tested
    assert "Wanted back" not in tested


def test_a_service_that_was_ticked_names_what_was_ticked_alone_on_the_back(
    bernadette: Shop, say: Say, tmp_path: Path
) -> None:
    say("serviced", "M-001", "--ticked", "1-8,18,32", "--except", "43=lead is off",
        "--check", "R. Amsel=pass", "--back-on", "2027-01-11", "--yes")  # fmt: skip
    front, back = pages_of(record_of(say, tmp_path))
    named, _, others = back.partition("Not done this time")
    points = bernadette.library.point_list("heron-3").points
    ticked = [point.id for point in points if point.number in (*range(1, 9), 18, 32)]
    assert sorted(places_named(bernadette, " ".join(named.split()))) == sorted(ticked)
    assert "lamp-inspect" in places_named(bernadette, " ".join(others.split()))
    assert "10 of the " in front and places_named(bernadette, " ".join(front.split())) == []


def test_the_record_of_an_unsafe_machine_begins_with_it_and_names_no_work_with_current(
    bernadette: Shop, say: Say, tmp_path: Path
) -> None:
    say("serviced", "M-001", "--unsafe", "the case is live", "--yes")
    words = words_in(record_of(say, tmp_path))
    assert words.index("Do not plug in the case is live") < words.index("What you told us")
    powered = [p.where for p in bernadette.library.point_list("heron-3").points if p.power]
    done, _, left = words.partition("What is left for later")
    assert len(powered) == 2
    assert [where for where in powered if where in done or where not in left] == []
    # once it is put right they may be done, and the danger stays in the story
    say("fixed", "M-001", "new lead fitted", today=LATER)
    say("electrical", "M-001", "--by", "R. Amsel", "--pass", today=LATER)
    say("serviced", "M-001", "--also", "48", "--also", "49", "--yes", today=LATER)
    after = words_in(record_of(say, tmp_path, LATER))
    assert "Do not plug in" not in after
    assert "Not safe to plug in: the case is live, found on 25 November 2026." in after
    assert "Safe to plug in again: check passed, R. Amsel, 2 December 2026." in after
    assert "48 Foot control under load (2 December 2026)" in after


def test_a_shop_that_has_its_tests_made_elsewhere_says_that_it_made_none(
    bernadette: Shop, say: Say, tmp_path: Path
) -> None:
    settings = bernadette.folder / "shop.toml"
    here = 'electrical_tests = "here"'
    assert here in settings.read_text()
    settings.write_text(settings.read_text().replace(here, 'electrical_tests = "elsewhere"'))
    say("serviced", "M-001", "--yes")
    words = words_in(record_of(say, tmp_path))
    assert "Mains test not made by us." in words
    assert "Insulation" not in words


def test_what_its_owner_is_to_read_stands_on_the_record_and_other_notes_do_not(
    say: Say, tmp_path: Path
) -> None:
    said = ("--for-owner", "Use our oil only", "--note", "paid in cash")
    say("serviced", "M-001", "--check", "R. Amsel=pass", *said, "--yes")
    words = words_in(record_of(say, tmp_path))
    assert "From the bench Use our oil only" in words
    assert "paid in cash" not in words


def test_a_stay_without_a_service_has_a_record(say: Say, tmp_path: Path) -> None:
    say("ready", "M-001", "--nothing-done")
    words = words_in(record_of(say, tmp_path))
    assert "“E6 on display, needle jams”" in words
    assert "No work was done this time." in words
