"""Words of owners through the command line: what is missing is asked for, what is not clear is kept
as it was said, and nothing that was typed is lost."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest
from click.testing import CliRunner, Result

from oilchart.cli import hearing, main
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import all_machines
from tests.conftest import Run

Asked = Callable[..., Result]


@pytest.fixture
def shop(fresh_shop: Shop, run: Run) -> Shop:
    """A shop with one machine that was served in August, of which 2 hours a week are known."""
    for words in (
        ("owner", "add", "Ida Brandvold", "--phone", "020 7946 0107"),
        ("machine", "add", "Ida", "heron-3", "--serial", "H3-1"),
        ("serviced", "M-001", "--on", "2026-08-03", "--check", "R. Amsel=pass", "--yes"),
        ("use", "M-001", "2 hours a week", "--on", "2026-08-03"),
    ):
        assert run(*words, shop=fresh_shop.folder).exit_code == 0
    return fresh_shop


@pytest.fixture
def asked(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Run a command at a terminal at which somebody answers, a line for each question."""
    monkeypatch.setattr(hearing, "at_terminal", lambda: True)

    def answered(*words: str, answers: str = "") -> Result:
        options = ["--shop", str(shop.folder), "--today", str(TODAY)]
        return CliRunner().invoke(main, [*options, *words], input=answers, prog_name="oilchart")

    return answered


def reports(shop: Shop) -> list[tuple[str, str, bool]]:
    """What was said of the machine: the words, what is still to ask, and whether hours are told."""
    [record] = all_machines(shop)
    return [(each.words, each.unclear, each.tells_hours) for each in record.reports]


def due(shop: Shop, run: Run) -> Any:
    [row] = json.loads(run("due", "--all", "--json", shop=shop.folder).stdout)
    return row["due"]


def test_what_is_missing_is_asked_for_and_the_answer_said_with_it(shop: Shop, asked: Asked) -> None:
    told = asked("use", "M-001", "every Tuesday", answers="2 hours\n")
    assert told.exit_code == 0
    assert "how long each time?" in told.stderr
    assert "heard: 2 hours a week; on 1 day a week." in told.stdout
    assert reports(shop)[-1] == ("every Tuesday; 2 hours", "", True)


def test_up_to_three_questions_are_put_and_an_empty_answer_ends_them(
    shop: Shop, asked: Asked
) -> None:
    words = "every day for the quilting season"
    told = asked("use", "M-001", words, answers="2 hours\nOct-Dec\nnothing otherwise\n")
    assert told.exit_code == 0, told.stderr
    assert (
        "heard: 14 hours a week; on 7 days a week; nothing in January to September" in told.stdout
    )
    told = asked("use", "M-001", words, answers="long\nvery long\nlonger\n")
    assert told.exit_code == 2
    assert len(told.stderr.partition("oilchart: ")[0].splitlines()) == 3
    before = reports(shop)
    told = asked("use", "M-001", words, answers="\n")
    assert told.exit_code == 2
    assert told.stderr.count("how long each time? ") == 1
    assert reports(shop) == before


def test_without_a_terminal_the_question_is_a_refusal_with_the_place_marked(
    shop: Shop, run: Run
) -> None:
    told = run("use", "M-001", "mostly zigzag, every Tuesday", shop=shop.folder)
    line, words, caret, _ = told.stderr.splitlines()
    assert told.exit_code == 2
    assert line == 'oilchart: use: "mostly zigzag, every Tuesday": how long each time?'
    assert caret.index("^") == words.index("every")
    assert len(reports(shop)) == 1


def test_words_that_are_not_clear_change_no_date_and_every_paper_says_so(
    shop: Shop, run: Run, tmp_path: Path
) -> None:
    before = due(shop, run)
    told = run("use", "M-001", "the odd thing on Tuesdays", "--as-said", shop=shop.folder)
    assert told.exit_code == 0
    assert "Not clear: " in told.stdout
    assert due(shop, run) == before
    assert reports(shop)[-1][2] is False
    schedule = run("schedule", "M-001", shop=shop.folder).stdout
    assert "not understood, and changes nothing yet" in " ".join(schedule.split())
    run("card", "M-001", "-o", "card.pdf", shop=shop.folder)
    run("checklist", "M-001", "-o", "list.pdf", shop=shop.folder)
    for name, said in (("card.pdf", "not understood yet"), ("list.pdf", "not understood, and")):
        pages = pypdf.PdfReader(tmp_path / name).pages
        assert said in " ".join(" ".join(page.extract_text() for page in pages).split())
    # until something clear is told
    run("use", "M-001", "3 hours a week", shop=shop.folder)
    assert "not understood" not in run("schedule", "M-001", shop=shop.folder).stdout


def test_at_a_check_in_one_question_is_put_and_then_the_words_are_kept(
    shop: Shop, asked: Asked, run: Run
) -> None:
    told = asked("checkin", "M-001", "squeaks", "--use", "whenever", answers="on Tuesdays\n")
    assert told.exit_code == 0
    assert told.stderr.count('"whenever" is not understood: ') == 1
    [said, kept] = reports(shop)
    assert kept[0] == "whenever; on Tuesdays"
    assert kept[1]
    assert "still to ask of “whenever; on Tuesdays”" in told.stdout
    run("ready", "M-001", "--nothing-done", shop=shop.folder)
    home = run("collected", "M-001", shop=shop.folder)
    assert "still to ask of “whenever; on Tuesdays”" in home.stdout
    sheet = run("calls", "-o", "calls.pdf", "--weeks", "60", shop=shop.folder)
    assert sheet.exit_code == 0
    assert said[0] == "2 hours a week"


