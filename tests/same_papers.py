"""Writes every paper, list and answer of the demo shop twice, before and after a change of the
code.

    .venv/bin/python -m tests.same_papers save before.json
    .venv/bin/python -m tests.same_papers compare before.json

`save` keeps a hash of each answer; `compare` makes them all again, names those that differ and
exits with 1 if there are any. `--keep FOLDER` writes the answers themselves, so that two runs can
be looked at side by side. It knows nothing of the program but its command line.
"""

from __future__ import annotations

import hashlib
import json
import sys
import tempfile
from collections.abc import Iterator
from contextlib import chdir
from pathlib import Path

import click
from click.testing import CliRunner

from oilchart.cli import main
from tests.builders.commands import TESTED
from tests.builders.snapshot import everything_in

TODAY = "2026-11-25"
MACHINES = [f"M-{number:03}" for number in range(1, 19)]
MODELS = ["heron-3", "velmora-7", "tarnwick-20", "family-overlock", "lindmoor-33"]
SIZES = ["a5", "half-letter", "a6", "4x6", "a4", "letter"]
ALONE = ["--use", "5-8 hours a week; idle Jul-Aug", "--serviced", "2026-11-20"]


def of_each_machine() -> Iterator[list[str]]:
    """What is asked of every machine of the demo."""
    for machine in MACHINES:
        yield ["card", machine, "-o", "-"]
        yield ["checklist", machine, "-o", "-"]
        yield ["checklist", machine, "-o", f"{machine}.html"]
        yield ["record", machine, "-o", "-"]
        yield ["schedule", machine]
        yield ["schedule", machine, "--json"]
        yield ["schedule", machine, "--months", "12"]
        yield ["schedule", machine, "--explain", "hook-race-oil"]
        yield ["machine", "show", machine]
        yield ["calendar", machine, "-o", "-"]


def of_the_shop() -> Iterator[list[str]]:
    """Lists and papers of the whole shop."""
    for size in SIZES:
        yield ["card", "M-002", "--size", size, "-o", "-"]
        yield ["card", "M-012", "--size", size, "-o", "-"]
    yield ["card", "--all", "-o", "all.pdf"]
    yield ["card", "--all-due", "--sheet", "a4", "-o", "-"]
    yield ["due"]
    for options in (["--json"], ["--csv"], ["--all"], ["--lapsed"], ["--within", "60d", "--json"]):
        yield ["due", *options]
    yield ["calls", "--weeks", "52"]
    yield ["calls", "--json", "--weeks", "104"]
    yield ["calls", "-o", "-"]
    for options in ([], ["--due"], ["--txt"], ["--due", "--txt"], ["--due", "--sheet", "letter"]):
        yield ["letters", *options, "-o", "-"]
    yield ["board", "-o", "-"]
    yield ["board", "--no-phones", "--weeks", "20", "-o", "-"]
    yield ["calendar", "--all", "-o", "calendars"]
    yield ["calendar", "--services", "-o", "-"]
    yield ["calendar", "--private", "--alarm", "15h", "-o", "-"]
    yield ["calendar", "--split", "-o", "split"]
    for noun in ("owner", "machine"):
        yield [noun, "list"]
        yield [noun, "list", "--json"]
    for number in range(1, 15):
        yield ["owner", "show", f"OW-{number:03}"]


def of_models() -> Iterator[list[str]]:
    """What is made of a model without a machine of the book."""
    yield ["models"]
    yield ["models", "--json"]
    yield ["models", "mechanisms"]
    yield ["models", "views"]
    yield ["models", "views", "-o", "-"]
    yield ["models", "check"]
    yield ["models", "show", "--diff", "heron-3", "velmora-7"]
    for model in MODELS:
        yield ["models", "show", model]
        yield ["models", "show", model, "--json"]
        yield ["card", "--model", model, *ALONE, "-o", "-"]
        yield ["checklist", "--model", model, "-o", "-"]
        yield ["checklist", "--model", model, "-o", f"{model}.html"]
        yield ["schedule", "--model", model, *ALONE, "--json"]


