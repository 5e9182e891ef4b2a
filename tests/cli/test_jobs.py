"""A machine's stay in the shop: it rests there, is not overdue, and nobody is rung; one found
unsafe gets no care card."""

from __future__ import annotations

import json
from datetime import date
from io import BytesIO
from pathlib import Path

import pypdf
import pytest

from oilchart.core.due.due_dates import State
from oilchart.core.records.job import Job
from oilchart.core.records.waiting import PartState
from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.builders.shop_steps import (
    add_machine,
    add_owner,
    all_machines,
    check_in,
    collect,
    open_calls,
    record_service,
    record_use,
    standing_of,
)
from tests.conftest import Run


@pytest.fixture
def ida(fresh_shop: Shop) -> Shop:
    """A shop with one machine that was served in May and is used a lot."""
    add_owner(fresh_shop, name="Ida Brandvold", phone="020 7946 0107", email="")
    add_machine(fresh_shop, owner="Ida", model="heron-3", serial="H3", note="")
    record_service(fresh_shop, "M-001", date(2026, 5, 4))
    record_use(fresh_shop, "M-001", "6 hours a week", date(2026, 5, 4))
    return fresh_shop


def likely(shop: Shop) -> date:
    due = standing_of(shop, "M-001").schedule.due.likely
    assert due is not None
    return due


def test_a_stay_ends_on_the_day_of_collection_and_an_open_one_reaches_to_today() -> None:
    job = Job(id=1, in_on=date(2026, 11, 2), complaint="x")
    assert (job.is_open, job.stay(TODAY).first, job.stay(TODAY).end) == (
        True,
        date(2026, 11, 2),
        date(2026, 11, 26),
    )
    out = Job(id=1, in_on=date(2026, 11, 2), complaint="x", out_on=date(2026, 11, 9))
    assert (out.is_open, out.stay(TODAY).end) == (False, date(2026, 11, 9))


def test_a_machine_in_the_shop_is_not_overdue_and_nobody_is_rung(ida: Shop) -> None:
    late = Shop(ida.folder, date(2027, 3, 1))
    assert standing_of(late, "M-001").schedule.state in (State.OVERDUE, State.LIKELY_OVERDUE)
    calls = open_calls(late)
    assert len(calls) == 1
    check_in(late, "M-001", "squeaks", date(2027, 3, 1))
    assert standing_of(late, "M-001").schedule.state is State.IN_THE_SHOP
    calls = open_calls(late)
    assert calls == []
    collect(late, "M-001", date(2027, 3, 1))
    assert standing_of(late, "M-001").schedule.state is not State.IN_THE_SHOP
    calls = open_calls(late)
    assert len(calls) == 1


def test_its_use_rests_from_check_in_to_collection(ida: Shop) -> None:
    without = likely(ida)
    stayed = Shop(ida.folder, date(2026, 8, 10))
    check_in(stayed, "M-001", "squeaks", date(2026, 6, 1))
    collect(stayed, "M-001", date(2026, 6, 29))  # four weeks later
    assert (likely(stayed) - without).days == 28


def test_a_stay_is_told_step_by_step(ida: Shop, run: Run) -> None:
    told = run(
        "checkin", "ida", "makes “loops”\nunderneath", "--left", "pedal, case", shop=ida.folder
    ).stdout.splitlines()
    assert told == [
        "M-001 Heron 3, Ida Brandvold: in the shop since 2026-11-25, job J-001: “makes “loops” "
        "underneath”",
        "Left with it: pedal, case.",
        "Still to ask: the hours.",
    ]
    assert "waits for: drive belt" in run("waiting", "M-001", "drive belt", shop=ida.folder).stdout
    [part] = all_machines(Shop(ida.folder, TODAY))[0].parts
    assert (part.words, part.state) == ("drive belt", PartState.TO_ORDER)
    ready = run("ready", "M-001", "--nothing-done", shop=ida.folder).stdout
    assert "ready; ring Ida Brandvold, 020 7946 0107" in ready
    assert "Still wanted for it: drive belt, to order." in ready
    [job] = all_machines(Shop(ida.folder, TODAY))[0].jobs
    assert job.ready_on == TODAY
    told = run("collected", "M-001", shop=ida.folder).stdout.splitlines()
    assert told[1] == "To be handed back: pedal, case."
    assert [
        row["state"] for row in json.loads(run("due", "--all", "--json", shop=ida.folder).stdout)
    ] != ["in the shop"]


@pytest.mark.parametrize(
    ("words", "said", "asked"),
    [
        ("6 hours a week", TODAY, False),
        ("meter 412 hours", date(2026, 10, 28), False),
        ("none", date(2026, 10, 28), False),
        ("40 hours since 2026-09-01", date(2026, 10, 27), True),
        # what says nothing of the hours
        ("mostly zigzag; idle Jul-Aug; oils it", TODAY, True),
    ],
)
def test_hours_that_were_told_in_the_last_four_weeks_are_not_asked_for_at_check_in(
    words: str, said: date, asked: bool, ida: Shop, run: Run
) -> None:
    record_use(ida, "M-001", words, said)
    told = run("checkin", "M-001", "squeaks", shop=ida.folder).stdout
    assert ("Still to ask: the hours." in told) == asked


