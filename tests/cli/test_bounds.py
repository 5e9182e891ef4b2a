"""How much is taken in: days years ahead are asked about, long words refused, and a book that holds
the last day of all works in every command."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import click
import pytest

from oilchart import bounds
from oilchart.cli import asking
from oilchart.cli.terminal import harmless
from oilchart.shop.folder import Shop
from oilchart.sources.book.closures import Closure
from tests.builders.commands import TESTED, besides_change
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, record_service, record_use
from tests.builders.snapshot import rows_in
from tests.conftest import Run

FAR, NEAR = "2062-12-08", "2027-01-15"
AHEAD = f"{FAR} is 36 years ahead"


@pytest.fixture
def shop(fresh_shop: Shop) -> Shop:
    """Ida with one machine, served and sewn on."""
    add_owner(fresh_shop, name="Ida Brandvold", phone="020 7946 0107")
    add_machine(fresh_shop, owner="Ida", model="heron-3")
    record_service(fresh_shop, "M-001", date(2024, 11, 25))
    record_use(fresh_shop, "M-001", "5-8 hours a week", date(2026, 11, 20))
    return fresh_shop


@pytest.fixture
def at_terminal(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Have somebody sit there who answers every question alike."""

    def sit(answer: str) -> None:
        def confirm(question: str, *, err: bool) -> bool:
            click.echo(question, err=err)
            return answer == "y"

        monkeypatch.setattr(asking, "at_terminal", lambda: True)
        monkeypatch.setattr(click, "confirm", confirm)

    return sit


def booked(shop: Shop) -> list[str]:
    with closing(sqlite3.connect(shop.book_path)) as book:
        return [day for (day,) in book.execute("SELECT booked_for FROM booking")]


@pytest.mark.parametrize("outcome", ["booked", "later"])
def test_a_day_years_ahead_is_refused_where_nobody_can_be_asked_unless_it_is_meant(
    outcome: str, shop: Shop, run: Run
) -> None:
    before = rows_in(shop.book_path)
    refused = run("called", "Ida", outcome, FAR, shop=shop.folder)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert refused.stderr == (
        f"oilchart: {AHEAD}; if it is meant, give --yes (see: oilchart called --help)\n"
    )
    assert rows_in(shop.book_path) == before
    meant = run("called", "Ida", outcome, FAR, "--yes", shop=shop.folder)
    assert (meant.exit_code, besides_change(meant.stderr)) == (0, "")


@pytest.mark.parametrize(("answer", "code", "days"), [("y", 0, [FAR]), ("n", 1, [])])
def test_on_a_terminal_it_is_asked_about_once(
    answer: str,
    code: int,
    days: list[str],
    shop: Shop,
    run: Run,
    at_terminal: Callable[[str], None],
) -> None:
    at_terminal(answer)
    told = run("called", "Ida", "booked", FAR, shop=shop.folder)
    assert told.exit_code == code
    assert told.stderr.count(f"{AHEAD}; keep it?\n") == 1
    assert ("oilchart: nothing was changed" in told.stderr) == (code == 1)
    assert booked(shop) == days


@pytest.mark.parametrize(("day", "code"), [("2028-11-24", 0), ("2028-11-27", 2)])
def test_two_years_ahead_are_taken_unasked(day: str, code: int, shop: Shop, run: Run) -> None:
    assert run("called", "Ida", "booked", day, shop=shop.folder).exit_code == code


def calendar(*events: str) -> str:
    blocks = [f"BEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\n" for event in events]
    return f"BEGIN:VCALENDAR\r\n{''.join(blocks)}END:VCALENDAR\r\n"


def shut(year: int, uid: str | None = None, title: str = "away") -> str:
    first = f"DTSTART;VALUE=DATE:{year:04}0101"
    return f"UID:{uid or year}\r\n{first}\r\nSUMMARY:{title}\r\nCATEGORIES:Shut"