def of_writing() -> Iterator[list[str]]:
    """A day's work, each step answered; what it leaves in the book is seen in the papers after
    it."""
    yield ["use", "M-014", "3-4 hours a week; idle Aug"]
    yield ["owner", "add", "Runa Tveit", "--phone", "01632 960190", "--email", "runa@example.org"]
    yield ["machine", "add", "Tveit", "heron-3", "--serial", "H3-1"]
    yield ["machine", "edit", "M-019", "--condition", "lint", "--note", "stands by the window"]
    yield ["checkin", "M-019", "makes loops underneath", "--left", "pedal,case", "-o", "tag.pdf"]
    yield ["waiting", "M-019", "drive belt"]
    yield [
        "serviced",
        "M-019",
        *TESTED,
        "--found",
        "hook-race-oil=dry",
        "--left",
        "belt-inspect=watch",
    ]
    yield ["ready", "M-019"]
    yield ["electrical", "M-019", "--by", "R. Amsel", "--pass"]
    yield ["record", "M-019", "-o", "-"]
    yield ["collected", "M-019"]
    yield ["serviced", "M-001", *TESTED, "--note", "ran dry", "--found", "hook-race-oil=dry"]
    yield ["serviced", "M-003", "--yes", "--freed", "--unsafe", "cord chafed"]
    yield ["called", "Brandvold", "booked", "2027-05-06"]
    yield ["called", "OW-002", "later", "2026-12-20"]
    yield ["called", "OW-003", "no-answer"]
    yield ["machine", "gone", "M-008", "sold"]
    yield ["machine", "back", "M-008"]


def helps(command: click.Command, path: tuple[str, ...] = ()) -> Iterator[list[str]]:
    """Each command's help."""
    yield [*path, "--help"]
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            found = command.get_command(context, name)
            if found is not None:
                yield from helps(found, (*path, name))


def answers() -> Iterator[tuple[str, bytes]]:
    """Every command line with what it printed, said and wrote."""
    with tempfile.TemporaryDirectory() as name, chdir(name):
        yield answered(["demo", "shop"])
        yield from files_in(Path("shop"), "demo")
        shop = ["--shop", "shop"]
        lines = [
            *helps(main),
            *of_models(),
            *([*shop, *line] for line in (*of_each_machine(), *of_the_shop(), *of_writing())),
            *([*shop, *line] for line in (*of_each_machine(), *of_the_shop())),
        ]
        for turn, line in enumerate(lines):
            called, said = answered(line)
            yield f"{turn:04} {called}", said
        yield from files_in(Path(), "end")


def answered(line: list[str]) -> tuple[str, bytes]:
    """A command line and what it printed, said and ended with."""
    result = CliRunner().invoke(main, ["--today", TODAY, *line], prog_name="oilchart")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise RuntimeError(f"oilchart {' '.join(line)}") from result.exception
    said = [result.stdout_bytes, result.stderr_bytes, str(result.exit_code).encode()]
    return " ".join(line), b"\0".join(said)


def files_in(folder: Path, when: str) -> Iterator[tuple[str, bytes]]:
    """Every file of a folder; a shop book row by row."""
    for name, content in everything_in(folder).items():
        plain = content if isinstance(content, bytes) else "\n".join(content).encode()
        yield f"{when}: {name}", plain


def compared(before: dict[str, str], after: dict[str, str]) -> list[str]:
    """The names of the answers that differ, or are on one side only."""
    names = dict.fromkeys((*before, *after))
    return [name for name in names if before.get(name) != after.get(name)]


def run(words: list[str]) -> int:
    """Save or compare; 1 if something differs."""
    what, file, *rest = words
    keep = Path(rest[1]).resolve() if rest else None
    hashes = {}
    for at, (name, content) in enumerate(answers()):
        hashes[name] = hashlib.sha256(content).hexdigest()
        if keep is not None:
            keep.mkdir(parents=True, exist_ok=True)
            plain = "".join(sign if sign.isalnum() or sign in "-." else "_" for sign in name)
            (keep / f"{at:04}-{plain[:120]}").write_bytes(content)
    if what == "save":
        Path(file).write_text(json.dumps(hashes, indent=1), encoding="utf-8")
        sys.stdout.write(f"{len(hashes)} answers kept in {file}\n")
        return 0
    different = compared(json.loads(Path(file).read_text(encoding="utf-8")), hashes)
    sys.stdout.writelines(f"differs: {name}\n" for name in different)
    sys.stdout.write(f"{len(hashes)} answers, {len(different)} differ\n")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(run(sys.argv[1:]))
