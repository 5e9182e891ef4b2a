"""An owner's calendar: how long the care of a machine recurs in it."""

from __future__ import annotations

import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.records.shop_details import ShopDetails
from oilchart.papers.calendar.care_entries import care_entries
from tests.builders.make import TODAY, a_machine, a_point

SHOP = ShopDetails(name="Tidelane Sewing Machine Repairs", phone="01632 960100")
BOOKED = date(2026, 12, 9)
POINTS = (a_point("hook", keeper="owner", every="2 months"), a_point("shaft", every="6 months"))


@pytest.mark.parametrize(
    ("booked", "until"),
    [
        # the care goes on to the day before a service that is booked, however late it is
        (BOOKED, BOOKED - timedelta(days=1)),
        # without one it goes on for some months
        (None, date(2027, 1, 31)),
    ],
)
def test_care_recurs_until_a_late_service_that_is_booked(booked: date | None, until: date) -> None:
    machine = replace(a_machine(*POINTS, served=date(2025, 11, 3)), booked=booked)
    schedule = Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY)
    assert schedule.services[0].late
    entries = care_entries(schedule, shop=SHOP, namespace=str(uuid.UUID(int=7)))
    assert {entry.until for entry in entries.values() if entry.rule} == {until}
