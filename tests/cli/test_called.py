"""What came of calls, through the command line: what follows by its dates, who is on which list,
and nobody lost in silence."""

from __future__ import annotations

import json
from datetime import date

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    open_calls,
    record_service,
    the_machine,
)
from tests.builders.snapshot import rows_in
from tests.conftest import Run

THURSDAY, FRIDAY, MONDAY = "2026-11-26", "2026-11-27", "2026-11-30"


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """Ida with one machine served two years ago, Bo with two."""
    for name, phone in (("Ida Brandvold", "020 7946 0107"), ("Bo Tarrowby", "020 7946 0121")):
        add_owner(fresh_shop, name=name, phone=phone, email="")
    for owner in ("Ida", "Bo", "Bo"):
        machine = add_machine(fresh_shop, owner=owner, model="heron-3", serial="", note="")
        record_service(fresh_shop, machine.number, date(2024, 11, 25))
    return fresh_shop


def planned(shop: Shop, run: Run, today: str = "2026-11-25") -> dict[str, dict[str, object]]:
    """The planned calls of two years by owner."""
    told = json.loads(
        run("--today", today, "calls", "--weeks", "104", "--json", shop=shop.folder).stdout
    )
    assert len({row["owner"] for row in told}) == len(told)
    return {row["owner"]: row for row in told}


def test_no_answer_is_tried_on_another_open_day_and_after_three_times_a_letter_is_proposed(
    shop: Shop, run: Run
) -> None:
    assert planned(shop, run)["Ida Brandvold"]["on"] == "2026-11-25"
    for today, again, tries in (
        ("2026-11-25", THURSDAY, 1),
        (THURSDAY, FRIDAY, 2),
        (FRIDAY, MONDAY, 3),
    ):
        told = run("--today", today, "called", "Ida", "no-answer", shop=shop.folder)
        assert f"({tries} time{'s' if tries > 1 else ''})" in told.stdout
        row = planned(shop, run, today)["Ida Brandvold"]
        assert (row["on"], row["tries"], row["promised"]) == (again, tries, again)
        assert ("A letter is proposed" in told.stdout) == (row["way"] == "letter") == (tries == 3)
    run("--today", MONDAY, "called", "Ida", "letter-sent", shop=shop.folder)
    row = planned(shop, run, MONDAY)["Ida Brandvold"]
    assert (row["on"], row["tries"], row["way"]) == ("2026-12-28", 0, "phone")


def test_a_message_is_given_a_week(shop: Shop, run: Run) -> None:
    told = run("called", "Ida", "left-message", "--note", "spoke to the machine", shop=shop.folder)
    assert told.stdout.splitlines() == [
        "OW-001 Ida Brandvold: left message (1 time).",
        "To be rung again on Wednesday 2 December 2026.",
    ]
    assert "spoke to the machine" in run("owner", "show", "Ida", shop=shop.folder).stdout


def test_who_was_reached_has_four_weeks_and_after_two_rounds_is_let_be(
    shop: Shop, run: Run
) -> None:
    run("called", "Ida", "reached", shop=shop.folder)
    assert planned(shop, run)["Ida Brandvold"]["on"] == "2026-12-23"
    told = run("--today", "2026-12-23", "called", "Ida", "reached", shop=shop.folder)
    assert "Two rounds have passed" in told.stdout
    assert "Ida Brandvold" not in planned(shop, run, "2026-12-23")
    # she has time to come in; then she is lapsed: on a list of her own, and the plain list says
    # that there is one
    before = run("--today", "2027-01-19", "due", shop=shop.folder)
    assert "Ida" in before.stdout and "--lapsed" not in before.stderr
    after = run("--today", "2027-01-20", "due", shop=shop.folder)
    assert "Ida" not in after.stdout
    assert (
        "1 machine more of owners who let two rounds of calls pass: oilchart due --lapsed"
        in after.stderr
    )
    lapsed = run("--today", "2027-01-20", "due", "--lapsed", shop=shop.folder)
    assert "Ida Brandvold" in lapsed.stdout and "lapsed since 20 Jan 2027" in lapsed.stdout
    # a visit begins everything anew
    run("--today", "2027-02-01", "checkin", "M-001", "stiff", shop=shop.folder)
    assert "Ida" in run("--today", "2027-02-01", "due", shop=shop.folder).stdout
    run("--today", "2027-02-02", "collected", "M-001", shop=shop.folder)
    assert planned(shop, run, "2027-02-02")["Ida Brandvold"]["on"] == "2027-02-02"


