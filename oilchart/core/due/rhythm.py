"""The few plain rhythms of a care card, and which three of them serve all points best."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, chain, combinations, repeat

from oilchart.core.point_lists.interval import Allowance
from oilchart.core.units import Ticks
from oilchart.core.use.curve import Curve

COMING_YEAR_DAYS = 366
SEWING_DAYS_A_WEEK = 5
MOST_RHYTHMS = 3
# of a point that would not use up one limit in the coming year, instead of a rhythm: oil ages where
# it stands still
AFTER_REST = "before you sew, after a rest of 3 months"


@dataclass(frozen=True, slots=True, eq=False)
class Rhythm:
    """How often a card asks for something; there are only those of `RHYTHMS`.

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
YEAR = RHYTHMS[-1]


def most_use(high: Curve, as_of: date) -> dict[Rhythm, Ticks]:
    """The most ticks used in any stretch of each rhythm's length in the coming year.

    The use of a sewing day is a fifth of the most used in a week, rounded up.
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
        peak = used[length]
        if len(stretches) > 1:
            peak = max(end - start for start, end in zip(used, used[length:], strict=False))
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


def hardly_runs(
    limit_hours: Fraction | None, allowed: Allowance, most: Mapping[Rhythm, Ticks] | None
) -> bool:
    """Whether a point that has a limit of use stays under one such limit in the coming year.

    Args:
        limit_hours: the limit of its interval; None without one.
        most: of `most_use`; None where no use is known.
    """
    if limit_hours is None or most is None:
        return False
    return allowed.use is None or most[YEAR] < allowed.use


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
    fitting = {
        allowed: frozenset(rhythm for rhythm in RHYTHMS if fits(rhythm, allowed, most))
        for allowed in set(allowances)
    }
    points = Counter(fitting[allowed] for allowed in allowances if fitting[allowed])
    chosen = _best(frozenset(points.items()))
    return [_longest(fitting[allowed], chosen) for allowed in allowances]


def _longest(fitting: frozenset[Rhythm], chosen: tuple[Rhythm, ...]) -> Rhythm | None:
    """The first, and so the longest, of the chosen rhythms that fits; None where none does."""
    return next((rhythm for rhythm in chosen if rhythm in fitting), None)


@lru_cache(maxsize=4_096)
def _best(points: frozenset[tuple[frozenset[Rhythm], int]]) -> tuple[Rhythm, ...]:
    """The best choice, longest first; none where no three rhythms serve all points.

    Args:
        points: how many points each set of fitting rhythms has.
    """
    best: tuple[Rhythm, ...] = ()
    least: tuple[int, int, list[int]] | None = None
    for size in range(MOST_RHYTHMS + 1):
        for chosen in combinations(reversed(RHYTHMS), size):
            occasions = 0
            for fitting, many in points:
                rhythm = _longest(fitting, chosen)
                if rhythm is None:
                    break
                occasions += many * rhythm.a_year
            else:
                rank = (occasions, size, [-rhythm.days for rhythm in chosen])
                if least is None or rank < least:
                    best, least = chosen, rank
    return best
