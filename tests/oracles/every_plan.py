"""The fewest services that keep a machine in time, and the least deep work on their days, found by
trying all or by an integer program.

These are the tests' oracles for plans of services. They are written from the definitions alone and
share no code with the program. Days are whole numbers from today, 0, on. A job is overdue on a day
that is after its last day in time; done on that last day it is in time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

NO_SOLUTION = 2  # the solver's status of a program that nothing satisfies


@dataclass(frozen=True)
class Job:
    """The work of one point.

    Args:
        last: its last day in time as things stand.
        after: its last day in time once it was done on a day for the n-th time, n from 1.
        deep: may be left out of a service; other work is done at each.
        at_first: is done at the first service in any case.
    """

    last: int
    after: Callable[[int, int], int]
    deep: bool
    at_first: bool = False


@dataclass(frozen=True)
class Bench:
    """A machine's jobs, and the days from today on that are open, rising."""

    jobs: Sequence[Job]
    open_days: Sequence[int]


def first_overdue(job: Job, done: Sequence[int]) -> int:
    """The first day on which a job is overdue that is done on these days, rising, and never
    again."""
    last = job.last
    for nth, day in enumerate(done, start=1):
        if day > last:
            break
        last = job.after(day, nth)
    return last + 1


# by trying every plan


def plans_in_time(bench: Bench, end: int) -> list[tuple[int, ...]]:
    """Every set of service days up to a day at which the work can be so done that nothing is
    overdue up to that day, the smallest first."""
    days = [day for day in bench.open_days if day <= end]
    always = [job for job in bench.jobs if not job.deep]
    some = [_sets_in_time(job, days, end) for job in bench.jobs if job.deep and not job.at_first]
    at_first = [job for job in bench.jobs if job.deep and job.at_first]
    return [
        plan
        for plan in _subsets(days)
        if all(first_overdue(job, plan) > end for job in always)
        and all(any(done.issubset(plan) for done in sets) for sets in some)
        and all(_at_first_in_time(job, plan, end) for job in at_first)
    ]


def least_deep_work(bench: Bench, days: Sequence[int], end: int) -> int:
    """How often deep work is done at services on these days at the least, so that none of it is
    overdue up to a day."""
    deep = [job for job in bench.jobs if job.deep]
    return sum(
        min(
            map(
                len,
                _at_first_in_time(job, days, end)
                if job.at_first
                else _sets_in_time(job, days, end),
            )
        )
        for job in deep
    )


def _subsets(days: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Every choice of these days, the fewest first."""
    for size in range(len(days) + 1):
        yield from combinations(days, size)


def _sets_in_time(job: Job, days: Sequence[int], end: int) -> list[frozenset[int]]:
    """The sets of these days on which a job can be done so that it is not overdue up to a day; none
    that holds another."""
    found: list[frozenset[int]] = []
    for done in _subsets(days):
        if not any(smaller.issubset(done) for smaller in found) and first_overdue(job, done) > end:
            found.append(frozenset(done))
    return found


def _at_first_in_time(job: Job, plan: Sequence[int], end: int) -> list[tuple[int, ...]]:
    """The choices of the days of a plan, its first among them, on which a job can be done so that
    it is not overdue up to a day; of no days, the choice of none."""
    first, rest = plan[:1], plan[1:]
    choices = ((*first, *more) for more in _subsets(rest))
    return [done for done in choices if first_overdue(job, done) > end]


# by an integer program, for jobs whose interval is the same each time
#
# y[d] = 1: there is a service on open day d. x[i, d] = 1: job i is done on it; for a job that is
# not deep x[i, d] is y[d].
#     x[i, d] <= y[d]
#     sum of x[i, d] over d <= last[i]               >= 1        if last[i] < end
#     sum of x[i, e] over d < e <= after[i](d)       >= x[i, d]  if after[i](d) < end
#     x[i, d] + sum of y[e] over e < d               >= y[d]     if i is done at the first service


def fewest_services(bench: Bench, end: int) -> int | None:
    """The least number of services with which nothing is overdue up to a day; None where some job
    is, whatever is done."""
    program = _Program(bench, end)
    return program.least([1] * program.days + [0] * (program.size - program.days))


def least_deep_work_by_program(bench: Bench, days: Sequence[int], end: int) -> int | None:
    """As `least_deep_work`."""
    program = _Program(bench, end)
    fixed = [int(day in days) for day in bench.open_days if day <= end]
    return program.least([0] * program.days + [1] * (program.size - program.days), fixed)


class _Program:
    """The integer program of a bench: a variable a day, 1 where there is a service, then one a day
    and deep job, 1 where the job is done; each row sums to at least its number."""

    def __init__(self, bench: Bench, end: int) -> None:
        self._open = [day for day in bench.open_days if day <= end]
        self.days = len(self._open)
        deep = [job for job in bench.jobs if job.deep]
        self.size = self.days * (1 + len(deep))
        self._rows: list[list[int]] = []
        self._least: list[int] = []
        for job in bench.jobs:
            start = self.days * (1 + deep.index(job)) if job.deep else 0
            if job.deep:
                for at in range(self.days):
                    self._row({at: 1, start + at: -1}, 0)
            if job.deep and job.at_first:
                for at in range(self.days):
                    self._row({start + at: 1, at: -1, **dict.fromkeys(range(at), 1)}, 0)
            self._in_time(job, start, end)

    def _in_time(self, job: Job, start: int, end: int) -> None:
        """The job is done by its last day, and after each time again by the next last day."""
        if job.last < end:
            self._row({start + at: 1 for at, day in enumerate(self._open) if day <= job.last}, 1)
        for at, day in enumerate(self._open):
            last = job.after(day, 1)
            if last < end:
                again = {
                    start + later: 1
                    for later, other in enumerate(self._open)
                    if day < other <= last
                }
                self._row({start + at: -1, **again}, 0)

    def _row(self, factors: dict[int, int], least: int) -> None:
        """The variables, each times its factor, sum to at least so much."""
        self._rows.append([factors.get(at, 0) for at in range(self.size)])
        self._least.append(least)

    def least(self, costs: Sequence[int], fixed: Sequence[int] | None = None) -> int | None:
        """The least cost, with the services on fixed days if they are given."""
        if not self.size:
            return 0 if max(self._least, default=0) <= 0 else None
        lowest, highest = np.zeros(self.size), np.ones(self.size)
        if fixed is not None:
            lowest[: self.days] = highest[: self.days] = fixed
        found = milp(
            costs,
            integrality=np.ones(self.size),
            bounds=Bounds(lowest, highest),
            constraints=LinearConstraint(np.array(self._rows), lb=np.array(self._least))
            if self._rows
            else (),
            options={"mip_rel_gap": 0},
        )
        if found.status == NO_SOLUTION:
            return None
        assert found.success, found.message
        return round(float(found.fun))
