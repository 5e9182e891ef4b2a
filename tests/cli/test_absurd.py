"""Every option of every command with absurd values: an answer or one refusal, never a traceback;
and a refusal leaves the book as it was, unless it says that something is recorded."""

from __future__ import annotations

import random
from collections.abc import Iterator

import click
import pytest

from oilchart.cli import main
from oilchart.cli.lazy import LazyGroup
from oilchart.shop.folder import Shop
from tests.builders.snapshot import rows_in
from tests.conftest import Run

REFUSED = (1, 2)
FOUND_SOME = 3  # of `due --exit-code`
DAYS = (
    "2026-11-24", "2026-11-25", "2026-12-08", "2028-11-27", "2062-12-08", "2199-12-30",
    "9999-12-31", "0001-01-01", "1876-11-25", "1850-01-01", "2026-02-30", "-2026-01-01",
    "2026-11-25T10:00", "٢٠٢٦-١١-٢٥", "tomorrow", "",
)  # fmt: skip
NUMBERS = ("0", "-1", "1", "7", "999", "99999999999999999999", "1e9", "nan", "²", "x" * 300, "")
WORDS = (
    "Ida", "M-001", "OW-001", "heron-3", "none", "5-8 hours a week", "hook-race-oil",
    "hook-race-oil=dry", "belt-inspect=watch", "underside", "front", "lint", "tip",
    "treadle-stand", "M-" + "9" * 400, "x" * 200, "x" * 201, "x y " * 2_000, "W" * 6_000,
    "a\x1b[31mb\x07\r\n\x00c", "\u202eabc", "\u200b\u200d", "\udcff", "👩\u200d🔧 נגה نور",
    "%s{0}{{x}}", "<script>", "--", "-", "../../x", "/dev/null",
    "120 hours in the last 99999999 years", ";", "",
)  # fmt: skip
FILES = ("x.pdf", "x.html", "x.ics", "-", "/dev/null", "no/such/x", ".", "a\x01b", "n" * 300, "")


def leaves(command: click.Command, names: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """The names that lead to each command that is no group."""
    context = click.Context(command)
    if not isinstance(command, click.Group):
        yield names
        return
    for name in command.list_commands(context):
        inner = command.get_command(context, name)
        assert inner is not None
        yield from leaves(inner, (*names, name))


def command_of(names: tuple[str, ...]) -> click.Command:
    found: click.Command = main
    for name in names:
        assert isinstance(found, click.Group)
        inner = found.get_command(click.Context(found), name)
        assert inner is not None
        found = inner
    return found


def value(chance: random.Random, param: click.Parameter) -> str:
    """What may stand for an argument or an option; now and then what fits it."""
    if isinstance(param.type, click.Choice) and chance.random() < 0.7:
        return str(chance.choice(list(param.type.choices)))
    if isinstance(param.type, click.Path):
        return chance.choice(FILES)
    pools = {"date": DAYS, "days": NUMBERS, "hours": NUMBERS, "integer range": NUMBERS}
    known = "M-001" if param.name == "machine" else "Ida" if param.name == "owner" else None
    if known is not None and chance.random() < 0.6:
        return known
    return chance.choice(pools.get(param.type.name, WORDS))


def command_line(chance: random.Random, names: tuple[str, ...]) -> list[str]:
    """A command with its arguments and up to four of its options."""
    params = command_of(names).params
    options = [each for each in params if isinstance(each, click.Option)]
    words = list(names)
    for option in chance.sample(options, chance.randint(0, min(4, len(options)))):
        words.append(chance.choice([*option.opts, *option.secondary_opts]))
        if not option.is_flag:
            words += [value(chance, option) for _ in range(option.nargs)]
    arguments = [value(chance, each) for each in params if isinstance(each, click.Argument)]
    return [*words, "--", *arguments]


COMMANDS = sorted(leaves(main))
# but the demo, which takes seconds: it has nothing but the name of a folder
QUICK = [names for names in COMMANDS if names != ("demo",)]


def test_every_command_is_among_them() -> None:
    assert isinstance(main, LazyGroup)
    assert {names[0] for names in COMMANDS} == set(main.lazy)
    assert {("owner", "edit"), ("models", "place"), ("clock",)} < set(COMMANDS)


@pytest.mark.parametrize("part", range(6))
def test_absurd_values_are_taken_or_refused_in_one_line_and_change_nothing_then(
    part: int, demo_shop: Shop, run: Run, tries: int
) -> None:
    chance = random.Random(part)
    for at in range(tries):
        line = command_line(chance, QUICK[(part + at * 6) % len(QUICK)])
        before = rows_in(demo_shop.book_path)
        told = run(*line, shop=demo_shop.folder)
        assert told.exit_code in (0, FOUND_SOME, *REFUSED), line
        assert "Traceback" not in told.output, line
        if told.exit_code in REFUSED:
            refusals = [each for each in told.stderr.splitlines() if each.startswith("oilchart: ")]
            assert len(refusals) == 1, (line, told.stderr)
            is_recorded = refusals[0].startswith("oilchart: recorded; ")
            assert (rows_in(demo_shop.book_path) != before) == is_recorded, (line, told.stderr)
