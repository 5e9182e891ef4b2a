"""Measures planning against sorting, the list of due machines against reading their rows, and how
many calls a new machine moves.

By hand: python -m tests.bench.bench_week. It prints ratios from one run, which hold on any machine.
`pytest` runs it once, short, to see that it still works, that a plain way gives the same plan, and
that the shop's own book moves as many calls.
"""

from __future__ import annotations

import json
import random
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, timedelta
from functools import wraps
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import process_time
from typing import Any

import pytest
from click.testing import CliRunner

from oilchart.cli import main
from oilchart.cli.commands import due
from oilchart.core.days import ONE_DAY, OpenDays, Span
from oilchart.core.planning.call_plan import PlannedCall
from oilchart.core.planning.capacity import Placed, Wanted, place_by_day
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.standing import Standing
from oilchart.shop import standings as standings_module
from oilchart.shop.call_and_bench_plan import planned_calls, read_calls
from oilchart.shop.folder import Shop
from oilchart.sources.book.machines import MachineTable
from oilchart.sources.points.library import PointLibrary
from tests.bench.measure import TIMES, Figure, hold, seconds, tell
from tests.builders.big_book import make_big_shop, read_bare
from tests.builders.shop_steps import all_standings, mark_gone, open_calls, restore

TODAY = date(2026, 11, 25)
A_DAY = 12
OPEN_DAYS = OpenDays(
    closures=tuple(
        Span(first=date(year, month, day), end=date(year, month, day) + timedelta(days=days))
        for year in range(2026, 2031)
        for month, day, days in ((4, 2, 5), (7, 27, 21), (12, 24, 11))
    )
)
# where the time of the list goes: what is called for each part of it; the rest is put together in
# between
PARTS: tuple[tuple[str, object, str], ...] = (
    ("reading the point lists", PointLibrary, "point_list"),
    ("reading the point lists", PointLibrary, "conditions"),
    ("reading the book", MachineTable, "all"),
    ("reading the book", standings_module, "read_calls"),
    ("use curves", Reckoning, "__init__"),
    ("due windows, risks and next services", Reckoning, "schedule"),
    ("planning the calls", standings_module, "share_bench_weeks"),
    ("planning the calls", standings_module, "planned_calls"),
    ("sorting", standings_module, "sorted"),
    ("writing", due, "due_json"),
)
REST = "putting together"


def shuffled_calls(many: int) -> list[Wanted[str]]:
    """Calls whose deadlines lie so close together that most days are full, a few overdue, in no
    order."""
    chance = random.Random(many)
    days = many * 7 // (5 * A_DAY)
    deadlines = [
        OPEN_DAYS.latest_open(TODAY + timedelta(days=chance.randrange(-30, days + 60)))
        for _ in range(many)
    ]
    return [
        Wanted(key=f"C-{number:05d}", deadline=deadline)
        for number, deadline in enumerate(deadlines)
    ]


def by_search(calls: list[Wanted[str]]) -> list[Placed[str]]:
    """The same plan by going through the days afresh for every call, forwards and then
    backwards."""
    ordered = sorted(calls, key=lambda call: (call.deadline, call.key))
    forwards: Counter[date] = Counter()
    deadlines = []
    for call in ordered:
        day = TODAY
        while not OPEN_DAYS.is_open(day) or forwards[day] == A_DAY:
            day += ONE_DAY
        forwards[day] += 1
        deadlines.append(max(call.deadline, day))
    backwards: Counter[date] = Counter()
    placed = []
    for call, deadline in zip(reversed(ordered), reversed(deadlines), strict=True):
        day = deadline
        while not OPEN_DAYS.is_open(day) or backwards[day] == A_DAY:
            day -= ONE_DAY
        backwards[day] += 1
        placed.append(Placed(key=call.key, on=day, late=day > call.deadline))
    return sorted(placed, key=lambda each: (each.on, each.key))


def plan(calls: list[Wanted[str]]) -> list[Placed[str]]:
    """The plan as the shop makes it."""
    return place_by_day(calls, today=TODAY, open_days=OPEN_DAYS, limit=A_DAY)


def compare(many: int, times: int) -> tuple[float, float]:
    """Seconds to plan so many calls, and how many times as long that is as sorting their (deadline,
    id) pairs."""
    calls = shuffled_calls(many)
    pairs = [(call.deadline, call.key) for call in calls]
    planning = seconds(lambda: plan(calls), times)
    return planning, planning / seconds(lambda: sorted(pairs), times)


