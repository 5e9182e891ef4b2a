"""Measures the planning of calls against sorting them; prints a ratio from one run, which holds on any machine.

By hand: python tests/bench_week.py. `pytest` runs it once, short, to see that it still works and that a plain way gives the same plan.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from statistics import median
from time import perf_counter

from oilchart.core.days import ONE_DAY, OpenDays, Span
from oilchart.core.slots import Placed, Wanted, place_by_day

TODAY = date(2026, 11, 25)
A_DAY = 12
OPEN_DAYS = OpenDays(
    closures=tuple(
        Span(first=date(year, month, day), end=date(year, month, day) + timedelta(days=days))
        for year in range(2026, 2031)
        for month, day, days in ((4, 2, 5), (7, 27, 21), (12, 24, 11))
    )
)


def shuffled_calls(many: int) -> list[Wanted]:
    """Calls whose deadlines lie so close together that most days are full, a few overdue, in no order."""
    chance = random.Random(many)
    days = many * 7 // (5 * A_DAY)
    deadlines = [OPEN_DAYS.latest_open(TODAY + timedelta(days=chance.randrange(-30, days + 60))) for _ in range(many)]
    return [Wanted(key=f"C-{number:05d}", deadline=deadline) for number, deadline in enumerate(deadlines)]


def by_search(calls: list[Wanted]) -> list[Placed]:
    """The same plan by going through the days afresh for every call, forwards and then backwards."""
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


def plan(calls: list[Wanted]) -> list[Placed]:
    """The plan as the shop makes it."""
    return place_by_day(calls, today=TODAY, open_days=OPEN_DAYS, limit=A_DAY)


def seconds(work: Callable[[], object], times: int) -> float:
    """Median seconds of one call."""
    taken = []
    for _ in range(times):
        begun = perf_counter()
        work()
        taken.append(perf_counter() - begun)
    return median(taken)


def compare(many: int, times: int) -> tuple[float, float]:
    """Seconds to plan so many calls, and how many times as long that is as sorting their (deadline, id) pairs."""
    calls = shuffled_calls(many)
    pairs = [(call.deadline, call.key) for call in calls]
    planning = seconds(lambda: plan(calls), times)
    return planning, planning / seconds(lambda: sorted(pairs), times)


def test_the_benchmark_runs_and_both_ways_agree() -> None:
    calls = shuffled_calls(300)
    assert plan(calls) == by_search(calls)
    assert len(compare(many=300, times=3)) == 2


if __name__ == "__main__":
    planning_seconds, ratio = compare(many=10_000, times=30)
    sys.stdout.write(f"planning 10,000 calls takes {ratio:.1f} times as long as sorting them (wanted: under 30)\n")
