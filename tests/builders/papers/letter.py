"""Makes letters to owners, and the machines they are about, from few words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from oilchart.core.due.due_dates import State
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.standing import Standing
from oilchart.core.planning.ways_to_reach import Reason, WantedLetter
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.job import Danger, UnsafeMark
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.letter.content import Letter, letter
from oilchart.sources.packaged import packaged
from tests.builders.make import TODAY, a_chart
from tests.builders.records import SHOP, a_record, a_service, a_standing, an_owner, booked_for, said

ELECTRIC = frozenset({"plug", "pedal", "bobbin-case", "bobbin"})
SHIPPED = packaged("templates")
CHAFED = UnsafeMark(id=1, danger=Danger.ELECTRICAL, on=TODAY, why="cord chafed")
CRACKED = UnsafeMark(id=2, danger=Danger.MECHANICAL, on=TODAY, why="hinge pin cracked")


def a_machine(
    number: int, point_list: PointList, *, service_on: date, last_use: str = "", **how: Any
) -> Standing:
    """A machine to be written about: `late`, `first`, `booked`, `model`, and `unsafe` by marks."""
    late, first = how.get("late", False), how.get("first", False)
    state = State.FIRST_SERVICE if first else State.OVERDUE if late else State.IN_TIME
    record = a_record(
        number,
        reports=said(last_use) if last_use else (),
        bookings=booked_for(how.get("booked")),
        unsafe_marks=how.get("unsafe", ()),
    )
    return a_standing(
        record,
        state,
        point_list=replace(point_list, name=how.get("model", point_list.name)),
        services=(a_service(service_on),),
    )


def a_heron(number: int = 1, **how: Any) -> Standing:
    """A machine with a motor, used as its owner said."""
    point_list = replace(a_chart(), name="Heron 3", has=ELECTRIC)
    values = {"service_on": date(2026, 12, 9), "last_use": "4-6 hours a week; never oils it", **how}
    return a_machine(number, point_list, **values)


def a_treadle(**how: Any) -> Standing:
    """A machine with a treadle whose service is late."""
    has = frozenset({"treadle", "bobbin"})
    point_list = replace(a_chart(), name="Ashgrove 27", has=has)
    return a_machine(2, point_list, **{"service_on": date(2027, 1, 11), "late": True, **how})


HERON, TREADLE = a_heron(), a_treadle()


def wanted_letter(*machines: Standing, **changes: Any) -> WantedLetter:
    """A letter to be written to one owner about these machines."""
    owner = {
        "name": changes.get("owner", "Ida Brandvold"),
        "address": changes.get("address", ("3 Quay Steps", "Quernhaven", "QH1 2AB")),
        "phone": changes.get("phone", "01632 960107"),
    }
    return WantedLetter(
        owner=an_owner(**owner),
        reason=changes.get("reason", Reason.SERVICE),
        about=CallAbout.SETTLING_IN if changes.get("settling") else CallAbout.SERVICE,
        standings=machines or (HERON,),
    )


def a_letter(
    *machines: Standing,
    shop: ShopDetails = SHOP,
    templates: tuple[Path, ...] = (SHIPPED,),
    **changes: Any,
) -> Letter:
    """The letter in words; `changes` are of what is wanted."""
    return letter(wanted_letter(*machines, **changes), on=TODAY, shop=shop, templates=templates)
