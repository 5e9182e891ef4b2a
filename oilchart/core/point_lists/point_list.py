"""A model's point list: points, do-not points, wear parts, documents and the order of work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from fractions import Fraction

from oilchart.core.point_lists.interval import Interval


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


class Proof(StrEnum):
    """What alone shows that a work was done."""

    ELECTRICAL = "electrical"


class Need(StrEnum):
    """What it takes to do a work beside the usual: tipping the head back, fine sight or hand,
    force."""

    TIP = "tip"
    FINE = "fine"
    FORCE = "force"


SEIZED = "seized"  # what a head that is stuck is said to have, while it is on the bench


@dataclass(frozen=True, slots=True, kw_only=True)
class Lubricant:
    """An oil or grease as the lists name it; `home` is what an owner calls it.

    Args:
        iso_vg: viscosity grade of an oil, None where it is sold without one.
        nlgi: consistency class of a grease, None where it is sold without one.
    """

    id: str
    name: str
    home: str
    kind: str
    belongs: str
    never: str
    iso_vg: int | None = None
    nlgi: str | None = None


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
        every_home: how often, where an owner does what is the bench's for most; only on an owner's
            point that needs something.
        access: the stage of the bench work in which the place is open; None where the list does not
            say.
        places: where it lies, the best first, on drawings of which a model has some or none.
        needs: what it takes to do it; an owner's point that needs something is the bench's unless
            this owner can.
        deep: dismantling; done only when it would fall due before the next service.
        minutes: bench time.
        safety: someone can be hurt where it is not done; it is left out for a reason only.
        power: it needs current.
        test_run: it is done with the machine running, by current, foot or hand.
        proof: it counts as done by a check of that kind alone, with its result.
        number: its own in the model's list, on every paper; 0 for a point of no list.
        was: ids it had before, or of points it was part of; work under them counts for it.
        sources: where each figure comes from, as pairs of figure and source key or "practice".
    """

    id: str
    mechanism: str
    where: str
    home: str | None
    work: Work
    do: str | None
    every: Interval
    every_home: Interval | None = None
    keeper: Keeper
    lubricant: Lubricant | None
    amount: str | None
    access: str | None
    places: tuple[Place, ...] = ()
    runs: Runs
    needs: tuple[Need, ...]
    deep: bool
    if_dry: IfDry | None
    minutes: Fraction
    material: str | None
    why: str | None
    caution: str | None
    safety: bool = False
    power: bool = False
    test_run: bool = False
    proof: Proof | None = None
    number: int = 0
    was: tuple[str, ...] = ()
    sources: tuple[tuple[str, str], ...]

    def for_owner(self, can: Iterable[Need]) -> Point:
        """The point as it stands for an owner who can do what is named: theirs with its interval at
        home, or the bench's."""
        if self.keeper is not Keeper.OWNER or not self.needs:
            return self
        if set(self.needs) <= set(can):
            return replace(self, every=self.every_home or self.every)
        return replace(self, keeper=Keeper.BENCH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Avoid:
    """A place that must get no oil or solvent, or must not be opened or moved, and why.

    Args:
        forbids: the kinds of work that no point may name there.
        places: words of the place; a point whose place has one of them lies there.
    """

    id: str
    mechanism: str
    where: str
    home: str | None
    do_not: str
    why: str
    source: str
    forbids: tuple[Work, ...] = ()
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WearPart:
    """A part that ages: what to order, when to think of it, how many to keep.

    Args:
        having: what a machine has that it is for; empty for every machine of the model.
    """

    id: str
    name: str
    part: str
    replace_years: int | None
    replace_hours: int | None
    stock_minimum: int | None
    source: str
    having: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mechanism:
    """What a mechanism is, without its points.

    Args:
        kind: what it is for: "head", "drive", "control", "winding".
        has: what a machine with it has that the order of work asks for.
        goes_with: it is left out of a machine that has not got this.
        views: drawings that show its points.
        instead: drawings that take the place of others of a machine with it.
        stitches_a_minute: the most it lets a machine sew, None where it sets no bound.
        edited: the day it was last changed, None where its file does not say.
    """

    id: str
    name: str
    kind: str
    about: str
    has: tuple[str, ...] = ()
    goes_with: str | None = None
    views: tuple[str, ...] = ()
    instead: tuple[tuple[str, str], ...] = ()
    stitches_a_minute: int | None = None
    edited: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A manual or a drawing of the maker's: a file of the shop's, or an address."""

    title: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One sentence of the order of work, for machines that have something.

    Args:
        having: what a machine has that it is for, one of them is enough; empty for all machines.
        power: the machine runs for it; where it has a plug it needs current.
    """

    words: str
    having: tuple[str, ...] = ()
    power: bool = False

    def is_for(self, has: Iterable[str]) -> bool:
        """Whether it is for a machine that has these."""
        return not self.having or not set(self.having).isdisjoint(has)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of the bench work: what is opened first, the points' work, and what is closed after
    it.

    Args:
        having: as in `Order`, for the stage as a whole.
    """

    id: str
    name: str
    open: tuple[Order, ...]
    close: tuple[Order, ...]
    caution: tuple[Order, ...]
    having: tuple[str, ...] = ()

    def for_machine(self, has: Iterable[str]) -> Stage | None:
        """The stage with what is for a machine that has these, None where it is not for it at
        all."""
        if self.having and set(self.having).isdisjoint(has):
            return None
        mine = [
            tuple(order for order in orders if order.is_for(has))
            for orders in (self.open, self.close, self.caution)
        ]
        return replace(self, open=mine[0], close=mine[1], caution=mine[2])


@dataclass(frozen=True, slots=True)
class Edition:
    """The day a list was last changed, None where its files do not say, and a short code of what it
    tells to do."""

    day: date | None = None
    code: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PointList:
    """A model and its list, put together from its mechanisms.

    Args:
        mechanisms: pairs of id and name, in the order in which the model names them.
        family: a list for machines that have none of their own.
        has: what the machine has that the order of work asks for: "plug", "belt", "bobbin-case".
        view_ids: the drawings that show its points, the front first; they are read by what draws.
        stages: all stages of the bench work, in working order.
        sources: titles of the publications its figures come from, by key.
        edition: by which a paper, and what is read back from it, is held against the list.
        tested_here: the shop that works by it makes the electrical tests itself; else others do,
            and no point of it is such a test.
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
    documents: tuple[Document, ...] = ()
    family: bool = False
    has: frozenset[str] = frozenset()
    view_ids: tuple[str, ...] = ()
    stages: tuple[Stage, ...]
    sources: tuple[tuple[str, str], ...]
    edition: Edition = Edition()
    tested_here: bool = True

    @property
    def is_known(self) -> bool:
        """Whether it is the list of a model; that of a machine not seen yet is of none."""
        return bool(self.id)

    @property
    def has_plug(self) -> bool:
        """Whether it runs on the mains."""
        return "plug" in self.has

    def point(self, point_id: str) -> Point | None:
        """The point of that id, None where the list has none."""
        return next((point for point in self.points if point.id == point_id), None)

    def heirs(self) -> dict[str, tuple[str, ...]]:
        """The points for which work counts that was recorded under an id no point has any more."""
        ids = {point.id for point in self.points}
        found: dict[str, tuple[str, ...]] = {}
        for point in self.points:
            for old in point.was:
                if old not in ids:
                    found[old] = (*found.get(old, ()), point.id)
        return found

    def kept_by(self, keeper: Keeper) -> tuple[Point, ...]:
        """The owner's or the bench's points, in list order."""
        return tuple(point for point in self.points if point.keeper is keeper)

    def without(self, point_ids: Iterable[str]) -> PointList:
        """The list without points; ids it has not got say nothing, and the rest keep their
        numbers."""
        gone = frozenset(point_ids)
        if not gone:
            return self
        return replace(self, points=tuple(each for each in self.points if each.id not in gone))

    def tested_elsewhere(self) -> PointList:
        """The list for a shop whose electrical tests others make: without them."""
        tests = [point.id for point in self.points if point.proof is Proof.ELECTRICAL]
        return replace(self.without(tests), tested_here=False)

    def for_owner(self, can: Iterable[Need]) -> PointList:
        """The list as it stands for an owner who can do what is named."""
        able = frozenset(can)
        return replace(self, points=tuple(point.for_owner(able) for point in self.points))

    def order_of_work(self, *, seized: bool = False) -> tuple[Stage, ...]:
        """The stages for this machine, in working order; a seized head has opening steps of its
        own."""
        has = self.has | {SEIZED} if seized else self.has
        return tuple(mine for stage in self.stages if (mine := stage.for_machine(has)) is not None)

    def at_stage(self, stage_id: str) -> tuple[Point, ...]:
        """The points of a stage, clean, then oil, then adjust; those that name no stage are done in
        the last one."""
        last = self.stages[-1].id if self.stages else ""
        order = tuple(Work)
        return tuple(
            sorted(
                (point for point in self.points if (point.access or last) == stage_id),
                key=lambda point: order.index(point.work),
            )
        )


NOT_SEEN = "machine not seen yet"
# what any machine is taken to sew in a minute of which nothing is known; common practice, no source
COMMON_STITCHES = 800


def list_of_unseen(name: str) -> PointList:
    """The list of a machine whose model is decided on the bench: no points, and a plug, better one
    caution too many."""
    return PointList(
        id="",
        name=name,
        maker="",
        about="",
        years=None,
        mechanisms=(),
        needle_system="",
        needle_flat="",
        stitches_a_minute=COMMON_STITCHES,
        bobbin_metres=None,
        points=(),
        avoids=(),
        wear_parts=(),
        has=frozenset({"plug"}),
        stages=(),
        sources=(),
    )
