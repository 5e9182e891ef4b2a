"""How an interval is written in a point list: "8-10 hours or 3 months", "each bobbin", "1 week,
then 4 weeks, then 3 months"."""

from __future__ import annotations

import re
from fractions import Fraction

from oilchart import bounds
from oilchart.core.point_lists.interval import Interval, Step
from oilchart.core.units import Unit

OCCASIONS = ("each bobbin", "each sewing day", "each service")
HOW_TO_WRITE = (
    'write it like "8-10 hours or 3 months", "12 months", "1 week, then 4 weeks" or "each bobbin"'
)

_DIGITS = rf"\d{{1,{bounds.NUMBER_DIGITS}}}"
_NUMBER = rf"({_DIGITS}(?:\.{_DIGITS})?)"
_USE = re.compile(rf"{_NUMBER}(?:\s*[-–]\s*{_NUMBER})?\s+(hours?|needle hours?|stitch(?:es)?)")
_TIME = re.compile(rf"({_DIGITS})\s+(day|week|month|year)s?")
_UNITS = {"hour": Unit.HOURS, "needle hour": Unit.NEEDLE_HOURS, "stitch": Unit.STITCHES}


def read_interval(words: str) -> Interval:
    """Read an interval.

    Raises:
        ValueError: says what cannot be read.
    """
    plain = " ".join(words.split())
    if plain in OCCASIONS:
        return Interval(words=plain, occasion=plain)
    if plain.startswith("each "):
        raise ValueError(f"is not an occasion; there are: {', '.join(OCCASIONS)}")
    return Interval(
        words=plain, steps=tuple(_step(part) for part in re.split(r",\s*then\s+", plain))
    )


def _step(words: str) -> Step:
    parts = words.split(" or ")
    if len(parts) > 2:
        raise ValueError("has more than one limit of use and one of time")
    if use := _USE.fullmatch(parts[0]):
        if len(parts) == 1:
            raise ValueError('has a limit of use but none at rest; add "or N months"')
        months, days = _time(parts[1])
        low, high, unit = use.groups()
        aim, limit = Fraction(low), Fraction(high or low)
        if not 0 < aim <= limit:
            raise ValueError("has an aim above its limit, or no use at all")
        name = unit.removesuffix("es") if unit.startswith("stitch") else unit.removesuffix("s")
        return Step(aim=aim, limit=limit, unit=_UNITS[name], months=months, days=days)
    if len(parts) == 2:
        raise ValueError("cannot be read")
    months, days = _time(parts[0])
    return Step(months=months, days=days)


def _time(words: str) -> tuple[int | None, int | None]:
    """Months or days of a limit at rest."""
    found = _TIME.fullmatch(words)
    if not found:
        raise ValueError("cannot be read")
    number, unit = int(found[1]), found[2]
    if not number:
        raise ValueError("has no time at all")
    if unit in ("day", "week"):
        days = number * (7 if unit == "week" else 1)
        if days > bounds.INTERVAL_MONTHS * 30:
            raise ValueError("is longer than 50 years")
        return None, days
    months = number * (12 if unit == "year" else 1)
    if months > bounds.INTERVAL_MONTHS:
        raise ValueError("is longer than 50 years")
    return months, None
