"""A month of work in the demo shop, through the command line alone; every screen is looked at."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path
from typing import ClassVar

import icalendar
import pypdf
import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.conftest import Run


class Bench:
    """The command line as it is used from day to day."""

    def __init__(self, run: Run, folder: Path) -> None:
        self._run = run
        self.folder = folder
        self.today = "2026-11-25"

    def __call__(self, *words: str) -> str:
        """Run a command that must succeed; what it prints on both streams."""
        result = self._run(*words, shop=self.folder, today=self.today)
        assert result.exit_code == 0, result.stderr
        return result.stdout + result.stderr

    def json(self, *words: str) -> list[dict[str, object]]:
        """What a command lists."""
        listed = json.loads(self._run(*words, "--json", shop=self.folder, today=self.today).stdout)
        assert isinstance(listed, list)
        return listed

    def state(self, machine: str) -> object:
        """The state of a machine on the list of all."""
        return {row["machine"]: row["state"] for row in self.json("due", "--all")}[machine]

    def calls(self) -> dict[object, dict[str, object]]:
        """The calls of the coming weeks by owner."""
        return {row["owner"]: row for row in self.json("calls", "--weeks", "104")}

    def lists(self) -> list[object]:
        """Who is due, whom to ring, and every schedule."""
        due = self.json("due", "--all")
        return [
            due,
            self.json("calls", "--weeks", "104"),
            [self(*("schedule", str(row["machine"]), "--json")) for row in due],
        ]


class SlippingBench(Bench):
    """The same of somebody who writes all down for the wrong machine or owner first, and then once
    too often; each slip is taken back at once."""

    slips = 0
    WRONG: ClassVar = {"M-001": "M-002", "Ida": "Zdeňka", "Zdeňka": "Ida"}
    CHANGING = frozenset({"called", "checkin", "collected", "ready", "serviced", "waiting"})

    def __call__(self, *words: str) -> str:
        """Run a command after two slips; what it prints on both streams."""
        if words[0] in self.CHANGING:
            slip = [self.WRONG.get(word, word) for word in words]
            if self._run(*slip, shop=self.folder, today=self.today).exit_code == 0:
                self.take_back()
            super().__call__(*words)
            self.take_back()
        return super().__call__(*words)

    def take_back(self) -> None:
        """Take the last change back."""
        self.slips += 1
        assert "Taken back: change " in super().__call__("undo", "--yes")


def text_of(file: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(file).pages).split())


@pytest.fixture
def bench(demo_shop: Shop, run: Run) -> Bench:
    return Bench(run, demo_shop.folder)


def a_call_and_a_booking(bench: Bench, folder: Path) -> None:
    # Wednesday: who is due, whom to ring
    assert bench.state("M-001") == "overdue"
    assert "M-001" in bench("due")
    assert bench.calls()["Ida Brandvold"]["on"] == "2026-11-25"
    assert "wrote calls.pdf" in bench("calls", "-o", "calls.pdf")
    assert "It is time for its service." in text_of(folder / "calls.pdf")
    assert "booked for Friday 27 November 2026: M-001" in bench(
        "called", "Ida", "booked", "2026-11-27", "--note", "after work"
    )
    assert "Ida Brandvold" not in bench.calls()
    assert "no answer (1 time)" in bench("called", "Zdeňka", "no-answer")


def the_machine_comes_in(bench: Bench, folder: Path) -> None:
    # Friday: the machine comes in, the hours are asked
    bench.today = "2026-11-27"
    said = bench(
        "checkin",
        "M-001",
        "makes loops underneath",
        "--left",
        "pedal,case",
        "--use",
        "6-9 hours a week; idle Aug",
    )
    assert "“makes loops underneath”" in said and "M-001-tag.pdf" in said
    assert "makes loops underneath" in text_of(bench.folder / "out" / "M-001-tag.pdf")
    assert bench.state("M-001") == "in the shop"
    assert "6-9 hours a week" in bench("machine", "list")
    assert "wrote list.html" in bench("checklist", "M-001", "-o", "list.html")
    assert "M-001" in (folder / "list.html").read_text()
    assert "waits for: drive belt" in bench("waiting", "M-001", "drive belt")


def it_is_served(bench: Bench, folder: Path) -> None:
    # Tuesday: work, record, card
    bench.today = "2026-12-01"
    served = bench(
        "serviced",
        "M-001",
        "--found",
        "hook-race-oil=dry",
        "--left",
        "belt-inspect=part-ordered",
        "--for-owner",
        "Belt ordered",
        *TESTED,
    )
    assert "served Tuesday 1 December 2026" in served
    assert "ready; ring Ida Brandvold, 020 7946 0107" in bench("ready", "M-001")
    assert "wrote record.pdf" in bench("record", "M-001", "-o", "record.pdf")
    record = text_of(folder / "record.pdf")
    assert (
        "makes loops underneath" in record
        and "Parts on order" in record
        and "Belt ordered" in record
    )
    assert "wrote card.pdf" in bench("card", "M-001", "-o", "card.pdf")
    card = text_of(folder / "card.pdf")
    assert "Ida Brandvold" in card and "Stop, unplug, ring us" in card
    assert "wrote board.html" in bench("board", "-o", "board.html")
    assert "Ida Brandvold" in (folder / "board.html").read_text()


def it_is_collected_and_others_are_rung(bench: Bench, folder: Path) -> None:
    # Wednesday: collected; nobody rings about it for months
    bench.today = "2026-12-02"
    assert "To be handed back: pedal, case." in bench("collected", "M-001")
    assert bench.state("M-001") == "in time"
    assert date.fromisoformat(str(bench.calls()["Ida Brandvold"]["on"])) > date(2027, 2, 1)
    # the call that was not answered was to be made again on the next open day, and lies there still
    assert bench.calls()["Zdeňka Řeháková"]["promised"] == "2026-11-26"
    assert str(bench.calls()["Zdeňka Řeháková"]["on"]) >= "2026-12-02"
    for _ in range(2):
        said = bench("called", "Zdeňka", "no-answer")
    assert "A letter is proposed" in said
    assert "wrote letters.pdf" in bench("letters", "-o", "letters.pdf")
    assert "Řeháková" in text_of(folder / "letters.pdf")
    bench("called", "Zdeňka", "letter-sent")
    # four weeks on, after the closure
    assert bench.calls()["Zdeňka Řeháková"]["on"] == "2027-01-04"


def a_month_goes_by(bench: Bench, folder: Path) -> None:
    # the calendar, imported anew each day, shows every call once
    bench("calendar", "-o", "calls.ics")
    first = icalendar.Calendar.from_ical((folder / "calls.ics").read_bytes()).events
    assert len({event["UID"] for event in first}) == len(first)

    # a month later
    bench.today = "2026-12-28"
    bench("calendar", "-o", "calls.ics")
    later = {
        event["UID"]: event
        for event in icalendar.Calendar.from_ical((folder / "calls.ics").read_bytes()).events
    }
    assert all(
        later[event["UID"]].sequence >= event.sequence for event in first if event["UID"] in later
    )
    story = bench("machine", "show", "M-001")
    marks = [
        "“6-9 hours a week; idle Aug”",
        "“makes loops underneath”",
        "found dry",
        "Belt ordered",
        "back with its owner",
    ]
    assert [mark for mark in marks if mark not in story] == []
    assert "To come" in story and "letter sent" in bench("owner", "show", "Zdeňka")
    assert "in time" in bench("schedule", "M-001")


def a_month_of_work(bench: Bench, folder: Path) -> None:
    a_call_and_a_booking(bench, folder)
    the_machine_comes_in(bench, folder)
    it_is_served(bench, folder)
    it_is_collected_and_others_are_rung(bench, folder)
    a_month_goes_by(bench, folder)


def test_a_month_of_work_from_the_first_call_to_the_next_plan(bench: Bench, tmp_path: Path) -> None:
    a_month_of_work(bench, tmp_path)


def test_a_month_with_a_slip_at_every_step_ends_as_one_without(
    bench: Bench, built_demo: Shop, run: Run, tmp_path: Path
) -> None:
    a_month_of_work(bench, tmp_path)
    slipping = SlippingBench(run, shutil.copytree(built_demo.folder, tmp_path / "slipping"))
    a_month_of_work(slipping, tmp_path)
    assert slipping.slips >= 12
    assert slipping.lists() == bench.lists()
