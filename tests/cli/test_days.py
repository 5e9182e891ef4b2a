"""Every option and argument that takes a day takes it as people say it, and it is said back."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from oilchart.cli import main
from oilchart.cli.types import DayType
from oilchart.core.days import day_words
from oilchart.shop.folder import Shop
from tests.builders.commands import commands_of
from tests.conftest import Run

YESTERDAY, FRIDAY, TUESDAY = date(2026, 11, 24), date(2026, 11, 20), date(2026, 12, 1)
# command, its option or argument, what is said before, and the day
SAID = [
    ("machine gone", "--on", "M-001 sold", "yesterday", YESTERDAY),
    ("machine handed-on", "--on", "M-001 OW-002", "yesterday", YESTERDAY),
    ("use", "--on", "M-001 none", "last Friday", FRIDAY),
    ("checkin", "--on", "M-001 noise --use none", "yesterday", YESTERDAY),
    ("checkin", "--ready-by", "M-001 noise --use none", "next Tuesday", TUESDAY),
    ("waiting", "--on", "M-012 belt", "yesterday", YESTERDAY),
    ("part-arrived", "--on", "M-012", "24 Nov", YESTERDAY),
    ("photo", "--on", "M-012 photo.jpg", "yesterday", YESTERDAY),
    ("ready", "--on", "M-012 --nothing-done", "20 Nov", FRIDAY),
    ("collected", "--on", "M-012", "yesterday", YESTERDAY),
    ("serviced", "--on", "M-012 --yes --check R=pass", "20.11.", FRIDAY),
    ("serviced", "--back-on", "M-012 --yes --except hook-race-oil", "6 Dec", date(2026, 12, 6)),
    ("service edit", "--service", "M-001 --by R", "18 Nov 2025", date(2025, 11, 18)),
    ("service edit", "--day", "M-001", "19 November 2025", date(2025, 11, 19)),
    (
        "service edit",
        "--back-on",
        "M-001 --not-done wiring-inspect=asked",
        "4 October 2026",
        date(2026, 10, 4),
    ),
    ("stay edit", "--came-in", "M-012", "the 19th", date(2026, 11, 19)),
    ("stay edit", "--ready-by", "M-012", "in a fortnight", date(2026, 12, 9)),
    ("stay edit", "--ready", "M-001", "17 November 2025", date(2025, 11, 17)),
    ("stay edit", "--collected", "M-001", "Fri 21 November 2025", date(2025, 11, 21)),
    ("fixed", "--on", "M-001 belt", "yesterday", YESTERDAY),
    ("electrical", "--on", "M-001 --by R --pass", "yesterday", YESTERDAY),
    ("unsafe", "--on", "M-001 cracked --mechanical", "yesterday", YESTERDAY),
    ("safe", "--on", "M-001 mended --by R", "yesterday", YESTERDAY),
    ("schedule", "--serviced", "--model heron-3 --use none", "Friday", FRIDAY),
    ("card", "--serviced", "--model heron-3 --use none -o x.pdf", "Friday", FRIDAY),
    ("checklist", "--serviced", "--model heron-3 --use none -o x.pdf", "Friday", FRIDAY),
    ("called", "day", "OW-001 booked", "next Tuesday", TUESDAY),
    ("called", "day", "OW-001 later", "in a fortnight", date(2026, 12, 9)),
    ("called", "day", "OW-001 rang-back", "12 May", date(2027, 5, 12)),
    ("called", "--on", "OW-001 no-answer", "yesterday", YESTERDAY),
    ("clock", "--set-to", "", "yesterday", YESTERDAY),
]
OF_EACH = [
    (name, option.opts[0])
    for name, command in commands_of(main)
    for option in command.params
    if isinstance(option.type, DayType)
]


def test_every_option_that_takes_a_day_is_tried_below() -> None:
    assert {(command, option) for command, option, *_ in SAID} == set(OF_EACH)


@pytest.mark.parametrize(
    ("command", "option", "before", "words", "day"),
    SAID,
    ids=[" ".join(each[:4]) for each in SAID],
)
def test_a_day_in_words_is_said_back_once_with_its_weekday(
    demo_shop: Shop, run: Run, command: str, option: str, before: str, words: str, day: date
) -> None:
    if command == "photo":
        Image.new("RGB", (600, 400), "grey").save("photo.jpg")  # where the program stands
    if command == "safe":
        run("unsafe", "M-001", "cracked", "--mechanical", "--on", FRIDAY, shop=demo_shop.folder)
    named = [option] if option.startswith("-") else []
    done = run(*command.split(), *before.split(), *named, words, shop=demo_shop.folder)
    assert done.exit_code == 0, done.stderr
    assert (done.stdout + done.stderr).count(day_words(day)) == 1, done.stdout + done.stderr


def test_a_plain_day_is_not_said_back(demo_shop: Shop, run: Run) -> None:
    done = run("machine", "gone", "M-001", "sold", "--on", "2026-11-24", shop=demo_shop.folder)
    assert "Tuesday" not in done.stdout + done.stderr


def test_what_is_said_back_is_what_is_recorded(demo_shop: Shop, run: Run) -> None:
    run("called", "OW-001", "booked", "15 Jan", shop=demo_shop.folder)
    run("machine", "gone", "M-002", "sold", "--on", "15 Jan", shop=demo_shop.folder)
    due = json.loads(run("due", "--all", "--json", shop=demo_shop.folder).stdout)
    assert "2027-01-15" in {each["booked"] for each in due if each["machine"] == "M-001"}
    gone = run("machine", "list", "--gone", "--json", shop=demo_shop.folder)
    assert '"on": "2026-01-15"' in gone.stdout


def test_figures_are_read_in_the_order_of_shop_toml(demo_shop: Shop, run: Run) -> None:
    settings = demo_shop.folder / "shop.toml"
    plain = settings.read_text()
    words = ("use", "M-001", "50 hours since 3/4/2026", "--on", "11/10/2026")
    refused = run(*words, shop=demo_shop.folder)
    assert refused.exit_code == 2
    assert "Sunday 11 October 2026 or Tuesday 10 November 2026" in refused.stderr
    for order, since, said in (
        ("day first", "Fri 3 Apr 2026", "Sunday 11 October 2026"),
        ("month first", "Wed 4 Mar 2026", "Tuesday 10 November 2026"),
    ):
        settings.write_text(f'day_order = "{order}"\n{plain}')
        heard = run(*words, shop=demo_shop.folder)
        assert heard.exit_code == 0, heard.stderr
        assert f"50 hours since {since}" in heard.stdout
        assert said in heard.stderr
    settings.write_text(f'day_order = "year first"\n{plain}')
    wrong = run(*words, shop=demo_shop.folder)
    assert wrong.exit_code == 1
    assert re.search(r'shop.toml: day_order: is not known: "year first"; write one', wrong.stderr)


def test_the_day_as_of_which_is_reckoned_may_be_said_too(
    demo_shop: Shop, run: Run, tmp_path: Path
) -> None:
    said = run("due", "--json", shop=demo_shop.folder, today="25 November 2026")
    assert said.stdout == run("due", "--json", shop=demo_shop.folder).stdout
    assert said.stderr.startswith("25 November 2026: Wednesday 25 November 2026\n")


def test_a_day_in_an_owners_words_is_heard_with_its_weekday(demo_shop: Shop, run: Run) -> None:
    for words, heard in (
        (
            "50 hours since 25 Dec",
            "50 hours since Thu 25 Dec 2025. In 335 days: that is 1.04 hours a week.",
        ),
        ("50 hours since last Friday", "50 hours since Fri 20 Nov 2026"),
        ("nothing since Easter", "0 hours since Sun 5 Apr 2026"),
        ("50 hours since 25/12/2025", "50 hours since Thu 25 Dec 2025"),
        ("nothing since 2019", "0 hours since Tue 1 Jan 2019"),
        ("away until March", "nothing from Wed 25 Nov 2026 to Sun 28 Feb 2027."),
        ("away till 12 May", "nothing from Wed 25 Nov 2026 to Tue 11 May 2027."),
        ("away until Christmas", "nothing from Wed 25 Nov 2026 to Thu 24 Dec 2026."),
        ("idle 10 Jan 2027 to 1 March", "nothing from Sun 10 Jan 2027 to Mon 1 Mar 2027."),
    ):
        done = run("use", "M-001", words, shop=demo_shop.folder)
        assert heard in done.stdout, (words, done.stdout, done.stderr)


@pytest.mark.parametrize(
    ("words", "marked", "told"),
    [
        (
            "50 hours since 3/4/2026",
            "3/4/2026",
            "Wednesday 4 March 2026 or Friday 3 April 2026; write 2026-03-04 or 2026-04-03",
        ),
        ("idle 10 Jan to 1 March", "10 Jan", "10 January 2026 or Sunday 10 January 2027"),
        ("away until next Friday", "next Friday", "27 November 2026 or Friday 4 December"),
        ("50 hours since 31 Nov", "31 Nov", '"31 Nov": there is no such day'),
        ("50 hours since Mon 25 Dec", "Mon 25 Dec", "that is Thursday 25 December 2025"),
    ],
)
def test_a_day_that_is_not_clear_in_an_owners_words_is_marked(
    demo_shop: Shop, run: Run, words: str, marked: str, told: str
) -> None:
    done = run("use", "M-001", words, shop=demo_shop.folder)
    assert done.exit_code == 2
    line, phrase, caret, *_ = done.stderr.splitlines()
    assert told in line
    assert caret.index("^") == phrase.index(marked)