def test_hours_and_serial_are_taken_down_at_check_in(ida: Shop, run: Run) -> None:
    words = ("checkin", "M-001", "squeaks", "--serial", "H3-9", "--use", "2 hours a week")
    assert "Still to ask" not in run(*words, shop=ida.folder).stdout
    [record] = all_machines(Shop(ida.folder, TODAY))
    assert (record.serial, record.reports[-1].words) == ("H3-9", "2 hours a week")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("collected", "M-001"), "M-001: is not in the shop; note that it came in first"),
        (("ready", "M-001"), "M-001: is not in the shop"),
        (("waiting", "M-001", "belt"), "M-001: is not in the shop"),
        (("checkin", "M-001", "x", "--on", "2027-01-01"), "is after today"),
        (("checkin", "M-001", "x", "--use", "25 hours a day"), "more than 24 hours"),
        (
            ("electrical", "M-001", "--by", "R. Amsel", "--pass", "--on", "2027-01-01"),
            "is after today",
        ),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_changed(
    words: tuple[str, ...], said: str, ida: Shop, run: Run
) -> None:
    refused = run(*words, shop=ida.folder)
    assert refused.exit_code == 1
    assert said in refused.stderr
    [record] = all_machines(Shop(ida.folder, TODAY))
    assert (record.jobs, len(record.checks), len(record.reports)) == ((), 1, 1)


def test_a_machine_comes_in_only_once_and_not_before_it_went(ida: Shop, run: Run) -> None:
    check_in(ida, "M-001", "squeaks", date(2026, 11, 2))
    assert (
        "is in the shop already, since 2026-11-02"
        in run("checkin", "M-001", "again", shop=ida.folder).stderr
    )
    assert (
        "is before the machine came in, 2026-11-02"
        in run("collected", "M-001", "--on", "2026-11-01", shop=ida.folder).stderr
    )
    collect(ida, "M-001", date(2026, 11, 9))
    assert (
        "was in the shop until 2026-11-09"
        in run("checkin", "M-001", "x", "--on", "2026-11-08", shop=ida.folder).stderr
    )
    check_in(ida, "M-001", "again", date(2026, 11, 9))
    assert [job.complaint for job in all_machines(Shop(ida.folder, TODAY))[0].jobs] == [
        "squeaks",
        "again",
    ]


def test_an_unsafe_machine_gets_a_sheet_instead_of_a_card_until_a_check_is_passed(
    ida: Shop, run: Run, tmp_path: Path
) -> None:
    folder = ida.folder
    served = run("serviced", "M-001", "--yes", "--unsafe", "bare <wire> & damp", shop=folder)
    assert "Do not plug in: bare <wire> & damp, since 25 November 2026." in served.stdout
    sheet = run("card", "M-001", "-o", "sheet.pdf", shop=folder)
    assert "a do-not-plug-in sheet instead of a card" in sheet.stderr
    text = " ".join(pypdf.PdfReader(tmp_path / "sheet.pdf").pages[0].extract_text().split())
    for words in (
        "DO NOT PLUG IN bare <wire> & damp, since 25 November 2026",
        "Ida Brandvold",
        "Checked by",
        "no",
    ):
        assert words in text
    assert "With each new bobbin" not in text
    run("electrical", "M-001", "--by", "R. Amsel", "--fail", shop=folder)
    assert all_machines(Shop(folder, TODAY))[0].unsafe is not None
    passed = ("electrical", "M-001", "--by", "R. Amsel", "--pass")
    refused = run(*passed, shop=folder)
    assert refused.exit_code == 2 and "say what was put right, by --put-right" in refused.stderr
    assert all_machines(Shop(folder, TODAY))[0].unsafe is not None
    assert run("fixed", "M-001", "new lead", shop=folder).exit_code == 0
    lifted = run(*passed, shop=folder).stdout
    assert "electrical check passed, by R. Amsel" in lifted
    assert "Take off the tag and the sticker" in lifted
    card = run("card", "M-001", "-o", "card.pdf", shop=folder)
    assert "do-not-plug-in" not in card.stderr
    [record] = all_machines(Shop(folder, TODAY))
    assert [(check.by, check.passed) for check in record.checks] == [
        ("R. Amsel", True),
        ("R. Amsel", False),
        ("R. Amsel", True),
    ]


