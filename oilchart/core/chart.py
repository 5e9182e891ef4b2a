"""Knows a model's point list once it is put together: points, do-not points, wear parts and drawings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from oilchart.core.interval import Interval


class Work(StrEnum):
    """The kind of work at a point, in the order in which it is done once a place is open."""

    CLEAN = "clean"
    INSPECT = "inspect"
    REPLACE = "replace"
    OIL = "oil"
    GREASE = "grease"
    ADJUST = "adjust"


class Keeper(StrEnum):
    """Who does the work."""

    OWNER = "owner"
    BENCH = "bench"


class Runs(StrEnum):
    """In which part of the sewing time a point moves."""

    ALWAYS = "always"
    ZIGZAG = "zigzag"
    WINDING = "winding"


class IfDry(StrEnum):
    """What running dry, or felted, does to a point."""

    SEIZES = "seizes"
    WEARS = "wears"
    NOISY = "noisy"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lubricant:
    """An oil or grease as the lists name it; `home` is what an owner calls it."""

    id: str
    name: str
    home: str
    kind: str
    belongs: str
    never: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a point lies on a drawing, in the drawing's own units."""

    view: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One place and one kind of work there.

    Args:
        where: the technician's name for the place.
        home: the owner's words for it; always there for an owner's point.
        do: what exactly is done, imperative; None for plain oiling and greasing.
        access: the stage of the bench work in which the place is open.
        needs: of "tip", "fine", "force": what it takes to do it.
        deep: dismantling; done only when it would fall due before the next service.
        minutes: bench time.
        sources: where each figure comes from, as pairs of figure and source key or "practice".
    """

    id: str
    mechanism: str
    where: str
    home: str | None
    work: Work
    do: str | None
    every: Interval
    keeper: Keeper
    lubricant: Lubricant | None
    amount: str | None
    access: str
    place: Place | None
    runs: Runs
    needs: tuple[str, ...]
    deep: bool
    if_dry: IfDry | None
    minutes: Fraction
    material: str | None
    why: str | None
    caution: str | None
    sources: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Avoid:
    """A place that must get no oil or solvent, or must not be opened or moved, and why."""

    id: str
    mechanism: str
    where: str
    home: str | None
    do_not: str
    why: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WearPart:
    """A part that ages: what to order, when to think of it, how many to keep."""

    id: str
    name: str
    part: str
    replace_years: int | None
    replace_hours: int | None
    stock_minimum: int | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of the bench work: what is opened first, the points' work, and what is closed after it."""

    id: str
    name: str
    open: tuple[str, ...]
    close: tuple[str, ...]
    caution: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One element of a drawing: a path of absolute M, L, C and Z, a circle, or a round-cornered box.

    Args:
        path: letters and their numbers, for `kind` "path".
        numbers: x, y, r of a circle; x, y, width, height, r of a box.
        role: which look it has: body, part, shade, dark, detail, fine, hidden, wood or tint.
    """

    kind: str
    role: str
    path: tuple[tuple[str, tuple[float, ...]], ...] = ()
    numbers: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A drawing of a machine as a display list, in its own units; y grows downwards.

    Args:
        like: the drawing whose shapes this one adds to; points placed on that one lie on this one too.
    """

    id: str
    name: str
    alt: str
    width: float
    height: float
    shapes: tuple[Shape, ...]
    like: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A model and its list, put together from its mechanisms.

    Args:
        mechanisms: pairs of id and name, in the order in which the model names them.
        cautions: of its mechanisms, whole sentences.
        stages: all stages of the bench work, in working order.
        sources: titles of the publications its figures come from, by key.
    """

    id: str
    name: str
    maker: str
    about: str
    years: str | None
    mechanisms: tuple[tuple[str, str], ...]
    needle_system: str
    needle_flat: str
    stitches_a_minute: int
    bobbin_metres: Fraction | None
    points: tuple[Point, ...]
    avoids: tuple[Avoid, ...]
    wear_parts: tuple[WearPart, ...]
    views: tuple[View, ...]
    stages: tuple[Stage, ...]
    sources: tuple[tuple[str, str], ...]

    def point(self, point_id: str) -> Point | None:
        """The point of that id, None where the list has none."""
        return next((point for point in self.points if point.id == point_id), None)

    def kept_by(self, keeper: Keeper) -> tuple[Point, ...]:
        """The owner's or the bench's points, in list order."""
        return tuple(point for point in self.points if point.keeper is keeper)
