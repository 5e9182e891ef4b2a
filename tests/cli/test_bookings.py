"""Booked days, through the command line: called off, moved, missed and ended by other words, and
told on every list and paper; and talks that change no plan."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from oilchart.core.planning.standing import OpenCall
from oilchart.shop.folder import Shop
from tests.builders.shop_steps import add_machine, add_owner, open_calls, record_service
from tests.builders.snapshot import rows_in
from tests.conftest import Run

TODAY, THURSDAY, FRIDAY, MONDAY = "2026-11-25", "2026-11-26", "2026-11-27", "2026-11-30"
BOOKED, WORDS = "2026-12-11", "11 Dec 2026"


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """Ida with one machine served two years ago, Bo with two; Cy's is in time."""
    for name, phone in (
        ("Ida Brandvold", "020 7946 0107"),
        ("Bo Tarrowby", "020 7946 0121"),
        ("Cy Wend", "020 7946 0133"),
    ):
        add_owner(fresh_shop, name=name, phone=phone, email="")
    for owner, served in (("Ida", 2024), ("Bo", 2024), ("Bo", 2024), ("Cy", 2026)):
        machine = add_machine(fresh_shop, owner=owner, model="heron-3", serial="", note="")
        record_service(fresh_shop, machine.number, date(served, 11, 24))
    return fresh_shop


def said(shop: Shop, run: Run, *words: str, today: str = TODAY) -> str:
    """What a command says that goes well."""
    result = run("--today", today, *words, shop=shop.folder)
    assert result.exit_code == 0, result.stderr
    return result.stdout


def calls_to(shop: Shop, owner: str, today: str = TODAY) -> list[OpenCall]:
    """The open calls to an owner as of a day."""
    now = Shop(shop.folder, date.fromisoformat(today))
    return [call for call in open_calls(now) if call.owner.name.startswith(owner)]


def told_of(shop: Shop, run: Run, machine: str, today: str = TODAY) -> dict[str, Any]:
    """What due says of a machine."""
    rows = json.loads(said(shop, run, "due", "--all", "--json", today=today))
    return next(row for row in rows if row["machine"] == machine)


def everywhere(shop: Shop, run: Run, today: str = TODAY) -> dict[str, str]:
    """What the lists and papers say of Ida's machine, the days of the services calendar as text."""
    sheet = said(shop, run, "calls", "--weeks", "8", today=today)
    board = said(shop, run, "board", "-o", "-", today=today)
    return {
        "calls": sheet,
        "board": board[: board.index('class="folds"')],
        "due": said(shop, run, "due", today=today),
        "owner": said(shop, run, "owner", "show", "Ida", today=today),
        "machine": said(shop, run, "machine", "show", "M-001", today=today),
        "calendar": said(shop, run, "calendar", "--services", "-o", "-", today=today).replace(
            "\n ", ""
        ),
    }


def test_a_booked_day_called_off_by_its_owner_is_off_and_they_have_four_weeks(
    shop: Shop, run: Run
) -> None:
    said(shop, run, "called", "Ida", "booked", BOOKED)
    answer = said(shop, run, "called", "Ida", "cancelled", "--note", "husband ill", today=THURSDAY)
    assert answer.splitlines() == [
        "OW-001 Ida Brandvold: cancelled.",
        "Off, though booked: Friday 11 December 2026: M-001.",
        "To be rung again on Thursday 24 December 2026.",
    ]
    assert told_of(shop, run, "M-001", THURSDAY)["booked"] is None
    [call] = calls_to(shop, "Ida", THURSDAY)
    assert call.on == call.promised_on == date(2026, 12, 24)
    found = everywhere(shop, run, THURSDAY)
    off = f"booked for {WORDS}, called off"
    assert off in found["calls"]
    assert "Service booked" not in found["calendar"].partition("STATUS:CANCELLED")[0]
    for story in ("owner", "machine"):
        assert f"booked for {WORDS}: called off" in found[story]
        assert "husband ill" in found[story]
    assert off in found["board"]
    assert off in found["due"]