def test_a_booked_day_is_the_next_service_and_nobody_rings_about_it(shop: Shop, run: Run) -> None:
    run("called", "Ida", "booked", "2026-12-11", shop=shop.folder)
    assert "Ida Brandvold" not in planned(shop, run)
    schedule = json.loads(run("schedule", "M-001", "--json", shop=shop.folder).stdout)
    assert (schedule["services"][0]["on"], schedule["services"][0]["booked"]) == (
        "2026-12-11",
        True,
    )
    assert "booked for 11 Dec 2026" in run("due", shop=shop.folder).stdout
    # on the day itself it still stands; when it has gone by and she did not come, she is rung
    assert "Ida Brandvold" not in planned(shop, run, "2026-12-11")
    assert planned(shop, run, "2026-12-14")["Ida Brandvold"]["on"] == "2026-12-14"
    run("--today", "2026-12-14", "called", "Ida", "booked", "2026-12-15", shop=shop.folder)
    run("--today", "2026-12-15", "checkin", "M-001", "service", shop=shop.folder)
    run("--today", "2026-12-15", "serviced", "M-001", *TESTED, shop=shop.folder)
    run("--today", "2026-12-15", "collected", "M-001", shop=shop.folder)
    after = json.loads(
        run("--today", "2026-12-15", "schedule", "M-001", "--json", shop=shop.folder).stdout
    )
    assert not after["services"][0]["booked"]


def test_who_wants_to_be_rung_later_is_rung_then_whatever_the_plan_says(
    shop: Shop, run: Run
) -> None:
    run("called", "Ida", "later", "2027-02-06", shop=shop.folder)  # a Saturday
    assert planned(shop, run)["Ida Brandvold"]["on"] == "2027-02-08"
    assert planned(shop, run, "2027-02-01")["Ida Brandvold"]["on"] == "2027-02-08"
    # left lying, it is due on each day that follows
    assert planned(shop, run, "2027-02-10")["Ida Brandvold"]["on"] == "2027-02-10"


def test_promised_calls_take_their_places_within_the_daily_limit(shop: Shop, run: Run) -> None:
    settings = shop.folder / "shop.toml"
    settings.write_text(settings.read_text().replace("# calls_a_day = 6 ", "calls_a_day = 1 "))
    run("called", "Ida", "later", MONDAY, shop=shop.folder)
    told = run("called", "Bo", "later", MONDAY, shop=shop.folder)
    assert "To be rung again on Tuesday 1 December 2026." in told.stdout
    assert {owner: row["on"] for owner, row in planned(shop, run).items()} == {
        "Ida Brandvold": MONDAY,
        "Bo Tarrowby": "2026-12-01",
    }


def test_a_machine_sold_is_gone_and_can_be_taken_back(shop: Shop, run: Run) -> None:
    unclear = run("called", "Bo", "sold", shop=shop.folder)
    assert (unclear.exit_code, unclear.stderr) == (
        1,
        "oilchart: sold: it is not clear which machine: M-002, M-003; name it with --machine\n",
    )
    told = run("called", "Bo", "sold", "--machine", "M-002", shop=shop.folder)
    assert "Gone: M-002" in told.stdout
    assert planned(shop, run)["Bo Tarrowby"]["machines"] == ["M-003"]
    assert run("machine", "back", "m-2", shop=shop.folder).exit_code == 0
    assert planned(shop, run)["Bo Tarrowby"]["machines"] == ["M-002", "M-003"]
    assert "is not gone" in run("machine", "back", "M-002", shop=shop.folder).stderr


@pytest.mark.parametrize("outcome", ["died", "goes-elsewhere"])
def test_all_contact_ends_with_an_owner_who_died_or_goes_elsewhere_until_it_is_taken_back(
    outcome: str, shop: Shop, run: Run
) -> None:
    run("called", "Bo", outcome, shop=shop.folder)
    assert "Bo Tarrowby" not in planned(shop, run)
    assert "Bo" not in run("due", "--all", shop=shop.folder).stdout
    assert outcome.replace("-", " ") in run("owner", "show", "Bo", shop=shop.folder).stdout
    run("machine", "back", "M-003", shop=shop.folder)
    assert planned(shop, run)["Bo Tarrowby"]["machines"] == ["M-003"]


def test_who_asked_to_be_left_alone_is_never_called_but_their_machines_stay_on_the_list(
    shop: Shop, run: Run
) -> None:
    run("owner", "edit", "Ida", "--leave-alone", shop=shop.folder)
    assert "Ida Brandvold" not in planned(shop, run)
    assert "left alone: asked for" in run("due", shop=shop.folder).stdout
    run("owner", "edit", "Ida", "--contact", shop=shop.folder)
    assert "Ida Brandvold" in planned(shop, run)


def test_a_wrong_number_asks_for_a_letter_until_there_is_another(shop: Shop, run: Run) -> None:
    told = run("called", "Ida", "wrong-number", shop=shop.folder)
    assert "A letter is proposed" in told.stdout
    assert planned(shop, run)["Ida Brandvold"]["way"] == "letter"
    run("owner", "edit", "Ida", "--phone", "020 7946 0199", shop=shop.folder)
    assert planned(shop, run)["Ida Brandvold"]["way"] == "phone"


