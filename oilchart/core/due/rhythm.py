"""Knows the few plain rhythms of a care card, which of them a point may have, and which three serve
all points best."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import accumulate, chain, combinations, repeat
from operator import sub

from oilchart.core.lists.interval import Allowance
from oilchart.core.units import Ticks
from oilchart.core.use.curve import Curve

COMING_YEAR_DAYS = 366
SEWING_DAYS_A_WEEK = 5
MOST_RHYTHMS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Rhythm:
    """A timed rhythm; there are only those of `RHYTHMS`.

    Args:
        days: the longest stretch between two occasions; 0 for each sewing day.
        months: its calendar months, 0 for weeks and sewing days.
        a_year: occasions a year.
    """

    name: str
    days: int
    months: int
    a_year: int


SEWING_DAY = Rhythm("each sewing day", 0, 0, 260)
RHYTHMS = (
    SEWING_DAY,
    Rhythm("week", 7, 0, 52),
    Rhythm("2 weeks", 14, 0, 26),
    Rhythm("month", 31, 1, 12),
    Rhythm("2 months", 62, 2, 6),
    Rhythm("3 months", 92, 3, 4),
    Rhythm("6 months", 184, 6, 2),
    Rhythm("year", 366, 12, 1),
)


def most_use(high: Curve, as_of: date) -> dict[Rhythm, Ticks]:
    """The most use in any stretch of each rhythm's length in the coming year, on the high curve.

    The use of a sewing day is a fifth of the most used in a week.
    """
    first = as_of.toordinal()
    stretches = high.stretches(first, first + COMING_YEAR_DAYS)
    used = list(
        accumulate(
            chain.from_iterable(repeat(rate, end - start) for start, end, rate in stretches),
            initial=0,
        )
    )
    most = {}
    for rhythm in RHYTHMS:
        length = rhythm.days or 7
        peak = used[length] if len(stretches) == 1 else max(map(sub, used[length:], used))
        most[rhythm] = peak if rhythm.days else -(-peak // SEWING_DAYS_A_WEEK)
    return most


def fits(rhythm: Rhythm, allowed: Allowance, most: Mapping[Rhythm, Ticks] | None) -> bool:
    """Say whether a rhythm keeps a point within its limits.

    Args:
        most: of `most_use`; None where no use is known: then only the limit at rest counts.
    """
    if allowed.use is not None and most is not None and most[rhythm] > allowed.use:
        return False
    if allowed.months:
        return rhythm.months <= allowed.months
    return allowed.days is None or rhythm.days <= allowed.days


def choose(
    allowances: Sequence[Allowance], most: Mapping[Rhythm, Ticks] | None
) -> list[Rhythm | None]:
    """Choose at most three rhythms for a card, and each point's among them.

    Each point takes the longest chosen rhythm that fits it. Of all choices that serve every point
    some rhythm fits, the one with the fewest occasions a year, summed over the points, is taken; of
    equal ones that with fewer rhythms, then that with the longer ones.

    Returns:
        For each allowance its rhythm; None where none fits.
    """
    sets = {
        allowed: _as_set(rhythm for rhythm in RHYTHMS if fits(rhythm, allowed, most))
        for allowed in set(allowances)
    }
    fitting = [sets[allowed] for allowed in allowances]
    chosen = _best(tuple(sorted(Counter(some for some in fitting if some).items())))
    return [_longest(some & chosen) if some & chosen else None for some in fitting]


def _as_set(rhythms: Iterable[Rhythm]) -> int:
    """Rhythms as the bits of a number, the n-th of `RHYTHMS` as bit n."""
    return sum(1 << RHYTHMS.index(rhythm) for rhythm in rhythms)


def _longest(some: int) -> Rhythm:
    return RHYTHMS[some.bit_length() - 1]


@lru_cache(maxsize=4_096)
def _best(wanted: tuple[tuple[int, int], ...]) -> int:
    """The best choice, as a set, for sets of fitting rhythms and how many points have each; none
    where no three serve all."""
    best: tuple[int, int, list[int], int] | None = None
    for size in range(MOST_RHYTHMS + 1):
        for rhythms in combinations(reversed(RHYTHMS), size):
            chosen = _as_set(rhythms)
            if not all(some & chosen for some, _ in wanted):
                continue
            occasions = sum(many * _longest(some & chosen).a_year for some, many in wanted)
            rank = (occasions, size, [RHYTHMS[-1].days - rhythm.days for rhythm in rhythms], chosen)
            best = rank if best is None else min(best, rank)
    return 0 if best is None else best[-1]
