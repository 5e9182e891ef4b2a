"""The README is a test: its sessions are run, section by section, and what they print is compared;
every command stands in it."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import tomllib
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path
from textwrap import indent

import pytest

from oilchart.cli.commands.due import FOUND_SOME
from oilchart.cli.program import COMMANDS, IN_THE_WAY, STOPPED, WRONG_USAGE
from oilchart.core.units import HOUR
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Rate
from oilchart.shop.folder import Shop
from oilchart.sources.files.settings import WITHOUT_A_SHOP
from oilchart.sources.words.grammar import RULES, written_examples, written_grammar
from oilchart.sources.words.phrase import Terms
from oilchart.sources.words.reader import read_report
from tests.conftest import Run

README = Path(__file__).resolve().parent.parent / "README.md"
REFRESH = "OILCHART_REFRESH_README"
SESSION = re.compile(r"(?<=```console\n).*?(?=```)", re.DOTALL)
FIRST_SCREEN = "the first screen"  # what stands before any heading
# sections whose sessions go on in the shop as those before them left it; all others begin anew
BEFORE = {
    "In the shop": ("What owners say",),
    "Calls, letters, the wall": ("What owners say", "In the shop"),
    "Calendars": ("What owners say", "In the shop", "Calls, letters, the wall"),
}
Program = Callable[[list[str]], str]


def sections() -> dict[str, str]:
    """The parts of the README that hold sessions, by heading."""
    first, *rest = re.split(r"^## (.*)\n", README.read_text(encoding="utf-8"), flags=re.MULTILINE)
    parts = {FIRST_SCREEN: first} | dict(zip(rest[::2], rest[1::2], strict=True))
    return {heading: text for heading, text in parts.items() if SESSION.search(text)}


SECTIONS = sections()


@pytest.fixture
def program(run: Run) -> Program:
    """The program in this process, standing in an empty folder: what a command prints, both streams
    as they come."""
    return lambda words: run(*words, today=None).output


@pytest.fixture
def in_the_demo(built_demo: Shop, tmp_path: Path, program: Program) -> Program:
    """The program, standing where the demo shop was made, with a photo beside it. Only its
    calendar was taken from the shop, since no other paper leaves a trace in the book."""
    shutil.copytree(built_demo.folder, tmp_path / "oilchart-demo")
    shutil.copy(README.parent / "demo_data" / "card.png", tmp_path / "IMG_2041.png")
    demo = ["--shop", "oilchart-demo", "--today", str(built_demo.today)]
    program([*demo, "calendar", "-o", "oilchart-demo/out/calls.ics"])
    return program


def in_a_process_of_its_own(folder: Path) -> Program:
    """The program as a shell runs it in a folder."""
    environment = {
        "PATH": os.environ["PATH"],
        "HOME": str(folder),
        "LC_ALL": "C.UTF-8",
        "PYTHONUTF8": "1",
    }

    def program(words: list[str]) -> str:
        done = subprocess.run(
            [sys.executable, "-m", "oilchart", *words],
            cwd=folder,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            check=False,
        )
        return done.stdout

    return program


def run_session(session: str, program: Program) -> str:
    """A session as it should stand: each command with what it printed; "..." stands for lines left
    out."""
    written = []
    for part in re.split(r"^(?=\$ )", session, flags=re.MULTILINE):
        if not part.startswith("$ "):
            continue
        command, _, shown = part.partition("\n")
        name, *words = shlex.split(command[2:])
        assert name == "oilchart", command
        printed = program(words)
        assert "Traceback" not in printed, printed
        written.append(f"{command}\n{printed if not _fits(shown, printed) else shown}")
    return "".join(written)


def run_section(heading: str, program: Program) -> str:
    """A section as it should stand."""
    return SESSION.sub(lambda session: run_session(session[0], program), SECTIONS[heading])


def _fits(shown: str, printed: str) -> bool:
    """Whether a printed text is the shown one, whose lines of three dots stand for any lines."""
    parts = [
        re.escape(part)
        for part in re.split(r"^\.\.\.\n", shown.rstrip("\n") + "\n", flags=re.MULTILINE)
    ]
    return re.fullmatch(r"(?:.*\n)*?".join(parts), printed.rstrip("\n") + "\n") is not None


def test_the_sections_are_those_of_the_readme() -> None:
    assert len(SECTIONS) >= 10
    assert next(iter(SECTIONS)) == FIRST_SCREEN
    assert {*BEFORE, *(heading for before in BEFORE.values() for heading in before)} < set(SECTIONS)


def test_the_first_session_makes_the_demo_it_shows(program: Program) -> None:
    check(FIRST_SCREEN, run_section(FIRST_SCREEN, program))


@pytest.mark.parametrize("heading", [each for each in SECTIONS if each != FIRST_SCREEN])
def test_every_session_of_the_readme_prints_what_it_says(
    heading: str, in_the_demo: Program
) -> None:
    for before in BEFORE.get(heading, ()):
        run_section(before, in_the_demo)
    check(heading, run_section(heading, in_the_demo))


def check(heading: str, fresh: str) -> None:
    """Hold a section against what its sessions printed, once it is refreshed if that is asked
    for."""
    if os.environ.get(REFRESH):
        text = README.read_text(encoding="utf-8")
        README.write_text(text.replace(SECTIONS[heading], fresh, 1), encoding="utf-8")
    assert fresh == SECTIONS[heading]


def test_a_process_of_its_own_prints_the_same(tmp_path: Path) -> None:
    heading = "Without a shop"
    assert run_section(heading, in_a_process_of_its_own(tmp_path)) == SECTIONS[heading]


def test_every_command_stands_in_a_session_of_the_readme() -> None:
    sessions = "".join(SESSION.findall("".join(SECTIONS.values())))
    ran = {
        word
        for line in re.findall(r"^\$ oilchart (.*)$", sessions, re.MULTILINE)
        for word in line.split()
    }
    assert set(COMMANDS) - ran == set()


def test_the_first_screen_installs_and_tests_with_one_command_each() -> None:
    text = README.read_text(encoding="utf-8")
    assert "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/oilchart demo" in text
    assert "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest" in text
    # .ci/run calls these very commands; quiet only in pip
    ran = (
        (README.parent / ".ci" / "run")
        .read_text(encoding="utf-8")
        .replace("pip install -q ", "pip install ")
    )
    assert "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/oilchart demo" in ran
    assert "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest" in ran


@pytest.mark.parametrize(
    ("shown", "printed", "fits"),
    [
        ("a\nb\n", "a\nb\n", True),
        ("a\n...\nc\n", "a\nb\nb\nc\n", True),
        ("...\nc\n", "a\nc\n", True),
        ("a\nb\n", "a\n", False),
        ("a\n...\nd\n", "a\nb\nc\n", False),
    ],
)
def test_three_dots_stand_for_lines_left_out(shown: str, printed: str, fits: bool) -> None:
    assert _fits(shown, printed) is fits


TERMS = Terms(
    bobbin=Bobbin(metres=Fraction(60)),
    pieces=WITHOUT_A_SHOP.pieces,
    last_service=date(2026, 1, 15),
    before=Rate(low=HOUR, high=2 * HOUR),
)


def phrases_of_the_readme() -> list[str]:
    """What stands in the left column of the table of the owner's words."""
    section = (
        README.read_text(encoding="utf-8").partition("## What owners say")[2].partition("\n## ")[0]
    )
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    return [phrase for row in rows for phrase in re.findall(r"`([^`]+)`", row)]