def test_an_unsafe_machine_is_marked_on_every_list_whatever_its_state(
    ida: Shop, run: Run, tmp_path: Path
) -> None:
    run("serviced", "M-001", "--yes", "--unsafe", "lead crumbles", shop=ida.folder)
    listed = run("due", shop=ida.folder).stdout
    assert "✗ do not plug in: lead crumbles, since 25 Nov 2026; in time" in listed
    assert json.loads(run("due", "--json", shop=ida.folder).stdout)[0]["unsafe"] == "lead crumbles"
    assert "lead crumbles" in run("machine", "list", shop=ida.folder).stdout
    run("board", "-o", "board.html", shop=ida.folder)
    assert (
        "Do not plug in" in (tmp_path / "board.html").read_text(encoding="utf-8").split("<main")[1]
    )
    run("checkin", "M-001", "smells", shop=ida.folder)
    ready = run("ready", "M-001", "--nothing-done", shop=ida.folder).stdout
    assert "Do not plug in: lead crumbles, since 25 November 2026." in ready


def test_a_check_that_is_not_passed_makes_a_machine_unsafe(ida: Shop, run: Run) -> None:
    run("electrical", "M-001", "--by", "R. Amsel", "--fail", shop=ida.folder)
    [record] = all_machines(Shop(ida.folder, TODAY))
    assert record.unsafe is not None and record.unsafe.why == "not passed by R. Amsel"
    early = run(
        "electrical", "M-001", "--by", "R. Amsel", "--pass", "--on", "2026-11-24", shop=ida.folder
    )
    assert early.exit_code == 1 and "is before the day M-001 was found unsafe" in early.stderr


def test_what_was_left_to_watch_and_the_machines_note_are_on_its_next_checklist(
    ida: Shop, run: Run, tmp_path: Path
) -> None:
    run("machine", "edit", "M-001", "--note", "head swings stiff", shop=ida.folder)
    run("serviced", "M-001", *TESTED, "--left", "belt-inspect=watch", shop=ida.folder)
    for name in ("list.pdf", "list.html"):
        run("checklist", "M-001", "-o", name, shop=ida.folder)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(tmp_path / "list.pdf").pages)
    html = (tmp_path / "list.html").read_text(encoding="utf-8")
    for told in (" ".join(text.split()), html):
        assert "left last time: watch" in told
        assert "Note: head swings stiff" in told
    assert (
        "left last time"
        not in (
            run("checklist", "--model", "heron-3", "-o", "model.html"),
            (tmp_path / "model.html").read_text(),
        )[1]
    )


def test_a_machine_that_is_gone_is_told_as_gone(ida: Shop, run: Run) -> None:
    run("machine", "gone", "M-001", "sold", shop=ida.folder)
    told = run("card", "M-001", shop=ida.folder)
    assert told.exit_code == 1
    assert (
        told.stderr
        == "oilchart: M-001: is gone (sold, 2026-11-25): it is kept in the book, but not looked "
        "after any more\n"
    )


@pytest.mark.parametrize("came_in", ["2026-11-20", str(TODAY)])
def test_a_record_tells_the_complaint_of_a_stay_that_ended_on_the_day_of_the_service(
    came_in: str, ida: Shop, run: Run
) -> None:
    run("checkin", "M-001", "makes loops underneath", "--on", came_in, shop=ida.folder)
    for words in (("serviced", "M-001", *TESTED), ("collected", "M-001")):
        assert run(*words, shop=ida.folder).exit_code == 0
    record = run("record", "M-001", "-o", "-", shop=ida.folder).stdout_bytes
    pages = pypdf.PdfReader(BytesIO(record)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "makes loops underneath" in text


def test_a_complaint_of_what_may_hurt_says_how_that_is_noted(ida: Shop, run: Run) -> None:
    told = run("checkin", "M-001", "it tingles", shop=ida.folder).stdout
    assert 'note it: oilchart unsafe M-001 "it tingles"' in told
    run("undo", "--yes", shop=ida.folder)
    told = run("checkin", "M-001", "it tingles", "--unsafe", "tingles", shop=ida.folder).stdout
    assert "If that could hurt" not in told
    run("undo", "--yes", "--why", "wrong machine", shop=ida.folder)
    assert "could hurt" not in run("checkin", "M-001", "squeaks", shop=ida.folder).stdout


def test_what_was_repaired_is_ready_with_a_word_until_it_was_checked(ida: Shop, run: Run) -> None:
    run("checkin", "M-001", "no light", shop=ida.folder)
    run("fixed", "M-001", "new lead", "--part", "lead", shop=ida.folder)
    wanted = "No electrical check since it was put right: oilchart electrical M-001"
    assert wanted in run("ready", "M-001", shop=ida.folder).stdout
    run("undo", "--yes", shop=ida.folder)
    run("electrical", "M-001", "--by", "R. Amsel", "--pass", shop=ida.folder)
    assert "No electrical check" not in run("ready", "M-001", shop=ida.folder).stdout


def test_the_use_of_a_machine_that_goes_home_unsafe_does_not_start_again(
    ida: Shop, run: Run
) -> None:
    run("checkin", "M-001", "tingles", "--unsafe", "tingles", shop=ida.folder)
    run("ready", "M-001", "--nothing-done", shop=ida.folder)
    told = run("collected", "M-001", shop=ida.folder).stdout
    assert "its use starts again" not in told
    assert "Hand the sheet that says so over" in told
