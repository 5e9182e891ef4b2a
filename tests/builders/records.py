"""Makes records of a shop's book, and how its machines stand, from few words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from typing import Any

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import (
    NEVER,
    Because,
    State,
    one_day,
)
from oilchart.core.planning.call_plan import CallAbout
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.core.planning.services import PlannedService
from oilchart.core.planning.standing import OpenCall, Standing
from oilchart.core.planning.ways_to_reach import way_to_reach
from oilchart.core.point_lists.point_list import PointList
from oilchart.core.records.booking import Booking
from oilchart.core.records.job import Job
from oilchart.core.records.machine import Machine, Service
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner
from oilchart.core.records.phone import Phone
from oilchart.core.records.shop_details import ShopDetails
from oilchart.core.use.report import Report
from tests.builders.make import TODAY, a_chart, a_point

LONG_AGO = date(2024, 1, 8)
SHOP = ShopDetails(
    name="Tidelane Sewing Machine Repairs",
    phone="01632 960100",
    address=("7 Tide Lane", "Quernhaven"),
    email="bench@tidelane.example",
    invented=True,
)


def an_owner(owner_id: int = 1, name: str = "Ida Brandvold", **changes: Any) -> Owner:
    """An owner with a telephone."""
    number, wrong = changes.pop("phone", "01632 960107"), changes.pop("phone_wrong", False)
    owner = Owner(id=owner_id, name=name, phones=a_phone(number, wrong=wrong))
    return replace(owner, **changes)


def a_phone(number: str, *, wrong: bool = False) -> tuple[Phone, ...]:
    """One number of an owner, or none where it is empty."""
    return (Phone(number=number, wrong=wrong),) if number.strip() else ()


def a_record(machine_id: int = 1, owner: Owner | None = None, **changes: Any) -> MachineRecord:
    """A machine of which nothing is known but whose it is."""
    record = MachineRecord(
        id=machine_id,
        owner=owner or an_owner(),
        model="heron-3",
        serial="",
        added_on=LONG_AGO,
    )
    return replace(record, **changes)


def said(words: str) -> tuple[Report, ...]:
    """What an owner said of the use, as its record has it."""
    return (Report(said=TODAY, words=words),)


def booked_for(day: date | None) -> tuple[Booking, ...]:
    """The one day on the bench that was agreed, if there is one."""
    return () if day is None else (Booking(day=day, made_on=TODAY),)


def in_shop_since(day: date) -> tuple[Job, ...]:
    """The stay of a machine that came in on a day."""
    return (Job(id=1, in_on=day, complaint="makes loops"),)


def a_service(on: date, *, points: int = 1, minutes: int = 0, late: bool = False) -> PlannedService:
    """A service still to come, of so many points, which take so long together."""
    first = a_point("first", minutes=Fraction(minutes))
    others = [a_point(f"point-{at}", minutes=Fraction(0)) for at in range(1, points)]
    return PlannedService(
        on=on,
        points=(first, *others)[:points],
        wanted_by=on - timedelta(days=late),
        deadline=on - timedelta(days=late),
        late=late,
    )


def a_standing(
    record: MachineRecord | None = None,
    state: State = State.IN_TIME,
    *,
    point_list: PointList | None = None,
    due: date | None = None,
    served: date | None = None,
    **schedule: Any,
) -> Standing:
    """A machine of the book that stands as said, however it came to that.

    Args:
        due: its likely due date.
    """
    record = record or a_record()
    machine = Machine(
        point_list=point_list or a_chart(),
        number=record.number,
        services=() if served is None else (Service(on=served, done=frozenset()),),
    )
    window = one_day(due, Because.USE)
    reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)
    plain = Schedule(
        machine=machine,
        as_of=TODAY,
        state=state,
        due=NEVER if due is None else window,
        risk=None,
        wanted_by=due,
        use=None,
        planner=reckoning,
        services=(),
        notices=(),
        settling=False,
        booked=record.booked,
    )
    return Standing(record=record, schedule=replace(plain, **schedule), reckoning=reckoning)


def an_open_call(
    on: date = TODAY,
    *records: MachineRecord,
    wanted: date = date(2026, 12, 9),
    call_id: int = 1,
    about: CallAbout = CallAbout.SERVICE,
    **changes: Any,
) -> OpenCall:
    """A call about machines of one owner whose services are wanted on a day."""
    records = records or (a_record(),)
    owner = records[0].owner
    outcomes: Iterable[Any] = changes.get("outcomes", ())
    call = OpenCall(
        id=call_id,
        owner=owner,
        about=about,
        on=on,
        services=tuple((record, wanted) for record in records),
        promised_on=None,
        deadline=None,
        way=way_to_reach(owner, tuple(outcomes)),
        outcomes=(),
    )
    return replace(call, **changes)