class Stopwatch:
    """Seconds of this program by part; a part that calls another does not count the other's."""

    def __init__(self) -> None:
        self.parts: dict[str, float] = defaultdict(float)
        self._running = [REST]
        self._since = process_time()

    def go_on(self, running: Sequence[str]) -> None:
        """Charge the time since the last change to the part that ran, and go on with another."""
        now = process_time()
        self.parts[self._running[-1]] += now - self._since
        self._running, self._since = list(running), now

    def timed(self, part: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """The same work, counted for a part."""

        @wraps(work)
        def counted(*args: Any, **options: Any) -> Any:
            before = self._running
            self.go_on([*before, part])
            try:
                return work(*args, **options)
            finally:
                self.go_on(before)

        return counted


@contextmanager
def by_part() -> Iterator[dict[str, float]]:
    """Count the seconds of each part of the list for as long as this lasts."""
    watch = Stopwatch()
    with pytest.MonkeyPatch.context() as patch:
        for part, owner, name in PARTS:
            work = sorted if name == "sorted" else getattr(owner, name)
            patch.setattr(owner, name, watch.timed(part, work), raising=name != "sorted")
        yield watch.parts
        watch.go_on([REST])


def list_due(folder: Path, *words: str) -> str:
    """The list as the command prints it, in JSON."""
    result = CliRunner(catch_exceptions=False).invoke(
        main, ["--shop", str(folder), "--today", str(TODAY), "due", "--json", *words]
    )
    assert result.exit_code == 0
    return result.stdout


def compare_due(folder: Path, times: int) -> tuple[float, list[float]]:
    """Seconds of the list of a shop, and how many times as long it took as reading the same rows
    did just before it, each time."""
    taken, ratios = [], []
    for _ in range(times):
        bare = seconds(lambda: read_bare(folder))
        taken.append(seconds(lambda: list_due(folder)))
        ratios.append(taken[-1] / bare)
    return median(taken), ratios


def calls_moved(shop: Shop, many: int) -> list[int]:
    """How many calls to others change their day when one machine more comes to the first `many`,
    for each of those after them."""
    standings = sorted(all_standings(shop), key=lambda each: each.record.id)
    there = [each for each in standings if each.record.id <= many]
    with shop.book() as book:
        so_far, settings = read_calls(book), shop.settings_in(book)

    def planned(among: list[Standing]) -> dict[tuple[object, ...], date]:
        return days_by_call(planned_calls(among, so_far, settings, TODAY))

    before = planned(there)
    moved = []
    for each in standings:
        if each.record.id > many:
            after = planned([*there, each])
            moved.append(sum(after[call] != day for call, day in before.items()))
    return moved


def days_by_call(calls: Sequence[PlannedCall]) -> dict[tuple[object, ...], date]:
    """The day of each call, by what it is about and its machines."""
    return {
        (call.about, *(service.machine for service in call.services)): call.on for call in calls
    }


def test_the_benchmark_runs_and_both_ways_agree() -> None:
    calls = shuffled_calls(300)
    assert plan(calls) == by_search(calls)
    assert len(compare(many=300, times=3)) == 2


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """The folder of a shop of 40 machines."""
    return make_big_shop(tmp_path / "shop", 40).folder


def test_the_list_of_due_machines_is_measured_against_the_rows_it_is_made_of(small: Path) -> None:
    listed = {line["machine"] for line in json.loads(list_due(small, "--all"))}
    assert listed == {f"M-{row[0]:03}" for row in read_bare(small)["machine"]}
    assert len(compare_due(small, times=2)[1]) == 2


def test_the_time_of_the_list_is_counted_by_part_and_the_list_is_the_same(small: Path) -> None:
    plain = list_due(small)
    with by_part() as parts:
        assert list_due(small) == plain
    assert set(parts) == {REST, *(part for part, _, _ in PARTS)}


def test_as_many_calls_move_as_the_book_moves_when_a_machine_comes(tmp_path: Path) -> None:
    crowded = make_big_shop(tmp_path / "shop", 400, new=2, bench="calls_a_day = 1")
    mark_gone(crowded, "M-401", "sold", TODAY)
    mark_gone(crowded, "M-402", "sold", TODAY)
    before = days_in_the_book(crowded)
    restore(crowded, "M-401")
    with_first = days_in_the_book(crowded)
    mark_gone(crowded, "M-401", "sold", TODAY)
    restore(crowded, "M-402")
    with_second = days_in_the_book(crowded)
    restore(crowded, "M-401")
    moved = [
        sum(after[call] != day for call, day in before.items())
        for after in (with_first, with_second)
    ]
    assert any(moved)
    assert calls_moved(crowded, 400) == moved


def days_in_the_book(shop: Shop) -> dict[int, date]:
    """The day of each open call by its lasting number, brought in line with the plan."""
    calls = open_calls(shop)
    return {call.id: call.on for call in calls}


def figures(many: int = 20_000) -> Iterator[Figure]:
    """What planning costs, and the list of a large shop."""
    yield Figure(
        words="planning 10,000 calls takes {:.1f} times as long as sorting them",
        value=compare(many=10_000, times=TIMES)[1],
        most=30,
    )
    with TemporaryDirectory() as kept:
        folder = make_big_shop(Path(kept) / "shop", many).folder
        taken, ratios = compare_due(folder, TIMES)
        with by_part() as parts:
            list_due(folder)
    yield Figure(
        words=f"due over {many:,} machines takes {{:.1f}} times as long as bare SQL takes to read "
        f"their rows; {min(ratios):.1f} to {max(ratios):.1f} in {TIMES} runs",
        value=median(ratios),
        most=25,
    )
    yield Figure(words="  {:.0f} microseconds a machine; of these", value=taken * 1e6 / many)
    whole = sum(parts.values())
    for spent, part in sorted(((spent, part) for part, spent in parts.items()), reverse=True):
        yield Figure(words=f"  {{:6.1%}} {part}", value=spent / whole)


def moves(many: int, a_day: int, trials: int) -> Iterator[Figure]:
    """How many calls one new machine moves in a shop of so many, in which a day holds so many
    calls."""
    with TemporaryDirectory() as kept:
        shop = make_big_shop(Path(kept) / "shop", many, new=trials, bench=f"calls_a_day = {a_day}")
        moved = sorted(calls_moved(shop, many))
    yield Figure(
        words=f"one machine more among {many:,}, {a_day} calls a day, moves so many of their "
        f"calls: median {{:g}}, 9 in 10 at most {moved[-(-9 * trials // 10) - 1]}, most "
        f"{moved[-1]} ({trials} trials)",
        value=median(moved),
    )


@pytest.mark.full
def test_planning_and_listing_take_little_longer_than_sorting_and_reading(
    record_property: Any,
) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    tell(figures())
    for many, a_day in ((500, 2), (500, 3), (2_000, 9), (2_000, 12)):
        tell(moves(many, a_day, trials=200))
