"""How likely it is that a point is past its limit, and how much harm that does.

A range of use means that about 1 owner in 10 sews less than its low end and 1 in 10 more than its
high end; it is read as a lognormal.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import erfc, log, sqrt

from oilchart.core.due.limits import WHOLE, Limits
from oilchart.core.point_lists.interval import Allowance
from oilchart.core.point_lists.point_list import IfDry, Point
from oilchart.core.units import Ticks
from oilchart.core.use.curve import Curves

Amount = int | Fraction
# so many standard deviations from the middle lies the point that 1 in 10 pass
ONE_IN_TEN = 1.2815515655446004

# common practice, no source: a seized head costs days and may be the end of a machine, wear costs
# parts, noise brings the owner back in time; where the list tells of no harm, a look or a cleaning
# that waits costs least
HARM: dict[IfDry | None, float] = {IfDry.SEIZES: 3, IfDry.WEARS: 2, IfDry.NOISY: 1, None: 0.5}


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """How likely a machine is past a limit, and how much that matters.

    Args:
        chance: that one of its bench points is past its limit; the greatest over them, not their
            sum, since one use decides all.
        weight: the greatest chance times harm over its bench points, to two decimals.
        point: id of the point that has it.
    """

    chance: float
    weight: float
    point: str


def probability(low: Amount, likely: Amount, high: Amount, limit: Amount) -> float:
    """How likely it is that more than a limit was used; all four in ticks, or in shares of a limit.

    Low, likely and high are what 9, 5 and 1 in 10 pass. Between them ln(use) is normal: with likely
    = sqrt(low x high), as of one range, P = Phi((mu - ln limit) / sigma), mu = (ln low + ln high) /
    2, sigma = (ln high - ln low) / (2 x 1.28155). Where several ranges were added up likely lies
    lower; then each side of it has the sigma that its end gives, so that P passes 1/2 and 9/10 just
    where the likely and the high use pass the limit: after the likely and the earliest due date.

    Args:
        low: of `Curves.least`: where a range begins at less than a tenth of its end, its width says
            that little is known, not that as good as nothing is sewn.

    Returns:
        From 0 to 1; 0 or 1, by the likely use, where there is no range.
    """
    end = high if limit >= likely else low
    if low == 0 or end == likely:
        return float(likely > limit)
    if limit == 0:
        return 1.0
    deviations = ONE_IN_TEN * log(likely / limit) / abs(log(end / likely))
    return erfc(-deviations / sqrt(2)) / 2


def used_since(curves: Curves, done: date, today: date) -> tuple[Ticks, Ticks, Ticks]:
    """Least, likely and high ticks used from the start of one day to the start of another.

    Returns:
        Zeros where today is not after the day the work was done.
    """
    if today <= done:
        return 0, 0, 0
    first, end = done.toordinal(), today.toordinal()
    least, likely, high = (
        curve.used_before(end) - curve.used_before(first)
        for curve in (curves.least, curves.likely, curves.high)
    )
    return least, likely, high


def chance_past(
    used: tuple[Ticks, Ticks, Ticks] | None, done: date, allowed: Allowance, today: date
) -> float:
    """How likely a point is past its limit of use or at rest at the start of a day.

    Args:
        used: least, likely and high use since the work; None where no use is known: then only the
            limit at rest counts.
    """
    by_time = allowed.due_by_time(done)
    if by_time is not None and today > by_time:
        return 1.0
    if used is None or allowed.use is None:
        return 0.0
    return probability(*used, allowed.use)


def chance_past_changing(curves: Curves | None, done: date, limits: Limits, today: date) -> float:
    """How likely a point is past its limit at the start of a day, where that changed since."""
    by_time = limits.due_by_time(done)
    if by_time is not None and today > by_time:
        return 1.0
    if curves is None or today <= done:
        return 0.0
    least, likely, high = (
        limits.used_up(curve, done, today) for curve in (curves.least, curves.likely, curves.high)
    )
    return probability(least, likely, high, WHOLE)


def greatest(chances: Iterable[tuple[Point, float]]) -> Risk | None:
    """A machine's risk, from the chances of its bench points; None without any.

    Of points whose chance times harm is the same to two decimals the first decides.
    """
    known = list(chances)
    if not known:
        return None
    point, chance = max(known, key=lambda each: round(each[1] * HARM[each[0].if_dry], 2))
    return Risk(
        chance=max(each for _, each in known), weight=chance * HARM[point.if_dry], point=point.id
    )