@pytest.mark.parametrize(
    "told",
    [
        # no number, a wrong one, nobody answers, and who wishes for letters
        [("owner", "edit", "Ida", "--phone", "")],
        [("called", "Ida", "wrong-number")],
        [("called", "Ida", "no-answer")] * 3,
        [("owner", "edit", "Ida", "--reach-by", "letter")],
    ],
)
def test_who_is_better_written_to_is_so_on_every_list(
    told: list[tuple[str, ...]], shop: Shop, run: Run
) -> None:
    run("owner", "edit", "Ida", "--address", "3 Quay Steps; Quernhaven", shop=shop.folder)
    for words in told:
        run(*words, shop=shop.folder)
    assert planned(shop, run)["Ida Brandvold"]["way"] == "letter"
    assert "by letter" in run("calls", shop=shop.folder).stdout
    calendar = run("calendar", "-o", "-", shop=shop.folder).stdout
    assert "SUMMARY:Write to Ida Brandvold: Heron 3 M-001" in calendar
    assert "Ida Brandvold" in run("letters", "--txt", "-o", "-", shop=shop.folder).stdout
    for story in (("owner", "show", "Ida"), ("machine", "show", "M-001")):
        assert "about its service by letter: M-001" in run(*story, shop=shop.folder).stdout


def test_who_is_to_be_rung_today_is_among_those_written_to_all_at_once(
    shop: Shop, run: Run
) -> None:
    run("owner", "edit", "Ida", "--address", "3 Quay Steps; Quernhaven", shop=shop.folder)
    run("called", "Ida", "later", THURSDAY, shop=shop.folder)
    for today, is_written_to in (("2026-11-25", False), (THURSDAY, True)):
        line = ("--today", today, "letters", "--due", "--txt", "-o", "-")
        assert ("Dear Ida Brandvold" in run(*line, shop=shop.folder).stdout) is is_written_to


def test_wishes_stand_on_the_list_of_calls(shop: Shop, run: Run) -> None:
    run("owner", "edit", "Ida", "--reach-by", "text", "--best-time", "after six", shop=shop.folder)
    assert "by text, after six" in run("calls", shop=shop.folder).stdout


