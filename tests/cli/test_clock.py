"""A clock that ran ahead is noticed by what it left in the book, and its days are set back."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click
import pytest

from oilchart.cli import asking
from oilchart.shop.folder import Shop
from tests.builders.commands import TESTED, besides_change
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, open_calls, the_machine
from tests.builders.snapshot import rows_in
from tests.conftest import Run

AHEAD = date(2199, 12, 31)
MEND = "did a clock run ahead? To see and mend it: oilchart clock"


@pytest.fixture
def shop(fresh_shop: Shop, run: Run) -> Shop:
    """Ida with two machines, of which the second was in the shop under a clock that ran ahead."""
    add_owner(fresh_shop, name="Ida Brandvold", phone="020 7946 0107")
    for _ in range(2):
        add_machine(fresh_shop, owner="Ida", model="heron-3")
    for words in (("checkin", "M-002", "x"), ("collected", "M-002")):
        assert run(*words, shop=fresh_shop.folder, today=AHEAD).exit_code == 0
    return fresh_shop


def told(run: Run, *words: object, shop: Shop, code: int = 0) -> str:
    result = run(*words, shop=shop.folder)
    assert result.exit_code == code, result.stderr
    return besides_change(result.stderr)


@pytest.mark.parametrize(
    "words",
    [
        ("due",),
        ("owner", "list"),
        ("use", "M-001", "5 hours a week"),
        ("calls",),
        ("card", "M-001"),
    ],
)
def test_whatever_opens_the_book_says_once_that_it_has_days_to_come(
    words: tuple[str, ...], shop: Shop, run: Run
) -> None:
    line = f"M-002: check-in on {AHEAD}, and 1 more after today, {TODAY}: {MEND}\n"
    assert run(*words, shop=shop.folder).stderr.count(line) == 1


def test_a_book_without_days_to_come_says_nothing(shop: Shop, run: Run) -> None:
    assert MEND not in run("due", shop=shop.folder, today=AHEAD).stderr
    nothing = f"Nothing is recorded as done after today, {AHEAD}.\n"
    for words in (("clock",), ("clock", "--set-to", AHEAD, "--yes")):
        assert run(*words, shop=shop.folder, today=AHEAD).stderr == nothing


def test_of_a_single_day_it_is_said_in_the_singular(
    fresh_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(asking, "at_terminal", lambda: True)
    asked: list[str] = []

    def confirm(question: str, *, err: bool) -> bool:
        asked.append(question)
        return err

    monkeypatch.setattr(click, "confirm", confirm)
    add_owner(fresh_shop, name="Ida Brandvold", phone="020 7946 0107")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    assert run("checkin", "M-001", "x", shop=fresh_shop.folder, today=AHEAD).exit_code == 0
    one = f"1 entry recorded as done after today, {TODAY}"
    listed = run("clock", shop=fresh_shop.folder)
    assert listed.stderr == f"{one}; to set it back: oilchart clock --set-to DATE\n"
    set_back = run("clock", "--set-to", TODAY, shop=fresh_shop.folder)
    assert asked == [f"{one}: it becomes {TODAY}; set it back?"]
    assert set_back.stderr == f"1 entry set to {TODAY}.\n"


def test_the_days_are_listed_and_set_back_and_the_machine_can_come_in_again(
    shop: Shop, run: Run
) -> None:
    locked_out = told(run, "checkin", "M-002", "y", shop=shop, code=1)
    assert f"M-002 was in the shop until {AHEAD}" in locked_out
    listed = run("clock", shop=shop.folder)
    assert listed.stdout.splitlines() == [
        f"{AHEAD}  M-002   check-in", f"{AHEAD}  M-002   collected"
    ]  # fmt: skip
    set_to = "to set them back: oilchart clock --set-to DATE"
    assert listed.stderr == f"2 entries recorded as done after today, {TODAY}; {set_to}\n"
    before = rows_in(shop.book_path)
    refused = told(run, "clock", "--set-to", TODAY, shop=shop, code=2)
    assert "all of them become 2026-11-25; if it is meant, give --yes" in refused
    assert rows_in(shop.book_path) == before
    assert "2 entries set to 2026-11-25." in told(
        run, "clock", "--set-to", TODAY, "--yes", shop=shop
    )
    [job] = the_machine(shop, "M-002").jobs
    assert (job.in_on, job.out_on) == (TODAY, TODAY)
    assert MEND not in told(run, "checkin", "M-002", "y", shop=shop)


def test_on_a_terminal_it_is_asked(shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asking, "at_terminal", lambda: True)
    for answer, days in ((False, AHEAD), (True, TODAY)):
        monkeypatch.setattr(click, "confirm", lambda *_, answer=answer, **__: answer)
        run("clock", "--set-to", TODAY, shop=shop.folder)
        assert the_machine(shop, "M-002").jobs[0].in_on == days


def test_everything_that_was_done_goes_to_the_day_that_is_given(fresh_shop: Shop, run: Run) -> None:
    add_owner(fresh_shop, name="Ida Brandvold", phone="020 7946 0107")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    for words in (
        ("use", "M-001", "5 hours a week"),
        ("serviced", "M-001", "--yes", "--unsafe", "cord frayed"),
        ("called", "Ida", "no-answer"),
        ("electrical", "M-001", "--fail", "--by", "R. Amsel"),
        ("checkin", "M-001", "x"),
        ("ready", "M-001"),
        ("collected", "M-001"),
        ("owner", "edit", "Ida", "--leave-alone"),
        ("machine", "gone", "M-001", "sold"),
    ):
        assert run(*words, shop=fresh_shop.folder, today=AHEAD).exit_code == 0
    listed = run("clock", shop=fresh_shop.folder).stdout.splitlines()
    assert [line.split(maxsplit=2)[1:] for line in listed] == [
        *(
            ["M-001", what]
            for what in (
                "check-in", "collected", "electrical check", "found unsafe", "gone", "ready",
                "report of use", "service",
            )
        ),
        ["OW-001", "call"],
        ["OW-001", "left alone"],
    ]  # fmt: skip
    told(run, "clock", "--set-to", "2026-11-24", "--yes", shop=fresh_shop)
    kept = [row for row in rows_in(fresh_shop.book_path) if '"change_row"' not in row]
    assert str(AHEAD) not in "".join(kept)
    assert told(run, "machine", "back", "M-001", shop=fresh_shop) == ""
    record = the_machine(fresh_shop, "M-001")
    assert {service.on for service in record.services} == {date(2026, 11, 24)}
    assert record.unsafe is not None
    assert record.unsafe.on == date(2026, 11, 24)


def test_a_call_promised_from_such_a_day_comes_as_many_days_sooner(shop: Shop, run: Run) -> None:
    """The day after, and over the weekend to Monday; a day that the owner named stays."""
    friday, summer, named = date(2026, 11, 20), date(2027, 6, 1), date(2027, 8, 2)
    for words, today, on in (
        (("no-answer",), AHEAD, date(2026, 11, 23)),
        (("later", named), summer, named),
    ):
        told(run, "calls", shop=shop)
        assert run("called", "Ida", *words, shop=shop.folder, today=today).exit_code == 0
        told(run, "clock", "--set-to", friday, "--yes", shop=shop)
        [call] = [call for call in open_calls(shop) if call.promised_on is not None]
        assert call.promised_on == on


@pytest.mark.parametrize(
    ("before", "ahead", "day", "why"),
    [
        (
            [("checkin", "M-001", "x")], [("collected", "M-001")], "2026-11-24",
            "the stay of 2026-11-25 would end on 2026-11-24",
        ),
        (
            [("checkin", "M-001", "x"), ("collected", "M-001")], [("checkin", "M-001", "y")],
            "2026-11-24", "the stay of 2026-11-24 is open",
        ),
        (
            [("use", "M-001", "meter 10 hours")], [("use", "M-001", "meter 12 hours")],
            "2026-11-25", "the meter: 12 hours on 2026-11-25, after 10 hours on 2026-11-25: is",
        ),
        (
            [("serviced", "M-001", *TESTED)], [("serviced", "M-001", *TESTED)], "2026-11-25",
            "the same service of 2026-11-25 is in the book already",
        ),
    ],
)  # fmt: skip
def test_what_is_in_the_way_of_a_day_is_told_and_nothing_is_changed(
    before: list[tuple[str, ...]],
    ahead: list[tuple[str, ...]],
    day: str,
    why: str,
    shop: Shop,
    run: Run,
    tmp_path: Path,
) -> None:
    for words in before:
        run(*words, shop=shop.folder)
    for words in ahead:
        assert run(*words, shop=shop.folder, today=AHEAD).exit_code == 0
    kept = rows_in(shop.book_path)
    refused = told(run, "clock", "--set-to", day, "--yes", shop=shop, code=1)
    assert refused.startswith(f"oilchart: M-001: {why}")
    assert refused.endswith("nothing was changed; give another day\n")
    assert rows_in(shop.book_path) == kept


def test_a_day_to_come_is_no_day_to_set_them_to(shop: Shop, run: Run) -> None:
    refused = told(run, "clock", "--set-to", "2026-11-26", "--yes", shop=shop, code=1)
    assert refused == (
        "oilchart: 2026-11-26: is after today, 2026-11-25; give a day that has been\n"
    )
    assert "--yes: only with --set-to" in told(run, "clock", "--yes", shop=shop, code=2)
