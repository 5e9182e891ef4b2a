"""How often tests try, and the shops, the command line and the browser that they share."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import settings
from sqlalchemy import Engine, create_engine

from oilchart.cli import main
from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.point_list import PointList
from oilchart.papers.calendar import ics
from oilchart.shop.demo.filling import fill
from oilchart.shop.folder import Shop, make_shop
from oilchart.sources.book.file import engines
from oilchart.sources.files.demo import read_demo
from oilchart.sources.packaged import packaged
from oilchart.sources.points import library
from oilchart.sources.points.assembly import AssembledList
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.points.reference import Reference, read_reference
from tests.builders.make import TODAY
from tests.builders.outside import need
from tests.counts import FULL, SHORT, count_of
from tests.oracles import rfc5545

Run = Callable[..., Result]
ENGINES: dict[str, Engine] = {}  # the first of each kind, by whose SQL all others read


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--full",
        action="store_true",
        help="try each rule as often as was promised, and hold ratios and speeds to their bounds",
    )


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile(FULL if config.getoption("full") else SHORT)


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Have each worker of pytest-xdist begin with a part of its own, and take over from others once
    that is done: what the tests of a module share is then made by one of them, not by all."""
    if config.getoption("numprocesses", 0) and config.getoption("dist") == "no":
        config.option.dist = "worksteal"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave ratios and speeds to full runs."""
    if not config.getoption("full"):
        timed = [item for item in items if item.get_closest_marker("full")]
        config.hook.pytest_deselected(items=timed)
        items[:] = [item for item in items if item not in timed]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what the benchmarks of a full run have measured."""
    figures = [
        words
        for outcome in ("passed", "failed")
        for report in terminalreporter.getreports(outcome)
        for name, words in report.user_properties
        if name == "figure"
    ]
    if figures:
        terminalreporter.section("figures")
        terminalreporter.write_line("\n".join(figures))


@pytest.fixture
def tries(request: pytest.FixtureRequest) -> int:
    """How often the test that asks tries."""
    return count_of(request.function.__name__)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Run a command line in this process, as of 25 November 2026, standing in a folder of its own;
    a traceback fails the test."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("OILCHART_SHOP", raising=False)

    def run_line(*words: object, shop: Path | None = None, today: object = TODAY) -> Result:
        options = [
            *(["--shop", str(shop)] if shop else []),
            *(["--today", str(today)] if today else []),
        ]
        return CliRunner(catch_exceptions=False).invoke(
            main, [*options, *map(str, words)], prog_name="oilchart"
        )

    return run_line


@pytest.fixture(autouse=True)
def every_calendar_keeps_to_the_standard(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever calendar file any test writes is held against the rules that no library enforces."""
    write = ics.calendar_ics

    def checked(*entries: Any, **options: Any) -> bytes:
        data = write(*entries, **options)
        assert rfc5545.faults(data) == []
        return data

    monkeypatch.setattr(ics, "calendar_ics", checked)


@pytest.fixture(scope="session")
def library_read() -> PointLibrary:
    """The point lists that come along, with what any test has read of them."""
    return PointLibrary([packaged("points")])


@pytest.fixture(autouse=True)
def lists_that_come_along_are_read_once(
    library_read: PointLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nine tenths of a command's time went into reading the same files. A library that holds a list
    of a test's own is read as ever, and so are drawings of a list that a test has changed."""
    read, draw = PointLibrary.assembled, PointLibrary.drawings
    [packed] = library_read.folders.folders
    as_read: list[PointList] = []

    def read_once(ours: PointLibrary, model: str, mechanisms: Sequence[str] = ()) -> AssembledList:
        folders = ours.folders.folders
        own = [folder for folder in folders if folder != packed]
        if packed not in folders or any(next(each.rglob("*.toml"), None) for each in own):
            return read(ours, model, mechanisms)
        found = read(library_read, model, mechanisms)
        as_read.append(found.point_list)
        return found

    def drawn_once(ours: PointLibrary, point_list: PointList) -> ModelDrawings:
        is_as_read = any(each is point_list for each in as_read)
        return draw(library_read if is_as_read else ours, point_list)

    reference = library_read.reference

    def reference_once(folders: Sequence[Path]) -> tuple[Reference, tuple[str, ...]]:
        own = [folder for folder in folders if folder != packed]
        if packed not in folders or any(next(each.rglob("*.toml"), None) for each in own):
            return read_reference(folders)
        return reference

    monkeypatch.setattr(PointLibrary, "assembled", read_once)
    monkeypatch.setattr(PointLibrary, "drawings", drawn_once)
    monkeypatch.setattr(library, "read_reference", reference_once)


@pytest.fixture(autouse=True)
def statements_are_compiled_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A quarter of a command's time went into making the same SQL of the same statements, since
    each opening of a book begins with an engine that has made none."""

    def like_the_first(*words: Any, **options: Any) -> Engine:
        engine = create_engine(*words, **options)
        first = ENGINES.setdefault(engine.dialect.name, engine)
        engine.dialect, engine._compiled_cache = first.dialect, first._compiled_cache
        return engine

    monkeypatch.setattr(engines, "create_engine", like_the_first)


@pytest.fixture
def fresh_shop(tmp_path: Path) -> Shop:
    """A new shop without owners, on 25 November 2026."""
    return make_shop(tmp_path / "shop", TODAY)


def make_demo(folder: Path) -> Shop:
    """The demo shop without its papers."""
    demo = read_demo(packaged("demo_data"))
    shop = make_shop(folder, demo.today, settings=demo.settings, namespace=demo.namespace)
    with shop.book(writing=True, undoable=False) as book:
        fill(book, shop, demo)
    return shop


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """The demo shop without its papers; only to be copied."""
    return make_demo(tmp_path_factory.mktemp("demo") / "shop")


@pytest.fixture
def demo_shop(built_demo: Shop, tmp_path: Path) -> Shop:
    """A demo shop of one's own, without papers."""
    return Shop(shutil.copytree(built_demo.folder, tmp_path / "demo"), built_demo.today)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Chromium without a window; where there is one made for that, which opens pages in half the
    time, that one."""
    need("playwright")
    chromium = shutil.which("chromium-headless-shell") or need("chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
        )
        yield opened
        opened.close()
