"""Measures what commands cost against a program that only loads click and SQLAlchemy, in processes
of their own; prints ratios from one run, which hold on any machine. All modules are compiled
before, as they are where the program is installed.

By hand: python -m tests.bench.bench_start. `pytest` runs each command once, to see that a process
of its own says what the program says here.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from oilchart.shop.folder import Shop
from tests.bench.measure import TIMES, Figure, hold, tell
from tests.builders.make import TODAY
from tests.conftest import Run, make_demo

LOADS_ONLY = ["-c", "import click, sqlalchemy"]
WORDS = "5-8 hours a week"
# what is asked, and how many times as long as loading alone it may take at most
COMMANDS: list[tuple[list[str], float | None]] = [
    (["owner", "list"], 1.6),
    (["due"], 2.0),
    (["models"], 2.2),
    (["use", "M-014", WORDS], None),
    (["--help"], None),
    (["schedule", "M-014"], None),
]
SOME_ARE_DUE = 3  # the exit code of `due` in a shop where a machine is due


def child(*words: str, compiled: Path | None = None) -> tuple[float, str]:
    """Seconds of user and system time that a Python of its own takes, and what it prints.

    Args:
        compiled: the folder in which compiled modules are kept, whatever the environment says; for
            the program that is loaded, as for the libraries, which come compiled.
    """
    environment = dict(os.environ)
    if compiled is not None:
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        environment["PYTHONPYCACHEPREFIX"] = str(compiled)
    before = os.times()
    done = subprocess.run(
        [sys.executable, *words],
        capture_output=True,
        encoding="utf-8",
        check=False,
        env=environment,
    )
    after = os.times()
    assert done.returncode in (0, SOME_ARE_DUE), done.stderr
    return (
        after.children_user + after.children_system - before.children_user - before.children_system
    ), done.stdout


def in_the_shop(folder: Path, words: list[str]) -> list[str]:
    """The command line of a command in a shop, on the day of the demo."""
    return ["-m", "oilchart", "--shop", str(folder), "--today", str(TODAY), *words]


def figures(times: int = TIMES) -> Iterator[Figure]:
    """The cost of each command on the demo shop; each is measured between two loadings alone."""
    with TemporaryDirectory() as kept:
        folder, compiled = make_demo(Path(kept) / "shop").folder, Path(kept) / "compiled"
        child(*LOADS_ONLY, compiled=compiled)
        for words, most in COMMANDS:
            child(*in_the_shop(folder, words), compiled=compiled)
            ratios = []
            for _ in range(times):
                alone, _ = child(*LOADS_ONLY, compiled=compiled)
                taken, _ = child(*in_the_shop(folder, words), compiled=compiled)
                ratios.append(taken / alone)
            yield Figure(
                words=f"`{' '.join(words)}` takes {{:.2f}} times as long as loading alone",
                value=median(ratios),
                most=most,
            )


# help is folded two columns narrower than in a test
@pytest.mark.parametrize("words", [words for words, _ in COMMANDS if words != ["--help"]])
def test_a_process_of_its_own_prints_what_the_program_prints_here(
    words: list[str], demo_shop: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONUTF8", "1")
    taken, printed = child(*in_the_shop(demo_shop.folder, words))
    assert taken > 0
    assert printed == run(*words, shop=demo_shop.folder).stdout


@pytest.mark.full
def test_commands_take_little_longer_than_loading_alone(record_property: Any) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    tell(figures())