def test_an_entry_moved_years_ahead_is_asked_about(shop: Shop, run: Run, tmp_path: Path) -> None:
    run("calendar", "--services", "-o", "s.ics", shop=shop.folder)
    lines = (tmp_path / "s.ics").read_bytes().decode().split("\r\n")
    moved = [
        "DTSTART;VALUE=DATE:99991231" if line.startswith("DTSTART") else line
        for line in lines
        if not line.startswith("DTEND")
    ]
    (tmp_path / "s.ics").write_bytes("\r\n".join(moved).encode())
    refused = run("calendar", "--read", "s.ics", shop=shop.folder)
    title = "“Service due: M-001 Heron 3, Ida Brandvold”"
    assert (refused.exit_code, refused.stdout, booked(shop)) == (2, "", [])
    assert refused.stderr.startswith(f"oilchart: {title} on 9999-12-31 is 7973 years ahead; if it")
    only_looked = run("calendar", "--read", "s.ics", "--check", shop=shop.folder)
    assert (only_looked.exit_code, booked(shop)) == (0, [])
    assert run("calendar", "--read", "s.ics", "--yes", shop=shop.folder).exit_code == 0
    assert booked(shop) == ["9999-12-31"]


def test_closures_years_ahead_are_asked_about_all_at_once(
    shop: Shop, run: Run, tmp_path: Path, at_terminal: Callable[[str], None]
) -> None:
    (tmp_path / "own.ics").write_text(calendar(*map(shut, range(2027, 2063))), newline="")
    words = ("calendar", "--read", "own.ics", "--closures", "shut")
    refused = run(*words, shop=shop.folder)
    far = "34 entries (0 moved, 34 closures) are more than 2 years ahead, the last on 2062-01-01"
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert refused.stderr.startswith(f"oilchart: {far}; if it is meant, give --yes")
    at_terminal("y")
    told = run(*words, shop=shop.folder)
    assert told.stderr.startswith(f"{far}; keep it?\n")
    assert len(told.stdout.splitlines()) == 36


