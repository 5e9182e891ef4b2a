"""Makes values for tests from few words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

from oilchart.core.planning.schedule import Schedule
from oilchart.core.point_lists.point_list import (
    Avoid,
    IfDry,
    Keeper,
    Lubricant,
    Point,
    PointList,
    Runs,
    Stage,
    Work,
)
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.unregistered_machine import UnregisteredMachine
from oilchart.shop.unregistered import reckoning_of_unregistered, with_call
from oilchart.sources.files.settings import Settings
from oilchart.sources.packaged import packaged
from oilchart.sources.points.intervals import read_interval
from oilchart.sources.points.library import PointLibrary
from oilchart.sources.words.reader import read_report

TODAY = date(2026, 11, 25)  # a Wednesday
OIL = Lubricant(
    id="oil",
    name="clear oil",
    home="sewing-machine oil",
    kind="oil",
    belongs="bearings",
    never="belts",
)


def a_point(
    point_id: str = "hook",
    *,
    every: str = "8 hours or 3 months",
    keeper: str = "bench",
    **changes: Any,
) -> Point:
    """A point that is oiled."""
    point = Point(
        id=point_id,
        mechanism="head",
        where=f"Place of {point_id}",
        home=f"the place of {point_id}",
        work=Work.OIL,
        do=None,
        every=read_interval(every),
        keeper=Keeper(keeper),
        lubricant=OIL,
        amount="1 drop",
        access="top",
        places=(),
        runs=Runs.ALWAYS,
        needs=(),
        deep=False,
        if_dry=None,
        minutes=Fraction(1),
        material=None,
        why=None,
        caution=None,
        sources=(("every", "practice"),),
    )
    return replace(point, **changes)


def a_chart(*points: Point, avoids: Iterable[Avoid] = ()) -> PointList:
    """A model of these points."""
    return PointList(
        id="wren-1",
        name="Wren 1",
        maker="Wren",
        about="A test machine.",
        years=None,
        mechanisms=(("head", "Head"),),
        needle_system="130/705 H",
        needle_flat="to the back",
        stitches_a_minute=800,
        bobbin_metres=None,
        points=points,
        avoids=tuple(avoids),
        wear_parts=(),
        has=frozenset({"plug"}),
        stages=(Stage(id="top", name="Top", open=(), close=(), caution=()),),
        sources=(),
    )


def a_machine(
    *points: Point,
    use: str | None = None,
    said: date = TODAY,
    served: date | None = None,
    done: Iterable[str] | None = None,
) -> Machine:
    """A machine of these points, served once with all of them done unless said otherwise."""
    everything = [point.id for point in points] if done is None else done
    return Machine(
        point_list=a_chart(*points),
        number="M-001",
        reports=() if use is None else (read_report(use, said),),
        services=() if served is None else (Service(on=served, done=frozenset(everything)),),
    )


SEIZES = IfDry.SEIZES


def loose_schedule(
    point_list: PointList, words: str | None, serviced: date | None, today: date, settings: Settings
) -> Schedule:
    """The schedule of a machine that is in no book, with its call."""
    told = UnregisteredMachine(model=point_list.id, words=words, serviced=serviced)
    known = PointLibrary([packaged("points")]).conditions()
    reckoning = reckoning_of_unregistered(point_list, told, settings, today, known)
    return with_call(reckoning.schedule(today), settings)