def test_what_cannot_be_is_kept_as_it_was_said_at_a_check_in_too(shop: Shop, asked: Asked) -> None:
    told = asked("checkin", "M-001", "squeaks", "--use", "25 hours a day", answers="\n")
    assert told.exit_code == 0
    words, unclear, _ = reports(shop)[-1]
    assert words == "25 hours a day"
    assert "more than 24 hours a day" in unclear


def test_what_is_said_on_a_call_is_heard_and_what_it_changes_is_told(shop: Shop, run: Run) -> None:
    told = run("called", "Ida", "reached", "--use", "an hour most evenings", shop=shop.folder)
    assert told.exit_code == 0, told.stderr
    assert "M-001: heard: 4 to 6 hours a week" not in told.stdout
    assert "M-001: heard: 4 to 5 hours a week, likely 4.47; on 4 days a week." in told.stdout
    assert "Reckoned: most evenings: taken as 4 to 5 a week." in told.stdout
    assert "Service wanted by " in told.stdout
    refused = run("called", "Ida", "reached", "--use", "every Tuesday", shop=shop.folder)
    assert refused.exit_code == 2
    kept = run("called", "Ida", "reached", "--use", "every Tuesday", "--as-said", shop=shop.folder)
    assert "M-001: still to ask of “every Tuesday”: how long each time?" in kept.stdout
    wrong = run("called", "Ida", "reached", "--correct", "--use", "none", shop=shop.folder)
    assert wrong.exit_code == 2


def test_the_sheet_of_calls_asks_how_often_and_what_was_not_clear(
    shop: Shop, run: Run, tmp_path: Path
) -> None:
    run("use", "M-001", "every Tuesday", "--as-said", shop=shop.folder)
    run("calls", "--weeks", "60", "-o", "calls.pdf", shop=shop.folder)
    pages = pypdf.PdfReader(tmp_path / "calls.pdf").pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "How often do you sit down to it? How long each time?" in text
    assert "Which months more, which not? What do you sew?" in text
    assert "“every Tuesday”: how long each time?" in text
    assert "hours a week?" not in text


def test_a_machine_that_becomes_overdue_by_what_is_told_says_so(shop: Shop, run: Run) -> None:
    told = run("use", "M-001", "60 hours a week", "--on", "2026-08-04", shop=shop.folder)
    assert "overdue now." in told.stdout
    told = run("use", "M-001", "2 hours a week", "--on", "2026-08-04", shop=shop.folder)
    assert "not overdue any more" in told.stdout


def test_a_shop_has_words_and_seasons_of_its_own(shop: Shop, run: Run) -> None:
    (shop.folder / "points" / "words.toml").write_text(
        '[sittings]\nevening = "3-4"\n', encoding="utf-8"
    )
    settings = shop.folder / "shop.toml"
    settings.write_text(
        settings.read_text(encoding="utf-8") + '\n[seasons]\nwinter = "Jun-Aug"\n', encoding="utf-8"
    )
    told = run("use", "M-001", "an evening a week, nothing in winter", shop=shop.folder).stdout
    assert "heard: 3 to 4 hours a week" in told
    assert "nothing in June to August, every year" in told
    (shop.folder / "points" / "words.toml").write_text(
        '[sittings]\nevening = "long"\n', encoding="utf-8"
    )
    wrong = run("use", "M-001", "an evening a week", shop=shop.folder)
    assert wrong.exit_code == 1
    assert 'words.toml: [sittings]: "evening": "long" cannot be read' in wrong.stderr
    settings.write_text(
        settings.read_text(encoding="utf-8").replace("Jun-Aug", "cold"), encoding="utf-8"
    )
    assert "is no stretch of months" in run("due", shop=shop.folder).stderr


def test_words_left_aside_are_told(shop: Shop, run: Run) -> None:
    told = run("use", "M-001", "3 hours a week for my grandchildren", shop=shop.folder).stdout
    assert "heard: 3 hours a week." in told
    assert "Left aside: “for my grandchildren”." in told


@pytest.mark.parametrize(
    ("words", "answer", "heard"),
    [
        ("5 hours", "a week", "5 hours a week."),
        ("about 5", "hours a week", "4 to 6.25 hours a week"),
        ("5 hours a wek", "yes", "5 hours a week."),
        ("5 hours a wek", "week", "5 hours a week."),
        ("15 hurs a week", "y", "15 hours a week."),
        ("meter 412", "stitches", "the meter shows 412 stitches."),
        ("100 hours a week", "yes", "100 hours a week."),
        ("9 to 5", "5 days a week", "35 to 40 hours a week"),
        ("3 costumes a month", "6 hours each", "4.14 hours a week."),
        ("50 hours last year", "in the last year", "50 hours since"),
        ("idle", "not in July", "nothing in July, every year."),
        ("15 hours in November, otherwise 4", "a week", "4 hours a week, 15 in November."),
        ("2/3 evenings a week", "2 to 3", ""),
    ],
)
def test_an_answer_is_understood_with_the_words_it_is_about(
    asked: Asked, words: str, answer: str, heard: str
) -> None:
    told = asked("use", "M-001", words, answers=f"{answer}\n\n")
    assert (told.exit_code == 0) == bool(heard), told.stderr
    assert f"heard: {heard}" in told.stdout or not heard
