"""Records, tags and calls through the command line: what they say, and that a call shown keeps its
number."""

from __future__ import annotations

import json
from pathlib import Path

import pypdf

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED, besides_change
from tests.conftest import Run


def text_of(file: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(file).pages).split())


def test_calls_are_listed_by_day_and_those_beyond_the_weeks_left_out(
    demo_shop: Shop, run: Run
) -> None:
    few, more = (
        json.loads(run("calls", "--weeks", weeks, "--json", shop=demo_shop.folder).stdout)
        for weeks in (1, 20)
    )
    assert 0 < len(few) < len(more)
    assert [row["on"] for row in more] == sorted(row["on"] for row in more)
    assert all("2026-11-25" <= row["on"] < "2026-12-02" for row in few)
    told = run("calls", "--weeks", "1", shop=demo_shop.folder)
    assert told.stdout.splitlines()[0].split() == [
        "Day",
        "Owner",
        "Phone",
        "About",
        "Machines",
        "Service",
        "Wishes",
        "So",
        "far",
    ]
    assert told.stderr == f"{len(few)} calls\n"
    # it is in the shop
    assert "M-012" not in {machine for row in more for machine in row["machines"]}


def test_the_call_sheet_says_whom_to_ring_and_never_reproaches(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    assert run("calls", "--weeks", "20", "-o", "calls.pdf", shop=demo_shop.folder).exit_code == 0
    text = text_of(tmp_path / "calls.pdf")
    for words in (
        "020 7946 0107",
        "It is time for its service.",
        "Have you been oiling",
        "left message",
        "Demonstration",
    ):
        assert words in text
    for word in ("overdue", "late", "should have", "forgot"):
        assert word not in text.casefold().replace("later", "").replace("plate", "")


def test_a_call_shown_keeps_its_entry_in_the_calendar(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("calls", shop=demo_shop.folder)
    run("calendar", "-o", "one.ics", shop=demo_shop.folder)
    run("calls", "--weeks", "2", shop=demo_shop.folder)
    run("calendar", "-o", "two.ics", shop=demo_shop.folder)
    assert (tmp_path / "one.ics").read_bytes() == (tmp_path / "two.ics").read_bytes()


def test_a_record_tells_of_the_latest_service_and_the_complaint_it_came_with(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    assert run("record", "M-001", "-o", "record.pdf", shop=demo_shop.folder).exit_code == 0
    text = text_of(tmp_path / "record.pdf")
    for words in (
        "Ida Brandvold",
        "It runs heavily and the stitches are uneven",
        "Full of lint",
        "To watch",
        "18 November 2025",
    ):
        assert words in text
    refused = run("record", "M-018", shop=demo_shop.folder)
    assert refused.exit_code == 1
    assert "M-018: has no service yet" in refused.stderr


def test_the_record_and_the_card_say_the_same_of_the_day_that_is_booked(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("serviced", "M-001", *TESTED, shop=demo_shop.folder)
    run("called", "Brandvold", "booked", "2027-05-06", shop=demo_shop.folder)
    for paper in ("record", "card"):
        run(paper, "M-001", "-o", f"{paper}.pdf", shop=demo_shop.folder)
        text = text_of(tmp_path / f"{paper}.pdf")
        assert "Thursday 6 May 2027" in text
        assert "This day is booked for you; ring us if you cannot come." in text
        assert "We will ring you" not in text


def test_check_in_writes_a_tag(demo_shop: Shop, run: Run) -> None:
    told = run(
        "checkin", "M-005", "squeaks <loudly>", "--left", "pedal,case", shop=demo_shop.folder
    )
    tag = demo_shop.folder / "out" / "M-005-tag.pdf"
    assert besides_change(told.stderr) == f"wrote {tag}\n"
    text = text_of(tag)
    for words in ("M-005", "Zdeňka Řeháková", "squeaks <loudly>", "pedal", "case", "unplugged"):
        assert words in text
