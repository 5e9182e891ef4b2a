"""Drawings are read by what draws, and by nothing else."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from oilchart.shop.folder import Shop
from oilchart.sources.files.toml_table import read_toml
from oilchart.sources.packaged import packaged
from oilchart.sources.points import folders
from tests.builders.commands import TESTED
from tests.conftest import Run

FREE_OF_DRAWINGS = (
    ("due",),
    ("due", "--within", "60d", "--json"),
    ("schedule", "M-014"),
    ("schedule", "--model", "velmora-7", "--use", "5 hours a week"),
    ("use", "M-014", "3-4 hours a week; idle Aug"),
    ("calls", "--weeks", "52"),
    ("calls", "-o", "calls.pdf"),
    ("called", "Brandvold", "later", "2027-01-15"),
    ("calendar", "-o", "calls.ics"),
    ("letters", "-o", "letters.pdf"),
    ("board", "-o", "board.html"),
    ("serviced", "M-001", *TESTED, "--found", "hook-race-oil=dry"),
    ("record", "M-001", "-o", "record.pdf"),
    ("machine", "list"),
    ("machine", "show", "M-001"),
    ("machine", "edit", "M-002", "--condition", "lint"),
    ("owner", "list"),
    ("models",),
    ("models", "show", "velmora-7"),
    ("models", "mechanisms"),
)
DRAWS = (
    ("card", "M-014", "-o", "card.pdf"),
    ("checklist", "M-014", "-o", "list.pdf"),
    ("checklist", "M-014", "-o", "list.html"),
    ("models", "views"),
    ("models", "place", "heron-3", "underside", "-o", "place.html"),
    ("models", "check"),
)


@pytest.fixture
def lists_that_come_along_are_read_once() -> None:
    """Here every command reads its lists anew."""


@pytest.fixture
def files_read(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How many files of each folder of a points folder are read."""
    count: Counter[str] = Counter()

    def counted(path: Path) -> dict[str, Any]:
        count[path.parent.name] += 1
        return read_toml(path)

    monkeypatch.setattr(folders, "read_toml", counted)
    return count


@pytest.mark.parametrize("words", FREE_OF_DRAWINGS, ids=" ".join)
def test_no_list_call_report_service_or_calendar_reads_a_drawing(
    words: tuple[str, ...], demo_shop: Shop, run: Run, files_read: Counter[str]
) -> None:
    done = run(*words, shop=demo_shop.folder)
    assert done.exit_code == 0, done.stderr
    assert files_read["views"] == 0


@pytest.mark.parametrize("words", DRAWS, ids=" ".join)
def test_what_draws_reads_each_drawing_once(
    words: tuple[str, ...], demo_shop: Shop, run: Run, files_read: Counter[str]
) -> None:
    done = run(*words, shop=demo_shop.folder)
    assert done.exit_code == 0, done.stderr
    assert 0 < files_read["views"] <= files_of("views")


def test_a_command_reads_each_file_of_its_lists_once(
    demo_shop: Shop, run: Run, files_read: Counter[str]
) -> None:
    assert run("models", shop=demo_shop.folder).exit_code == 0
    assert files_read == {kind: files_of(kind) for kind in ("models", "mechanisms")}


def files_of(kind: str) -> int:
    """How many files of a kind come along."""
    return len(list((packaged("points") / kind).glob("*.toml")))


def test_a_faulty_drawing_stops_what_draws_it_and_nothing_else(fresh_shop: Shop, run: Run) -> None:
    views = fresh_shop.folder / "points" / "views"
    views.mkdir()
    (views / "flatbed-front.toml").write_text('name = "Front"\n', encoding="utf-8")
    model = ("--model", "heron-3")
    as_ever: list[tuple[str, ...]] = [("models",), ("schedule", *model, "--use", "5 hours a week")]
    draw: list[tuple[str, ...]] = [("models", "check"), ("card", *model), ("checklist", *model)]
    for words in as_ever:
        assert run(*words, shop=fresh_shop.folder).exit_code == 0
    for words in draw:
        refused = run(*words, shop=fresh_shop.folder)
        assert refused.exit_code == 1
        told = f'{views / "flatbed-front.toml"}: alt: is missing; write alt = "..."'
        assert refused.stderr.count(told) == 1