def test_a_talk_about_a_freed_machine_is_not_asked_for_again(fresh_shop: Shop, run: Run) -> None:
    add_owner(fresh_shop, name="Ida", phone="", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="", note="")
    record_service(fresh_shop, "M-001", date(2026, 11, 10), freed=True)
    about = json.loads(run("calls", "--json", shop=fresh_shop.folder).stdout)
    assert [(row["about"], row["on"]) for row in about] == [("settling in", "2026-12-01")]
    run("--today", "2026-12-01", "called", "Ida", "reached", shop=fresh_shop.folder)
    assert (
        json.loads(run("--today", "2026-12-01", "calls", "--json", shop=fresh_shop.folder).stdout)
        == []
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Ida", "booked"), "booked: wants a day; write it like: booked 2027-01-15"),
        (
            ("Ida", "booked", "2026-11-28"),
            "the bench is shut on that day; the next open one is 2026-11-30",
        ),
        (("Ida", "booked", "2026-11-24"), "is not after today"),
        (("Ida", "later", "2026-11-25"), "is not after today"),
        (
            ("Ida", "reached", "2026-12-01"),
            "reached: wants no day: 2026-12-01; only booked, later and rang-back do",
        ),
        (
            ("Ida", "sold", "--machine", "M-002"),
            "--machine M-002: is Bo Tarrowby's; name one of Ida Brandvold's",
        ),
        (("Ida", "reached", "--on", "2026-11-26"), "the day of the call is after today"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_nothing_is_changed(
    words: tuple[str, ...], said: str, shop: Shop, run: Run
) -> None:
    planned(shop, run)
    before = rows_in(shop.folder / "shop.db")
    refused = run("called", *words, shop=shop.folder)
    assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1)
    assert said in refused.stderr
    assert rows_in(shop.folder / "shop.db") == before


def test_an_unknown_outcome_is_told_with_those_there_are(shop: Shop, run: Run) -> None:
    refused = run("called", "Ida", "no-anwser", shop=shop.folder)
    assert refused.exit_code == 2
    assert "did you mean no answer?" in refused.stderr


def test_the_story_of_a_machine_tells_all_that_happened_in_the_order_of_days(
    shop: Shop, run: Run
) -> None:
    run("use", "M-001", "5 hours a week", "--on", "2025-01-10", shop=shop.folder)
    run("checkin", "M-001", "squeaks", "--left", "pedal", "--on", "2025-11-03", shop=shop.folder)
    found = ("--found", "hook-race-oil=dry", "--left", "belt-inspect=watch")
    run("serviced", "M-001", *TESTED, "--on", "2025-11-05", *found, shop=shop.folder)
    run("collected", "M-001", "--on", "2025-11-06", shop=shop.folder)
    run("electrical", "M-001", "--by", "R. Amsel", "--pass", "--on", "2025-11-05", shop=shop.folder)
    run("called", "Ida", "later", "2026-12-01", "--note", "after her holiday", shop=shop.folder)
    story = run("machine", "show", "M-001", shop=shop.folder).stdout
    marks = [
        "“5 hours a week”",
        "“squeaks”",
        "found dry",
        "left: watch",
        "passed, by R. Amsel",
        "back with its owner",
        "later 1 Dec 2026",
    ]
    places = [story.find(mark) for mark in marks]
    assert -1 not in places
    assert places[0] < places[1] < places[2]
    assert "after her holiday" in story and "left with it: pedal" in story
    assert story.index("So far") < story.index("To come")


def test_what_was_said_of_one_machine_is_not_told_of_another(shop: Shop, run: Run) -> None:
    run("called", "Bo", "booked", "2026-12-10", "--machine", "M-002", shop=shop.folder)
    run("called", "Bo", "sold", "--machine", "M-003", shop=shop.folder)
    assert "booked 10 Dec 2026" in run("machine", "show", "M-002", shop=shop.folder).stdout
    assert "sold" not in run("machine", "show", "M-002", shop=shop.folder).stdout
    run("machine", "back", "M-003", shop=shop.folder)
    rows = {
        row["machine"]: row["last_contact"]
        for row in json.loads(run("due", "--all", "--json", shop=shop.folder).stdout)
    }
    assert (rows["M-002"]["outcome"], rows["M-003"]["outcome"], rows["M-001"]) == (
        "booked",
        "sold",
        None,
    )
    told = run("owner", "show", "Bo", shop=shop.folder).stdout
    assert "booked 10 Dec 2026 (M-002)" in told and "sold (M-003)" in told


def test_a_booking_that_has_gone_by_is_no_news(shop: Shop, run: Run) -> None:
    run("called", "Ida", "booked", THURSDAY, shop=shop.folder)
    run("--today", THURSDAY, "serviced", "M-001", *TESTED, shop=shop.folder)
    listed = json.loads(run("--today", FRIDAY, "due", "--all", "--json", shop=shop.folder).stdout)
    assert {row["machine"]: row["last_contact"] for row in listed}["M-001"] is None


def test_booking_one_machine_keeps_the_day_promised_for_the_other(shop: Shop, run: Run) -> None:
    run("called", "Bo", "later", "2027-02-01", shop=shop.folder)
    run("called", "Bo", "booked", "2026-12-15", "--machine", "M-002", shop=shop.folder)
    row = planned(shop, run)["Bo Tarrowby"]
    assert (row["on"], row["promised"], row["machines"]) == ("2027-02-01", "2027-02-01", ["M-003"])


def test_a_service_told_twice_is_kept_once(shop: Shop, run: Run) -> None:
    assert run("serviced", "M-001", *TESTED, shop=shop.folder).exit_code == 0
    again = run("serviced", "M-001", *TESTED, shop=shop.folder)
    assert again.exit_code == 1
    assert again.stderr == (
        "oilchart: M-001: this service of 2026-11-25 is in the book already; nothing was changed\n"
    )
    noted = run("serviced", "M-001", *TESTED, "--note", "belt in the afternoon", shop=shop.folder)
    assert noted.exit_code == 0
    record = the_machine(shop, "M-001")
    assert len(record.services) == 2
    assert record.notes[-1].words == "belt in the afternoon"


def test_one_talk_ends_all_calls_that_are_due_on_its_day(fresh_shop: Shop, run: Run) -> None:
    add_owner(fresh_shop, name="Ida", phone="020 7946 0107")
    for served, freed in ((date(2026, 11, 10), True), (date(2024, 11, 25), False)):
        number = add_machine(fresh_shop, owner="Ida", model="heron-3").number
        record_service(fresh_shop, number, served, freed=freed)
    # promised for the day on which the other call, about settling in, is due
    run("called", "Ida", "later", "2026-12-01", shop=fresh_shop.folder)
    at_work = Shop(fresh_shop.folder, date(2026, 12, 1))
    due = [call for call in open_calls(at_work) if call.on <= at_work.today]
    assert [(call.about, call.on) for call in due] == [
        ("service", at_work.today),
        ("settling in", at_work.today),
    ]
    run("--today", at_work.today, "called", "Ida", "reached", shop=fresh_shop.folder)
    assert [call for call in open_calls(at_work) if call.on <= at_work.today] == []
