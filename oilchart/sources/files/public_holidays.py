"""The public holidays of a country or a part of one, from the `holidays` package, which is an
extra."""

from __future__ import annotations

import re
from datetime import date

YEARS = range(2000, 2101)


class NoSuchHolidays(LookupError):
    """The holidays asked for are not to be had; the text says why, and what to do."""


def public_holidays(code: str) -> frozenset[date]:
    """The public holidays from 2000 to 2100.

    Args:
        code: of a country, ISO 3166-1: "DE"; or of a part of one, ISO 3166-2: "DE-BY".

    Raises:
        NoSuchHolidays: there is no such code, or the package is not installed.
    """
    if not re.fullmatch(r"[A-Z]{2}(-[A-Z0-9]{1,3})?", code):
        raise NoSuchHolidays(
            'is no code of a country; write it like "DE", or "DE-BY" for a part of one'
        )
    try:
        import holidays
    except ImportError:
        raise NoSuchHolidays(
            "wants the package holidays; install it: pip install 'oilchart[holidays]'"
        ) from None
    country, _, part = code.partition("-")
    try:
        found = holidays.country_holidays(country, subdiv=part or None, years=YEARS)
    except NotImplementedError:
        raise NoSuchHolidays(
            "is a code for which no holidays are known; write the days into closures"
        ) from None
    return frozenset(found)
