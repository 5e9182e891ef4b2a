"""What a machine's conditions leave of an interval: lint, dust, damp, heat, a cold room, fast work,
not oiled at home.

Each condition has, for each kind of work, a factor on the hour limit and one on the time limit. Of
all conditions of a machine the smallest factor acts; they are not multiplied. A condition shortens,
it never lengthens.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from oilchart.core.point_lists.interval import ONE, Factors
from oilchart.core.point_lists.point_list import Work

NO_CHANGE = Factors()
LUBRICATED = (Work.OIL, Work.GREASE)
# below these nothing is shortened by conditions; common practice, no source
LEAST_LUBRICATED = Fraction(1, 2)
LEAST_OTHER = Fraction(1, 4)
NOT_OILED = "not-oiled-at-home"
FAST_WORK = "fast-work"


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One condition.

    Args:
        factors: by kind of work; a kind that is not named is left alone.
    """

    id: str
    name: str
    about: str
    factors: Mapping[Work, Factors]

    def of(self, work: Work) -> Factors:
        """Its factors on one kind of work."""
        return self.factors.get(work, NO_CHANGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Acting:
    """The factors that act on a point, and the name of the condition each comes from; empty where
    none acts."""

    factors: Factors = NO_CHANGE
    use_from: str = ""
    time_from: str = ""


def acting(conditions: Iterable[Condition], work: Work) -> Acting:
    """What acts on a kind of work: of each factor the smallest, kept between the least and 1.

    Source: common practice, no source; that severe service shortens by a factor: the published
    analogue in `tests/test_conditions.py`.
    """
    least = LEAST_LUBRICATED if work in LUBRICATED else LEAST_OTHER
    use = time = ONE
    use_from = time_from = ""
    for condition in conditions:
        factors = condition.of(work)
        if factors.use < use:
            use, use_from = factors.use, condition.name
        if factors.time < time:
            time, time_from = factors.time, condition.name
    return Acting(
        factors=Factors(use=max(use, least), time=max(time, least)),
        use_from=use_from,
        time_from=time_from,
    )
