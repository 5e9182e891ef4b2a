"""Commands load what they need, and nothing heavy that they do not."""

from __future__ import annotations

import json
import subprocess
import sys

import click
import pytest

from oilchart.cli import main
from oilchart.cli.lazy import LazyGroup
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY

# libraries that take long to load, and which commands are quick without
HEAVY = ("PIL", "bidi", "arabic_reshaper", "holidays", "icalendar", "jinja2", "reportlab", "segno")
OF_THE_BOOK, OF_SCREENS = "sqlalchemy", "rich.console"
LOADED = """
import json, sys
from oilchart.cli import main
try:
    main(sys.argv[1:])
except SystemExit as end:
    print(json.dumps([end.code, sorted(sys.modules)]))
"""


def loaded(*words: str) -> set[str]:
    """The modules that a program of its own has loaded when it is done with a command line."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *words], capture_output=True, text=True, check=True
    )
    code, names = json.loads(done.stdout.splitlines()[-1])
    assert code == 0, done.stderr
    return set(names)


def test_help_loads_no_library_but_clicks() -> None:
    names = loaded("--help")
    assert names.isdisjoint({*HEAVY, OF_THE_BOOK, "rich"})
    assert not any(name.startswith("oilchart.core") for name in names)


@pytest.mark.parametrize(
    "words",
    [
        ("due",),
        ("use", "M-014", "5-8 hours a week"),
        ("ready", "M-012", "--nothing-done"),
        ("owner", "list"),
    ],
)
def test_lists_and_what_is_told_load_no_library_of_papers(
    demo_shop: Shop, words: tuple[str, ...]
) -> None:
    names = loaded("--shop", str(demo_shop.folder), "--today", str(TODAY), *words)
    assert names.isdisjoint(HEAVY)
    assert OF_THE_BOOK in names
    assert OF_SCREENS not in names  # its tables go into a pipe here


@pytest.mark.parametrize(
    ("words", "rests_on"),
    [
        (("owner", "list"), "oilchart.shop.owners"),
        (("due",), "oilchart.core.planning.reckoning"),
        (("models",), "oilchart.sources.points.library"),
    ],
)
def test_what_reads_no_words_loads_no_grammar_and_what_shows_no_schedule_no_planning(
    demo_shop: Shop, words: tuple[str, ...], rests_on: str
) -> None:
    names = loaded("--shop", str(demo_shop.folder), "--today", str(TODAY), *words)
    assert rests_on in names
    assert "oilchart.sources.words.reader" not in names
    assert ("oilchart.core.planning.reckoning" in names) is (words == ("due",))


def test_a_calendar_and_a_card_load_theirs(demo_shop: Shop) -> None:
    shop = ("--shop", str(demo_shop.folder), "--today", str(TODAY))
    assert "icalendar" in loaded(*shop, "calendar")
    assert "reportlab" in loaded(*shop, "card", "M-002")


@pytest.mark.parametrize(
    ("group", "name"),
    [
        (group, name)
        for group in (
            main,
            main.get_command(click.Context(main), "owner"),
            main.get_command(click.Context(main), "models"),
        )
        if isinstance(group, LazyGroup)
        for name in group.lazy
    ],
)
def test_the_table_of_commands_says_what_each_says_of_itself(group: LazyGroup, name: str) -> None:
    command = group.get_command(click.Context(group), name)
    assert command is not None
    assert command.get_short_help_str(limit=1_000) == group.lazy[name].help


def test_only_what_takes_numbers_loads_what_judges_them(fresh_shop: Shop) -> None:
    shop = ("--shop", str(fresh_shop.folder))
    entered = loaded(*shop, "owner", "add", "Ida", "--phone", "020 7946 0107")
    assert "phonenumbers" in entered
    for words in (("owner", "list"), ("owner", "add", "Owen"), ("due",), ("calls",)):
        assert "phonenumbers" not in loaded(*shop, *words), words
