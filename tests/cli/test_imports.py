"""Commands load what they need, and nothing heavy that they do not."""

from __future__ import annotations

import json
import subprocess
import sys

import click
import pytest

from oilchart.cli import main
from oilchart.cli.program import COMMANDS
from oilchart.shop.folder import Shop
from tests.builders.make import TODAY

# libraries that take long to load, and which commands are quick without
HEAVY = ("PIL", "bidi", "arabic_reshaper", "holidays", "icalendar", "jinja2", "reportlab", "segno")
OF_THE_BOOK = ("sqlalchemy", "rich")
LOADED = """
import json, sys
from oilchart.cli import main
try:
    main(sys.argv[1:])
except SystemExit as end:
    print(json.dumps([end.code, sorted({name.split(".")[0] for name in sys.modules})]))
"""


def loaded(*words: str) -> set[str]:
    """The packages that a program of its own has loaded when it is done with a command line."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *words], capture_output=True, text=True, check=True
    )
    code, names = json.loads(done.stdout.splitlines()[-1])
    assert code == 0, done.stderr
    return set(names)


def test_help_loads_no_library_but_clicks() -> None:
    assert loaded("--help").isdisjoint({*HEAVY, *OF_THE_BOOK})


@pytest.mark.parametrize(
    "words", [("due",), ("use", "M-014", "5-8 hours a week"), ("ready", "M-012"), ("owner", "list")]
)
def test_lists_and_what_is_told_load_no_library_of_papers(
    demo_shop: Shop, words: tuple[str, ...]
) -> None:
    names = loaded("--shop", str(demo_shop.folder), "--today", str(TODAY), *words)
    assert names.isdisjoint(HEAVY)
    assert names.issuperset(OF_THE_BOOK)


def test_a_calendar_and_a_card_load_theirs(demo_shop: Shop) -> None:
    shop = ("--shop", str(demo_shop.folder), "--today", str(TODAY))
    assert "icalendar" in loaded(*shop, "calendar")
    assert "reportlab" in loaded(*shop, "card", "M-002")


@pytest.mark.parametrize("name", COMMANDS)
def test_the_table_of_commands_says_what_each_says_of_itself(name: str) -> None:
    context = click.Context(main)
    command = main.get_command(context, name)
    assert command is not None
    assert command.get_short_help_str(limit=1_000) == COMMANDS[name].help
