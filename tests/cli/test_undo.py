"""A change is taken back by its number or as the last one; what that means is said first."""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest

from oilchart.cli.program import IN_THE_WAY, WRONG_USAGE
from oilchart.shop.folder import Shop
from oilchart.sources.book.file import engines
from tests.builders.commands import TESTED
from tests.builders.snapshot import rows_in
from tests.conftest import Run

ENDS = re.compile(r"Change (\d+); to take it back: oilchart undo \1\n\Z")


def number_in(stderr: str) -> int:
    """The number by which a command says it is taken back, in its last line."""
    ends = ENDS.search(stderr)
    assert ends is not None, stderr
    return int(ends[1])


def sequences(folder: Path) -> dict[str, int]:
    """The SEQUENCE of each entry of the shop's calendars."""
    with closing(sqlite3.connect(folder / "shop.db")) as book:
        return dict(book.execute("SELECT uid, sequence FROM calendar_entry").fetchall())


def told_rows(folder: Path) -> list[str]:
    """The rows that are told of."""
    return [
        row
        for row in rows_in(folder / "shop.db")
        if not re.match(
            r'INSERT INTO "(call|call_service|counter|change|change_row|paper|calendar_entry)"',
            row,
        )
    ]


def test_each_change_says_last_by_which_number_it_is_taken_back(demo_shop: Shop, run: Run) -> None:
    changing: list[tuple[str, ...]] = [
        ("owner", "add", "Bo Kestrel"),
        ("owner", "edit", "OW-002", "--phone", "01632 960133"),
        ("machine", "add", "OW-002", "heron-3"),
        ("machine", "edit", "M-002", "--condition", "lint"),
        ("use", "M-002", "3 hours a week"),
        ("checkin", "M-002", "it squeaks"),
        ("waiting", "M-002", "belt"),
        ("fixed", "M-002", "belt refitted"),
        ("electrical", "M-002", "--by", "R. Amsel", "--pass"),
        ("serviced", "M-002", *TESTED),
        ("service", "edit", "M-002", "--by", "R. Amsel"),
        ("ready", "M-002"),
        ("collected", "M-002"),
        ("stay", "edit", "M-002", "--complaint", "it howls"),
        ("unsafe", "M-002", "cord chafed"),
        ("called", "OW-003", "no-answer"),
        ("machine", "handed-on", "M-003", "OW-001"),
        ("owner", "merge", "OW-015", "--into", "OW-001", "--yes"),
        ("machine", "gone", "M-004", "scrapped"),
        ("machine", "back", "M-004"),
        ("undo", "--yes"),
    ]
    numbers = []
    for words in changing:
        told = run(*words, shop=demo_shop.folder)
        assert told.exit_code == 0, (words, told.output)
        numbers.append(number_in(told.stderr))
    assert numbers == list(range(1, len(changing) + 1))