def test_a_day_the_shop_calls_off_is_rung_about_on_the_next_open_day(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Ida", "booked", BOOKED)
    answer = said(shop, run, "called", "Ida", "cancelled", "--by-us", today=FRIDAY)
    assert "To be rung again on Monday 30 November 2026." in answer
    [call] = calls_to(shop, "Ida", FRIDAY)
    assert call.on == call.promised_on == date(2026, 11, 30)
    assert f"booked for {WORDS}, called off by us" in everywhere(shop, run, FRIDAY)["calls"]
    # the owner owes nothing: it is no round that they let pass
    said(shop, run, "called", "Ida", "reached", today=MONDAY)
    assert len(calls_to(shop, "Ida", MONDAY)) == 1


def test_a_day_booked_anew_is_moved_and_says_from_when(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Ida", "booked", BOOKED)
    answer = said(shop, run, "called", "Ida", "booked", "2026-12-15", today=THURSDAY)
    assert answer.splitlines() == [
        "OW-001 Ida Brandvold: booked for Tuesday 15 December 2026: M-001.",
        "Moved from Friday 11 December 2026: M-001.",
    ]
    row = told_of(shop, run, "M-001", THURSDAY)
    assert (row["booked"], row["moved_from"], row["missed"]) == ("2026-12-15", BOOKED, None)
    found = everywhere(shop, run, THURSDAY)
    for place in ("due", "board", "owner", "machine"):
        assert f"moved from {WORDS}" in found[place], place
    assert "Moved from Friday 11 December 2026." in found["calendar"]
    assert calls_to(shop, "Ida", THURSDAY) == []


def test_the_same_day_booked_again_moves_nothing(shop: Shop, run: Run) -> None:
    for _ in range(2):
        answer = said(shop, run, "called", "Ida", "booked", BOOKED)
    assert "Moved" not in answer
    assert told_of(shop, run, "M-001")["moved_from"] is None


def test_two_machines_booked_together_are_moved_and_called_off_together(
    shop: Shop, run: Run
) -> None:
    said(shop, run, "called", "Bo", "booked", BOOKED)
    moved = said(shop, run, "called", "Bo", "booked", "2026-12-15", today=THURSDAY)
    assert "Moved from Friday 11 December 2026: M-002 and M-003." in moved
    said(shop, run, "called", "Bo", "booked", "2026-12-16", "--machine", "M-003", today=THURSDAY)
    unclear = run("--today", THURSDAY, "called", "Bo", "cancelled", shop=shop.folder)
    assert (unclear.exit_code, unclear.stderr) == (
        1,
        "oilchart: cancelled: it is not clear which machine: M-002 on 2026-12-15, M-003 on "
        "2026-12-16; name it with --machine\n",
    )
    said(shop, run, "called", "Bo", "cancelled", "--machine", "M-003", today=THURSDAY)
    assert told_of(shop, run, "M-002", THURSDAY)["booked"] == "2026-12-15"
    assert told_of(shop, run, "M-003", THURSDAY)["booked"] is None


def test_who_did_not_come_is_rung_on_the_next_open_day_and_every_list_says_so(
    shop: Shop, run: Run
) -> None:
    said(shop, run, "called", "Ida", "booked", FRIDAY)
    answer = said(shop, run, "called", "Ida", "did-not-come", today=FRIDAY)
    assert answer.splitlines() == [
        "OW-001 Ida Brandvold: did not come.",
        "Did not come on Friday 27 November 2026, as booked: M-001.",
        "To be rung again on Monday 30 November 2026.",
    ]
    found = everywhere(shop, run, MONDAY)
    for place in ("calls", "board", "due"):
        assert "booked for 27 Nov 2026, did not come" in found[place], place
    for story in ("owner", "machine"):
        assert "27 Nov 2026 as booked: did not come" in found[story]
    assert told_of(shop, run, "M-001", MONDAY)["missed"] == FRIDAY


def test_a_booked_day_that_went_by_is_told_though_nobody_said_anything(
    shop: Shop, run: Run
) -> None:
    said(shop, run, "called", "Ida", "booked", FRIDAY)
    found = everywhere(shop, run, MONDAY)
    for place in ("calls", "board", "due"):
        assert "booked for 27 Nov 2026, did not come" in found[place], place
    for story in ("owner", "machine"):
        assert "27 Nov 2026 as booked: did not come" in found[story]
    # booked anew it was missed, not moved
    anew = said(shop, run, "called", "Ida", "booked", "2026-12-02", today=MONDAY)
    assert "Did not come on Friday 27 November 2026, as booked: M-001." in anew
    # and once the machine came in, it is no news
    said(shop, run, "checkin", "M-001", "stiff", today="2026-12-02")
    said(shop, run, "collected", "M-001", today="2026-12-03")
    assert told_of(shop, run, "M-001", "2026-12-03")["missed"] is None
    assert "did not come" not in said(shop, run, "calls", today="2026-12-03")


@pytest.mark.parametrize(
    ("words", "rung_on"),
    [(("later", "2027-02-22"), date(2027, 2, 22)), (("declined",), date(2027, 5, 27))],
)
def test_later_and_declined_end_a_booked_day_and_keep_their_promise(
    words: tuple[str, ...], rung_on: date, shop: Shop, run: Run
) -> None:
    said(shop, run, "called", "Ida", "booked", BOOKED)
    answer = said(shop, run, "called", "Ida", *words, today=THURSDAY)
    assert "Off, though booked: Friday 11 December 2026: M-001." in answer
    assert told_of(shop, run, "M-001", THURSDAY)["booked"] is None
    # also when the day that was booked has gone by
    for today in (THURSDAY, "2026-12-14"):
        [call] = calls_to(shop, "Ida", today)
        assert call.on == call.promised_on == rung_on


@pytest.mark.parametrize("words", [("reached",), ("no-answer",), ("rang-back",), ("texted",)])
def test_other_talks_leave_a_booked_day_as_it_is(
    words: tuple[str, ...], shop: Shop, run: Run
) -> None:
    said(shop, run, "called", "Ida", "booked", BOOKED)
    said(shop, run, "called", "Ida", *words, today=THURSDAY)
    assert told_of(shop, run, "M-001", THURSDAY)["booked"] == BOOKED
    assert calls_to(shop, "Ida", THURSDAY) == []


@pytest.mark.parametrize("words", [("rang-back",), ("reached",), ("no-answer",), ("mailed",)])
def test_an_unplanned_talk_makes_no_call_and_no_round(
    words: tuple[str, ...], shop: Shop, run: Run
) -> None:
    before = [(call.id, call.on) for call in calls_to(shop, "Cy")]
    for _ in range(2):
        answer = said(shop, run, "called", "Cy", *words, "--note", "which oil?")
        assert "Nothing planned is changed." in answer and "rung again" not in answer
    assert [(call.id, call.on) for call in calls_to(shop, "Cy")] == before != []
    assert "which oil?" in said(shop, run, "owner", "show", "Cy")


def test_who_rang_back_leaves_the_plan_as_it_was_or_names_a_day(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Ida", "left-message")
    [before] = calls_to(shop, "Ida", THURSDAY)
    assert "Nothing planned is changed." in said(
        shop, run, "called", "Ida", "rang-back", today=THURSDAY
    )
    [after] = calls_to(shop, "Ida", THURSDAY)
    assert (after.id, after.on, after.promised_on) == (before.id, before.on, before.promised_on)
    said(shop, run, "called", "Ida", "rang-back", "2027-01-15", today=THURSDAY)
    [call] = calls_to(shop, "Ida", THURSDAY)
    assert call.promised_on == date(2027, 1, 15)


@pytest.mark.parametrize("outcome", ["texted", "mailed"])
def test_a_text_or_an_e_mail_is_given_a_week(outcome: str, shop: Shop, run: Run) -> None:
    answer = said(shop, run, "called", "Ida", outcome)
    assert answer.splitlines() == [
        f"OW-001 Ida Brandvold: {outcome} (1 time).",
        "To be rung again on Wednesday 2 December 2026.",
    ]


def test_a_declined_machine_is_off_the_weeks_until_its_day(shop: Shop, run: Run) -> None:
    settings = shop.folder / "shop.toml"
    settings.write_text(settings.read_text().replace("[bench]\n", "[bench]\nservices_a_week = 1\n"))

    def this_week(today: str) -> list[str]:
        board = said(shop, run, "board", "-o", "-", today=today)
        week = board[board.index("Services, week by week") :].partition("</tbody>")[0]
        return [number for number in ("M-001", "M-002", "M-003") if number in week]

    assert this_week(TODAY) == ["M-001", "M-002", "M-003"]
    days = {
        machine: json.loads(said(shop, run, "schedule", machine, "--json"))["services"][0]["on"]
        for machine in ("M-002", "M-003")
    }
    said(shop, run, "called", "Ida", "declined")
    assert this_week(TODAY) == ["M-002", "M-003"]
    # another has its place now
    moved_up = json.loads(said(shop, run, "schedule", "M-002", "--json"))["services"][0]["on"]
    assert moved_up < days["M-002"]
    assert "M-001" not in said(shop, run, "calendar", "--services", "-o", "-")
    assert told_of(shop, run, "M-001")["declined_until"] == "2027-05-26"
    for line in (("due",), ("machine", "show", "M-001"), ("owner", "show", "Ida")):
        assert "eclined until 26 May 2027" in said(shop, run, *line)
    assert "declined until 26 May 2027" in said(shop, run, "board", "-o", "-")
    # on its day it is back, and its owner is rung
    assert "M-001" in this_week("2027-05-26")
    assert told_of(shop, run, "M-001", "2027-05-26")["declined_until"] is None
    [call] = calls_to(shop, "Ida", "2027-05-26")
    assert call.on == date(2027, 5, 26)


def test_a_day_agreed_after_all_brings_a_declined_machine_back(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Ida", "declined")
    said(shop, run, "called", "Ida", "booked", BOOKED, today=THURSDAY)
    row = told_of(shop, run, "M-001", THURSDAY)
    assert (row["booked"], row["declined_until"]) == (BOOKED, None)


def test_declining_for_one_machine_leaves_the_call_about_the_other(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Bo", "declined", "--machine", "M-002")
    due, later = calls_to(shop, "Bo")
    assert ([each.number for each, _ in due.services], due.on) == (["M-003"], date(2026, 11, 25))
    assert [each.number for each, _ in later.services] == ["M-002"]
    assert later.promised_on == date(2027, 5, 26)
    assert told_of(shop, run, "M-003")["declined_until"] is None


def test_what_is_booked_and_what_is_planned_look_different_everywhere(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Bo", "booked", BOOKED, "--machine", "M-002")
    rows = {line[:80] for line in said(shop, run, "due").splitlines()}
    assert [", booked" in row for row in sorted(rows) if "M-002" in row] == [True]
    assert not any(", booked" in row for row in rows if "M-003" in row)
    assert "Service booked for Friday 11 December 2026" in said(shop, run, "schedule", "M-002")
    assert "Next service " in said(shop, run, "schedule", "M-003")
    board = said(shop, run, "board", "-o", "-")
    week = board[board.index("Services, week by week") :].partition("</tbody>")[0]
    lines = [line for line in week.splitlines() if "M-00" in line]
    assert {'class="booked"' in line for line in lines if "M-002" in line} == {True}
    assert {'class="booked"' in line for line in lines if "M-003" in line} == {False}
    assert '<b class="booked">1 booked</b>' in board
    calendar = said(shop, run, "calendar", "--services", "-o", "-")
    entries = calendar.split("BEGIN:VEVENT")
    kinds = {
        machine: "CATEGORIES:Booked service" in entry and "Service booked: " in entry
        for machine in ("M-002", "M-003")
        for entry in entries
        if machine in entry
    }
    assert kinds == {"M-002": True, "M-003": False}


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (
            ("cancelled",),
            "cancelled: no day is booked for M-004; see oilchart owner show OW-003",
        ),
        (("did-not-come",), "did-not-come: no day is booked for M-004"),
        (("reached", "--by-us"), "--by-us: goes with cancelled only, not reached"),
        (("cancelled", "2026-12-01"), "cancelled: wants no day: 2026-12-01"),
        (("rang-back", TODAY), "rang-back 2026-11-25: is not after today"),
    ],
)
def test_what_cannot_be_of_a_booked_day_is_refused_in_one_line(
    words: tuple[str, ...], refusal: str, shop: Shop, run: Run
) -> None:
    open_calls(shop)
    before = rows_in(shop.folder / "shop.db")
    refused = run("called", "Cy", *words, shop=shop.folder)
    assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1)
    assert refusal in refused.stderr
    assert rows_in(shop.folder / "shop.db") == before


def test_nobody_has_missed_a_day_that_is_to_come(shop: Shop, run: Run) -> None:
    said(shop, run, "called", "Ida", "booked", BOOKED)
    refused = run("called", "Ida", "did-not-come", shop=shop.folder)
    assert refused.stderr == (
        "oilchart: did-not-come: M-001 is booked for 2026-12-11, which is to come; to call it off: "
        "cancelled\n"
    )


def test_a_machine_not_seen_yet_that_did_not_come_is_rung_about(shop: Shop, run: Run) -> None:
    # before: on no list from the day after its day on
    said(shop, run, "owner", "add", "Dee Kell", "--phone", "020 7946 0155")
    said(shop, run, "called", "Dee", "booked", BOOKED)

    def call(today: str) -> Any:
        rows = json.loads(said(shop, run, "calls", "--json", today=today))
        return next((row for row in rows if row["owner"] == "Dee Kell"), None)

    assert call("2026-12-10") is None
    assert call("2026-12-14")["on"] == "2026-12-14"
    said(shop, run, "called", "Dee", "did-not-come", today="2026-12-14")
    told = call("2026-12-15")
    assert told["on"] == "2026-12-15"
    assert "did not come" in told["so_far"]
    said(shop, run, "called", "Dee", "booked", "2026-12-18", today="2026-12-15")
    assert call("2026-12-16") is None


def test_no_call_waits_since_a_day_before_the_machine_was_known_or_while_it_was_here(
    shop: Shop, run: Run
) -> None:
    said(shop, run, "owner", "add", "Dee Kell", "--phone", "020 7946 0155", today="2026-12-01")
    said(shop, run, "machine", "add", "Dee", "heron-3", today="2026-12-01")
    said(shop, run, "machine", "add", "Dee", "heron-3", today="2026-12-01")
    said(
        shop, run, "called", "Dee", "booked", "2026-12-10", "--machine", "M-006", today="2026-12-07"
    )

    def since(today: str) -> Any:
        rows = json.loads(said(shop, run, "calls", "--json", today=today))
        return next(row["waits_since"] for row in rows if row["owner"] == "Dee Kell")

    assert since("2026-12-07") == "2026-12-01"  # before: 2026-11-26
    said(
        shop, run, "called", "Dee", "booked", "2027-01-20", "--machine", "M-006", today="2026-12-08"
    )
    said(shop, run, "checkin", "M-005", "stiff", today="2026-12-08")
    said(shop, run, "ready", "M-005", "--nothing-done", today="2026-12-28")
    said(shop, run, "collected", "M-005", today="2026-12-28")
    assert since("2026-12-29") == "2026-12-28"  # before: 2026-12-08, when it stood here
