"""What is doubtful in a list that has no fault: intervals far from the published ones, oil where
none belongs, and the like."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from math import dist

from oilchart.core.point_lists.drawings import ModelDrawings
from oilchart.core.point_lists.interval import Step
from oilchart.core.point_lists.point_list import Keeper, Point, PointList, Work
from oilchart.core.units import NEEDLE_SHARE, Speed

ONE_SPOT = 6.0  # points nearer to each other than this, in drawing units, cannot be told apart
DAYS_A_MONTH = Fraction(365, 12)
PLASTIC = ("plastic", "nylon", "fibre")
GEARS = ("gear", "gears", "teeth", "cam", "cams")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """An interval as it was published.

    Args:
        hours: of use at the machine that it comes to, None where it names none.
        months: at rest, None where it names none.
    """

    hours: Fraction | None
    months: Fraction | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The published intervals of one kind of work.

    Args:
        keeper: whose points it is about; None for both.
        words: of the place, one of them is enough; empty for all places.
    """

    id: str
    name: str
    work: Work
    keeper: Keeper | None
    words: tuple[str, ...]
    figures: tuple[Figure, ...]

    @property
    def hours(self) -> tuple[Fraction, Fraction] | None:
        """The shortest and the longest of its figures of use."""
        return _ends(figure.hours for figure in self.figures)

    @property
    def months(self) -> tuple[Fraction, Fraction] | None:
        """The shortest and the longest of its figures at rest."""
        return _ends(figure.months for figure in self.figures)

    def is_about(self, point: Point) -> bool:
        """Whether it tells how often a point wants its work."""
        mine = point.work is self.work and self.keeper in (None, point.keeper)
        return mine and (not self.words or has_word(point.where, self.words))


@dataclass(frozen=True, slots=True, kw_only=True)
class Never:
    """What no list may tell anybody, or no owner, to do.

    Args:
        forbids: kinds of work; all where there are none.
        owners_only: only owners may not.
        words: of a place, or of what is done.
    """

    name: str
    why: str
    forbids: tuple[Work, ...]
    owners_only: bool
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """One thing to look at again: of which point, which key and value, what is odd about it and
    what to do."""

    point: Point
    key: str
    value: str
    odd: str
    remedy: str


def doubts(
    point_list: PointList,
    drawings: ModelDrawings,
    *,
    spreads: Sequence[Spread],
    nevers: Sequence[Never],
    least_days: int,
) -> list[Doubt]:
    """Everything doubtful in a list, point by point.

    Args:
        spreads: the particular ones before the general; the first that is about a point counts.
        least_days: the shop's least time between two services of a machine.
    """
    found = []
    for point in point_list.points:
        found += [
            *_interval(point, point_list, spreads),
            *_bench(point, least_days),
            *_oil(point),
            *_forbidden(point, point_list, nevers),
        ]
        if drawings.place(point) is None:
            found.append(
                Doubt(
                    point=point,
                    key="at",
                    value="",
                    odd="lies on no drawing of the model",
                    remedy="add its place, or the drawing",
                )
            )
    return [*found, *_one_spot(point_list, drawings)]


def has_word(text: str | None, words: tuple[str, ...]) -> bool:
    """Whether one of the words, or its plural, stands in a text."""
    return bool(words) and _any_of(words).search((text or "").casefold()) is not None


@lru_cache(maxsize=1_000)
def _any_of(words: tuple[str, ...]) -> re.Pattern[str]:
    """Finds one of the words, or its plural: every list is asked for the same words."""
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, words))})(?:s|es)?\b")


def _ends(numbers: Iterable[Fraction | None]) -> tuple[Fraction, Fraction] | None:
    known = [number for number in numbers if number is not None]
    return (min(known), max(known)) if known else None