@pytest.mark.parametrize(
    "words",
    [
        "due",
        "calls",
        "board -o board.html",
        "calendar -o calls.ics",
        "card M-001 -o card.pdf",
        "undo --list",
        "models",
    ],
)
def test_what_changes_nothing_that_is_told_has_no_number(
    words: str, demo_shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = run(*words.split(), shop=demo_shop.folder)
    assert "to take it back" not in told.output


def test_a_list_of_changes_tells_what_was_said_and_what_was_taken_back(
    demo_shop: Shop, run: Run
) -> None:
    for words in (
        ("serviced", "M-007", *TESTED),
        ("use", "M-014", "3 hours a week"),
        ("undo", "1", "--yes"),
        ("owner", "edit", "OW-001", "--note", "rings late"),
    ):
        assert run(*words, shop=demo_shop.folder).exit_code == 0
    columns = [
        re.split(r"\s{2,}", line.strip())
        for line in run("undo", "--list", shop=demo_shop.folder).stdout.splitlines()
    ]
    assert columns == [
        ["Change", "Day", "State", "What"],
        ["4", "2026-11-25", "owner edit OW-001 --note 'rings late'"],
        ["3", "2026-11-25", "took back 1", "undo 1 --yes"],
        ["2", "2026-11-25", "use M-014 '3 hours a week'"],
        ["1", "2026-11-25", "taken back by 3", "serviced M-007 --check 'R. Amsel=pass' --yes"],
    ]
    of_machine = run("undo", "--list", "M-014", shop=demo_shop.folder).stdout
    of_owner = run("undo", "--list", "Ida Brandvold", shop=demo_shop.folder).stdout
    assert [len(each.splitlines()) for each in (of_machine, of_owner)] == [2, 2], of_owner


def test_undo_again_and_again_goes_back_change_by_change(demo_shop: Shop, run: Run) -> None:
    before = [told_rows(demo_shop.folder)]
    for words in ("6 hours a week", "7 hours a week", "8 hours a week"):
        run("use", "M-014", words, shop=demo_shop.folder)
        before.append(told_rows(demo_shop.folder))
    for rows in reversed(before[:-1]):
        assert run("undo", "--yes", shop=demo_shop.folder).exit_code == 0
        assert told_rows(demo_shop.folder) == rows
    told = run("undo", "--yes", shop=demo_shop.folder)
    assert (told.exit_code, told.stderr) == (
        IN_THE_WAY,
        "oilchart: there is nothing to take back\n",
    )


def test_without_a_yes_nothing_is_taken_back_and_it_is_said_what_would_be(
    demo_shop: Shop, run: Run
) -> None:
    run("serviced", "M-007", *TESTED, shop=demo_shop.folder)
    rows = told_rows(demo_shop.folder)
    told = run("undo", shop=demo_shop.folder)
    assert told.exit_code == WRONG_USAGE
    assert "change 1 of 25 November 2026: serviced M-007" in told.stderr
    assert "if it is meant, give --yes" in told.stderr
    assert told_rows(demo_shop.folder) == rows


def test_papers_printed_since_are_named_to_be_got_back_and_no_others(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("card", "M-007", "-o", str(tmp_path / "before.pdf"), shop=demo_shop.folder)
    number = number_in(run("serviced", "M-007", *TESTED, shop=demo_shop.folder).stderr)
    for paper in ("card", "record", "checklist"):
        out = str(tmp_path / f"{paper}.pdf")
        assert run(paper, "M-007", "-o", out, shop=demo_shop.folder).exit_code == 0
    run("card", "M-001", "-o", str(tmp_path / "other.pdf"), shop=demo_shop.folder)
    run("card", "--all", "-o", str(tmp_path / "all.pdf"), shop=demo_shop.folder)
    told = run("undo", str(number), "--yes", shop=demo_shop.folder)
    assert [line for line in told.stderr.splitlines() if line.startswith("Get back")] == [
        f"Get back: the care card of M-007 of 25 November 2026 ({tmp_path / 'all.pdf'})",
        f"Get back: the record of M-007 of 25 November 2026 ({tmp_path / 'record.pdf'})",
        f"Get back: the checklist of M-007 of 25 November 2026 ({tmp_path / 'checklist.pdf'})",
    ]


def test_a_letter_stays_sent(demo_shop: Shop, run: Run, tmp_path: Path) -> None:
    run("owner", "edit", "OW-003", "--address", "7 Weavers Row; Quernhaven", shop=demo_shop.folder)
    run("use", "M-003", "9 hours a week", shop=demo_shop.folder)
    run("letters", "--due", "-o", str(tmp_path / "letters.pdf"), shop=demo_shop.folder)
    told = run("undo", "--yes", shop=demo_shop.folder)
    assert (
        "Get back: the letter to OW-003, which stays sent if it was, of 25 November 2026"
        in told.stderr
    )


def test_that_a_machine_is_unsafe_is_taken_back_for_a_reason_only(
    demo_shop: Shop, run: Run
) -> None:
    rows = told_rows(demo_shop.folder)
    run("unsafe", "M-003", "bare wire", shop=demo_shop.folder)
    told = run("undo", "--yes", shop=demo_shop.folder)
    assert told.exit_code == WRONG_USAGE
    assert "say why that is taken back: --why" in told.stderr
    assert told_rows(demo_shop.folder) != rows
    assert run("undo", "--yes", "--why", "it was M-004", shop=demo_shop.folder).exit_code == 0
    assert told_rows(demo_shop.folder) == rows
    assert "--why 'it was M-004'" in run("undo", "--list", shop=demo_shop.folder).stdout


@pytest.mark.parametrize("feed", [(), ("--services",)])
def test_the_number_of_a_calendar_entry_rises_where_it_was_written_in_between_and_else_stays(
    feed: tuple[str, ...], demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    calendar = ("calendar", *feed, "-o", str(tmp_path / "feed.ics"))
    run(*calendar, shop=demo_shop.folder)
    before = sequences(demo_shop.folder)
    run("serviced", "M-003", *TESTED, shop=demo_shop.folder)
    run("undo", "--yes", shop=demo_shop.folder)
    run(*calendar, shop=demo_shop.folder)
    assert sequences(demo_shop.folder) == before
    run("serviced", "M-003", *TESTED, shop=demo_shop.folder)
    run(*calendar, shop=demo_shop.folder)
    between = sequences(demo_shop.folder)
    run("undo", "--yes", shop=demo_shop.folder)
    run(*calendar, shop=demo_shop.folder)
    after = sequences(demo_shop.folder)
    assert all(after[uid] >= number for uid, number in between.items())
    changed = [uid for uid, number in between.items() if before.get(uid) != number]
    assert changed
    assert all(after[uid] > before.get(uid, -1) for uid in changed)


def test_a_change_on_which_a_later_one_stands_names_it(demo_shop: Shop, run: Run) -> None:
    run("checkin", "M-003", "it squeaks", shop=demo_shop.folder)
    run("collected", "M-003", shop=demo_shop.folder)
    told = run("undo", "1", "--yes", shop=demo_shop.folder)
    assert told.exit_code == IN_THE_WAY
    assert "change 1: later ones stand on it: 2 (collected M-003)" in told.stderr
    for number in ("2", "1"):
        assert run("undo", number, "--yes", shop=demo_shop.folder).exit_code == 0


def test_a_danger_stays_known_where_a_later_check_was_not_passed(demo_shop: Shop, run: Run) -> None:
    run("unsafe", "M-003", "bare wire", shop=demo_shop.folder)
    run("electrical", "M-003", "--by", "R. Amsel", "--fail", shop=demo_shop.folder)
    told = run("undo", "1", "--yes", "--why", "it was M-004", shop=demo_shop.folder)
    assert told.exit_code == IN_THE_WAY
    assert "later ones stand on it: 2 (electrical M-003" in told.stderr
    assert "Do not plug in" in run("machine", "show", "M-003", shop=demo_shop.folder).stdout


def test_a_change_is_not_taken_back_where_the_book_would_contradict_itself(
    fresh_shop: Shop, run: Run
) -> None:
    folder = fresh_shop.folder
    for words in (
        ("owner", "add", "Ida"),
        ("machine", "add", "Ida", "heron-3"),
        ("use", "M-001", "meter 5000 stitches", "--on", "2026-01-10"),
        ("use", "M-001", "new meter 10 stitches", "--on", "2026-03-10"),
        ("use", "M-001", "meter 200 stitches", "--on", "2026-05-10"),
    ):
        assert run(*words, shop=folder).exit_code == 0, words
    told = run("undo", "4", "--yes", shop=folder)
    assert told.exit_code == IN_THE_WAY
    assert "M-001" in told.stderr
    assert told.stderr.count("\n") == 1


def test_what_took_an_earlier_change_back_stands_on_nothing_in_between(
    demo_shop: Shop, run: Run
) -> None:
    rows = told_rows(demo_shop.folder)
    run("serviced", "M-013", *TESTED, shop=demo_shop.folder)
    run("called", "OW-011", "reached", shop=demo_shop.folder)
    run("use", "M-013", "3 hours a week", shop=demo_shop.folder)
    for number in ("2", "1", "3"):
        told = run("undo", number, "--yes", shop=demo_shop.folder)
        assert told.exit_code == 0, told.stderr
    assert told_rows(demo_shop.folder) == rows


def test_a_change_in_force_again_is_told_as_such(demo_shop: Shop, run: Run) -> None:
    run("use", "M-013", "3 hours a week", shop=demo_shop.folder)
    run("undo", "--yes", shop=demo_shop.folder)
    told = run("undo", "2", "--yes", shop=demo_shop.folder)
    assert "In force again: change 1: use M-013 '3 hours a week'" in told.stdout
    assert "in force again by 3" in run("undo", "--list", shop=demo_shop.folder).stdout


def test_what_was_taken_back_already_is_told(demo_shop: Shop, run: Run) -> None:
    run("use", "M-003", "3 hours a week", shop=demo_shop.folder)
    run("undo", "--yes", shop=demo_shop.folder)
    told = run("undo", "1", "--yes", shop=demo_shop.folder)
    assert told.stderr == "oilchart: change 1: was taken back already, by change 2\n"


@pytest.mark.parametrize("number", ["99", "0", "-1", "M-003", "x" * 300, "12345678901"])
def test_a_number_that_is_none_is_refused(number: str, demo_shop: Shop, run: Run) -> None:
    told = run("undo", "--yes", number, shop=demo_shop.folder)
    assert told.exit_code == (IN_THE_WAY if number in ("99", "0") else WRONG_USAGE)
    assert told.stderr.count("\n") == 1
    assert len(told.stderr) < 250


def test_papers_are_printed_from_a_book_that_cannot_be_written_to(
    demo_shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engines, "WAIT_SECONDS", 0.05)
    with closing(sqlite3.connect(demo_shop.book_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        told = run("card", "M-003", "-o", str(tmp_path / "card.pdf"), shop=demo_shop.folder)
    assert told.exit_code == 0
    assert (tmp_path / "card.pdf").stat().st_size > 1000


def test_papers_older_than_what_can_be_taken_back_are_forgotten(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    for days in (0, 401):
        day = date(2026, 11, 25) + timedelta(days=days)
        out = str(tmp_path / "card.pdf")
        run("card", "M-003", "-o", out, shop=demo_shop.folder, today=day)
    with closing(sqlite3.connect(demo_shop.book_path)) as book:
        days_kept = book.execute("SELECT made_on FROM paper").fetchall()
    assert days_kept == [("2027-12-31",)]


def test_a_look_at_the_calls_is_not_what_undo_takes_back(fresh_shop: Shop, run: Run) -> None:
    # the look withdraws a promised call, since the machine is here; before: only that was undone
    for today, words in (
        ("2026-12-01", ("owner", "add", "Ida Quill", "--phone", "020 7946 0107")),
        ("2026-12-01", ("machine", "add", "Ida", "heron-3")),
        ("2026-12-07", ("called", "Ida", "reached")),
        ("2026-12-08", ("checkin", "M-001", "noisy")),
        ("2026-12-08", ("calls",)),
    ):
        told = run(*words, shop=fresh_shop.folder, today=today)
        assert told.exit_code == 0, told.stderr
    assert "to take it back" not in told.output
    told = run("undo", "--yes", shop=fresh_shop.folder, today="2026-12-08")
    assert "checkin M-001 noisy" in told.stdout
    assert "is not in the shop" in run("ready", "M-001", shop=fresh_shop.folder).stderr
    calls = run("calls", "--json", shop=fresh_shop.folder, today="2026-12-08").stdout
    assert [row["promised"] for row in json.loads(calls)] == ["2027-01-04"]