def phrases_of_the_help() -> list[str]:
    """The examples of the rules, which `oilchart use --help` prints."""
    return [example for rule in RULES for example in rule.examples]


@pytest.mark.parametrize("phrase", [*phrases_of_the_readme(), *phrases_of_the_help()])
def test_every_phrase_shown_is_understood(phrase: str) -> None:
    assert read_report(phrase, date(2026, 11, 25), TERMS).words == phrase


def test_the_readme_says_what_each_exit_code_means() -> None:
    [told] = re.findall(
        r"\| exit code \| \|\n\|---\|---\|\n((?:\|.*\n)+)", README.read_text("utf-8")
    )
    codes = [int(code) for line in told.splitlines() for code in line.split("|")[1].split(",")]
    signals = [128 + each for each in (signal.SIGTERM, signal.SIGHUP)]
    assert codes == [0, IN_THE_WAY, WRONG_USAGE, FOUND_SOME, STOPPED, *signals]


def test_the_readme_and_the_help_show_all_there_is() -> None:
    assert len(phrases_of_the_readme()) >= 40
    assert len(phrases_of_the_help()) >= 30


def test_the_grammar_of_the_help_is_the_one_that_reads(run: Run) -> None:
    shown = run("use", "--help").stdout
    assert indent(written_grammar(), "  ") in shown
    assert indent(written_examples(), "  ") in shown


def test_the_model_of_the_readme_is_short_and_a_list_without_fault_or_doubt(
    fresh_shop: Shop, run: Run
) -> None:
    (text,) = re.findall(
        r"(?<=```toml\n)# points/models/(wren-9\.toml)[^\n]*\n(.*?)(?=```)",
        README.read_text(encoding="utf-8"),
        re.DOTALL,
    )
    name, model = text
    assert len(model.splitlines()) < 15
    assert len(tomllib.loads(model)["mechanisms"]) == 3
    file = fresh_shop.folder / "points" / "models" / name
    file.parent.mkdir()
    file.write_text(model, encoding="utf-8")
    assert run("models", "numbers", "wren-9", shop=fresh_shop.folder).exit_code == 0
    assert run("models", "check", file, shop=fresh_shop.folder).stdout == "no faults, no doubts\n"
    card = run(
        "card",
        "--model",
        "wren-9",
        "--use",
        "2 hours a week",
        "-o",
        "card.pdf",
        shop=fresh_shop.folder,
    )
    assert card.exit_code == 0, card.stderr
