"""What owners say, and what a technician takes it for: `tests/said.toml`."""

from __future__ import annotations

import tomllib
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from oilchart.core.days import DayOrder
from oilchart.core.units import HOUR, Speed
from oilchart.core.use.bobbin import Bobbin
from oilchart.core.use.report import Rate
from oilchart.sources.words.phrase import Terms

SAID_ON = date(2026, 12, 1)
_FILE = Path(__file__).parents[1] / "said.toml"


def _lasting(hours: Fraction) -> Bobbin:
    """A bobbin that runs for so many hours."""
    one = Bobbin(metres=Fraction(60))
    return Bobbin(metres=one.metres * hours / one.hours(Speed()))


TERMS = Terms(
    bobbin=_lasting(Fraction(1, 2)),
    pieces={
        name: (Fraction(low), Fraction(high))
        for name, low, high in (
            ("quilt", "20", "40"),
            ("dress", "4", "8"),
            ("curtain", "1", "3"),
            ("cushion", "0.5", "1"),
            ("skirt", "2", "4"),
        )
    },
    day_order=DayOrder.DAY_FIRST,
    last_service=date(2026, 1, 15),
    before=Rate(low=4 * HOUR // 7, high=4 * HOUR // 7),
)


@cache
def table() -> dict[str, list[Any]]:
    """The lists of the table by their names."""
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def all_said() -> list[dict[str, Any]]:
    """All that owners said and that has a meaning."""
    return [*table()["heard"], *table()["own"], *table()["later"]]
