"""A machine that is another owner's now: its story of work is kept, and nothing of the earlier
owner is on any paper, list or calendar of the new one."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED, besides_change
from tests.builders.ink_checks import words_in
from tests.builders.shop_steps import add_machine, add_owner, open_calls, the_machine
from tests.conftest import Run

IDA = (
    "Ida",
    "Brandvold",
    "ida@example.org",
    "020 7946 0107",
    "+442079460107",
    "OW-001",
    "Weavers Row",
)
WORDS = ("9 hours", "groans", "knitting bag", "window seat", "after the wedding")
TOLD = (
    ("owner", "edit", "OW-001", "--email", "ida@example.org", "--address", "7 Weavers Row",
     "--can", "tip", "--note", "sits at the window seat"),
    ("use", "M-001", "9 hours a week; never oils it", "--on", "2026-02-01"),
    ("machine", "edit", "M-001", "--condition", "damp", "--note", "Ida Brandvold wants it quiet",
     "--has-no", "lamp-inspect=Brandvold took it off", "--for-owner", "mind the window seat"),
    ("checkin", "M-001", "it groans", "--left", "knitting bag", "--on", "2026-11-16"),
    ("fixed", "M-001", "belt refitted for Ida", "--on", "2026-11-17", "--by", "R. Amsel"),
    ("collected", "M-001", "--on", "2026-11-18"),
    ("called", "Ida", "reached", "--note", "ring after the wedding", "--on", "2026-11-19"),
    ("called", "Ida", "booked", "2026-12-03", "--machine", "M-001"),
    ("use", "M-001", "about 9 hours a week"),
    ("calendar", "M-001", "-o", "care.ics"),
    ("calendar", "--services", "-o", "services.ics"),
)  # fmt: skip
# the new owner's own, after which each paper can be made
OWN = (
    ("use", "M-001", "3 hours a week"),
    ("checkin", "M-001", "squeaks", "--left", "pedal", "-o", "tag.pdf"),
    ("serviced", "M-001", *TESTED),
)
PAPERS = (
    ("card", "M-001", "-o", "card.pdf"),
    ("checklist", "M-001", "-o", "checklist.pdf"),
    ("checklist", "M-001", "-o", "checklist.html"),
    ("record", "M-001", "-o", "record.pdf"),
    ("tag", "M-001", "-o", "tag.pdf"),
    ("letters", "--due", "-o", "letters.pdf"),
    ("board", "-o", "board.html"),
    ("calls", "-o", "calls.pdf"),
    ("calendar", "-o", "calls.ics"),
    ("calendar", "--services", "-o", "services.ics"),
    ("calendar", "M-001", "-o", "care.ics"),
)
LISTS = (
    ("schedule", "M-001"),
    ("schedule", "M-001", "--json"),
    ("schedule", "M-001", "--explain", "hook-race-oil"),
    ("machine", "show", "M-001"),
    ("machine", "list"),
    ("machine", "list", "--json"),
    ("owner", "show", "OW-002"),
    ("due", "--all"),
    ("due", "--all", "--json"),
    ("due", "--all", "--csv"),
    ("calls",),
    ("calls", "--json"),
)


@pytest.fixture
def two_owners(fresh_shop: Shop, run: Run) -> Shop:
    """A shop with Ida's machine, of which she has told much, and of nobody else's."""
    add_owner(fresh_shop, name="Ida Brandvold", phone="020 7946 0107")
    add_owner(fresh_shop, name="Ole Late", phone="020 7946 0155")
    add_machine(fresh_shop, owner="OW-001", model="heron-3", serial="H3-20417")
    done(run, fresh_shop, ("owner", "edit", "OW-002", "--address", "3 Sail Yard"))
    done(run, fresh_shop, ("serviced", "M-001", *TESTED, "--on", "2025-11-18"))
    done(run, fresh_shop, *TOLD)
    return fresh_shop


def done(run: Run, shop: Shop, *lines: tuple[str, ...]) -> str:
    """What commands say that go through."""
    said = ""
    for words in lines:
        result = run(*words, shop=shop.folder)
        assert result.exit_code == 0, (words, result.output)
        said += result.output
    return said


def left_of_ida(text: str) -> list[str]:
    """What of her stands in a text."""
    return [
        each
        for each in (*IDA, *WORDS)
        if re.search(rf"(?<!\w){re.escape(each)}", text, re.IGNORECASE)
    ]


def read_back(path: Path) -> str:
    """All the text of a paper, or of what stands in a calendar file: its folded lines joined,
    without what it cancels."""
    data = path.read_bytes()
    if data.startswith(b"%PDF-"):
        return words_in(data)
    entries = re.split(r"(?=BEGIN:VEVENT)", re.sub(r"\r?\n ", "", data.decode()))
    return "".join(each for each in entries if "STATUS:CANCELLED" not in each)


@pytest.mark.parametrize(
    ("own", "written"),
    [
        ((), {"card.pdf", "checklist.html", "letters.pdf", "care.ics", "calls.pdf", "board.html"}),
        (OWN, {"card.pdf", "checklist.pdf", "record.pdf", "tag.pdf", "services.ics"}),
    ],
)
def test_no_byte_of_the_earlier_owner_is_on_any_paper_list_or_calendar_of_the_new_one(
    run: Run,
    two_owners: Shop,
    tmp_path: Path,
    own: tuple[tuple[str, ...], ...],
    written: set[str],
) -> None:
    before = done(run, two_owners, ("machine", "show", "M-001"), ("schedule", "M-001"))
    assert len(left_of_ida(before)) > 5
    done(run, two_owners, ("machine", "handed-on", "M-001", "OW-002"), *own)
    for words in LISTS:
        assert left_of_ida(done(run, two_owners, words)) == [], words
    for words in PAPERS:
        paper = tmp_path / words[-1]
        paper.unlink(missing_ok=True)  # as it was with the earlier owner
        result = run(*words, shop=two_owners.folder)
        assert left_of_ida(result.output) == [], words
        if paper.name in written:
            assert left_of_ida(read_back(paper)) == [], words
    story = done(run, two_owners, ("machine", "show", "M-001"))
    assert "belt refitted for an earlier owner, by R. Amsel" in story
    assert "an earlier owner wants it quiet" in story


def test_from_that_day_conditions_bookings_and_calls_end_and_the_hours_are_asked_for(
    run: Run, two_owners: Shop
) -> None:
    assert the_machine(two_owners, "M-001").booked is not None
    said = done(run, two_owners, ("machine", "handed-on", "m-1", "late"))
    assert besides_change(said) == (
        "M-001 Heron 3: handed on from Ida Brandvold to Ole Late, Wednesday 25 November 2026\n"
        "Works no more under: damp.\n"
        "The day booked, Thursday 3 December 2026, is free again.\n"
        "Still to ask: the hours: oilchart use M-001 WORDS\n"
    )
    record = the_machine(two_owners, "M-001")
    assert (record.owner.number, record.conditions, record.booked) == ("OW-002", (), None)
    [schedule] = [json.loads(done(run, two_owners, ("schedule", "M-001", "--json")))]
    assert schedule["notices"] == ["no report"]
    assert [call.owner.number for call in open_calls(two_owners)] == ["OW-002"]
    assert "M-001" not in done(run, two_owners, ("owner", "show", "OW-001")).split("So far")[0]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("OW-001",), "M-001: is Ida Brandvold's already; nothing was changed"),
        (
            ("OW-002", "--on", "2026-11-17"),
            "--on 2026-11-17: M-001 was in the shop from 2026-11-16 until 2026-11-18; give the day "
            "it came in, or one from its collection on",
        ),
        (
            ("OW-002", "--on", "2026-11-26"),
            "--on 2026-11-26: the day it was handed on is after today, 2026-11-25; give a day that "
            "has been",
        ),
    ],
)
def test_a_handing_on_that_cannot_be_is_refused_in_a_line(
    run: Run, two_owners: Shop, words: tuple[str, ...], why: str
) -> None:
    result = run("machine", "handed-on", "M-001", *words, shop=two_owners.folder)
    assert (result.exit_code, result.stderr) == (1, f"oilchart: {why}\n")
    assert the_machine(two_owners, "M-001").owner.number == "OW-001"


@pytest.mark.parametrize(
    "words", [("use", "M-001", "2 hours a week"), ("checkin", "M-001", "makes loops")]
)
def test_what_is_told_for_a_day_before_it_was_handed_on_is_refused(
    run: Run, two_owners: Shop, words: tuple[str, ...]
) -> None:
    done(run, two_owners, ("machine", "handed-on", "M-001", "OW-002", "--on", "2026-11-20"))
    result = run(*words, "--on", "2026-11-19", shop=two_owners.folder)
    assert besides_change(result.stderr) == (
        "oilchart: --on 2026-11-19: M-001 was handed on to its owner on 2026-11-20; give a day "
        "from then on\n"
    )


def test_what_the_new_owner_told_before_the_handing_on_was_noted_is_theirs(
    run: Run, two_owners: Shop
) -> None:
    # it came in on Monday, and whose it is came out on Wednesday
    monday = ("--on", "2026-11-23")
    use = ("--use", "2 hours a week")
    done(run, two_owners, ("checkin", "M-001", "makes loops", *use, *monday, "-o", "tag.pdf"))
    done(run, two_owners, ("machine", "handed-on", "M-001", "OW-002", "--on", "2026-11-22"))
    record = the_machine(two_owners, "M-001")
    assert [report.words for report in record.reports][:1] == ["2 hours a week"]
    assert record.open_job is not None
    assert record.open_job.complaint == "makes loops"


def test_a_machine_that_is_gone_is_listed_read_and_handed_on(run: Run, two_owners: Shop) -> None:
    done(run, two_owners, ("machine", "gone", "M-001", "sold", "--on", "2026-11-24"))
    listed = done(run, two_owners, ("machine", "list", "--gone"))
    assert re.search(r"M-001 +heron-3 +Ida Brandvold +H3-20417 +2026-11-24 +sold", listed)
    [values] = json.loads(done(run, two_owners, ("machine", "list", "--gone", "--json")))
    assert values["gone"] == {"on": "2026-11-24", "why": "sold"}
    story = done(run, two_owners, ("machine", "show", "m-001"))
    assert "gone: sold" in story
    assert "“it groans”" in story  # it is hers still
    assert "To come" not in story
    done(run, two_owners, ("machine", "handed-on", "M-001", "OW-002"))
    assert the_machine(two_owners, "M-001").owner.name == "Ole Late"
    assert "M-001" not in done(run, two_owners, ("machine", "list", "--gone"))
    assert left_of_ida(done(run, two_owners, ("machine", "show", "M-001"))) == []


@pytest.mark.parametrize(
    "line",
    [
        ("machine", "add", "OW-002", "heron-3", "--serial", "h3 20417"),
        ("checkin", "M-002", "makes loops", "--serial", "h3 20417", "-o", "tag.pdf"),
        ("machine", "edit", "M-002", "--serial", "h3 20417"),
    ],
)
@pytest.mark.parametrize("gone", [True, False])
def test_a_serial_number_that_comes_back_offers_the_story_of_its_machine(
    run: Run, two_owners: Shop, line: tuple[str, ...], gone: bool
) -> None:
    add_machine(two_owners, owner="OW-002", model="heron-3")
    if gone:
        done(run, two_owners, ("machine", "gone", "M-001", "sold"))
    told = [each for each in done(run, two_owners, line).splitlines() if "Serial" in each]
    assert told == [
        "Serial number h3 20417 is that of M-001, gone (sold, 2026-11-25): its story: oilchart "
        "machine show M-001; if it is that machine: oilchart machine back M-001, or oilchart "
        "machine handed-on M-001 OWNER"
        if gone
        else "Serial number h3 20417 is that of M-001, too."
    ]


def test_the_care_calendar_of_the_new_owner_begins_anew(
    run: Run, two_owners: Shop, tmp_path: Path
) -> None:
    def uids(name: str) -> set[str]:
        return set(re.findall(r"UID:(\S+)", (tmp_path / name).read_text(encoding="utf-8")))

    done(run, two_owners, ("machine", "handed-on", "M-001", "OW-002"))
    done(run, two_owners, ("calendar", "M-001", "-o", "new.ics"))
    assert uids("care.ics")
    assert uids("new.ics")
    assert not uids("care.ics") & uids("new.ics")
    assert "CANCELLED" not in (tmp_path / "new.ics").read_text(encoding="utf-8")
