"""A command opens the book in one transaction, and reads its machines, its owners and the settings
once."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import pytest

from oilchart.shop import folder
from oilchart.shop.folder import Shop
from oilchart.sources.book.closures import ClosureTable
from oilchart.sources.book.file import opening
from oilchart.sources.book.machines import MachineTable
from oilchart.sources.book.owners import OwnerTable
from tests.builders.commands import TESTED
from tests.builders.make import TODAY
from tests.conftest import Run

READERS: tuple[tuple[str, object, str], ...] = (
    ("transactions", opening, "open_book"),
    ("settings", folder, "read_settings"),
    ("closures", ClosureTable, "_read_spans"),
    ("machines", MachineTable, "all"),
    ("owners", OwnerTable, "all"),
)
ONCE_EACH = dict.fromkeys((name for name, _, _ in READERS), 1)


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each of the readers was called so far."""
    counts: Counter[str] = Counter()

    def counted(name: str, reader: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(reader)
        def count(*args: Any, **options: Any) -> Any:
            counts[name] += 1
            return reader(*args, **options)

        return count

    for name, place, attribute in READERS:
        monkeypatch.setattr(place, attribute, counted(name, getattr(place, attribute)))
    return counts


@pytest.mark.parametrize(
    "words",
    [
        # what is written down
        ("use", "M-014", "5-8 hours a week; idle Jul-Aug"),
        ("serviced", "M-014", *TESTED, "--found", "hook-race-oil=dry", "--accept"),
        ("called", "Brandvold", "later", "2027-01-15"),
        ("called", "Brandvold", "booked", "2027-01-15", "--machine", "M-001"),
        ("checkin", "M-014", "makes loops", "--use", "3 hours a week"),
        # what is looked at
        ("schedule", "M-014"),
        ("due",),
        ("owner", "show", "Brandvold"),
        ("machine", "show", "M-014"),
        # what is printed
        ("card", "M-014"),
        ("card", "--all-due", "-o", "cards.pdf"),
        ("checklist", "M-014"),
        ("record", "M-014"),
        ("calls", "-o", "calls.pdf"),
        ("letters", "--due"),
        ("board",),
        ("calendar", "--all", "-o", "calendars"),
    ],
)
def test_a_command_reads_everything_once(
    words: tuple[str, ...], demo_shop: Shop, run: Run, read: Counter[str]
) -> None:
    result = run(*words, shop=demo_shop.folder)
    assert result.exit_code == 0, result.stderr
    printed = {"card", "checklist", "record", "checkin"} & {words[0]}  # noted once it lies there
    assert read == ONCE_EACH | ({"transactions": 2} if printed else {})


def test_findings_of_a_file_are_told_against_the_machine_as_it_was_read(
    demo_shop: Shop, run: Run, read: Counter[str], tmp_path: Path
) -> None:
    saved = {
        "kind": "oilchart findings",
        "version": 1,
        "model": "heron-3",
        "machine": "M-014",
        "day": str(TODAY),
        "done": ["hook-race-clean"],
    }
    file = tmp_path / "findings.json"
    file.write_text(json.dumps(saved), encoding="utf-8")
    result = run(
        "serviced", "M-014", "--from", file, "--except", "43=seen last week",
        "--back-on", "2026-12-15", shop=demo_shop.folder,
    )  # fmt: skip
    assert result.exit_code == 0, result.stderr
    assert read == ONCE_EACH


@pytest.mark.parametrize("command", ["schedule", "card", "checklist"])
def test_a_machine_of_no_book_reads_only_the_settings_and_the_closures(
    command: str, demo_shop: Shop, run: Run, read: Counter[str]
) -> None:
    assert run(command, "--model", "heron-3", shop=demo_shop.folder).exit_code == 0
    assert read == {"transactions": 1, "settings": 1, "closures": 1}