@pytest.mark.parametrize(
    ("closures", "told"),
    [
        ('"2026-12-24 to 2027-01-02", "2028-11-25"', None),
        ('"2026-12-24", "2028-11-25 to 2028-11-26"',
         "2028-11-25 to 2028-11-26 ends more than 2 years ahead"),
        ('"1876-11-24"', "1876-11-24 begins more than 150 years ago"),
        ('"2126-12-24", "2126-12-27 to 2127-01-02", "2062-12-08"',
         "2062-12-08 ends more than 2 years ahead, and 2 more are as far from today"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("words", ["due", "checkin M-001 squeaks", "checklist M-001 -o c.pdf"])
def test_a_closure_of_the_settings_years_away_is_told_of_once_and_taken(
    words: str, closures: str, told: str | None, shop: Shop, run: Run
) -> None:
    file = shop.folder / "shop.toml"
    settings = file.read_text(encoding="utf-8")
    file.write_text(settings.replace("closures = []", f"closures = [{closures}]"), encoding="utf-8")
    result = run(*words.split(), shop=shop.folder)
    assert result.exit_code == 0
    mend = "the shop is taken to be shut then; if a year is not meant, mend it there"
    line = f"{file}: [bench]: closures: {told}: {mend}"
    lines = [each for each in result.stderr.splitlines() if "closures" in each]
    assert lines == ([] if told is None else [line])


def test_yes_belongs_to_what_is_read(shop: Shop, run: Run) -> None:
    told = run("calendar", "--yes", "-o", "-", shop=shop.folder)
    assert told.stderr.startswith("oilchart: --closures, --check, --yes: only with --read")


def test_of_entries_with_one_uid_the_newest_counts_and_one_without_cannot_be_read(
    shop: Shop, run: Run, tmp_path: Path
) -> None:
    older, newer = shut(2027, "1", "old"), shut(2028, "1", "new") + "\r\nSEQUENCE:2"
    none = shut(2027, "x").replace("UID:x", "UID:")
    (tmp_path / "own.ics").write_text(calendar(newer, older, none, none), newline="")
    told = run("calendar", "--read", "own.ics", "--closures", "Shut", shop=shop.folder)
    assert (told.exit_code, told.stdout) == (0, "shut Saturday 1 January 2028: new\n")
    assert besides_change(told.stderr) == "1 other entry left alone, 2 that cannot be read.\n"


def test_a_title_is_told_and_kept_on_one_line_and_the_first_of_two_counts(
    shop: Shop, run: Run, tmp_path: Path
) -> None:
    steers = shut(2027, "1", "a\x1b[31mred\x07 \x1b]0;pwn\x07")
    twice = shut(2028, "2", "one\r\nSUMMARY:two")
    long = shut(2026, "3", "x" * 1_000).replace("20260101", "20261230")
    (tmp_path / "own.ics").write_text(calendar(steers, twice, long), newline="")
    told = run("calendar", "--read", "own.ics", "--closures", "Shut", shop=shop.folder)
    assert told.stdout.splitlines() == [
        "shut Friday 1 January 2027: a [31mred ]0;pwn",
        "shut Saturday 1 January 2028: one",
        f"shut Wednesday 30 December 2026: {'x' * 199}…",
    ]
    with closing(sqlite3.connect(shop.book_path)) as book:
        kept = [why for (why,) in book.execute("SELECT why FROM closure ORDER BY uid")]
    assert kept == ["a [31mred ]0;pwn", "one", f"{'x' * 199}…"]


def test_what_a_text_would_steer_a_terminal_with_is_a_blank_and_colours_stay() -> None:
    assert harmless("\x1b[1;31m▲ overdue\x1b[0m\tline\n") == "\x1b[1;31m▲ overdue\x1b[0m\tline\n"
    steered = "a\x1b]0;pwn\x07b\x1b[2Jc\rd\x9b5me\u202ef\x1b[8mg\x00\u200fh"
    assert harmless(steered) == "a ]0;pwn b [2Jc d 5me f [8mg  h"


@pytest.fixture
def end_of_days(shop: Shop) -> Shop:
    """A service booked for the last day of all, and the shop shut from its first to its last."""
    with shop.book(writing=True) as book:
        book.bookings.add(1, day=date.max, made_on=TODAY)
        book.closures.replace(
            (
                Closure(uid=str(year), first=date(year, 1, 1), last=date(year, 12, 31), why="away")
                for year in range(1, 10_000)
            ),
            since=TODAY,
        )
    return shop


@pytest.mark.parametrize(
    "words",
    [
        "due", "calls", "calls -o c.pdf", "board -o b.html", "schedule M-001 --months 120",
        "schedule M-001 --explain hook-race-oil", "card M-001 -o c.pdf",
        "checklist M-001 -o c.html", "record M-001 -o r.pdf", "letters --due -o l.pdf",
        "calendar -o c.ics", "calendar --services -o s.ics", "calendar M-001 -o m.ics",
        "calendar --all -o all",
        "machine show M-001", "owner show Ida", "called Ida reached", "called Ida no-answer",
        "serviced M-001 --freed --yes --check Amsel=pass", "checkin M-001 noisy",
    ],
)  # fmt: skip
def test_a_book_with_the_last_day_of_all_in_it_works_in_every_command(
    words: str, end_of_days: Shop, run: Run
) -> None:
    assert run(*words.split(), shop=end_of_days.folder).exit_code == 0


AS_OF_ANY_DAY = (
    "due", "due --json", "calls", "board -o b.html", "schedule M-001 --months 120", "card M-001",
    "checklist M-001", "record M-001", "letters --due", "calendar --all -o all",
    "machine show M-001", "owner show Ida", "clock",
)  # fmt: skip


@pytest.mark.parametrize("today", ["1850-01-01", "1852-02-29", "2196-02-29", "2199-12-31"])
def test_as_of_any_day_there_are_machines_every_list_and_paper_can_be_had(
    today: str, shop: Shop, run: Run
) -> None:
    for words in AS_OF_ANY_DAY:
        asked = run(*words.split(), shop=shop.folder, today=today)
        assert asked.exit_code == 0, (words, asked.stderr)


# words


NAME, WORDS = bounds.NAME_LETTERS, bounds.WORDS_LETTERS


@pytest.mark.parametrize(
    ("words", "most"),
    [
        (("owner", "add", "{}"), NAME),
        (("owner", "add", "Bo", "--phone", "{}"), NAME),
        (("owner", "add", "Bo", "--email", "{}"), NAME),
        (("owner", "add", "Bo", "--address", "12 Example Street; {}"), NAME),
        (("owner", "edit", "Ida", "--name", "{}"), NAME),
        (("owner", "edit", "Ida", "--best-time", "{}"), WORDS),
        (("machine", "add", "Ida", "heron-3", "--serial", "{}"), NAME),
        (("machine", "add", "Ida", "heron-3", "--note", "{}"), WORDS),
        (("machine", "edit", "M-001", "--serial", "{}"), NAME),
        (("machine", "edit", "M-001", "--note", "{}"), WORDS),
        (("called", "Ida", "reached", "--note", "{}"), WORDS),
        (("serviced", "M-001", *TESTED, "--note", "{}"), WORDS),
        (("serviced", "M-001", "--yes", "--unsafe", "{}"), WORDS),
        (("serviced", "M-001", *TESTED, "--except", "44={}"), WORDS),
        (("fixed", "M-001", "{}"), WORDS),
        (("unsafe", "M-001", "{}"), WORDS),
        (("electrical", "M-001", "--pass", "--by", "{}"), NAME),
    ],
)
def test_words_are_taken_up_to_their_bound(
    words: tuple[str, ...], most: int, shop: Shop, run: Run
) -> None:
    before = rows_in(shop.book_path)
    too_long = [word.format("x" * (most + 1)) for word in words]
    refused = run(*too_long, shop=shop.folder)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert f"has {most + 1} letters; shorten it to {most}" in refused.stderr
    assert refused.stderr.count("\n") == 1
    assert rows_in(shop.book_path) == before
    taken = run(*(word.format("x" * most) for word in words), shop=shop.folder)
    assert taken.exit_code == 0


@pytest.mark.parametrize("name", ["\u200b\u200d", "\u2060", "\u3164", "\u2800 \u00ad", "\u0301"])
def test_a_name_of_which_nothing_is_seen_is_none(name: str, shop: Shop, run: Run) -> None:
    refused = run("owner", "add", name, shop=shop.folder)
    assert refused.exit_code == 2
    assert "has no letter that can be seen" in refused.stderr


@pytest.mark.parametrize("name", ["Ida", "王", "👩\u200d🔧", "نگار\u200cپور"])
def test_a_name_of_which_something_is_seen_is_one(name: str, shop: Shop, run: Run) -> None:
    assert run("owner", "add", name, shop=shop.folder).stdout == f"OW-002 {name}\n"


def test_a_day_is_taken_up_to_150_years_back(shop: Shop, run: Run) -> None:
    words = ("serviced", "M-001", *TESTED, "--on")
    refused = run(*words, "1876-11-24", shop=shop.folder)
    assert refused.exit_code == 2
    assert '"1876-11-24": is more than 150 years ago; give a day from 1876-11-25 on' in (
        refused.stderr
    )
    assert run(*words, "1876-11-25", shop=shop.folder).exit_code == 0


def test_bounds_of_days_keep_the_day_where_the_year_has_it() -> None:
    assert bounds.latest_day(date(2026, 11, 25)) == date(2028, 11, 25)
    assert bounds.latest_day(date(2028, 2, 29)) == date(2030, 2, 28)
    assert bounds.earliest_day(date(2028, 2, 29)) == date(1878, 2, 28)
    assert bounds.latest_day(date(9999, 3, 1)) == date(9999, 3, 1)
    assert bounds.years_ahead(date(2062, 12, 8), date(2026, 11, 25)) == 36
    assert bounds.years_ahead(date(2062, 11, 24), date(2026, 11, 25)) == 35