def _interval(point: Point, point_list: PointList, spreads: Sequence[Spread]) -> Iterator[Doubt]:
    speed = Speed(
        needle_share=NEEDLE_SHARE, stitches_a_minute=Fraction(point_list.stitches_a_minute)
    )
    for key, interval in (("every", point.every), ("every_home", point.every_home)):
        if interval is None or interval.occasion:
            continue
        able = point if key == "every" else point.for_owner(point.needs)
        spread = next(
            (
                spread
                for spread in spreads
                if spread.is_about(point.for_owner(()) if key == "every" else able)
            ),
            None,
        )
        outside = spread is not None and any(
            _is_outside(step, spread, speed) for step in interval.steps
        )
        if spread is not None and outside:
            ends = " and ".join(
                part
                for part in (_range(spread.hours, "hours"), _range(spread.months, "months"))
                if part
            )
            yield Doubt(
                point=point,
                key=key,
                value=interval.words,
                odd=f"is outside what was published ({spread.name}: {ends})",
                remedy="look it up again",
            )


def _is_outside(step: Step, spread: Spread, speed: Speed) -> bool:
    hours, months = step.limit_hours(speed), _months(step)
    return (
        hours is not None
        and spread.hours is not None
        and not spread.hours[0] <= hours <= spread.hours[1]
    ) or (
        months is not None
        and spread.months is not None
        and not spread.months[0] <= months <= spread.months[1]
    )


def _months(step: Step) -> Fraction | None:
    if step.months is not None:
        return Fraction(step.months)
    return None if step.days is None else step.days / DAYS_A_MONTH


def _range(ends: tuple[Fraction, Fraction] | None, what: str) -> str:
    if ends is None:
        return ""
    first, last = (f"{float(end):.3g}" for end in ends)
    return f"{first} to {last} {what}" if first != last else f"{first} {what}"


def _bench(point: Point, least_days: int) -> Iterator[Doubt]:
    usual = point.for_owner(())
    if usual.keeper is not Keeper.BENCH:
        return
    if point.access is None:
        yield Doubt(
            point=point,
            key="access",
            value="",
            odd="the bench does not know what to open",
            remedy="name a stage of order.toml",
        )
    every = point.every
    short = any(
        (months := _months(step)) is not None and months * DAYS_A_MONTH < least_days
        for step in every.steps
    )
    if short or every.occasion in ("each bobbin", "each sewing day"):
        yield Doubt(
            point=point,
            key="every",
            value=every.words,
            odd=f"comes round before the next service, {least_days} days after the last "
            "at the earliest",
            remedy="make it longer, or the owner's",
        )


def _oil(point: Point) -> Iterator[Doubt]:
    place = f"{point.where} {point.do or ''}"
    if point.work is Work.OIL and has_word(place, PLASTIC) and has_word(place, GEARS):
        yield Doubt(
            point=point,
            key="with",
            value=point.lubricant.name if point.lubricant else "",
            odd="is oil for a plastic gear",
            remedy="grease it, or leave it dry",
        )


def _forbidden(point: Point, point_list: PointList, nevers: Sequence[Never]) -> Iterator[Doubt]:
    for avoid in point_list.avoids:
        if point.work in avoid.forbids and (
            has_word(point.where, avoid.places) or has_word(point.home, avoid.places)
        ):
            yield Doubt(
                point=point,
                key="work",
                value=point.work,
                odd=f'is forbidden by "{avoid.id}": {avoid.do_not}',
                remedy="take one of the two out",
            )
    usual = point.for_owner(())
    for never in nevers:
        if never.owners_only and usual.keeper is not Keeper.OWNER:
            continue
        told = " ".join(
            part
            for part in (
                point.where,
                point.home,
                *((point.do, point.material) if never.owners_only else ()),
            )
            if part
        )
        if (not never.forbids or point.work in never.forbids) and has_word(told, never.words):
            whose = "owners" if never.owners_only else "any list"
            yield Doubt(
                point=point,
                key="work",
                value=point.work,
                odd=f"not for {whose}: {never.name} ({never.why})",
                remedy="take it out",
            )


def _one_spot(point_list: PointList, drawings: ModelDrawings) -> Iterator[Doubt]:
    placed = [
        (point, place)
        for point in point_list.points
        if (place := drawings.place(point)) is not None
    ]
    for (first, place), (second, other) in combinations(placed, 2):
        apart = dist((place.x, place.y), (other.x, other.y))
        if place.view == other.view and apart < ONE_SPOT:
            yield Doubt(
                point=second,
                key="at",
                value=f"{place.view}, {place.x:g}, {place.y:g}",
                odd=f'is the spot of "{first.id}"',
                remedy="move one of the two a little",
            )
